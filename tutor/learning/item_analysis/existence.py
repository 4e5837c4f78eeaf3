"""Which questions have a finite Rasch difficulty, and whose answers tell something about it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TypeAlias

Answered: TypeAlias = dict[int, int]
"""Place of a question among those kept → 1 right or 0 wrong, for one member, in order."""


def informative(rows: Sequence[Sequence[int | None]]) -> tuple[tuple[int, ...], list[Answered]]:
    """Return the questions that have a finite difficulty, and the answers to these of members who tell something.

    Takes turns: members with everything right or wrong go, then questions that all who remain got right, or none; which
    may make more members go.

    Args:
        rows: Members × questions: 1, 0 or None.
    Returns:
        Numbers of the questions kept, none when there is no finite solution; and one table per member who remains.
    Source:
        The condition that each question must lead to each other by "right here, wrong there": G. H. Fischer,
        Psychometrika 46 (1981) 59-77 (from memory).
    """
    kept = tuple(range(len(rows[0]) if rows else 0))
    while True:
        members = [{q: given for q in kept if (given := row[q]) is not None} for row in rows]
        members = [member for member in members if 0 < sum(member.values()) < len(member)]
        met = _met(members, 0) & _met(members, 1)
        finite = tuple(q for q in kept if q in met)
        if finite == kept:
            break
        kept = finite
    if len(kept) < 2 or not _all_lead_to_all(kept, members):
        return (), []
    places = {question: place for place, question in enumerate(kept)}
    return kept, [{places[q]: given for q, given in member.items()} for member in members]


def _met(members: Iterable[Answered], mark: int) -> set[int]:
    return {question for member in members for question, given in member.items() if given == mark}


def _all_lead_to_all(questions: Sequence[int], members: Iterable[Answered]) -> bool:
    onward: dict[int, set[int]] = {q: set() for q in questions}
    back: dict[int, set[int]] = {q: set() for q in questions}
    for member in members:
        right = {q for q, given in member.items() if given}
        wrong = member.keys() - right
        for question in right:
            onward[question] |= wrong
        for question in wrong:
            back[question] |= right
    return all(_reached(questions[0], table) == set(questions) for table in (onward, back))


def _reached(start: int, table: dict[int, set[int]]) -> set[int]:
    reached, edge = {start}, [start]
    while edge:
        fresh = table[edge.pop()] - reached
        reached |= fresh
        edge.extend(fresh)
    return reached
