"""Refusals of rounds.

RoundError             a round, an address or a decision that cannot be; says why and what would do
└── PostError          mail that cannot be sent or fetched now
    ├── RefusedError   a letter that the server will never take
    ├── PostponedError a letter that the server puts off, while others may go
    └── UncertainError a letter of which nobody can tell whether the server took it
"""

from __future__ import annotations

from tutor.learning.errors import LearningError


class RoundError(LearningError):
    """A round, an address or a decision that cannot be; the message says why and what would do."""


class PostError(RoundError):
    """Mail that cannot be sent or fetched now; trying again later may do."""


class RefusedError(PostError):
    """A letter that the server will never take, such as one to an unknown mailbox."""


class PostponedError(PostError):
    """A letter that the server puts off for a while."""


class UncertainError(PostError):
    """A letter that the server may have taken: the line broke before it said so."""
