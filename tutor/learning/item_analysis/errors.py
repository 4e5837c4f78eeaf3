"""Refusals of item analysis.

LearningError
└── ResponsesError    answers that are not a matrix of shares; a fault of the caller, not of the members
"""

from __future__ import annotations

from tutor.learning.errors import LearningError


class ResponsesError(LearningError, ValueError):
    """Answers that cannot be analysed.

    Attributes:
        found: What was found.
        member: Row of the matrix, from 0, or None when the fault is not in one row.
        question: Column of the matrix, from 0, or None when the fault is not in one column.
        wanted: What would do.
    """

    def __init__(self, found: object, wanted: str, *, member: int | None = None, question: int | None = None) -> None:
        self.found, self.member, self.question, self.wanted = found, member, question, wanted
        places = [
            f"{name} {index + 1}" for name, index in (("member", member), ("question", question)) if index is not None
        ]
        super().__init__(f"answers: {', '.join(places)}{': ' if places else ''}found {found!r}; wanted {wanted}")
