from __future__ import annotations

import math
from typing import Any

import pytest

from tutor.circuits.circuit_file import CircuitFile, circuit_from_source, read_frequency, read_time
from tutor.circuits.errors import CircuitError
from tutor.circuits.source import parse_source
from tutor.errors import FaultyFileError

STAGE = """
circuit: stage
title: A stage
parts:
  V1: {kind: voltage source, nodes: [in, 0], value: {dc: 250 V, ac: 1 V}}
  R1: {kind: resistor, nodes: [in, out], value: 10 kΩ}
  C1: {kind: capacitor, nodes: [out, 0], value: 1 µF}
"""
CORNER = "15.915494309189533 Hz"
KINDS = (
    "capacitor, coupling, current source, current-controlled current source, current-controlled voltage source, "
    "inductor, meter, pentode, potentiometer, resistor, transformer, triode, voltage source, voltage-controlled current "
    "source, voltage-controlled voltage source"
)


def circuit(text: str) -> CircuitFile:
    return circuit_from_source(parse_source(text, "x.yaml"))


def answers(text: str) -> list[Any]:
    read = circuit(STAGE + text)
    return [read.solve(ask) for _, ask in read.asks]


def test_a_file_says_at_what_its_asks_are_meant() -> None:
    (low,) = answers(f"analysis: ac\nfrequency: {CORNER}\nask: [{{voltage: out}}]\n")
    assert (low.magnitude, low.phase) == (pytest.approx(math.sqrt(0.5)), pytest.approx(-45.0))
    (still,) = answers("ask: [{voltage: out}]\n")
    assert (still.magnitude, still.phase) == (250.0, None)


def test_an_ask_may_say_otherwise() -> None:
    dc, ac, step = answers(
        "ask:\n- {voltage: out}\n- {voltage: out, analysis: ac, frequency: 1 GHz}\n"
        "- {voltage: out, analysis: step, time: 10 ms}\n"
    )
    assert dc.magnitude == 250.0
    assert ac.magnitude == pytest.approx(1 / (2 * math.pi * 1e9 * 1e-2))
    assert step.magnitude == pytest.approx(250.0 * (1 - math.exp(-1)))


TAKES = [
    ("magnitude", math.sqrt(0.5), "V"),
    ("phase", -45.0, "°"),
    ("decibels", -10 * math.log10(2), "dB"),
    ("real", 0.5, "V"),
    ("imaginary", -0.5, "V"),
]


@pytest.mark.parametrize(("take", "value", "unit"), TAKES)
def test_one_figure_of_a_phasor_may_be_taken(take: str, value: float, unit: str) -> None:
    (solved,) = answers(f"analysis: ac\nfrequency: {CORNER}\nask: [{{voltage: out, take: {take}}}]\n")
    assert solved.magnitude == pytest.approx(value)
    assert (solved.unit.symbol, solved.phase) == (unit, None)


def test_nothing_has_no_level() -> None:
    with pytest.raises(CircuitError) as caught:
        answers(
            f"analysis: ac\nfrequency: {CORNER}\nask: [{{current: V1, take: decibels}}, {{power: C1, take: decibels}}]\n"
        )
    assert str(caught.value) == (
        "cannot read 'decibels' as an expression: the value is nought, which has no level in decibels"
    )


def test_the_form_is_kept_as_the_file_wrote_it() -> None:
    read = circuit(STAGE + "ask:\n- {gain: {from: in, to: out}, analysis: ac, frequency: 50 Hz}\n")
    assert read.asks[0][0] == {"gain": {"from": "in", "to": "out"}, "analysis": "ac", "frequency": "50 Hz"}
    assert (read.name, read.frequency, read.time) == ("stage", None, None)


def test_a_file_without_asks_or_name_is_a_circuit_all_the_same() -> None:
    read = circuit("parts:\n  R1: {kind: resistor, nodes: [a, 0], value: 1 Ω}\n")
    assert (read.name, read.asks, read.analysis.kind) == ("x.yaml", (), "dc")


FAULTY = [
    ("", "x.yaml: a circuit file holds `circuit:`, `parts:` and `ask:`"),
    ("- a\n", "x.yaml:1: a circuit file holds `circuit:`, `parts:` and `ask:`"),
    ("circuit: x\n", "x.yaml:1: parts: found None; a mapping of references to parts is wanted, such as R1: {kind: …}"),
    ("circuit: {}\nparts: []\n",
     "x.yaml:1: circuit: found {}; the circuit's name is wanted\n"
     "x.yaml:2: parts: found []; a mapping of references to parts is wanted, such as R1: {kind: …}"),
    (STAGE + "analysis: tran\n", "x.yaml:8: analysis: found 'tran'; known are dc, ac, step"),
    (STAGE + "analysis: [ac]\n", "x.yaml:8: analysis: found ['ac']; known are dc, ac, step"),
    (STAGE + "frequency: 50 V\n", "x.yaml:8: frequency: found '50 V', a voltage; a frequency is wanted, such as 50 Hz"),
    (STAGE + "frequency: 314 rad/s\n",
     "x.yaml:8: frequency: found '314 rad/s', an angular frequency; a frequency is wanted, such as 50 Hz"),
    (STAGE + "frequency: fifty\n",
     "x.yaml:8: frequency: found 'fifty': expected a number, then a unit; for example 50 Hz"),
    (STAGE + "time: 5 Hz\n", "x.yaml:8: time: found '5 Hz', a frequency; a time is wanted, such as 5 ms"),
    (STAGE + "ask: {voltage: out}\n",
     "x.yaml:8: ask: found {'voltage': 'out'}; a list of forms is wanted, such as - {voltage: tap}"),
    (STAGE + "ask:\n- {voltage: out}\n- {volts: out}\n",
     "x.yaml:10: ask[2]: found the key 'volts'; did you mean voltage?; known are voltage, current, power, gain, "
     "impedance, input impedance, output impedance, short-circuit current, time constant, corner frequency, analysis, "
            "frequency, take, time"),
    (STAGE + "asks: []\n",
     "x.yaml:8: asks: unknown key; did you mean ask?; known are circuit, title, words, parts, analysis, frequency, time, "
     "ask"),
    ("parts:\n  R1: resistor\n", "x.yaml:2: parts.R1: found 'resistor'; a mapping with kind and nodes is wanted"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "message"), FAULTY)
def test_a_faulty_file_is_told_with_line_key_and_cure(text: str, message: str) -> None:
    with pytest.raises(FaultyFileError) as caught:
        circuit(text)
    assert str(caught.value) == message


def test_all_faults_of_a_file_are_told_at_once() -> None:
    text = """circuit: bad
parts:
  V1: {kind: voltage source, nodes: [in, 0], value: 250}
  R1: {kind: resitor, nodes: [in, out], value: 10 kΩ}
  C1: {kind: capacitor, nodes: [out], value: 1 µF}
frequency: 50
time: soon
ask:
- {voltag: out}
"""
    with pytest.raises(FaultyFileError) as caught:
        circuit(text)
    assert str(caught.value).replace("\N{NO-BREAK SPACE}", " ").splitlines() == [
        "x.yaml:3: parts.V1.value: found '250', without a unit; a voltage is wanted, such as 250 V",
        f"x.yaml:4: parts.R1.kind: found 'resitor'; did you mean resistor?; known are {KINDS}",
        "x.yaml:5: parts.C1.nodes: found ['out']; a capacitor wants a list of 2 nodes [a, b]",
        "x.yaml:7: time: found 'soon': expected a number, then a unit; for example 5 ms",
        "x.yaml:9: ask[1]: found the key 'voltag'; did you mean voltage?; known are voltage, current, power, gain, "
        "impedance, input impedance, output impedance, short-circuit current, time constant, corner frequency, analysis, "
        "frequency, take, time",
    ]


SOLVING = [
    ("analysis: ac\nask: [{voltage: out}]\n", "an ac analysis wants a frequency; write `frequency: 50 Hz`"),
    ("analysis: ac\nfrequency: 0 Hz\nask: [{voltage: out}]\n",
     "the frequency is 0 Hz; it must be more than nothing (ask dc instead)"),
    ("analysis: ac\nfrequency: -50 Hz\nask: [{voltage: out}]\n",
     "the frequency is -50 Hz; it must be more than nothing (ask dc instead)"),
    ("analysis: step\nask: [{voltage: out}]\n", "a step wants a time; write `time: 5 ms`"),
    ("analysis: step\ntime: -1 s\nask: [{voltage: out}]\n",
     "the time is -1 s; the sources are switched on at 0 s, so it must not be less"),
    ("analysis: step\ntime: 1 s\nask: [{impedance: out}]\n",
     "the impedance between out and earth has no value in time; ask for a voltage, a current or a power at step"),
    ("ask: [{voltage: tap}]\n", "the circuit has no node 'tap'; it has in, 0, out"),
    ("ask: [{voltage: [out, ot]}]\n", "the circuit has no node 'ot'; did you mean out?; it has in, 0, out"),
    ("ask: [{current: R2}]\n", "the circuit has no part 'R2'; it has V1, R1, C1"),
    ("ask: [{power: V2}]\n", "the circuit has no part 'V2'; it has V1, R1, C1"),
    ("ask: [{current: R1.primary}]\n", "part R1: a resistor has no winding 'primary'"),
    ("ask: [{impedance: [out, out]}]\n", "impedance: 'out' and 'out' are the same node"),
    ("ask: [{gain: {from: [in, in], to: out}}]\n", "gain: from 'in' to 'in' there is no voltage to compare with"),
    ("ask: [{time constant: R1}]\n",
     "part R1: a resistor has no time constant; ask for that of a capacitor or an inductor"),
    ("ask: [{voltage: out, analysis: ac, frequency: 1 kV}]\n",
     "found '1 kV', a voltage; a frequency is wanted, such as 50 Hz"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "message"), SOLVING)
def test_what_cannot_be_answered_says_why(text: str, message: str) -> None:
    with pytest.raises(CircuitError) as caught:
        answers(text)
    assert str(caught.value) == message


@pytest.mark.parametrize(
    ("text", "hertz"),
    [("50 Hz", 50.0), ("1 kHz", 1e3), ("50 c/s", 50.0), ("50", 50.0), ("1k", 1e3), ("2.5 kc/s", 2500.0)],
)
def test_a_frequency_is_in_hertz_where_nothing_is_said(text: str, hertz: float) -> None:
    assert read_frequency(text) == hertz


@pytest.mark.parametrize(("text", "seconds"), [("5 ms", 5e-3), ("2", 2.0), ("0 s", 0.0), ("1 minute", 60.0)])
def test_a_time_is_in_seconds_where_nothing_is_said(text: str, seconds: float) -> None:
    assert read_time(text) == seconds
