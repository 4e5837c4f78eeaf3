"""Publishing: only what is proved, under a name that is free; frozen from then on, and practised at once."""

from __future__ import annotations

from datetime import timedelta

import pytest

from tests.fakes.world import FakeClock
from tests.learning.workshop.conftest import published
from tests.questions.authoring.drafts import divider
from tutor.bootstrap.club import Club
from tutor.learning.drafts import Draft
from tutor.learning.records import Member
from tutor.learning.workshop.errors import NameTakenError, NotProvedError
from tutor.learning.workshop.whole import workbench
from tutor.questions.authoring.writing import write_template


def save(club: Club, member: Member, draft: Draft, **ask: object) -> Draft:
    return club.workshop.drafting.save(member, draft.id, draft.version, divider(**ask), "changed")


def test_what_was_never_proved_cannot_be_published(club: Club, tom: Member, draft: Draft) -> None:
    with pytest.raises(NotProvedError, match="It was not proved yet"):
        club.workshop.publishing.publish(tom, draft.id, draft.version)


def test_what_is_not_finished_cannot_be_published(club: Club, tom: Member) -> None:
    begun = club.workshop.drafting.begin(tom, "Made")
    with pytest.raises(NotProvedError, match="it is missing"):
        club.workshop.publishing.publish(tom, begun.id, begun.version)


@pytest.mark.parametrize(
    ("ask", "says"),
    [
        ({"formula": "V1*R2/(R1 + R2)"}, "where the circuit gives"),
        ({"tolerance": "0.01 %"}, "too narrow for rounded figures"),
        ({"slips": {"same": {"formula": "V1*parallel(R2, RL)/(R1 + parallel(R2, RL))", "says": "No."}}}, "can be told"),
    ],
    ids=["a wrong formula", "an impossible tolerance", "a slip equal to the answer"],
)
def test_what_is_wrong_cannot_be_published(
    club: Club, tom: Member, draft: Draft, ask: dict[str, object], says: str
) -> None:
    with pytest.raises(NotProvedError, match=says):
        published(club, tom, save(club, tom, draft, **ask))
    assert club.workshop.publishing.live() == []
    assert "made" not in club.shelf.library.templates


def test_a_change_after_the_proof_is_not_proved_by_it(club: Club, tom: Member, draft: Draft) -> None:
    published(club, tom, draft)
    wrong = save(club, tom, draft, formula="V1*R2/(R1 + R2)")
    with pytest.raises(NotProvedError, match="It was not proved yet"):
        club.workshop.publishing.publish(tom, wrong.id, wrong.version)
    with pytest.raises(NotProvedError, match="has changed since this page"):
        club.workshop.publishing.publish(tom, wrong.id, draft.version)


def test_a_topic_that_nobody_defined_is_said(club: Club, tom: Member, draft: Draft) -> None:
    data = divider() | {"topic": "divider"}
    other = club.workshop.drafting.save(tom, draft.id, draft.version, data, "topic")
    assert "did you mean dividers?" in club.workshop.publishing.obstacles(other)[0]


def test_what_is_published_is_practised_and_stays_frozen(club: Club, tom: Member, ann: Member, draft: Draft) -> None:
    release = published(club, tom, draft)
    assert release.says == ("The first release.",)
    assert release.file == write_template(draft.data)
    lesson = club.shelf.lesson("first")
    assert "made" in [template.name for template in club.shelf.templates(lesson)]
    issue = club.practice.issue(ann, lesson, club.shelf.template("made"))
    assert issue.question.release == release.release
    save(club, tom, draft, tolerance="3 %")
    assert club.workshop.publishing.release(release.id) == release
    assert club.shelf.template("made").release == release.release


def test_a_second_release_says_what_changed_and_takes_the_place_of_the_first(
    club: Club, tom: Member, draft: Draft
) -> None:
    first = published(club, tom, draft)
    second = published(club, tom, save(club, tom, draft, tolerance="3 %"))
    assert second.says == ("Ask v_tap, tolerance was given: “3 %”.",)
    assert second.release != first.release
    assert club.shelf.template("made").release == second.release
    assert [release.id for release in club.workshop.publishing.releases(draft)] == [second.id, first.id]


def test_a_withdrawn_template_leaves_the_shelf_and_its_questions_stay(
    club: Club, tom: Member, ann: Member, draft: Draft
) -> None:
    published(club, tom, draft)
    issue = club.practice.issue(ann, club.shelf.lesson("first"), club.shelf.template("made"))
    club.workshop.publishing.withdraw("made")
    assert "made" not in club.shelf.library.templates
    key = issue.question.asks[0].shown
    assert club.practice.submit(ann, issue.id, "k", {"v_tap": key}).mark.is_full


def test_a_copy_takes_the_place_of_the_banks_template_and_gives_it_back(club: Club, tom: Member) -> None:
    before = club.shelf.template("loaded-divider").release
    copy = club.workshop.drafting.begin_from(tom, "loaded-divider")
    title = dict(copy.data) | {"title": "The divider, loaded"}
    release = published(club, tom, club.workshop.drafting.save(tom, copy.id, copy.version, title, "title"))
    assert "became “The divider, loaded”" in release.says[0]
    assert club.shelf.template("loaded-divider").title == "The divider, loaded"
    club.workshop.publishing.withdraw("loaded-divider")
    assert club.shelf.template("loaded-divider").release == before


def test_a_name_that_is_taken_is_refused_and_a_free_one_named(club: Club, tom: Member, draft: Draft) -> None:
    taken = club.workshop.drafting.save(
        tom, draft.id, draft.version, divider() | {"template": "loaded-divider"}, "renamed"
    )
    with pytest.raises(NameTakenError, match="'loaded-divider-2' is free"):
        published(club, tom, taken)


def test_another_process_and_a_restart_see_what_was_published(
    club: Club, tom: Member, draft: Draft, clock: FakeClock
) -> None:
    from tutor.learning.courses import Shelf

    shelf = club.shelf
    other_shelf = Shelf(shelf.library, shelf.courses, shelf.cache)
    chance = club.practice.chance
    other = workbench(club.records, club.clock, chance, other_shelf, lambda job: job())
    published(club, tom, draft)
    assert "made" not in other_shelf.library.templates
    other.publishing.keep_up(timedelta(seconds=20))
    assert "made" not in other_shelf.library.templates  # it looked a moment ago
    clock.pass_by(seconds=21)
    other.publishing.keep_up(timedelta(seconds=20))
    assert "made" in other_shelf.library.templates
    fresh = Shelf(shelf.library, shelf.courses, shelf.cache)
    fresh.arrange({})
    workbench(club.records, club.clock, chance, fresh, lambda job: job())
    assert "made" in fresh.library.templates


def test_a_check_that_breaks_proves_nothing(
    club: Club, tom: Member, draft: Draft, monkeypatch: pytest.MonkeyPatch
) -> None:
    from tutor.learning.workshop import proving

    def broken(*_: object) -> None:
        raise RuntimeError("broken on purpose")

    monkeypatch.setattr(proving, "prove", broken)
    with pytest.raises(NotProvedError, match="the proof itself broke"):
        published(club, tom, draft)
