"""`quiescent solve`: circuit files in, answers out."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from tutor.cli.printing import as_json_option, print_json, rounded
from tutor.errors import QuiescentError

if TYPE_CHECKING:
    from tutor.circuits.linear import Solved


@click.command()
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path))
@as_json_option
def solve(files: tuple[Path, ...], as_json: bool) -> None:
    """Solve circuit files; each may carry `ask:`.

    A file that cannot be solved gives its error; the others still print, and the exit status is 1.
    """
    solved = [_solved(path) for path in files]
    if as_json:
        print_json(solved)
    else:
        for entry in solved:
            _print(entry)
    sys.exit(1 if any("error" in entry for entry in solved) else 0)


def _solved(path: Path) -> dict[str, Any]:
    from tutor.circuits.circuit_file import read_circuit_file

    try:
        circuit = read_circuit_file(path)
        asked = [_answer(form, circuit.solve(ask)) for form, ask in circuit.asks]
    except QuiescentError as error:
        return {"file": str(path), "error": str(error)}
    return {"file": str(path), "circuit": circuit.name, "asked": asked}


def _answer(form: Any, solved: Solved) -> dict[str, Any]:
    answer = {
        "ask": form,
        "formula": _formula(solved),
        "value": rounded(solved.magnitude),
        "unit": solved.unit.symbol,
    }
    if solved.phase is not None:
        answer["phase"] = rounded(solved.phase)
    return answer


def _formula(solved: Solved) -> str | None:
    """Return the symbolic answer, or None where it is too long to read or no quotient of polynomials."""
    from tutor.circuits.errors import CircuitError
    from tutor.circuits.formula import SHORT

    try:
        formula = solved.formula(SHORT)
    except CircuitError:
        return None
    return formula.text() if formula.is_readable else None


def _print(entry: dict[str, Any]) -> None:
    from tutor.quantities import read_unit, show

    if "error" in entry:
        click.echo(f"{entry['file']}: {entry['error']}", err=True)
        return
    click.echo(f"{entry['circuit']} ({entry['file']})")
    for answer in entry["asked"]:
        unit = read_unit(answer["unit"]).unit
        phase = f" at {show(answer['phase'], read_unit('°').unit, 4)}" if "phase" in answer else ""
        formula = f"   = {answer['formula']}" if answer["formula"] else ""
        asked = ", ".join(f"{key} {_words(value)}" for key, value in answer["ask"].items())
        click.echo(f"  {asked}: {show(answer['value'], unit, 6)}{phase}{formula}")


def _words(value: Any) -> str:
    """Return what a form holds: `tap`, `a against b`, `from a to b`."""
    if isinstance(value, dict):
        return " ".join(f"{key} {_words(inner)}" for key, inner in value.items())
    return " against ".join(value) if isinstance(value, list) else str(value)
