"""Many at once on a real database: nothing lost, nothing twice."""

from __future__ import annotations

import base64
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from tests.fakes.world import FakeChance, FakeClock, FakePasswords
from tutor.bootstrap.club import Club, put_together
from tutor.learning.courses import Shelf
from tutor.learning.errors import JoinCodeError, ResetCodeError
from tutor.learning.membership.second_factor import takes
from tutor.learning.membership.totp import step_at, totp
from tutor.store.engine import open_database
from tutor.store.records import SqlRecords


@pytest.fixture
def club(tmp_path: Path, shelf: Shelf) -> Club:
    records = SqlRecords(open_database(f"sqlite:///{tmp_path / 'club.sqlite'}"))
    return put_together(records, shelf, FakeClock(), FakeChance(), FakePasswords())


def test_a_form_sent_ten_times_at_once_is_one_attempt(club: Club) -> None:
    member = club.membership.add("ann.baker", "Ann Baker", "copper anode lantern")
    issue = club.practice.issue(member, club.shelf.lesson("first"))
    answers = {ask.name: f"{ask.value} {ask.unit}" for ask in issue.question.asks}
    with ThreadPoolExecutor(10) as pool:
        sent = [pool.submit(club.practice.submit, member, issue.id, "one form", answers) for _ in range(10)]
        ids = {result.result().attempt.id for result in sent}  # type: ignore[union-attr]  # every one was stored
    assert len(ids) == 1
    assert len(club.practice.get(member, issue.id).attempts) == 1
    assert sum(topic.answers for topic in club.progress.topics(member)) == 1


def test_a_paper_handed_in_ten_times_at_once_is_marked_once(club: Club) -> None:
    member = club.membership.add("ann.baker", "Ann Baker", "copper anode lantern")
    sheet = club.tests.begin(member, club.shelf.lesson("first"))
    with ThreadPoolExecutor(10) as pool:
        list(pool.map(lambda _: club.tests.hand_in(member, sheet.paper.id), range(10)))
    assert [len(issue.attempts) for issue in club.tests.sheet(member, sheet.paper.id).issues] == [1, 1]


def test_many_members_answer_at_once_and_every_answer_is_there(club: Club) -> None:
    members = [club.membership.add(f"member{n}", f"Member {n}", "copper anode lantern") for n in range(12)]

    def evening(member):  # type: ignore[no-untyped-def]
        for n in range(5):
            issue = club.practice.issue(member, club.shelf.lesson("first"))
            answers = {ask.name: f"{ask.value} {ask.unit}" for ask in issue.question.asks}
            assert club.practice.submit(member, issue.id, f"form {n}", answers).mark.is_full
        return [line.marks == line.of for line in club.progress.history(member)]

    with ThreadPoolExecutor(8) as pool:
        assert all(result == [True] * 5 for result in pool.map(evening, members))


def test_the_last_use_of_a_code_goes_to_one(club: Club) -> None:
    code = club.membership.make_code(uses=1)

    def join(n: int) -> bool:
        try:
            club.membership.join(code.code, f"member{n}", f"Member {n}", "copper anode lantern")
        except JoinCodeError:
            return False
        return True

    with ThreadPoolExecutor(8) as pool:
        assert sum(pool.map(join, range(8))) == 1


def test_a_reset_code_and_a_second_factors_code_open_once_however_many_try(club: Club) -> None:
    ann = club.membership.add("ann.baker", "Ann Baker", "copper anode lantern")
    code = club.office.print_reset_code(None, ann.id)
    secret = club.own_account.new_secret()
    step = step_at(club.clock.now())
    club.own_account.set_second_factor(ann, secret, totp(base64.b32decode(secret), step - 1))
    shown = totp(base64.b32decode(secret), step)

    def reset(n: int) -> bool:
        try:
            club.own_account.reset(code, f"kettle trombone drizzle {n}", f"10.0.0.{n}")
        except ResetCodeError:
            return False
        return True

    def enter(n: int) -> bool:
        with club.records.work() as work:
            found = work.people.by_id(ann.id)
            assert found is not None
            return takes(work, found, shown, club.clock.now())

    with ThreadPoolExecutor(8) as pool:
        assert sum(pool.map(reset, range(8))) == 1
        assert sum(pool.map(enter, range(8))) == 1
