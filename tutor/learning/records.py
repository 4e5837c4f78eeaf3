"""What the club remembers, as frozen values: people, questions issued, attempts, papers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from enum import IntEnum, StrEnum

from tutor.questions.marks import Mark
from tutor.questions.question import Question


class Role(StrEnum):
    """The three roles."""

    MEMBER = "member"
    TRAINER = "trainer"
    ORGANISER = "organiser"


@dataclass(frozen=True, slots=True)
class Member:
    """Somebody with an account.

    Attributes:
        id: Number in the records.
        sign_in: Name to sign in with, in small letters.
        name: As they are called.
        role: Member, trainer or organiser.
        password: Hash of the password.
        joined: When.
        closed: When the account was closed, or None.
        second: Secret of the second factor; "" without one.
        second_step: The last time step whose code was taken.
    """

    id: int
    sign_in: str
    name: str
    role: Role
    password: str = field(repr=False)  # so that no log shows it
    joined: datetime
    closed: datetime | None = None
    second: str = field(default="", repr=False)
    second_step: int = field(default=0, repr=False)


@dataclass(frozen=True, slots=True)
class JoinCode:
    """A code with which people make their own accounts.

    Attributes:
        code: The code, capitals and figures.
        role: The role that it gives.
        uses: How often it can still be used.
        expires: Until when.
    """

    code: str
    role: Role
    uses: int
    expires: datetime


@dataclass(frozen=True, slots=True)
class SignedIn:
    """One browser that is signed in.

    Attributes:
        token_hash: Hash of the token that the browser holds.
        member: Whose.
        made: When it began.
        expires: When it ends by itself.
        seen: When it was last used, to the minute; only kept where sign-ins end by idling.
        browser: What the browser calls itself.
    """

    token_hash: str = field(repr=False)
    member: int
    made: datetime
    expires: datetime
    seen: datetime
    browser: str = ""

    @property
    def handle(self) -> str:
        """A name for it that may stand on a page: part of a hash of 256 random bits."""
        return self.token_hash[:16]


@dataclass(frozen=True, slots=True)
class Act:
    """Something done to an account.

    Attributes:
        id: Number in the records, rising.
        at: When.
        actor: Number of the member who did it; None for the command line.
        act: What, in a few words.
        whom: Number of the member it was done to, or None.
        detail: More of it; no names, so that nothing is left of members who are erased.
    """

    id: int
    at: datetime
    actor: int | None
    act: str
    whom: int | None
    detail: str


@dataclass(frozen=True, slots=True)
class Group:
    """Members who are looked at together, such as one evening's class.

    Attributes:
        id: Number in the records.
        name: As it is called.
        members: Ids of its members.
    """

    id: int
    name: str
    members: frozenset[int] = frozenset()


class Sureness(IntEnum):
    """How sure a member said to be before the mark."""

    GUESSING = 0
    FAIRLY_SURE = 1
    SURE = 2

    @property
    def words(self) -> str:
        """In words."""
        return self.name.replace("_", " ").lower()


@dataclass(frozen=True, slots=True, kw_only=True)
class Attempt:
    """One submission of answers, marked.

    Attributes:
        id: Number in the records, rising.
        issue: The question it answers.
        key: Key of the form that was sent; a form sent twice is one attempt.
        answers: Ask → as typed.
        mark: The mark.
        at: When.
        sure: How sure the member said to be, or None.
    """

    id: int
    issue: str
    key: str
    answers: Mapping[str, str]
    mark: Mark
    at: datetime
    sure: Sureness | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Issue:
    """A question issued to a member, with everything that was shown.

    Attributes:
        id: What the browser gets to see; never the serial.
        member: Whose.
        lesson: Within which lesson.
        paper: The test that it belongs to, or "".
        question: The question, key included.
        at: When it was issued.
        hints: Hints taken.
        opened: When its solution was opened, or None.
        why: Why it was asked, as one sentence; "" when the member chose it.
        example: The same template with other values, worked beside it, or None.
        example_steps: How many steps of the example are shown.
        attempts: In order.
    """

    id: str
    member: int
    lesson: str
    paper: str
    question: Question
    at: datetime
    hints: int = 0
    opened: datetime | None = None
    why: str = ""
    example: Question | None = None
    example_steps: int = 0
    attempts: tuple[Attempt, ...] = ()

    @property
    def last(self) -> Attempt | None:
        """The latest attempt."""
        return self.attempts[-1] if self.attempts else None

    @property
    def solved(self) -> bool:
        """Whether some attempt earned every mark."""
        return any(attempt.mark.is_full for attempt in self.attempts)

    @property
    def helped(self) -> bool:
        """Whether there was help: a hint, or a worked example."""
        return self.hints > 0 or self.example_steps > 0


@dataclass(frozen=True, slots=True, kw_only=True)
class IssueLine:
    """A question issued, as a line of a history: without the question itself."""

    id: str
    template: str
    title: str
    topic: str
    lesson: str
    paper: str
    at: datetime
    attempts: int
    marks: int | None
    of: int
    solved: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """A test of one member.

    Attributes:
        id: Of the paper.
        member: Whose.
        lesson: Of which lesson.
        begun: When.
        handed_in: When, or None.
        issues: Ids of its questions, in order.
        drafts: Question id → ask → what has been typed so far.
        marks, of: Marks earned and available; None and 0 before it is handed in.
    """

    id: str
    member: int
    lesson: str
    begun: datetime
    handed_in: datetime | None
    issues: tuple[str, ...]
    drafts: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    marks: int | None = None
    of: int = 0
