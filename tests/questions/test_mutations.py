"""Small wrong changes to the shipped templates, and whether `check` catches them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.mutations import (
    Mutant,
    formula_mutants,
    is_caught,
    slip_mutants,
    step_mutants,
    tolerance_mutants,
)
from tests.questions.templates import BENCH
from tutor.bootstrap.places import banks_folder
from tutor.circuits.source import Source, read_source
from tutor.questions.bank import CIRCUITS, COURSES, Circuits
from tutor.questions.reading import FindCircuit, read_template
from tutor.questions.template import Template

MUTANTS = 600
"""Of either sort over all banks: as many as a minute allows; each template has its share, always the same ones."""
FEWEST_CAUGHT = 0.95
Makes = Callable[[Template, Source], Iterator[Mutant]]


def sources(bank: Path) -> Iterator[tuple[Source, FindCircuit]]:
    """Yield every template's source of a bank with what finds its circuits."""
    circuits = Circuits(bank / CIRCUITS)
    for path in sorted(bank.glob("*/*.yaml")):
        if path.parent.name not in (CIRCUITS, COURSES):
            yield read_source(path), circuits


def shipped() -> list[tuple[Source, FindCircuit]]:
    return [found for bank in sorted(banks_folder().iterdir()) if bank.is_dir() for found in sources(bank)]


def tried(makes: Makes, found: list[tuple[Source, FindCircuit]], most: int) -> tuple[int, list[Mutant]]:
    """Return how many mutants were tried, and those that were not caught."""
    count, missed = 0, []
    for source, circuits in found:
        mutants = list(makes(read_template(source, circuits), source))
        for mutant in mutants[:: max(1, -(-len(mutants) // most))]:
            count += 1
            if not is_caught(mutant, source, circuits):
                missed.append(mutant)
    return count, missed


@pytest.mark.slow
@pytest.mark.parametrize(
    ("makes", "what"),
    [
        (formula_mutants, "formula"),
        (step_mutants, "step"),
        (tolerance_mutants, "tolerance"),
        (slip_mutants, "slip"),
    ],
)
def test_wrong_changes_to_the_shipped_templates_are_caught(
    makes: Makes, what: str, capsys: pytest.CaptureFixture[str]
) -> None:
    found = shipped()
    count, missed = tried(makes, found, max(1, MUTANTS // max(1, len(found))))
    with capsys.disabled():
        print(f"\n{count - len(missed)} of {count} {what} mutants of {len(found)} templates are caught")  # noqa: T201
    named = "\n".join(f"{m.template} {m.place}: {m.before} -> {m.after}" for m in missed)
    assert count - len(missed) >= FEWEST_CAUGHT * count, named


@pytest.mark.parametrize("makes", [formula_mutants, step_mutants])
def test_wrong_changes_to_the_tests_own_templates_are_caught(makes: Makes) -> None:
    count, missed = tried(makes, list(sources(BENCH)), 10)
    assert count > 20
    # What is left of `parallel(R2, RL)=` without its second resistor is a value given with its name: true, and no step.
    assert [m.after for m in missed if m.after != "R2 ="] == []


def test_a_mutant_that_changes_no_value_is_not_counted() -> None:
    for source, circuits in sources(BENCH):
        for mutant in formula_mutants(read_template(source, circuits), source):
            assert mutant.before != mutant.after
