"""The club's post put together: the `[mail]` part of `club.toml`, the use cases of rounds, the postman's turn.

[mail]
address = "rounds@club.example"     # the sender of all letters, and where replies and bounces go
per_minute = 30                     # letters sent in a minute
settle_minutes = 15                 # how long a copy of a letter may take to arrive in the mailbox
attach_pdf = false                  # papers as PDF beside the mail

[mail.smtp]
host = "mail.club.example"
port = 465
security = "tls"                    # tls, starttls, or none
user = "rounds"
password_file = "mail-password"     # in this folder; readable by its owner only
# authorities = "club-ca.pem"       # certificates to trust beside the system's

[mail.imap]                         # the same keys, and:
folder = "INBOX"
"""

from __future__ import annotations

import fcntl
import logging
import threading
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import Any

from tutor.bootstrap.places import static_folder
from tutor.errors import Fault, FaultyFileError
from tutor.learning.practice import Practice
from tutor.learning.rounds.addresses import read_address
from tutor.learning.rounds.errors import PostError, RoundError
from tutor.learning.rounds.receiving import Received
from tutor.learning.rounds.rounds import Rounds, rounds_of
from tutor.learning.rounds.sending import Postman, Sent
from tutor.post.imap import ImapMailbox
from tutor.post.replies.reader import PostReader
from tutor.post.sheets import Look
from tutor.post.smtp import Security, Server, SmtpCarrier
from tutor.post.style import House
from tutor.post.writing import NOBODY, PostWriter

_log = logging.getLogger(__name__)

LOCK = "post.lock"
EVERY = 60.0
"""Seconds between two turns of a postman in a running site."""


@dataclass(frozen=True, slots=True)
class MailSettings:
    """What `[mail]` says.

    Attributes:
        address: The club's own address.
        smtp: Where letters are handed over, or None.
        imap: Where mail arrives, or None.
        folder: The mailbox.
        per_minute: Letters sent in a minute.
        settle: How long a copy may take.
        attach_pdf: Whether papers come as PDF too.
    """

    address: str = ""
    smtp: Server | None = None
    imap: Server | None = None
    folder: str = "INBOX"
    per_minute: int = 30
    settle: timedelta = timedelta(minutes=15)
    attach_pdf: bool = False


_KEYS: dict[str, type] = {
    "address": str, "per_minute": int, "settle_minutes": int, "attach_pdf": bool, "smtp": dict, "imap": dict,
}  # fmt: skip
_OF_SERVER: dict[str, type] = {
    "host": str, "port": int, "security": str, "user": str, "password_file": str, "authorities": str, "folder": str,
}  # fmt: skip
_PORTS = {("smtp", "tls"): 465, ("smtp", "starttls"): 587, ("smtp", "none"): 25, ("imap", "tls"): 993}


def read_mail(raw: Mapping[str, Any], folder: Path, file: str) -> MailSettings:
    """Read the `[mail]` part of a club's settings.

    Args:
        raw: What stands there.
        folder: The data folder, in which the password files stand.
        file: The settings' file, for faults.
    Raises:
        FaultyFileError: Says which key is wrong and what would do.
    """
    faults = _shape(raw, _KEYS, file, "mail")
    servers: dict[str, Server | None] = {"smtp": None, "imap": None}
    for name in servers:
        if isinstance(raw.get(name), dict):
            faults += _shape(raw[name], _OF_SERVER, file, f"mail.{name}")
            if not faults:
                servers[name] = _server(raw[name], name, folder, file, faults)
    address = raw.get("address", "")
    try:
        address = read_address(address) if isinstance(address, str) and address else ""
    except RoundError as error:
        faults.append(Fault(file, 0, "mail.address", str(error)))
    if servers["smtp"] and not address:
        faults.append(Fault(file, 0, "mail.address", "it is missing; letters need a sender"))
    per_minute, minutes = raw.get("per_minute", 30), raw.get("settle_minutes", 15)
    if not faults and not (1 <= per_minute <= 6000 and 0 <= minutes <= 1440):
        faults.append(Fault(file, 0, "mail", "per_minute goes from 1 to 6000, settle_minutes from 0 to 1440"))
    if faults:
        raise FaultyFileError(faults)
    return MailSettings(
        address=address,
        smtp=servers["smtp"],
        imap=servers["imap"],
        folder=raw.get("imap", {}).get("folder", "INBOX"),
        per_minute=per_minute,
        settle=timedelta(minutes=minutes),
        attach_pdf=raw.get("attach_pdf", False),
    )


def _shape(raw: Mapping[str, Any], known: Mapping[str, type], file: str, where: str) -> list[Fault]:
    faults = [
        Fault(file, 0, f"{where}.{key}", f"unknown key; known are {', '.join(known)}")
        for key in raw
        if key not in known
    ]
    return faults + [
        Fault(file, 0, f"{where}.{key}", f"found {raw[key]!r}; a {kind.__name__} is wanted")
        for key, kind in known.items()
        if key in raw and (not isinstance(raw[key], kind) or (kind is int and isinstance(raw[key], bool)))
    ]


def _server(raw: Mapping[str, Any], name: str, folder: Path, file: str, faults: list[Fault]) -> Server | None:
    security = raw.get("security", "tls")
    if security not in list(Security):
        faults.append(Fault(file, 0, f"mail.{name}.security", f"found {security!r}; it is tls, starttls or none"))
        return None
    if not raw.get("host"):
        faults.append(Fault(file, 0, f"mail.{name}.host", "it is missing; give the name of the server"))
        return None
    password = ""
    if raw.get("password_file"):
        try:
            password = (folder / raw["password_file"]).read_text(encoding="utf-8").rstrip("\r\n")
        except (OSError, UnicodeDecodeError) as error:
            faults.append(Fault(file, 0, f"mail.{name}.password_file", f"it cannot be read ({error})"))
            return None
    return Server(
        host=raw["host"],
        port=raw.get("port") or _PORTS.get((name, security), 143),
        security=Security(security),
        user=raw.get("user", ""),
        password=password,
        authorities=folder / raw["authorities"] if raw.get("authorities") else None,
    )


def rounds_for(practice: Practice, house: House, *, attach_pdf: bool = False) -> Rounds:
    """Return the use cases of rounds of a club."""
    writer = PostWriter(house, Look(static_folder()), attach_pdf)
    domain = (house.address or NOBODY).partition("@")[2]
    return rounds_of(practice, writer, PostReader(house), domain)


# -- turns -----------------------------------------------------------------------------------------------------------
def mailbox_of(mail: MailSettings) -> ImapMailbox | None:
    """Return the club's mailbox, or None when none is set."""
    return ImapMailbox(mail.imap, mail.folder) if mail.imap is not None else None


def post_turn(rounds: Rounds, mail: MailSettings, folder: Path) -> tuple[Sent, Received]:
    """Send what is queued, then take in what arrived; nothing of it while another postman is at work.

    Raises:
        RoundError: If no mail is set up, or somebody else is at work.
    """
    if mail.smtp is None and mail.imap is None:
        raise RoundError("No mail is set up: give [mail.smtp] and [mail.imap] in club.toml, or send files by hand.")
    sent, received = Sent(), Received()
    mailbox = mailbox_of(mail)
    with at_work(folder):
        if mail.smtp is not None:
            carrier = SmtpCarrier(mail.smtp, mail.address, copies=mailbox is not None)
            sent = Postman(rounds.outbox, carrier, mailbox, time.sleep, mail.per_minute, mail.settle).turn()
        if mailbox is not None:
            received = rounds.receiving.fetch(mailbox)
    return sent, received


@contextmanager
def at_work(folder: Path) -> Iterator[None]:
    """Hold the postman's lock of a data folder; a killed process gives it back by being gone."""
    with (folder / LOCK).open("a") as file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError as error:
            raise RoundError("Another postman is at work in this data folder; let it finish.") from error
        yield


def start_postman(rounds: Rounds, mail: MailSettings, folder: Path) -> threading.Thread | None:
    """Let a running site send and fetch its mail; None where no mail is set up."""
    if mail.smtp is None and mail.imap is None:
        return None

    def work() -> None:
        while True:
            try:
                post_turn(rounds, mail, folder)
            except (PostError, RoundError) as error:
                _log.info("the post waits: %s", error)
            except Exception:
                _log.exception("the post stopped at a fault; it goes on at the next turn")
            time.sleep(EVERY)

    thread = threading.Thread(target=work, name="postman", daemon=True)
    thread.start()
    return thread
