"""A test in the browser: autosaved, gone on with on another device, handed in twice at once, marked once."""

from __future__ import annotations

from threading import Barrier, Thread

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import PASSWORD, violations
from tutor.bootstrap.club import Club
from tutor.learning.records import Role


def sign_in(page: Page, name: str) -> Page:
    page.goto("/sign-in")
    page.get_by_label("Sign-in name").fill(name)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("heading", name="Lessons").wait_for()
    return page


def test_a_test_is_begun_here_gone_on_with_there_and_marked_once(
    browser: Browser, address: str, live_club: Club
) -> None:
    ann = live_club.membership.add("two.devices", "Two Devices", PASSWORD)
    live_club.membership.add("the.trainer", "The Trainer", PASSWORD, Role.TRAINER)
    bench = browser.new_context(base_url=address)
    chair = browser.new_context(base_url=address, viewport={"width": 390, "height": 800})
    first, second = sign_in(bench.new_page(), "two.devices"), sign_in(chair.new_page(), "two.devices")

    first.goto("/lessons/second")
    first.get_by_role("button", name="Begin a test").click()
    first.locator(".answer input").first.press_sequentially("12 V")
    # Nothing is pressed: what is typed is kept by itself.
    expect(first.locator("[data-says]")).to_contain_text("Saved at", timeout=10_000)

    second.goto("/lessons/second")
    second.get_by_role("button", name="Go on with the open test").click()
    expect(second.locator(".answer input").first).to_have_value("12 V")
    second.locator(".answer input").nth(1).fill("3 mA")
    second.get_by_role("button", name="Save", exact=True).click()
    # The first device has not seen that; its own saving leaves it alone.
    first.locator(".answer input").first.fill("13 V")
    expect(first.locator("[data-says]")).to_contain_text("Saved at", timeout=10_000)
    first.wait_for_timeout(5000)
    first.reload()
    assert [first.locator(".answer input").nth(n).input_value() for n in (0, 1)] == ["13 V", "3 mA"]

    first.get_by_role("button", name="Save, and look it over").click()
    second.goto(first.url)
    paper = first.url.split("/papers/")[1].split("/")[0]
    token = [p.locator("form[action$=hand-in] input[name=csrf_token]").input_value() for p in (first, second)]
    answers = [
        context.request.post(f"/papers/{paper}/hand-in", form={"csrf_token": t}, headers={"Referer": address})
        for context, t in zip((bench, chair), token, strict=True)
    ]
    assert [answer.status for answer in answers] == [200, 200]
    first.goto(f"/papers/{paper}/marks")
    expect(first.get_by_role("heading", name="Mark sheet: The second lesson")).to_be_visible()
    sheet = live_club.tests.sheet(ann, paper)
    assert [len(issue.attempts) for issue in sheet.issues] == [1] * len(sheet.issues)

    trainer = sign_in(browser.new_context(base_url=address).new_page(), "the.trainer")
    trainer.goto("/class/tests/second")
    expect(trainer.get_by_role("row", name="Two Devices")).to_have_count(1)
    expect(trainer.get_by_role("row", name="Two Devices")).to_contain_text(f"{sheet.marks} of {sheet.of}")
    trainer.goto("/class/courses/bench")
    expect(trainer.get_by_role("row", name="Two Devices")).to_contain_text("learning")
    bench.close()
    chair.close()
    trainer.context.close()


def test_a_paper_handed_in_by_two_threads_at_once_is_marked_once(live_club: Club) -> None:
    member = live_club.membership.add("at.once", "At Once", PASSWORD)
    sheet = live_club.tests.begin(member, live_club.shelf.lesson("second"))
    live_club.tests.save(member, sheet.paper.id, {i.id: {a.name: "1" for a in i.question.asks} for i in sheet.issues})
    together = Barrier(8)
    failed: list[BaseException] = []

    def hand_in() -> None:
        together.wait()
        try:
            live_club.tests.hand_in(member, sheet.paper.id)
        except BaseException as error:
            failed.append(error)

    threads = [Thread(target=hand_in) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failed == []
    marked = live_club.tests.sheet(member, sheet.paper.id)
    assert [len(issue.attempts) for issue in marked.issues] == [1] * len(marked.issues)
    with live_club.records.look() as work:
        facts = [fact for fact in work.standings.facts() if fact.member == member.id]
    assert len(facts) == len({(fact.evidence.issue, fact.evidence.topic) for fact in facts})


@pytest.mark.parametrize("width", [320, 1280])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_course_and_class_pages_fit_and_axe_is_content(
    browser: Browser, address: str, live_club: Club, width: int, scheme: str
) -> None:
    name = f"looker.{width}.{scheme}"
    trainer = live_club.membership.add(name, "A Looker with a rather long Name", PASSWORD, Role.TRAINER)
    issue = live_club.practice.issue(
        trainer, live_club.shelf.lesson("first"), live_club.shelf.template("loaded-divider")
    )
    slip = issue.question.asks[0].slips[0]
    live_club.practice.submit(trainer, issue.id, "a", {"v_tap": str(slip.value)})
    if not live_club.class_room.groups():
        live_club.class_room.make_group("Thursday bench")
    context = browser.new_context(base_url=address, viewport={"width": width, "height": 800}, color_scheme=scheme)  # type: ignore[arg-type]
    page = sign_in(context.new_page(), name)
    for where in (
        "/home", "/courses/bench", "/courses/bench/certificate", "/lessons/first", "/lessons/first/plan", "/progress",
        "/progress/dividers", "/class/", "/class/courses/bench", f"/class/members/{trainer.id}", "/class/tests/second",
        "/class/topics/dividers", "/class/templates/loaded-divider", "/class/groups",
    ):  # fmt: skip
        page.goto(where)
        assert page.evaluate("document.documentElement.scrollWidth") <= width, where
        assert violations(page) == [], where
    context.close()
