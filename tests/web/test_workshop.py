"""The workshop's pages over HTTP: what is typed wrongly is said in words, and nothing is stored half."""

from __future__ import annotations

import io
import re
import time
import zipfile
from html import unescape
from typing import Any

import pytest
from flask import Flask
from werkzeug.test import TestResponse

from tests.fakes.world import FakeChance, FakeClock, FakePasswords
from tests.questions.authoring.drafts import divider, table
from tests.web.conftest import PASSWORD, Visitor
from tutor.bootstrap.club import Club, put_together
from tutor.learning.courses import Shelf
from tutor.learning.drafts import Draft
from tutor.learning.ports import Records
from tutor.learning.records import Member, Role
from tutor.questions.authoring.writing import write_template


@pytest.fixture
def club(records: Records, shelf: Shelf, clock: FakeClock, chance: FakeChance, passwords: FakePasswords) -> Club:
    own = Shelf(shelf.library, shelf.courses, shelf.cache, shelf.faults)  # publishing rearranges it
    return put_together(records, own, clock, chance, passwords, run=lambda job: job())


@pytest.fixture
def tom(club: Club) -> Member:
    return club.membership.add("tom.larch", "Tom Larch", PASSWORD, Role.TRAINER)


@pytest.fixture
def trainer(site: Flask, tom: Member) -> Visitor:
    visitor = Visitor(site.test_client())
    assert visitor.sign_in("tom.larch").status_code == 200
    return visitor


@pytest.fixture
def draft(club: Club, tom: Member) -> Draft:
    begun = club.workshop.drafting.begin(tom, "Made")
    return club.workshop.drafting.save(tom, begun.id, 1, divider(), "filled in")


def token(page: TestResponse) -> str:
    found = re.search(r'name="csrf_token" value="([^"]+)"', page.get_data(as_text=True))
    assert found is not None
    return found[1]


def post(visitor: Visitor, page: str, action: str, data: dict[str, Any], **more: Any) -> TestResponse:
    """Send a form of a page as a browser would, its token and version along."""
    shown = visitor.get(page)
    version = re.search(r'name="version" value="(\d+)"', shown.get_data(as_text=True))
    fields = {"csrf_token": token(shown)} | ({"version": version[1]} if version else {})
    return visitor.client.post(action, data=fields | data, follow_redirects=True, **more)


def text(answer: TestResponse) -> str:
    return unescape(answer.get_data(as_text=True))


def test_a_blank_bench_becomes_a_circuit_row_by_row(trainer: Visitor, club: Club) -> None:
    page = post(trainer, "/workshop/", "/workshop/drafts", {"title": "A divider"})
    where = page.request.path
    parts = {"new-kind": "resistor", "new-node0": "tap", "new-value": "10 kΩ, 22 kΩ", "do": "add"}
    page = post(trainer, where, where, parts)
    assert page.status_code == 200
    (found,) = club.workshop.drafting.drafts()
    assert found.data["circuit"] == {"R1": {"kind": "resistor", "nodes": ["tap", "0"]}}
    assert found.data["values"] == {"R1": {"pick": ["10 kΩ", "22 kΩ"]}}
    assert [version.says for version in club.workshop.drafting.history(found.id)] == ["a part added", "begun"]


@pytest.mark.parametrize(
    ("field", "value", "says"),
    [
        ("r1-value", "1 kΩ to 10 kΩ", "name a series"),
        ("r1-reference", "R 1", "A reference is a letter"),
        ("r1-reference", "R2", "Two parts have this reference"),
    ],
)
def test_what_cannot_be_read_is_said_at_its_row_and_not_stored(
    trainer: Visitor, club: Club, draft: Draft, field: str, value: str, says: str
) -> None:
    where = f"/workshop/drafts/{draft.id}/circuit"
    fields = {f"r{n}-{key}": row for n, part in enumerate(_rows(draft)) for key, row in part.items()}
    page = post(trainer, where, where, fields | {field: value, "do": "keep"})
    assert page.status_code == 422
    assert says in text(page)
    assert club.workshop.drafting.draft(draft.id) == draft


def _rows(draft: Draft) -> list[dict[str, str]]:
    from tutor.questions.authoring.rows import rows_of

    return [
        {"reference": row.reference, "kind": row.kind}
        | {f"node{n}": node for n, node in enumerate(row.nodes)}
        | dict(row.figures)
        for row in rows_of(draft.data)
    ]


def test_the_second_of_two_trainers_is_told_and_may_insist(trainer: Visitor, club: Club, draft: Draft) -> None:
    ines = club.membership.add("ines.garrow", "Ines Garrow", PASSWORD, Role.TRAINER)
    where = f"/workshop/drafts/{draft.id}/question"
    open_page = trainer.get(where)
    club.workshop.drafting.save(ines, draft.id, draft.version, divider(tolerance="3 %"), "tolerance")
    fields = {
        "csrf_token": token(open_page),
        "version": str(draft.version),
        "title": "Mine",
        "level": "2",
        "do": "keep",
    }
    page = trainer.client.post(where, data=fields)
    assert page.status_code == 409
    assert "Ines Garrow changed “Made”" in text(page)
    assert "tolerance was given: “3 %”" in text(page)
    assert club.workshop.drafting.draft(draft.id).data["title"] == "Made"
    page = trainer.send(page, "/question")
    assert page.status_code == 200
    kept = club.workshop.drafting.draft(draft.id).data
    assert (kept["title"], kept["ask"]["v_tap"]["tolerance"]) == ("Mine", "3 %")


HOSTILE = "<script>alert(1)</script><img src=x onerror=alert(1)> {{ 7*7777 }} {% raw %} `R1=` <svg onload=alert(1)>"


def test_hostile_markup_is_shown_as_text_everywhere(trainer: Visitor, club: Club, tom: Member, draft: Draft) -> None:
    data = divider() | {"title": HOSTILE[:190], "text": HOSTILE, "hints": [HOSTILE], "source": HOSTILE}
    data["ask"]["v_tap"] |= {"text": HOSTILE, "slips": {"own": {"formula": "V1", "says": HOSTILE}}}
    saved = club.workshop.drafting.save(tom, draft.id, draft.version, data, HOSTILE)
    template = club.workshop.drafting.reading(saved).template
    assert template is not None
    club.workshop.proving.begin(template)
    for page in ("circuit", "question", "proof", "try", "releases", "history", "file"):
        answer = trainer.get(f"/workshop/drafts/{draft.id}/{page}")
        assert answer.status_code == 200, page
        shown = answer.get_data(as_text=True)
        assert not re.search(r"<script>|<img|<svg onload|onerror=alert\(1\)>", shown), page
        assert "54439" not in shown, page
    assert trainer.get("/workshop/").status_code == 200


def test_node_and_part_names_cannot_break_out_of_the_drawing(trainer: Visitor, club: Club, draft: Draft) -> None:
    where = f"/workshop/drafts/{draft.id}/circuit"
    parts = {"new-kind": "resistor", "new-node0": '"><script>alert(1)</script>', "new-value": "1 kΩ", "do": "add"}
    page = post(trainer, where, where, parts)
    assert "<script>alert" not in page.get_data(as_text=True)


def test_pasted_word_text_is_stored_clean(trainer: Visitor, club: Club, draft: Draft) -> None:
    where = f"/workshop/drafts/{draft.id}/question"
    pasted = "\u201cThe load\u201d \u2013 it\u2019s `RL=`\u200b.\r\n\x0b\u00a0Next"
    post(trainer, where, where, {"title": "Made", "level": "1", "topic": "dividers", "text": pasted, "do": "keep"})
    assert club.workshop.drafting.draft(draft.id).data["text"] == '"The load" - it\'s `RL=`.\n Next'


def test_more_than_the_site_takes_is_refused_with_words(trainer: Visitor, club: Club) -> None:
    page = post(trainer, "/workshop/", "/workshop/import", {"file": (io.BytesIO(b"x" * 300_000), "huge.yaml")})
    assert page.status_code == 413
    assert "More was sent than this page takes" in text(page)
    assert club.workshop.drafting.drafts() == []


def test_a_packed_bomb_is_refused_unopened(trainer: Visitor, club: Club) -> None:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("bomb.yaml", b"0" * 50_000_000)
    packed.seek(0)
    assert len(packed.getvalue()) < 100_000
    page = post(trainer, "/workshop/", "/workshop/import", {"file": (packed, "bomb.yaml")})
    assert page.status_code == 422
    assert "nothing of it was kept" in text(page)
    assert club.workshop.drafting.drafts() == []


def test_a_file_is_taken_in_and_given_out_byte_for_byte(trainer: Visitor, club: Club, draft: Draft) -> None:
    given = trainer.get(f"/workshop/drafts/{draft.id}/file.yaml").get_data()
    assert given == write_template(draft.data).encode()
    page = post(trainer, "/workshop/", "/workshop/import", {"file": (io.BytesIO(given), "made.yaml")})
    assert "The key 'made' is taken here, so this one is called 'made-2'." in text(page)


def test_a_text_that_is_no_file_is_not_stored(trainer: Visitor, club: Club, draft: Draft) -> None:
    where = f"/workshop/drafts/{draft.id}/file"
    page = post(trainer, where, where, {"text": "title: [unfinished"})
    assert page.status_code == 422
    assert club.workshop.drafting.draft(draft.id) == draft


def test_a_ladder_of_three_hundred_parts_is_shown_in_time(
    trainer: Visitor, club: Club, tom: Member, draft: Draft
) -> None:
    ladder = [(f"R{n}", "resistor", (f"n{n}", f"n{n + 1}"), {"value": "1 kΩ"}) for n in range(298)]
    ladder += [
        ("V1", "voltage source", ("n0", "0"), {"value": "1 V"}),
        ("RE", "resistor", ("n298", "0"), {"value": "1 kΩ"}),
    ]
    asked = {"v": {"text": "?", "of circuit": {"voltage": "n1"}}}
    club.workshop.drafting.save(tom, draft.id, draft.version, divider() | table(*ladder) | {"ask": asked}, "a ladder")
    began = time.perf_counter()
    for page in ("circuit", "question"):
        assert trainer.get(f"/workshop/drafts/{draft.id}/{page}").status_code == 200
    assert time.perf_counter() - began < 30  # about three seconds on a quiet machine


def test_trying_leaves_no_marks(trainer: Visitor, club: Club, tom: Member, draft: Draft) -> None:
    where = f"/workshop/drafts/{draft.id}/try?serial=3"
    page = post(trainer, where, where, {"answer-v_tap": "1 V"})
    assert page.status_code == 200
    assert "of 2 marks" in text(page)
    assert list(club.progress.history(tom)) == []


def test_what_is_not_proved_cannot_be_published_by_a_forged_form(trainer: Visitor, club: Club, draft: Draft) -> None:
    page = post(trainer, f"/workshop/drafts/{draft.id}/proof", f"/workshop/drafts/{draft.id}/publish", {})
    assert page.status_code == 409
    assert "It was not proved yet" in text(page)
    assert club.workshop.publishing.live() == []


def test_marks_are_listed_and_then_changed(
    trainer: Visitor, club: Club, tom: Member, member: Member, draft: Draft
) -> None:
    def publish(found: Draft) -> int:
        template = club.workshop.drafting.reading(found).template
        assert template is not None
        club.workshop.proving.begin(template)
        return club.workshop.publishing.publish(tom, found.id, found.version).id

    publish(draft)
    issue = club.practice.issue(member, club.shelf.lesson("first"), club.shelf.template("made"))
    club.practice.submit(member, issue.id, "k", {"v_tap": f"{issue.question.asks[0].key * 1.025:.5g} V"})
    number = publish(club.workshop.drafting.save(tom, draft.id, draft.version, divider(tolerance="5 %"), "wider"))
    where = f"/workshop/releases/{number}/marks"
    page = trainer.get(where)
    assert "1 mark would change, of 1 member" in re.sub(r"</?strong>", "", text(page))
    assert "Ann Baker" in text(page)
    page = post(trainer, where, where, {"expected": "1"})
    assert "The old marks are kept" in text(page)
    assert club.practice.get(member, issue.id).solved
    ann = Visitor(trainer.client.application.test_client())
    ann.sign_in()
    assert "it had 0 of 2 marks before" in text(ann.get(f"/questions/{issue.id}"))


def test_members_find_no_way_in(ann: Visitor) -> None:
    assert ann.get("/workshop/").status_code == 403
    assert "Workshop" not in ann.get("/home").get_data(as_text=True)
