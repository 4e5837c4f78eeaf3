"""Printed sheets: both sizes, large print, nothing cut, nothing told that should not be; the key for the trainer alone."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from playwright.sync_api import Browser

from tests.post.conftest import chromium_or_skip
from tutor.bootstrap.club import Club
from tutor.learning.ports.post import PageSize, SheetForm, SheetKind
from tutor.learning.round_records import Round, RoundSheet
from tutor.learning.rounds.codes import shown
from tutor.learning.rounds.labels import places_of
from tutor.learning.rounds.making import RoundMaking
from tutor.post.chromium import ChromiumError, running
from tutor.post.writing import PostWriter
from tutor.questions.fragments import schematic_of

POINTS = {PageSize.A4: (595, 842), PageSize.LETTER: (612, 792)}
"""Sizes in points of 1/72 inch: 210 × 297 mm (ISO 216), and 8.5 × 11 inches (ANSI/ASME Y14.1, size A)."""


@pytest.fixture
def sheets(club: Club, round_: Round) -> list[RoundSheet]:
    return list(RoundMaking(club.practice).sheets(round_.id))


@pytest.mark.parametrize("kind", list(SheetKind))
@pytest.mark.parametrize("size", list(PageSize))
def test_every_kind_of_sheet_is_printed_in_its_size(
    writer: PostWriter, sheets: list[RoundSheet], kind: SheetKind, size: PageSize
) -> None:
    chromium_or_skip()
    pdf = writer.pdf(sheets, SheetForm(kind, size))
    boxes = re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", pdf)
    assert boxes
    for width, height in boxes:
        assert float(width) == pytest.approx(POINTS[size][0], abs=1)
        assert float(height) == pytest.approx(POINTS[size][1], abs=1)
    assert b"/StructTreeRoot" in pdf  # tagged, for those who hear it


@pytest.mark.parametrize("large", [False, True])
@pytest.mark.parametrize("size", list(PageSize))
def test_no_drawing_and_no_field_is_cut_by_the_end_of_a_page(
    browser: Browser, writer: PostWriter, sheets: list[RoundSheet], size: PageSize, large: bool
) -> None:
    html = writer.sheets(sheets, SheetForm(SheetKind.PAPERS, size, large))
    page = browser.new_page(viewport={"width": 665 if size is PageSize.A4 else 688, "height": 990})
    page.emulate_media(media="print")
    page.set_content(html)
    found = page.evaluate(
        """() => [...document.querySelectorAll("figure, .ask, .givens, .caution")].map(e => {
            const box = e.getBoundingClientRect();
            return [e.tagName, box.height, box.right, getComputedStyle(e).breakInside];
        })"""
    )
    wide = page.evaluate("document.documentElement.scrollWidth")
    page.close()
    # 96 pixels to the inch: what fits between the margins of 16 and 18 mm.
    room = {PageSize.A4: 297, PageSize.LETTER: 279.4}[size] / 25.4 * 96 - 34 / 25.4 * 96
    assert wide <= (665 if size is PageSize.A4 else 688)
    assert any(name == "FIGURE" for name, *_ in found)
    for name, height, _, inside in found:
        assert height < room, name
        assert inside == "avoid", name


def test_a_paper_carries_its_code_on_every_question_and_no_key(writer: PostWriter, sheets: list[RoundSheet]) -> None:
    html = writer.sheets(sheets[:1], SheetForm())
    sheet = sheets[0]
    assert html.count(shown(sheet.paper.code)) == 1 + len(sheet.issues)
    for issue in sheet.issues:
        assert str(issue.question.serial) not in html
        for ask in issue.question.asks:
            if isinstance(ask.value, float):
                assert f"{ask.value:.6g}" not in html
    for place in places_of(sheet.issues):
        assert f"<b>{place.label}</b>" in html
    drawn = sum(bool(issue.question.parts) for issue in sheet.issues)
    assert html.count("<figure>") == drawn
    assert schematic_of(sheet.issues[0].question, f"d{sheet.issues[0].id}").svg in html
    identifiers = re.findall(r' id="([^"]+)"', writer.sheets(sheets, SheetForm()))
    assert len(identifiers) == len(set(identifiers))


def test_the_common_paper_has_neither_name_nor_code(writer: PostWriter, sheets: list[RoundSheet]) -> None:
    common = [replace(sheet, round=replace(sheet.round, common=True)) for sheet in sheets]
    html = writer.sheets(common, SheetForm(SheetKind.COMMON))
    assert html.count('class="paper"') == 1
    assert all(sheet.member.name not in html and shown(sheet.paper.code) not in html for sheet in sheets)


def test_the_key_holds_every_answer_and_the_mark_sheet_every_member(
    writer: PostWriter, sheets: list[RoundSheet]
) -> None:
    key = writer.sheets(sheets, SheetForm(SheetKind.KEY))
    marks = writer.sheets(sheets, SheetForm(SheetKind.MARKS))
    for sheet in sheets:
        assert shown(sheet.paper.code) in key
        assert sheet.member.name in marks
        assert shown(sheet.paper.code) in marks
        for place in places_of(sheet.issues):
            number = re.match(r"[\d.]+", place.ask.shown)
            if number and not place.ask.options:
                assert number[0] in key


def test_hostile_names_stay_words(writer: PostWriter, sheets: list[RoundSheet]) -> None:
    name = '"><script>alert(1)</script>'
    forged = replace(
        sheets[0], member=replace(sheets[0].member, name=name), round=replace(sheets[0].round, title=name, note=name)
    )
    for kind in SheetKind:
        assert "<script" not in writer.sheets([forged], SheetForm(kind))


def test_without_chromium_the_refusal_says_what_would_do(
    writer: PostWriter, sheets: list[RoundSheet], without_chromium: None
) -> None:
    with pytest.raises(ChromiumError, match="install it, or print the page from a browser"):
        writer.pdf(sheets, SheetForm())
    with pytest.raises(ChromiumError), running("/nowhere/chromium"):
        pass
