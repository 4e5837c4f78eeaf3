"""The contact sheet: every page of the demo club as its people see it, in every width and light, by one command.

    python -m tests.pictures FOLDER [part of a page's name …]

makes the fictional club in a temporary folder, serves it, walks its pages with Chromium and writes PNG files and an
`index.html` that lays them side by side. It is looked at by people; what a machine can judge is in `tests/browser`.
"""

from __future__ import annotations

import html
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from threading import Thread
from typing import Any

from playwright.sync_api import Browser, Page, sync_playwright

from tests.chromium import QUIET, chromium
from tutor.bootstrap.club import Club
from tutor.bootstrap.demo import PASSWORD, make_demo
from tutor.bootstrap.site import open_folder, site_of
from tutor.learning.records import Member
from tutor.quantities import show_in
from tutor.web.pages.help_pages import GUIDES

WIDTHS = (320, 768, 1280)
PAPER = 794  # pixels: A4 at 96 to the inch
LOOKS = tuple((f"{width} {scheme}", width, scheme) for scheme in ("light", "dark") for width in WIDTHS)
MEMBER, TRAINER, ORGANISER, STRANGER = "bert.amble", "tom.larch", "ada.quill", ""


@dataclass(frozen=True, slots=True)
class Sight:
    """One page as one person sees it.

    Attributes:
        name: Of its files.
        who: Sign-in name; "" for a stranger.
        address: Where it is.
    """

    name: str
    who: str
    address: str


def sights(club: Club) -> Iterator[Sight]:
    """Yield the pages, having brought the club's records to where each has something to show."""
    for name, address in {
        "front": "/",
        "sign-in": "/sign-in",
        "join": "/join",
        "sample": "/try/",
        "fault": "/none",
    }.items():
        yield Sight(name, STRANGER, address)
    yield Sight("help", STRANGER, "/help/")
    yield from (Sight(f"help-{guide}", STRANGER, f"/help/{guide}") for guide in GUIDES)
    yield from _of_member(club, _person(club, MEMBER))
    yield from _of_trainer(club)
    yield Sight("components", ORGANISER, "/components")


def _person(club: Club, sign_in: str) -> Member:
    with club.records.look() as work:
        return next(person for person in work.people.everybody() if person.sign_in == sign_in)


def _of_member(club: Club, member: Member) -> Iterator[Sight]:
    lesson = next(one for one in club.shelf.lessons if len(club.shelf.templates(one)) >= 3)
    template = next(one for one in club.shelf.templates(lesson) if one.network is not None)
    for name, address in {
        "home": "/home",
        "course": f"/courses/{lesson.course}",
        "lesson": f"/lessons/{lesson.name}",
        "progress": "/progress",
        "topic": f"/progress/{lesson.topics[0]}",
        "history": "/history",
        "certificate": f"/courses/{lesson.course}/certificate",
    }.items():
        yield Sight(name, MEMBER, address)
    for name in ("question-new", "question-marked", "question-solved"):
        issue = club.practice.issue(member, lesson, template)
        if name != "question-new":
            ask = issue.question.asks[0]
            slip = next((slip.value for slip in ask.slips if slip.tells), 1.0)
            typed = show_in(slip, ask.printed_unit, 3)
            club.practice.take_hint(member, issue.id)
            club.practice.submit(member, issue.id, f"picture {name}", {ask.name: typed})
        if name == "question-solved":
            club.practice.open_solution(member, issue.id)
        yield Sight(name, MEMBER, f"/questions/{issue.id}")
    done = club.tests.begin(member, lesson).paper.id
    club.tests.hand_in(member, done)
    yield Sight("mark-sheet", MEMBER, f"/papers/{done}/marks")
    another = next(one for one in club.shelf.lessons if one != lesson and len(club.shelf.templates(one)) >= 3)
    paper = club.tests.begin(member, another).paper.id
    yield Sight("paper", MEMBER, f"/papers/{paper}")
    yield Sight("paper-review", MEMBER, f"/papers/{paper}/review")


def _of_trainer(club: Club) -> Iterator[Sight]:
    lesson = next(one for one in club.shelf.lessons if len(club.shelf.templates(one)) >= 3)
    template = club.shelf.templates(lesson)[0]
    for name, address in {
        "class": "/class",
        "class-course": f"/class/courses/{lesson.course}",
        "class-member": f"/class/members/{_person(club, MEMBER).id}",
        "class-topic": f"/class/topics/{lesson.topics[0]}",
        "class-template": f"/class/templates/{template.name}",
        "class-tests": f"/class/tests/{lesson.name}",
        "class-groups": "/class/groups",
        "plan-lesson": f"/lessons/{lesson.name}/plan",
    }.items():
        yield Sight(name, TRAINER, address)


@contextmanager
def served(folder: Path) -> Iterator[tuple[Club, str]]:
    """Make the demo club in a folder and serve it; yield the club and the site's address."""
    from waitress.server import create_server

    make_demo(folder)
    club, settings = open_folder(folder)
    server: Any = create_server(site_of(club, settings, folder), host="127.0.0.1", port=0, threads=4)
    thread = Thread(target=server.run, daemon=True)
    thread.start()
    try:
        yield club, f"http://127.0.0.1:{server.effective_port}"
    finally:
        server.task_dispatcher.shutdown(cancel_pending=True, timeout=5)
        server.close()
        thread.join(timeout=10)


def _pages_of(browser: Browser, address: str, people: set[str]) -> dict[str, Page]:
    """Return a page for each person, signed in."""
    pages = {}
    for who in people:
        page = pages[who] = browser.new_context(base_url=address).new_page()
        if who:
            page.goto("/sign-in")
            page.get_by_label("Sign-in name").fill(who)
            page.get_by_label("Password").fill(PASSWORD)
            page.get_by_role("button", name="Sign in").click()
            page.wait_for_url("**/home")
    return pages


def take(page: Page, sight: Sight, folder: Path) -> list[str]:
    """Take the pictures of one page; return what is wrong with it at first sight."""
    faults = []
    answer = page.goto(sight.address)
    if answer is None or (answer.status >= 400 and sight.name != "fault"):
        faults.append(f"{sight.name}: answered {answer and answer.status}")
    page.emulate_media(reduced_motion="reduce")
    for look, width, scheme in LOOKS:
        page.set_viewport_size({"width": width, "height": 800})
        page.emulate_media(media="screen", color_scheme=scheme)  # type: ignore[arg-type]  # light or dark
        wide = page.evaluate("document.documentElement.scrollWidth")
        if wide > width:
            faults.append(f"{sight.name}: {wide} pixels wide at {width}")
        page.screenshot(path=folder / f"{sight.name} {look}.png", full_page=True)
    page.set_viewport_size({"width": PAPER, "height": 1123})
    page.emulate_media(media="print", color_scheme="light")
    page.screenshot(path=folder / f"{sight.name} print.png", full_page=True)
    return faults


def index(names: list[str]) -> str:
    """Return the sheet: a row a page, its pictures side by side."""
    looks = [look for look, _, _ in LOOKS] + ["print"]
    rows = "".join(
        f"<h2>{html.escape(name)}</h2><p>"
        + "".join(
            f'<a href="{name} {look}.png"><img src="{name} {look}.png" alt="{look}" loading="lazy"></a>'
            for look in looks
        )
        for name in names
    )
    style = "p{display:flex;gap:8px;align-items:start}img{width:210px;border:1px solid #999}"
    return f"<!doctype html><meta charset='utf-8'><title>Contact sheet</title><style>{style}</style>{rows}"


def main(folder: Path, only: list[str]) -> int:
    """Write the contact sheet; return 1 if a page failed or scrolls sideways."""
    folder.mkdir(parents=True, exist_ok=True)
    faults: list[str] = []
    with (
        tempfile.TemporaryDirectory() as place,
        served(Path(place) / "club") as (club, address),
        sync_playwright() as play,
    ):
        wanted = [sight for sight in sights(club) if not only or any(part in sight.name for part in only)]
        browser = play.chromium.launch(executable_path=chromium(), args=list(QUIET))
        pages = _pages_of(browser, address, {sight.who for sight in wanted})
        for sight in wanted:
            faults += take(pages[sight.who], sight, folder)
        browser.close()
    (folder / "index.html").write_text(index([sight.name for sight in wanted]), encoding="utf-8")
    sys.stdout.write("\n".join([f"{len(wanted)} pages in {folder}", *faults, ""]))
    return 1 if faults else 0


if __name__ == "__main__":
    if len(sys.argv) < 2:
        sys.exit("give the folder for the pictures, as python -m tests.pictures FOLDER")
    sys.exit(main(Path(sys.argv[1]), sys.argv[2:]))
