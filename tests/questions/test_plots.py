"""Asks of kind reading: from the template to the paper, the mark and the proof."""

from __future__ import annotations

import itertools
import json
import math

import pytest

from tests.questions.templates import compiled, faults_of, findings_of, question_of
from tutor.questions.draw import draw
from tutor.questions.fragments import plot_of
from tutor.questions.marking import mark
from tutor.questions.marks import Verdict
from tutor.questions.question import DrawnAsk, Question

TEMPLATE = """\
template: sample
title: A point on a line
topic: dividers
level: 1
values:
  V1: {from: 200 V, to: 300 V, step: 5 V}
  Ra: {series: E12, from: 82 kΩ, to: 150 kΩ}
  Vg: {pick: [-1 V, -2 V]}
plot:
  across: {name: Anode voltage, symbol: V_a, from: 0 V, to: 400 V}
  up: {name: Anode current, symbol: I_a, from: 0 mA, to: 4 mA}
  curves:
    family: {valve: ECC83, grid voltages: [0 V, -1 V, -2 V, -3 V]}
    load: {label: load line, formula: (V1 - x)/Ra}
text: "`V1=`, `Ra=`, `Vg=`"
ask:
  v_a:
    kind: reading
    text: What is the anode voltage?
    of plot: {curve: load, meets: family, grid voltage: Vg, take: across}
    slips:
      drop: {formula: V1 - v_a, says: That is across the load.}
      end: {formula: V1, says: That is the end of the line.}
  i_a:
    kind: reading
    text: What is the anode current?
    of plot: {curve: load, meets: family, grid voltage: Vg, take: up}
  v_load:
    text: What does the load drop?
    formula: V1 - v_a
    unit: V
hints: [One., Two.]
solution: ["`v_a=`, `i_a=`", "`v_load = V1 - v_a =`"]
caution: high-voltage
examples:
  - values: {V1: 283 V, Ra: 91 kΩ, Vg: -1 V}
    answers: {v_load: 125.03 V}
    source: "arithmetic, worked apart from the program"
"""


def changed(old: str, new: str) -> str:
    assert TEMPLATE.count(old) == 1
    return TEMPLATE.replace(old, new)


@pytest.fixture(scope="module")
def question() -> Question:
    return question_of(TEMPLATE)


def verdict(question: Question, **typed: str) -> tuple[Verdict, int, str]:
    (name,) = typed
    found = mark(question, typed).asks[name]
    return found.verdict, found.marks, found.slip


def off(ask: DrawnAsk, divisions: float) -> str:
    """Return an answer so many small divisions beside the key."""
    return f"{ask.key + divisions * 2 * ask.band.absolute!r} {ask.unit}"


def test_half_a_small_division_is_right(question: Question) -> None:
    ask = question.ask("v_a")
    # 400 V on 290 pixels: 50 V between labels, five divisions of 10 V.
    assert ask.tolerance == "5\u00a0V"
    assert verdict(question, v_a=off(ask, 0.49)) == (Verdict.RIGHT, 2, "")
    assert verdict(question, v_a=off(ask, -0.5)) == (Verdict.RIGHT, 2, "")


def test_a_whole_small_division_earns_the_unit(question: Question) -> None:
    ask = question.ask("v_a")
    assert verdict(question, v_a=off(ask, 0.6)) == (Verdict.SLIP, 1, "next-line")
    assert verdict(question, v_a=off(ask, -1.0)) == (Verdict.SLIP, 1, "next-line")
    assert verdict(question, v_a=off(ask, 1.2))[:2] == (Verdict.WRONG, 0)


def test_named_slips_and_units_are_found_as_for_numbers(question: Question) -> None:
    slips = [slip for slip in question.ask("v_a").slips if slip.tells]
    assert slips
    for slip in slips:
        assert verdict(question, v_a=f"{slip.value!r} V") == (Verdict.SLIP, 0, slip.name)
    key = question.ask("v_a").key
    assert verdict(question, v_a=f"{key!r} mV")[0] is Verdict.RIGHT_UNIT_WRONG
    assert verdict(question, i_a=f"{question.ask('i_a').key * 1e3!r}")[0] is Verdict.RIGHT  # mA stands beside it


def test_an_own_reading_is_carried_on(question: Question) -> None:
    v_a, v1 = question.ask("v_a"), question.values["V1"]
    own = v_a.key + 12
    found = mark(question, {"v_a": f"{own!r} V", "v_load": f"{v1 - own!r} V"}).asks["v_load"]
    assert (found.verdict, found.marks) == (Verdict.FOLLOW_THROUGH, 2)
    near = v_a.key + 4.9
    found = mark(question, {"v_a": f"{near!r} V", "v_load": f"{v1 - near!r} V"}).asks["v_load"]
    assert found.verdict is Verdict.RIGHT


def test_a_question_keeps_its_plot(question: Question) -> None:
    stored = json.loads(json.dumps(question.to_data()))
    again = Question.from_data(stored)
    assert again == question
    assert plot_of(again, "u").svg == plot_of(question, "u").svg
    assert len(json.dumps(stored["plot"])) < 12_000


def test_the_plot_gives_no_answer_away(question: Question) -> None:
    picture = plot_of(question, "u")
    assert question.ask("v_a").shown not in picture.words + picture.svg
    assert "Marked" not in picture.words
    assert "Curves: Vg = 0 V; −1 V; −2 V; −3 V; load line." in picture.words


def test_a_blind_reader_finds_the_point_in_the_table(question: Question) -> None:
    # Between two rows of the table the difference of the two columns changes its sign; straight lines give the point.
    (table,) = plot_of(question, "u").tables
    volts = f"−{-question.values['Vg']:g} V"
    first, other = table.headings.index(volts), table.headings.index("load line")
    rows = [(float(row[0]), row[first], row[other]) for row in table.rows]
    gaps = [(v, float(a) - float(b)) for v, a, b in rows if "–" not in (a, b)]
    ((v0, d0), (v1, d1)) = next(pair for pair in itertools.pairwise(gaps) if (pair[0][1] > 0) != (pair[1][1] > 0))
    ask = question.ask("v_a")
    assert ask.band.accepts(ask.key, v0 + (v1 - v0) * d0 / (d0 - d1))


def test_the_tolerance_on_logarithmic_paper_goes_with_the_place() -> None:
    text = changed(
        "  across: {name: Anode voltage, symbol: V_a, from: 0 V, to: 400 V}\n"
        "  up: {name: Anode current, symbol: I_a, from: 0 mA, to: 4 mA}\n",
        "  across: {name: Frequency, from: 10 Hz, to: 1 kHz, scale: log}\n  up: {name: Gain, from: -20 dB, to: 0 dB}\n",
    )
    start, end = text.index("  curves:"), text.index("text: ")
    text = text[:start] + "  curves:\n    load: {formula: db(1/sqrt(1 + (V1*1 Hz/1 V/x)**2))}\n" + text[end:]
    start, end = text.index("ask:"), text.index("hints:")
    reading = "{curve: load, height: db(sqrt(0.5)), take: across}"
    text = text[:start] + f"ask:\n  f_c: {{kind: reading, text: Corner?, of plot: {reading}}}\n" + text[end:]
    text = text[: text.index("solution:")] + 'solution: ["`f_c=`"]\n'
    question = question_of(text)
    ask = question.ask("f_c")
    assert ask.key == pytest.approx(question.values["V1"], rel=1e-9)
    # From 200 to 400 Hz the paper is ruled every 20 Hz.
    assert ask.band.half_width(ask.key) == pytest.approx(10.0)


FAULTS = [
    ("curve: load, meets: family, grid voltage: Vg, take: across}", "curve: lod, at: 100 V}",
     "ask.v_a.of plot: the plot has no curve 'lod'; did you mean load?; it has family, load"),
    ("curve: load, meets: family, grid voltage: Vg, take: across}", "curve: load}",
     "ask.v_a.of plot: give one of at, height, meets, extreme; found none"),
    ("curve: load, meets: family, grid voltage: Vg, take: across}", "curve: family, at: 100 V}",
     "ask.v_a.of plot: `grid voltage:` says which curve of a family is read; it goes with a valve's family"),
    ("curve: load, meets: family, grid voltage: Vg, take: across}", "curve: load, at: 1 mA}",
     "ask.v_a.of plot.at: found '1 mA', a current; a voltage is wanted"),
    ("formula: (V1 - x)/Ra}", "formula: V1 - x}",
     "plot.curves.load: the formula gives a voltage; the axis upwards is a current"),
    ("valve: ECC83,", "valve: EL84,", "plot.curves.family: found EL84; the curves of triodes can be drawn"),
    ("from: 0 V, to: 400 V", "from: 400 V, to: 0 V",
     "plot.across: found 400 V to 0 V; an axis runs from the lesser to the larger value"),
    ("from: 0 V, to: 400 V", "from: 0 V, to: 400 V, scale: log",
     "plot.across: found 0 V; a logarithmic axis begins above nought"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "message"), FAULTS)
def test_faults_say_where_and_what_would_do(old: str, new: str, message: str) -> None:
    found = faults_of(changed(old, new))
    assert any(fault.split(": ", 1)[0].startswith("sample.yaml") and message in fault for fault in found), found


def test_the_sample_is_proved() -> None:
    assert findings_of(TEMPLATE) == []


def test_a_key_beside_the_paper_is_found() -> None:
    found = findings_of(changed("to: 400 V}", "to: 150 V}"))
    assert any("no value" in line or "not finite" in line or "not on the paper" in line for line in found)


def test_a_curve_that_passes_beside_the_key_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    from tutor.questions import drawn_plot

    whole = drawn_plot._points

    def bent(*arguments: object) -> list[list[float]]:
        return [[x, y * 1.05] for x, y in whole(*arguments)]  # type: ignore[arg-type]

    monkeypatch.setattr(drawn_plot, "_points", bent)
    assert any("the drawn curve gives" in line for line in findings_of(TEMPLATE))


def test_the_same_serial_is_the_same_plot() -> None:
    made = compiled(TEMPLATE)
    assert draw(made, 5).plot == draw(made, 5).plot
    assert all(math.isfinite(y) for curve in draw(made, 5).plot["curves"] for _, y in curve["points"])  # type: ignore[index]


OF_CIRCUIT = """\
template: sample
title: A coupling
topic: dividers
level: 1
circuit:
  Vs: {kind: voltage source, nodes: [in, 0], value: 1 V}
  C1: {kind: capacitor, nodes: [in, out]}
  R1: {kind: resistor, nodes: [out, 0]}
values:
  C1: {pick: [10 nF, 22 nF]}
  R1: {pick: [100 kΩ, 220 kΩ, 470 kΩ]}
plot:
  across: {name: Frequency, from: 10 Hz, to: 1 kHz, scale: log}
  up: {name: Gain, from: -20 dB, to: 0 dB}
  curves:
    gain: {of circuit: {gain: {from: in, to: out}, take: decibels}}
text: "`C1=`, `R1=`"
ask:
  f_c: {kind: reading, text: Corner?, of plot: {curve: gain, height: db(sqrt(0.5)), take: across}}
  g: {kind: reading, text: Gain at the lowest?, of plot: {curve: gain, at: 20 Hz}}
hints: [One., Two.]
solution: ["`f_c=`, `g=`"]
"""


def test_a_curve_of_the_circuit_falls_by_three_decibels_at_one_over_two_pi_rc() -> None:
    # Corner of a high-pass: 1/(2πRC), any textbook of networks.
    for serial in range(4):
        question = question_of(OF_CIRCUIT, serial)
        corner = 1 / (2 * math.pi * question.values["R1"] * question.values["C1"])
        assert question.ask("f_c").key == pytest.approx(corner, rel=1e-9)
        assert question.ask("g").key == pytest.approx(-10 * math.log10(1 + (corner / 20) ** 2), rel=1e-9)
        assert (question.ask("g").printed, question.ask("f_c").printed) == ("dB", "Hz")


def test_a_curve_of_the_circuit_wants_one_and_a_frequency() -> None:
    (fault,) = faults_of(OF_CIRCUIT.replace("from: 10 Hz, to: 1 kHz, scale: log", "from: 0 s, to: 1 s"))[:1]
    assert "a quantity of the circuit is plotted against frequency; give the axis across in Hz" in fault


def test_other_programs_get_the_plot_in_words_and_figures() -> None:
    from tutor.cli.questions import question_data

    data = question_data(question_of(OF_CIRCUIT))
    assert data["asks"]["g"]["kind"] == "reading"
    assert data["plot"]["words"].startswith("Plot: A coupling. Across: Frequency, from 10\u00a0Hz to 1\u00a0kHz")
    assert data["plot"]["tables"][0]["headings"][0] == "Frequency (Hz)"
