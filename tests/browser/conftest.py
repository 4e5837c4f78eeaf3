"""A real site on a real port, a real Chromium, and the accessibility rules of axe-core."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from threading import Thread
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.fakes.world import FakePasswords
from tutor.bootstrap.club import Club, put_together
from tutor.bootstrap.places import static_folder
from tutor.bootstrap.world import SystemChance, SystemClock
from tutor.learning.courses import Shelf
from tutor.store.engine import open_database
from tutor.store.records import SqlRecords
from tutor.web.app import create_site
from tutor.web.settings import SiteSettings

PASSWORD = "copper anode lantern"
expect.set_options(timeout=15_000)  # a shared machine may be slow; a missing element is still missing then
AXE = Path(__file__).with_name("axe.min.js")


@pytest.fixture(scope="session")
def live_club(tmp_path_factory: pytest.TempPathFactory, shelf: Shelf) -> Club:
    database = tmp_path_factory.mktemp("site") / "club.sqlite"
    records = SqlRecords(open_database(f"sqlite:///{database}"))
    return put_together(records, shelf, SystemClock(), SystemChance(), FakePasswords())


@pytest.fixture(scope="session")
def address(live_club: Club) -> Iterator[str]:
    """The address of a site served by the server that serves clubs."""
    from waitress.server import create_server

    settings = SiteSettings(secret="a secret of the tests, forty characters", static=static_folder(), club="Bench Club")
    server: Any = create_server(create_site(live_club, settings), host="127.0.0.1", port=0, threads=4)
    thread = Thread(target=server.run, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{server.effective_port}"
    server.task_dispatcher.shutdown(cancel_pending=True, timeout=5)
    server.close()
    thread.join(timeout=10)


@pytest.fixture
def context(browser: Browser, address: str) -> Iterator[BrowserContext]:
    made = browser.new_context(base_url=address, viewport={"width": 1100, "height": 900})
    yield made
    made.close()


@pytest.fixture
def page(context: BrowserContext) -> Iterator[Page]:
    """A page whose console must stay silent: a blocked style or script would speak there."""
    said: list[str] = []
    made = context.new_page()
    made.on("console", lambda message: said.append(message.text))
    made.on("pageerror", lambda error: said.append(str(error)))
    yield made
    # A refused form answers 422, which Chromium reports as a resource that failed; everything else is a fault.
    assert [line for line in said if "422" not in line] == []


@pytest.fixture
def signed_in(page: Page, live_club: Club) -> Page:
    sign_in = f"member{SystemChance().serial()}"
    live_club.membership.add(sign_in, "Ann Baker", PASSWORD)
    page.goto("/sign-in")
    page.get_by_label("Sign-in name").fill(sign_in)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("heading", name="Lessons").wait_for()
    return page


def violations(page: Page) -> list[str]:
    """Return what axe-core finds on a page, in a line each."""
    page.evaluate(AXE.read_text(encoding="utf-8"))
    found = page.evaluate(
        "async () => (await axe.run(document, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']}))"
        ".violations.map(v => v.id + ': ' + v.nodes.map(n => n.target.join(' ')).join(', '))"
    )
    return [str(line) for line in found]
