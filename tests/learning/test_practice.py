"""Practising: issue, hint, answer, solution, new values; nothing acknowledged is lost, nothing counts twice."""

from __future__ import annotations

from datetime import timedelta
from itertools import pairwise

import pytest

from tests.fakes.world import FakeChance, FakeClock
from tutor.bootstrap.club import Club
from tutor.learning.errors import ClosedError, UnknownError
from tutor.learning.plans import LessonPlan
from tutor.learning.records import Issue, Member, Sureness
from tutor.learning.standing import Word
from tutor.learning.tallies import Forecasts
from tutor.questions.errors import AskError
from tutor.questions.marks import Verdict


@pytest.fixture
def member(club: Club) -> Member:
    return club.membership.add("ann.baker", "Ann Baker", "copper anode lantern")


def keys(issue: Issue) -> dict[str, str]:
    return {ask.name: f"{ask.value} {ask.unit}" for ask in issue.question.asks}


def loaded_divider(club: Club, member: Member) -> Issue:
    return club.practice.issue(member, club.shelf.lesson("first"), club.shelf.template("loaded-divider"))


def test_what_was_shown_is_stored_when_it_is_issued(club: Club, member: Member) -> None:
    issue = loaded_divider(club, member)
    again = club.practice.get(member, issue.id)
    assert again == issue
    assert again.question.to_data() == issue.question.to_data()


def test_a_wrong_answer_names_its_slip_and_a_right_one_follows(club: Club, member: Member) -> None:
    issue = loaded_divider(club, member)
    (ask,) = issue.question.asks
    slip = ask.slips[0]
    wrong = club.practice.submit(member, issue.id, "form-1", {"v_tap": str(slip.value)})
    assert wrong.mark.asks["v_tap"].verdict is Verdict.SLIP
    assert wrong.mark.asks["v_tap"].slip == "load-forgotten"
    right = club.practice.submit(member, issue.id, "form-2", keys(issue))
    assert right.mark.is_full
    found = club.practice.get(member, issue.id)
    assert [attempt.mark.marks for attempt in found.attempts] == [0, 2]
    assert found.solved


def test_a_form_sent_twice_is_one_attempt_and_moves_the_needle_once(club: Club, member: Member) -> None:
    issue = loaded_divider(club, member)
    first = club.practice.submit(member, issue.id, "form-1", keys(issue))
    ledger = club.progress.ledger(member, "dividers")
    second = club.practice.submit(member, issue.id, "form-1", {"v_tap": "something else"})
    assert first.attempt is not None
    assert second.attempt is not None
    assert second.attempt.id == first.attempt.id
    assert second.mark == first.mark
    assert len(club.practice.get(member, issue.id).attempts) == 1
    assert club.progress.ledger(member, "dividers") == ledger


def test_an_unreadable_answer_costs_no_attempt(club: Club, member: Member) -> None:
    issue = loaded_divider(club, member)
    submission = club.practice.submit(member, issue.id, "form-1", {"v_tap": "ten volts"})
    assert submission.attempt is None
    assert submission.mark.unreadable == ("v_tap",)
    assert club.practice.get(member, issue.id).attempts == ()
    assert club.progress.topics(member)[0].word is Word.NOT_TRIED


def test_an_empty_form_costs_no_attempt(club: Club, member: Member) -> None:
    issue = loaded_divider(club, member)
    assert club.practice.submit(member, issue.id, "form-1", {"v_tap": "  "}).attempt is None


def test_something_that_is_not_asked_is_refused(club: Club, member: Member) -> None:
    issue = loaded_divider(club, member)
    with pytest.raises(AskError, match="nothing is asked under 'nonsense'; asked are v_tap"):
        club.practice.submit(member, issue.id, "form-1", {"nonsense": "1 V"})


def test_only_the_first_attempt_moves_the_needle(club: Club, member: Member) -> None:
    issue = loaded_divider(club, member)
    club.practice.submit(member, issue.id, "form-1", {"v_tap": "1 MV"})
    before = club.progress.ledger(member, "dividers")
    club.practice.submit(member, issue.id, "form-2", keys(issue))
    assert club.progress.ledger(member, "dividers") == before


def test_hints_are_counted_and_never_more_than_there_are(club: Club, member: Member) -> None:
    issue = loaded_divider(club, member)
    for expected in (1, 2, 2):
        issue = club.practice.take_hint(member, issue.id)
        assert issue.hints == expected


def test_after_the_solution_no_answer_is_taken(club: Club, member: Member) -> None:
    issue = loaded_divider(club, member)
    opened = club.practice.open_solution(member, issue.id)
    assert opened.opened is not None
    with pytest.raises(ClosedError, match="The worked solution is open; take new values to try again"):
        club.practice.submit(member, issue.id, "form-1", keys(issue))


def test_the_time_at_which_a_solution_was_first_opened_stays(club: Club, member: Member, clock: FakeClock) -> None:
    issue = loaded_divider(club, member)
    first = club.practice.open_solution(member, issue.id).opened
    clock.pass_by(hours=1)
    assert club.practice.open_solution(member, issue.id).opened == first


def test_another_members_question_is_as_good_as_none(club: Club, member: Member) -> None:
    issue = loaded_divider(club, member)
    other = club.membership.add("bea.cole", "Bea Cole", "copper anode lantern")
    for action in (club.practice.get, club.practice.take_hint, club.practice.open_solution, club.practice.again):
        with pytest.raises(UnknownError):
            action(other, issue.id)
    with pytest.raises(UnknownError):
        club.practice.submit(other, issue.id, "form-1", keys(issue))


def test_new_values_come_with_a_serial_the_member_has_not_had(club: Club, member: Member, chance: FakeChance) -> None:
    chance.serials = [7, 7, 8, 7, 7, 9]
    first = loaded_divider(club, member)
    second = club.practice.again(member, first.id)
    assert first.example is not None
    assert (first.question.serial, first.example.serial, second.question.serial) == (7, 8, 9)
    assert second.question.template == first.question.template
    assert second.question.values != first.question.values


def test_what_is_announced_is_what_comes_with_its_reason(club: Club, member: Member, clock: FakeClock) -> None:
    lesson = club.shelf.lesson("second")
    seen = []
    for _ in range(4):
        choice = club.practice.next(member, lesson)
        issue = club.practice.issue(member, lesson)
        assert (issue.question.template, issue.why) == (choice.template.name, choice.why)
        assert choice.why.endswith(".")
        seen.append(issue.question)
        clock.pass_by(minutes=1)
    assert all(a.topic != b.topic for a, b in pairwise(seen))
    assert len({question.template for question in seen}) == 4


def test_mixed_practice_asks_over_all_open_lessons(club: Club, member: Member, clock: FakeClock) -> None:
    topics = set()
    for _ in range(6):
        issue = club.practice.issue(member)
        assert issue.lesson == ""
        club.practice.submit(member, issue.id, "a", keys(issue))
        topics.add(issue.question.topic)
        clock.pass_by(minutes=1)
    assert len(topics) == 3


def test_a_lesson_that_is_still_to_be_held_is_not_asked_in_mixed_practice(
    club: Club, member: Member, clock: FakeClock
) -> None:
    with club.records.work() as work:
        work.courses.put_plan(LessonPlan(lesson="second", starts=clock.now() + timedelta(days=3)))
    topics = {club.practice.issue(member).question.topic for _ in range(6)}
    assert topics == set(club.shelf.lesson("first").topics)


def test_the_first_of_a_kind_comes_with_a_worked_example_of_other_values(club: Club, member: Member) -> None:
    first = loaded_divider(club, member)
    assert first.example is not None
    assert first.example.template == first.question.template
    assert first.example.values != first.question.values
    assert 0 < first.example_steps <= len(first.example.solution)
    assert first.helped
    assert club.practice.again(member, first.id).example is None


def test_an_answer_beside_an_example_tells_half_as_much(club: Club, member: Member) -> None:
    shown = loaded_divider(club, member)
    club.practice.submit(member, shown.id, "a", keys(shown))
    with club.records.look() as work:
        (fact,) = work.standings.facts()
    assert fact.evidence.power == 0.5


def test_how_sure_somebody_was_is_counted_for_their_own_eyes(club: Club, member: Member) -> None:
    issue = loaded_divider(club, member)
    club.practice.submit(member, issue.id, "a", {"v_tap": "1 MV"}, Sureness.SURE)
    club.practice.submit(member, issue.id, "b", keys(issue), Sureness.SURE)
    assert club.progress.forecasts(member) == [Forecasts(2, 2, 1)]
    assert club.practice.get(member, issue.id).attempts[0].sure is Sureness.SURE


def test_a_slip_is_open_until_the_same_question_is_solved_at_the_first_try(
    club: Club, member: Member, clock: FakeClock
) -> None:
    issue = loaded_divider(club, member)
    slip = issue.question.asks[0].slips[0]
    club.practice.submit(member, issue.id, "a", {"v_tap": str(slip.value)})
    club.practice.submit(member, issue.id, "b", keys(issue))
    (tally,) = club.progress.slips(member)
    assert (tally.slip, tally.times, tally.overcome) == ("load-forgotten", 1, None)
    clock.pass_by(days=1)
    again = club.practice.again(member, issue.id)
    club.practice.submit(member, again.id, "c", keys(again))
    (tally,) = club.progress.slips(member)
    assert tally.overcome == clock.now()


def test_a_question_comes_back_exactly_from_the_history(club: Club, member: Member, clock: FakeClock) -> None:
    issues = []
    for _ in range(3):
        issues.append(loaded_divider(club, member))
        clock.pass_by(minutes=1)
    lines = club.progress.history(member)
    assert [line.id for line in lines] == [issue.id for issue in reversed(issues)]
    assert club.practice.get(member, lines[-1].id).question == issues[0].question
    assert [line.id for line in club.progress.history(member, limit=1)] == [issues[-1].id]
    assert [line.id for line in club.progress.history(member, before=issues[-1].at)] == [issues[1].id, issues[0].id]


def test_the_best_marks_of_a_question_stand_in_the_history(club: Club, member: Member) -> None:
    issue = loaded_divider(club, member)
    club.practice.submit(member, issue.id, "a", keys(issue))
    club.practice.submit(member, issue.id, "b", {"v_tap": "1 V"})
    (line,) = club.progress.history(member)
    assert (line.attempts, line.marks, line.of, line.solved) == (2, 2, 2, True)


def test_an_unknown_lesson_names_the_near_one(club: Club) -> None:
    with pytest.raises(UnknownError, match=r"^There is no lesson 'frist' here\. Did you mean first\?$"):
        club.shelf.lesson("frist")


def test_nothing_is_half_stored_when_something_breaks_in_the_middle(club: Club, member: Member) -> None:
    issue = loaded_divider(club, member)
    submission = club.practice.submit(member, issue.id, "a", keys(issue))
    assert submission.attempt is not None

    class BrokenError(Exception):
        pass

    def store_and_break() -> None:
        with club.records.work() as work:
            work.questions.add_attempt(issue.id, member.id, "b", {}, submission.mark, issue.at)
            raise BrokenError

    with pytest.raises(BrokenError):
        store_and_break()
    assert len(club.practice.get(member, issue.id).attempts) == 1
