"""The sample lesson: a stranger tries it, and it leaves no trace."""

from __future__ import annotations

import re
from urllib.parse import urlencode

import pytest
from flask import Flask
from itsdangerous import URLSafeSerializer
from werkzeug.test import TestResponse

from tests.web.conftest import Visitor
from tests.web.test_pages import text
from tutor.bootstrap.club import Club
from tutor.learning.courses import Shelf
from tutor.learning.records import Issue, Member
from tutor.learning.samples import sample_of
from tutor.questions.question import Question


def begun(stranger: Visitor, place: int = 0) -> tuple[str, TestResponse]:
    answer = stranger.get(f"/try/?place={place}")
    assert answer.status_code == 303
    where = answer.headers["Location"]
    return where, stranger.get(where)


def question_of(site: Flask, club: Club, where: str) -> Question:
    name, _, serial = URLSafeSerializer(site.secret_key, salt="sample question").loads(where.rsplit("/", 1)[1])
    return club.shelf.draw(club.shelf.template(name), serial)


def asked(stranger: Visitor, where: str, answers: dict[str, str], **more: str) -> TestResponse:
    return stranger.get(f"{where}?{urlencode({f'answer-{name}': said for name, said in answers.items()} | more)}")


def test_the_sample_is_a_lesson_of_drawn_circuits(shelf: Shelf) -> None:
    sample = sample_of(shelf)
    assert sample is not None
    assert sample.lesson.name == "first"
    assert all(template.network is not None for template in sample.templates)


def test_the_first_question_is_one_action_from_the_front_page(stranger: Visitor) -> None:
    front = stranger.get("/").get_data(as_text=True)
    (where,) = re.findall(r'<a class="button main" href="([^"]+)">Try a question', front)
    page = stranger.client.get(where, follow_redirects=True)
    assert "What voltage stands at the tap?" in text(page) or "Given" in text(page)
    assert 'button class="main">Mark my answer' in page.get_data(as_text=True)


def test_a_right_answer_a_slip_and_an_unreadable_one_are_marked_as_for_members(
    stranger: Visitor, site: Flask, club: Club
) -> None:
    where, _ = begun(stranger)
    question = question_of(site, club, where)
    right = {ask.name: f"{ask.value:.4g}" for ask in question.asks}
    assert ": all right." in text(asked(stranger, where, right))
    first = question.asks[0]
    slip = next(slip for slip in first.slips if slip.tells)
    assert "Not yet" in text(asked(stranger, where, {first.name: f"{slip.value:.4g}"}))
    odd = text(asked(stranger, where, {first.name: "about so much"}))
    assert "Not understood" in odd
    assert "all right" not in odd
    assert "Nothing is typed yet." in text(asked(stranger, where, {first.name: ""}))


def test_the_key_comes_with_the_worked_solution_and_not_before(stranger: Visitor, site: Flask, club: Club) -> None:
    where, page = begun(stranger)
    question = question_of(site, club, where)
    for secret in (str(question.serial), *(f"{ask.value:.6g}" for ask in question.asks)):
        assert secret not in page.get_data(as_text=True)
    assert "Worked solution" not in text(page)
    opened = asked(stranger, where, {}, solution="open")
    assert "Worked solution" in text(opened)
    key = question.asks[0].shown.split("\N{NO-BREAK SPACE}")[0]
    assert key in text(opened)
    assert "Mark my answer" not in text(opened)


def test_other_values_and_every_question_of_the_sample(
    stranger: Visitor, site: Flask, club: Club, shelf: Shelf
) -> None:
    sample = sample_of(shelf)
    assert sample is not None
    for place, template in enumerate(sample.templates):
        where, page = begun(stranger, place)
        assert page.status_code == 200
        assert question_of(site, club, where).template == template.name
        assert begun(stranger, place)[0] != where
    assert question_of(site, club, begun(stranger, len(sample.templates))[0]).template == sample.templates[0].name


@pytest.mark.parametrize("token", ["x", "WyJsb2FkZWQtZGl2aWRlciIsMSwxXQ.bad", "a.b.c", "%00"])
def test_a_damaged_or_forged_address_leads_to_a_new_question(stranger: Visitor, token: str) -> None:
    assert stranger.get(f"/try/{token}").headers["Location"] == "/try/"


def test_a_serial_cannot_be_chosen_nor_an_older_release_shown(
    stranger: Visitor, site: Flask, club: Club, issue: Issue
) -> None:
    # Signed for another purpose, or with another secret: the member's own question does not open.
    named = [issue.question.template, issue.question.release, issue.question.serial]
    for sealer in (
        URLSafeSerializer("another secret of forty characters, or so", salt="sample question"),
        URLSafeSerializer(site.secret_key, salt="another purpose"),
    ):
        assert stranger.get(f"/try/{sealer.dumps(named)}").status_code == 303
    own = URLSafeSerializer(site.secret_key, salt="sample question")
    for other in ([named[0], "an older release", 7], [named[0]], {"a": 1}, "text", 7, None):
        assert stranger.get(f"/try/{own.dumps(other)}").status_code == 303


def test_a_sample_stores_nothing_and_sets_no_cookie(stranger: Visitor, site: Flask, club: Club, member: Member) -> None:
    where, page = begun(stranger)
    question = question_of(site, club, where)
    answered = asked(stranger, where, {ask.name: "1" for ask in question.asks}, solution="open")
    assert "Set-Cookie" not in page.headers
    assert "Set-Cookie" not in answered.headers
    assert list(club.progress.history(member)) == []
    with club.records.look() as work:
        assert work.questions.get(where.rsplit("/", 1)[1]) is None


def test_a_hostile_answer_comes_back_as_text(stranger: Visitor) -> None:
    where, _ = begun(stranger)
    page = asked(stranger, where, {"v_tap": '"><script>alert(1)</script>' + "9" * 400}).get_data(as_text=True)
    assert "<script>alert" not in page
