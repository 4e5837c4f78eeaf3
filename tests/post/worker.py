"""Postmen in processes of their own, to be killed: they send and fetch until nothing is left to do."""

from __future__ import annotations

import os
import sys
import time
import traceback
from datetime import timedelta
from pathlib import Path

from tests.conftest import BANKS
from tests.fakes.world import FakePasswords
from tests.post.servers import CLUB, PASSWORD, USER
from tutor.bootstrap.club import Club, put_together
from tutor.bootstrap.post import MailSettings, post_turn
from tutor.bootstrap.world import SystemChance, SystemClock
from tutor.learning.courses import read_shelf
from tutor.learning.round_records import LetterState
from tutor.post.smtp import Security, Server
from tutor.post.style import House
from tutor.store.engine import open_database
from tutor.store.records import SqlRecords

BUSY = (LetterState.QUEUED, LetterState.SENDING, LetterState.UNSURE)


def open_club(folder: Path) -> Club:
    records = SqlRecords(open_database(f"sqlite:///{folder / 'club.sqlite'}"))
    house = House("Harbour Lane Valve Society", address=CLUB)
    return put_together(records, read_shelf([BANKS], None), SystemClock(), SystemChance(), FakePasswords(), house)


def settings(smtp_port: int, imap_port: int) -> MailSettings:
    here = {"host": "127.0.0.1", "security": Security.NONE}
    return MailSettings(
        address=CLUB,
        smtp=Server(port=smtp_port, **here),
        imap=Server(port=imap_port, user=USER, password=PASSWORD, **here),
        per_minute=6000,
        settle=timedelta(seconds=2),
    )


def is_busy(club: Club) -> bool:
    with club.records.look() as work:
        return any(work.letters.in_state(state, limit=1) for state in BUSY)


def work(folder: Path, mail: MailSettings) -> None:
    """Send and fetch until nothing is left to do."""
    club = open_club(folder)
    while True:
        post_turn(club.rounds, mail, folder)
        if not is_busy(club):
            return
        time.sleep(0.2)


def main() -> None:
    """Bear a postman for every line that comes in: everything is imported by then, and a kill hits the work itself."""
    folder, mail = Path(sys.argv[1]), settings(int(sys.argv[2]), int(sys.argv[3]))
    for _ in sys.stdin:
        child = os.fork()
        if child == 0:
            status = 1
            try:
                work(folder, mail)
                status = 0
            except Exception:
                traceback.print_exc()
            finally:
                sys.stderr.flush()
                os._exit(status)
        say(f"born {child}")
        sys.stdin.readline()  # until then the child keeps its number, even when it has ended
        _, status = os.waitpid(child, 0)
        say(f"gone {os.waitstatus_to_exitcode(status)}")


def say(line: str) -> None:
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main()
