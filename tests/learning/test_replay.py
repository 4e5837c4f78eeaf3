"""Replay: what the records hold follows from the evidence, bit for bit; a corrected mark replays."""

from __future__ import annotations

import random

from tests.fakes.world import FakeClock
from tutor.bootstrap.club import Club
from tutor.learning.records import Member
from tutor.learning.replay import differences, replay, replayed


def practise(club: Club, clock: FakeClock, members: list[Member], answers: int) -> None:
    dice = random.Random(7)
    for number in range(answers):
        member = dice.choice(members)
        issue = club.practice.issue(member)
        if dice.random() < 0.2:
            club.practice.take_hint(member, issue.id)
        right = dice.random() < 0.6
        typed = {ask.name: f"{ask.value} {ask.unit}" if right else "1" for ask in issue.question.asks}
        club.practice.submit(member, issue.id, f"form-{number}", typed)
        clock.pass_by(hours=dice.choice((1, 5, 30, 200)))


def people(club: Club) -> list[Member]:
    names = ("ann.baker", "bea.cole", "cy.dunn")
    return [club.membership.add(name, name.title(), "copper anode lantern") for name in names]


def found(club: Club, members: list[Member]) -> list[str]:
    with club.records.look() as work:
        anew = replayed(work.standings.facts())
        return [difference.what for difference in differences(work, anew, [member.id for member in members])]


def test_standings_ledgers_and_difficulties_follow_from_the_evidence_exactly(club: Club, clock: FakeClock) -> None:
    members = people(club)
    practise(club, clock, members, 90)
    assert found(club, members) == []


def test_what_was_changed_by_hand_is_found_and_replaying_mends_it(club: Club, clock: FakeClock) -> None:
    members = people(club)
    practise(club, clock, members, 40)
    before = [club.progress.topics(member) for member in members]
    with club.records.work() as work:
        topic, standing = next(iter(work.standings.of_member(members[0].id).items()))
        other = next(iter(work.standings.of_member(members[1].id).values()))
        work.standings.put(members[0].id, topic, other)
    assert found(club, members) == [f"the standing of member {members[0].id} in topic {topic!r}"]
    replay(club.records)
    assert found(club, members) == []
    assert [club.progress.topics(member) for member in members] == before
    assert standing in {s for m in members for s in club_standings(club, m).values()}


def club_standings(club: Club, member: Member) -> dict[str, object]:
    with club.records.look() as work:
        return dict(work.standings.of_member(member.id))


def test_a_corrected_mark_gives_the_needle_that_would_have_been(club: Club, clock: FakeClock) -> None:
    (ann, bea) = people(club)[:2]
    issues = []
    for member, typed in ((ann, "1"), (bea, None)):
        issue = club.practice.issue(member, club.shelf.lesson("first"), club.shelf.template("loaded-divider"))
        answers = {ask.name: typed or f"{ask.value} {ask.unit}" for ask in issue.question.asks}
        issues.append(club.practice.submit(member, issue.id, "a", answers))
    attempt = issues[0].attempt
    assert attempt is not None
    assert club_standings(club, ann) != club_standings(club, bea)
    with club.records.work() as work:
        work.standings.correct(attempt.id, "dividers", 1.0, "")
    replay(club.records)
    assert found(club, [ann, bea]) == []
    # The two now did the same; only what the first answer taught about the template differs between them.
    after = [club.progress.story(member, "dividers").ledger for member in (ann, bea)]
    assert [entry.says for entry in after[0]] == [entry.says for entry in after[1]]
    assert after[0][0].moved > 0
