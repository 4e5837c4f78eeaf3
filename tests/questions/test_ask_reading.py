from __future__ import annotations

import pytest

from tests.questions.templates import HEAD, LOADED_DIVIDER, asking, faults_of, read
from tutor.circuits.expressions import read_expression
from tutor.quantities import AMPERE, DECIBEL, DEGREE, OHM, RATIO, VOLT, Unit
from tutor.questions.ask_reading import default_tolerance

VALUES = "V1: 250 V\nR1: 10 kΩ\nR2: 22 kΩ\nRL: 100 kΩ\nhalf: {formula: R2/2}"


def ask_faults(keys: str, before: str = LOADED_DIVIDER, values: str = VALUES) -> list[str]:
    """Return the faults of a template with one ask as `key: message`."""
    return [fault.split(": ", 1)[1] for fault in faults_of(asking(keys, values=values, before=before))]


# -- kinds -----------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("keys", "fault"),
    [
        ("unit: V", "ask.x.unit: found 'V', a voltage; the value is a plain ratio"),
        ("kind: number", "ask.x: a number needs `formula:`, `of circuit:` or both"),
        ("{kind: preferred, formula: R1}", "ask.x: a preferred value needs `series:`, such as E12"),
        ("{kind: preferred, series: E12}", "ask.x: a preferred value needs the `formula:` of the exact one"),
        (
            "{kind: change, of circuit: {voltage: tap}}",
            "ask.x: a change needs `when:`, such as {R2: open} or {R2: 2*R2}",
        ),
        (
            "{kind: change, when: {R2: 2*R2}}",
            "ask.x: a change needs `of circuit:` (or a `formula:`) to be decided by solving again",
        ),
        (
            "{kind: change, formula: R2, when: {R2: open}}",
            "ask.x: a part can only be open or short in a circuit; give `of circuit:`",
        ),
        (
            "{kind: change, formula: R2, when: {R2: 2*R2}, slips: {sinks: {says: No.}}}",
            "ask.x: the slips of a change are named rises, falls, unchanged; found 'sinks'",
        ),
        ("kind: choice", "ask.x: a choice needs `options:`, or a `formula:` whose slips become the other options"),
        ("{kind: choice, options: {a: {text: A, right: 'true'}}}", "ask.x: a choice needs two options or more"),
        (
            "{kind: choice, formula: R1, slips: {a: {formula: R2, says: No.}}}",
            "ask.x: a choice made of slips needs two of them or more",
        ),
    ],
)
def test_each_kind_says_what_it_needs(keys: str, fault: str) -> None:
    assert ask_faults(keys) == [fault]


@pytest.mark.parametrize(
    ("keys", "key", "kind", "admitted"),
    [
        ("{kind: change, formula: R2, when: {R2: 2*R2}, unit: kΩ}", "unit", "change",
         "text, kind, slips, topic, of circuit, formula, when, tolerance"),
        ("{kind: preferred, series: E12, formula: R2, tolerance: 2 %}", "tolerance", "preferred",
         "text, kind, slips, topic, of circuit, formula, unit, series, round, possible"),
        ("{kind: choice, options: {a: {text: A, right: yes}, b: {text: B}}, round: up}", "round", "choice",
         "text, kind, slips, topic, of circuit, formula, unit, tolerance, options"),
        ("{formula: R2, options: {a: {text: A}, b: {text: B}}}", "options", "number",
         "text, kind, slips, topic, of circuit, of supply, model error, formula, unit, tolerance, possible"),
        ("{formula: R2, when: {R2: 2*R2}}", "when", "number",
         "text, kind, slips, topic, of circuit, of supply, model error, formula, unit, tolerance, possible"),
    ],
)  # fmt: skip
def test_a_key_of_another_kind_is_refused(keys: str, key: str, kind: str, admitted: str) -> None:
    assert ask_faults(keys) == [f"ask.x.{key}: an ask of kind {kind} has no such key; it has {admitted}"]


# -- changes ---------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("when", "key", "message"),
    [
        ("{R9: open}", "R9", "the circuit has no part 'R9'"),
        ("{R9: 2*R1}", "R9", "no value has this name; a part becomes `open`, `short` or another value"),
        ("{hafl: 2*R1}", "hafl",
         "no value has this name; did you mean half?; a part becomes `open`, `short` or another value"),
        ("{half: 2*R1}", "half", "it is worked out from other values; change one of those"),
        ("{R2: 2*V1}", "R2",
         "it gives a voltage, and R2 is a resistance"),
        ("{R2: R9}", "R2",
         "cannot read 'R9' as an expression: no value has this name; there are V1, R1, R2, RL, half, x"),
        ("{R2: x/1 mA}", "R2", "x is asked; a change is made of drawn and derived values"),
    ],
)  # fmt: skip
def test_a_change_is_made_of_parts_and_drawn_values(when: str, key: str, message: str) -> None:
    keys = f"{{kind: change, of circuit: {{voltage: tap}}, when: {when}}}"
    assert ask_faults(keys) == [f"ask.x.when.{key}: {message}"]


def test_only_a_part_with_two_ends_can_be_a_short() -> None:
    circuit = LOADED_DIVIDER + "  VR1: {kind: potentiometer, nodes: [in, out, '0'], value: 1 MΩ, turn: 0.5}\n"
    keys = "{kind: change, of circuit: {voltage: tap}, when: {VR1: short}}"
    assert ask_faults(keys, circuit) == [
        "ask.x.when.VR1: a potentiometer has not just two ends; only a part with two can be a short"
    ]


def test_a_change_does_not_rest_on_another_ask() -> None:
    text = asking("{formula: R2, unit: kΩ}", values=VALUES, name="r") + (
        "  y: {text: And?, kind: change, formula: 2*r, when: {R2: 2*R2}}\n"
    )
    assert faults_of(text) == [
        "sample.yaml:14: ask.y.formula: r is asked; a change is made of drawn and derived values"
    ]


def test_what_a_change_may_be() -> None:
    keys = "{kind: change, of circuit: {voltage: tap}, when: {R1: short, R2: open, RL: half}}"
    ask = read(asking(keys, values=VALUES, before=LOADED_DIVIDER)).ask("x")
    assert ask.when == {"R1": "short", "R2": "open", "RL": read_expression("half")}


# -- options ---------------------------------------------------------------------------------------------------------
def options(right: str) -> str:
    return f"{{kind: choice, options: {{a: {{text: A, right: {right}}}, b: {{text: B}}}}}}"


@pytest.mark.parametrize("right", ["true", "True", "yes", "R1 < R2", "power_R1 > 1 W", "R1 < R2 and not R1 > 5 kΩ"])
def test_what_makes_an_option_right(right: str) -> None:
    assert read(asking(options(f"'{right}'"), values=VALUES, before=LOADED_DIVIDER)).ask("x").options[0].name == "a"


@pytest.mark.parametrize(
    ("right", "message"),
    [
        ("perhaps", "it is no condition; compare it with something, by <, > or =="),
        ("perhaps > 1", "no value has this name; there are V1, R1, R2, RL, half, x"),
        ("R1", "it is no condition; compare it with something, by <, > or =="),
        ("R1 > V1", "R1 is a resistance and V1 a voltage: they can be neither added nor compared"),
    ],
)
def test_what_makes_no_option_right(right: str, message: str) -> None:
    assert ask_faults(options(right)) == [
        f"ask.x.options.a.right: cannot read {right.removesuffix(' > 1')!r} as an expression: {message}"
    ]


def test_an_option_has_a_text() -> None:
    assert ask_faults("{kind: choice, options: {a: {right: yes}, b: {text: B}}}") == [
        "ask.x.options.a.text: it is missing; give it"
    ]


def test_there_are_no_more_options_than_letters() -> None:
    many = ", ".join(f"o{n}: {{text: T}}" for n in range(13))
    assert ask_faults(f"{{kind: choice, options: {{{many}}}}}") == [
        "ask.x.options: it is too long; 12 are the most that is read here"
    ]


# -- units and tolerances --------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("keys", "unit", "printed", "tolerance"),
    [
        ("{formula: V1/R1}", AMPERE, "A", "2 %"),
        ("{formula: V1/R1, unit: mA}", AMPERE, "mA", "2 %"),
        ("{formula: R1/R2}", RATIO, "", "2 %"),
        ('{formula: R1/R2, unit: "%"}', RATIO, "%", "2 %"),
        ("{formula: db(R1/R2), unit: dB}", DECIBEL, "dB", "0.2 dB"),
        ("{formula: db(R1/R2)}", DECIBEL, "dB", "0.2 dB"),
        ("{formula: 20*log10(R1/R2), unit: dB}", DECIBEL, "dB", "0.2 dB"),
        ("{formula: atan(R1/R2)*180/pi, unit: °}", DEGREE, "°", "3°"),
        ("{of circuit: {voltage: tap}}", VOLT, "V", "2 %"),
        ("{of circuit: {impedance: tap}, unit: kΩ}", OHM, "kΩ", "2 %"),
        ("{of circuit: {gain: {from: in, to: tap}, take: decibels}}", DECIBEL, "dB", "0.2 dB"),
        ("{of circuit: {voltage: tap, take: phase}}", DEGREE, "°", "3°"),
        ("{formula: V1, tolerance: '1 %, at least 0.5 V'}", VOLT, "V", "1 %, at least 500 mV"),
    ],
)
def test_an_ask_has_a_unit_and_a_tolerance(keys: str, unit: Unit, printed: str, tolerance: str) -> None:
    ask = read(asking(keys, values=VALUES, before=LOADED_DIVIDER)).ask("x")
    assert (ask.unit, ask.printed.text) == (unit, printed)
    assert str(ask.tolerance).replace("\N{NO-BREAK SPACE}", " ") == tolerance


def test_a_per_cent_of_decibels_is_refused() -> None:
    assert ask_faults("{formula: db(R1/R2), tolerance: 2 %}") == [
        "ask.x.tolerance: a tolerance of 2\N{NO-BREAK SPACE}% does not fit level in decibels; a level takes an absolute "
        "band, for example 0.2 dB"
    ]


@pytest.mark.parametrize(
    ("kind", "unit", "tolerance"),
    [
        ("number", VOLT, "2 %"), ("number", DECIBEL, "0.2 dB"), ("number", DEGREE, "3°"),
        ("change", VOLT, "0.1 %"), ("change", DECIBEL, "0.01 dB"),
    ],
)  # fmt: skip
def test_what_an_ask_is_given_that_states_no_tolerance(kind: str, unit: Unit, tolerance: str) -> None:
    assert default_tolerance(kind, unit) == tolerance


@pytest.mark.parametrize(
    ("keys", "marked"),
    [
        ("{formula: V1}", True), ("{formula: R1/R2}", False), ("{formula: db(R1/R2)}", True),
        ("{kind: preferred, series: E12, formula: R1}", True), ("{kind: change, formula: R2, when: {R2: 2*R2}}", False),
        (options("yes"), False),
    ],
)  # fmt: skip
def test_an_answer_with_a_unit_earns_a_mark_for_it(keys: str, marked: bool) -> None:
    assert read(asking(keys, values=VALUES)).ask("x").takes_unit_mark is marked


def test_an_ask_credits_its_own_topic_or_the_templates() -> None:
    text = asking("{formula: R1, topic: parts}", values=VALUES) + "  y: {text: And?, formula: R2}\n"
    assert [ask.topic for ask in read(text).asks] == ["parts", "samples"]


def test_an_ask_may_use_those_before_it_and_no_later_one() -> None:
    text = f"{HEAD}values: {{R1: 1 kΩ}}\ntext: A text.\nask:\n"
    text += "  a: {text: What is it?, formula: 2*b}\n  b: {text: And?, formula: R1}\n"
    assert faults_of(text) == [
        "sample.yaml:8: ask.a.formula: cannot read 'b' as an expression: no value has this name; there are R1"
    ]
