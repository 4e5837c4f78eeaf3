"""What the store says when it cannot be used at all.

StoreError             a database that cannot be used as it is: wrong settings, unknown schema, out of reach at start
└── BackupError        a backup that cannot be made, or one that is damaged or does not fit

Trouble in the middle of a request is told in the words of `learning.trouble.RecordsError`; see `trouble` here.
"""

from __future__ import annotations

from tutor.errors import QuiescentError


class StoreError(QuiescentError):
    """A database that cannot be used; says what was found."""


class BackupError(StoreError):
    """A backup that cannot be made or taken back; says which, and what was found in it."""
