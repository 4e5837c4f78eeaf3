"""The tree that an expression is read into.

Seven kinds of node, all frozen. A tree says what was written and in which order: `R1*R2/(R1 + R2)` stays a quotient, so
that it can be shown as its author wrote it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TypeAlias

from tutor.quantities import RATIO, Unit


@dataclass(frozen=True, slots=True)
class Number:
    """A number, with a unit when one was written (`20 V`).

    Attributes:
        value: Magnitude in coherent SI units.
        unit: The unit; a plain ratio when none was written.
        text: As written.
    """

    value: float
    unit: Unit = RATIO
    text: str = ""


@dataclass(frozen=True, slots=True)
class Name:
    """A named value."""

    name: str


@dataclass(frozen=True, slots=True)
class Negative:
    """The operand with its sign turned."""

    operand: Expression


@dataclass(frozen=True, slots=True)
class Binary:
    """Two operands joined by `+ - * / **`."""

    operator: str
    left: Expression
    right: Expression


@dataclass(frozen=True, slots=True)
class Call:
    """One of the admitted functions with its arguments."""

    function: str
    arguments: tuple[Expression, ...]


@dataclass(frozen=True, slots=True)
class Comparison:
    """A chain such as `0.1 < ratio < 0.9`; one operator fewer than operands."""

    operators: tuple[str, ...]
    operands: tuple[Expression, ...]


@dataclass(frozen=True, slots=True)
class Logic:
    """Conditions joined by `and`, `or`, or one turned by `not`."""

    operator: str
    operands: tuple[Expression, ...]


Expression: TypeAlias = Number | Name | Negative | Binary | Call | Comparison | Logic


def children(expression: Expression) -> tuple[Expression, ...]:
    """Return the operands of a node, in order."""
    match expression:
        case Negative(operand):
            return (operand,)
        case Binary(_, left, right):
            return (left, right)
        case Call(_, operands) | Comparison(_, operands) | Logic(_, operands):
            return operands
        case _:
            return ()


def walk(expression: Expression) -> Iterator[Expression]:
    """Yield every node, the outermost first."""
    waiting = [expression]
    while waiting:
        node = waiting.pop()
        yield node
        waiting.extend(reversed(children(node)))


def names_in(expression: Expression) -> tuple[str, ...]:
    """Return the names used, each once, in order of appearance."""
    return tuple(dict.fromkeys(node.name for node in walk(expression) if isinstance(node, Name)))


def substitute(expression: Expression, replacements: Mapping[str, Expression]) -> Expression:
    """Return the tree with some names replaced by expressions."""
    match expression:
        case Name(name):
            return replacements.get(name, expression)
        case Negative(operand):
            return Negative(substitute(operand, replacements))
        case Binary(operator, left, right):
            return Binary(operator, substitute(left, replacements), substitute(right, replacements))
        case Call(function, arguments):
            return Call(function, tuple(substitute(a, replacements) for a in arguments))
        case Comparison(operators, operands):
            return Comparison(operators, tuple(substitute(o, replacements) for o in operands))
        case Logic(operator, operands):
            return Logic(operator, tuple(substitute(o, replacements) for o in operands))
        case _:
            return expression
