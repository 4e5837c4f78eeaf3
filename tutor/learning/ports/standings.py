"""Port: needles, ledgers, the evidence behind them, and learnt difficulties."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import datetime
from typing import Protocol

from tutor.learning.difficulty import Composition, Difficulties, Difficulty
from tutor.learning.facts import Fact
from tutor.learning.standing import Evidence, LedgerEntry, Standing


class Standings(Protocol):
    """Needles and their ledgers, with what they follow from."""

    def lock(self, member: int, topics: Iterable[str]) -> None:
        """Let nobody else credit this member or these topics before this transaction ends."""
        ...

    def of_member(self, member: int) -> Mapping[str, Standing]: ...

    def of_members(self, members: Sequence[int]) -> Mapping[int, Mapping[str, Standing]]: ...

    def put(self, member: int, topic: str, standing: Standing) -> None: ...

    def enter(self, member: int, entries: Sequence[LedgerEntry]) -> None: ...

    def ledger(self, member: int, topic: str, limit: int = 50) -> Sequence[LedgerEntry]:
        """Return a topic's entries, the latest first."""
        ...

    def course_of(self, member: int, topic: str, since: datetime) -> Sequence[LedgerEntry]:
        """Return a topic's entries since a time, the earliest first: how the needle went."""
        ...

    def difficulties(self, topic: str) -> Difficulties:
        """Return what is learnt of the difficulties of a topic's templates."""
        ...

    def all_difficulties(self) -> Mapping[str, Difficulties]: ...

    def put_difficulty(self, topic: str, template: str, difficulty: Difficulty) -> None: ...

    def add_fact(self, member: int, attempt: int, evidence: Evidence, bank: Composition) -> None: ...

    def facts(self) -> Iterator[Fact]:
        """Return all evidence in the order in which it was credited."""
        ...

    def shares_elsewhere(self, members: Sequence[int], template: str) -> Mapping[int, float]:
        """Return the mean share of marks that members earned at first tries of all other templates."""
        ...

    def correct(self, attempt: int, topic: str, share: float, slip: str) -> None:
        """Change what an attempt says about a topic, after its mark was corrected."""
        ...

    def clear(self) -> None:
        """Forget everything that follows from the evidence, to make it anew."""
        ...
