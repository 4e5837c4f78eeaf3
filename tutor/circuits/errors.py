"""Errors of circuits and expressions.

    CircuitError
    ├── ExpressionError            text that is no admissible expression (where, and why)
    │   └── NoValueError           an expression without a finite value for these numbers
    ├── PartError                  one part is described wrongly; names the part and the key
    ├── NodeError                  an asked node or part that the circuit does not have
    ├── FloatingNodeError          a node without a path to earth
    ├── SourceLoopError            voltage sources (or dc shorts) closed in a loop
    ├── SingularCircuitError       equations without a unique solution
    └── FormulaTooLongError        a formula that nobody could read

Each message names the part or node; the same facts stand in attributes. Texts from outside are shortened, so that no
message carries a whole file.
"""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches
from typing import Any

from tutor.errors import QuiescentError

MOST_LISTED = 40  # known names that a message lists
LONGEST_SHOWN = 60  # characters of a text from outside that a message repeats


class CircuitError(QuiescentError):
    """Base of all errors of this layer."""

    def __reduce__(self) -> tuple[Any, ...]:
        # Exception would hand the message to an __init__ that wants the facts; so an error can cross processes.
        return _restored, (type(self), self.args, self.__dict__)


def _restored(cls: type[CircuitError], arguments: tuple[Any, ...], facts: dict[str, Any]) -> CircuitError:
    error = cls.__new__(cls)
    error.args = arguments
    error.__dict__.update(facts)
    return error


class ExpressionError(CircuitError, ValueError):
    """Text that is not an admissible expression.

    Attributes:
        text: The text, shortened when it is long.
        position: Index of the character where reading stopped, or None.
        reason: What was found and what would do.
    """

    def __init__(self, text: str, reason: str, position: int | None = None) -> None:
        self.text = shortened(text)
        self.position = position
        self.reason = reason
        where = "" if position is None else f" at character {position + 1}"
        super().__init__(f"cannot read {self.text!r} as an expression{where}: {reason}")


class NoValueError(ExpressionError):
    """An expression that has no finite value for the numbers given."""


class PartError(CircuitError, ValueError):
    """A part that is described wrongly.

    Attributes:
        part: Its reference.
        key: The key at fault, or "".
        reason: What was found and what would do.
    """

    def __init__(self, part: str, key: str, reason: str) -> None:
        self.part, self.key, self.reason = part, key, reason
        place = f"{part}.{key}" if key else part
        super().__init__(f"part {place}: {reason}")


class NodeError(CircuitError, LookupError):
    """A node or part that is asked for and is not in the circuit."""

    def __init__(self, name: str, what: str, known: Iterable[str]) -> None:
        self.name, self.what, self.known = name, what, tuple(known)
        near = did_you_mean(name, self.known)
        listed = ", ".join(self.known[:MOST_LISTED]) or "none"
        if len(self.known) > MOST_LISTED:
            listed += f" and {len(self.known) - MOST_LISTED} more"
        super().__init__(f"the circuit has no {what} {shortened(name)!r}{near}; it has {listed}")


class FloatingNodeError(CircuitError):
    """A node that no current can reach from earth.

    Attributes:
        node: The node's name.
        parts: References of the parts that touch it.
        analysis: The analysis in which it floats.
    """

    def __init__(self, node: str, parts: tuple[str, ...], analysis: str, earthless: bool = False) -> None:
        self.node, self.parts, self.analysis = node, parts, analysis
        touching = " and ".join(parts) if parts else "no part"
        if earthless:
            message = f"no part is connected to node '0' (chassis); connect one, for example a foot of {touching}"
        else:
            message = (
                f"floating node {node!r}: at {analysis} nothing but {touching} touches it and no path leads from it to "
                f"node '0'; give it a path, or ask at another analysis"
            )
        super().__init__(message)


class SourceLoopError(CircuitError):
    """A loop in which every part fixes its own voltage.

    Attributes:
        parts: References of the parts of the loop, in order.
    """

    def __init__(self, parts: tuple[str, ...], analysis: str) -> None:
        self.parts, self.analysis = parts, analysis
        verb = "closes" if len(parts) == 1 else "close"
        super().__init__(
            f"loop of voltage sources: at {analysis} {', '.join(parts)} {verb} a loop in which each fixes its own "
            f"voltage; put a resistor into the loop or take one of them out"
        )


class SingularCircuitError(CircuitError):
    """Equations that have no unique solution.

    Attributes:
        place: The part or node whose value stays open.
    """

    def __init__(self, place: str, analysis: str, detail: str = "") -> None:
        self.place, self.analysis = place, analysis
        extra = f" ({detail})" if detail else ""
        super().__init__(f"the circuit has no unique solution at {analysis}: {place} stays undetermined{extra}")


class FormulaTooLongError(CircuitError):
    """A formula that grows beyond what anybody could read; the numbers can be had all the same.

    Attributes:
        limit: The number of terms (or of symbols) at which the expansion was given up.
    """

    def __init__(self, limit: int, what: str = "terms") -> None:
        self.limit = limit
        super().__init__(f"the formula grows beyond {limit} {what} while it is worked out; ask for its value instead")


def shortened(text: str) -> str:
    """Return a text from outside, cut with an ellipsis where it is long."""
    return text if len(text) <= LONGEST_SHOWN else text[: LONGEST_SHOWN - 1] + "…"


def shown(value: Any) -> str:
    """Return how a value from outside is repeated in a message: quoted, and cut where it is long."""
    return repr(shortened(value)) if isinstance(value, str) else shortened(repr(value))


def with_article(name: str) -> str:
    """Return a name with its article: a voltage, an inductance."""
    return f"an {name}" if name[:1] in "aeiou" else f"a {name}"


def did_you_mean(name: str, known: Iterable[str]) -> str:
    """Return "; did you mean X?" for the nearest known name, or an empty text."""
    if len(name) > LONGEST_SHOWN:
        return ""
    near = get_close_matches(name, list(known), n=1)
    return f"; did you mean {near[0]}?" if near else ""
