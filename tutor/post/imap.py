"""Fetching the club's mail over IMAP. Source: RFC 3501.

Nothing in the mailbox is changed: messages are peeked at, and the place is remembered by their numbers (UID and
UIDVALIDITY), not by flags that a person's mail program sets too.
"""

from __future__ import annotations

import imaplib
import re
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass

from tutor.learning.rounds.errors import PostError
from tutor.post.smtp import Security, Server

TIME = 60.0
LARGEST = 50 * 1024 * 1024
"""Bytes of a message that are fetched; what is larger is cut, and shown to a person."""


@dataclass(frozen=True, slots=True)
class ImapMailbox:
    """The adapter of `learning.ports.post.Mailbox`.

    Attributes:
        server: Where it is.
        folder: The mailbox in it.
    """

    server: Server
    folder: str = "INBOX"

    @property
    def name(self) -> str:
        """What the place in it is remembered under."""
        return f"{self.server.user}@{self.server.host}/{self.folder}"[:200]

    def arrived(self, validity: int, number: int) -> Iterator[tuple[int, int, bytes]]:
        """Yield what came after a place; from the beginning when the numbers are no longer those of then."""
        with self._open() as line:
            now = self._select(line)
            first = number + 1 if validity == now else 1
            _, found = line.uid("SEARCH", f"UID {first}:*")
            # `n:*` names the last message even when its number is below n.
            for uid in sorted(int(text) for text in (found[0] or b"").split() if int(text) >= first):
                raw = _body(line, uid)
                if raw is not None:
                    yield now, uid, raw

    def holds(self, message_id: str) -> bool:
        """Tell whether a message has arrived."""
        if not re.fullmatch(r"<[!-~]+>", message_id) or '"' in message_id or "\\" in message_id:
            return False
        with self._open() as line:
            self._select(line)
            _, found = line.uid("SEARCH", f'HEADER Message-ID "{message_id}"')
            return bool(found and found[0])

    def _select(self, line: imaplib.IMAP4) -> int:
        quoted = '"' + self.folder.replace("\\", "\\\\").replace('"', '\\"') + '"'
        status, says = line.select(quoted, readonly=True)
        if status != "OK":
            raise PostError(f"The mailbox {self.folder!r} cannot be opened: {says[0]!r}")
        validity = line.response("UIDVALIDITY")[1]
        return int(validity[0]) if validity and validity[0] else 0

    @contextmanager
    def _open(self) -> Iterator[imaplib.IMAP4]:
        server = self.server
        server.check()
        line: imaplib.IMAP4 | None = None
        try:
            if server.security is Security.TLS:
                line = imaplib.IMAP4_SSL(server.host, server.port, ssl_context=server.tls(), timeout=TIME)
            else:
                line = imaplib.IMAP4(server.host, server.port, timeout=TIME)
                if server.security is Security.STARTTLS:
                    line.starttls(server.tls())
            line.login(server.user, server.password)
            yield line
        except (imaplib.IMAP4.error, OSError) as error:
            raise PostError(f"The mailbox at {server.host} cannot be read: {error}") from error
        finally:
            if line is not None:
                with suppress(imaplib.IMAP4.error, OSError):
                    line.logout()


def _body(line: imaplib.IMAP4, uid: int) -> bytes | None:
    """Return a message, or None when it was deleted meanwhile."""
    _, parts = line.uid("FETCH", str(uid), f"(BODY.PEEK[]<0.{LARGEST}>)")
    return next((part[1] for part in parts if isinstance(part, tuple)), None)
