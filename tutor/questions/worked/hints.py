"""Hints made of steps, for a template without its own: the idea, the first step in symbols, then in figures."""

from __future__ import annotations

from collections.abc import Sequence

from tutor.circuits.explain.words import sentence
from tutor.questions.text import Filled, FilledPiece, FilledSpan
from tutor.questions.worked.filling import WorkedText, words


def hints_of(texts: Sequence[WorkedText]) -> tuple[Filled, ...]:
    """Return three hints, or none where no step can be shown without giving an answer away.

    The first names the idea, the second shows the first step without figures, the third with them. A first step that
    is the answer to an ask already is shown in symbols only.
    """
    if not texts or texts[0].steps[0].after is not None:
        return tuple(_idea(text) for text in texts[:1] if text.steps[0].step.idea)
    first = texts[0]
    hints = [_idea(first)] if first.steps[0].step.idea else []
    hints.append(_in_symbols(first.filled))
    if not any(step.ends for step in first.steps):
        hints.append(first.filled)
    return tuple(hints)


def _idea(text: WorkedText) -> Filled:
    return tuple(words(sentence(text.steps[0].step.idea)))


def _in_symbols(filled: Filled) -> Filled:
    """Return a step without its figures."""

    def bare(piece: FilledPiece) -> FilledPiece:
        return piece if isinstance(piece, str) else FilledSpan(piece.members, "", piece.alone)

    return tuple(bare(piece) for piece in filled)
