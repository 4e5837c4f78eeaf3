"""A club with members, addresses and a round."""

from __future__ import annotations

import pytest

from tutor.bootstrap.club import Club
from tutor.learning.records import Member
from tutor.learning.round_records import By, Round
from tutor.learning.rounds.addresses import Addresses
from tutor.learning.rounds.making import RoundMaking, RoundPlan

NAMES = ("Bert Amble", "Clara Finch", "Dov Kessel")


@pytest.fixture
def members(club: Club) -> list[Member]:
    found = []
    for name in NAMES:
        first = name.split()[0].lower()
        member = club.membership.add(f"{first}.x", name, "copper anode lantern")
        Addresses(club.records).put(member.id, f"{first}@members.example", By.MAIL)
        found.append(member)
    return found


@pytest.fixture
def making(club: Club) -> RoundMaking:
    return RoundMaking(club.practice)


@pytest.fixture
def plan(members: list[Member]) -> RoundPlan:
    return RoundPlan(
        title="Dividers in March", lesson="first", topics=("direction",), questions=4,
        members=tuple(member.id for member in members),
    )  # fmt: skip


@pytest.fixture
def round_(making: RoundMaking, plan: RoundPlan) -> Round:
    return making.make(plan)
