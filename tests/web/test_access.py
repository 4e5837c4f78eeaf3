"""Who may see what: every address of the site stands in a table, and a test walks all of it."""

from __future__ import annotations

import pytest
from flask import Flask

from tests.web.conftest import PASSWORD, Visitor
from tutor.bootstrap.club import Club
from tutor.learning.records import Issue, Member, Role
from tutor.learning.rounds.making import RoundPlan
from tutor.web.access import safe_address

ANYBODY, MEMBERS, OWNER, TRAINERS, ORGANISERS = (
    "anybody",
    "members",
    "the member whose it is",
    "trainers and organisers",
    "organisers",
)

TABLE = {
    ("entry.front", "GET"): ANYBODY,
    ("entry.sign_in", "GET"): ANYBODY,
    ("entry.sign_in", "POST"): ANYBODY,
    ("entry.join", "GET"): ANYBODY,
    ("entry.join", "POST"): ANYBODY,
    ("static", "GET"): ANYBODY,
    ("sample.begin", "GET"): ANYBODY,
    ("sample.show", "GET"): ANYBODY,
    ("reading.read", "GET"): ANYBODY,
    ("help.contents", "GET"): ANYBODY,
    ("help.one", "GET"): ANYBODY,
    ("entry.sign_out", "POST"): MEMBERS,
    ("lessons.home", "GET"): MEMBERS,
    ("lessons.lesson", "GET"): MEMBERS,
    ("lessons.practise", "POST"): MEMBERS,
    ("lessons.practise_one", "POST"): MEMBERS,
    ("lessons.test", "POST"): MEMBERS,
    ("looking_back.progress", "GET"): MEMBERS,
    ("looking_back.topic", "GET"): MEMBERS,
    ("looking_back.history", "GET"): MEMBERS,
    ("lessons.practise_mixed", "POST"): MEMBERS,
    ("questions.show", "GET"): OWNER,
    ("questions.answer", "POST"): OWNER,
    ("questions.hint", "POST"): OWNER,
    ("questions.solution", "POST"): OWNER,
    ("questions.again", "POST"): OWNER,
    ("papers.fill_in", "GET"): OWNER,
    ("papers.save", "POST"): OWNER,
    ("papers.review", "GET"): OWNER,
    ("papers.hand_in", "POST"): OWNER,
    ("papers.mark_sheet", "GET"): OWNER,
    ("courses.course", "GET"): MEMBERS,
    ("courses.certificate", "GET"): MEMBERS,
    ("courses.make_feed", "POST"): MEMBERS,
    ("courses.calendar", "GET"): ANYBODY,
    ("courses.write_note", "POST"): MEMBERS,
    ("courses.plan_course", "POST"): TRAINERS,
    ("courses.plan_lesson", "GET"): TRAINERS,
    ("courses.plan_lesson", "POST"): TRAINERS,
    ("class_room.overview", "GET"): TRAINERS,
    ("class_room.course", "GET"): TRAINERS,
    ("class_room.course_csv", "GET"): TRAINERS,
    ("class_room.one_member", "GET"): TRAINERS,
    ("class_room.tests", "GET"): TRAINERS,
    ("class_room.tests_csv", "GET"): TRAINERS,
    ("class_room.topic", "GET"): TRAINERS,
    ("class_room.template", "GET"): TRAINERS,
    ("class_room.groups", "GET"): TRAINERS,
    ("class_room.groups", "POST"): TRAINERS,
    ("class_room.set_group", "POST"): TRAINERS,
    ("class_room.drop_group", "POST"): TRAINERS,
    ("workshop.front", "GET"): TRAINERS,
    ("workshop.begin", "POST"): TRAINERS,
    ("workshop.take_in", "POST"): TRAINERS,
    ("workshop.put_into_trash", "POST"): TRAINERS,
    ("workshop.restore", "POST"): TRAINERS,
    ("workshop.empty_trash", "POST"): ORGANISERS,
    ("workshop.circuit", "GET"): TRAINERS,
    ("workshop.change_circuit", "POST"): TRAINERS,
    ("workshop.undo", "POST"): TRAINERS,
    ("workshop.preview_circuit", "POST"): TRAINERS,
    ("workshop.desk", "GET"): TRAINERS,
    ("workshop.change_question", "POST"): TRAINERS,
    ("workshop.preview_question", "POST"): TRAINERS,
    ("workshop.proof", "GET"): TRAINERS,
    ("workshop.prove", "POST"): TRAINERS,
    ("workshop.publish", "POST"): TRAINERS,
    ("workshop.try_out", "GET"): TRAINERS,
    ("workshop.try_answer", "POST"): TRAINERS,
    ("workshop.history", "GET"): TRAINERS,
    ("workshop.bring_back", "POST"): TRAINERS,
    ("workshop.file", "GET"): TRAINERS,
    ("workshop.change_file", "POST"): TRAINERS,
    ("workshop.export", "GET"): TRAINERS,
    ("workshop.releases", "GET"): TRAINERS,
    ("workshop.release_file", "GET"): TRAINERS,
    ("workshop.withdraw", "POST"): TRAINERS,
    ("workshop.remark_list", "GET"): TRAINERS,
    ("workshop.remark", "POST"): TRAINERS,
    ("entry.reset", "GET"): ANYBODY,
    ("entry.reset", "POST"): ANYBODY,
    ("account.overview", "GET"): MEMBERS,
    ("account.change_password", "POST"): MEMBERS,
    ("account.end_sign_in", "POST"): MEMBERS,
    ("account.end_others", "POST"): MEMBERS,
    ("account.second_factor", "GET"): MEMBERS,
    ("account.second_factor", "POST"): MEMBERS,
    ("account.drop_second_factor", "POST"): MEMBERS,
    ("office.members", "GET"): ORGANISERS,
    ("office.members", "POST"): ORGANISERS,
    ("office.make_code", "POST"): ORGANISERS,
    ("office.drop_code", "POST"): ORGANISERS,
    ("office.log", "GET"): ORGANISERS,
    ("office.one", "GET"): ORGANISERS,
    ("office.set_role", "POST"): ORGANISERS,
    ("office.reset_code", "POST"): ORGANISERS,
    ("office.end_sign_ins", "POST"): ORGANISERS,
    ("office.close", "POST"): ORGANISERS,
    ("office.reopen", "POST"): ORGANISERS,
    ("office.drop_second_factor", "POST"): ORGANISERS,
    ("rounds.index", "GET"): TRAINERS,
    ("rounds.show", "GET"): TRAINERS,
    ("rounds.table", "GET"): TRAINERS,
    ("rounds.drafts", "GET"): TRAINERS,
    ("rounds.reply", "GET"): TRAINERS,
    ("rounds.decide", "POST"): TRAINERS,
    ("rounds.take_in", "GET"): TRAINERS,
    ("rounds.take", "POST"): TRAINERS,
    ("rounds.entry", "GET"): TRAINERS,
    ("rounds.enter", "POST"): TRAINERS,
    ("rounds.sheets", "GET"): TRAINERS,
    ("rounds.new", "GET"): ORGANISERS,
    ("rounds.make", "POST"): ORGANISERS,
    ("rounds.act", "POST"): ORGANISERS,
    ("rounds.decide_letter", "POST"): ORGANISERS,
    ("rounds.addresses", "GET"): ORGANISERS,
    ("rounds.put_address", "POST"): ORGANISERS,
    ("components.show", "GET"): ORGANISERS,
}


def routes(site: Flask) -> set[tuple[str, str]]:
    return {
        (rule.endpoint, method)
        for rule in site.url_map.iter_rules()
        for method in (rule.methods or set()) - {"HEAD", "OPTIONS"}
    }


def address(site: Flask, endpoint: str, issue: Issue, paper: str, draft: str = "nobody-has-this-one") -> str:
    values = {
        "lesson": "first",
        "template": "loaded-divider",
        "topic": "dividers",
        "issue": issue.id,
        "paper": paper,
        "filename": "quiescent.css",
        "course": "bench",
        "token": "nobody-has-this-one",
        "member": 1,
        "round_": "handle-in-question",
        "reply": 1,
        "letter": 1,
        "what": {"rounds.act": "send", "rounds.decide": "aside"}.get(endpoint, "again"),
        "guide": "members",
        "group": 1,
        "draft": draft,
        "number": 1,
        "version": 1,
        "handle": "nobody-has-this-one",
        "code": "NOCODE",
    }
    rule = next(rule for rule in site.url_map.iter_rules() if rule.endpoint == endpoint)
    with site.test_request_context():
        return site.url_for(endpoint, **{name: values[name] for name in rule.arguments})


def a_round(club: Club, member: Member) -> tuple[str, int]:
    """Make a round with a reply that waits for a person; return both."""
    made = club.rounds.making.make(RoundPlan(title="R", lesson="first", questions=1, members=(member.id,)))
    (sheet,) = club.rounds.making.sheets(made.id)
    return made.id, club.rounds.receiving.paste("no answer at all", sheet.paper.code).id


def test_every_route_stands_in_the_table(site: Flask) -> None:
    assert routes(site) == set(TABLE)


@pytest.mark.parametrize(("endpoint", "method"), sorted(TABLE))
def test_each_route_opens_to_whom_the_table_says(
    site: Flask, club: Club, issue: Issue, member: Member, endpoint: str, method: str
) -> None:
    site.config["WTF_CSRF_ENABLED"] = False  # the tokens have tests of their own; here only the doors count
    paper = club.tests.begin(member, club.shelf.lesson("second")).paper.id
    club.membership.add("bea.cole", "Bea Cole", PASSWORD)
    tom = club.membership.add("tom.larch", "Tom Larch", PASSWORD, Role.TRAINER)
    club.membership.add("ada.quill", "Ada Quill", PASSWORD, Role.ORGANISER)
    club.class_room.make_group("Tuesday")
    draft = club.workshop.drafting.begin(tom, "A draft").id
    round_, reply = a_round(club, member)
    where = address(site, endpoint, issue, paper, draft).replace("handle-in-question", round_)
    assert reply == 1
    people = {
        "stranger": "",
        "other": "bea.cole",
        "owner": "ann.baker",
        "trainer": "tom.larch",
        "organiser": "ada.quill",
    }
    status, sent_to = {}, ""
    for who, sign_in in people.items():
        visitor = Visitor(site.test_client())
        if sign_in:
            visitor.client.post("/sign-in", data={"sign_in": sign_in, "password": PASSWORD})
        answer = visitor.client.open(where, method=method, buffered=True)
        status[who] = answer.status_code
        sent_to = answer.headers.get("Location", "") if who == "stranger" else sent_to
    opened = (200, 302, 303, 422)
    # A form of the workshop without its version is no form, and no release has the number; the door is open all the same.
    inside = (*opened, 400, 404) if endpoint.startswith("workshop.") else opened
    expected = {
        ANYBODY: dict.fromkeys(people, (*opened, 404)),  # nobody has that calendar
        MEMBERS: {"stranger": (302,)} | dict.fromkeys(list(people)[1:], opened),
        OWNER: {"stranger": (302,), "owner": opened} | dict.fromkeys(("other", "trainer", "organiser"), (404,)),
        TRAINERS: {
            "stranger": (302,),
            "other": (403,),
            "owner": (403,),
            "trainer": inside,
            "organiser": (*inside, 404),
        },
        ORGANISERS: {
            "stranger": (302,),
            "other": (403,),
            "owner": (403,),
            "trainer": (403,),
            "organiser": (*opened, 404),
        },
    }[TABLE[endpoint, method]]
    assert {who: code for who, code in status.items() if code not in expected[who]} == {}
    if TABLE[endpoint, method] != ANYBODY:
        assert sent_to.startswith("/sign-in")


def test_a_stranger_comes_back_to_the_page_wanted(stranger: Visitor, issue: Issue) -> None:
    page = stranger.client.get(f"/questions/{issue.id}", follow_redirects=True)
    answer = stranger.send(page, "/sign-in", sign_in="ann.baker", password=PASSWORD)
    assert answer.request.path == f"/questions/{issue.id}"


@pytest.mark.parametrize(
    "elsewhere",
    [
        "https://elsewhere.example/",
        "//elsewhere.example/",
        "/\\elsewhere.example",
        "\\\\elsewhere.example",
        "javascript:alert(1)",
        "/ok\r\nLocation: //elsewhere.example",
        "///elsewhere.example",
        "http:elsewhere.example",
        "elsewhere",
        "",
    ],
)
def test_no_sign_in_leads_to_another_site(stranger: Visitor, member: Member, elsewhere: str) -> None:
    assert safe_address(elsewhere) is None
    answer = stranger.send(
        stranger.get("/sign-in"), "/sign-in", follow=False, sign_in="ann.baker", password=PASSWORD, next=elsewhere
    )
    assert answer.headers["Location"] == "/home"


def test_signing_in_begins_a_new_session_and_signing_out_ends_it_everywhere(site: Flask, member: Member) -> None:
    visitor = Visitor(site.test_client())
    page = visitor.get("/sign-in")
    before = page.headers["Set-Cookie"]
    answer = visitor.send(page, "/sign-in", follow=False, sign_in="ann.baker", password=PASSWORD)
    cookie = answer.headers["Set-Cookie"].split(";")[0]
    assert cookie != before.split(";")[0]
    visitor.send(visitor.get("/home"), "/sign-out")
    thief = site.test_client()
    name, _, value = cookie.partition("=")
    thief.set_cookie(name, value)
    assert thief.get("/home").status_code == 302  # the old cookie opens nothing any more


def test_a_form_without_its_token_is_refused_and_changes_nothing(
    site: Flask, club: Club, ann: Visitor, issue: Issue
) -> None:
    for action in ("answer", "hint", "solution", "again"):
        answer = ann.client.post(f"/questions/{issue.id}/{action}", data={"key": "k", "answer-v_tap": "1 V"})
        assert answer.status_code == 400
        assert "The form was too old" in answer.get_data(as_text=True)
    with club.records.look() as work:
        found = work.questions.get(issue.id)
    assert found is not None
    assert (found.hints, found.opened, found.attempts) == (0, None, ())


def test_looking_at_pages_changes_nothing(club: Club, member: Member, ann: Visitor, issue: Issue) -> None:
    before = club.practice.get(member, issue.id), list(club.progress.history(member))
    for page in ("/home", "/lessons/first", f"/questions/{issue.id}", "/progress", "/progress/dividers", "/history"):
        assert ann.get(page).status_code == 200
    assert (club.practice.get(member, issue.id), list(club.progress.history(member))) == before


@pytest.mark.parametrize("page", ["/", "/sign-in", "/nonsense", "/static/quiescent.css", "/lessons/first"])
def test_every_answer_carries_the_headers(stranger: Visitor, page: str) -> None:
    headers = stranger.get(page).headers
    policy = headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "frame-ancestors 'none'" in policy
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Referrer-Policy"] == "same-origin"
    if not page.startswith("/static"):
        assert headers["Cache-Control"] == "no-store"


def test_cookies_are_out_of_reach_of_scripts_and_other_sites(stranger: Visitor) -> None:
    cookie = stranger.get("/sign-in").headers["Set-Cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=Lax" in cookie


def test_over_https_the_cookie_travels_over_nothing_else(club: Club, settings: object) -> None:
    from dataclasses import replace

    from tutor.web.app import create_site

    app = create_site(club, replace(settings, secure=True))  # type: ignore[type-var]  # site settings
    cookie = app.test_client().get("/sign-in", base_url="https://club.example").headers["Set-Cookie"]
    assert cookie.startswith("__Host-quiescent=")
    assert "Secure" in cookie
    for page in ("/", "/nonsense", "/static/quiescent.css"):
        headers = app.test_client().get(page, base_url="https://club.example", buffered=True).headers
        assert headers["Strict-Transport-Security"] == "max-age=31536000"  # ASVS 5.0, 3.4.1: a year at least


def test_the_key_reaches_no_page_before_the_solution_is_open(
    ann: Visitor, club: Club, member: Member, issue: Issue
) -> None:
    (ask,) = issue.question.asks
    page = ann.get(f"/questions/{issue.id}").get_data(as_text=True)
    for secret in (str(issue.question.serial), issue.question.release, f"{ask.value:.6g}", ask.shown, "2 %"):
        assert secret not in page
    opened = ann.send(ann.get(f"/questions/{issue.id}"), "/solution").get_data(as_text=True)
    assert ask.shown.replace("\N{NO-BREAK SPACE}", "").replace("V", "") in opened
