"""Trouble with the records in the middle of a use case: what the port `Records` raises when it cannot do its work.

RecordsError           nothing was acknowledged; the same form may be sent again, and counts once
├── RecordsBusyError   others held the records for too long
├── RecordsFullError   there is no room left on their disk
└── RecordsLostError   they cannot be reached, or the connection broke
"""

from __future__ import annotations

from tutor.errors import QuiescentError


class RecordsError(QuiescentError):
    """Base of all trouble with the records.

    Attributes:
        wait: Seconds after which another try makes sense.
    """

    wait = 5

    def __init__(self) -> None:
        super().__init__(self.says)

    @property
    def says(self) -> str:
        """What to tell the person who waits."""
        return "The club's records cannot be reached just now."


class RecordsBusyError(RecordsError):
    """Records that others held for too long."""

    wait = 2

    @property
    def says(self) -> str:
        """What to tell the person who waits."""
        return "The club's records are busy just now."


class RecordsFullError(RecordsError):
    """Records without room to write."""

    wait = 60

    @property
    def says(self) -> str:
        """What to tell the person who waits."""
        return "There is no room left for the club's records; the organiser must make some."


class RecordsLostError(RecordsError):
    """Records that cannot be reached."""
