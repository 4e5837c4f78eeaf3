"""Handing letters to an SMTP server. Sources: RFC 5321 (SMTP), 3207 (STARTTLS), 4954 (AUTH)."""

from __future__ import annotations

import smtplib
import ssl
from contextlib import suppress
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from tutor.learning.rounds.errors import PostError, PostponedError, RefusedError, UncertainError

TIME = 60.0
"""Seconds that a step of the conversation may take."""


class Security(StrEnum):
    """How the line to a server is guarded."""

    TLS = "tls"
    STARTTLS = "starttls"
    NONE = "none"


@dataclass(frozen=True, slots=True, kw_only=True)
class Server:
    """A mail server.

    Attributes:
        host, port: Where it listens.
        security: How the line is guarded.
        user, password: Login; "" for none.
        authorities: File with certificates that are trusted beside the system's, or None.
    """

    host: str
    port: int
    security: Security
    user: str = ""
    password: str = ""
    authorities: Path | None = None

    def tls(self) -> ssl.SSLContext:
        """Return the settings of the guarded line: certificate and host name are checked, always."""
        return ssl.create_default_context(cafile=str(self.authorities) if self.authorities else None)

    @property
    def is_here(self) -> bool:
        """Whether it is on this machine, so that a line without TLS leads nowhere else."""
        return self.host in ("localhost", "127.0.0.1", "::1")

    def check(self) -> None:
        """Refuse to send a password over an open line; raises PostError."""
        if self.user and self.security is Security.NONE and not self.is_here:
            raise PostError(f"The password for {self.host} would travel unguarded; set security to tls or starttls.")


class SmtpCarrier:
    """The adapter of `learning.ports.post.Carrier`: one connection for many letters, renewed when it breaks."""

    def __init__(self, server: Server, sender: str, *, copies: bool = True) -> None:
        """Prepare; the server is reached with the first letter.

        Args:
            server: The server.
            sender: The club's address: the envelope's sender, where bounces go.
            copies: Whether the club gets a copy of each letter, by which it can later tell that one went out.
        """
        server.check()
        self._server, self._sender, self._copies = server, sender, copies
        self._line: smtplib.SMTP | None = None

    def send(self, to: str, raw: bytes) -> None:
        """Send a message.

        Raises:
            RefusedError, PostponedError, UncertainError, PostError: See the port.
        """
        try:
            self._begin(to)
        except smtplib.SMTPResponseException as error:
            self._reset()
            raise _refusal(error.smtp_code, error.smtp_error, to) from error
        except (smtplib.SMTPException, OSError) as error:
            self.close()
            raise PostError(f"The mail server {self._server.host} cannot be reached: {error}") from error
        self._data(to, raw)

    def _begin(self, to: str) -> None:
        line = self._line or self._connected()
        for step in (lambda: line.mail(self._sender), lambda: line.rcpt(to)):
            code, says = step()
            if code >= 300:
                raise smtplib.SMTPResponseException(code, says)
        if self._copies and to.lower() != self._sender.lower():
            # Should the club's own box refuse it, the member's letter goes out all the same.
            line.rcpt(self._sender)

    def _data(self, to: str, raw: bytes) -> None:
        line = self._line
        assert line is not None
        try:
            code, says = line.data(raw)
        except smtplib.SMTPDataError as error:  # refused before the message was sent
            self._reset()
            raise _refusal(error.smtp_code, error.smtp_error, to) from error
        except (smtplib.SMTPException, OSError) as error:
            self.close()
            raise UncertainError(
                f"The line broke while the letter was handed over; the server may have taken it ({error})."
            ) from error
        if code >= 300:
            self._reset()
            raise _refusal(code, says, to)

    def _connected(self) -> smtplib.SMTP:
        server = self._server
        if server.security is Security.TLS:
            line: smtplib.SMTP = smtplib.SMTP_SSL(server.host, server.port, timeout=TIME, context=server.tls())
        else:
            line = smtplib.SMTP(server.host, server.port, timeout=TIME)
        try:
            line.ehlo_or_helo_if_needed()
            if server.security is Security.STARTTLS:
                line.starttls(context=server.tls())
                line.ehlo()
            if server.user:
                line.login(server.user, server.password)
        except smtplib.SMTPAuthenticationError as error:
            line.close()
            raise PostError(f"The mail server {server.host} refused the login of {server.user}.") from error
        except (smtplib.SMTPException, OSError):
            line.close()
            raise
        self._line = line
        return line

    def _reset(self) -> None:
        if self._line is not None:
            try:
                self._line.rset()
            except (smtplib.SMTPException, OSError):
                self.close()

    def close(self) -> None:
        """Part from the server."""
        line, self._line = self._line, None
        if line is not None:
            with suppress(smtplib.SMTPException, OSError):
                line.quit()
            line.close()


def _refusal(code: int, says: bytes | str, to: str) -> PostError:
    words = says.decode("utf-8", "replace") if isinstance(says, bytes) else says
    words = " ".join(words.split())[:200]
    if code == 421:  # the server closes the line (RFC 5321, section 3.8)
        return PostError(f"The mail server closed the line: {words}")
    if code < 500:
        return PostponedError(f"The mail server put off the letter to {to}: {code} {words}")
    return RefusedError(f"The mail server refuses the letter to {to}: {code} {words}")
