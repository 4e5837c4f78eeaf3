"""The server is killed again and again in the middle of its work: what it acknowledged is there, and there once.

`QUIESCENT_KILLS` says how often each engine's server is killed; the suite kills a few times, a release two hundred.
"""

from __future__ import annotations

import os
import random
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from tempfile import mkdtemp
from threading import Event, Thread

import pytest

from tests.durability.members import Diligent, Trouble
from tests.fakes.world import FakePasswords
from tests.postgres import running
from tests.web.conftest import PASSWORD
from tutor.bootstrap.world import SystemChance, SystemClock
from tutor.learning.doctor import examine
from tutor.learning.membership import Membership
from tutor.store.engine import open_database
from tutor.store.records import SqlRecords

KILLS = int(os.environ.get("QUIESCENT_KILLS", "8"))
MEMBERS = 6


@pytest.fixture(params=["sqlite", "postgresql"])
def url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    if request.param == "sqlite":
        yield f"sqlite:///{tmp_path / 'club.sqlite'}"
        return
    with running(Path(mkdtemp(prefix="pg"))) as found:
        yield found


def free_port() -> int:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


def start(url: str, port: int) -> subprocess.Popen[str]:
    command = [sys.executable, "-m", "tests.durability.server", url, str(port)]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=Path(__file__).parents[2])
    assert process.stdout is not None
    assert process.stdout.readline() == "serving\n"
    process.stdout.close()
    return process


def answers(address: str) -> bool:
    try:
        with urllib.request.urlopen(address, timeout=10):
            return True
    except Trouble:
        return False


def test_what_was_acknowledged_survives_every_kill_and_is_there_once(
    url: str, capsys: pytest.CaptureFixture[str]
) -> None:
    port = free_port()
    address = f"http://127.0.0.1:{port}"
    server = start(url, port)
    engine = open_database(url)
    records = SqlRecords(engine)
    membership = Membership(records, SystemClock(), SystemChance(), FakePasswords())
    members = [Diligent(address, f"member{number}") for number in range(MEMBERS)]
    for member in members:
        membership.add(member.sign_in, member.sign_in, PASSWORD)
    stop = Event()
    threads = [Thread(target=member.practise, args=(stop,)) for member in members]
    for thread in threads:
        thread.start()
    dice = random.Random(KILLS)
    try:
        for _ in range(KILLS):
            # Somebody must be at work again, else the kill meets nobody.
            before = sum(len(member.acknowledged) for member in members)
            while sum(len(member.acknowledged) for member in members) == before:
                time.sleep(0.01)
            time.sleep(dice.uniform(0.0, 0.5))
            server.send_signal(signal.SIGKILL)
            server.wait()
            server = start(url, port)
            assert answers(address)
    finally:
        stop.set()
        for thread in threads:
            thread.join(timeout=120)
        server.kill()
        server.wait()
    assert [refusal for member in members for refusal in member.refused] == []
    acknowledged = [taken for member in members for taken in member.acknowledged]
    with records.look() as work:
        kept = {(issue.id, attempt.key): attempt for issue in work.questions.every() for attempt in issue.attempts}
        total = sum(len(issue.attempts) for issue in work.questions.every())
    lost = [taken for taken in acknowledged if taken not in kept]
    with capsys.disabled():
        again = sum(member.sent_again for member in members)
        sys.stdout.write(
            f"\n{KILLS} kills, {len(acknowledged)} answers acknowledged, {again} sent again, {len(lost)} lost\n"
        )
    assert len(acknowledged) >= KILLS
    assert lost == []
    assert total == len(kept) == len(set(acknowledged))
    assert list(examine(records)) == []
    engine.dispose()
