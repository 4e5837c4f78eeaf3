"""Real servers for the post: aiosmtpd for SMTP, Dovecot for IMAP."""

from __future__ import annotations

import getpass
import os
import shutil
import socket
import ssl
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from aiosmtpd.controller import Controller
from aiosmtpd.smtp import AuthResult, Envelope, LoginPassword

CLUB = "rounds@harbour-lane.example"
USER, PASSWORD = "rounds", "an open secret of the tests"


def needed(program: str) -> str:
    """Return a program's path; without it skip, but fail where everything is checked."""
    found = shutil.which(program) or shutil.which(program, path="/usr/sbin:/sbin")
    if found:
        return found
    if os.environ.get("CI") == "true":
        pytest.fail(f"{program} is not installed, and CI=true promises that it is")
    pytest.skip(f"{program} is not installed")


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def certificate(folder: Path) -> tuple[Path, Path]:
    """Make a certificate for localhost, and return it with its key."""
    made, key = folder / "server.pem", folder / "server.key"
    subprocess.run(
        [needed("openssl"), "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2", "-subj", "/CN=localhost",
         "-addext", "subjectAltName=DNS:localhost", "-keyout", str(key), "-out", str(made)],
        check=True, capture_output=True,
    )  # fmt: skip
    return made, key


@dataclass
class Delivery:
    """Takes letters as a server does: refuses some, puts some off, and puts the club's copies into its Maildir."""

    maildir: Path | None = None
    refused: set[str] = field(default_factory=set)
    put_off: set[str] = field(default_factory=set)
    taken: list[tuple[list[str], bytes]] = field(default_factory=list)

    async def handle_RCPT(self, server: Any, session: Any, envelope: Envelope, address: str, options: list[str]) -> str:
        if address in self.refused:
            return "550 5.1.1 no such mailbox here"
        if address in self.put_off:
            return "451 4.7.1 come back later"
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, server: Any, session: Any, envelope: Envelope) -> str:
        content = envelope.content
        assert isinstance(content, bytes)
        self.taken.append((list(envelope.rcpt_tos), content))
        if self.maildir is not None and CLUB in envelope.rcpt_tos:
            deliver(self.maildir, content)
        return "250 OK taken"


def deliver(maildir: Path, raw: bytes) -> None:
    """Put a message into a Maildir."""
    for name in ("tmp", "new", "cur"):
        (maildir / name).mkdir(parents=True, exist_ok=True)
    name = f"{time.time_ns()}.{os.getpid()}.here"
    (maildir / "tmp" / name).write_bytes(raw)
    (maildir / "tmp" / name).rename(maildir / "new" / name)


def check_login(server: Any, session: Any, envelope: Any, mechanism: str, data: Any) -> AuthResult:
    assert isinstance(data, LoginPassword)
    fits = (data.login, data.password) == (USER.encode(), PASSWORD.encode())
    return AuthResult(success=fits, handled=fits)  # unhandled: the server itself answers 535


@contextmanager
def smtp(delivery: Delivery, tls: tuple[Path, Path] | None = None) -> Iterator[int]:
    """Run an SMTP server; with a certificate it wants STARTTLS and a login. Yields its port."""
    more: dict[str, Any] = {}
    if tls is not None:
        context = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
        context.load_cert_chain(*tls)
        more = {"tls_context": context, "require_starttls": True, "authenticator": check_login, "auth_required": True}
    controller = Controller(delivery, hostname="127.0.0.1", port=free_port(), **more)
    controller.start()
    try:
        yield controller.port
    finally:
        controller.stop()


@contextmanager
def imap() -> Iterator[tuple[int, Path]]:
    """Run a Dovecot on a Maildir of its own. Yields its port and the Maildir.

    Its folder stands beside those of pytest, which keeps them closed to other users such as Dovecot's own.
    """
    with tempfile.TemporaryDirectory(prefix="quiescent-imap-") as folder, _dovecot(Path(folder)) as running:
        yield running


@contextmanager
def _dovecot(folder: Path) -> Iterator[tuple[int, Path]]:
    program = needed("dovecot")
    maildir, port, me = folder / "mail", free_port(), getpass.getuser()
    for name in ("tmp", "new", "cur"):
        (maildir / name).mkdir(parents=True, exist_ok=True)
    (folder / "users").write_text(f"{USER}:{{PLAIN}}{PASSWORD}\n")
    config = folder / "dovecot.conf"
    login_user = "dovenull" if os.geteuid() == 0 else me
    internal = "dovecot" if os.geteuid() == 0 else me
    owner = "mail" if os.geteuid() == 0 else me
    config.write_text(
        f"""
base_dir = {folder}/run
state_dir = {folder}/state
log_path = {folder}/dovecot.log
protocols = imap
ssl = no
disable_plaintext_auth = no
listen = 127.0.0.1
default_login_user = {login_user}
default_internal_user = {internal}
default_internal_group = {internal}
mail_location = maildir:{maildir}
mail_uid = {owner}
mail_gid = {owner}
first_valid_uid = 0
first_valid_gid = 0
mailbox_list_index = no
passdb {{
  driver = passwd-file
  args = {folder}/users
}}
userdb {{
  driver = static
  args = uid={owner} gid={owner} home={folder}
}}
service imap-login {{
  inet_listener imap {{
    port = {port}
  }}
  inet_listener imaps {{
    port = 0
  }}
  chroot =
}}
service anvil {{
  chroot =
}}
service stats {{
  chroot =
}}
"""
    )
    # Dovecot reads the mail as a user of its own, who must get as far as the folder.
    if os.geteuid() == 0:
        for place in (maildir, *maildir.iterdir()):
            place.chmod(0o777)
        folder.chmod(0o777)
    process = subprocess.Popen([program, "-F", "-c", str(config)], stderr=subprocess.DEVNULL)
    try:
        _wait(port, process, folder)
        yield port, maildir
    finally:
        process.terminate()
        process.wait(timeout=20)


def _wait(port: int, process: subprocess.Popen[bytes], folder: Path) -> None:
    deadline = time.monotonic() + 20
    while time.monotonic() < deadline:
        if process.poll() is not None:
            break
        try:
            with socket.create_connection(("127.0.0.1", port), timeout=1) as line:
                if line.recv(10).startswith(b"* OK"):
                    return
        except OSError:
            time.sleep(0.1)
    log = folder / "dovecot.log"
    raise AssertionError(f"Dovecot did not start: {log.read_text() if log.exists() else 'no log'}")
