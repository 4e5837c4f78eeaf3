from __future__ import annotations

import pytest

from tests.questions.templates import asking, findings_of, read
from tutor.circuits.problem import pose
from tutor.questions.checking import exact_proof
from tutor.questions.checking.exact_proof import exactly_equal

DIVIDER = """\
circuit:
  V1: {kind: voltage source, nodes: [in, 0]}
  R1: {kind: resistor, nodes: [in, tap]}
  R2: {kind: resistor, nodes: [tap, 0]}
"""
DC = "V1: 250 V\nR1: 22 kΩ\nR2: 47 kΩ\nsum: {formula: R1 + R2}"
LOWPASS = """\
analysis: ac
frequency: f
circuit:
  V1: {kind: voltage source, nodes: [in, 0], value: 1 V}
  R1: {kind: resistor, nodes: [in, out]}
  C1: {kind: capacitor, nodes: [out, 0]}
"""
AC = "R1: 10 kΩ\nC1: 10 nF\nf: 1 kHz\nw: {formula: 2*pi*f}"
GAIN = "{gain: {from: in, to: out}}"


def proof(keys: str, before: str, values: str, after: str = "", name: str = "x") -> bool | None:
    """Return the verdict of the exact comparison for one ask."""
    template = read(asking(keys, values, before=before) + after)
    ask = template.ask(name)
    assert ask.circuit is not None
    assert template.network is not None
    return exactly_equal(template, ask, pose(template.network, ask.circuit.asked, template.analysis_of(ask.circuit)))


@pytest.mark.parametrize(
    ("formula", "verdict"),
    [
        ("V1*R2/(R1 + R2)", True), ("V1/(1 + R1/R2)", True), ("V1*R2/sum", True), ("V1 - V1*R1/(R1 + R2)", True),
        ("V1*(R1 + R2)**-1*R2", True), ("V1*parallel(R1, R2)/R1", True), ("V1*R1/(R1 + R2)", False),
        ("-V1*R2/(R1 + R2)", False), ("250 V*R2/(R1 + R2)", False), ("V1*47 kΩ/(R1 + R2)", False),
        ("V1*R2/(R1 + R2)*pi/3.14159265358979", False),
        # roots, logarithms and powers that are no whole numbers are left to the draws
        ("sqrt(V1**2)*R2/(R1 + R2)", None), ("V1*exp(log(R2/(R1 + R2)))", None), ("V1*(R2/sum)**1.0", True),
        ("V1*(R2/sum)**0.5", None), ("max(V1, 0 V)*R2/sum", None),
    ],
)  # fmt: skip
def test_a_formula_is_compared_with_the_circuit_in_all_symbols(formula: str, verdict: bool | None) -> None:
    assert proof(f"{{of circuit: {{voltage: tap}}, formula: '{formula}'}}", DIVIDER, DC) is verdict


@pytest.mark.parametrize(
    ("keys", "verdict"),
    [
        (f"{{of circuit: {GAIN}, formula: 1/sqrt(1 + (2*pi*f*R1*C1)**2)}}", True),
        (f"{{of circuit: {GAIN}, formula: 1/sqrt(1 + (w*R1*C1)**2)}}", True),
        (f"{{of circuit: {GAIN}, formula: abs(-1)/sqrt(1 + (w*R1*C1)**2)}}", True),
        (f"{{of circuit: {GAIN}, formula: 1/sqrt(1 + w*R1*C1)}}", False),
        (f"{{of circuit: {GAIN}, formula: 1/(1 + w*R1*C1)}}", False),
        (f"{{of circuit: {GAIN}, formula: 1/sqrt(1 + (6.28*f*R1*C1)**2)}}", False),
        (f"{{of circuit: {GAIN}, unit: dB, formula: db(1/sqrt(1 + (w*R1*C1)**2))}}", True),
        (f"{{of circuit: {GAIN}, unit: dB, formula: -db(sqrt(1 + (w*R1*C1)**2))}}", True),
        (f"{{of circuit: {GAIN}, unit: dB, formula: 20*log10(1/sqrt(1 + (w*R1*C1)**2))}}", True),
        (f"{{of circuit: {GAIN}, unit: dB, formula: db(1/(1 + (w*R1*C1)**2))}}", False),
        (f"{{of circuit: {GAIN}, unit: dB, formula: -10*log10(1 + (w*R1*C1)**2)}}", None),
        (f"{{of circuit: {GAIN}, unit: °, formula: -atan(w*R1*C1)*180/pi}}", None),
        (f"{{of circuit: {GAIN}, unit: dB, formula: 2*db(1/sqrt(1 + (w*R1*C1)**2))}}", None),
        (f"{{of circuit: {GAIN}, formula: 1/sqrt(1 + (w*R1*C1)**2) + 0.0}}", None),
        ("{of circuit: {impedance: out}, formula: R1/sqrt(1 + (w*R1*C1)**2)}", True),
        ("{of circuit: {time constant: C1}, formula: R1*C1}", True),
        ("{of circuit: {time constant: C1}, formula: 2*R1*C1}", False),
        ("{of circuit: {power: R1}, formula: 1 V**2*R1/(R1**2 + 1/(w*C1)**2)}", None),
    ],
)
def test_magnitudes_are_compared_by_their_squares_and_levels_by_the_ratio_inside(
    keys: str, verdict: bool | None
) -> None:
    assert proof(keys, LOWPASS, AC) is verdict


def test_earlier_asks_are_written_out() -> None:
    after = "  y: {text: And?, of circuit: {current: R2}, formula: FORMULA}\n"
    for formula, verdict in (("x/R2", True), ("x/R1", False), ("x/R2*1", True)):
        tap = "{of circuit: {voltage: tap}, formula: V1*R2/sum}"
        assert proof(tap, DIVIDER, DC, after.replace("FORMULA", formula), "y") is verdict


def test_an_earlier_ask_that_has_no_formula_is_left_to_the_draws() -> None:
    after = "  y: {text: And?, of circuit: {current: R2}, formula: x/R2}\n"
    assert proof("{of circuit: {voltage: tap}}", DIVIDER, DC, after, "y") is None


def test_an_ask_without_formula_has_nothing_to_compare() -> None:
    assert proof("{of circuit: {voltage: tap}}", DIVIDER, DC) is None


def test_a_source_with_an_angle_is_left_to_the_draws() -> None:
    circuit = LOWPASS.replace("value: 1 V", "value: 1 V, phase: 30°")
    keys = "{of circuit: {voltage: out}, formula: 1 V/sqrt(1 + (w*R1*C1)**2)}"
    assert proof(keys, circuit, AC) is None
    assert findings_of(asking(keys, AC, before=circuit, text="'`R1=`, `C1=`, `f=`'")) == [
        "answers at ask.x: only 1 different keys in 60 draws; widen the values"
    ]


LOG_TRACK = """\
circuit:
  V1: {kind: voltage source, nodes: [in, 0], value: 1 V}
  P1: {kind: potentiometer, nodes: [in, out, '0'], value: 1 MΩ, turn: TURN, law: log, half: m}
"""


def test_a_logarithmic_track_is_compared_at_half_travel_and_else_left_to_the_draws() -> None:
    keys = "{of circuit: {gain: {from: in, to: out}}, formula: m}"
    assert proof(keys, LOG_TRACK.replace("TURN", "0.5"), "m: 0.1") is True
    keys = "{of circuit: {gain: {from: in, to: out}}, formula: ((1/m - 1)**(2*r) - 1)/((1/m - 1)**2 - 1)}"
    values = "m: {pick: [0.1, 0.15, 0.2]}\nr: {from: 0.2, to: 0.8, step: 0.1}"
    assert proof(keys, LOG_TRACK.replace("TURN", "r"), values) is None
    assert findings_of(asking(keys, values, before=LOG_TRACK.replace("TURN", "r"), text="'`m=`, `r=`'")) == []
    wrong = keys.replace("(2*r)", "(3*r)")
    (found,) = findings_of(asking(wrong, values, before=LOG_TRACK.replace("TURN", "r"), text="'`m=`, `r=`'"))
    assert found.startswith("circuit at ask.x.formula: it gives ")


def test_a_formula_too_long_to_expand_is_left_to_the_draws(monkeypatch: pytest.MonkeyPatch) -> None:
    keys = f"{{of circuit: {GAIN}, formula: 1/sqrt(1 + (w*R1*C1)**2)}}"
    monkeypatch.setattr(exact_proof, "LONGEST_SQUARE", 1)
    assert proof(keys, LOWPASS, AC) is None
    monkeypatch.setattr(exact_proof, "LONGEST_PROOF", 1)
    assert proof("{of circuit: {voltage: tap}, formula: V1*R2/(R1 + R2)}", DIVIDER, DC) is None
