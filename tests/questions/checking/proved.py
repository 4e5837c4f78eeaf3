"""A divider with one ask, and what is found about it: the ground of all tests of proofs."""

from __future__ import annotations

from tests.questions.templates import asking, findings_of

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
EXAMPLE = "examples:\n  - {values: {V1: 30 V, R1: 1 kΩ, R2: 2 kΩ}, answers: {x: ANSWER}, source: 'A book, p. 3'}\n"
