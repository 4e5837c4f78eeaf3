"""Password hashes by argon2id.

Settings of the OWASP password storage cheat sheet (m = 19 456 KiB, t = 2, p = 1): about 40 ms a check on a small
server.
"""

from __future__ import annotations

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError


class Argon2Passwords:
    """The adapter of `learning.ports.Passwords`."""

    def __init__(self, memory: int = 19_456, time: int = 2, parallelism: int = 1) -> None:
        self._hasher = PasswordHasher(time_cost=time, memory_cost=memory, parallelism=parallelism)
        self._nobody = ""

    def hashed(self, password: str) -> str:
        return self._hasher.hash(password)

    def fits(self, stored: str, password: str) -> bool:
        try:
            return self._hasher.verify(stored, password)
        except (VerificationError, InvalidHashError):
            return False

    def is_weak(self, stored: str) -> bool:
        return self._hasher.check_needs_rehash(stored)

    def waste_time(self) -> None:
        if not self._nobody:
            self._nobody = self.hashed("nobody's password")
        self.fits(self._nobody, "somebody's password")
