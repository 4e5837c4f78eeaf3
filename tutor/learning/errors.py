"""Refusals of the club's use cases.

LearningError
├── SignInError            wrong name or password, or too many tries; says the same for both names and passwords
├── SecondFactorError      a second factor's code that is missing or wrong
├── SignInTakenError       a sign-in name that somebody has already
├── PasswordError          a password that is refused; says why
├── JoinCodeError          a join code that is unknown, used up or out of date
├── ResetCodeError         a reset code that is unknown, used or out of date
├── OfficeError            something that cannot be done to an account; says why
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


class SecondFactorError(LearningError):
    """A second factor's code that is missing or wrong.

    Attributes:
        wrong: Whether there was one.
    """

    def __init__(self, wrong: bool = False) -> None:
        self.wrong = wrong
        super().__init__(
            "That code does not fit; wait for the next one, or use a recovery code."
            if wrong
            else "Give the code that your second factor shows, or a recovery code, as well."
        )


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


class ResetCodeError(LearningError):
    """A reset code that opens nothing."""

    def __init__(self) -> None:
        super().__init__("That code is not known, used already or out of date; ask the organiser for another.")


class OfficeError(LearningError):
    """Something that cannot be done to an account; the message says why."""


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
