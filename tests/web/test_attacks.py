"""Attacks on the site, each of which must come to nothing. `pytest -s tests/web/test_attacks.py` prints the list."""

from __future__ import annotations

import logging
import re
from collections.abc import Iterator
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest
from flask import Flask
from sqlalchemy import MetaData, create_engine, select

from tests.web.conftest import PASSWORD, Visitor
from tests.web.test_access import TABLE, address
from tutor.bootstrap.club import Club
from tutor.learning.records import Issue, Member, Role
from tutor.web.settings import SiteSettings

POSTS = sorted(endpoint for endpoint, method in TABLE if method == "POST")
GETS = sorted(endpoint for endpoint, method in TABLE if method == "GET" and endpoint != "static")

SCRIPTS = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "'><svg onload=alert(1)>",
    "javascript:alert(1)",
    "{{ 7*191 }}",
    "{% raw %}<b>",
    "</textarea><script>alert(1)</script>",
)
PATHS = (
    "../../../../etc/passwd",
    "..%2f..%2f..%2fetc%2fpasswd",
    "....//....//etc/passwd",
    "%2e%2e/%2e%2e/etc/passwd",
    "..\\..\\windows\\win.ini",
    "club.sqlite",
    "../club.toml",
    "%00",
    "a%00.css",
)


def told(attack: str, tries: int, successes: list[str]) -> None:
    print(f"  {attack}: {tries} tries, {len(successes)} successes")  # noqa: T201 - the list that is asked for
    assert successes == []
    assert tries > 0


@pytest.fixture
def settings(settings: SiteSettings) -> SiteSettings:
    return replace(settings, sends_a_minute=100_000)  # attacks come in numbers; how many may come has tests of its own


@pytest.fixture
def rows(tmp_path: Path) -> Iterator[object]:
    """Everything in the records, to be compared."""
    engine = create_engine(f"sqlite:///{tmp_path / 'club.sqlite'}")
    tables = MetaData()

    def read() -> dict[str, list[tuple[object, ...]]]:
        if not tables.tables:
            tables.reflect(engine)
        with engine.connect() as connection:
            return {
                name: sorted((tuple(row) for row in connection.execute(select(table))), key=repr)
                for name, table in tables.tables.items()
            }

    yield read
    engine.dispose()


def fields(issue: Issue) -> dict[str, str]:
    """Something in every field that any form has."""
    return {
        "key": "k1", "sign_in": "new.one", "name": "New One", "password": "kettle trombone drizzle", "old": PASSWORD,
        "role": "organiser", "uses": "5", "days": "5", "code": "CODE", "text": "a note", "member": "1",
        "starts": "2026-05-01T19:00", "minutes": "60", "place": "here", "recording": "https://club.example/r",
        "ends": "2026-06-01",
    } | {f"answer-{ask.name}": "1 V" for ask in issue.question.asks}  # fmt: skip


@pytest.fixture
def ada(site: Flask, club: Club) -> Visitor:
    club.membership.add("ada.quill", "Ada Quill", PASSWORD, Role.ORGANISER)
    club.class_room.make_group("Tuesday")
    visitor = Visitor(site.test_client())
    visitor.sign_in("ada.quill")
    return visitor


@pytest.fixture
def paper(club: Club, member: Member) -> str:
    return club.tests.begin(member, club.shelf.lesson("second")).paper.id


@pytest.mark.parametrize("way", ["without a token", "with a stranger's token", "from another site"])
def test_no_form_of_another_site_is_taken(
    site: Flask, ada: Visitor, ann: Visitor, issue: Issue, paper: str, stranger: Visitor, rows: object, way: str
) -> None:
    # RFC 6265bis leaves same-site cookies to browsers; the tokens and Fetch Metadata must hold by themselves.
    read = rows
    before = read()  # type: ignore[operator]  # a function
    headers, extra = {}, {}
    if way == "with a stranger's token":
        extra["csrf_token"] = stranger.forms(stranger.get("/sign-in"))["/sign-in"]["csrf_token"]
    if way == "from another site":
        headers["Sec-Fetch-Site"] = "cross-site"
    successes, tries = [], 0
    for visitor, page in ((ada, "/members/"), (ann, "/account/")):
        if way == "from another site":  # even one who has the right token
            extra["csrf_token"] = next(iter(visitor.forms(visitor.get(page)).values()))["csrf_token"]
        for endpoint in POSTS:
            where = address(site, endpoint, issue, paper)
            answer = visitor.client.post(where, data=fields(issue) | extra, headers=headers)
            tries += 1
            if answer.status_code != (403 if way == "from another site" else 400):
                successes.append(f"{endpoint}: {answer.status_code}")
    for site_said in ("same-site", "cross-site", "nonsense"):
        tries += 1
        answer = ann.client.post("/account/password", data=fields(issue) | extra, headers={"Sec-Fetch-Site": site_said})
        successes += [site_said] if answer.status_code not in (400, 403) else []
    told(f"request forgery on every form, {way}", tries, successes)
    assert read() == before  # type: ignore[operator]  # a function


def test_looking_changes_no_row(
    site: Flask, ada: Visitor, ann: Visitor, issue: Issue, paper: str, rows: object
) -> None:
    # The one row that looking may change is when a trainer's or organiser's sign-in was last used, once a minute.
    ann.get("/home")
    ada.get("/home")
    before = rows()  # type: ignore[operator]  # a function
    changed = []
    for endpoint in GETS:
        for visitor in (ann, ada):
            visitor.get(address(site, endpoint, issue, paper))
            if rows() != before:  # type: ignore[operator]  # a function
                changed.append(endpoint)
    told("changing records by looking", 2 * len(GETS), changed)


def test_nobody_reaches_what_belongs_to_another(
    site: Flask, club: Club, ann: Visitor, issue: Issue, paper: str, rows: object
) -> None:
    site.config["WTF_CSRF_ENABLED"] = False
    club.membership.add("bea.cole", "Bea Cole", PASSWORD)
    bea = Visitor(site.test_client())
    bea.client.post("/sign-in", data={"sign_in": "bea.cole", "password": PASSWORD})
    (anns,) = club.sign_ins.of(club.membership.everybody()[0])
    own = ("questions.", "papers.", "office.", "class_room.")
    before = rows()  # type: ignore[operator]  # a function
    successes, tries = [], 0
    for endpoint, method in sorted(TABLE):
        if not endpoint.startswith(own):
            continue
        answer = bea.client.open(address(site, endpoint, issue, paper), method=method, data=fields(issue))
        tries += 1
        successes += [] if answer.status_code in (403, 404) else [f"{endpoint} {answer.status_code}"]
    for number in [*range(-1, 12), 2**31, 2**63, "1e3", "١"]:
        for what in (f"/members/{number}", f"/members/{number}/reset-code", f"/class/members/{number}"):
            tries += 1
            for method in ("GET", "POST"):
                status = bea.client.open(what, method=method).status_code
                successes += [] if status in (403, 404, 405) else [f"{what} {status}"]
    bea.client.post(f"/account/sign-ins/{anns.handle}/end")
    successes += [] if ann.get("/home").status_code == 200 else ["ended another's sign-in"]
    told("other people's questions, tests, accounts by their addresses", tries + 1, successes)
    assert rows() == before  # type: ignore[operator]  # a function


def test_numbers_beyond_any_are_no_fault_of_ours(ada: Visitor) -> None:
    for number in (0, 4711, 2**31, 2**63, 2**200):
        for page in (f"/members/{number}", f"/class/members/{number}", f"/members/log?before={number}"):
            assert ada.get(page).status_code in (200, 404), page


def test_a_session_laid_by_a_stranger_is_not_taken_over(site: Flask, member: Member) -> None:
    thief, victim = site.test_client(), Visitor(site.test_client())
    laid = thief.get("/sign-in").headers["Set-Cookie"].split(";")[0]
    name, _, value = laid.partition("=")
    victim.client.set_cookie(name, value)
    victim.sign_in()
    assert victim.get("/home").status_code == 200
    successes = [] if thief.get("/home").status_code == 302 else ["the laid session was signed in"]
    for forged in ("", "x", value[:-1] + ("A" if value[-1] != "A" else "B"), "eyJ0b2tlbiI6InRva2VuLTEifQ.aaaa.bbbb"):
        thief.set_cookie(name, forged)
        successes += [] if thief.get("/home").status_code == 302 else [forged]
    told("session fixation and forged cookies", 5, successes)


def test_no_address_leads_away(site: Flask, member: Member) -> None:
    elsewhere = (
        "https://elsewhere.example/", "//elsewhere.example", "/\\elsewhere.example", "\\/elsewhere.example",
        "/%09/elsewhere.example", "///elsewhere.example", "http:elsewhere.example", "javascript:alert(1)",
        "/ok\r\nLocation: https://elsewhere.example", "https:/elsewhere.example", "/\t/elsewhere.example",
    )  # fmt: skip
    successes = []
    for one in elsewhere:
        visitor = Visitor(site.test_client())
        page = visitor.client.get("/sign-in", query_string={"next": one})
        answer = visitor.send(page, "/sign-in", follow=False, sign_in="ann.baker", password=PASSWORD)
        forced = Visitor(site.test_client())
        second = forced.send(
            forced.get("/sign-in"), "/sign-in", follow=False, sign_in="ann.baker", password=PASSWORD, next=one
        )
        led = [answer.headers["Location"], second.headers["Location"]]
        successes += [location for location in led if not re.match(r"/(?![/\\])[^\s\\]*$", location)]
    told("open redirect", 2 * len(elsewhere), successes)


class _Live(HTMLParser):
    """Finds what would run in a page."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        for name, value in attrs:
            leads = (value or "").strip().lower().startswith("javascript:") and name != "value"
            if name.startswith("on") or leads:
                self.found.append(f"{tag} {name}={value}")
        if tag == "script" and not dict(attrs).get("src"):
            self.found.append("script in the page")


def test_no_script_comes_back_from_any_text_field(
    site: Flask, club: Club, ada: Visitor, ann: Visitor, issue: Issue, paper: str
) -> None:
    site.config["WTF_CSRF_ENABLED"] = False
    for visitor in (ada, ann):
        visitor.client.environ_base["HTTP_USER_AGENT"] = SCRIPTS[1]
    site.test_client().post("/sign-in", data={"sign_in": "ann.baker", "password": PASSWORD})
    ending = {f"office.{act}" for act in ("close", "set_role", "end_sign_ins", "drop_second_factor")}
    ending |= {"entry.sign_out", "account.end_others", "account.end_sign_in"}  # they take no text, and end the visit
    successes, tries = [], 0
    pages = [e for e in GETS if e not in ("courses.calendar", "class_room.course_csv", "class_room.tests_csv")]
    for number, script in enumerate(SCRIPTS):
        site.extensions["quiescent-views"] = type(site.extensions["quiescent-views"])()
        answers = []
        for endpoint in POSTS:
            if endpoint in ending:
                continue
            where = address(site, endpoint, issue, paper)
            typed = dict.fromkeys(fields(issue), script) | {"key": f"k{number}", "sign_in": script}
            answers += [visitor.client.post(where, data=typed, follow_redirects=True) for visitor in (ada, ann)]
        answers.append(ada.client.post("/members/", data={"name": script, "sign_in": f"x{number}y", "role": "member"}))
        answers.append(ada.client.post("/class/groups", data={"name": script}))
        for visitor in (ada, ann):
            answers += [visitor.get(address(site, endpoint, issue, paper)) for endpoint in pages]
            answers.append(visitor.client.get("/sign-in", query_string={"next": script}))
            answers.append(visitor.client.get("/join", query_string={"code": script}))
            answers.append(visitor.client.get("/new-password", query_string={"code": script}))
            answers.append(visitor.client.get(f"/lessons/{script}"))
        for answer in answers:
            tries += 1
            if "html" not in answer.mimetype:
                continue
            body = answer.get_data(as_text=True)
            live = _Live()
            live.feed(body)
            successes += [f"{answer.request.path}: {found}" for found in live.found]
            successes += [f"{answer.request.path}: 1337"] if "1337" in body and "7*191" not in body else []
            successes += [f"{answer.request.path}: {answer.status_code}"] if answer.status_code >= 500 else []
    assert any(member.name == SCRIPTS[0] for member in club.membership.everybody())  # it was stored, as text
    told("stored and reflected script, template injection", tries, successes)


def test_no_file_outside_is_given_out(ann: Visitor) -> None:
    successes, tries = [], 0
    for path in PATHS:
        for where in (f"/static/{path}", f"/lessons/{path}", f"/courses/{path}", f"/topics/{path}", f"/{path}"):
            answer = ann.get(where)
            tries += 1
            if answer.status_code not in (400, 404, 405, 308):
                successes.append(f"{where}: {answer.status_code}")
    told("files outside by odd paths", tries, successes)


def test_faults_and_refusals_carry_the_headers_and_tell_nothing(
    site: Flask, club: Club, ann: Visitor, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def breaks(*_: object) -> None:
        raise ZeroDivisionError("a secret of the inside")

    monkeypatch.setattr("tutor.web.pages.looking_back.render_template", breaks)
    answers = {
        500: ann.get("/progress"),
        404: ann.get("/nonsense%0d%0aInjected: yes"),
        405: ann.client.get("/sign-out"),
        403: ann.get("/members/"),
        400: ann.client.post("/sign-out"),
        413: ann.client.post("/account/password", data={"old": "x" * 300_000}),
    }
    for status, answer in answers.items():
        assert answer.status_code == status
        assert "default-src 'none'" in answer.headers["Content-Security-Policy"]
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.headers["Cache-Control"] == "no-store"
        assert "Injected" not in answer.headers
        body = answer.get_data(as_text=True)
        for inside in ("Traceback", "ZeroDivisionError", "secret of the inside", "tutor/"):
            assert inside not in body, status
    assert re.search(r"under the number [0-9a-f]{8}\.", answers[500].get_data(as_text=True))
    assert site.debug is False


def test_logs_hold_no_password_no_token_and_stay_on_their_line(
    site: Flask, club: Club, ada: Visitor, ann: Visitor, member: Member, issue: Issue, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.DEBUG)
    page = ada.send(ada.get(f"/members/{member.id}"), "/reset-code")
    found = re.search(r"<kbd>([A-Z0-9-]{23})</kbd>", page.get_data(as_text=True))
    assert found is not None
    ann.send(ann.get("/account/"), "/account/password", old="a wrong one of mine", password="kettle trombone drizzle")
    ann.client.post("/account/password%0d%0a2026-01-01 forged", data={"old": PASSWORD})
    ann.client.post("/account/password", data={"old": PASSWORD})
    stranger = Visitor(site.test_client())
    stranger.sign_in("ann.baker\r\n2026-01-01 forged", "another wrong one\r\n")
    stranger.send(stranger.get("/new-password"), "/new-password", code=found[1], password="kettle trombone drizzle")
    with site.test_request_context():
        cookies = [cookie.value for visitor in (ada, ann) for cookie in visitor.client._cookies.values()]
    text = "\n".join(record.getMessage() for record in caplog.records)
    assert len(caplog.records) > 3
    secrets = [
        PASSWORD, "a wrong one of mine", "another wrong one", "kettle trombone drizzle", found[1],
        found[1].replace("-", ""), *cookies, *(ask.shown for ask in issue.question.asks),
    ]  # fmt: skip
    assert [secret for secret in secrets if secret in text] == []
    assert not re.search(r"^2026-01-01 forged", text, re.MULTILINE)
    assert all("\n" not in record.getMessage() for record in caplog.records)
