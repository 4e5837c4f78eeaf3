from __future__ import annotations

import pytest

from tests.questions.templates import bench_circuits, faults_of, findings_of, read
from tutor.circuits.source import parse_source
from tutor.errors import FaultyFileError
from tutor.quantities import OHM, RATIO, VOLT
from tutor.questions.reading import read_template
from tutor.questions.values import Choices, Derived, Rows

GOOD = """\
template: loaded-divider
title: What the load does to a divider
topic: dividers
level: 1
circuit:
  V1: {kind: voltage source, nodes: [in, 0]}
  R1: {kind: resistor, nodes: [in, tap]}
  R2: {kind: resistor, nodes: [tap, 0]}
values:
  V1: {pick: [200 V, 250 V, 300 V]}
  R1:
    series: E12
    from: 47 kΩ
    to: 470 kΩ
  R2: {series: E12, from: 22 kΩ, to: 220 kΩ}
require: [v_tap > 20 V, power_R1 < 0.5 W]
text: "`V1=` feeds the divider `R1`, `R2`."
ask:
  v_tap:
    text: What voltage stands at the tap?
    of circuit: {voltage: tap}
    formula: V1*R2/(R1 + R2)
    tolerance: 2 %
    slips:
      wrong-end: {formula: V1*R1/(R1 + R2), says: That is across the upper resistor.}
hints: [One., Two.]
solution: ["`v_tap=`"]
caution: high-voltage
"""

PICK = "pick: [200 V, 250 V, 300 V]"
FORMULA = "formula: V1*R2/(R1 + R2)\n    tolerance"
LAST = "caution: high-voltage"
KEYS = (
    "template, title, topic, level, circuit, supply, analysis, frequency, values, plot, require, text, ask, hints, solution, "
    "caution, source, examples"
)
FUNCTIONS = "sqrt, exp, log, log10, sin, cos, tan, atan, abs, min, max, parallel, db"
EXPRESSION = "cannot read {!r} as an expression"


def changed(*changes: tuple[str, str]) -> str:
    text = GOOD
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return text


def test_the_good_file_is_read_and_proved() -> None:
    template = read(GOOD)
    assert (template.name, template.title, template.topic, template.level) == (
        "loaded-divider", "What the load does to a divider", "dividers", 1,
    )  # fmt: skip
    assert template.units == {"V1": VOLT, "R1": OHM, "R2": OHM, "v_tap": VOLT}
    assert template.values["V1"] == Choices((200.0, 250.0, 300.0), VOLT)
    assert len(template.require) == 2
    assert template.caution == "high-voltage"
    assert findings_of(GOOD) == []


# One fault, one message: with its line, its key, what was found, and what would do.
ONE_FAULT = [
    # the file's own keys
    ("titel:", "title:", 2, "titel", f"unknown key; did you mean title?; known are {KEYS}"),
    ("", "title: What the load does to a divider\n", 1, "title", "it is missing; give it"),
    ("title: ''", "title: What the load does to a divider", 2, "title", "it is empty; give at least one"),
    ("level: 7", "level: 1", 4, "level", 'found "7"; known are 1, 2, 3, 4'),
    (
        "template: Loaded Divider", "template: loaded-divider", 1, "template",
        'found "Loaded Divider"; a name here is small letters, figures and hyphens',
    ),
    ("analysis: tr", LAST, 28, "analysis", 'found "tr"; known are dc, ac'),
    (
        "caution: high-volts", LAST, 28, "caution",
        "found 'high-volts'; did you mean high-voltage?; known are high-voltage, reservoir, mains, output-stage, "
        "electrostatic",
    ),
    ("frequency: 20 V", LAST, 28, "frequency", "found '20 V'; a frequency is wanted, such as 1 kHz or f"),
    (
        "frequency: fx", LAST, 28, "frequency",
        "cannot read 'fx' as an expression: no value has this name; there are V1, R1, R2",
    ),
    # values
    (
        "series: E13\n", "series: E12\n", 12, "values.R1.series",
        'found "E13"; known are E3, E6, E12, E24, E48, E96, E192; did you mean E12?',
    ),
    (
        "serie: E12\n", "series: E12\n", 12, "values.R1.serie",
        "unknown key; did you mean series?; known are pick, series, from, to, step, rows, formula, unit",
    ),
    ("", "    to: 470 kΩ\n", 11, "values.R1.to", "it is missing; give it"),
    (
        "to: 470 nF\n", "to: 470 kΩ\n", 11, "values.R1",
        "found '470 nF', a capacitance, beside a resistance; give all the same unit",
    ),
    (
        "to: 470\n", "to: 470 kΩ\n", 11, "values.R1",
        "found '470', a plain ratio, beside a resistance; give all the same unit",
    ),
    ("to: 30 kΩ\n", "to: 470 kΩ\n", 11, "values.R1", "no value of E12 lies between 47 kΩ and 30 kΩ"),
    (
        "from: 470 kohms too many", "from: 47 kΩ", 11, "values.R1",
        "cannot read '470 kohms too many' as a quantity: 'kohms too many' is not a unit known here; for example 3.3 kΩ",
    ),
    ("pick: []", PICK, 10, "values.V1.pick", "it is empty; give at least one"),
    ("pick: 200 V", PICK, 10, "values.V1.pick", "found '200 V'; a list is wanted here"),
    (
        "pick: [200 V, 250, 300 mA]", PICK, 10, "values.V1",
        "found '250', a plain ratio, beside a voltage; give all the same unit",
    ),
    (
        "from: 200 V, to: 300 V, step: 7 V", PICK, 10, "values.V1",
        "the steps do not end at `to`; change `to` or the step",
    ),
    ("from: 200 V, to: 300 V, step: 0 V", PICK, 10, "values.V1", "the step must be more than nothing"),
    ("from: 300 V, to: 200 V, step: 5 V", PICK, 10, "values.V1", "`to` lies below `from`; exchange them"),
    (
        "from: 200 V, to: 300 V, step: 1 µV", PICK, 10, "values.V1",
        "it makes more than 100000 values; take a larger step",
    ),
    (
        "rows: [{label: a, mu: 20, ra: 7 kΩ}, {label: b, mu: 35}]", PICK, 10, "values.V1",
        "row 2 has other names than the first (mu, ra)",
    ),
    (
        "rows: [{label: a, V1: 3 V}]", PICK, 10, "values.V1",
        "the name 'V1' is given under values.V1 already; give one another",
    ),
    (
        "rows: [{label: a, 'mu) or (x': 3}]", PICK, 10, "values.V1.rows[1].mu) or (x",
        "found \"mu) or (x\"; a name here is a letter, then letters, figures or _",
    ),
    (
        "formula: R9 + 2", PICK, 10, "values.V1",
        "cannot read 'R9' as an expression: no value has this name; there are none",
    ),
    (
        "formula: 3 V > 2 V", PICK, 10, "values.V1",
        "cannot read '3 V > 2 V' as an expression: it is a condition, and a value is wanted here",
    ),
    ("R1: [1, 2]", "R1:\n    series: E12\n    from: 47 kΩ\n    to: 470 kΩ", 11, "values.R1",
     "found ['1', '2']; one text is wanted here"),
    # circuits
    (
        "resistr, nodes: [tap", "resistor, nodes: [tap", 8, "circuit.R2.kind",
        "found 'resistr'; did you mean resistor?; known are capacitor, coupling, current source, current-controlled "
        "current source, current-controlled voltage source, inductor, meter, pentode, potentiometer, resistor, "
        "transformer, triode, voltage source, voltage-controlled current source, voltage-controlled voltage source",
    ),
    (
        "nodes: [tap]", "nodes: [tap, 0]", 8, "circuit.R2.nodes",
        "found ['tap']; a resistor wants a list of 2 nodes [a, b]",
    ),
    # asks
    (
        "{voltage: tab}", "{voltage: tap}", 21, "ask.v_tap.of circuit",
        "the circuit has no node 'tab'; did you mean tap?; it has in, 0, tap",
    ),
    ("{current: R7}", "{voltage: tap}", 21, "ask.v_tap.of circuit", "the circuit has no part 'R7'; it has V1, R1, R2"),
    (
        "{volts: tap}", "{voltage: tap}", 21, "ask.v_tap.of circuit",
        "found the key 'volts'; did you mean voltage?; known are voltage, current, power, gain, impedance, input impedance, "
        "output impedance, short-circuit current, time constant, corner frequency, analysis, frequency, take, time",
    ),
    (
        "{voltage: tap, analysis: ac}", "{voltage: tap}", 21, "ask.v_tap.of circuit",
        "an ac quantity wants a frequency; give `frequency:` here or in the template",
    ),
    (
        "{voltage: tap, analysis: ac, frequency: 5 V}", "{voltage: tap}", 21, "ask.v_tap.of circuit.frequency",
        "found '5 V'; a frequency is wanted, such as 1 kHz or f",
    ),
    (
        "{current: R1}", "{voltage: tap}", 22, "ask.v_tap.formula",
        "it gives a voltage, and the circuit's quantity is a current",
    ),
    (
        FORMULA.replace("R2/", "R3/"), FORMULA, 22, "ask.v_tap.formula",
        "cannot read 'R3' as an expression: no value has this name; there are V1, R1, R2",
    ),
    (
        FORMULA.replace("+ R2", "+ V1"), FORMULA, 22, "ask.v_tap.formula",
        "cannot read 'R1 + V1' as an expression: R1 is a resistance and V1 a voltage: they can be neither added nor "
        "compared",
    ),
    (
        FORMULA.replace("V1*R2", "V1"), FORMULA, 22, "ask.v_tap.formula",
        "it gives a current, and the circuit's quantity is a voltage",
    ),
    (
        FORMULA.replace("V1*R2/", "sqr(V1)/"), FORMULA, 22, "ask.v_tap.formula",
        "cannot read 'sqr(V1)/(R1 + R2)' as an expression at character 1: there is no function 'sqr'; did you mean sqrt?; "
        f"there are {FUNCTIONS}",
    ),
    (
        FORMULA.replace("V1*R2/(R1 + R2)", "power_R1/V1*R2"), FORMULA, 22, "ask.v_tap.formula",
        "cannot read 'power_R1' as an expression: no value has this name; there are V1, R1, R2 (the circuit's own "
        "quantities stand in conditions and texts only)",
    ),
    (
        "tolerance: 2\n", "tolerance: 2 %\n", 23, "ask.v_tap.tolerance",
        "cannot read '2' as a tolerance: 2 has no unit: 2 % is a share of the value, 'at least 2' a band about it; write "
        "2 %, 0.2 dB, 0.5 V, exact, or 1 %, at least 0.5 mV",
    ),
    (
        "tolerance: 0.2 dB\n", "tolerance: 2 %\n", 23, "ask.v_tap.tolerance",
        "a tolerance of 0.2\N{NO-BREAK SPACE}dB does not fit voltage; write for example 2 % or 100\N{NO-BREAK SPACE}mV",
    ),
    ("unit: mA\n", "tolerance: 2 %\n", 23, "ask.v_tap.unit", "found 'mA', a current; the value is a voltage, in V"),
    (
        "unit: bolts\n", "tolerance: 2 %\n", 23, "ask.v_tap.unit",
        "'bolts' is not a unit known here; did you mean volts?",
    ),
    (
        "series: E12\n    slips", "tolerance: 2 %\n    slips", 23, "ask.v_tap.series",
        "an ask of kind number has no such key; it has text, kind, slips, topic, of circuit, of supply, model error, "
        "formula, unit, tolerance, "
        "possible",
    ),
    ("kind: numbr\n", "tolerance: 2 %\n", 23, "ask.v_tap.kind",
     'found "numbr"; known are number, change, preferred, choice, formula, fault, reading; did you mean number?'),
    (
        "possible: v_tap\n", "tolerance: 2 %\n", 23, "ask.v_tap.possible",
        "cannot read 'v_tap' as an expression: it is no condition; compare it with something, by <, > or ==",
    ),
    ("Wrong_End: {", "wrong-end: {", 25, "ask.v_tap.slips.Wrong_End",
     'found "Wrong_End"; a name here is small letters, figures and hyphens'),
    (
        "V1/R1, says", "V1*R1/(R1 + R2), says", 25, "ask.v_tap.slips.wrong-end.formula",
        "it gives a current, and the ask is a voltage; a slip with the wrong unit is found without being listed",
    ),
    (
        "{says", "{formula: V1*R1/(R1 + R2), says", 25, "ask.v_tap.slips.wrong-end.formula",
        "it is missing; a slip is known by the value that it gives",
    ),
    (
        "{formula: V1*R1/(R1 + R2), sais", "{formula: V1*R1/(R1 + R2), says", 25, "ask.v_tap.slips.wrong-end.sais",
        "unknown key; did you mean says?; known are formula, says",
    ),
    # conditions
    (
        "power_R1 < 0.5 V", "power_R1 < 0.5 W", 16, "require[2]",
        "cannot read 'power_R1 < 0.5 V' as an expression: power_R1 is a power and 0.5 V a voltage: they can be neither "
        "added nor compared",
    ),
    (
        "power_R7 < 0.5 W", "power_R1 < 0.5 W", 16, "require[2]",
        "cannot read 'power_R7' as an expression: no value has this name; did you mean power_R2?; there are V1, R1, R2, "
        "v_tap",
    ),
    (
        "power_R1", "power_R1 < 0.5 W", 16, "require[2]",
        "cannot read 'power_R1' as an expression: it is no condition; compare it with something, by <, > or ==",
    ),
    (
        "power_R1 < 0.5 W and R1", "power_R1 < 0.5 W", 16, "require[2]",
        "cannot read 'power_R1 < 0.5 W and R1' as an expression at character 18: and joins conditions such as `R1 < R2`, "
        "and R1 is a number",
    ),
    (
        "2*(R1 < R2) > 1", "power_R1 < 0.5 W", 16, "require[2]",
        "cannot read '2*(R1 < R2) > 1' as an expression at character 2: * wants numbers, and R1 < R2 is a condition",
    ),
    # texts
    (
        "divider `R1,", "divider `R1`,", 17, "text",
        "cannot read '`V1=` feeds the divider `R1, `R2`.' as an expression: a backtick has no partner; an expression "
        "stands between two of them",
    ),
    (
        "`R7=`,", "`R1`,", 17, "text",
        "cannot read 'R7' as an expression: no value has this name; there are V1, R1, R2, v_tap",
    ),
    ("``,", "`R1`,", 17, "text", "cannot read '' as an expression at character 1: it ends where a value was expected"),
    (
        "`=R1 = R2`,", "`R1`,", 17, "text",
        "cannot read '=R1 = R2' as an expression: a value that stands alone (`=R1`) is one expression",
    ),
    (
        "`R1 + V1`,", "`R1`,", 17, "text",
        "cannot read 'R1 + V1' as an expression: R1 is a resistance and V1 a voltage: they can be neither added nor "
        "compared",
    ),
    (
        "[\"`v_tab=`\"]", "[\"`v_tap=`\"]", 27, "solution[1]",
        "cannot read 'v_tab' as an expression: no value has this name; did you mean v_tap?; there are V1, R1, R2, v_tap",
    ),
    (
        "[One., '`V9`']", "[One., Two.]", 26, "hints[2]",
        "cannot read 'V9' as an expression: no value has this name; there are V1, R1, R2, v_tap",
    ),
    # examples
    (
        "examples: [{values: {V1: 200 V, R3: 1 kΩ}, answers: {v_tap: 3 V}, source: x}]", LAST, 28, "examples[1].values.R3",
        "the template has no value of this name",
    ),
    (
        "examples: [{values: {V1: 200 A}, answers: {v_tap: 3 V}, source: x}]", LAST, 28, "examples[1].values.V1",
        "found '200 A', a current, beside a voltage; give all the same unit",
    ),
    (
        "examples: [{values: {V1: 200 V}, answers: {v_tab: 3 V}, source: x}]", LAST, 28, "examples[1].answers.v_tab",
        "nothing is asked under this name; did you mean v_tap?",
    ),
    (
        "examples: [{values: {V1: 200 V}, answers: {}, source: x}]", LAST, 28, "examples[1].answers",
        "it is empty; give at least one",
    ),
    (
        "examples: [{values: {V1: 200 V}, answers: {v_tap: 3 V}}]", LAST, 28, "examples[1].source",
        "it is missing; give it",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("new", "old", "line", "key", "message"), ONE_FAULT)
def test_a_fault_is_told_with_its_line_its_key_and_what_would_do(
    new: str, old: str, line: int, key: str, message: str
) -> None:
    assert faults_of(changed((old, new))) == [f"sample.yaml:{line}: {key}: {message}"]


def test_all_faults_of_a_file_are_told_at_once() -> None:
    text = changed(
        ("series: E12\n", "series: E13\n"), ("level: 1", "level: one"), ("title: What", "titel: What"),
        ("says: That", "sais: That"),
    )  # fmt: skip
    assert [fault.split(": ")[:2] for fault in faults_of(text)] == [
        ["sample.yaml:2", "titel"],
        ["sample.yaml:4", "level"],
        ["sample.yaml:12", "values.R1.series"],
        ["sample.yaml:25", "ask.v_tap.slips.wrong-end.sais"],
    ]


def test_all_faults_of_meaning_are_told_at_once() -> None:
    text = changed(
        ("to: 470 kΩ\n", "to: 470 nF\n"), ("tolerance: 2 %", "tolerance: 2 %\n    possible: 3"),
        ("`V1=` feeds", "`V9=` feeds"), (LAST, "caution: hot"),
    )  # fmt: skip
    assert [fault.split(": ")[:2] for fault in faults_of(text)] == [
        ["sample.yaml:11", "values.R1"],
        ["sample.yaml:17", "text"],
        ["sample.yaml:24", "ask.v_tap.possible"],
        ["sample.yaml:29", "caution"],
    ]


def test_a_faulty_value_breeds_no_faults_where_it_is_used() -> None:
    text = changed((PICK, "pick: [200 V, 3 A]"), ("`V1=` feeds", "`R9=` feeds"))
    assert [fault.split(": ")[1] for fault in faults_of(text)] == ["values.V1", "text"]


def test_a_faulty_circuit_breeds_no_faults_where_it_is_asked() -> None:
    assert len(faults_of(changed(("kind: resistor, nodes: [in", "kind: resistr, nodes: [in")))) == 1


def test_a_faulty_formula_breeds_no_faults_in_its_slips() -> None:
    assert len(faults_of(changed((FORMULA, FORMULA.replace("V1*R2", "V1"))))) == 1


@pytest.mark.parametrize("name", ["pi", "s", "j", "e", "and", "sqrt", "db"])
def test_a_word_of_the_expressions_is_no_name_of_a_value(name: str) -> None:
    text = changed(("  R2: {series", f"  {name}: 3 V\n  R2: {{series"))
    assert faults_of(text)[0] == (
        f"sample.yaml:15: values.{name}: {name!r} is a word of the expressions; give the value another name"
    )


@pytest.mark.parametrize("name", ["pi", "db"])
def test_a_word_of_the_expressions_is_no_name_of_an_ask(name: str) -> None:
    text = changed(("  v_tap:\n", f"  {name}:\n    text: What is it?\n    formula: R1/R2\n  v_tap:\n"))
    assert faults_of(text)[0] == (
        f"sample.yaml:19: ask.{name}: {name!r} is a word of the expressions; give the value another name"
    )


def test_a_name_is_given_once() -> None:
    assert faults_of(changed(("  R2: {series", "  V1: 3 V\n  R2: {series"))) == [
        "sample.yaml:15: values.V1: this key is given twice; keep one"
    ]
    rows = "  valve: {rows: [{label: ECC83, V1: 100 V}]}\n  R2: {series"
    assert faults_of(changed(("  R2: {series", rows))) == [
        "sample.yaml:15: values.valve: the name 'V1' is given under values.V1 already; give one another"
    ]


def test_an_ask_takes_no_name_of_a_value() -> None:
    text = changed(("  v_tap:\n", "  R1:\n    text: What is it?\n    formula: R2\n  v_tap:\n"))
    assert faults_of(text)[0] == "sample.yaml:19: ask.R1: a value has the name 'R1' already; give the ask another"


def test_no_value_takes_a_name_that_the_circuit_means_otherwise() -> None:
    text = changed(("R2: {kind: resistor, nodes: [tap, 0]}", "R2: {kind: resistor, nodes: [tap, 0], value: 2*R1}"))
    text = text.replace("  R2: {series: E12, from: 22 kΩ, to: 220 kΩ}\n", "").replace("  v_tap:", "  R2:")
    text = text.replace("v_tap > 20 V, ", "").replace('"`v_tap=`"', '"`R2=`"').replace("`R1`, `R2`", "`R1`")
    assert faults_of(text.replace("V1*R2/(R1 + R2)", "V1*2/3").replace("V1*R1/(R1 + R2)", "V1/3")) == [
        "sample.yaml:18: ask.R2: 'R2' is what the circuit calls a figure of R2; give the value another name"
    ]


def test_the_label_of_a_row_is_a_word_and_no_number() -> None:
    rows = "  valve: {rows: [{label: ECC83, mu: 100}, {label: ECC82, mu: 17}]}\n  R2: {series"
    good = changed(("  R2: {series", rows), ("divider `R1`,", "divider of the `=valve`, `mu=`,"))
    assert read(good).values["valve"] == Rows(("ECC83", "ECC82"), {"mu": (100.0, 17.0)}, {"mu": RATIO})
    reason = "cannot read 'valve' as an expression: it is the word of a row and stands alone in texts, as `=valve`"
    assert faults_of(good.replace("v_tap > 20 V", "valve > 3")) == [f"sample.yaml:17: require[1]: {reason}"]
    assert faults_of(good.replace("`=valve`", "`2*valve=`")) == [f"sample.yaml:18: text: {reason}"]


def test_at_ac_the_circuits_quantities_want_a_frequency() -> None:
    text = changed((LAST, "analysis: ac"), ("v_tap > 20 V, ", ""), ("    of circuit: {voltage: tap}\n", ""))
    assert faults_of(text) == [
        "sample.yaml:16: require[1]: cannot read 'power_R1' as an expression: at ac the circuit's quantities want a "
        "frequency; give `frequency:`"
    ]


def test_a_derived_value_is_not_pinned_by_an_example() -> None:
    text = changed(
        ("  R2: {series", "  half: {formula: V1/2}\n  R2: {series"),
        (LAST, "examples: [{values: {V1: 200 V, half: 100 V}, answers: {v_tap: 3 V}, source: x}]"),
    )
    assert faults_of(text) == ["sample.yaml:29: examples[1].values.half: it is worked out from the others; pin those"]


def test_a_template_without_circuit_cannot_ask_of_one() -> None:
    start, end = GOOD.index("circuit:"), GOOD.index("values:")
    text = (GOOD[:start] + GOOD[end:]).replace(", power_R1 < 0.5 W", "")
    assert faults_of(text) == [
        "sample.yaml:17: ask.v_tap.of circuit: the template has no circuit; give one under `circuit:`"
    ]


def test_a_shared_circuit_is_found_by_name_or_near_names_are_told() -> None:
    start, end = GOOD.index("circuit:"), GOOD.index("values:")
    text = GOOD[:start] + "circuit: loaded-dividr\n" + GOOD[end:]
    assert faults_of(text, bench_circuits) == [
        "sample.yaml:5: circuit: there is no circuit 'loaded-dividr'; did you mean loaded-divider?; there are coupling, "
        "loaded-divider"
    ]


def test_a_fault_in_a_shared_circuit_names_the_circuit() -> None:
    start, end = GOOD.index("circuit:"), GOOD.index("values:")
    text = GOOD[:start] + "circuit: shared\n" + GOOD[end:]
    assert faults_of(text, lambda _: {"R1": {"kind": "resistr"}})[0].startswith(
        "sample.yaml:5: circuit: in the circuit shared, part R1.kind: found 'resistr'; did you mean resistor?"
    )


@pytest.mark.parametrize("text", ["", "- a\n- b\n", "just words"])
def test_a_file_that_is_no_mapping_is_refused(text: str) -> None:
    with pytest.raises(FaultyFileError) as caught:
        read_template(parse_source(text, "sample.yaml"), bench_circuits)
    assert [fault.message for fault in caught.value.faults] == ["a template file begins with `template:` and its name"]


# -- units of values -------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("rule", "expected"),
    [
        ("250 V", Choices((250.0,), VOLT)),
        ("{pick: [4k7, 10 kΩ]}", Choices((4700.0, 10000.0), OHM)),
        ("{series: E6, from: 10 Ω, to: 47 Ω}", Choices((10.0, 15.0, 22.0, 33.0, 47.0), OHM)),
        ("{from: 0.1 V, to: 0.5 V, step: 0.1 V}", Choices((0.1, 0.2, 0.3, 0.4, 0.5), VOLT)),
        ("{from: -3 V, to: -1 V, step: 1 V}", Choices((-3.0, -2.0, -1.0), VOLT)),
    ],
)
def test_values_are_exact_decimals(rule: str, expected: Choices) -> None:
    template = read(changed(("  R2: {series", f"  extra: {rule}\n  R2: {{series")))
    assert template.values["extra"] == expected


def test_a_derived_value_takes_the_unit_that_is_written() -> None:
    template = read(changed(("  R2: {series", "  slope: {formula: 1/R1, unit: mA/V}\n  R2: {series")))
    rule = template.values["slope"]
    assert isinstance(rule, Derived)
    assert rule.unit.symbol == "A/V"
    assert template.derived == ("slope",)


def test_lines_are_found_for_keys_and_for_what_lies_below_them() -> None:
    template = read(GOOD)
    assert template.line_of("ask.v_tap.tolerance") == 23
    assert template.line_of("hints[2]") == 26
    assert template.line_of("ask.v_tap.slips.wrong-end.says.nothing") == 25
    assert template.line_of("nothing.at.all") == 1
