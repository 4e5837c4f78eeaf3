"""The pages about accounts, as a browser sees them: one's own, those of others, a forgotten password."""

from __future__ import annotations

import base64
import re
from dataclasses import replace

import pytest
from flask import Flask
from werkzeug.test import TestResponse

from tests.fakes.world import FakeClock
from tests.web.conftest import PASSWORD, Visitor
from tutor.bootstrap.club import Club
from tutor.learning.membership.totp import step_at, totp
from tutor.learning.records import Member, Role
from tutor.web.app import create_site
from tutor.web.guards import Sends
from tutor.web.settings import SiteSettings

BETTER = "kettle trombone drizzle"


def text(page: TestResponse) -> str:
    return page.get_data(as_text=True)


def printed_code(page: TestResponse) -> str:
    found = re.search(r"<kbd>((?:[A-Z0-9]{5}-){3}[A-Z0-9]{5})</kbd>", text(page))
    assert found is not None
    return found[1]


@pytest.fixture
def ada(site: Flask, club: Club) -> Visitor:
    club.membership.add("ada.quill", "Ada Quill", PASSWORD, Role.ORGANISER)
    visitor = Visitor(site.test_client())
    visitor.sign_in("ada.quill")
    return visitor


def test_from_a_forgotten_password_to_a_new_one(ada: Visitor, ann: Visitor, stranger: Visitor, member: Member) -> None:
    page = ada.send(ada.get(f"/members/{member.id}"), "/reset-code")
    code = printed_code(page)
    assert "/new-password</b>, once, within 7 days" in text(page)
    refused = stranger.send(stranger.get("/new-password"), "/new-password", code=code, password="passwordpassword")
    assert refused.status_code == 422
    assert "again and again" in text(refused)
    done = stranger.send(refused, "/new-password", code=code, password=BETTER)
    assert "The new password is set" in text(done)
    assert ann.get("/home").status_code == 302  # what was signed in before is out
    assert stranger.sign_in(password=BETTER).request.path == "/home"
    again = stranger.send(Visitor(stranger.client).get("/new-password"), "/new-password", code=code, password=PASSWORD)
    assert (again.status_code, "used already" in text(again)) == (422, True)


def test_a_code_is_shown_once_and_kept_nowhere(ada: Visitor, club: Club, member: Member) -> None:
    code = printed_code(ada.send(ada.get(f"/members/{member.id}"), "/reset-code"))
    plain = code.replace("-", "")
    for page in ("/members/", f"/members/{member.id}", "/members/log"):
        assert code not in text(ada.get(page))
        assert plain not in text(ada.get(page))
    with club.records.look() as work:
        assert work.doors.reset_code(plain) is None  # a hash stands there


def test_an_organiser_makes_an_account_and_hands_over_its_code(ada: Visitor, stranger: Visitor) -> None:
    page = ada.send(
        ada.get("/members/"), "/members/", name="Tom Larch", sign_in="tom.larch", role="trainer", follow=False
    )
    stranger.send(stranger.get("/new-password"), "/new-password", code=printed_code(page), password=BETTER)
    assert stranger.sign_in("tom.larch", BETTER).request.path == "/home"
    assert stranger.get("/class/").status_code == 200
    taken = ada.send(ada.get("/members/"), "/members/", name="Tom", sign_in="tom.larch", role="member")
    assert (taken.status_code, "is taken" in text(taken)) == (422, True)
    odd = ada.send(ada.get("/members/"), "/members/", name="Tim", sign_in="tim.oak", role="emperor")
    assert odd.status_code == 422


def test_role_closing_and_opening_from_the_page_and_the_log_tells_it(ada: Visitor, club: Club, member: Member) -> None:
    where = f"/members/{member.id}"
    ada.send(ada.get(where), "/role", role="trainer")
    ada.send(ada.get(where), "/close")
    assert "The account was closed on 2 March 2026" in text(ada.get(where))
    ada.send(ada.get(where), "/reopen")
    log = text(ada.get("/members/log"))
    assert re.findall(r"<td>(role changed|account \w+(?: again)?)", log) == [
        "account opened again", "account closed", "role changed", "account made", "account made",
    ]  # fmt: skip
    assert "(member to trainer)" in log
    assert log.count("2026-03-02 19:00:00") == 5


def test_the_last_organiser_is_told_why_not(ada: Visitor, club: Club) -> None:
    (own,) = [m for m in club.membership.everybody() if m.role is Role.ORGANISER]
    refused = ada.send(ada.get(f"/members/{own.id}"), "/close")
    assert (refused.status_code, "without an organiser" in text(refused)) == (409, True)


def test_join_codes_have_uses_and_an_end(ada: Visitor, stranger: Visitor) -> None:
    page = ada.send(ada.get("/members/"), "/members/codes", role="member", uses="1", days="7")
    code = re.search(r"<kbd>(CODE\d+)</kbd>", text(page))
    assert code is not None
    assert "1 person" in text(page)
    assert "9 March 2026" in text(page)
    for uses in ("0", "1001", "many"):
        wrong = ada.send(ada.get("/members/"), "/members/codes", role="member", uses=uses, days="7")
        assert wrong.status_code == 422
    ada.send(page, f"/codes/{code[1]}/drop")
    form = {"code": code[1], "name": "Bea Cole", "sign_in": "bea.cole", "password": PASSWORD}
    assert stranger.send(stranger.get("/join"), "/join", **form).status_code == 422


# -- one's own account -------------------------------------------------------------------------------------------------
def test_the_password_is_changed_with_the_old_one(ann: Visitor, stranger: Visitor) -> None:
    wrong = ann.send(ann.get("/account/"), "/account/password", old="nonsense", password=BETTER)
    assert (wrong.status_code, "present password is another" in text(wrong)) == (422, True)
    done = ann.send(ann.get("/account/"), "/account/password", old=PASSWORD, password=BETTER)
    assert "The password is changed" in text(done)
    assert ann.get("/home").status_code == 200
    assert stranger.sign_in(password=BETTER).request.path == "/home"
    for page in (wrong, done):
        assert PASSWORD not in text(page)
        assert BETTER not in text(page)


def test_ones_own_sign_ins_are_seen_and_ended(site: Flask, ann: Visitor) -> None:
    tablet = Visitor(site.test_client())
    tablet.client.environ_base["HTTP_USER_AGENT"] = "Tablet <b>9</b>"
    tablet.sign_in()
    page = ann.get("/account/")
    assert "Tablet &lt;b&gt;9&lt;/b&gt;" in text(page)
    ann.send(page, "/end")
    assert tablet.get("/home").status_code == 302
    assert ann.get("/home").status_code == 200
    tablet.sign_in()
    ann.send(ann.get("/account/"), "/end-others")
    assert tablet.get("/home").status_code == 302
    assert ann.get("/home").status_code == 200


# -- second factor -----------------------------------------------------------------------------------------------------
def set_up(visitor: Visitor, clock: FakeClock) -> tuple[str, TestResponse]:
    page = visitor.get("/account/second-factor")
    found = re.search(r"<kbd>([A-Z2-7 ]{39})</kbd>", text(page))
    assert found is not None
    secret = found[1].replace(" ", "")
    return secret, visitor.send(page, "/account/second-factor", code=code_of(secret, clock))


def code_of(secret: str, clock: FakeClock) -> str:
    return totp(base64.b32decode(secret), step_at(clock.now()))


def test_a_second_factor_from_the_page(ada: Visitor, stranger: Visitor, clock: FakeClock) -> None:
    secret, page = set_up(ada, clock)
    codes = re.findall(r"<kbd>([A-Z0-9-]{23})</kbd>", text(page))
    assert len(codes) == 10
    clock.pass_by(seconds=30)
    asked = stranger.sign_in("ada.quill")
    assert (asked.status_code, "as well" in text(asked)) == (403, True)
    form = {"sign_in": "ada.quill", "password": PASSWORD}
    assert stranger.send(asked, "/sign-in", **form, second=code_of(secret, clock)).request.path == "/home"
    clock.pass_by(seconds=30)
    ada.send(ada.get("/account/second-factor"), "/off", old=PASSWORD, code=codes[0])
    assert stranger.sign_in("ada.quill").request.path == "/home"


def test_another_secret_cannot_be_slipped_in(ada: Visitor, clock: FakeClock) -> None:
    page = ada.get("/account/second-factor")
    own = "JBSWY3DPEHPK3PXPJBSWY3DPEHPK3PXP"
    answer = ada.send(page, "/account/second-factor", secret=own, code=code_of(own, clock))
    assert answer.status_code == 422
    assert ada.get("/members/").status_code == 200
    assert "Set up a second factor" in text(ada.get("/account/"))


def test_where_the_club_wants_it_no_trainers_page_opens_without(
    club: Club, settings: SiteSettings, clock: FakeClock
) -> None:
    # ASVS 5.0, 6.3.3. Every page for trainers and organisers, found by the site's own table of roles.
    from tests.web.test_access import ORGANISERS, TABLE, TRAINERS

    app = create_site(club, replace(settings, second_factor=True))
    app.config["WTF_CSRF_ENABLED"] = False
    club.membership.add("ada.quill", "Ada Quill", PASSWORD, Role.ORGANISER)
    ada = Visitor(app.test_client())
    ada.client.post("/sign-in", data={"sign_in": "ada.quill", "password": PASSWORD})
    values = {"course": "bench", "lesson": "first", "topic": "dividers", "template": "loaded-divider", "code": "NO"}
    guarded = [key for key, who in TABLE.items() if who in (TRAINERS, ORGANISERS)]
    assert len(guarded) > 20
    for endpoint, method in guarded:
        rule = next(rule for rule in app.url_map.iter_rules() if rule.endpoint == endpoint)
        with app.test_request_context():
            where = app.url_for(endpoint, **{name: values.get(name, 1) for name in rule.arguments})
        answer = ada.client.open(where, method=method)
        assert (answer.status_code, answer.headers["Location"]) == (302, "/account/second-factor"), where
    set_up(ada, clock)
    assert ada.get("/class/").status_code == 200
    assert ada.get("/members/").status_code == 200
    club.membership.add("ann.baker", "Ann Baker", PASSWORD)
    ann = Visitor(app.test_client())
    ann.client.post("/sign-in", data={"sign_in": "ann.baker", "password": PASSWORD})
    assert ann.get("/home").status_code == 200  # members may do without


# -- guards ------------------------------------------------------------------------------------------------------------
def test_sixty_forms_a_minute_and_no_more(ann: Visitor) -> None:
    page = ann.get("/account/")
    answers = [ann.send(page, "/account/password", old="", password="") for _ in range(61)]
    assert {answer.status_code for answer in answers[:60]} == {422}
    assert answers[60].status_code == 429
    assert 0 < int(answers[60].headers["Retry-After"]) <= 60
    assert "Too fast" in text(answers[60])
    assert ann.get("/home").status_code == 200  # looking is free


def test_the_minute_slides_and_members_do_not_share_it() -> None:
    sends = Sends(3)
    assert [sends.wait_of(1, now) for now in (0.0, 10.0, 20.0, 30.0, 59.0, 60.0, 61.0)] == [0, 0, 0, 31, 2, 0, 10]
    assert sends.wait_of(2, 30.0) == 0
