from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tutor.quantities import dimensions as dim
from tutor.quantities.dimensions import DIMENSIONLESS, Dimension, product_of, superscript

powers = st.fractions(-4, 4, max_denominator=3)
dimensions = st.builds(Dimension, powers, powers, powers, powers, powers)


def test_the_trade_units_have_the_dimensions_of_the_si_brochure() -> None:
    # SI Brochure, BIPM, 9th edition, table 4: derived units in base units, as (kg, m, s, A, K).
    assert dim.VOLTAGE.exponents == (1, 2, -3, -1, 0)
    assert dim.RESISTANCE.exponents == (1, 2, -3, -2, 0)
    assert dim.CONDUCTANCE.exponents == (-1, -2, 3, 2, 0)
    assert dim.CAPACITANCE.exponents == (-1, -2, 4, 2, 0)
    assert dim.INDUCTANCE.exponents == (1, 2, -2, -2, 0)
    assert dim.POWER.exponents == (1, 2, -3, 0, 0)
    assert dim.ENERGY.exponents == (1, 2, -2, 0, 0)
    assert dim.CHARGE.exponents == (0, 0, 1, 1, 0)
    assert dim.FREQUENCY.exponents == (0, 0, -1, 0, 0)
    assert dim.MAGNETIC_FLUX.exponents == (1, 2, -2, -1, 0)
    assert dim.FLUX_DENSITY.exponents == (1, 0, -2, -1, 0)
    assert dim.FORCE.exponents == (1, 1, -2, 0, 0)


@pytest.mark.parametrize(
    ("dimension", "name"),
    [
        (dim.VOLTAGE, "voltage"),
        (dim.CURRENT, "current"),
        (dim.RESISTANCE, "resistance"),
        (dim.CAPACITANCE, "capacitance"),
        (dim.INDUCTANCE, "inductance"),
        (dim.POWER, "power"),
        (dim.FREQUENCY, "frequency"),
        (dim.TIME, "time"),
        (dim.CONDUCTANCE, "conductance"),
        (dim.ENERGY, "energy"),
        (dim.CHARGE, "charge"),
        (DIMENSIONLESS, "plain ratio"),
        (dim.VOLTAGE**2, "V²"),
        (dim.VOLTAGE**2 * dim.CURRENT, "V²·A"),
        (dim.CURRENT / dim.VOLTAGE ** Fraction(3, 2), "A/V^1.5"),
        (dim.VOLTAGE ** Fraction(1, 3), "V^(1/3)"),
        (dim.VOLTAGE / (dim.CURRENT * dim.TIME), "V/(A·s)"),
        (DIMENSIONLESS / dim.VOLTAGE, "1/V"),
    ],
)
def test_a_dimension_is_named_in_trade_words_or_as_a_product(dimension: Dimension, name: str) -> None:
    assert dimension.name == name
    assert str(dimension) == name


def test_ohms_law_and_its_kin_hold_between_dimensions() -> None:
    assert dim.VOLTAGE / dim.CURRENT == dim.RESISTANCE
    assert dim.RESISTANCE * dim.CAPACITANCE == dim.TIME
    assert dim.INDUCTANCE / dim.RESISTANCE == dim.TIME
    assert dim.VOLTAGE**2 / dim.RESISTANCE == dim.POWER
    assert dim.CAPACITANCE * dim.VOLTAGE**2 == dim.ENERGY
    assert (dim.INDUCTANCE * dim.CAPACITANCE) ** Fraction(1, 2) == dim.TIME
    assert hash(dim.VOLTAGE / dim.CURRENT) == hash(dim.RESISTANCE)


@given(dimensions, dimensions)
def test_products_and_quotients_undo_each_other(one: Dimension, other: Dimension) -> None:
    assert one * other / other == one
    assert one * other == other * one
    assert one / one == DIMENSIONLESS


@given(dimensions, powers.filter(bool))
def test_powers_and_roots_undo_each_other(one: Dimension, power: Fraction) -> None:
    assert (one**power) ** (1 / power) == one
    assert one**2 == one * one
    assert one**-1 == DIMENSIONLESS / one


def test_a_whole_power_is_held_as_an_int() -> None:
    root = dim.VOLTAGE ** Fraction(1, 2)
    assert root.kilogram == Fraction(1, 2)
    assert type((root * root).kilogram) is int


def test_raised_figures_and_products_are_written_as_on_paper() -> None:
    assert superscript(-12) == "⁻¹²"
    assert product_of({"V": 2, "A": -1, "s": 0}) == "V²/A"
    assert product_of({}) == ""
