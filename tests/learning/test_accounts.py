"""Reset codes, one's own account, second factors, and what organisers do: who can open an account, and when no more."""

from __future__ import annotations

import logging
import re
from dataclasses import replace
from datetime import timedelta

import pytest

from tests.fakes.world import FakeClock
from tutor.bootstrap.club import Club
from tutor.bootstrap.world import SystemChance
from tutor.learning.errors import (
    OfficeError,
    PasswordError,
    ResetCodeError,
    SecondFactorError,
    SignInError,
    UnknownError,
)
from tutor.learning.membership.codes import grouped
from tutor.learning.membership.totp import step_at, totp
from tutor.learning.records import Member, Role

GOOD, BETTER = "copper anode lantern", "kettle trombone drizzle"
HERE = "10.0.0.1"


@pytest.fixture
def ann(club: Club) -> Member:
    return club.membership.add("ann.baker", "Ann Baker", GOOD)


@pytest.fixture
def ada(club: Club) -> Member:
    return club.membership.add("ada.quill", "Ada Quill", GOOD, Role.ORGANISER)


def enter(club: Club, sign_in: str, password: str = GOOD, second: str = "") -> str:
    return club.sign_ins.sign_in(sign_in, password, HERE, second=second)[1]


def acts(club: Club) -> list[tuple[str | None, str, str | None]]:
    return [
        (one.actor and one.actor.sign_in, one.act.act, one.whom and one.whom.sign_in)
        for one in reversed(club.office.acts())
        if one.act.act != "account made"
    ]


# -- a forgotten password ----------------------------------------------------------------------------------------------
def test_a_printed_code_sets_a_new_password_once_and_ends_every_sign_in(club: Club, ann: Member, ada: Member) -> None:
    at_home, in_the_train = enter(club, "ann.baker"), enter(club, "ann.baker")
    code = club.office.print_reset_code(ada, ann.id)
    assert club.own_account.reset(f" {grouped(code).lower()} ", BETTER, HERE) == ann
    assert club.sign_ins.member_of(at_home) is None
    assert club.sign_ins.member_of(in_the_train) is None
    enter(club, "ann.baker", BETTER)
    with pytest.raises(SignInError):
        enter(club, "ann.baker", GOOD)
    with pytest.raises(ResetCodeError, match="not known, used already or out of date"):
        club.own_account.reset(code, GOOD, HERE)
    assert acts(club) == [
        ("ada.quill", "reset code printed", "ann.baker"),
        ("ann.baker", "password reset", "ann.baker"),
    ]


def test_a_printed_code_is_good_for_seven_days_and_a_link_for_thirty_minutes(
    club: Club, ann: Member, ada: Member, clock: FakeClock
) -> None:
    office = replace(club.office, chance=SystemChance())
    code = office.print_reset_code(ada, ann.id)
    assert len(code) == 20  # of 32 signs: 100 bits
    clock.pass_by(days=7)
    with pytest.raises(ResetCodeError):
        club.own_account.reset(code, BETTER, HERE)
    link = office.reset_link(ann.id)
    assert len(link) >= 43  # 256 bits in base 64
    clock.pass_by(minutes=29)
    club.own_account.reset(link, BETTER, HERE)
    link = office.reset_link(ann.id)
    clock.pass_by(minutes=30)
    with pytest.raises(ResetCodeError):
        club.own_account.reset(link, GOOD, HERE)


def test_a_new_code_makes_the_old_one_void_and_a_refused_password_keeps_the_code(
    club: Club, ann: Member, ada: Member
) -> None:
    first, second = club.office.print_reset_code(ada, ann.id), club.office.print_reset_code(ada, ann.id)
    with pytest.raises(ResetCodeError):
        club.own_account.reset(first, BETTER, HERE)
    with pytest.raises(PasswordError, match="at least 15"):
        club.own_account.reset(second, "short", HERE)
    club.own_account.reset(second, BETTER, HERE)


def test_guessing_codes_is_slowed_down(club: Club) -> None:
    for _ in range(5):
        with pytest.raises(ResetCodeError):
            club.own_account.reset("NONSENSE", BETTER, HERE)
    with pytest.raises(SignInError, match="Too many tries"):
        club.own_account.reset("NONSENSE", BETTER, HERE)


def test_a_hundred_failures_from_anywhere_close_the_door_until_a_code_opens_it(
    club: Club, ann: Member, ada: Member, clock: FakeClock
) -> None:
    # NIST SP 800-63B-4, 3.2.2: no more than 100 consecutive failed tries on one account.
    for turn in range(100):
        with pytest.raises(SignInError):
            club.sign_ins.sign_in("ann.baker", "nonsense", f"10.1.0.{turn}")
    with pytest.raises(SignInError) as closed:
        club.sign_ins.sign_in("ann.baker", GOOD, "10.2.0.1")
    assert closed.value.wait == 12 * 3600
    club.own_account.reset(club.office.print_reset_code(ada, ann.id), BETTER, HERE)
    enter(club, "ann.baker", BETTER)


# -- one's own account -------------------------------------------------------------------------------------------------
def test_changing_the_password_asks_for_the_old_one_and_ends_the_other_sign_ins(club: Club, ann: Member) -> None:
    here, there = enter(club, "ann.baker"), enter(club, "ann.baker")
    with pytest.raises(PasswordError, match="present password is another"):
        club.own_account.change_password(ann, "nonsense", BETTER, here, HERE)
    club.own_account.change_password(ann, GOOD, BETTER, here, HERE)
    assert club.sign_ins.member_of(here) is not None
    assert club.sign_ins.member_of(there) is None
    enter(club, "ann.baker", BETTER)


def test_the_old_password_cannot_be_guessed_at_leisure(club: Club, ann: Member) -> None:
    here = enter(club, "ann.baker")
    for _ in range(5):
        with pytest.raises(PasswordError):
            club.own_account.change_password(ann, "nonsense", BETTER, here, HERE)
    with pytest.raises(SignInError, match="Too many tries"):
        club.own_account.change_password(ann, GOOD, BETTER, here, HERE)


def test_own_sign_ins_are_listed_and_ended_one_by_one_or_together(club: Club, ann: Member, ada: Member) -> None:
    here, there, third = (
        club.sign_ins.sign_in("ann.baker", GOOD, HERE, browser=name)[1] for name in ("one", "two", "three" * 99)
    )
    of_ada = enter(club, "ada.quill")
    listed = {one.browser[:5]: one for one in club.sign_ins.of(ann)}
    assert set(listed) == {"one", "two", "three"}
    club.sign_ins.end(ann, listed["two"].handle)
    assert club.sign_ins.member_of(there) is None
    (adas,) = club.sign_ins.of(ada)
    club.sign_ins.end(ann, adas.handle)  # somebody else's
    assert club.sign_ins.end_others(ann, here) == 1
    assert [club.sign_ins.member_of(token) is not None for token in (here, third, of_ada)] == [True, False, True]


def test_trainers_and_organisers_idle_out_after_thirty_minutes_and_members_do_not(
    club: Club, ann: Member, ada: Member, clock: FakeClock
) -> None:
    club.membership.add("tom.larch", "Tom Larch", GOOD, Role.TRAINER)
    tokens = {name: enter(club, name) for name in ("ann.baker", "ada.quill", "tom.larch")}
    for _ in range(10):  # whoever does something stays
        clock.pass_by(minutes=29)
        assert all(club.sign_ins.member_of(token) for token in tokens.values())
    clock.pass_by(minutes=30)
    opened = {name: club.sign_ins.member_of(token) is not None for name, token in tokens.items()}
    assert opened == {"ann.baker": True, "ada.quill": False, "tom.larch": False}


# -- second factor -----------------------------------------------------------------------------------------------------
def code_at(clock: FakeClock, secret: str, later: int = 0) -> str:
    import base64

    return totp(base64.b32decode(secret), step_at(clock.now()) + later)


def test_a_second_factor_is_asked_for_and_each_code_is_good_once(club: Club, ada: Member, clock: FakeClock) -> None:
    secret = club.own_account.new_secret()
    with pytest.raises(SecondFactorError, match="does not fit"):
        club.own_account.set_second_factor(ada, secret, "000000")
    enter(club, "ada.quill")  # nothing is asked for before it is proved
    codes = club.own_account.set_second_factor(ada, secret, code_at(clock, secret))
    with pytest.raises(SecondFactorError, match="as well"):
        enter(club, "ada.quill")
    with pytest.raises(SecondFactorError, match="does not fit"):
        enter(club, "ada.quill", second=code_at(clock, secret))  # the one that set it up
    clock.pass_by(seconds=30)
    enter(club, "ada.quill", second=code_at(clock, secret))
    with pytest.raises(SecondFactorError):
        enter(club, "ada.quill", second=code_at(clock, secret))
    with pytest.raises(SignInError, match="do not go together"):
        enter(club, "ada.quill", "nonsense", second=code_at(clock, secret, 1))  # the code alone opens nothing
    assert len(codes) == 10
    enter(club, "ada.quill", second=grouped(codes[3]).lower())
    with pytest.raises(SecondFactorError):
        enter(club, "ada.quill", second=codes[3])


def test_guessing_the_second_factor_is_slowed_down(club: Club, ada: Member, clock: FakeClock) -> None:
    secret = club.own_account.new_secret()
    club.own_account.set_second_factor(ada, secret, code_at(clock, secret))
    clock.pass_by(minutes=5)
    for _ in range(5):
        with pytest.raises(SecondFactorError):
            enter(club, "ada.quill", second="12345")
    with pytest.raises(SignInError, match="Too many tries"):
        enter(club, "ada.quill", second=code_at(clock, secret))


def test_taking_it_off_needs_password_and_code(club: Club, ada: Member, clock: FakeClock) -> None:
    secret = club.own_account.new_secret()
    club.own_account.set_second_factor(ada, secret, code_at(clock, secret))
    clock.pass_by(seconds=30)
    found = club.office.member(ada.id)[0]
    with pytest.raises(PasswordError):
        club.own_account.drop_second_factor(found, "nonsense", code_at(clock, secret), HERE)
    with pytest.raises(SecondFactorError):
        club.own_account.drop_second_factor(found, GOOD, "000000", HERE)
    club.own_account.drop_second_factor(found, GOOD, code_at(clock, secret), HERE)
    enter(club, "ada.quill")
    assert club.own_account.recovery_codes(ada) == 0


# -- the office --------------------------------------------------------------------------------------------------------
def test_an_account_made_by_an_organiser_opens_with_its_code_only(club: Club, ada: Member) -> None:
    tom, code = club.office.add(ada, "tom.larch", "Tom Larch", Role.TRAINER)
    for nothing in ("none", "", tom.password):
        with pytest.raises(SignInError):
            enter(club, "tom.larch", nothing)
    club.own_account.reset(code, BETTER, HERE)
    assert club.sign_ins.member_of(enter(club, "tom.larch", BETTER)) is not None


def test_another_role_ends_the_sign_ins_of_before(club: Club, ann: Member, ada: Member) -> None:
    token = enter(club, "ann.baker")
    club.office.set_role(ada, ann.id, Role.TRAINER)
    assert club.sign_ins.member_of(token) is None
    found = club.sign_ins.member_of(enter(club, "ann.baker"))
    assert found is not None
    assert found.role is Role.TRAINER


def test_a_closed_account_is_dead_at_once_and_can_be_opened_again(club: Club, ann: Member, ada: Member) -> None:
    token, code = enter(club, "ann.baker"), club.office.print_reset_code(ada, ann.id)
    club.office.close(ada, ann.id)
    assert club.sign_ins.member_of(token) is None
    with pytest.raises(SignInError, match="do not go together"):
        enter(club, "ann.baker")
    with pytest.raises(ResetCodeError):
        club.own_account.reset(code, BETTER, HERE)
    with pytest.raises(OfficeError, match="closed"):
        club.office.print_reset_code(ada, ann.id)
    club.office.reopen(ada, ann.id)
    assert club.sign_ins.member_of(token) is None  # the old sign-in does not come back
    enter(club, "ann.baker")


def test_the_last_organiser_stays(club: Club, ann: Member, ada: Member) -> None:
    with pytest.raises(OfficeError, match="without an organiser"):
        club.office.close(ada, ada.id)
    with pytest.raises(OfficeError, match="without an organiser"):
        club.office.set_role(ada, ada.id, Role.MEMBER)
    assert acts(club) == []  # what was refused was not done
    club.office.set_role(ada, ann.id, Role.ORGANISER)
    club.office.close(ada, ada.id)


def test_join_codes_are_listed_and_made_void(club: Club, ada: Member) -> None:
    code = club.office.make_join_code(ada, Role.TRAINER, 3, 10)
    assert club.office.join_codes() == [code]
    club.office.drop_join_code(ada, code.code)
    assert club.office.join_codes() == []
    with pytest.raises(OfficeError, match="1 to 1000 people"):
        club.office.make_join_code(ada, Role.MEMBER, 0, 10)


def test_what_is_done_without_a_page_is_noted_too(club: Club, ada: Member) -> None:
    code = club.membership.make_code(Role.TRAINER, 2, 9)
    club.membership.join(code.code, "tom.larch", "Tom Larch", GOOD)
    club.office.add(ada, "cy.dunn", "Cy Dunn", Role.MEMBER)
    assert [(one.actor and one.actor.sign_in, one.act.act, one.act.detail) for one in club.office.acts()] == [
        ("ada.quill", "account made", "member"),
        ("tom.larch", "joined by code", "trainer"),
        (None, "join code made", "trainer, 2 uses, 9 days"),
        (None, "account made", "organiser"),
    ]


def test_what_has_run_out_is_swept_away_when_an_organiser_signs_in(
    club: Club, ann: Member, ada: Member, clock: FakeClock
) -> None:
    enter(club, "ann.baker")
    with pytest.raises(SignInError):
        enter(club, "nobody.here")
    clock.pass_by(days=31)
    enter(club, "ada.quill")
    with club.records.look() as work:
        assert work.doors.sign_ins(ann.id) == []
        assert work.doors.failures_everywhere("nobody.here", clock.now() - timedelta(days=99)) == 0


def test_nobody_is_an_unknown_member(club: Club, ada: Member) -> None:
    for act in (club.office.print_reset_code, club.office.close, club.office.end_sign_ins):
        with pytest.raises(UnknownError):
            act(ada, 4711)


def test_the_log_tells_who_did_what_to_whom_and_when_on_one_line_each(
    club: Club, ann: Member, ada: Member, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.INFO, logger="quiescent.acts")
    token = enter(club, "ann.baker")
    code = club.office.print_reset_code(ada, ann.id)
    club.office.end_sign_ins(ada, ann.id)
    with pytest.raises(SignInError):
        club.sign_ins.sign_in("x\r\n2026-01-01 forged", "y", "10.0.0.9\r\n2026-01-01T00:00:00Z forged by=1")
    lines = [record.getMessage() for record in caplog.records]
    lines = [line for line in lines if "account made" not in line]
    assert lines[1] == f"2026-03-02T19:00:00Z reset code printed by={ada.id} to={ann.id}"
    assert all(re.fullmatch(r"2026-03-02T19:00:00Z [a-z -]+ by=\S+ to=\S+.*", line) for line in lines)
    for secret in (GOOD, token, code, "Ann", "ann.baker"):
        assert secret not in "\n".join(lines)
