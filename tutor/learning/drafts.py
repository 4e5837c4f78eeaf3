"""What the workshop remembers, as frozen values: drafts with their history, releases, proofs, corrected marks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from tutor.questions.authoring.proving import Proof
from tutor.questions.marks import Mark


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """A template that is being made.

    Attributes:
        id: Of the draft.
        data: The template in the shape of its file; anything may be missing yet.
        version: Rises with every change; who changes an older one is told.
        origin: Name of the template that it began as a copy of, or "".
        owner: Who began it; None when they left.
        made, changed: When.
        changed_by: Who changed it last.
        trashed: When it was put into the trash, or None.
    """

    id: str
    data: Mapping[str, Any]
    version: int
    origin: str
    owner: int | None
    made: datetime
    changed: datetime
    changed_by: int | None
    trashed: datetime | None = None

    @property
    def name(self) -> str:
        """The template's key, or ""."""
        return str(self.data.get("template") or "")

    @property
    def title(self) -> str:
        """Its title, for lists."""
        return str(self.data.get("title") or self.name or "Without a title")


@dataclass(frozen=True, slots=True, kw_only=True)
class DraftVersion:
    """A draft as it stood after one change.

    Attributes:
        version: Its number.
        data: The draft's data.
        by: Who made the change.
        at: When.
        says: What was done, in a few words.
        parent: The version that undoing leads back to; 0 for none.
    """

    version: int
    data: Mapping[str, Any]
    by: int | None
    at: datetime
    says: str
    parent: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Release:
    """A draft that was published: frozen for ever.

    Attributes:
        id: Number in the records, rising.
        draft: The draft that it was made of.
        name: The template's key.
        release: Its hash.
        data: The template.
        file: The file, byte for byte.
        by, at: Who published it, and when.
        says: What changed against the release before, in words.
        proof: What was proved of it.
        withdrawn: When it was taken off the shelf, or None.
    """

    id: int
    draft: str
    name: str
    release: str
    data: Mapping[str, Any]
    file: str
    by: int | None
    at: datetime
    says: tuple[str, ...]
    proof: Proof
    withdrawn: datetime | None = None


@dataclass(frozen=True, slots=True)
class KeptProof:
    """A proof that was begun.

    Attributes:
        release: Of what.
        begun: When.
        proof: What came out, or None while it runs.
    """

    release: str
    begun: datetime
    proof: Proof | None


@dataclass(frozen=True, slots=True, kw_only=True)
class OldMark:
    """A mark that was corrected, as it stood before.

    Attributes:
        attempt: The attempt.
        mark: The mark that was given at first.
        release: The release by which it was marked anew.
        at: When.
        by: By whom.
    """

    attempt: int
    mark: Mark
    release: str
    at: datetime
    by: int | None
