"""What importing the package costs, and that its generated programs are the same everywhere."""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
from pathlib import Path

import pytest

import tutor.circuits
from tutor.circuits import errors, formula
from tutor.circuits.errors import (
    CircuitError,
    ExpressionError,
    FloatingNodeError,
    FormulaTooLongError,
    NodeError,
    NoValueError,
    PartError,
    SingularCircuitError,
    SourceLoopError,
)

ROOT = Path(tutor.circuits.__file__).parent
# The numeric models of valves and supplies are arrays through and through; all else is loaded to serve a question.
NUMERIC = ("valves", "supply")
NUMERIC_MODULES = ("dense.py", "faults/bench.py", "faults/diagnosis.py", "faults/separating.py")
MODULES = sorted(
    ".".join(("tutor.circuits", *path.relative_to(ROOT).with_suffix("").parts)).removesuffix(".__init__")
    for path in ROOT.rglob("*.py")
    if path.relative_to(ROOT).parts[0] not in NUMERIC and path.relative_to(ROOT).as_posix() not in NUMERIC_MODULES
)


def run(source: str, **environment: str) -> str:
    done = subprocess.run(
        [sys.executable, "-c", source],
        env={**os.environ, **environment, "PYTHONPATH": str(ROOT.parent.parent)},
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_importing_every_module_loads_neither_sympy_nor_numpy() -> None:
    assert len(MODULES) > 30
    listing = "print(sorted({'sympy', 'numpy', 'yaml', 'mpmath', 'pydantic'} & set(sys.modules)))"
    assert run(f"import sys, {', '.join(MODULES)}; {listing}") == "[]\n"


PROGRAMS = """
from tests.circuits.networks import AC_KINDS, DC_KINDS, RandomCircuit, analysis_of
from tests.circuits.test_classics import CLASSICS
from tutor.circuits.asked import Current, Impedance, Power, Voltage, read_circuit_ask
from tutor.circuits.formula import formula_of
from tutor.circuits.network import read_network
from tutor.circuits.problem import pose
from tutor.circuits.program import ProgramWriter

def show(parts, asked, frequency):
    problem = pose(read_network(parts), asked, analysis_of(frequency))
    writer = ProgramWriter(())
    writer.bind(problem)
    writer.define_solution("wanted", problem, frequency="1000.0" if frequency else "")
    writer.output_source("wanted", "x_wanted")
    print(writer.source("solve"))

for classic in CLASSICS:
    show(classic.parts, read_circuit_ask(classic.ask).asked, classic.frequency)
for seed in range(6):
    frequency = 700.0 if seed % 2 else None
    parts = RandomCircuit(seed, AC_KINDS if frequency else DC_KINDS, nodes=3, extra=4).with_source().parts
    for asked in (Voltage("n2"), Current("R1"), Power("R2"), Impedance("n1", "n2")):
        show(parts, asked, frequency)
    print(formula_of(pose(read_network(parts), Voltage("n1"), analysis_of(frequency))).text())
"""


def test_programs_and_formulas_are_the_same_to_the_byte_whatever_the_hash_seed() -> None:
    first, second, third = (run(PROGRAMS, PYTHONHASHSEED=seed) for seed in ("0", "1", "4711"))
    assert first.count("def solve") > 70
    assert first == second == third


ERRORS = [
    ExpressionError("a +", "it ends where a value was expected", 3),
    NoValueError("1/x", "it divides by zero"),
    PartError("R1", "value", "it is missing"),
    NodeError("tap", "node", ("a", "b")),
    FloatingNodeError("a", ("C1",), "dc"),
    SourceLoopError(("V1", "V2"), "dc"),
    SingularCircuitError("the voltage of node 'a'", "ac", "for these values"),
    FormulaTooLongError(40),
    CircuitError("plain"),
]


@pytest.mark.parametrize("error", ERRORS, ids=lambda error: type(error).__name__)
def test_an_error_survives_the_way_to_another_process(error: CircuitError) -> None:
    again = pickle.loads(pickle.dumps(error))
    assert type(again) is type(error)
    assert str(again) == str(error)
    assert vars(again) == vars(error)


def test_the_tree_of_errors_in_the_docstring_is_the_tree_there_is() -> None:
    there = {
        name
        for name, found in vars(errors).items()
        if isinstance(found, type) and issubclass(found, CircuitError)
    }  # fmt: skip
    assert {name for name in there if name in (errors.__doc__ or "")} == there


@pytest.mark.parametrize("module", [formula, tutor.circuits.parts, tutor.circuits.expressions])
def test_what_a_module_offers_is_there_and_sorted(module: object) -> None:
    offered = module.__all__  # type: ignore[attr-defined]
    assert all(hasattr(module, name) for name in offered)
    assert len(set(offered)) == len(offered)
