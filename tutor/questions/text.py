"""Texts with code spans: where an expression stands in a sentence, and how it reads with a question's values.

`` `R1` `` is typeset, `` `R1=` `` is followed by its value, `` `=R1` `` is the value alone. A span may be a chain,
`` `parallel(R2, RL) = R2*RL/(R2 + RL) =` ``, whose members `check` holds against each other. Nothing else is replaced.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, TypeAlias

from tutor.circuits.errors import ExpressionError
from tutor.circuits.expressions import Expression, Name, names_in, read_expression
from tutor.circuits.expressions.evaluation import describe

_SPAN = re.compile(r"`([^`]*)`")
# A lone "=" splits a chain; <=, >=, == and != are comparisons.
_CHAIN = re.compile(r"(?<![<>=!])=(?!=)")


@dataclass(frozen=True, slots=True)
class Span:
    """A code span.

    Attributes:
        members: The expressions of the chain, first to last.
        valued: Whether the value follows.
        alone: Whether the value stands alone.
        text: As written.
    """

    members: tuple[Expression, ...]
    valued: bool
    alone: bool
    text: str


Piece: TypeAlias = str | Span
Pieces: TypeAlias = tuple[Piece, ...]


def read_pieces(text: str) -> Pieces:
    """Split a text into words and code spans.

    Raises:
        ExpressionError: For the first span that is no expression, or for a backtick without its partner.
    """
    if text.count("`") % 2:
        raise ExpressionError(text, "a backtick has no partner; an expression stands between two of them")
    pieces: list[Piece] = []
    for index, piece in enumerate(_SPAN.split(text)):
        if index % 2:
            pieces.append(_read_span(piece))
        elif piece:
            pieces.append(piece)
    return tuple(pieces)


def _read_span(text: str) -> Span:
    body = text.strip()
    alone = body.startswith("=")
    valued = body.endswith("=") and not alone
    members = _CHAIN.split(body.strip("= ") if alone or valued else body)
    if alone and len(members) > 1:
        raise ExpressionError(text, "a value that stands alone (`=R1`) is one expression")
    return Span(tuple(read_expression(member.strip()) for member in members), valued, alone, body)


def spans_in(pieces: Iterable[Piece]) -> tuple[Span, ...]:
    """Return the spans of a text."""
    return tuple(piece for piece in pieces if isinstance(piece, Span))


# -- filled with a question's values ---------------------------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class FilledSpan:
    """A span as it reads in one question.

    Attributes:
        members: The expressions as text.
        shown: The value, or "" when none follows.
        alone: Whether the value stands alone.
        numbers: Shown values of the names, when the members are also to be read in figures.
    """

    members: tuple[str, ...]
    shown: str
    alone: bool = False
    numbers: Mapping[str, str] | None = None

    def to_data(self) -> dict[str, Any]:
        """Return plain data for storing."""
        data: dict[str, Any] = {"members": list(self.members), "shown": self.shown}
        if self.alone:
            data["alone"] = True
        if self.numbers:
            data["numbers"] = dict(self.numbers)
        return data


FilledPiece: TypeAlias = str | FilledSpan
Filled: TypeAlias = tuple[FilledPiece, ...]


def fill(pieces: Pieces, show: Callable[[Span], str], figures: Mapping[str, str] | None = None) -> Filled:
    """Fill a text with values.

    Args:
        pieces: The text.
        show: Gives the shown value of a span.
        figures: Shown values of names; given, a valued span of more than a name is also read in figures.
    """
    filled: list[FilledPiece] = []
    for piece in pieces:
        if isinstance(piece, str):
            filled.append(_without_unit(piece, filled))
            continue
        shown = show(piece) if piece.valued or piece.alone else ""
        compound = piece.valued and not isinstance(piece.members[-1], Name)
        numbers = figures if figures and compound else None
        members = tuple(describe(member) for member in piece.members)
        filled.append(FilledSpan(members, shown, piece.alone, _used(piece, numbers)))
    return tuple(filled)


_UNITS_WRITTEN_BEHIND = ("dB", "°", "%")


def _without_unit(text: str, before: list[FilledPiece]) -> str:
    """Return words without the unit that they begin with, if the value before them carries it already."""
    if before and isinstance(before[-1], FilledSpan):
        for unit in _UNITS_WRITTEN_BEHIND:
            if before[-1].shown.endswith(unit):
                return re.sub(rf"^[ \u00a0]?{unit}", "", text)
    return text


def _used(span: Span, numbers: Mapping[str, str] | None) -> Mapping[str, str] | None:
    used = {name: numbers[name] for name in names_in(span.members[-1]) if name in numbers} if numbers else {}
    return used or None


def filled_to_data(filled: Filled) -> list[Any]:
    """Return a filled text as plain data."""
    return [piece if isinstance(piece, str) else piece.to_data() for piece in filled]


def filled_from_data(data: Iterable[Any]) -> Filled:
    """Return a filled text from plain data."""
    return tuple(
        piece
        if isinstance(piece, str)
        else FilledSpan(tuple(piece["members"]), piece["shown"], piece.get("alone", False), piece.get("numbers"))
        for piece in data
    )
