"""What many tests share: a small bank of their own, a club on a real database."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from tests.chromium import browser
from tests.fakes.world import FakeChance, FakeClock, FakePasswords
from tutor.bootstrap.club import Club, put_together
from tutor.learning.courses import Shelf, read_shelf
from tutor.learning.ports import Records

__all__ = ["browser"]

# Shared cores are noisy: a property says nothing about time.
settings.register_profile("quiescent", deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("quiescent")

BANKS = Path(__file__).parent / "banks"


@pytest.fixture(scope="session", autouse=True)
def _cache_of_its_own(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Keep compiled templates of tests out of the user's own cache."""
    before = os.environ.get("QUIESCENT_CACHE")
    os.environ["QUIESCENT_CACHE"] = str(tmp_path_factory.mktemp("cache"))
    yield
    if before is None:
        del os.environ["QUIESCENT_CACHE"]
    else:
        os.environ["QUIESCENT_CACHE"] = before


@pytest.fixture(scope="session")
def shelf() -> Shelf:
    """A small shelf: two lessons, three topics, six templates."""
    found = read_shelf([BANKS], None)
    assert found.faults == ()
    return found


@pytest.fixture
def clock() -> FakeClock:
    return FakeClock()


@pytest.fixture
def chance() -> FakeChance:
    return FakeChance()


@pytest.fixture
def passwords() -> FakePasswords:
    return FakePasswords()


@pytest.fixture
def records(tmp_path: Path) -> Records:
    """A real database: what it does when two things happen at once is half of what is to be tested."""
    from tutor.store.engine import open_database
    from tutor.store.records import SqlRecords

    return SqlRecords(open_database(f"sqlite:///{tmp_path / 'club.sqlite'}"))


@pytest.fixture
def club(records: Records, shelf: Shelf, clock: FakeClock, chance: FakeChance, passwords: FakePasswords) -> Club:
    return put_together(records, shelf, clock, chance, passwords)
