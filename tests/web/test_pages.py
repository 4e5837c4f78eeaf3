"""The pages as a member uses them, without a script."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from flask import Flask

from tests.web.conftest import PASSWORD, Visitor
from tutor.bootstrap.club import Club
from tutor.learning.records import Issue, Member


def text(page: object) -> str:
    raw = page.get_data(as_text=True)  # type: ignore[attr-defined]  # a response
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", raw))


def test_the_front_page_says_what_this_is_and_lets_one_in(stranger: Visitor, member: Member) -> None:
    page = stranger.get("/")
    assert "Did you follow the lesson?" in text(page)
    assert "The bench course" in text(page)
    home = stranger.send(page, "/sign-in", sign_in="ann.baker", password=PASSWORD)
    assert home.request.path == "/home"
    assert "The first lesson" in text(home)


def test_a_wrong_password_keeps_the_name_that_was_typed(stranger: Visitor, member: Member) -> None:
    answer = stranger.send(stranger.get("/sign-in"), "/sign-in", sign_in="ann.baker", password="wrong")
    assert answer.status_code == 403
    assert "That name and password do not go together." in text(answer)
    assert 'value="ann.baker"' in answer.get_data(as_text=True)
    assert "wrong" not in answer.get_data(as_text=True).split("<main", 1)[1].replace("went wrong", "")


def test_somebody_joins_with_a_code(stranger: Visitor, club: Club) -> None:
    code = club.membership.make_code().code
    page = stranger.get(f"/join?code={code}")
    home = stranger.send(page, "/join", name="Bea Cole", sign_in="bea.cole", password=PASSWORD)
    assert home.request.path == "/home"
    assert "Bea Cole" in text(home)


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"code": "NONSENSE"}, "That join code is not known"),
        ({"password": "short"}, "at least 15 characters"),
        ({"sign_in": "ann.baker"}, "is taken; choose another"),
        ({"sign_in": "no good"}, "cannot be a sign-in name"),
        ({"name": ""}, "Give your name."),
    ],
)
def test_what_is_wrong_with_a_joining_form_is_said(
    stranger: Visitor, club: Club, member: Member, fields: dict[str, str], says: str
) -> None:
    good = {"code": club.membership.make_code().code, "name": "Bea Cole", "sign_in": "bea.cole", "password": PASSWORD}
    answer = stranger.send(stranger.get("/join"), "/join", **(good | fields))
    assert answer.status_code == 422
    assert says in text(answer)
    with club.records.look() as work:
        assert len(work.people.everybody()) == 1


def test_the_main_job_from_lesson_to_new_values(ann: Visitor, club: Club, member: Member) -> None:
    lesson = ann.get("/lessons/first")
    assert "is new to you." in text(lesson)
    question = ann.send(lesson, "/lessons/first/practice/loaded-divider")
    issue = club.practice.get(member, question.request.path.rsplit("/", 1)[1])
    (ask,) = issue.question.asks
    slip = ann.send(question, "/answer", **{"answer-v_tap": f"{ask.slips[0].value:.4g}"})
    assert "That is the voltage with nothing connected to the tap." in text(slip)
    assert "0 of 2 marks" in text(slip)
    hinted = ann.send(slip, "/hint")
    assert "Which two resistors share both their ends?" in text(hinted)
    right = ann.send(hinted, "/answer", **{"answer-v_tap": f"{ask.value:.4g} V"})
    assert "2 of 2 marks : all right." in text(right).replace("marks:", "marks :")
    solved = ann.send(right, "/solution")
    assert "Worked solution" in text(solved)
    assert "<mfrac>" in solved.get_data(as_text=True)
    new = ann.send(solved, "/again")
    assert new.request.path != question.request.path
    assert "learning" in text(ann.get("/progress"))
    assert "Missed" in text(ann.get("/progress/dividers"))
    assert text(ann.get("/history")).count("What the load does to a divider") == 2


def test_an_unreadable_answer_comes_back_with_an_example(
    ann: Visitor, club: Club, member: Member, issue: Issue
) -> None:
    answer = ann.send(ann.get(f"/questions/{issue.id}"), "/answer", **{"answer-v_tap": "ten volts"})
    assert answer.status_code == 422
    assert "Expected a number, then a unit." in text(answer)
    assert "no attempt was counted" in text(answer)
    assert 'value="ten volts"' in answer.get_data(as_text=True)
    assert club.practice.get(member, issue.id).attempts == ()


def test_beside_an_unreadable_answer_nothing_else_is_judged(ann: Visitor, club: Club, member: Member) -> None:
    issue = club.practice.issue(member, club.shelf.lesson("first"), club.shelf.template("divider-steps"))
    right = issue.question.ask("v_tap")
    answer = ann.send(
        ann.get(f"/questions/{issue.id}"),
        "/answer",
        **{"answer-v_tap": f"{right.value} V", "answer-i_load": "some", "answer-p_load": "1 W"},
    )
    assert "Right" not in text(answer)
    assert text(answer).count("Not understood") == 1


def test_an_empty_form_costs_nothing_and_says_so(ann: Visitor, issue: Issue) -> None:
    answer = ann.send(ann.get(f"/questions/{issue.id}"), "/answer", **{"answer-v_tap": " "})
    assert answer.status_code == 422
    assert "Nothing is typed yet." in text(answer)


def test_a_form_sent_twice_is_one_attempt(ann: Visitor, club: Club, member: Member, issue: Issue) -> None:
    page = ann.get(f"/questions/{issue.id}")
    for _ in range(2):
        assert ann.send(page, "/answer", **{"answer-v_tap": "12 V"}).status_code == 200
    assert len(club.practice.get(member, issue.id).attempts) == 1


def test_an_answer_after_the_solution_is_given_back_with_the_reason(ann: Visitor, issue: Issue) -> None:
    page = ann.get(f"/questions/{issue.id}")
    ann.send(page, "/solution")
    answer = ann.send(page, "/answer", **{"answer-v_tap": "12 V"})
    assert answer.status_code == 409
    assert "take new values to try again" in text(answer)
    assert 'value="12 V"' in answer.get_data(as_text=True)


def test_a_test_paper_from_begin_to_mark_sheet(ann: Visitor, club: Club, member: Member) -> None:
    paper = ann.send(ann.get("/lessons/second"), "/lessons/second/test")
    sheet = club.tests.sheet(member, paper.request.path.rsplit("/", 1)[1])
    first = sheet.issues[0]
    name = f"{first.id}-{first.question.asks[0].name}"
    review = ann.send(paper, paper.request.path, to="review", **{name: f"{first.question.asks[0].shown}"})
    assert review.request.path.endswith("/review")
    assert "still empty" in text(review)
    assert first.question.asks[0].shown.replace("\N{NO-BREAK SPACE}", " ") in text(review).replace(
        "\N{NO-BREAK SPACE}", " "
    )
    back = ann.get(paper.request.path)
    assert "Worked solution" not in text(back)
    marked = ann.send(review, "/hand-in")
    assert marked.request.path.endswith("/marks")
    assert "Worked solution" in text(marked)
    assert "Left open" in text(marked)
    again = ann.send(review, "/hand-in")
    assert text(again) == text(marked)


def test_a_question_of_an_open_test_leads_to_its_paper(ann: Visitor, club: Club, member: Member) -> None:
    sheet = club.tests.begin(member, club.shelf.lesson("second"))
    answer = ann.get(f"/questions/{sheet.issues[0].id}")
    assert answer.status_code == 302
    assert answer.headers["Location"] == f"/papers/{sheet.paper.id}"


def test_choices_and_directions_are_answered_by_radio_buttons(ann: Visitor, club: Club, member: Member) -> None:
    issue = club.practice.issue(member, club.shelf.lesson("second"), club.shelf.template("foot-open"))
    page = ann.get(f"/questions/{issue.id}")
    assert page.get_data(as_text=True).count('name="answer-') == 6
    answer = ann.send(page, "/answer", **{"answer-v_tap": "rises", "answer-i_supply": "falls"})
    assert "1 of 2 marks" in text(answer)
    issue = club.practice.issue(member, club.shelf.lesson("second"), club.shelf.template("which-resistor"))
    page = ann.get(f"/questions/{issue.id}")
    options = issue.question.asks[0].options
    letter = "ABC"[next(i for i, option in enumerate(options) if option.right)]
    assert "1 of 1 mark : all right" in text(ann.send(page, "/answer", **{"answer-hottest": letter})).replace(
        "mark:", "mark :"
    )


@pytest.mark.parametrize(
    ("address", "says"),
    [
        ("/lessons/frist", "There is no lesson 'frist' here. Did you mean first?"),
        ("/questions/nonsense", "There is no question 'nonsense' here."),
        ("/papers/nonsense", "There is no paper 'nonsense' here."),
        ("/nonsense", "There is nothing at this address."),
    ],
)
def test_an_unknown_address_says_what_was_looked_for(ann: Visitor, address: str, says: str) -> None:
    answer = ann.get(address)
    assert answer.status_code == 404
    assert says in text(answer).replace("&#39;", "'")


def test_an_unknown_template_is_a_helpful_404(ann: Visitor) -> None:
    fields = ann.forms(ann.get("/lessons/first"))["/lessons/first/practice/loaded-divider"]
    answer = ann.client.post("/lessons/first/practice/loaded-dividor", data=fields)
    assert answer.status_code == 404
    assert "Did you mean loaded-divider?" in text(answer)


def test_a_fault_of_ours_gives_a_number_and_nothing_of_its_inside(
    ann: Visitor, site: Flask, club: Club, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def break_down(*_: object, **__: object) -> None:
        raise RuntimeError("a secret of the inside")

    monkeypatch.setattr("tutor.learning.progress.Progress.history", break_down)
    answer = ann.get("/history")
    assert answer.status_code == 500
    assert "a secret of the inside" not in text(answer)
    number = re.search(r"under the number ([0-9a-f]{8})", text(answer))
    assert number is not None
    assert number[1] in caplog.text
    assert "a secret of the inside" in caplog.text


def test_markup_in_names_and_answers_comes_out_as_text(site: Flask, club: Club) -> None:
    hostile = "<img src=x onerror=alert(1)>"
    member = club.membership.add("mallory", hostile, PASSWORD)
    visitor = Visitor(site.test_client())
    home = visitor.sign_in("mallory")
    assert hostile not in home.get_data(as_text=True)
    issue = club.practice.issue(member, club.shelf.lesson("first"), club.shelf.template("loaded-divider"))
    answer = visitor.send(visitor.get(f"/questions/{issue.id}"), "/answer", **{"answer-v_tap": f'"{hostile}'})
    assert hostile not in answer.get_data(as_text=True)


def test_too_much_at_once_is_refused(ann: Visitor, issue: Issue) -> None:
    page = ann.get(f"/questions/{issue.id}")
    answer = ann.send(page, "/answer", **{"answer-v_tap": "1" * 600_000})
    assert answer.status_code == 413


def test_every_page_template_is_used_by_some_page(templates_folder: Path) -> None:
    pages = "".join(path.read_text() for path in (templates_folder.parent / "pages").glob("*.py"))
    inside = "".join(path.read_text() for path in templates_folder.glob("*.html"))
    for path in templates_folder.glob("*.html"):
        assert f'"{path.name}"' in pages + inside, path.name


def test_no_page_has_inline_style_or_script(templates_folder: Path) -> None:
    for path in templates_folder.glob("*.html"):
        page = path.read_text()
        assert not re.search(r"<style|<script(?![^>]*src=)|\sstyle=|\son[a-z]+=", page), path.name


def test_a_step_of_the_solution_names_its_parts_and_leads_to_them_in_the_diagram(ann: Visitor, issue: Issue) -> None:
    page = ann.send(ann.get(f"/questions/{issue.id}"), "/solution").get_data(as_text=True)
    assert len(page.encode()) < 60_000
    steps = re.findall(r'<li data-parts="([^"]+)">', page)
    assert steps, "no step lights up a part"
    for step in steps:
        for part in step.split():
            assert f'id="{part}"' in page
            assert f'href="#{part}"' in page
    assert re.search(r'<script type="module" src="[^"]*lighting[^"]*\.js', page)
