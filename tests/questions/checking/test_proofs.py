"""For every proof one template that passes, and those that fail it, each with its whole message."""

from __future__ import annotations

import dataclasses
import re
from typing import Any

import pytest

from tests.questions.templates import LOADED_DIVIDER, STEPS, asking, compiled, findings_of
from tutor.drawing.schematic import Drawing
from tutor.questions.checking import drawing_check, report
from tutor.questions.compiling import Compiled
from tutor.questions.fragments import schematic_of
from tutor.questions.lottery import Batch, draw_batch, draw_values
from tutor.questions.question import Question

DRAWN = "V1: {from: 10 V, to: 100 V, step: 1 V}\nR1: {series: E24, from: 1 kΩ, to: 9.1 kΩ}\nR2: {series: E24, from: 1 kΩ, to: 9.1 kΩ}"
SHOWN = "'`V1=`, `R1=`, `R2=`'"
DIVIDER = """\
circuit:
  V1: {kind: voltage source, nodes: [in, 0]}
  R1: {kind: resistor, nodes: [in, tap]}
  R2: {kind: resistor, nodes: [tap, 0]}
"""


def proved(keys: str, *, before: str = DIVIDER, values: str = DRAWN, after: str = "", text: str = SHOWN) -> list[str]:
    """Return the findings about a template with one ask `x`."""
    return [
        line.replace("\N{NO-BREAK SPACE}", " ")
        for line in findings_of(asking(keys, values, before=before, text=text) + after)
    ]


TAP = "of circuit: {voltage: tap}, formula: V1*R2/(R1 + R2)"


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
EXAMPLE = "examples:\n  - {values: {V1: 30 V, R1: 1 kΩ, R2: 2 kΩ}, answers: {x: ANSWER}, source: 'A book, p. 3'}\n"


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


# -- solutions -------------------------------------------------------------------------------------------------------
def solution(*steps: str) -> str:
    return "solution:\n" + "".join(f'  - "{step}"\n' for step in steps)


@pytest.mark.parametrize(
    "steps",
    [
        ("`x=`",),
        ("`x = V1*R2/(R1 + R2) =`",),
        ("First `R1 + R2=`, then `x=`",),
        ("The current is `V1/(R1 + R2)=`.", "`x = V1*R2/(R1 + R2)=`"),
        ("`parallel(R1, R2)=` is what the tap shows.", "`V1*R2/(R1 + R2)=`"),
        ("`V1*(R2/(R1 + R2)) = V1/(1 + R1/R2) =`",),
    ],
)
def test_steps_that_are_tied_to_something_proved_pass(steps: tuple[str, ...]) -> None:
    assert proved(f"{{{TAP}}}", after=solution(*steps)) == []


@pytest.mark.parametrize(
    ("step", "span"), [("`V1*R1/(R1 - R2)=`", "V1*R1/(R1 - R2)="), ("`R1*2=`", "R1*2="), ("`=V1/R1`", "=V1/R1")]
)
def test_a_step_that_is_tied_to_nothing_is_told(step: str, span: str) -> None:
    assert proved(f"{{{TAP}}}", after=solution(step, "`x=`")) == [
        f"solution at solution[1]: `{span}` is tied to nothing that is proved: no value, ask or quantity of the circuit "
        "equals it; name it under `values:` with a formula, or write it as a chain with an equal expression"
    ]


def test_a_chain_that_is_unequal_is_told() -> None:
    assert proved(f"{{{TAP}}}", after=solution("`x = V1*R1/(R1 + R2) =`")) == [
        "solution at solution[1]: `x` and `V1*R1/(R1 + R2)` are not equal"
    ]


def test_a_solution_that_does_not_end_at_the_answer_is_told() -> None:
    assert proved(f"{{{TAP}}}", after=solution("`R1 + R2=`")) == [
        "solution at solution: no step ends at the value of x; end one with `x=`"
    ]


def test_a_hint_is_held_to_the_same() -> None:
    assert proved(f"{{{TAP}}}", after='hints: ["`R1 = R2`", B.]\n') == [
        "solution at hints[1]: `R1` and `R2` are not equal"
    ]


STAGE = """\
analysis: ac
frequency: f
circuit:
  V1: {kind: voltage source, nodes: [in, 0], value: 1 V}
  R1: {kind: resistor, nodes: [in, a]}
  R2: {kind: resistor, nodes: [a, b]}
  C1: {kind: capacitor, nodes: [b, 0]}
  L1: {kind: inductor, nodes: [in, '0'], value: 1 H}
  X1: {kind: triode, nodes: {anode: p, grid: b, cathode: '0'}, type: valve, mu: mu, ra: ra}
  R3: {kind: resistor, nodes: [p, '0'], value: 100 kΩ}
"""
STAGE_VALUES = """\
R1: {series: E12, from: 1 kΩ, to: 8.2 kΩ}
R2: {series: E12, from: 1 kΩ, to: 8.2 kΩ}
C1: 10 nF
f: {pick: [1 kHz, 2 kHz, 5 kHz]}
valve: {rows: [{label: ECC83, mu: 100, ra: 62.5 kΩ}, {label: ECC82, mu: 17, ra: 7.7 kΩ}]}
"""


@pytest.mark.parametrize(
    "step",
    [
        "`1/(2*pi*f*C1)=`",  # a reactance
        "`2*pi*f*(1 H)=`",  # that of the choke
        "`1/(2*pi*3*f*C1)=`",  # at the frequency of the other ask
        "`R1 + R2=`",  # in a row, with nothing between
        "`mu*100 kΩ/(ra + 100 kΩ)=`",  # a gain
        "The `=valve` has `valve=`.",  # a word is no number
        "`1/sqrt(1 + (2*pi*f*(R1 + R2)*C1)**2)=`",
    ],
)
def test_steps_may_name_what_a_technician_would(step: str) -> None:
    keys = "{of circuit: {gain: {from: in, to: b}}, formula: 1/sqrt(1 + (2*pi*f*(R1 + R2)*C1)**2)}"
    after = "  y: {text: And?, of circuit: {gain: {from: in, to: b}, frequency: 3*f}, "
    after += "formula: 1/sqrt(1 + (6*pi*f*(R1 + R2)*C1)**2)}\n" + solution(step, "`x=`, `y=`")
    text = "'`R1=`, `R2=`, `C1=`, `f=`'"
    assert proved(keys, before=STAGE, values=STAGE_VALUES, after=after, text=text) == []


@pytest.mark.parametrize("step", ["`1/(2*pi*f*C1*2)=`", "`R1 + 2*R2=`", "`R1*R2/(R1 + R2)=`"])
def test_steps_may_not_name_what_is_not_there(step: str) -> None:
    keys = "{of circuit: {gain: {from: in, to: b}}, formula: 1/sqrt(1 + (2*pi*f*(R1 + R2)*C1)**2)}"
    text = "'`R1=`, `R2=`, `C1=`, `f=`'"
    found = proved(keys, before=STAGE, values=STAGE_VALUES, after=solution(step, "`x=`"), text=text)
    assert len(found) == 1
    assert "is tied to nothing that is proved" in found[0]


# -- texts -----------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("'`V1=`, `R1=`, `R2=`, `x=`'", "`x=` gives the answer to x away; let only the solution show it"),
        (
            "'`V1=`, `R1=`, `R2=`, `V1/(1 + R1/R2)=`'",
            "`V1/(1 + R1/R2)=` gives the answer to x away; let only the solution show it",
        ),
        ("'`V1=`, `R1=`, `R2=`, `R1 = R2`'", "`R1` and `R2` are not equal"),
    ],
)
def test_a_text_that_gives_the_answer_away_or_is_untrue_is_told(text: str, message: str) -> None:
    assert proved(f"{{{TAP}}}", text=text) == [f"texts at text: {message}"]


def test_a_text_without_a_value_is_told() -> None:
    found = proved(f"{{{TAP}}}", text="'`V1=`, `R1=`, `R2=`, `1/(R1 - R1)=`'")
    assert "texts at text: `1/(R1 - R1)` has no value on 60 draws (the first is serial 0)" in found


@pytest.mark.parametrize(
    ("keys", "after", "key"),
    [
        (f"{{{TAP}}}", 'hints: ["It is `x=`", B.]\n', "hints[1]"),
        (f"{{{TAP}, slips: {{s: {{formula: 2*x, says: 'It is `=x`.'}}}}}}", "", "ask.x.slips.s.says"),
    ],
)
def test_no_hint_and_no_slip_gives_the_answer_away(keys: str, after: str, key: str) -> None:
    (found,) = proved(keys, after=after)
    assert re.fullmatch(
        rf"texts at {re.escape(key)}: `=?x=?` gives the answer to x away; let only the solution show it", found
    )


def test_a_solution_and_an_option_may_show_answers() -> None:
    after = "  y: {text: And?, kind: choice, options: {a: {text: '`=x`', right: yes}, b: {text: '`=V1`'}}}\n"
    assert proved(f"{{{TAP}}}", after=after + solution("`x=`")) == []


# -- givens ----------------------------------------------------------------------------------------------------------
def test_a_value_that_is_needed_and_not_given_is_told() -> None:
    after = EXAMPLE.replace("ANSWER", "20 V")
    assert proved("{formula: V1*R2/(R1 + R2)}", before="", text="'`V1=` and `R1=`'", after=after) == [
        "givens at ask.x.formula: R2 is needed and is given neither in the text nor in the drawing; show it with `R2=`"
    ]


def test_what_lies_behind_a_derived_value_must_be_given_unless_it_is_given_itself() -> None:
    values = f"{DRAWN}\nsum: {{formula: R1 + R2}}"
    after = EXAMPLE.replace("ANSWER", "20 V")
    keys = "{formula: V1*R2/sum}"
    assert proved(keys, before="", values=values, text="'`V1=`, `R2=`, `sum=`'", after=after) == []
    assert proved(keys, before="", values=values, text="'`V1=`, `R2=`'", after=after) == [
        "givens at ask.x.formula: R1 is needed and is given neither in the text nor in the drawing; show it with `R1=`"
    ]


def test_the_drawing_gives_the_values_of_its_parts() -> None:
    assert proved(f"{{{TAP}}}", text="A text.") == []


# -- the drawing -----------------------------------------------------------------------------------------------------
def test_a_drawing_that_leaves_a_part_out_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    def without_r2(question: Question, uid: str) -> Drawing:
        drawing = schematic_of(question, uid)
        return dataclasses.replace(drawing, svg=drawing.svg.replace(f'id="{uid}-R2"', f'id="{uid}-R9"'))

    monkeypatch.setattr(drawing_check, "schematic_of", without_r2)
    assert proved(f"{{{TAP}}}") == ["drawing at circuit: the drawing leaves out R2"]


def test_a_drawing_with_a_flaw_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    def flawed(question: Question, uid: str) -> Drawing:
        return dataclasses.replace(schematic_of(question, uid), faults=("a wire through R1",))

    monkeypatch.setattr(drawing_check, "schematic_of", flawed)
    assert proved(f"{{{TAP}}}") == ["drawing at circuit: the drawing has a flaw: a wire through R1"]


# -- safety ----------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("values", "before", "message"),
    [
        ("V1: {from: 60 V, to: 120 V, step: 1 V}", DIVIDER, None),
        ("V1: {from: 60 V, to: 180 V, step: 1 V}", DIVIDER, "V1 is up to 180 V"),
        ("V1: {from: 60 V, to: 180 V, step: 1 V}", f"caution: high-voltage\n{DIVIDER}", None),
    ],
)
def test_a_dangerous_voltage_without_a_caution_is_told(values: str, before: str, message: str | None) -> None:
    rest = DRAWN.partition("\n")[2]
    found = [
        line for line in proved(f"{{{TAP}}}", values=f"{values}\n{rest}", before=before) if line.startswith("caution")
    ]
    if message is None:
        assert found == []
    else:
        assert re.fullmatch(
            r"caution at caution: V1 is up to 1[78][0-9] V; above 50 V ac or 120 V dc a caution is shown, such as `caution: "
            r"high-voltage`",
            found[0],
        )


def test_the_steps_of_the_tests_are_proved_as_they_stand() -> None:
    assert findings_of(STEPS) == []
    assert LOADED_DIVIDER in STEPS
