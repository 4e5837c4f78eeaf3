"""The desk on which a template file is read: what is known so far, and the faults found on the way."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

from tutor.circuits.errors import CircuitError, ExpressionError, PartError, did_you_mean
from tutor.circuits.expressions import Expression, dimension_of, names_in, read_expression
from tutor.circuits.source import Path_, Source
from tutor.errors import Fault
from tutor.quantities import QuantityError, Unit, coherent_unit
from tutor.questions.text import Pieces, Span, read_pieces, spans_in


@dataclass
class Desk:
    """Faults collected on the way, and the units known so far.

    Attributes:
        source: The file.
        units: Unit of every name that formulas may use, in order of appearance.
        texts: Names that may stand in texts and conditions only: quantities that the circuit gives.
    """

    source: Source
    units: dict[str, Unit] = field(default_factory=dict)
    texts: dict[str, Unit] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)

    def fault(self, path: Path_, message: str) -> None:
        """Note a fault."""
        self.faults.append(self.source.fault(path, message))

    @contextmanager
    def at(self, path: Path_) -> Iterator[None]:
        """Turn the errors of reading one key into a fault at its path."""
        try:
            yield
        except PartError as error:
            self.fault((*path, "parts", error.part, *error.key.split(".")), error.reason)
        except (CircuitError, QuantityError, ValueError) as error:
            self.fault(path, str(error))

    def expression(self, path: Path_, text: str, *, own: bool = True) -> Expression | None:
        """Read an expression whose names are all known; note a fault and return None otherwise.

        Args:
            path: Its place.
            text: As written.
            own: Whether only values and asks are admitted; False admits the circuit's quantities too.
        """
        with self.at(path):
            expression = read_expression(text)
            self.know(expression, own=own)
            self.dimension(expression)
            return expression
        return None

    def know(self, expression: Expression, *, own: bool) -> None:
        """Raise ExpressionError for a name that is not known."""
        for name in names_in(expression):
            if name in self.units or (not own and self._implicit(name)):
                continue
            known = self.units
            listed = ", ".join(known) or "none"
            hint = (
                ""
                if not own or not self._implicit(name)
                else " (the circuit's own quantities stand in conditions and texts only)"
            )
            raise ExpressionError(name, f"no value has this name{did_you_mean(name, known)}; there are {listed}{hint}")

    def _implicit(self, name: str) -> bool:
        return name in self.texts

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
            self.know(member, own=False)
            self.dimension(member)
