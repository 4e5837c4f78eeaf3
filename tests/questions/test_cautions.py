from __future__ import annotations

import pytest

from tutor.questions.cautions import CAUTIONS, LAST_WORD, caution_text


@pytest.mark.parametrize("key", CAUTIONS)
def test_every_caution_ends_with_codes_and_a_qualified_person(key: str) -> None:
    text = caution_text(key)
    assert text.endswith(" Follow your local codes, and leave it to a qualified person when unsure.")
    assert text.count(LAST_WORD) == 1
    assert "  " not in text


@pytest.mark.parametrize("key", ["high-voltage", "reservoir", "output-stage", "electrostatic"])
def test_where_charge_stays_the_caution_says_discharge_and_measure(key: str) -> None:
    text = caution_text(key).lower()
    assert "discharge" in text
    assert "through a resistor" in text
    assert "meter" in text


def test_mains_is_unplugged() -> None:
    assert "Pull the plug" in caution_text("mains")


def test_an_unknown_caution_is_an_error() -> None:
    with pytest.raises(KeyError):
        caution_text("none")
