"""Ports: who is signed in, failed tries, codes; and the log of acts."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Protocol

from tutor.learning.records import Act, Member, SignedIn


class Doors(Protocol):
    """Sign-ins, failed tries, and the codes that open an account without its password; codes and tokens as hashes."""

    def sign_in(self, signed_in: SignedIn) -> None: ...

    def signed_in(self, token_hash: str) -> tuple[SignedIn, Member] | None:
        """Return a sign-in with its member."""
        ...

    def sign_ins(self, member: int) -> Sequence[SignedIn]:
        """Return the sign-ins of a member, the latest first."""
        ...

    def saw(self, token_hash: str, at: datetime) -> None:
        """Note when a sign-in was used."""
        ...

    def sign_out(self, token_hash: str) -> None: ...

    def sign_out_all(self, member: int, but: str = "") -> int:
        """End all sign-ins of a member but one; returns how many."""
        ...

    def note_failure(self, account: str, address: str, at: datetime) -> None: ...

    def failures(self, account: str, address: str, since: datetime) -> tuple[int, datetime | None]:
        """Return how many tries failed since a time and when the last one was."""
        ...

    def failures_everywhere(self, account: str, since: datetime) -> int: ...

    def sweep(self, now: datetime, failures_before: datetime) -> None:
        """Forget sign-ins and codes that have run out, and failures of before a time."""
        ...

    def clear_failures(self, account: str) -> None: ...

    def set_reset_code(self, member: int, code_hash: str, expires: datetime) -> None:
        """Store a code; an earlier one opens nothing any more."""
        ...

    def reset_code(self, code_hash: str) -> tuple[int, datetime] | None:
        """Return whose a code is and until when it is good."""
        ...

    def use_reset_code(self, code_hash: str) -> bool:
        """Take a code; False when it is gone."""
        ...

    def drop_reset_codes(self, member: int) -> None: ...

    def set_recovery_codes(self, member: int, code_hashes: Iterable[str]) -> None: ...

    def recovery_codes(self, member: int) -> int:
        """Return how many are left."""
        ...

    def use_recovery_code(self, member: int, code_hash: str) -> bool:
        """Take a code; False when it is none of the member's."""
        ...


class Trail(Protocol):
    """The log of acts; nothing in it is ever changed."""

    def note(self, at: datetime, actor: int | None, act: str, whom: int | None, detail: str) -> None: ...

    def latest(self, limit: int, before: int | None = None) -> Sequence[Act]:
        """Return the latest acts, or those before a number, the latest first."""
        ...
