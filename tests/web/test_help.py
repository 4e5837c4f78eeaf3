"""Help: every guide opens, leads to the others, and tells the truth about what can be typed."""

from __future__ import annotations

import re

import pytest

from tests.web.conftest import Visitor
from tests.web.test_pages import text
from tutor.cli import main
from tutor.learning.records import Issue
from tutor.web.glossary import GLOSSARY
from tutor.web.pages.help_pages import GUIDES, NOTATIONS, notations


@pytest.mark.parametrize("guide", GUIDES)
def test_every_guide_opens_to_strangers_and_leads_to_the_others(stranger: Visitor, guide: str) -> None:
    page = stranger.get(f"/help/{guide}")
    assert page.status_code == 200
    assert f"<h1>{GUIDES[guide]}</h1>" in page.get_data(as_text=True)
    for other in set(GUIDES) - {guide}:
        assert f'href="/help/{other}"' in page.get_data(as_text=True)


def test_the_contents_list_every_guide_and_nonsense_is_not_found(stranger: Visitor) -> None:
    contents = stranger.get("/help/").get_data(as_text=True)
    assert all(f'href="/help/{guide}"' in contents for guide in GUIDES)
    assert stranger.get("/help/guide").status_code == 404
    assert stranger.get("/help/../base").status_code == 404


def test_help_stands_at_the_same_place_of_every_page(ann: Visitor, stranger: Visitor, issue: Issue) -> None:
    # WCAG 2.2, 3.2.6: in the same order relative to other content.
    feet = {
        re.search(r'<footer class="foot">.*?</nav>', visitor.get(page).get_data(as_text=True), re.DOTALL)[0]  # type: ignore[index]
        for visitor, pages in (
            (stranger, ("/", "/sign-in", "/join", "/nonsense", "/help/")),
            (ann, ("/home", "/lessons/first", f"/questions/{issue.id}", "/progress", "/history", "/help/words")),
        )
        for page in pages
    }
    assert len(feet) == 1


@pytest.mark.parametrize("one", notations(), ids=[typed for typed, _, _ in NOTATIONS])
def test_every_notation_of_the_page_is_read(one) -> None:  # type: ignore[no-untyped-def]  # a view
    assert one.read


def test_some_notations_are_read_as_the_trade_means_them() -> None:
    # IEC 60062 for 4k7, R47, 2n2; mfd and mmfd as on service sheets.
    said = {one.typed: one.read.replace("\N{NO-BREAK SPACE}", " ") for one in notations()}
    assert said["4k7"] == "4.7 kΩ"
    assert said["R47"] == "0.47 Ω"
    assert said["2n2"] == "2.2 nF"
    assert said["0.05 mfd"] == "50 nF"
    assert said["100 mmfd"] == "100 pF"
    assert said["68.2"] == "68.2 V"


def test_the_words_are_in_order_and_each_has_its_own_place() -> None:
    words = [term.word.lower() for term in GLOSSARY]
    assert words == sorted(words)
    anchors = [term.anchor for term in GLOSSARY]
    assert len(set(anchors)) == len(anchors)
    also = {other for term in GLOSSARY for other in term.also}
    assert {"tube", "plate", "ground", "B+"} <= also


def test_every_command_that_help_names_exists(stranger: Visitor) -> None:
    for guide in GUIDES:
        page = text(stranger.get(f"/help/{guide}"))
        for name in re.findall(r"quiescent ([a-z]+)", page):
            assert name in main.list_commands(None), name  # type: ignore[arg-type]  # it looks at no context
