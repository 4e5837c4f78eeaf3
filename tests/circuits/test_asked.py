from __future__ import annotations

from typing import Any

import pytest

from tutor.circuits.asked import (
    FORMS,
    CircuitAsk,
    CornerFrequency,
    Current,
    Gain,
    Impedance,
    InputImpedance,
    OutputImpedance,
    Power,
    ShortCircuitCurrent,
    TimeConstant,
    Voltage,
    read_circuit_ask,
)
from tutor.circuits.errors import CircuitError

KNOWN = (
    "voltage, current, power, gain, impedance, input impedance, output impedance, short-circuit current, time constant, "
    "corner frequency"
)

READ = [
    ({"voltage": "tap"}, Voltage("tap", "0"), "voltage of tap", "V"),
    ({"voltage": ["a"]}, Voltage("a", "0"), "voltage of a", "V"),
    ({"voltage": ["a", "b"]}, Voltage("a", "b"), "voltage of a against b", "V"),
    ({"current": "R1"}, Current("R1"), "current through R1", "A"),
    ({"current": "T1.secondary"}, Current("T1", "secondary"), "current through T1, secondary", "A"),
    ({"power": "R1"}, Power("R1"), "power in R1", "W"),
    ({"gain": {"from": "a", "to": "b"}}, Gain(("a", "0"), ("b", "0")), "gain from a to b", ""),
    ({"gain": {"from": ["a", "k"], "to": "b"}}, Gain(("a", "k"), ("b", "0")), "gain from a against k to b", ""),
    ({"impedance": "a"}, Impedance("a", "0"), "impedance between a and earth", "Ω"),
    ({"impedance": ["a", "b"]}, Impedance("a", "b"), "impedance between a and b", "Ω"),
    ({"time constant": "C1"}, TimeConstant("C1"), "time constant of C1", "s"),
    ({"input impedance": "in"}, InputImpedance("in", "0"), "input impedance between in and earth", "Ω"),
    ({"output impedance": ["a", "k"]}, OutputImpedance("a", "k"), "output impedance between a and k", "Ω"),
    ({"output impedance": {"at": "a", "load": "RL"}}, OutputImpedance("a", "0", ("RL",)),
     "output impedance between a and earth without RL", "Ω"),
    ({"short-circuit current": ["a", "b"]}, ShortCircuitCurrent("a", "b"), "short-circuit current from a to b", "A"),
    ({"corner frequency": "C1"}, CornerFrequency("C1"), "corner frequency of C1", "Hz"),
    ({"corner frequency": {"part": "C1", "kind": "zero", "from": "in", "to": ["a", "k"], "short": "C2", "open": ["L1", "C3"]}},
     CornerFrequency("C1", "zero", ("in", "0"), ("a", "k"), ("C2",), ("L1", "C3")), "corner frequency of C1", "Hz"),
]  # fmt: skip


@pytest.mark.parametrize(("data", "asked", "text", "unit"), READ)
def test_every_form_is_read_said_and_has_its_unit(data: Any, asked: Any, text: str, unit: str) -> None:
    ask = read_circuit_ask(data)
    assert ask == CircuitAsk(asked)
    assert str(asked) == text
    assert asked.unit.symbol == unit


def test_every_form_has_been_read_above() -> None:
    assert {key for row in READ for key in row[0]} == set(FORMS)


def test_a_form_may_say_at_what_it_is_asked() -> None:
    ask = read_circuit_ask({"voltage": "a", "analysis": "ac", "frequency": "1 kHz", "take": "decibels"})
    assert (ask.analysis, ask.frequency, ask.take, ask.time) == ("ac", "1 kHz", "decibels", None)
    step = read_circuit_ask({"voltage": "a", "analysis": "step", "time": "5 ms"})
    assert (step.analysis, step.time) == ("step", "5 ms")


WRONG = [
    ("voltage", "found 'voltage'; a mapping is wanted, such as {voltage: tap} or {current: R1}"),
    ({}, f"found no quantity; exactly one of {KNOWN} is wanted"),
    ({"voltage": "a", "current": "R1"}, f"found voltage, current; exactly one of {KNOWN} is wanted"),
    ({"voltag": "a"},
     f"found the key 'voltag'; did you mean voltage?; known are {KNOWN}, analysis, frequency, take, time"),
    ({"voltage": ["a", "b", "c"]}, "found ['a', 'b', 'c']; one node or two are wanted: [a, b]"),
    ({"voltage": []}, "found []; one node or two are wanted: [a, b]"),
    ({"voltage": None}, "found None; one node or two are wanted: a or [a, b]"),
    ({"impedance": {"a": "b"}}, "found {'a': 'b'}; one node or two are wanted: a or [a, b]"),
    ({"current": ["R1"]}, "found ['R1']; the reference of a part is wanted, such as R1"),
    ({"power": ""}, "found ''; the reference of a part is wanted, such as R1"),
    ({"time constant": None}, "found None; the reference of a part is wanted, such as R1"),
    ({"gain": "a"}, "gain: found 'a'; {from: a, to: b} is wanted"),
    ({"gain": {"from": "a"}}, "gain: found {'from': 'a'}; {from: a, to: b} is wanted"),
    ({"voltage": "a", "analysis": "tran"}, "analysis: found 'tran'; known are dc, ac, step"),
    ({"output impedance": {"at": "a", "lod": "RL"}},
     "output impedance: found the key 'lod'; did you mean load?; {at: anode, load: RL} is wanted"),
    ({"output impedance": {"load": "RL"}}, "found None; one node or two are wanted: a or [a, b]"),
    ({"corner frequency": {"kind": "zero", "part": "C1", "from": "in"}},
     "corner frequency: a zero belongs to a response; say `from:` where to `to:` where"),
    ({"corner frequency": {"part": "C1", "kind": "pol"}}, "kind: found 'pol'; did you mean pole?; known are pole, zero"),
    ({"corner frequency": {"kind": "pole"}}, "found None; the reference of a part is wanted, such as R1"),
    ({"corner frequency": {"part": "C1", "shrt": "C2"}},
     "corner frequency: found the key 'shrt'; did you mean short?; C1 or {part: C1, kind: zero, from: in, to: out} is "
     "wanted"),
    ({"voltage": "a", "take": "phse"},
     "take: found 'phse'; did you mean phase?; known are magnitude, phase, decibels, real, imaginary"),
    ({"voltage": "a", "take": ["phase"]},
     "take: found ['phase']; did you mean phase?; known are magnitude, phase, decibels, real, imaginary"),
    ({"x" * 300: "a"}, f"found the key {'x' * 59 + '…'!r}; known are {KNOWN}, analysis, frequency, take, time"),
]  # fmt: skip


@pytest.mark.parametrize(("data", "message"), WRONG)
def test_what_is_no_form_is_told_with_what_would_do(data: Any, message: str) -> None:
    with pytest.raises(CircuitError) as caught:
        read_circuit_ask(data)
    assert str(caught.value) == message
