"""Refusals of the workshop.

LearningError
├── EditClashError       somebody else changed the draft meanwhile; nothing was overwritten
├── NotProvedError       a draft that may not be published: says what to mend
├── NameTakenError       a template's key that another template has
├── ImportRefusedError   a file that cannot be taken in; with all its faults
└── RoleError            something that only an organiser or a trainer may do
"""

from __future__ import annotations

from collections.abc import Sequence

from tutor.errors import Fault
from tutor.learning.drafts import Draft
from tutor.learning.errors import LearningError


class EditClashError(LearningError):
    """A change of a draft that somebody has changed meanwhile.

    Attributes:
        draft: The draft as it stands now.
        says: What the other did, in words.
    """

    def __init__(self, draft: Draft, says: Sequence[str]) -> None:
        self.draft, self.says = draft, tuple(says)
        super().__init__("Somebody else changed this draft while you were at it. Nothing was overwritten.")


class NotProvedError(LearningError):
    """A draft that may not be published.

    Attributes:
        mend: What to mend, one line each.
    """

    def __init__(self, mend: Sequence[str]) -> None:
        self.mend = tuple(mend)
        super().__init__("It is not proved, so it cannot be published. " + " ".join(self.mend[:3]))


class NameTakenError(LearningError):
    """A key that another template has.

    Attributes:
        name: The key.
        free: One that is free.
    """

    def __init__(self, name: str, free: str) -> None:
        self.name, self.free = name, free
        super().__init__(f"Another template is called {name!r} already; {free!r} is free.")


class ImportRefusedError(LearningError):
    """A file that was not taken in.

    Attributes:
        faults: What is wrong with it.
    """

    def __init__(self, faults: Sequence[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("The file was not taken in; nothing of it was kept.")


class RoleError(LearningError):
    """Something that this member's role may not do."""
