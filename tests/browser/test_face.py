"""Strangers' pages and the page of components, narrow and wide: nothing scrolls sideways, axe is content."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import PASSWORD, violations
from tutor.bootstrap.club import Club
from tutor.bootstrap.world import SystemChance
from tutor.learning.records import Role
from tutor.web.pages.help_pages import GUIDES

pytestmark = pytest.mark.browser


@pytest.mark.parametrize(("width", "scheme"), [(320, "light"), (1280, "dark")])
def test_what_strangers_see_fits_and_can_be_heard(page: Page, width: int, scheme: str) -> None:
    page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]  # light or dark
    page.set_viewport_size({"width": width, "height": 800})
    for where in ("/try/", "/help/", *(f"/help/{guide}" for guide in GUIDES)):
        page.goto(where)
        assert page.evaluate("document.documentElement.scrollWidth") <= width, where
        assert violations(page) == [], where
    page.goto("/try/")
    page.get_by_role("button", name="Open the worked solution").click()
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert violations(page) == []


def test_every_component_fits_a_phone_and_is_accessible(page: Page, live_club: Club) -> None:
    sign_in = f"organiser{SystemChance().serial()}"
    live_club.membership.add(sign_in, "Ada Quill", PASSWORD, Role.ORGANISER)
    page.set_viewport_size({"width": 320, "height": 800})
    page.goto("/sign-in")
    page.get_by_label("Sign-in name").fill(sign_in)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url("**/home")
    # WCAG 2.2, 2.5.8: targets of 24 px at least.
    heights = page.eval_on_selector_all(
        ".head a, .head button, .foot a", "all => all.map(one => one.getBoundingClientRect().height)"
    )
    assert min(heights) >= 24
    page.goto("/components")
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
    assert violations(page) == []
