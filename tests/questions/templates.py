"""Templates for the tests, read from text as a trainer would write them."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from textwrap import dedent, indent
from typing import Any

import pytest

from tutor.circuits.errors import CircuitError
from tutor.circuits.source import parse_source
from tutor.errors import FaultyFileError
from tutor.questions.bank import Circuits
from tutor.questions.cache import CompiledCache
from tutor.questions.checking import TemplateReport, check_template
from tutor.questions.compiling import Compiled
from tutor.questions.draw import draw
from tutor.questions.question import Question
from tutor.questions.reading import FindCircuit, read_template
from tutor.questions.template import Template

BENCH = Path(__file__).parent.parent / "banks" / "bench"

HEAD = """\
template: sample
title: A sample
topic: samples
level: 1
"""

LOADED_DIVIDER = """\
circuit:
  V1: {kind: voltage source, nodes: [in, 0]}
  R1: {kind: resistor, nodes: [in, tap]}
  R2: {kind: resistor, nodes: [tap, 0]}
  RL: {kind: resistor, nodes: [tap, 0]}
"""

STEPS = (
    HEAD
    + LOADED_DIVIDER
    + """\
values:
  V1: {pick: [200 V, 250 V, 300 V]}
  R1: {series: E12, from: 10 kΩ, to: 47 kΩ}
  R2: {series: E12, from: 22 kΩ, to: 100 kΩ}
  RL: {series: E12, from: 47 kΩ, to: 220 kΩ}
text: "`V1=` feeds `R1=` over `R2=`, and the tap feeds `RL=`."
ask:
  v_tap:
    text: What voltage stands at the tap?
    of circuit: {voltage: tap}
    formula: V1*parallel(R2, RL)/(R1 + parallel(R2, RL))
    slips:
      load-forgotten: {formula: V1*R2/(R1 + R2), says: That is the voltage with nothing connected to the tap.}
  i_load:
    text: What current flows in the load?
    of circuit: {current: RL}
    formula: v_tap/RL
    unit: mA
    slips:
      wrong-resistor: {formula: v_tap/R2, says: That is the current in the foot of the divider.}
  p_load:
    text: What power does the load take?
    of circuit: {power: RL}
    formula: v_tap*i_load
    unit: mW
    slips:
      not-the-tap: {formula: V1*i_load, says: The load has the voltage of the tap and not that of the supply.}
hints: [The load lies across the foot., "Voltage first, then current, then power."]
solution:
  - "The foot with its load is `parallel(R2, RL)=`."
  - "`v_tap = V1*parallel(R2, RL)/(R1 + parallel(R2, RL)) =`"
  - "`i_load = v_tap/RL =`"
  - "`p_load = v_tap*i_load =`"
caution: high-voltage
"""
)
"""Three asks, each using the one before; every formula is proved by the circuit."""

PINNED = {"V1": "250 V", "R1": "22 kΩ", "R2": "47 kΩ", "RL": "100 kΩ"}
"""Values with which the tap of `STEPS` stands at 148.1 V, the load takes 1.481 mA and 219.4 mW."""


def no_circuits(name: str) -> Mapping[str, Any]:
    """Find no shared circuit."""
    raise CircuitError(f"there is no circuit {name!r}; there are none")


def read(text: str, find: FindCircuit = no_circuits, name: str = "sample.yaml") -> Template:
    """Read a template from its text."""
    return read_template(parse_source(dedent(text), name), find)


def faults_of(text: str, find: FindCircuit = no_circuits) -> list[str]:
    """Return the messages of all faults of a template's text, in order; at least one is expected."""
    with pytest.raises(FaultyFileError) as caught:
        read(text, find)
    return [str(fault) for fault in caught.value.faults]


def compiled(text: str) -> Compiled:
    """Return a template's text compiled anew."""
    return CompiledCache().compiled(read(text))


@cache
def question_of(text: str, serial: int = 1) -> Question:
    """Return one question of a template's text."""
    return draw(compiled(text), serial)


def with_values(text: str, values: Mapping[str, str]) -> str:
    """Return a template's text with its values pinned to fixed ones."""
    before, _, rest = text.partition("values:\n")
    lines = rest.splitlines(keepends=True)
    after = next(place for place, line in enumerate(lines) if not line.startswith(" "))
    pinned = "".join(f"  {name}: {value}\n" for name, value in values.items())
    return f"{before}values:\n{pinned}{''.join(lines[after:])}"


def asking(keys: str, values: str = "V1: 250 V", name: str = "x", before: str = "", text: str = "A text.") -> str:
    """Return the text of a template with one ask.

    Args:
        keys: The keys of the ask without `text:`, in a flow mapping or one below the other.
        values: The keys under `values:`.
        name: The ask's name.
        before: More keys of the template.
        text: Its text.
    """
    keys = dedent(keys).strip()
    if keys.startswith("{"):
        ask = f"  {name}: {{text: What is it?, {keys[1:]}\n"
    else:
        ask = f"  {name}:\n    text: What is it?\n{indent(keys, '    ')}\n"
    given = indent(dedent(values).strip(), "  ")
    return f"{HEAD}{dedent(before)}values:\n{given}\ntext: {text}\nask:\n{ask}"


def report_of(text: str, draws: int = 60, find: FindCircuit = no_circuits) -> TemplateReport:
    """Return what `check` says of a template's text."""
    return check_template(read(text, find), draws)


def findings_of(text: str, draws: int = 60, find: FindCircuit = no_circuits) -> list[str]:
    """Return the findings of `check` as lines `check at key: message`."""
    report = report_of(text, draws, find)
    return [f"{found.check} at {found.key}: {found.message}" for found in report.findings]


def bench_circuits(name: str) -> Mapping[str, Any]:
    """Find a shared circuit of the tests' own bank."""
    return Circuits(BENCH / "circuits")(name)
