"""The organiser's pages in a real browser: rules of accessibility, narrow screens, the keyboard alone."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import PASSWORD, violations
from tutor.bootstrap.club import Club
from tutor.bootstrap.world import SystemChance
from tutor.learning.records import Role
from tutor.learning.round_records import By
from tutor.learning.rounds.labels import places_of
from tutor.learning.rounds.making import RoundPlan

pytestmark = pytest.mark.browser


@pytest.fixture
def organiser(page: Page, live_club: Club) -> Page:
    sign_in = f"organiser{SystemChance().serial()}"
    live_club.membership.add(sign_in, "Ada Quill", PASSWORD, Role.ORGANISER)
    page.goto("/sign-in")
    page.get_by_label("Sign-in name").fill(sign_in)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("link", name="Rounds").click()
    return page


def test_every_page_of_a_round_keeps_the_rules_and_fits_a_narrow_screen(organiser: Page, live_club: Club) -> None:
    member = live_club.membership.add(f"bert{SystemChance().serial()}", "Bert Amble", PASSWORD)
    live_club.rounds.addresses.put(member.id, "bert@members.example", By.MAIL)
    made = live_club.rounds.making.make(
        RoundPlan(title="Loads", lesson="first", topics=("direction",), questions=3, members=(member.id,), common=True)
    )
    (sheet,) = live_club.rounds.making.sheets(made.id)
    first = places_of(sheet.issues)[0].label
    reply = live_club.rounds.receiving.paste(f"{first}: 43.9 V or 52 V\n{'long' * 60}", sheet.paper.code)
    with live_club.records.work() as work:
        live_club.rounds.answering.draft(work, sheet)
    addresses = [
        "/rounds/", "/rounds/new", f"/rounds/{made.id}", f"/rounds/{made.id}/drafts", f"/rounds/replies/{reply.id}",
        "/rounds/take-in", "/rounds/entry", f"/rounds/entry?code={sheet.paper.code}", "/rounds/addresses",
    ]  # fmt: skip
    for address in addresses:
        organiser.set_viewport_size({"width": 1100, "height": 900})
        organiser.goto(address)
        assert violations(organiser) == [], address
        organiser.set_viewport_size({"width": 320, "height": 640})
        width = organiser.evaluate("document.documentElement.scrollWidth")
        assert width <= 320, (address, width)


def test_a_sheet_is_entered_by_the_keyboard_alone(organiser: Page, live_club: Club) -> None:
    member = live_club.membership.add(f"cara{SystemChance().serial()}", "Cara Finch", PASSWORD)
    made = live_club.rounds.making.make(RoundPlan(title="Loads", lesson="first", questions=1, members=(member.id,)))
    (sheet,) = live_club.rounds.making.sheets(made.id)
    organiser.goto("/rounds/entry")
    keyboard = organiser.keyboard
    keyboard.type(sheet.paper.code.lower())
    keyboard.press("Enter")
    expect(organiser.get_by_text("Cara Finch")).to_be_visible()
    for place in places_of(sheet.issues):
        keyboard.type(place.ask.shown)
        keyboard.press("Tab")
    keyboard.press("Enter")
    expect(organiser.get_by_role("status")).to_contain_text("Stored. Cara Finch:")
    keyboard.type("K7M")  # the field for the next code waits for it
    expect(organiser.get_by_label("Code of the sheet")).to_have_value("K7M")
