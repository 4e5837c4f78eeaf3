"""A round of forty papers, there and back, with real servers, by a postman who is killed at fifty random moments."""

from __future__ import annotations

import email
import email.policy
import os
import random
import signal
import subprocess
import sys
import time
from collections import Counter
from contextlib import ExitStack
from dataclasses import dataclass, field
from datetime import UTC, datetime
from email.message import EmailMessage
from pathlib import Path

import pytest

from tests.post.replies_corpus import PAPERS, Style, corpus, filled
from tests.post.servers import CLUB, Delivery, deliver, imap, smtp
from tests.post.worker import is_busy, open_club
from tutor.bootstrap.club import Club
from tutor.learning.courses import Shelf
from tutor.learning.records import Issue
from tutor.learning.round_records import By, LetterKind, LetterState, ReplyState, Round, RoundPaper, RoundSheet
from tutor.learning.rounds.codes import code_of, shown
from tutor.learning.rounds.labels import places_of

pytestmark = pytest.mark.slow
FORTY, KILLS, SEED = 40, 50, 1953
ROOT = Path(__file__).parents[2]


@dataclass
class Scene:
    """A club, its servers, and what happened to the postman."""

    club: Club
    folder: Path
    smtp_port: int
    imap_port: int
    dice: random.Random = field(default_factory=lambda: random.Random(SEED))
    killed: int = 0
    amid: int = 0  # kills that left a letter half-way
    nursery: subprocess.Popen[str] = field(init=False)

    def __post_init__(self) -> None:
        # Without a Chromium on its way: the drawing itself is attached then, and a kill hits the post and not the browser.
        environment = {**os.environ, "PYTHONPATH": str(ROOT), "PATH": str(self.folder), "CHROMIUM": ""}
        arguments = [
            sys.executable,
            "-m",
            "tests.post.worker",
            str(self.folder),
            str(self.smtp_port),
            str(self.imap_port),
        ]
        self.nursery = subprocess.Popen(
            arguments, cwd=ROOT, env=environment, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )

    def born(self) -> int:
        """Start a postman, and return its number."""
        self.tell("one more")
        return self.heard("born")

    def gone(self) -> int:
        """Wait for the end of a postman, and return its status."""
        self.tell("wait")
        return self.heard("gone")

    def tell(self, line: str) -> None:
        assert self.nursery.stdin is not None
        self.nursery.stdin.write(f"{line}\n")
        self.nursery.stdin.flush()

    def heard(self, word: str) -> int:
        assert self.nursery.stdout is not None
        line = self.nursery.stdout.readline().split()
        assert line[:1] == [word], line
        return int(line[1])

    def killed_at_random(self, times: int, longest: float) -> None:
        """Start postmen and kill so many at random moments, as long as there is something to do."""
        wanted, idle = self.killed + times, 0
        while self.killed < wanted and idle < 3:  # who ends by himself again and again has nothing left to do
            postman = self.born()
            time.sleep(self.dice.uniform(0.05, longest))
            os.kill(postman, signal.SIGKILL)
            status = self.gone()
            assert status in (0, -signal.SIGKILL), status
            self.killed += status == -signal.SIGKILL
            idle = 0 if status else idle + 1
            with self.club.records.look() as work:
                self.amid += len(work.letters.in_state(LetterState.SENDING))

    def finished(self) -> None:
        """Let postmen work in peace until nothing is left to do."""
        deadline = time.monotonic() + 120
        while time.monotonic() < deadline:
            self.born()
            assert self.gone() == 0
            if not is_busy(self.club):
                return
        raise AssertionError("the post never came to an end")

    def close(self) -> None:
        assert self.nursery.stdin is not None
        assert self.nursery.stdout is not None
        self.nursery.stdin.close()
        self.nursery.wait(timeout=30)
        self.nursery.stdout.close()


def members_with_papers(club: Club, shelf: Shelf, styles: list[Style]) -> Round:
    """Make a round in which each member has the paper that their reply answers."""
    round_ = Round(
        id="forty", title="Dividers in March", lesson="first", topics=("dividers",), templates=PAPERS["simple"],
        common=False, note="", made=datetime(2026, 3, 1, tzinfo=UTC), closes=None,
    )  # fmt: skip
    people = [
        club.membership.add(f"member{n:02}", f"Member No. {n}", "copper anode lantern") for n in range(len(styles))
    ]
    codes = [code for code in map(code_of, range(4_000_000, 4_100_000, 7)) if code is not None]
    with club.records.work() as work:
        work.rounds.add(round_)
        for person, style, code in zip(people, styles, codes, strict=False):
            issues = [
                Issue(
                    id=f"{person.sign_in}-{n}", member=person.id, lesson="first", paper=f"round {code}",
                    question=shelf.draw(shelf.template(template), 100 + n), at=round_.made,
                )
                for n, template in enumerate(PAPERS[style.paper])
            ]  # fmt: skip
            for issue in issues:
                work.questions.add(issue)
            work.rounds.add_paper(
                RoundPaper(code=code, round="forty", member=person.id, by=By.MAIL, issues=tuple(i.id for i in issues))
            )
    for person in people:
        club.rounds.addresses.put(person.id, f"{person.sign_in}@members.example", By.MAIL)
    return round_


def reply_of(style: Style, sheet: RoundSheet, sent: EmailMessage) -> bytes:
    """Return a style of the corpus as the member's own mail, quoting what they were really sent."""
    text = sent.get_body(("plain",)).get_content().replace("\r\n", "\n")
    source = (Path(__file__).parent / "corpus" / style.name).read_bytes()
    raw = filled(source, sheet, text).replace(b"K7M-XQ4", shown(sheet.paper.code).encode())
    if style.name.endswith(".eml"):
        for name in (b"bert@members.example", b"dov@members.example"):
            raw = raw.replace(name, sheet.address.email.encode())
        return raw
    message = EmailMessage(policy=email.policy.SMTP)
    message["From"], message["To"] = f"{sheet.member.name} <{sheet.address.email}>", CLUB
    message["Subject"] = f"Re: {sent['Subject']}"
    message["Message-ID"] = f"<{sheet.member.sign_in}.reply@members.example>"
    message["In-Reply-To"] = sent["Message-ID"]
    message.set_content(raw.decode())
    return message.as_bytes()


def once_each(delivery: Delivery, kind: str) -> Counter[str]:
    """Return how often each letter of a kind was taken by the server."""
    found = [email.message_from_bytes(raw, policy=email.policy.default) for _, raw in delivery.taken]
    return Counter(str(m["Message-ID"]) for m in found if str(m["Subject"]).startswith(kind))


def test_nothing_is_sent_twice_and_nothing_lost_however_often_the_postman_is_killed(
    tmp_path: Path, shelf: Shelf, capsys: pytest.CaptureFixture[str]
) -> None:
    styles = random.Random(SEED).sample(corpus(shelf), FORTY)
    club = open_club(tmp_path)
    round_ = members_with_papers(club, shelf, styles)
    with ExitStack() as stack:
        imap_port, maildir = stack.enter_context(imap())
        delivery = Delivery(maildir)
        smtp_port = stack.enter_context(smtp(delivery))
        scene = Scene(club, tmp_path, smtp_port, imap_port)
        stack.callback(scene.close)

        assert club.rounds.outbox.queue_papers(round_.id) == FORTY
        scene.killed_at_random(22, 0.3)
        scene.finished()
        papers = once_each(delivery, "Dividers")
        assert (len(papers), set(papers.values())) == (FORTY, {1})

        sent = {raw_to[0]: email.message_from_bytes(raw, policy=email.policy.default) for raw_to, raw in delivery.taken}
        sheets = list(club.rounds.making.sheets(round_.id))
        for style, sheet in zip(styles, sheets, strict=True):
            deliver(maildir, reply_of(style, sheet, sent[sheet.address.email]))
        scene.killed_at_random(18, 0.2)
        scene.finished()
        told = check_reading(club, round_, styles)

        decide_the_rest(club)
        assert club.rounds.answering.approve_all(round_.id) == FORTY
        scene.killed_at_random(max(KILLS - scene.killed, 10), 0.3)
        scene.finished()
        marks = once_each(delivery, "Your marks")
        assert (len(marks), set(marks.values())) == (FORTY, {1})
    letters = club.rounds.outbox.of_round(round_.id)
    assert {letter.state for letter in letters} == {LetterState.SENT}
    assert Counter(letter.kind for letter in letters) == {LetterKind.PAPER: FORTY, LetterKind.MARKS: FORTY}
    with capsys.disabled():
        print(  # noqa: T201 - the figures are wanted
            f"\n{told}; killed {scene.killed} times ({scene.amid} amid a letter), {FORTY} papers and {FORTY} letters with marks taken once each"
        )
    assert scene.killed >= KILLS - 5  # the last ones may find that everything is done


def check_reading(club: Club, round_: Round, styles: list[Style]) -> str:
    """Check every answer that was read against what was meant; return the figures."""
    sheets = list(club.rounds.making.sheets(round_.id))
    with club.records.look() as work:
        replies = {reply.paper: reply for reply in work.replies.of_papers([s.paper.code for s in sheets])
                   if reply.state is not ReplyState.COPY}  # fmt: skip
    wanted = read = alone = 0
    for style, sheet in zip(styles, sheets, strict=True):
        reply = replies[sheet.paper.code]
        assert reply.state is (ReplyState.QUEUED if style.person else ReplyState.MARKED), (style.name, reply.why)
        assert dict(reply.found) == dict(style.expect), style.name
        wanted += len(places_of(sheet.issues)) if style.person else len(style.expect)
        read += len(reply.found)
        alone += 0 if style.person else len(reply.found)
        for place in places_of(sheet.issues):
            stored = [attempt.answers.get(place.ask.name, "") for attempt in place.issue.attempts]
            meant = [] if style.person else [style.expect[place.label]] if place.label in style.expect else stored
            assert stored == meant, (style.name, place.label)  # each answer once, as it was meant
    assert read / wanted >= 0.9
    return f"{FORTY} replies, {wanted} answers: {100 * read / wanted:.0f} % read, {100 * alone / wanted:.0f} % without anybody looking"


def decide_the_rest(club: Club) -> None:
    """Be the person who decides what was queued."""
    for reply in club.rounds.receiving.queue():
        sheet = club.rounds.answering.sheet(reply.paper)
        first = places_of(sheet.issues)[0]
        club.rounds.receiving.decide(reply.id, {first.label: "43.9"} | dict(reply.found))
