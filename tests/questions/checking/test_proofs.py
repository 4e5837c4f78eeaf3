"""For every proof of keys and draws one template that passes, and those that fail it, each with its whole message."""

from __future__ import annotations

import re
from typing import Any

import pytest

from tests.questions.checking.proved import DIVIDER, DRAWN, EXAMPLE, SHOWN, TAP, proved
from tests.questions.templates import asking, compiled, findings_of
from tutor.questions.checking import report
from tutor.questions.compiling import Compiled
from tutor.questions.lottery import Batch, draw_batch, draw_values


def test_the_good_one_is_proved() -> None:
    assert proved(f"{{{TAP}}}") == []


# -- the key is the circuit's ----------------------------------------------------------------------------------------
@pytest.mark.parametrize("formula", ["V1*R1/(R1 + R2)", "V1*R2/R1", "-V1*R2/(R1 + R2)", "V1*R2/(R1 + R2) + 1 µV"])
def test_a_wrong_formula_is_told_with_what_the_circuit_gives(formula: str) -> None:
    (found,) = [
        line for line in proved(f"{{of circuit: {{voltage: tap}}, formula: {formula}}}") if "circuit at" in line
    ]
    assert re.fullmatch(
        r"circuit at ask\.x\.formula: it gives -?[0-9.e-]+ where the circuit gives [0-9.]+ V \(serial [0-9]+; "
        r"[0-9]+ of 60 draws disagree\)",
        found,
    )


def test_a_formula_that_is_right_on_the_drawn_values_only_is_told() -> None:
    # R2 is R1 on every draw, so that R1 may stand for it by chance.
    values = "V1: {from: 10 V, to: 100 V, step: 1 V}\nR1: 1 kΩ\nR2: 1 kΩ"
    assert proved("{of circuit: {voltage: tap}, formula: V1*R1/(R1 + R2)}", values=values) == [
        "circuit at ask.x.formula: it agrees on the values drawn, and is another formula than the circuit's"
    ]


def test_a_magnitude_that_is_right_on_the_drawn_values_only_is_told() -> None:
    circuit = """\
analysis: ac
frequency: f
circuit:
  V1: {kind: voltage source, nodes: [in, 0], value: 1 V}
  R1: {kind: resistor, nodes: [in, out]}
  C1: {kind: capacitor, nodes: [out, 0]}
"""
    values = "R1: {series: E12, from: 1 kΩ, to: 10 kΩ}\nC1: 10 nF\nf: 1 kHz\nk: 1"
    right = "1/sqrt(1 + (2*pi*f*R1*C1)**2)"
    texts = "'`R1=`, `C1=`, `f=`, `k=`'"
    gain = "of circuit: {gain: {from: in, to: out}}"
    assert proved(f"{{{gain}, formula: {right}}}", before=circuit, values=values, text=texts) == []
    assert proved(f"{{{gain}, formula: {right}*k}}", before=circuit, values=values, text=texts) == [
        "circuit at ask.x.formula: it agrees on the values drawn, and is another formula than the circuit's"
    ]
    assert proved(f"{{{gain}, unit: dB, formula: db({right})}}", before=circuit, values=values, text=texts) == []


def test_a_later_ask_is_proved_through_an_earlier_one() -> None:
    after = "  y: {text: And?, of circuit: {current: R2}, formula: x/R2, unit: mA}\n"
    assert proved(f"{{{TAP}}}", after=after) == []


def test_a_later_ask_is_proved_through_one_that_only_the_circuit_gives() -> None:
    after = "  y: {text: And?, of circuit: {current: R2}, formula: x/R2, unit: mA}\n"
    assert proved("{of circuit: {voltage: tap}}", after=after) == []
    wrong = after.replace("x/R2", "x/R1")
    assert any(
        line.startswith("circuit at ask.y.formula: it gives")
        for line in proved("{of circuit: {voltage: tap}}", after=wrong)
    )


@pytest.mark.parametrize("kind", ["", "kind: preferred, series: E12, "])
def test_an_ask_that_nothing_proves_is_told(kind: str) -> None:
    assert proved(f"{{{kind}formula: R1 + R2}}", before="") == [
        "circuit at ask.x.formula: nothing proves it: give `of circuit:`, or a worked example from outside under "
        "`examples:`"
    ]


def test_a_choice_between_numbers_that_nothing_proves_is_told() -> None:
    keys = "{kind: choice, formula: R1, slips: {a: {formula: 2*R1, says: A.}, b: {formula: 3*R1, says: B.}}}"
    assert proved(keys, before="") == ["circuit at ask.x.formula: nothing proves it: give `of circuit:` or an example"]


# -- examples --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("answer", ["20 V", "20.0 V", "20.00", "2e1"])
def test_an_example_that_comes_out_proves_the_ask(answer: str) -> None:
    assert proved("{formula: V1*R2/(R1 + R2)}", before="", after=EXAMPLE.replace("ANSWER", answer)) == []


@pytest.mark.parametrize(
    ("answer", "message"),
    [
        ("20.1 V", "it gives 20 V, and 20.1 V is printed"),
        ("21 V", "it gives 20 V, and 21 V is printed"),
        ("20 A", "found '20 A', a current; a voltage is asked"),
        ("twenty", "cannot read 'twenty' as a quantity: expected a number, then a unit; for example 3.3 V"),
    ],
)
def test_an_example_that_does_not_come_out_is_told(answer: str, message: str) -> None:
    assert proved("{formula: V1*R2/(R1 + R2)}", before="", after=EXAMPLE.replace("ANSWER", answer)) == [
        f"examples at examples[1].answers.x: {message} (source: A book, p. 3)"
    ]


def test_an_example_rounds_to_its_last_figure() -> None:
    # 30 V over 1 kΩ and 2.2 kΩ leave 20.625 V.
    example = EXAMPLE.replace("R2: 2 kΩ", "R2: 2.2 kΩ")
    for answer, findings in (
        ("20.6 V", 0),
        ("20.63 V", 0),
        ("20.625 V", 0),
        ("21 V", 0),
        ("20.62 V", 0),
        ("20.7 V", 1),
        ("20.626 V", 1),
    ):
        assert len(proved("{formula: V1*R2/(R1 + R2)}", before="", after=example.replace("ANSWER", answer))) == findings


def test_an_example_pins_every_drawn_value() -> None:
    example = EXAMPLE.replace(", R2: 2 kΩ", "").replace("ANSWER", "20 V")
    assert proved("{formula: V1*R2/(R1 + R2)}", before="", after=example) == [
        "examples at examples[1].values: R2 is not pinned; an example pins every drawn value"
    ]


def test_an_example_without_an_answer_is_told() -> None:
    example = EXAMPLE.replace("R2: 2 kΩ", "R2: 0 Ω").replace("ANSWER", "20 V")
    (found,) = proved("{formula: V1*R1/R2}", before="caution: high-voltage\n", after=example)
    assert found == "examples at examples[1]: the values give no answer (float division by zero)"


def test_an_example_may_pin_a_direction() -> None:
    keys = "{kind: change, formula: V1*R2/(R1 + R2), when: {R2: 2*R2}}"
    assert proved(keys, before="", after=EXAMPLE.replace("ANSWER", "rises")) == []
    assert proved(keys, before="", after=EXAMPLE.replace("ANSWER", "falls")) == [
        "examples at examples[1].answers.x: it rises, and 'falls' is printed (source: A book, p. 3)"
    ]


def test_an_example_cannot_pin_a_choice_between_words() -> None:
    keys = "{kind: choice, options: {a: {text: A, right: yes}, b: {text: B}}}"
    assert proved(keys, before="", after=EXAMPLE.replace("ANSWER", "a")) == [
        "examples at examples[1].answers.x: this ask has no value that an example could pin (source: A book, p. 3)"
    ]


# -- draws and answers -----------------------------------------------------------------------------------------------
def test_conditions_that_refuse_everything_are_told() -> None:
    found = proved(f"{{{TAP}}}", before=f"require: [V1 > 200 V]\n{DIVIDER}")
    assert found == [
        "draws at require: 60 serials find no values in 200 draws (the first is 0); widen the values or the conditions"
    ]


def test_conditions_that_refuse_almost_everything_are_told() -> None:
    (found,) = proved(f"{{{TAP}}}", before=f"require: [V1 > 96 V]\n{DIVIDER}")
    assert re.fullmatch(
        r"draws at require: 9[0-9]% of the draws are refused; 90% are the most; narrow the values", found
    )


def test_conditions_that_refuse_much_are_borne() -> None:
    assert proved(f"{{{TAP}}}", before=f"require: [V1 > 75 V]\n{DIVIDER}") == []


def test_a_value_that_is_not_finite_is_told() -> None:
    (found,) = [
        line
        for line in proved("{formula: V1/(V1 - 50 V)}", before="", after=EXAMPLE.replace("ANSWER", "-1.5"))
        if "finite" in line
    ]
    assert re.fullmatch(
        r"draws at require: [0-9]+ draws have a value that is not finite; exclude them with a condition", found
    )


@pytest.mark.parametrize("keys", ["{formula: V1/R1*1e9}", "{formula: V1/R1*1e-15}"])
def test_an_answer_out_of_any_sensible_range_is_told(keys: str) -> None:
    example = EXAMPLE.replace("ANSWER", "3e7 A")
    (found,) = [line for line in proved(keys, before="", after=example) if line.startswith("answers")]
    assert re.fullmatch(r"answers at ask\.x: 60 of 60 keys are like .+ [a-zA-Z]*A; is the unit right\?", found)


def test_answers_that_hardly_differ_are_told() -> None:
    values = "V1: {pick: [10 V, 20 V]}\nR1: 1 kΩ\nR2: 1 kΩ"
    assert proved(f"{{{TAP}}}", values=values) == [
        "answers at ask.x: only 2 different keys in 60 draws; widen the values"
    ]


# -- what is served --------------------------------------------------------------------------------------------------
def test_a_choice_without_exactly_one_right_option_is_told() -> None:
    keys = "{kind: choice, options: {a: {text: A, right: R1 > 2 kΩ}, b: {text: B, right: R1 < 5 kΩ}}}"
    found = proved(keys, before="")
    assert re.fullmatch(r"draws at : sample, serial [0-9]+: [02] options of x are right; exactly one must be", found[0])
    assert re.fullmatch(
        r"choices at ask\.x\.options: 2 options are right on [0-9]+ of 60 draws \(the first is serial [0-9]+\); exactly one "
        r"must be",
        found[1],
    )


def test_a_choice_between_numbers_that_cannot_be_told_apart_is_told() -> None:
    keys = f"{{kind: choice, {TAP}, slips: {{a: {{formula: 1.001*x, says: A.}}, b: {{formula: 1.002*x, says: B.}}}}}}"
    found = [line for line in proved(keys) if line.startswith("choices")]
    assert found == ["choices at ask.x.slips: on 60 of 60 draws no slip can be told from the key; add slips"]


def test_a_question_that_differs_when_drawn_alone_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    def another_batch(template: Compiled, serials: Any) -> Batch:
        batch = draw_batch(template, serials)
        batch.values["V1"][0] += 1.0
        return batch

    text = asking(f"{{{TAP}}}", DRAWN, before=DIVIDER, text=SHOWN)
    volts = draw_values(compiled(text), 0).values["V1"]
    monkeypatch.setattr(report, "draw_batch", another_batch)
    assert [line for line in findings_of(text) if line.startswith("draws")] == [
        f"draws at values.V1: serial 0 gives {volts:.12g} when drawn alone and {volts + 1:.12g} among many"
    ]


# -- tolerances ------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("tolerance", "message"),
    [
        ("0.4 %", "0.4 % is too narrow for rounded figures; 0.5 % is the least"),
        ("exact", "exact is too narrow for rounded figures; 0.5 % is the least"),
        ("0.01 V", "10 mV is too narrow for rounded figures; 0.5 % is the least"),
        ("11 %", "11 % lets wrong answers pass; 10 % is the most"),
        ("30 V", "30 V lets wrong answers pass; 10 % is the most"),
    ],
)
def test_a_tolerance_too_narrow_or_too_wide_is_told(tolerance: str, message: str) -> None:
    assert proved(f"{{{TAP}, tolerance: {tolerance}}}") == [f"tolerance at ask.x.tolerance: {message}"]


@pytest.mark.parametrize("tolerance", ["0.5 %", "2 %", "10 %", "'1 %, at least 0.1 V'"])
def test_a_tolerance_between_is_borne(tolerance: str) -> None:
    assert proved(f"{{{TAP}, tolerance: {tolerance}}}") == []


@pytest.mark.parametrize(
    ("unit", "tolerance", "message"),
    [
        ("dB", "0.05 dB", "0.05 dB is too narrow for rounded figures; 0.1 dB is the least"),
        ("dB", "1.5 dB", "1.5 dB lets wrong answers pass; 1 dB is the most"),
        ("dB", "0.2 dB", None),
    ],
)
def test_levels_have_bands_of_their_own(unit: str, tolerance: str, message: str | None) -> None:
    keys = f"{{of circuit: {{gain: {{from: in, to: tap}}}}, formula: db(R2/(R1 + R2)), unit: {unit}, tolerance: {tolerance}}}"
    assert proved(keys) == ([f"tolerance at ask.x.tolerance: {message}"] if message else [])


def test_figures_as_shown_that_mark_a_right_answer_wrong_are_told() -> None:
    values = "V1: {from: 100.1 V, to: 119.9 V, step: 0.1 V}\nV2: 100 V\nhalf: {formula: V1 + 0.33 V}"
    example = "examples:\n  - {values: {V1: 110 V, V2: 100 V}, answers: {x: 10.33 V}, source: A book}\n"
    (found,) = proved(
        "{formula: half - V2}", before="caution: high-voltage\n", values=values, text="'`V2=`, `half=`'", after=example
    )
    assert re.fullmatch(
        r"tolerance at ask\.x\.tolerance: with half rounded to 3 figures, as shown, a right answer is marked wrong on [0-9]+ "
        r"of 60 draws \(the first is serial [0-9]+\); exclude them by a condition or widen the tolerance",
        found,
    )


# -- slips -----------------------------------------------------------------------------------------------------------
def slip_findings(slips: str) -> list[str]:
    return [line for line in proved(f"{{{TAP}, slips: {{{slips}}}}}") if line.startswith("slips")]


@pytest.mark.parametrize("formula", ["x", "1.01*x", "V1*R2/(R1 + R2)"])
def test_a_slip_that_is_the_key_is_told(formula: str) -> None:
    assert slip_findings(f"same: {{formula: {formula}, says: S.}}") == [
        "slips at ask.x.slips.same: its value can be told from the key and the other slips on 0% of the draws only; 50% is "
        "the least; narrow the values or drop it"
    ]


def test_slips_that_are_each_other_are_told() -> None:
    found = slip_findings(
        "one: {formula: 2*x, says: O.}, two: {formula: 2.01*x, says: T.}, three: {formula: 3*x, says: H.}"
    )
    assert [line.split(":")[0] for line in found] == ["slips at ask.x.slips.one", "slips at ask.x.slips.two"]


def test_a_slip_that_mostly_tells_is_borne() -> None:
    assert slip_findings("sum: {formula: V1*R1/(R1 + R2), says: S.}") == []


def test_a_slip_of_a_preferred_ask_that_ends_at_the_key_is_told() -> None:
    keys = "{kind: preferred, series: E12, formula: R1, slips: {near: {formula: 1.001*R1, says: N.}}}"
    example = "examples:\n  - {values: {V1: 30 V, R1: 1 kΩ, R2: 2 kΩ}, answers: {x: 1 kΩ}, source: A book}\n"
    found = [line for line in proved(keys, before="", after=example) if line.startswith("slips")]
    assert [line.split(":")[0] for line in found] == ["slips at ask.x.slips.near"]
