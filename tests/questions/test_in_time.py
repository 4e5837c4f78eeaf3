"""Values in time and corner frequencies in templates: worked out, proved, and refused when wrong."""

from __future__ import annotations

import math
import subprocess
import sys

import pytest

from tests.questions.templates import asking, compiled, faults_of, findings_of
from tutor.questions.lottery import draw_values

CHARGE = """\
circuit:
  V1: {kind: voltage source, nodes: [in, 0]}
  R1: {kind: resistor, nodes: [in, out]}
  C1: {kind: capacitor, nodes: [out, 0]}
"""
DISCHARGE = """\
circuit:
  R1: {kind: resistor, nodes: [out, 0]}
  C1: {kind: capacitor, nodes: [out, 0], initial: V0}
"""
COIL = """\
circuit:
  V1: {kind: voltage source, nodes: [in, 0]}
  R1: {kind: resistor, nodes: [in, out]}
  L1: {kind: inductor, nodes: [out, 0], initial: 10 mA}
"""
VALUES = (
    "V1: {from: 100 V, to: 300 V, step: 10 V}\nR1: {series: E12, from: 10 kΩ, to: 100 kΩ}\nC1: {pick: [1 µF, 2 µF]}"
)
AFTER = "{voltage: out, analysis: step, time: 5 ms}"


def value_of(circuit: str, keys: str, values: str) -> float:
    return draw_values(compiled(asking(keys, values=values, before=circuit)), 1).values["x"]


@pytest.mark.parametrize(
    ("circuit", "form", "values", "expected"),
    [
        (CHARGE, AFTER, "V1: 100 V\nR1: 10 kΩ\nC1: 1 µF", 100 * (1 - math.exp(-0.5))),
        (CHARGE, "{current: R1, analysis: step, time: 2*R1*C1}", "V1: 100 V\nR1: 10 kΩ\nC1: 1 µF", 0.01 * math.exp(-2)),
        (DISCHARGE, AFTER, "V0: 300 V\nR1: 10 kΩ\nC1: 1 µF", 300 * math.exp(-0.5)),
        (COIL, "{current: L1, analysis: step, time: 1 ms}", "V1: 100 V\nR1: 1 kΩ\nL1: 1 H", 0.1 - 0.09 * math.exp(-1)),
    ],
)  # fmt: skip
def test_a_value_in_time_is_worked_out_of_the_circuit(circuit: str, form: str, values: str, expected: float) -> None:
    assert value_of(circuit, f"of circuit: {form}", values) == pytest.approx(expected, rel=1e-12)


def proof_findings(formula: str, form: str, circuit: str = CHARGE, values: str = VALUES) -> list[str]:
    found = findings_of(asking(f"{{of circuit: {form}, formula: '{formula}'}}", values=values, before=circuit))
    return [line for line in found if line.startswith("circuit at")]


def test_a_right_exponential_is_proved_and_a_wrong_one_is_not() -> None:
    assert proof_findings("V1*(1 - exp(-5 ms/(R1*C1)))", AFTER) == []
    (found,) = proof_findings("V1*exp(-5 ms/(R1*C1))", AFTER)
    assert "where the circuit gives" in found
    (found,) = proof_findings("V1*(1 - exp(-5 ms/(2*R1*C1)))", AFTER)
    assert "where the circuit gives" in found


def test_a_right_corner_is_proved_in_all_symbols_and_a_wrong_one_is_not() -> None:
    corner = "{corner frequency: C1}"
    assert proof_findings("1/(2*pi*R1*C1)", corner) == []
    (found,) = proof_findings("1/(R1*C1)", corner)
    assert "where the circuit gives" in found
    one_value = "V1: 100 V\nR1: 10 kΩ\nC1: 1 µF"
    (found,) = proof_findings("1/(2*pi*10 kΩ*C1)", corner, values=one_value)
    assert found.endswith("it agrees on the values drawn, and is another formula than the circuit's")


@pytest.mark.parametrize(
    ("form", "message"),
    [
        ("{voltage: out, analysis: step}", "a value in time wants a time; give `time: 5 s` here"),
        ("{voltage: out, time: 5 s}", "a time belongs to `analysis: step`; say that too, or leave it out"),
        ("{power: R1, analysis: step, time: 5 s}", "has no single exponential; ask for a voltage or a current at step"),
        ("{voltage: out, analysis: step, time: 5 V}", "found '5 V'; a time is wanted, such as 5 s or t_1"),
        ("{corner frequency: R1}", "a resistor has no corner frequency; ask for that of a capacitor or an inductor"),
    ],
)
def test_what_cannot_be_asked_is_told(form: str, message: str) -> None:
    faults = faults_of(asking(f"of circuit: {form}", values="V1: 100 V\nR1: 10 kΩ\nC1: 1 µF", before=CHARGE))
    assert any(message in fault for fault in faults), faults


def test_two_stores_have_no_single_exponential() -> None:
    circuit = (
        CHARGE
        + "  C2: {kind: capacitor, nodes: [x, 0], value: 1 µF}\n  R2: {kind: resistor, nodes: [out, x], value: 1 kΩ}\n"
    )
    faults = faults_of(asking(f"of circuit: {AFTER}", values="V1: 100 V\nR1: 10 kΩ\nC1: 1 µF", before=circuit))
    assert "2 capacitors and coils; a single exponential wants one, free of the sources" in faults[0]


def test_such_a_template_is_compiled_without_an_algebra_system() -> None:
    """With a cold cache as well: whoever asks the first question waits for no import of sympy."""
    text = asking(
        f"{{of circuit: {AFTER}, formula: 'V1*(1 - exp(-5 ms/(R1*C1)))'}}",
        values="V1: 100 V\nR1: 10 kΩ\nC1: 1 µF", before=CHARGE,
    )  # fmt: skip
    for template in (
        text,
        text.replace(AFTER, "{corner frequency: C1}").replace("V1*(1 - exp(-5 ms/(R1*C1)))", "1/(2*pi*R1*C1)"),
    ):
        code = (
            "import sys\nfrom tests.questions.templates import read\nfrom tutor.questions.compiling import compile_template\n"
            f"compile_template(read({template!r})).function('values')\nassert 'sympy' not in sys.modules"
        )
        subprocess.run([sys.executable, "-c", code], check=True)
