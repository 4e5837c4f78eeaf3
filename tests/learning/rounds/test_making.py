"""Making rounds: everybody's own serials and code, and plans that cannot be."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from tests.fakes.world import FakeClock
from tutor.bootstrap.club import Club
from tutor.learning.errors import UnknownError
from tutor.learning.records import Member
from tutor.learning.round_records import By, Round
from tutor.learning.rounds.addresses import Addresses, read_address
from tutor.learning.rounds.codes import is_code
from tutor.learning.rounds.errors import RoundError
from tutor.learning.rounds.labels import places_of
from tutor.learning.rounds.making import RoundMaking, RoundPlan


def test_each_member_has_a_paper_of_their_own(making: RoundMaking, round_: Round, members: list[Member]) -> None:
    sheets = making.sheets(round_.id)
    assert [sheet.member.name for sheet in sheets] == [member.name for member in members]
    assert len({sheet.paper.code for sheet in sheets}) == len(members)
    assert all(is_code(sheet.paper.code) for sheet in sheets)
    assert all(tuple(issue.question.template for issue in sheet.issues) == round_.templates for sheet in sheets)
    serials = [issue.question.serial for sheet in sheets for issue in sheet.issues]
    assert len(set(serials)) == len(serials)
    assert all(sheet.paper.by is By.MAIL for sheet in sheets)
    assert making.all() == [round_]


def test_topics_take_turns_and_the_easier_comes_first(making: RoundMaking, round_: Round, club: Club) -> None:
    templates = [club.shelf.template(name) for name in round_.templates]
    assert sorted(template.topic for template in templates) == ["direction", "direction", "dividers", "dividers"]
    assert [template.level for template in templates] == sorted(template.level for template in templates)


def test_a_common_paper_has_the_same_values_for_all_and_a_code_for_each(making: RoundMaking, plan: RoundPlan) -> None:
    sheets = making.sheets(making.make(replace(plan, common=True)).id)
    serials = {tuple(issue.question.serial for issue in sheet.issues) for sheet in sheets}
    assert len(serials) == 1
    assert len({sheet.paper.code for sheet in sheets}) == len(sheets)


def test_labels_carry_letters_where_a_question_asks_several_things(making: RoundMaking, round_: Round) -> None:
    sheet = making.sheets(round_.id)[0]
    places = places_of(sheet.issues)
    for number, issue in enumerate(sheet.issues, start=1):
        labels = [place.label for place in places if place.issue is issue]
        several = [f"{number}{letter}" for letter in "abcdef"[: len(issue.question.asks)]]
        assert labels == ([str(number)] if len(issue.question.asks) == 1 else several)


def test_members_without_an_address_and_members_of_groups_get_paper(
    club: Club, making: RoundMaking, plan: RoundPlan, members: list[Member]
) -> None:
    edna = club.membership.add("edna.x", "Edna Moss", "copper anode lantern")
    with club.records.work() as work:
        group = work.people.add_group("Thursday")
        work.people.set_group(group.id, frozenset({edna.id, members[0].id}))
    sheets = making.sheets(making.make(replace(plan, members=(members[1].id,), groups=(group.id,))).id)
    assert [(sheet.member.name, sheet.paper.by) for sheet in sheets] == [
        ("Bert Amble", By.MAIL), ("Clara Finch", By.MAIL), ("Edna Moss", By.PAPER),
    ]  # fmt: skip


def test_plans_that_cannot_be_say_why_and_leave_nothing_behind(
    making: RoundMaking, plan: RoundPlan, clock: FakeClock
) -> None:
    for change, says in [
        ({"title": " "}, "needs a title"),
        ({"questions": 0}, "holds 1 to 12 questions; 0 are wanted"),
        ({"lesson": "", "topics": ()}, "choose at least one"),
        ({"closes": clock.now() - timedelta(days=1)}, "over already"),
        ({"members": ()}, "at least one member"),
        ({"levels": (4,)}, "on these levels; choose others"),
        ({"note": "x" * 2001}, "2000 characters"),
    ]:
        with pytest.raises(RoundError, match=says):
            making.make(replace(plan, **change))  # type: ignore[arg-type]  # one field at a time
    for change in ({"members": (999,)}, {"groups": (9,)}, {"lesson": "nowhere"}):
        with pytest.raises(UnknownError):
            making.make(replace(plan, **change))  # type: ignore[arg-type]  # as above
    assert making.all() == []
    with pytest.raises(UnknownError):
        making.get("nothing")


@pytest.mark.parametrize(
    "typed",
    ["", "bert", "bert@", "@club.example", "a b@club.example", "bert@club.example\nBcc: all@club.example", "a@b@c.example",
     "bert@club.example, eve@club.example", "<bert@club.example>", '"x y"@club.example', "a..b@club.example", "x" * 250 + "@club.example"],
)  # fmt: skip
def test_what_is_no_single_address_is_refused(typed: str) -> None:
    with pytest.raises(RoundError, match="is no mail address"):
        read_address(typed)


def test_addresses_are_kept_and_shared_ones_told(club: Club, members: list[Member]) -> None:
    addresses = Addresses(club.records)
    addresses.put(members[2].id, " Bert@Members.example ", By.MAIL)
    assert addresses.shared() == {"bert@members.example": 2}
    addresses.put(members[2].id, "", By.PAPER)
    assert [address.by for _, address in addresses.everybody()] == [By.MAIL, By.MAIL, By.PAPER]
    with pytest.raises(RoundError, match="need a mail address"):
        addresses.put(members[2].id, "", By.MAIL)
    with pytest.raises(UnknownError):
        addresses.put(999, "x@club.example", By.MAIL)
