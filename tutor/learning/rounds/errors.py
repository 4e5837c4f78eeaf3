"""Refusals of rounds.

RoundError         a round, an address or a decision that cannot be; says why and what would do
└── PostError      mail that cannot be sent or fetched now
    └── RefusedError   a letter that the server will never take
"""

from __future__ import annotations

from tutor.learning.errors import LearningError


class RoundError(LearningError):
    """A round, an address or a decision that cannot be; the message says why and what would do."""


class PostError(RoundError):
    """Mail that cannot be sent or fetched now; trying again later may do."""


class RefusedError(PostError):
    """A letter that the server will never take, such as one to an unknown mailbox."""
