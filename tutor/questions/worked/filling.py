"""Automatic steps as texts: a sentence, the formula in symbols and in figures; several may make one thought."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from tutor.circuits.explain import Method
from tutor.circuits.explain.words import sentence
from tutor.circuits.expressions import Comparison, Expression, Name, Number, names_in
from tutor.circuits.expressions.evaluation import describe
from tutor.questions.showing import computed, phasor
from tutor.questions.text import Filled, FilledPiece, FilledSpan, read_pieces
from tutor.questions.worked.automatic import WorkedStep

PREPARING = frozenset(
    {Method.SERIES_PARALLEL, Method.REACTANCE, Method.THEVENIN, Method.NODE_EQUATIONS, Method.RULE, Method.VALVE}
    | {Method.SOURCE_TRANSFORMATION}
)
"""Steps on the way to an answer that may stand together as one thought."""
MOST_TOGETHER = 3

_LEADS_ON = frozenset(
    {"are", "is", "was", "be", "gets", "get", "gives", "give", "make", "makes", "of", "with", "at", "to", "by", "flow"}
    | {"carries", "has", "have", "as", "them", "for", "reach", "up", "leaves", "node", "takes"}
)
"""Words after which a formula goes on without a colon."""


@dataclass(frozen=True, slots=True)
class WorkedText:
    """A step as a page shows it.

    Attributes:
        filled: The text.
        parts: References of the parts that it concerns.
        steps: The steps that it tells.
    """

    filled: Filled
    parts: tuple[str, ...]
    steps: tuple[WorkedStep, ...]


def grouped(steps: Sequence[WorkedStep]) -> list[tuple[WorkedStep, ...]]:
    """Return steps in groups, each of which is shown as one."""
    groups: list[list[WorkedStep]] = []
    for step in steps:
        last = groups[-1][-1] if groups else None
        if last is not None and len(groups[-1]) < MOST_TOGETHER and _belong(last, step):
            groups[-1].append(step)
        else:
            groups.append([step])
    return [tuple(group) for group in groups]


def _belong(first: WorkedStep, second: WorkedStep) -> bool:
    if first.step.method is Method.CHANGE:
        return second.step.method is Method.CHANGE
    preparing = not first.ends and not second.ends and first.ask == second.ask
    methods = {first.step.method, second.step.method}
    return preparing and (len(methods) == 1 or methods <= PREPARING)


def text_of_group(group: Sequence[WorkedStep], show: Callable[[str], str | None]) -> WorkedText:
    """Return a group as one text.

    Args:
        group: Its steps.
        show: Gives the shown value of a name, or None where it has none.
    """
    pieces: list[FilledPiece] = []
    for step in group:
        if pieces:
            pieces.append(" ")
        elif step.after is not None:
            pieces.append("Worked out before and after the change: ")
        pieces += _pieces(step, show, first=step is group[0])
    parts = tuple(dict.fromkeys(part for step in group for part in step.step.parts))
    return WorkedText(_joined(pieces), parts, tuple(group))


def _pieces(worked: WorkedStep, show: Callable[[str], str | None], *, first: bool) -> list[FilledPiece]:
    step = worked.step
    says = sentence(step.says)
    if says.startswith("`"):
        says = step.says
    if worked.after is not None:
        return [*words(step.says if first else says), *_before_and_after(worked), "."]
    joint = " " if says.rpartition(" ")[2] in _LEADS_ON else ": "
    return [*words(says), joint, _span(worked, show), "."]


def words(says: str) -> list[FilledPiece]:
    """Return a sentence with its names typeset."""
    return [
        piece if isinstance(piece, str) else FilledSpan(tuple(describe(m) for m in piece.members), "")
        for piece in read_pieces(says)
    ]


def _before_and_after(worked: WorkedStep) -> list[FilledPiece]:
    step = worked.step
    assert worked.after is not None
    before, after = computed(step.value.real, step.unit), computed(_value(worked.after[0]), step.unit)
    if before == after:
        return [", at ", FilledSpan(("0",), before, alone=True)]
    return [", from ", FilledSpan(("0",), before, alone=True), " to ", FilledSpan(("0",), after, alone=True)]


def _value(expression: Expression) -> float:
    assert isinstance(expression, Number)
    return expression.value


def _span(worked: WorkedStep, show: Callable[[str], str | None]) -> FilledSpan:
    step = worked.step
    if isinstance(step.formula, Comparison):
        return FilledSpan((describe(step.formula),), "")
    shown = show(step.name) if worked.ends else None
    shown = shown or phasor(step.value, step.unit)
    if isinstance(step.formula, Number):
        return FilledSpan((step.name,), shown)
    if isinstance(step.formula, Name):
        return FilledSpan((step.name, describe(step.formula)), shown)
    return FilledSpan((step.name, describe(step.formula)), shown, numbers=_figures(step.formula, show))


def _figures(formula: Expression, show: Callable[[str], str | None]) -> Mapping[str, str] | None:
    figures = {name: shown for name in names_in(formula) if name != "j" and (shown := show(name)) is not None}
    return figures or None


def _joined(pieces: Sequence[FilledPiece]) -> Filled:
    """Return pieces with neighbouring words as one."""
    found: list[FilledPiece] = []
    for piece in pieces:
        if isinstance(piece, str) and found and isinstance(found[-1], str):
            found[-1] += piece
        else:
            found.append(piece)
    return tuple(found)
