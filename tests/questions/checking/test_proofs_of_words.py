"""For every proof of solutions, texts and drawings one template that passes, and those that fail it, with the message."""

from __future__ import annotations

import dataclasses
import re

import pytest

from tests.questions.checking.proved import DIVIDER, DRAWN, EXAMPLE, TAP, proved
from tests.questions.templates import LOADED_DIVIDER, STEPS, findings_of
from tutor.drawing.schematic import Drawing
from tutor.questions.checking import drawing_check
from tutor.questions.fragments import schematic_of
from tutor.questions.question import Question


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
