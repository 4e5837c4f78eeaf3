"""Mutations of templates: small wrong changes that `check` must catch.

A mutant changes one thing in one expression of a template file: an operator, a name, a number, a function, a term
left out.
Mutants that give the same value on every draw are no mistakes and are not counted.
"""

from __future__ import annotations

import copy
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from tutor.circuits.expressions import Binary, Call, Expression, Name, Negative, Number, names_in, read_expression
from tutor.circuits.expressions.evaluation import describe
from tutor.circuits.source import Source
from tutor.errors import FaultyFileError
from tutor.questions.arrays import array_value, relative_difference
from tutor.questions.cache import CompiledCache
from tutor.questions.checking.drawing_check import check_drawing
from tutor.questions.checking.report import CHECKS, check_template
from tutor.questions.lottery import draw_batch
from tutor.questions.reading import read_template
from tutor.questions.template import Template

QUICK = tuple(check for check in CHECKS if check is not check_drawing)
DRAWS = 60


@dataclass(frozen=True, slots=True)
class Mutant:
    """One wrong change: where, what it was, what it became."""

    template: str
    place: str
    before: str
    after: str
    data: Any


def mutated_expressions(tree: Expression, names: tuple[str, ...]) -> Iterator[Expression]:
    """Yield trees that differ from the given one in one place."""
    match tree:
        case Number(value, unit, text):
            if text != "pi":
                yield Number(value * 2, unit)
                yield Number(value + 1, unit)
            else:
                yield Number(1.0)
        case Name(name):
            for other in names:
                if other != name:
                    yield Name(other)
        case Negative(operand):
            yield operand
            yield from (Negative(o) for o in mutated_expressions(operand, names))
        case Binary(operator, left, right):
            for other in {"+": "-", "-": "+", "*": "/", "/": "*"}.get(operator, ""):
                yield Binary(other, left, right)
            yield left
            yield right
            if operator in "-/":
                yield Binary(operator, right, left)
            yield from (Binary(operator, m, right) for m in mutated_expressions(left, names))
            yield from (Binary(operator, left, m) for m in mutated_expressions(right, names))
        case Call(function, arguments):
            yield arguments[0]
            swapped = {
                "min": "max",
                "max": "min",
                "sqrt": "abs",
                "log": "log10",
                "log10": "log",
                "sin": "cos",
                "cos": "sin",
            }
            if function in swapped:
                yield Call(swapped[function], arguments)
            if len(arguments) > 2:
                yield Call(function, arguments[:-1])
            for index, argument in enumerate(arguments):
                for m in mutated_expressions(argument, names):
                    yield Call(function, (*arguments[:index], m, *arguments[index + 1 :]))


def formula_mutants(template: Template, source: Source) -> Iterator[Mutant]:
    """Yield mutants of the formulas of asks and derived values that change some value."""
    values = _values(template)
    for key in ("ask", "values"):
        for name, raw in source.data.get(key, {}).items():
            if not isinstance(raw, dict) or "formula" not in raw:
                continue
            tree = read_expression(raw["formula"])
            before = array_value(tree, values, DRAWS)
            for changed in _sampled(mutated_expressions(tree, names_in(tree))):
                after = array_value(changed, values, DRAWS)
                if relative_difference(before, after).max() < 1e-9:
                    continue
                data = copy.deepcopy(source.data)
                data[key][name]["formula"] = describe(changed)
                yield Mutant(template.name, f"{key}.{name}.formula", raw["formula"], describe(changed), data)


_SPAN = re.compile(r"`([^`]*)`")


def step_mutants(template: Template, source: Source) -> Iterator[Mutant]:
    """Yield mutants of the valued expressions of solution steps that change some value."""
    values = _values(template)
    for index, step in enumerate(source.data.get("solution") or []):
        for match in _SPAN.finditer(step):
            body = match[1].strip()
            if not body.endswith("="):
                continue
            members = [m.strip() for m in re.split(r"(?<![<>=!])=(?!=)", body.rstrip("= "))]
            for place, member in enumerate(members):
                tree = read_expression(member)
                if isinstance(tree, Name):
                    continue
                before = array_value(tree, values, DRAWS)
                for changed in _sampled(mutated_expressions(tree, names_in(tree))):
                    if relative_difference(before, array_value(changed, values, DRAWS)).max() < 1e-9:
                        continue
                    new = " = ".join([*members[:place], describe(changed), *members[place + 1 :]]) + " ="
                    data = copy.deepcopy(source.data)
                    data["solution"][index] = step[: match.start(1)] + new + step[match.end(1) :]
                    yield Mutant(template.name, f"solution[{index + 1}]", body, new, data)


def _sampled(trees: Iterator[Expression], most: int = 24) -> list[Expression]:
    found = list(dict.fromkeys(trees))
    step = max(1, -(-len(found) // most))
    return found[::step]


def _values(template: Template) -> dict[str, Any]:
    batch = draw_batch(CompiledCache().compiled(template), np.arange(DRAWS))
    return dict(batch.values)


def is_caught(mutant: Mutant, source: Source, find_circuit: Any) -> bool:
    """Tell whether reading or checking the mutant fails."""
    changed = Source(source.name, mutant.data, source.lines)
    try:
        template = read_template(changed, find_circuit)
    except FaultyFileError:
        return True
    return not check_template(template, DRAWS, checks=QUICK).passed


def tolerance_mutants(template: Template, source: Source) -> Iterator[Mutant]:
    """Yield mutants whose tolerance is ten times as wide, or a tenth."""
    for ask in template.asks:
        if ask.tolerance is None or ask.kind not in ("number",):
            continue
        for factor in (10.0, 0.1):
            data = copy.deepcopy(source.data)
            data["ask"][ask.name]["tolerance"] = str(ask.tolerance.scaled(factor))
            yield Mutant(
                template.name, f"ask.{ask.name}.tolerance", str(ask.tolerance), data["ask"][ask.name]["tolerance"], data
            )


def slip_mutants(template: Template, source: Source) -> Iterator[Mutant]:
    """Yield mutants whose slip is the key itself, is another slip's value, or has another dimension."""
    for ask in template.asks:
        slips = [slip for slip in ask.slips if slip.formula is not None]
        for slip in slips:
            others = [describe(other.formula) for other in slips if other is not slip and other.formula is not None]
            key = ask.name
            for changed in (key, f"({describe(slip.formula)})*{_any_quantity(template)}", *others[:1]):  # type: ignore[arg-type]  # has one
                data = copy.deepcopy(source.data)
                data["ask"][ask.name]["slips"][slip.name]["formula"] = changed
                yield Mutant(
                    template.name,
                    f"ask.{ask.name}.slips.{slip.name}",
                    describe(slip.formula),
                    changed,
                    data,  # type: ignore[arg-type]  # has one
                )


def _any_quantity(template: Template) -> str:
    """Return the name of a value that has a dimension, or a volt."""
    return next(
        (name for name, unit in template.units.items() if unit.dimension.name != "plain number" and unit.symbol),
        "(1 V)",
    )
