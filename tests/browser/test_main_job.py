"""The main job in a real browser: lesson, wrong answer, hint, right answer, solution, new values, progress."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import violations
from tutor.bootstrap.club import Club
from tutor.questions.question import Question

pytestmark = pytest.mark.browser


def question_of(page: Page, club: Club) -> Question:
    with club.records.look() as work:
        issue = work.questions.get(page.url.split("#")[0].rsplit("/", 1)[1])
    assert issue is not None
    return issue.question


def test_a_member_goes_from_lesson_to_progress_and_axe_finds_nothing(signed_in: Page, live_club: Club) -> None:
    page = signed_in
    assert violations(page) == []
    page.get_by_role("link", name="The first lesson").click()
    assert violations(page) == []
    page.get_by_role("button", name="What the load does to a divider").click()
    assert violations(page) == []
    question = question_of(page, live_club)
    (ask,) = question.asks
    field = page.get_by_label("What voltage stands at the tap?")
    expect(page.get_by_role("img", name="Circuit: What the load does to a divider").last).to_be_visible()

    field.fill(f"{ask.slips[0].value:.4g}")
    page.get_by_role("button", name="Mark my answer").click()
    expect(page.get_by_text("That is the voltage with nothing connected to the tap.")).to_be_visible()
    assert violations(page) == []

    page.get_by_role("button", name="Show a hint").click()
    expect(page.get_by_text("Which two resistors share both their ends?")).to_be_visible()
    assert violations(page) == []

    field.fill(f"{ask.value:.3g} volts")
    field.press("Enter")
    expect(page.get_by_role("status", name="Mark")).to_contain_text("2 of 2 marks: all right.")
    assert violations(page) == []

    page.get_by_role("button", name="Open the worked solution").click()
    expect(page.locator(".steps math").first).to_be_visible()
    assert violations(page) == []

    solved = page.url
    page.get_by_role("button", name="Again, with new values").click()
    assert page.url != solved
    assert question_of(page, live_club).values != question.values

    page.get_by_role("link", name="Progress").click()
    expect(page.get_by_role("row", name="Dividers")).to_contain_text("learning")
    assert violations(page) == []
    page.get_by_role("link", name="Dividers").click()
    expect(
        page.get_by_text("Missed an easy one with help: What the load does to a divider (load forgotten).")
    ).to_be_visible()
    assert violations(page) == []
    page.get_by_role("link", name="Past questions").click()
    assert violations(page) == []


def test_the_main_job_is_done_by_keyboard_alone(signed_in: Page, live_club: Club) -> None:
    page = signed_in
    page.goto("/lessons/first")

    def tab_to(name: str) -> None:
        for _ in range(60):
            page.keyboard.press("Tab")
            focused = page.evaluate(
                "document.activeElement.innerText || document.activeElement.getAttribute('aria-label') || ''"
            )
            if name in focused:
                return
        raise AssertionError(f"{name} was not reached")

    tab_to("What the load does to a divider")
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="What the load does to a divider").wait_for()
    question = question_of(page, live_club)
    for _ in range(30):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.name || ''") == "answer-v_tap":
            break
    page.keyboard.type(f"{question.asks[0].value:.4g}")
    page.keyboard.press("Enter")
    expect(page.get_by_role("status", name="Mark")).to_contain_text("all right")
    tab_to("Open the worked solution")
    page.keyboard.press("Enter")
    expect(page.locator("#solution .steps")).to_be_visible()


def test_a_test_paper_is_filled_in_looked_over_and_handed_in(signed_in: Page) -> None:
    page = signed_in
    page.goto("/lessons/second")
    page.get_by_role("button", name="Begin a test").click()
    assert violations(page) == []
    page.locator(".answer input").first.fill("12 V")
    page.get_by_role("button", name="Save, and look it over").click()
    expect(page.get_by_role("cell", name="12 V")).to_be_visible()
    assert violations(page) == []
    page.get_by_role("button", name="Hand the paper in").click()
    expect(page.get_by_role("heading", name="Mark sheet: The second lesson")).to_be_visible()
    assert violations(page) == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [320, 768, 1280])
def test_no_page_scrolls_sideways_and_axe_is_content_in_every_light(
    signed_in: Page, live_club: Club, scheme: str, width: int
) -> None:
    page = signed_in
    page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]  # light or dark
    page.set_viewport_size({"width": width, "height": 800})
    page.goto("/lessons/first")
    page.get_by_role("button", name="Power in the load of a divider").click()
    page.get_by_role("button", name="Open the worked solution").click()
    for where in (page.url, "/home", "/lessons/first", "/progress", "/history"):
        page.goto(where)
        assert page.evaluate("document.documentElement.scrollWidth") <= width, where
        assert violations(page) == [], where


def test_strangers_pages_are_accessible_too(page: Page) -> None:
    for where in ("/", "/sign-in", "/join"):
        page.goto(where)
        assert violations(page) == [], where


def test_without_a_script_the_whole_job_is_done(browser, address: str, live_club: Club) -> None:  # type: ignore[no-untyped-def]
    context = browser.new_context(base_url=address, java_script_enabled=False)
    page = context.new_page()
    live_club.membership.add("noscript", "No Script", "copper anode lantern")
    page.goto("/")
    page.get_by_label("Sign-in name").fill("noscript")
    page.get_by_label("Password").fill("copper anode lantern")
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("link", name="The first lesson").click()
    page.get_by_role("button", name="Next question").click()
    page.locator(".answer input").first.fill("12 V")
    page.locator(".answers button.main").click()
    expect(page.get_by_role("status", name="Mark")).to_be_visible()
    page.get_by_role("button", name="Open the worked solution").click()
    expect(page.locator("#solution")).to_be_visible()
    context.close()


def test_the_accessibility_tree_reads_the_page_in_order(signed_in: Page) -> None:
    page = signed_in
    page.goto("/lessons/first")
    page.get_by_role("button", name="What the load does to a divider").click()
    tree = page.locator("main").aria_snapshot()
    order = [
        tree.index(piece)
        for piece in (
            'heading "What the load does to a divider"',
            "Caution",
            'table "Given"',
            'img "Circuit: What the load does to a divider"',
            "What voltage stands at the tap?",
            'button "Mark my answer"',
            'button "Show a hint"',
            'button "Open the worked solution"',
        )
    ]
    assert order == sorted(order)
