"""Port: drafts with their history, releases, proofs, and marks that were corrected."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any, Protocol

from tutor.learning.drafts import Draft, DraftVersion, KeptProof, OldMark, Release
from tutor.learning.records import Attempt, Issue
from tutor.questions.authoring.proving import Proof
from tutor.questions.marks import Mark


class Workshop(Protocol):
    """What the workshop keeps."""

    def add(self, draft: Draft, says: str) -> None:
        """Store a new draft, and its first version."""
        ...

    def draft(self, draft: str) -> Draft | None: ...

    def drafts(self, *, trashed: bool = False) -> Sequence[Draft]:
        """Return the drafts in hand, or those in the trash, the latest changed first."""
        ...

    def change(
        self, draft: str, version: int, data: Mapping[str, Any], *, by: int, at: datetime, says: str, parent: int
    ) -> bool:
        """Store a change of a draft's version; False when the draft has gone on from it already."""
        ...

    def versions(self, draft: str) -> Sequence[DraftVersion]:
        """Return a draft's history, the latest first."""
        ...

    def version(self, draft: str, version: int) -> DraftVersion | None: ...

    def put_into_trash(self, draft: str, at: datetime | None) -> None:
        """Put a draft into the trash, or with None take it out again."""
        ...

    def empty_trash(self) -> int:
        """Delete what is in the trash for good; return how many drafts that were."""
        ...

    def publish(self, release: Release) -> None:
        """Store a release; its number is given by the records."""
        ...

    def releases(self, name: str = "", draft: str = "") -> Sequence[Release]:
        """Return releases, of one template or draft where one is named, the latest first."""
        ...

    def live(self) -> Sequence[Release]:
        """Return the latest release of every template that was not withdrawn."""
        ...

    def withdraw(self, name: str, at: datetime) -> None:
        """Take every release of a template off the shelf."""
        ...

    def stamp(self) -> str:
        """Return a text that changes whenever the published releases do."""
        ...

    def begin_proof(self, release: str, at: datetime) -> None: ...

    def end_proof(self, release: str, proof: Proof) -> None: ...

    def proof(self, release: str) -> KeptProof | None: ...

    def attempts_on(self, template: str, releases: Sequence[str]) -> Sequence[tuple[Issue, Attempt]]:
        """Return every attempt on some releases of a template, the earliest first."""
        ...

    def correct_mark(self, old: OldMark, mark: Mark) -> None:
        """Give an attempt another mark, and keep the old one."""
        ...

    def old_marks(self, attempt: int) -> Sequence[OldMark]:
        """Return the marks that an attempt had before, the latest first."""
        ...
