"""Marking anew: what the list says is what is changed, old marks are kept, standings are what they would have been."""

from __future__ import annotations

import random
from typing import Any

import pytest

from tests.learning.workshop.conftest import PASSWORD, published
from tests.questions.authoring.drafts import divider
from tutor.bootstrap.club import Club
from tutor.learning.doctor import examine
from tutor.learning.drafts import Draft
from tutor.learning.errors import ClosedError
from tutor.learning.records import Attempt, Issue, Member
from tutor.learning.replay import differences, replayed
from tutor.questions.marks import Mark

WRONG = "V1*R2/(R1 + R2)"
"""The load forgotten: the key that was published by mistake, under an example that carried the mistake along."""


def wrong_divider() -> dict[str, Any]:
    """A draft that is proved and wrong: its circuit lacks the load that the text tells of."""
    data = divider(formula=WRONG)
    data["circuit"] = {name: part for name, part in data["circuit"].items() if name != "RL"}
    return data


def right_divider() -> dict[str, Any]:
    return divider()


@pytest.fixture
def corrected(club: Club, tom: Member, clock: Any) -> tuple[Draft, list[tuple[Issue, Attempt]]]:
    """200 attempts on a template whose key is wrong, answered by people who knew better, and by others."""
    drafting = club.workshop.drafting
    begun = drafting.begin(tom, "Made")
    wrong = drafting.save(tom, begun.id, 1, wrong_divider(), "filled in")
    published(club, tom, wrong)
    dice = random.Random(7)
    members = [club.membership.add(f"member{n}", f"Member {n}", PASSWORD) for n in range(10)]
    answered = []
    template = club.shelf.template("made")
    for number in range(200):
        clock.pass_by(minutes=7)
        member = members[number % 10]
        issue = club.practice.issue(member, club.shelf.lesson("first"), template)
        values = issue.question.values
        loaded = values["V1"] * _parallel(values) / (values["R1"] + _parallel(values))
        typed = dice.choice([loaded, issue.question.asks[0].key, loaded * 2.9])
        attempt = club.practice.submit(member, issue.id, f"k{number}", {"v_tap": f"{typed:.5g} V"}).attempt
        assert attempt is not None
        answered.append((issue, attempt))
    right = drafting.save(tom, wrong.id, wrong.version, right_divider(), "the load put in")
    published(club, tom, right)
    return right, answered


def _share(mark: Mark) -> float:
    return mark.marks / mark.of


def _parallel(values: Any) -> float:
    return float(values["R2"] * values["RL"] / (values["R2"] + values["RL"]))


def test_the_list_is_what_is_changed_and_the_standings_follow(
    club: Club, tom: Member, corrected: tuple[Draft, list[tuple[Issue, Attempt]]]
) -> None:
    draft, answered = corrected
    (release, _) = club.workshop.publishing.releases(draft)
    plan = club.workshop.remarking.plan(release)
    assert len(plan.changes) + plan.same == len(answered) == 200
    assert plan.left == ()
    assert 100 < len(plan.changes) < 200
    with pytest.raises(ClosedError, match="look at the list again"):
        club.workshop.remarking.apply(tom, release, len(plan.changes) - 1)  # as if answers had come in since
    with club.records.look() as work:
        before = list(work.standings.facts())
    applied = club.workshop.remarking.apply(tom, release, len(plan.changes))
    assert [(c.attempt.id, c.mark.to_data()) for c in applied.changes] == [
        (c.attempt.id, c.mark.to_data()) for c in plan.changes
    ]
    changed = {change.attempt.id: change.mark for change in plan.changes}
    with club.records.look() as work:
        for issue, attempt in answered:
            stored = work.questions.get(issue.id)
            assert stored is not None
            wanted = changed.get(attempt.id, attempt.mark)
            assert stored.attempts[0].mark.to_data() == wanted.to_data()
            kept = work.workshop.old_marks(attempt.id)
            assert [old.mark.to_data() for old in kept] == ([attempt.mark.to_data()] if attempt.id in changed else [])
        # The evidence is what it would have been with the right key, in the same order.
        wanted_shares = [
            (f.attempt, _share(changed[f.attempt]) if f.attempt in changed else f.evidence.share) for f in before
        ]
        assert [(fact.attempt, fact.evidence.share) for fact in work.standings.facts()] == wanted_shares
        # The stored standings are those that follow from the corrected evidence, bit for bit.
        members = [member.id for member in work.people.everybody()]
        assert differences(work, replayed(work.standings.facts()), members) == []
    assert club.workshop.remarking.plan(release).changes == ()
    assert list(examine(club.records)) == []


def test_what_has_values_that_were_not_drawn_then_is_left_and_said(
    club: Club, tom: Member, ann: Member, draft: Draft
) -> None:
    published(club, tom, draft)
    issue = club.practice.issue(ann, club.shelf.lesson("first"), club.shelf.template("made"))
    club.practice.submit(ann, issue.id, "k", {"v_tap": "1 V"})
    data = divider()
    data["circuit"] = data["circuit"] | {"R9": {"kind": "resistor", "nodes": ["tap", "0"]}}
    data["values"] = data["values"] | {"R9": "1 MΩ"}
    data["ask"]["v_tap"]["formula"] = "V1*parallel(R2, RL, R9)/(R1 + parallel(R2, RL, R9))"
    other = club.workshop.drafting.save(tom, draft.id, draft.version, data, "another resistor")
    release = published(club, tom, other)
    plan = club.workshop.remarking.plan(release)
    assert plan.changes == ()
    assert "R9 was not drawn then" in plan.left[0][1]
