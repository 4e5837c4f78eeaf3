"""The pages about accounts in a real browser: they fit, axe-core is content, and a member can be helped in."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import PASSWORD, violations
from tutor.bootstrap.club import Club
from tutor.bootstrap.world import SystemChance
from tutor.learning.records import Member, Role

pytestmark = pytest.mark.browser


@pytest.fixture
def organiser(live_club: Club, page: Page) -> Page:
    name = f"organiser{SystemChance().serial()}"
    live_club.membership.add(name, "Ada Quill", PASSWORD, Role.ORGANISER)
    page.goto("/sign-in")
    page.get_by_label("Sign-in name").fill(name)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("heading", name="Lessons").wait_for()
    return page


@pytest.fixture
def forgetful(live_club: Club) -> Member:
    return live_club.membership.add(f"member{SystemChance().serial()}", "Bea Cole", PASSWORD)


@pytest.mark.parametrize("width", [320, 1100])
def test_the_pages_fit_and_axe_is_content(organiser: Page, forgetful: Member, live_club: Club, width: int) -> None:
    page = organiser
    page.set_viewport_size({"width": width, "height": 800})
    own = f"/members/{forgetful.id}"
    for where in ("/account/", "/account/second-factor", "/members/", own, "/members/log", "/new-password"):
        page.goto(where)
        assert page.evaluate("document.documentElement.scrollWidth") <= width, where
        assert violations(page) == [], where


def test_a_forgotten_password_is_helped_with_a_printed_code(
    organiser: Page, forgetful: Member, browser: Browser, address: str
) -> None:
    page = organiser
    page.goto(f"/members/{forgetful.id}")
    page.get_by_role("button", name="Print a code for a new password").click()
    assert violations(page) == []
    code = page.locator("kbd").inner_text()
    assert re.fullmatch(r"([A-Z2-9]{5}-){3}[A-Z2-9]{5}", code)
    theirs = browser.new_context(base_url=address).new_page()
    theirs.goto("/sign-in")
    theirs.get_by_role("link", name="I have a code for a new password").click()
    theirs.get_by_label("Code").fill(code)
    theirs.get_by_label("New password").fill("passwordpassword")
    theirs.get_by_role("button", name="Set the password").click()
    expect(theirs.get_by_role("alert")).to_contain_text("again and again")
    theirs.get_by_label("New password").fill("kettle trombone drizzle")
    theirs.get_by_role("button", name="Set the password").click()
    theirs.get_by_role("link", name="Sign in with it").click()
    theirs.get_by_label("Sign-in name").fill(forgetful.sign_in)
    theirs.get_by_label("Password").fill("kettle trombone drizzle")
    theirs.get_by_role("button", name="Sign in").click()
    expect(theirs.get_by_role("heading", name="Lessons")).to_be_visible()
    theirs.context.close()
