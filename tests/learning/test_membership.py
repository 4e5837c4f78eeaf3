"""Accounts: joining, signing in and out, slowing down guesses."""

from __future__ import annotations

import pytest

from tests.fakes.world import FakeClock, FakePasswords
from tutor.bootstrap.club import Club
from tutor.learning.errors import JoinCodeError, PasswordError, SignInError, SignInTakenError
from tutor.learning.membership import check_password
from tutor.learning.records import Role

GOOD = "copper anode lantern"


def test_a_member_signs_in_with_name_and_password_and_out_again(club: Club) -> None:
    member = club.membership.add("Ann.Baker", "  Ann   Baker ", GOOD)
    assert (member.sign_in, member.name, member.role) == ("ann.baker", "Ann Baker", Role.MEMBER)
    found, token = club.sign_ins.sign_in(" ann.BAKER ", GOOD, "10.0.0.1")
    assert found == member
    assert club.sign_ins.member_of(token) == member
    club.sign_ins.sign_out(token)
    assert club.sign_ins.member_of(token) is None


def test_the_database_holds_no_token_and_no_password(club: Club) -> None:
    club.membership.add("ann.baker", "Ann Baker", GOOD)
    _, token = club.sign_ins.sign_in("ann.baker", GOOD, "10.0.0.1")
    with club.records.look() as work:
        assert work.doors.signed_in(token) is None
        member = work.people.by_sign_in("ann.baker")
    assert member is not None
    assert GOOD not in member.password


def test_a_wrong_password_and_an_unknown_name_read_the_same(club: Club, passwords: FakePasswords) -> None:
    club.membership.add("ann.baker", "Ann Baker", GOOD)
    with pytest.raises(SignInError) as wrong:
        club.sign_ins.sign_in("ann.baker", "nonsense", "10.0.0.1")
    with pytest.raises(SignInError) as unknown:
        club.sign_ins.sign_in("nobody", "nonsense", "10.0.0.1")
    assert str(wrong.value) == str(unknown.value) == "That name and password do not go together."
    assert passwords.wasted == 1  # the unknown name took as long as a known one


def test_guessing_is_slowed_down_and_the_right_password_waits_too(club: Club, clock: FakeClock) -> None:
    club.membership.add("ann.baker", "Ann Baker", GOOD)
    for _ in range(7):
        clock.pass_by(seconds=3)
        with pytest.raises(SignInError):
            club.sign_ins.sign_in("ann.baker", "nonsense", "10.0.0.1")
    clock.pass_by(seconds=1)
    with pytest.raises(SignInError) as slowed:
        club.sign_ins.sign_in("ann.baker", GOOD, "10.0.0.1")
    assert slowed.value.wait > 0
    assert str(slowed.value) == f"Too many tries; the next one counts in {slowed.value.wait} seconds."
    club.sign_ins.sign_in("ann.baker", GOOD, "10.0.0.2")  # from elsewhere the door is open
    clock.pass_by(seconds=61)
    club.sign_ins.sign_in("ann.baker", GOOD, "10.0.0.1")


def test_a_hash_of_yesterdays_settings_is_made_anew_at_sign_in(club: Club) -> None:
    member = club.membership.add("ann.baker", "Ann Baker", GOOD)
    with club.records.work() as work:
        work.people.set_password(member.id, f"old:{GOOD[::-1]}")
    club.sign_ins.sign_in("ann.baker", GOOD, "10.0.0.1")
    with club.records.look() as work:
        found = work.people.by_id(member.id)
    assert found is not None
    assert found.password.startswith("new:")


def test_a_session_ends_by_itself(club: Club, clock: FakeClock) -> None:
    club.membership.add("ann.baker", "Ann Baker", GOOD)
    club.membership.add("tom", "Tom", GOOD, Role.TRAINER)
    _, of_member = club.sign_ins.sign_in("ann.baker", GOOD, "10.0.0.1")
    _, of_trainer = club.sign_ins.sign_in("tom", GOOD, "10.0.0.1")
    clock.pass_by(hours=13)
    assert club.sign_ins.member_of(of_trainer) is None
    assert club.sign_ins.member_of(of_member) is not None
    clock.pass_by(days=30)
    assert club.sign_ins.member_of(of_member) is None


def test_a_join_code_makes_accounts_until_it_is_used_up(club: Club) -> None:
    code = club.membership.make_code(uses=2)
    club.membership.join(code.code.lower(), "ann.baker", "Ann Baker", GOOD)
    club.membership.join(f" {code.code[:4]}-{code.code[4:]} ", "bea.cole", "Bea Cole", GOOD)
    with pytest.raises(JoinCodeError, match="used up or out of date"):
        club.membership.join(code.code, "cy.dale", "Cy Dale", GOOD)


def test_a_join_code_ends_by_its_date(club: Club, clock: FakeClock) -> None:
    code = club.membership.make_code(days=3)
    clock.pass_by(days=3)
    with pytest.raises(JoinCodeError, match="used up or out of date"):
        club.membership.join(code.code, "ann.baker", "Ann Baker", GOOD)


def test_an_unknown_code_is_refused_and_a_taken_name_keeps_the_codes_use(club: Club) -> None:
    with pytest.raises(JoinCodeError, match="is not known"):
        club.membership.join("NONSENSE", "ann.baker", "Ann Baker", GOOD)
    club.membership.add("ann.baker", "Ann Baker", GOOD)
    code = club.membership.make_code()
    with pytest.raises(SignInTakenError, match="is taken; choose another"):
        club.membership.join(code.code, "ann.baker", "Another Ann", GOOD)
    club.membership.join(code.code, "ann.baker2", "Another Ann", GOOD)


@pytest.mark.parametrize(
    ("password", "says"),
    [
        ("short", "at least 15 characters"),
        ("x" * 300, "at most 256 characters"),
        ("abababababababab", "repeats too few characters"),
        ("annabel.bakerson", "only your own name"),
    ],
)
def test_weak_passwords_are_refused_with_the_reason(password: str, says: str) -> None:
    with pytest.raises(PasswordError, match=says):
        check_password(password, "annabel.bakerson", "Annabel Bakerson")


@pytest.mark.parametrize(
    "password", ["correct horse no battery", "пароль из четырёх слов", "three  blanks   count too"]
)
def test_long_passwords_of_any_script_are_taken(password: str) -> None:
    check_password(password, "ann.baker", "Ann Baker")


@pytest.mark.parametrize("sign_in", ["a", "with blank", "<script>", "x" * 60, "-dash", "ü.umlaut"])
def test_impossible_sign_in_names_are_refused(club: Club, sign_in: str) -> None:
    with pytest.raises(PasswordError, match="cannot be a sign-in name"):
        club.membership.add(sign_in, "Somebody", GOOD)


def test_names_may_be_written_in_any_script(club: Club) -> None:
    assert club.membership.add("yusuf", "يوسف  بن علي", GOOD).name == "يوسف بن علي"
