"""Refusals of the club's use cases.

LearningError
├── SignInError            wrong name or password, or too many tries; says the same for both names and passwords
├── SignInTakenError       a sign-in name that somebody has already
├── PasswordError          a password that is refused; says why
├── JoinCodeError          a join code that is unknown, used up or out of date
├── GroupTakenError        a name that another group has already
├── UnknownError           a lesson, question or paper that does not exist, or is somebody else's
├── ClosedError            something that can no longer be done (an answer after the solution, a paper handed in)
├── PlanError              a lesson's plan or a test's rules that cannot be; says why
└── item_analysis.errors.ResponsesError   answers from which nothing can be reckoned
"""

from __future__ import annotations

from tutor.errors import QuiescentError


class LearningError(QuiescentError):
    """Base of all refusals."""


class SignInError(LearningError):
    """A sign-in that is refused.

    Attributes:
        wait: Seconds until the next try is looked at; 0 for at once.
    """

    def __init__(self, wait: int = 0) -> None:
        self.wait = wait
        message = "That name and password do not go together."
        if wait:
            message = f"Too many tries; the next one counts in {wait} seconds."
        super().__init__(message)


class SignInTakenError(LearningError):
    """A sign-in name that is taken."""

    def __init__(self, sign_in: str) -> None:
        self.sign_in = sign_in
        super().__init__(f"The sign-in name {sign_in!r} is taken; choose another.")


class GroupTakenError(LearningError):
    """A group's name that is taken."""

    def __init__(self, name: str) -> None:
        self.name = name
        super().__init__(f"There is a group {name!r} already; choose another name.")


class PlanError(LearningError):
    """A plan that cannot be; the message says why and what would do."""


class PasswordError(LearningError):
    """A password that is refused; the message says why."""


class JoinCodeError(LearningError):
    """A join code that opens nothing."""

    def __init__(self, reason: str) -> None:
        super().__init__(reason)


class UnknownError(LearningError, LookupError):
    """Something that does not exist, or not for this member.

    Attributes:
        what: The kind of thing.
        name: What was asked for.
        near: Names that look like it.
    """

    def __init__(self, what: str, name: str, near: tuple[str, ...] = ()) -> None:
        self.what, self.name, self.near = what, name, near
        hint = f" Did you mean {', '.join(near)}?" if near else ""
        super().__init__(f"There is no {what} {name!r} here.{hint}")


class ClosedError(LearningError):
    """Something that can no longer be done; the message says why and what would do."""
