from __future__ import annotations

import math

import pytest

from tests.questions.templates import asking, question_of
from tutor.quantities import DEGREE, RADIAN, VOLT, read_quantity
from tutor.questions.question import DrawnAsk
from tutor.questions.unit_slips import fits, in_kind_of, unit_slip


def ask_of(formula: str, unit: str) -> DrawnAsk:
    printed = f', unit: "{unit}"' if unit else ""
    return question_of(asking(f"{{formula: {formula}{printed}}}")).ask("x")


@pytest.mark.parametrize(
    ("formula", "unit", "typed", "name", "mended"),
    [
        ("68.2 V", "V", "68.2 mV", "prefix", 68.2),
        ("68.2 V", "V", "68.2 MV", "prefix", 68.2),
        ("68.2 V", "V", "68.2 A", "unit", 68.2),
        ("68.2 V", "V", "68.2 kΩ", "unit", 68.2),
        ("68.2 V", "V", "68.2", None, None),
        ("68.2 V", "V", "68200", None, None),
        ("68.2 V", "V", "68200 V", None, None),
        ("68.2 V", "V", "70 A", None, None),
        ("4.7 kΩ", "kΩ", "4.7 Ω", "prefix", 4700.0),
        ("4.7 kΩ", "kΩ", "4700", "prefix", 4700.0),
        ("4.7 kΩ", "kΩ", "4.7 V", "unit", 4700.0),
        ("4.7 kΩ", "Ω", "4.7 Ω", "prefix", 4700.0),
        ("4.7 kΩ", "Ω", "4.7", None, None),
        ("1.85 mA", "mA", "1.85 A", "prefix", 1.85e-3),
        ("1.85 mA", "mA", "1.85 V", "unit", 1.85e-3),
        ("0.46", "%", "0.46", "prefix", 0.46),
        ("0.46", "%", "4600 %", None, None),
        ("0.46", "%", "0.46 %", None, None),
        ("22 nF", "µF", "22 pF", "prefix", 22e-9),
    ],
)
def test_a_right_figure_with_a_wrong_unit_is_found_and_mended(
    formula: str, unit: str, typed: str, name: str | None, mended: float | None
) -> None:
    ask = ask_of(formula, unit)
    found = unit_slip(ask, read_quantity(typed, ask.printed_unit), ask.band, ask.key)
    assert (found.name if found else None) == name
    if found is not None:
        assert found.mended.quantity.magnitude == pytest.approx(mended)
        assert found.mended.quantity.unit == ask.key_unit


def test_the_last_figure_is_mended_with_it() -> None:
    ask = ask_of("4.7 kΩ", "kΩ")
    found = unit_slip(ask, read_quantity("4.7 Ω", ask.printed_unit), ask.band, ask.key)
    assert found is not None
    assert found.mended.last_figure == pytest.approx(100.0)


def test_of_nothing_there_is_no_figure() -> None:
    ask = ask_of("V1 - 250 V", "V")
    assert unit_slip(ask, read_quantity("0 A"), ask.band, 0.0) is None


@pytest.mark.parametrize(
    ("typed", "wanted", "value"),
    [
        ("3.14159265 rad", DEGREE, 180.0),
        ("180°", RADIAN, math.pi),
        ("30°", DEGREE, 30.0),
        ("5 V", DEGREE, 5.0),
        ("6 rad/s", VOLT, 6.0),
    ],
)
def test_an_angle_is_turned_into_the_kind_that_is_wanted(typed: str, wanted: object, value: float) -> None:
    assert in_kind_of(read_quantity(typed), wanted).quantity.magnitude == pytest.approx(value)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("formula", "unit", "typed", "does"),
    [
        ("5 V", "V", "5 mV", True), ("5 V", "V", "5 A", False), ("0.5", "", "50 %", True), ("0.5", "", "3 dB", False),
        ("3 dB", "dB", "3", True), ("1 kHz", "Hz", "1 rad/s", False), ("2 W", "W", "2 VA", True), ("5 V", "V", "5 %", False),
    ],
)  # fmt: skip
def test_an_answer_fits_by_dimension_and_kind(formula: str, unit: str, typed: str, does: bool) -> None:
    ask = ask_of(formula, unit)
    assert fits(ask, read_quantity(typed, ask.printed_unit)) is does
