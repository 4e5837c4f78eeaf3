"""A club's server as a process of its own, on the tests' small banks: `python -m tests.durability.server URL PORT`."""

from __future__ import annotations

import sys
from pathlib import Path

from tests.fakes.world import FakePasswords
from tutor.bootstrap.club import put_together
from tutor.bootstrap.places import cache_folder, static_folder
from tutor.bootstrap.world import SystemChance, SystemClock
from tutor.learning.courses import read_shelf
from tutor.store.engine import open_database
from tutor.store.records import SqlRecords
from tutor.web.app import create_site
from tutor.web.settings import SiteSettings

BANKS = Path(__file__).parents[1] / "banks"


def main(url: str, port: int) -> None:
    """Serve until killed."""
    from waitress.server import create_server

    records = SqlRecords(open_database(url))
    shelf = read_shelf([BANKS], cache_folder())
    club = put_together(records, shelf, SystemClock(), SystemChance(), FakePasswords())
    settings = SiteSettings(secret="a secret of the tests, forty characters", static=static_folder(), club="Bench Club")
    server = create_server(create_site(club, settings), host="127.0.0.1", port=port, threads=6)
    sys.stdout.write("serving\n")
    sys.stdout.flush()
    server.run()


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]))
