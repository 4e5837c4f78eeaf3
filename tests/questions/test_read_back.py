"""What is read back while typing is what the mark will say was read."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tutor.learning.courses import Shelf
from tutor.quantities import read_unit
from tutor.questions.marking import mark
from tutor.questions.read_back import read_back

NOTATIONS = [
    "68.2", "68.2 V", "68,2 volts", "4k7", "1M5", "0.0682 kV", "3.3 × 10^-3", "3.3e-3", "-12 V", "−12", "12 mA",
    "50 c/s", "0.05 mfd", "100 mmfd", "5 %", "20 dB", "90°", "68.2 millivolts",
]  # fmt: skip


@pytest.mark.parametrize("typed", NOTATIONS)
@pytest.mark.parametrize("template", ["loaded-divider", "coupling-level", "coupling-choose"])
def test_it_says_what_the_mark_says(shelf: Shelf, template: str, typed: str) -> None:
    question = shelf.draw(shelf.template(template), 7)
    for ask in question.asks:
        if ask.kind in ("number", "preferred"):
            said = mark(question, {ask.name: typed}).asks[ask.name].read
            assert (read_back(typed, ask.printed_unit) or "") == said


@pytest.mark.parametrize(
    ("typed", "unit", "said"),
    [
        # RKM codes by IEC 60062; µµF and mfd as on service sheets (the picofarad and the microfarad).
        ("4k7", "Ω", "4.7 kΩ"),
        ("2n2", "F", "2.2 nF"),
        ("0.05 mfd", "µF", "50 nF"),
        ("100 µµF", "pF", "100 pF"),
        ("50 c/s", "Hz", "50 Hz"),
        ("1,5", "mA", "1.5 mA"),
        ("3.3e-3", "A", "3.3 mA"),
        ("12", "%", "12 %"),
    ],
)
def test_notations_old_and_new(typed: str, unit: str, said: str) -> None:
    assert (read_back(typed, read_unit(unit)) or "").replace("\N{NO-BREAK SPACE}", " ") == said


@given(st.text(max_size=210), st.sampled_from(["V", "kΩ", "", "%", "dB", "°"]))
def test_whatever_is_typed_nothing_breaks(typed: str, unit: str) -> None:
    found = read_back(typed, read_unit(unit))
    assert found is None or found
