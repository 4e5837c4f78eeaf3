"""Errors of templates, banks and questions.

    QuestionError
    ├── UnknownTemplateError       no template of that name; names near ones
    ├── DrawError                  a serial that no draw of values satisfies, or no serial at all
    └── AskError                   an answer for an ask that the question does not have

Faults in files are `tutor.errors.FaultyFileError`.
"""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches

from tutor.errors import QuiescentError


class QuestionError(QuiescentError):
    """Base of all errors of this layer."""


class UnknownTemplateError(QuestionError, LookupError):
    """A template that no bank has."""

    def __init__(self, name: str, known: Iterable[str]) -> None:
        self.name, self.known = name, tuple(known)
        near = get_close_matches(name, self.known, n=3)
        hint = f"; did you mean {', '.join(near)}?" if near else ""
        super().__init__(f"there is no template {name!r}{hint}")


class DrawError(QuestionError, ValueError):
    """Values that cannot be drawn.

    Attributes:
        template: Its name.
        serial: The serial asked for.
        reason: What failed and what would do.
    """

    def __init__(self, template: str, serial: object, reason: str) -> None:
        self.template, self.serial, self.reason = template, serial, reason
        super().__init__(f"{template}, serial {serial}: {reason}")


class AskError(QuestionError, LookupError):
    """An answer to something that is not asked."""

    def __init__(self, name: str, known: Iterable[str]) -> None:
        self.name, self.known = name, tuple(known)
        super().__init__(f"nothing is asked under {name!r}; asked are {', '.join(self.known)}")
