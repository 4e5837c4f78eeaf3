"""Pictures and PDF by an installed Chromium, driven over its own pipe: one start for many pages.

Protocol: Chrome DevTools Protocol (chromedevtools.github.io/devtools-protocol), domains Target, Emulation and Page,
spoken over `--remote-debugging-pipe`: JSON messages that end in a nought byte, on the file descriptors 3 and 4.
"""

from __future__ import annotations

import base64
import fcntl
import json
import os
import select
import shutil
import signal
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import Any

from tutor.learning.rounds.errors import RoundError

TIME_FOR_A_STEP = 60.0
"""Seconds that a step may take; a loaded machine starts a browser slowly."""

_SWITCHES = (
    "--headless=new",
    "--remote-debugging-pipe",
    "--disable-gpu",
    "--no-first-run",
    "--no-default-browser-check",
    "--disable-extensions",
    "--disable-sync",
    "--disable-background-networking",
    "--disable-component-update",
    "--host-resolver-rules=MAP * ~NOTFOUND",
    "--hide-scrollbars",
    "--font-render-hinting=none",
)
# What is shown comes from questions whose HTML is safe by construction; this is the second lock on the door.
_POLICY = "default-src 'none'; style-src 'unsafe-inline'; font-src data:; img-src data:"


class ChromiumError(RoundError):
    """A Chromium that is missing or does not answer."""


def installed() -> str | None:
    """Return the path of an installed Chromium: `CHROMIUM`, or one of the usual names."""
    chosen = os.environ.get("CHROMIUM")
    return chosen or shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")


class Chromium:
    """A running Chromium with one page."""

    def __init__(self, pid: int, to: int, from_: int) -> None:
        self._pid, self._to, self._from = pid, to, from_
        self._count = 0
        self._rest = b""
        self._session = ""

    @classmethod
    def start(cls, path: str, profile: str) -> Chromium:
        """Start a Chromium; raises ChromiumError."""
        # Numbers above 9, so that moving the ends to 3 and 4 in the child cannot overwrite one of them.
        ends = []
        for pair in (os.pipe(), os.pipe()):
            ends.append(tuple(fcntl.fcntl(end, fcntl.F_DUPFD_CLOEXEC, 10) for end in pair))
            for end in pair:
                os.close(end)
        (read_by_it, to), (from_, written_by_it) = ends
        actions = [
            (os.POSIX_SPAWN_OPEN, number, os.devnull, os.O_RDWR, 0) for number in (0, 1, 2)
        ] + [(os.POSIX_SPAWN_DUP2, read_by_it, 3), (os.POSIX_SPAWN_DUP2, written_by_it, 4)]  # fmt: skip
        arguments = [path, *_SWITCHES, f"--user-data-dir={profile}", "about:blank"]
        if os.geteuid() == 0:
            arguments.insert(1, "--no-sandbox")  # which it does not start without as root
        try:
            pid = os.posix_spawn(path, arguments, {**os.environ, "HOME": profile}, file_actions=actions)
        except OSError as error:
            os.close(to)
            os.close(from_)
            raise ChromiumError(f"Chromium cannot be started from {path} ({error.strerror})") from error
        finally:
            os.close(read_by_it)
            os.close(written_by_it)
        found = cls(pid, to, from_)
        try:
            found._attach()
        except ChromiumError:
            found.close()
            raise
        return found

    def _attach(self) -> None:
        target = self._ask("Target.createTarget", {"url": "about:blank"})["targetId"]
        self._session = self._ask("Target.attachToTarget", {"targetId": target, "flatten": True})["sessionId"]
        self._ask("Page.enable")

    def _ask(self, method: str, parameters: dict[str, Any] | None = None) -> dict[str, Any]:
        self._count += 1
        message: dict[str, Any] = {"id": self._count, "method": method, "params": parameters or {}}
        if self._session:
            message["sessionId"] = self._session
        try:
            _write(self._to, json.dumps(message).encode() + b"\0")
        except OSError as error:
            raise ChromiumError("Chromium has ended unexpectedly") from error
        deadline = time.monotonic() + TIME_FOR_A_STEP
        while True:
            answer = json.loads(self._next(deadline))
            if answer.get("id") == self._count:
                break
        if "error" in answer:
            raise ChromiumError(f"Chromium refused {method}: {answer['error'].get('message', '')}")
        result: dict[str, Any] = answer["result"]
        return result

    def _next(self, deadline: float) -> bytes:
        while b"\0" not in self._rest:
            ready, _, _ = select.select([self._from], [], [], max(0.0, deadline - time.monotonic()))
            if not ready:
                raise ChromiumError(f"Chromium did not answer within {TIME_FOR_A_STEP:.0f} seconds")
            read = os.read(self._from, 1 << 20)
            if not read:
                raise ChromiumError("Chromium has ended unexpectedly")
            self._rest += read
        message, _, self._rest = self._rest.partition(b"\0")
        return message

    def _show(self, html: str) -> None:
        policy = f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">'
        frame = self._ask("Page.getFrameTree")["frameTree"]["frame"]["id"]
        # The page's own address is about:blank, so that nothing in it can reach a file.
        html = html.replace("<head>", f"<head>{policy}", 1)
        self._ask("Page.setDocumentContent", {"frameId": frame, "html": html})
        wait = {"expression": "document.fonts.ready.then(() => 1)", "awaitPromise": True}
        self._ask("Runtime.evaluate", wait)

    def png(self, html: str, width: int, height: int, *, scale: float = 2.0) -> bytes:
        """Return a page as a picture.

        Args:
            html: The page, with a `<head>`.
            width: Of the part that is shown, in pixels of the page.
            height: Likewise.
            scale: Pixels of the picture to one of the page.
        """
        size = {"width": width, "height": height, "deviceScaleFactor": scale, "mobile": False}
        self._ask("Emulation.setDeviceMetricsOverride", size)
        self._show(html)
        return base64.b64decode(self._ask("Page.captureScreenshot", {"format": "png"})["data"])

    def pdf(self, html: str) -> bytes:
        """Return a page as PDF, its sheets as `@page` says."""
        self._show(html)
        wishes = {"preferCSSPageSize": True, "printBackground": True, "generateTaggedPDF": True}
        return base64.b64decode(self._ask("Page.printToPDF", wishes)["data"])

    def close(self) -> None:
        """End it; a Chromium whose pipe is closed ends by itself, and one that does not is killed."""
        for end in (self._to, self._from):
            os.close(end)
        for _ in range(100):
            ended, _ = os.waitpid(self._pid, os.WNOHANG)
            if ended:
                return
            time.sleep(0.05)
        with suppress(ProcessLookupError):
            os.kill(self._pid, signal.SIGKILL)
        os.waitpid(self._pid, 0)


@contextmanager
def running(path: str | None = None) -> Iterator[Chromium]:
    """Start a Chromium for some pages.

    Raises:
        ChromiumError: If none is installed, or it does not start.
    """
    path = path or installed()
    if path is None:
        raise ChromiumError("Chromium is not installed on this machine; install it, or print the page from a browser.")
    with tempfile.TemporaryDirectory(prefix="quiescent-chromium-", ignore_cleanup_errors=True) as profile:
        browser = Chromium.start(path, profile)
        try:
            yield browser
        finally:
            browser.close()


def _write(end: int, data: bytes) -> None:
    view = memoryview(data)
    while view:
        view = view[os.write(end, view) :]
