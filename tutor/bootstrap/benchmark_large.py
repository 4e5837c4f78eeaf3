"""`quiescent benchmark --large`: pages over 10^6 attempts beside the same pages over 10^4, in one run.

Both clubs have the same people and differ in how much everybody else has practised. Two members look at their pages:
one with few attempts and one with many, the same in both clubs. What the others did is filled in by SQL, copied from
what one member really did; their questions are left empty, for nobody looks at them.
"""

from __future__ import annotations

import sqlite3
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import closing
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

from tutor.bootstrap.benchmark import Row, side_by_side
from tutor.bootstrap.club import Club, database_url, open_club
from tutor.learning.records import Member, Role
from tutor.questions.question import DrawnAsk

FEW_ATTEMPTS, LARGE_ATTEMPTS = 10_000, 1_000_000
MEMBERS = 200
OWN_FEW, COPIES = 24, 80
"""Attempts of the member with few, and how many times as many the other one has."""
AT_MOST = 1.5
PASSWORD = "copper anode lantern"  # noqa: S105 - of nobody, in a club that is thrown away


def large_rows(few: int = FEW_ATTEMPTS, large: int = LARGE_ATTEMPTS) -> Iterator[Row]:
    """Yield the rows: what a page costs over many attempts, with the same page over few as the yardstick."""
    with tempfile.TemporaryDirectory(prefix="quiescent-benchmark-") as folder:
        places = [Path(folder) / name for name in ("few", "large")]
        small, big = (_filled(place, attempts) for place, attempts in zip(places, (few, large), strict=True))
        for what, address in small.pages():
            page = partial(small.fetch, what, address), partial(big.fetch, what, address)
            theirs, ours = side_by_side(*page, rounds=15, least=0.1)
            note = f"{large:,} against {few:,} attempts, {MEMBERS} members; ratio of the costs {ours / theirs:.2f}"
            yield Row(f"{what}: {address}", ours, "the same over few attempts", theirs, 1 / AT_MOST, note)


@dataclass(frozen=True, slots=True)
class _Filled:
    """A club with its pages, and somebody signed in for each kind of look at it."""

    club: Club
    clients: Mapping[str, Any]

    def pages(self) -> list[tuple[str, str]]:
        """Return who looks at which address."""
        course = self.club.shelf.courses[0].name
        topic = next(iter(_lessons(self.club)[0].topics))
        own = ("/home", "/progress", f"/progress/{topic}", "/history")
        found = [(who, address) for who in ("few of one's own", "many of one's own") for address in own]
        return [*found, ("trainer", "/class/"), ("trainer", f"/class/courses/{course}")]

    def fetch(self, who: str, address: str) -> None:
        """Ask for a page."""
        answer = self.clients[who].get(address)
        if answer.status_code != 200:
            raise RuntimeError(f"{address} answered {answer.status_code}")


def _lessons(club: Club) -> list[Any]:
    return [lesson for lesson in club.shelf.lessons if len(club.shelf.templates(lesson)) >= 3][:3]


def _filled(folder: Path, attempts: int) -> _Filled:
    folder.mkdir()
    club = open_club(database_url(folder))
    few, many = (club.membership.add(name, name.title(), PASSWORD) for name in ("few", "many"))
    club.membership.add("trainer", "Trainer", PASSWORD, Role.TRAINER)
    _practise(club, few)
    with closing(sqlite3.connect(folder / "club.sqlite")) as connection:
        connection.execute("PRAGMA synchronous = OFF")
        with connection:
            filler = _Filler(connection, few.id)
            others = filler.people(MEMBERS)
            filler.copy_state([many.id, *others])
            filler.copy_attempts(f"{many.id}", COPIES, {})
            done = OWN_FEW * (1 + COPIES)
            count = max(0, attempts - done) // OWN_FEW
            filler.copy_attempts(f"{others[0]} + n % {MEMBERS}", count, {"question": "'{}'", "example": "NULL"})
            filler.count_days()
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    who = {"few of one's own": "few", "many of one's own": "many", "trainer": "trainer"}
    return _Filled(club, {kind: _signed_in(club, name) for kind, name in who.items()})


def _practise(club: Club, member: Member) -> None:
    """Answer questions as people do, some of them wrong."""
    lessons = _lessons(club)
    for number in range(OWN_FEW):
        issue = club.practice.issue(member, lessons[number % len(lessons)])
        answers = {ask.name: _typed(ask, times=1.3 if number % 3 == 2 else 1.0) for ask in issue.question.asks}
        found = club.practice.submit(member, issue.id, f"key-{number}", answers)
        if found.attempt is None:
            raise RuntimeError(f"the answers to {issue.question.template} could not be read: {answers}")


def _typed(ask: DrawnAsk, times: float) -> str:
    if isinstance(ask.value, str):
        letters = {option.name: "abcdefghij"[place] for place, option in enumerate(ask.options)}
        return letters.get(ask.value, ask.value)
    return f"{times * ask.value:.6g} {ask.unit}".strip()


class _Filler:
    """Copies what one member did to others, table by table, whatever columns a table has."""

    def __init__(self, connection: sqlite3.Connection, source: int) -> None:
        self._connection, self._source = connection, source

    def people(self, count: int) -> list[int]:
        """Copy the member so many times; return the new ids."""
        first = self._highest("members") + 1
        self._copy("members", count, {"id": f"{first} + n", "sign_in": "'m' || n", "name": "'Member ' || n"})
        return list(range(first, first + count))

    def copy_state(self, members: list[int]) -> None:
        """Give members the same standings and tallies of templates and slips."""
        for member in members:
            for table in ("standings", "met", "slips", "forecasts"):
                self._copy(table, 1, {"member_id": str(member)}, f"member_id = {self._source}")

    def copy_attempts(self, member: str, times: int, changes: Mapping[str, str]) -> None:
        """Copy questions, attempts, ledger and evidence so many times.

        Args:
            member: Whose they become; may use ``n``, the number of the copy.
            times: How many copies.
            changes: Other columns of the questions to change.
        """
        own = f"member_id = {self._source}"
        offset = self._highest("attempts")
        mark = f"'-{offset}-' || n"
        at = "strftime('%Y-%m-%d %H:%M:%f', at, '-' || (n * 37 % 9000) || ' hours') || '000'"
        both = {"member_id": member, "at": at}
        self._copy("issues", times, {**both, "id": f"id || {mark}", **changes}, own)
        issue = {"issue_id": f"issue_id || {mark}"}
        self._copy("attempts", times, {**both, "id": f"{offset} * (n + 1) + id", **issue}, f"{own} AND id <= {OWN_FEW}")
        self._copy("ledger", times, {**both, "id": "NULL", "issue": f"issue || {mark}"}, f"{own} AND at IS NOT NULL")
        facts = {**both, **issue, "id": "NULL", "attempt_id": f"{offset} * (n + 1) + attempt_id", "day": f"date({at})"}
        self._copy("facts", times, facts, own)

    def count_days(self) -> None:
        """Count the days of practice."""
        self._connection.execute("DELETE FROM practice_days")
        self._connection.execute(
            "INSERT INTO practice_days (member_id, day, questions, solved)"
            " SELECT member_id, date(at), count(*), 0 FROM issues GROUP BY 1, 2"
        )

    def _highest(self, table: str) -> int:
        (highest,) = self._connection.execute(f"SELECT max(id) FROM {table}").fetchone()  # noqa: S608 - our own names
        return int(highest)

    def _copy(self, table: str, times: int, changes: Mapping[str, str], where: str = "") -> None:
        columns = [row[1] for row in self._connection.execute(f"PRAGMA table_info({table})")]
        values = ", ".join(changes.get(column, f"source.{column}") for column in columns)
        condition = where or f"id = {self._source}"
        self._connection.execute(
            f"WITH RECURSIVE numbers(n) AS (SELECT 0 UNION ALL SELECT n + 1 FROM numbers WHERE n + 1 < {times})"  # noqa: S608 - our own names
            f" INSERT INTO {table} SELECT {values} FROM numbers, (SELECT * FROM {table} WHERE {condition}) AS source"
        )


def _signed_in(club: Club, name: str) -> Any:
    from tutor.bootstrap.places import static_folder
    from tutor.web.app import create_site
    from tutor.web.settings import SiteSettings

    site = create_site(club, SiteSettings(secret="benchmark" * 5, static=static_folder()))
    site.config["WTF_CSRF_ENABLED"] = False
    client = site.test_client()
    client.post("/sign-in", data={"sign_in": name, "password": PASSWORD})
    return client
