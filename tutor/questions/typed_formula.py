"""A formula as a member types it: forgiving in its spelling, strict in what it may hold.

`V1 R2/(R1+R2)`, `v = V1·R₂ ÷ (R₁ + R₂)` and `V1*R2/(R1 + R2)` are one formula. What comes out of the spelling is read
by the expressions' own reader with its bounds; text is never evaluated.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from tutor.circuits.errors import ExpressionError, did_you_mean, shortened
from tutor.circuits.expressions import Comparison, Expression, Logic, names_in, read_expression
from tutor.circuits.expressions.evaluation import FUNCTIONS
from tutor.circuits.expressions.reading import CONSTANTS
from tutor.drawing.maths import GREEK

_SIGNS = {
    "^": "**", "−": "-", "–": "-", "×": "*", "·": "*", "⋅": "*", "∙": "*", "÷": "/", "²": "**2", "³": "**3",
    "√": " sqrt", "[": "(", "]": ")", "{": "(", "}": ")", "\u00a0": " ", "\u202f": " ", "µ": "mu", "μ": "mu",
    "ₐ": "a", "ₖ": "k", "ₚ": "p", "ₛ": "s", "ₗ": "L",
}  # fmt: skip
_SIGNS |= {letter: f" {name} " for name, letter in GREEK.items() if letter not in "µΩΔ"}
_SIGNS |= {chr(0x2080 + figure): str(figure) for figure in range(10)}
_TABLE = str.maketrans(_SIGNS)

_TOKEN = re.compile(
    r"\s*(?:(?P<number>(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][-+]?[0-9]+)?)"
    r"|(?P<name>[A-Za-z_][A-Za-z0-9_]*)|(?P<operator>\*\*|[-+*/(),])|(?P<other>\S))"
)
_LEFT_SIDE = re.compile(r"\s*[^\W\d]\w*(?:\s*/\s*[^\W\d]\w*)?\s*")


def read_formula(typed: str, names: Iterable[str]) -> Expression:
    """Read a member's formula.

    Args:
        typed: As typed; `x = …` may stand before it, a factor may follow another without a sign.
        names: The names that it may use.

    Returns:
        The formula over those names, spelt as they are.

    Raises:
        ExpressionError: For what is no formula over these names; the reason is meant for the member.
    """
    known = tuple(names)
    text = _right_side(typed.translate(_TABLE))
    expression = read_expression(_spelt_out(text, known))
    if isinstance(expression, Comparison | Logic):
        raise ExpressionError(typed, "it compares; a formula is wanted")
    for name in names_in(expression):
        if name not in known:
            near = did_you_mean(name, known)
            raise ExpressionError(typed, f"there is no {shortened(name)} here{near}; it is written in {listed(known)}")
    return expression


def listed(names: Iterable[str]) -> str:
    """Return names as a sentence lists them: R1, R2 and RL."""
    *most, last = names
    return f"{', '.join(most)} and {last}" if most else last


def _right_side(text: str) -> str:
    """Return what stands behind the sign of equality, if only a name stands before it."""
    left, sign, right = text.partition("=")
    if not sign:
        return text
    if "=" in right or not _LEFT_SIDE.fullmatch(left):
        raise ExpressionError(text, "write only the right side: what stands behind the sign of equality")
    return right


def _spelt_out(text: str, known: tuple[str, ...]) -> str:
    """Return the text with every name as it is known, and a sign between factors that follow one another."""
    pieces: list[str] = []
    ended = False  # whether the piece before ends an operand
    for match in _TOKEN.finditer(text):
        kind, piece = match.lastgroup, match[match.lastgroup or 0].strip()
        if kind == "other":
            hint = "; write parallel(a, b) for resistances side by side" if piece in "|∥‖" else ""
            raise ExpressionError(text, f"found {piece!r}, which has no meaning in a formula{hint}")
        if kind == "name":
            piece = _known_name(piece, known)
        if ended and (kind in ("name", "number") or piece == "("):
            pieces.append("*")
        pieces.append(piece)
        ended = kind == "number" or piece == ")" or (kind == "name" and piece not in FUNCTIONS)
    return " ".join(pieces)


def _known_name(typed: str, known: tuple[str, ...]) -> str:
    """Return the name that is meant: the very one, or the only one that differs in capitals and low lines at most."""
    words = (*known, *FUNCTIONS, *CONSTANTS)
    if typed in words:
        return typed
    alike = [word for word in words if _plain(word) == _plain(typed)]
    return alike[0] if len(alike) == 1 else typed


def _plain(name: str) -> str:
    return name.replace("_", "").lower()
