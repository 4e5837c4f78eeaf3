"""The desk on which a template file is read: what is known so far, and the faults found on the way."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

from tutor.circuits.errors import CircuitError, ExpressionError, PartError, did_you_mean
from tutor.circuits.expressions import (
    Comparison,
    Expression,
    Logic,
    Name,
    dimension_of,
    names_in,
    read_expression,
)
from tutor.circuits.expressions.evaluation import describe
from tutor.circuits.source import Path_, Source
from tutor.errors import Fault
from tutor.quantities import HERTZ, SECOND, QuantityError, Unit, coherent_unit
from tutor.questions.implicit import IMPLICIT_UNITS
from tutor.questions.text import Pieces, Span, read_pieces, spans_in

CIRCUIT = "the circuit"
"""Stands among the doubtful names for a circuit that could not be read."""


class DoubtError(Exception):
    """Something uses what is faulty itself; noted once, where the fault is."""


@dataclass
class Desk:
    """Faults collected on the way, and the units known so far.

    Attributes:
        source: The file.
        units: Unit of every name that formulas may use, in order of appearance.
        texts: Names that may stand in texts and conditions only: quantities that the circuit gives.
        labels: Names of drawn rows: words, which stand alone in texts.
        unsolved: Why the circuit gives no quantities, or "".
        doubtful: Names of faulty values and asks; what uses them is passed over, so that one fault breeds no others.
        passed_over: How often that was.
    """

    source: Source
    units: dict[str, Unit] = field(default_factory=dict)
    texts: dict[str, Unit] = field(default_factory=dict)
    labels: set[str] = field(default_factory=set)
    unsolved: str = ""
    doubtful: set[str] = field(default_factory=set)
    passed_over: int = 0
    faults: list[Fault] = field(default_factory=list)

    @property
    def troubles(self) -> int:
        """Count the faults, and what was passed over because of one."""
        return len(self.faults) + self.passed_over

    def doubt(self, *names: str) -> None:
        """Pass over whatever uses these names: they are faulty themselves."""
        self.doubtful.update(names)
        for name in names:
            self.units.pop(name, None)

    def fault(self, path: Path_, message: str) -> None:
        """Note a fault."""
        self.faults.append(self.source.fault(path, message))

    @contextmanager
    def at(self, path: Path_) -> Iterator[None]:
        """Turn the errors of reading one key into a fault at its path."""
        try:
            yield
        except DoubtError:
            self.passed_over += 1
        except PartError as error:
            inside = (*path, "parts") if (*path, "parts") in self.source.lines else path
            self.fault((*inside, error.part, *error.key.split(".")), error.reason)
        except (CircuitError, QuantityError, ValueError) as error:
            self.fault(path, str(error))

    def expression(self, path: Path_, text: str, *, own: bool = True) -> Expression | None:
        """Read an expression that gives a number and whose names are all known; note a fault and return None otherwise.

        Args:
            path: Its place.
            text: As written.
            own: Whether only values and asks are admitted; False admits the circuit's quantities too.
        """
        return self._read(path, text, own=own, condition=False)

    def condition(self, path: Path_, text: str) -> Expression | None:
        """Read a condition, which may use the circuit's quantities too; note a fault and return None otherwise."""
        return self._read(path, text, own=False, condition=True)

    def frequency(self, path: Path_, text: str) -> Expression | None:
        """Read a frequency; note a fault and return None otherwise."""
        expression = self.expression(path, text)
        if expression is not None and self.dimension(expression).dimension != HERTZ.dimension:
            self.fault(path, f"found {text!r}; a frequency is wanted, such as 1 kHz or f")
            return None
        return expression

    def time(self, path: Path_, text: str) -> Expression | None:
        """Read a time; note a fault and return None otherwise."""
        expression = self.expression(path, text)
        if expression is not None and self.dimension(expression).dimension != SECOND.dimension:
            self.fault(path, f"found {text!r}; a time is wanted, such as 5 s or t_1")
            return None
        return expression

    def _read(self, path: Path_, text: str, *, own: bool, condition: bool) -> Expression | None:
        with self.at(path):
            expression = read_expression(text)
            refuse_other_kind(expression, condition=condition)
            self.know(expression, own=own)
            self.dimension(expression)
            return expression
        return None

    def know(self, expression: Expression, *, own: bool) -> None:
        """Raise ExpressionError for a name that is not known."""
        if any(self._is_doubtful(name) for name in names_in(expression)):
            raise DoubtError
        for name in names_in(expression):
            if name in self.units:
                continue
            if name in self.labels:
                raise ExpressionError(name, f"it is the word of a row and stands alone in texts, as `={name}`")
            if name in self.texts and not own:
                if self.unsolved:
                    raise ExpressionError(name, self.unsolved)
                continue
            listed = ", ".join(self.units) or "none"
            hint = " (the circuit's own quantities stand in conditions and texts only)" if name in self.texts else ""
            near = did_you_mean(name, self.units if own else self.units | self.texts)
            raise ExpressionError(name, f"no value has this name{near}; there are {listed}{hint}")

    def _is_doubtful(self, name: str) -> bool:
        """Tell whether a name is faulty; with a faulty circuit, a name of one of its quantities is."""
        of_circuit = name not in self.units and name.partition("_")[0] in IMPLICIT_UNITS
        return name in self.doubtful or (of_circuit and CIRCUIT in self.doubtful)

    def dimension(self, expression: Expression) -> Unit:
        """Return the coherent unit of an expression."""
        dimensions = {name: unit.dimension for name, unit in (self.texts | self.units).items()}
        return coherent_unit(dimension_of(expression, dimensions))

    def pieces(self, path: Path_, text: str) -> Pieces:
        """Read a text; its names must be known."""
        with self.at(path):
            pieces = read_pieces(text)
            for span in spans_in(pieces):
                self._know_span(span)
            return pieces
        return ()

    def _know_span(self, span: Span) -> None:
        for member in span.members:
            if isinstance(member, Name) and member.name in self.labels and len(span.members) == 1:
                continue
            if span.valued or span.alone:
                refuse_other_kind(member, condition=False)
            self.know(member, own=False)
            self.dimension(member)


def refuse_other_kind(expression: Expression, *, condition: bool) -> None:
    """Raise ExpressionError for a number in the place of a condition, or a condition in that of a number.

    Args:
        expression: The tree; what stands inside it was looked at when it was read.
        condition: Whether it is to be a condition.
    """
    is_condition = isinstance(expression, Comparison | Logic)
    if condition and not is_condition:
        raise ExpressionError(describe(expression), "it is no condition; compare it with something, by <, > or ==")
    if is_condition and not condition:
        raise ExpressionError(describe(expression), "it is a condition, and a value is wanted here")
