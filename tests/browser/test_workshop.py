"""The workshop in a real browser: from a blank bench to a published question that a member answers."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import PASSWORD, violations
from tests.fakes.world import FakePasswords
from tutor.bootstrap.club import Club, put_together
from tutor.bootstrap.places import static_folder
from tutor.bootstrap.world import SystemChance, SystemClock
from tutor.circuits.source import parse_source
from tutor.cli import main
from tutor.learning.courses import Shelf
from tutor.learning.records import Role
from tutor.questions.authoring.reading_drafts import no_circuit
from tutor.questions.reading import read_template
from tutor.store.engine import open_database
from tutor.store.records import SqlRecords
from tutor.web.app import create_site
from tutor.web.settings import SiteSettings

pytestmark = pytest.mark.browser

DIVIDER = (
    ("voltage source", "", "in", "", "200 V, 250 V, 300 V"),
    ("resistor", "", "in", "tap", "E12, 47 kΩ to 470 kΩ"),
    ("resistor", "", "tap", "", "E12, 22 kΩ to 220 kΩ"),
    ("resistor", "RL", "tap", "", "E12, 47 kΩ to 1 MΩ"),
)
STAGE = (
    ("voltage source", "HT", "ht", "", "250 V"),
    ("resistor", "Ra", "ht", "anode", "100 kΩ, 150 kΩ, 220 kΩ"),
    ("triode", "", "anode in cathode", "", "ECC83"),
    ("resistor", "Rk", "cathode", "", "E12, 1 kΩ to 4.7 kΩ"),
    ("resistor", "Rg", "in", "", "1 MΩ"),
)


@pytest.fixture(scope="module")
def bench_club(tmp_path_factory: pytest.TempPathFactory, shelf: Shelf) -> Club:
    database = tmp_path_factory.mktemp("bench") / "club.sqlite"
    records = SqlRecords(open_database(f"sqlite:///{database}"))
    own = Shelf(shelf.library, shelf.courses, shelf.cache, shelf.faults)  # publishing rearranges it
    return put_together(records, own, SystemClock(), SystemChance(), FakePasswords())


@pytest.fixture(scope="module")
def bench_address(bench_club: Club) -> Iterator[str]:
    from threading import Thread

    from waitress.server import create_server

    settings = SiteSettings(secret="a secret of the tests, forty characters", static=static_folder(), club="Bench Club")
    server: Any = create_server(create_site(bench_club, settings), host="127.0.0.1", port=0, threads=4)
    thread = Thread(target=server.run, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{server.effective_port}"
    server.task_dispatcher.shutdown(cancel_pending=True, timeout=5)
    server.close()
    thread.join(timeout=10)


class Hand:
    """A trainer's hand, that counts what it presses and fills in."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.count = 0

    def press(self, name: str) -> None:
        self.count += 1
        self.page.get_by_role("button", name=name, exact=True).first.click()

    def follow(self, name: str) -> None:
        self.count += 1
        self.page.get_by_role("link", name=name, exact=True).first.click()

    def fill(self, field: str, text: str) -> None:
        self.count += 1
        self.page.locator(f"[name='{field}']").fill(text)

    def choose(self, field: str, label: str) -> None:
        self.count += 1
        self.page.locator(f"[name='{field}']").select_option(label=label)

    def tick(self, value: str) -> None:
        self.count += 1
        self.page.locator(f"input[type=checkbox][value='{value}']").check()


def page_of(browser: Browser, address: str, club: Club, role: Role, **options: Any) -> Page:
    context = browser.new_context(base_url=address, viewport={"width": 1280, "height": 900}, **options)
    sign_in = f"person{SystemChance().serial()}"
    club.membership.add(sign_in, "Tom Larch", PASSWORD, role)
    page = context.new_page()
    page.goto("/sign-in")
    page.get_by_label("Sign-in name").fill(sign_in)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("heading", name="Lessons").wait_for()
    return page


def put_in(hand: Hand, parts: tuple[tuple[str, str, str, str, str], ...]) -> None:
    """Fill in the table, part by part; a kind that stands there already is left."""
    for kind, reference, first, second, value in parts:
        kinds = hand.page.locator("[name='new-kind']")
        if kinds.input_value() != kind:
            hand.choose("new-kind", kind)
        if reference:
            hand.fill("new-reference", reference)
        for place, node in enumerate(first.split() if " " in first else (first, second)):
            if node:
                hand.fill(f"new-node{place}", node)
        hand.fill("new-value", value)
        hand.press("Add the part")


def make(hand: Hand, title: str, parts: Any, asked: str, slips: tuple[str, ...], rules: bool = True) -> None:
    """Make, prove and publish a question from a blank bench."""
    page = hand.page
    page.goto("/workshop/")
    look(page, "front", rules=rules)
    hand.fill("title", title)
    hand.press("Begin")
    put_in(hand, parts)
    look(page, "circuit", rules=rules)
    hand.follow("On to the question")
    hand.choose("asked", asked)
    hand.press("Add what is asked")
    hand.choose("topic", "Dividers")
    for slip in slips:
        hand.tick(slip)
    page.locator("input[name='hint']").first.check()
    hand.count += 1
    hand.press("Keep")
    look(page, "question", rules=rules)
    hand.follow("On to the proof")
    look(page, "before-proof", rules=rules)
    hand.press("Prove it")
    page.get_by_role("button", name="Publish it").wait_for(timeout=60_000)
    look(page, "proof", rules=rules)
    hand.press("Publish it")
    expect(page.get_by_text("on the shelf")).to_be_visible()
    look(page, "releases", rules=rules)


def look(page: Page, name: str, *, rules: bool) -> None:
    """Hold a screen to the accessibility rules, where scripts may run."""
    if rules:
        assert violations(page) == [], name


def answered_by_a_member(browser: Browser, address: str, club: Club, title: str) -> None:
    page = page_of(browser, address, club, Role.MEMBER)
    page.goto("/lessons/first")
    page.get_by_role("button", name=title).click()
    with club.records.look() as work:
        issue = work.questions.get(page.url.rsplit("/", 1)[1])
    assert issue is not None
    page.locator("input[name^='answer-']").first.fill(issue.question.asks[0].shown)
    page.get_by_role("button", name="Mark my answer").click()
    expect(page.get_by_role("status", name="Mark")).to_contain_text("all right")
    page.context.close()


def exported(page: Page, tmp_path: Path) -> None:
    """The file passes `quiescent check`, and taken in again it is the same release."""
    from click.testing import CliRunner

    page.get_by_role("link", name="File", exact=True).click()
    with page.expect_download() as download:
        page.get_by_role("link", name="Save the file on this machine").click()
    path = tmp_path / download.value.suggested_filename
    download.value.save_as(path)
    result = CliRunner().invoke(main, ["check", str(path)])
    assert result.exit_code == 0, result.output
    text = path.read_text(encoding="utf-8")
    release = read_template(parse_source(text, path.name), no_circuit).release
    page.get_by_role("link", name="Releases", exact=True).click()
    expect(page.locator("code").first).to_have_text(release)


def test_a_trainer_makes_the_loaded_divider_from_a_blank_bench(
    browser: Browser, bench_address: str, bench_club: Club, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    page = page_of(browser, bench_address, bench_club, Role.TRAINER)
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    hand = Hand(page)
    slips = ("rl-forgotten", "r2-rl-in-a-row", "r1-and-r2-exchanged")
    make(hand, "The divider and its load", DIVIDER, "voltage of tap", slips)
    with capsys.disabled():
        print(f"\nThe loaded divider took {hand.count} clicks and fields.")  # noqa: T201 - what the test is to tell
    assert hand.count < 40
    assert said == []
    answered_by_a_member(browser, bench_address, bench_club, "The divider and its load")
    exported(page, tmp_path)
    page.get_by_role("link", name="Try it").click()
    assert violations(page) == []
    page.get_by_role("link", name="History").click()
    assert violations(page) == []
    page.get_by_role("link", name="File", exact=True).click()
    assert violations(page) == []
    page.context.close()


def test_a_trainer_makes_the_gain_of_a_triode_stage(
    browser: Browser, bench_address: str, bench_club: Club, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    page = page_of(browser, bench_address, bench_club, Role.TRAINER)
    hand = Hand(page)
    make(hand, "Gain of a cathode-biased stage", STAGE, "gain from in to anode", ("rk-as-a-wire",))
    with capsys.disabled():
        print(f"\nThe triode stage took {hand.count} clicks and fields.")  # noqa: T201 - what the test is to tell
    answered_by_a_member(browser, bench_address, bench_club, "Gain of a cathode-biased stage")
    exported(page, tmp_path)
    page.context.close()


def test_the_same_without_javascript(browser: Browser, bench_address: str, bench_club: Club) -> None:
    page = page_of(browser, bench_address, bench_club, Role.TRAINER, java_script_enabled=False)
    hand = Hand(page)
    make(hand, "The divider without scripts", DIVIDER, "voltage of tap", ("rl-forgotten",), rules=False)
    answered_by_a_member(browser, bench_address, bench_club, "The divider without scripts")
    page.context.close()


def test_the_drawing_follows_what_is_typed_and_a_part_is_pulled(
    browser: Browser, bench_address: str, bench_club: Club
) -> None:
    page = page_of(browser, bench_address, bench_club, Role.TRAINER)
    page.goto("/workshop/")
    page.get_by_role("button", name="Begin", exact=True).click()
    hand = Hand(page)
    put_in(hand, DIVIDER[:3])
    page.locator("[name='new-node0']").fill("tap")
    page.locator("[name='new-value']").fill("1 MΩ")
    expect(page.locator("#bench-R3")).to_be_visible()  # not kept yet: only drawn
    page.reload()
    expect(page.locator("#bench-R3")).to_have_count(0)
    box = page.locator("#bench-R1 > g").first.bounding_box()
    assert box is not None
    with page.expect_navigation():
        page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        page.mouse.down()
        page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2 - 60, steps=4)
        page.mouse.up()
    page.get_by_role("link", name="File", exact=True).click()
    assert re.search(r"R1: \{kind: resistor, nodes: \[in, tap\], at: \[", page.locator("textarea").input_value())
    page.context.close()


def test_a_part_is_moved_and_the_draft_undone_by_keyboard_alone(
    browser: Browser, bench_address: str, bench_club: Club
) -> None:
    page = page_of(browser, bench_address, bench_club, Role.TRAINER)
    page.goto("/workshop/")
    page.get_by_role("button", name="Begin", exact=True).click()
    put_in(Hand(page), DIVIDER)
    for _ in range(200):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.getAttribute('aria-label')") == "R2 to the right":
            break
    else:
        raise AssertionError("the button was not reached")
    before = page.url
    with page.expect_navigation():
        page.keyboard.press("Enter")
    assert page.url.startswith(before.split("#")[0])
    page.goto(page.url.replace("/circuit", "/file").split("#")[0])
    assert "at: [" in page.locator("textarea").input_value()
    page.go_back()
    page.get_by_role("button", name="Undo").click()
    page.goto(page.url.replace("/circuit", "/file").split("#")[0])
    assert "at: [" not in page.locator("textarea").input_value()
    page.context.close()
