import dataclasses

import pytest

from tutor.quantities.quantity import Quantity
from tutor.quantities.units import OHM, VOLT


def test_a_quantity_cannot_be_changed() -> None:
    quantity = Quantity(4700.0, OHM)
    with pytest.raises(dataclasses.FrozenInstanceError):
        quantity.magnitude = 1.0  # type: ignore[misc]
    assert not hasattr(quantity, "__dict__")


def test_quantities_are_equal_by_magnitude_and_unit() -> None:
    assert Quantity(1.0, VOLT) == Quantity(1.0, VOLT)
    assert Quantity(1.0, VOLT) != Quantity(1.0, OHM)
