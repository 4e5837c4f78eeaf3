"""Ports: questions issued and answered, and the papers of tests."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from typing import Protocol

from tutor.learning.records import Attempt, Issue, IssueLine, Paper, Sureness
from tutor.questions.marks import Mark


class Questions(Protocol):
    """Questions issued, hints taken, attempts."""

    def add(self, issue: Issue) -> None: ...

    def get(self, issue: str, *, lock: bool = False) -> Issue | None:
        """Return a question; locked, nobody else changes it before this transaction ends."""
        ...

    def history(
        self, member: int, *, lesson: str = "", limit: int = 50, before: datetime | None = None
    ) -> Sequence[IssueLine]:
        """Return what was issued to a member, the latest first."""
        ...

    def serials(self, member: int, template: str) -> frozenset[int]: ...

    def note_hint(self, issue: str, hints: int) -> None:
        """Note that a member has taken this many hints; never fewer than before."""
        ...

    def open_solution(self, issue: str, at: datetime) -> None:
        """Note when the solution was first opened."""
        ...

    def attempt(self, issue: str, key: str) -> Attempt | None:
        """Return the attempt that a form's key made already."""
        ...

    def add_attempt(
        self,
        issue: str,
        member: int,
        key: str,
        answers: Mapping[str, str],
        mark: Mark,
        at: datetime,
        sure: Sureness | None = None,
    ) -> Attempt: ...

    def every(self) -> Iterator[Issue]:
        """Return every question that was answered, with its attempts."""
        ...

    def first_shares(self, issues: Sequence[str]) -> Mapping[str, tuple[str, float]]:
        """Return question → its template and the share of marks that its first attempt earned."""
        ...

    def first_answers(self, template: str, limit: int = 500) -> Sequence[tuple[Issue, Attempt]]:
        """Return the latest first attempts on a template."""
        ...


class Papers(Protocol):
    """Tests."""

    def add(self, paper: Paper) -> None: ...

    def get(self, paper: str) -> Paper | None: ...

    def of_member(self, member: int) -> Sequence[Paper]:
        """Return a member's papers without what is typed in them, the latest first."""
        ...

    def save(self, paper: str, issue: str, answers: Mapping[str, str]) -> None: ...

    def hand_in(self, paper: str, at: datetime) -> bool:
        """Close a paper; False when it was closed already."""
        ...

    def put_marks(self, paper: str, marks: int, of: int) -> None: ...

    def handed_in(self, lesson: str) -> Sequence[Paper]:
        """Return the papers of a lesson that were handed in, the latest first."""
        ...
