"""The live reading in a real browser."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import violations

pytestmark = pytest.mark.browser


def test_the_answer_is_read_back_politely_and_nothing_moves(page: Page) -> None:
    page.goto("/try/")
    field = page.locator(".answer > input").first
    button = page.get_by_role("button", name="Mark my answer")
    before = button.bounding_box()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url) if "/read?" in request.url else None)
    field.press_sequentially("68.2 volts", delay=30)
    said = page.locator(".reading").first
    expect(said).to_have_text("read as 68.2\N{NO-BREAK SPACE}V")
    assert said.get_attribute("role") == "status"  # which is polite by its definition (WAI-ARIA 1.2)
    assert len(asked) == 1, "one question after the pause, not one a key"
    field.fill("hello")
    expect(said).to_have_text("not understood yet")
    field.fill("")
    expect(said).to_have_text("")
    assert button.bounding_box() == before
    assert violations(page) == []


def test_while_the_site_does_not_answer_the_page_is_as_before(page: Page) -> None:
    page.goto("/try/")
    page.route("**/read?*", lambda route: route.fulfill(status=200, body="no JSON"))
    page.locator(".answer > input").first.fill("12 V")
    page.wait_for_timeout(800)
    expect(page.locator(".reading").first).to_have_text("")
    page.get_by_role("button", name="Mark my answer").click()
    expect(page.locator(".mark").first).to_be_visible()
