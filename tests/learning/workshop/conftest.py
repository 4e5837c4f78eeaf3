"""A club whose proofs are finished when the call returns, with two trainers and an organiser."""

from __future__ import annotations

import pytest

from tests.fakes.world import FakeChance, FakeClock, FakePasswords
from tests.questions.authoring.drafts import divider
from tutor.bootstrap.club import Club, put_together
from tutor.learning.courses import Shelf
from tutor.learning.drafts import Draft, Release
from tutor.learning.ports import Records
from tutor.learning.records import Member, Role

PASSWORD = "copper anode lantern"


@pytest.fixture
def club(records: Records, shelf: Shelf, clock: FakeClock, chance: FakeChance, passwords: FakePasswords) -> Club:
    own = Shelf(shelf.library, shelf.courses, shelf.cache, shelf.faults)  # publishing rearranges it
    return put_together(records, own, clock, chance, passwords, run=lambda job: job())


@pytest.fixture
def tom(club: Club) -> Member:
    return club.membership.add("tom.larch", "Tom Larch", PASSWORD, Role.TRAINER)


@pytest.fixture
def ines(club: Club) -> Member:
    return club.membership.add("ines.garrow", "Ines Garrow", PASSWORD, Role.TRAINER)


@pytest.fixture
def ada(club: Club) -> Member:
    return club.membership.add("ada.quill", "Ada Quill", PASSWORD, Role.ORGANISER)


@pytest.fixture
def ann(club: Club) -> Member:
    return club.membership.add("ann.baker", "Ann Baker", PASSWORD)


@pytest.fixture
def draft(club: Club, tom: Member) -> Draft:
    begun = club.workshop.drafting.begin(tom, "Made")
    return club.workshop.drafting.save(tom, begun.id, 1, divider(), "filled in")


def published(club: Club, member: Member, draft: Draft) -> Release:
    template = club.workshop.drafting.reading(draft).template
    assert template is not None
    club.workshop.proving.begin(template)
    return club.workshop.publishing.publish(member, draft.id, draft.version)
