"""A club put together: records, shelf, clock, and the use cases over them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, tzinfo
from pathlib import Path

from tutor.bootstrap.background import Background
from tutor.bootstrap.places import banks_folder, cache_folder
from tutor.bootstrap.post import rounds_for
from tutor.bootstrap.world import SystemChance, SystemClock
from tutor.learning.bank_review import BankReview
from tutor.learning.class_room import ClassRoom
from tutor.learning.course_work import CourseWork
from tutor.learning.courses import Shelf, read_shelf
from tutor.learning.membership import Membership, Office, OwnAccount, PersonalData, SignIns
from tutor.learning.papers import Tests
from tutor.learning.ports import Chance, Clock, Passwords, Records
from tutor.learning.practice import Practice
from tutor.learning.progress import Progress
from tutor.learning.rounds.rounds import Rounds
from tutor.learning.workshop.proving import Runner
from tutor.learning.workshop.whole import Workbench, workbench
from tutor.post.style import House


@dataclass(frozen=True, slots=True)
class Club:
    """The use cases of one club.

    Attributes:
        membership, sign_ins, own_account, office, personal_data: The use cases of accounts.
        practice, tests, progress, course_work, class_room, bank_review: Those of learning.
        workshop, rounds: Those of making questions, and of sending them round.
        shelf: Courses and templates.
        records: The records behind them.
        clock: The clock.
    """

    membership: Membership
    sign_ins: SignIns
    own_account: OwnAccount
    office: Office
    personal_data: PersonalData
    practice: Practice
    tests: Tests
    progress: Progress
    course_work: CourseWork
    class_room: ClassRoom
    bank_review: BankReview
    workshop: Workbench
    rounds: Rounds
    shelf: Shelf
    records: Records
    clock: Clock


def put_together(
    records: Records,
    shelf: Shelf,
    clock: Clock,
    chance: Chance,
    passwords: Passwords,
    house: House | None = None,
    *,
    run: Runner | None = None,
    attach_pdf: bool = False,
) -> Club:
    """Join ports and adapters.

    Args:
        records: The records.
        shelf: Courses and templates.
        clock: The clock.
        chance: Serials, tokens, codes.
        passwords: Hashes passwords.
        house: Name and mail address of the club; its name makes no password.
        run: Runs proofs; in the background when left out.
        attach_pdf: Whether papers of rounds come as PDF too.
    """
    name = house.club if house is not None else ""
    practice = Practice(records, clock, chance, shelf)
    progress = Progress(records, clock, shelf)
    return Club(
        membership=Membership(records, clock, chance, passwords, name),
        sign_ins=SignIns(records, clock, chance, passwords),
        own_account=OwnAccount(records, clock, chance, passwords, name),
        office=Office(records, clock, chance),
        personal_data=PersonalData(records, clock),
        practice=practice,
        tests=Tests(practice),
        progress=progress,
        course_work=CourseWork(records, clock, chance, shelf, progress),
        class_room=ClassRoom(records, clock, shelf, progress),
        bank_review=BankReview(records, shelf),
        workshop=workbench(records, clock, chance, shelf, run or Background()),
        rounds=rounds_for(practice, house or House("Your club"), attach_pdf=attach_pdf),
        shelf=shelf,
        records=records,
        clock=clock,
    )


def database_url(data: Path) -> str:
    """Return the URL of the SQLite database in a data folder."""
    return f"sqlite:///{(data / 'club.sqlite').resolve()}"


def open_club(
    url: str,
    banks: Iterable[Path] | None = None,
    cache: Path | None = None,
    zone: tzinfo = UTC,
    house: House | None = None,
    *,
    attach_pdf: bool = False,
) -> Club:
    """Open a club's records and the shipped banks.

    Args:
        url: The database.
        banks: Folders of banks; the shipped ones when None.
        cache: Folder for compiled templates; the user's own when None.
        zone: The club's time zone.
        house: Name and mail address of the club.
        attach_pdf: Whether papers of rounds come as PDF too.
    Raises:
        StoreError: If the database cannot be used.
    """
    from tutor.store.engine import open_database
    from tutor.store.passwords import Argon2Passwords
    from tutor.store.records import SqlRecords

    shelf = read_shelf(banks if banks is not None else [banks_folder()], cache or cache_folder())
    return put_together(
        SqlRecords(open_database(url)),
        shelf,
        SystemClock(zone),
        SystemChance(),
        Argon2Passwords(),
        house,
        attach_pdf=attach_pdf,
    )
