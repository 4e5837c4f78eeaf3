"""One Chromium for all tests: two at once in one process do not go together."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, sync_playwright

QUIET = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


def chromium() -> str:
    """Return the installed Chromium; without one skip, but fail where everything is checked."""
    found = os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
    if found:
        return found
    if os.environ.get("CI") == "true":
        pytest.fail("Chromium is not installed, and CI=true promises that it is")
    pytest.skip("Chromium is not installed")


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    path = chromium()
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=path, args=list(QUIET))
        yield started
        started.close()
