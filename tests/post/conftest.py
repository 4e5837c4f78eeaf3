"""A club with members on mail, a writer, and a round."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest

from tutor.bootstrap.club import Club
from tutor.bootstrap.places import static_folder
from tutor.learning.records import Member
from tutor.learning.round_records import By, Round, RoundSheet
from tutor.learning.rounds.addresses import Addresses
from tutor.learning.rounds.making import RoundMaking, RoundPlan
from tutor.learning.rounds.sending import Outbox
from tutor.post.sheets import Look
from tutor.post.style import House
from tutor.post.writing import PostWriter

NAMES = ("Bert Amble", "Clara Finch", "Dov Kessel")
HOUSE = House("Harbour Lane Valve Society", address="rounds@harbour-lane.example")


def chromium_or_skip() -> str:
    found = os.environ.get("CHROMIUM") or shutil.which("chromium")
    if found:
        return found
    if os.environ.get("CI") == "true":
        pytest.fail("Chromium is not installed, and CI=true promises that it is")
    pytest.skip("Chromium is not installed")


@pytest.fixture
def without_chromium(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.delenv("CHROMIUM", raising=False)


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
def writer() -> PostWriter:
    return PostWriter(HOUSE, Look(static_folder()))


@pytest.fixture
def outbox(club: Club, writer: PostWriter) -> Outbox:
    return Outbox(club.practice, writer, "harbour-lane.example")


@pytest.fixture
def round_(club: Club, members: list[Member]) -> Round:
    return RoundMaking(club.practice).make(
        RoundPlan(
            title="Dividers in März",
            lesson="first",
            topics=("direction", "rc"),
            questions=5,
            members=tuple(member.id for member in members),
            note="Good evening all.\nThis one is about loads.",
        )
    )


@pytest.fixture
def sheet(club: Club, round_: Round) -> RoundSheet:
    return RoundMaking(club.practice).sheets(round_.id)[0]
