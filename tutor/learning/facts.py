"""Facts: evidence as it is kept, so that every standing can be made anew from the attempts."""

from __future__ import annotations

from dataclasses import dataclass

from tutor.learning.difficulty import Composition
from tutor.learning.standing import Evidence


@dataclass(frozen=True, slots=True)
class Fact:
    """One piece of evidence as it was credited.

    Attributes:
        id: Number in the records, rising in the order in which needles moved.
        member: Whose.
        attempt: The attempt behind it.
        evidence: What it says.
        bank: The topic's templates at that time.
    """

    id: int
    member: int
    attempt: int
    evidence: Evidence
    bank: Composition
