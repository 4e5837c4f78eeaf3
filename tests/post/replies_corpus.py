"""The corpus of replies: papers that they answer, and the files with what each is to be read as."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import yaml

from tutor.learning.courses import Shelf
from tutor.learning.records import Issue, Member, Role
from tutor.learning.round_records import Address, By, Round, RoundPaper, RoundSheet
from tutor.learning.rounds.codes import shown
from tutor.post.paper_text import paper_text
from tutor.post.style import House

FOLDER = Path(__file__).parent / "corpus"
HOUSE = House("Harbour Lane Valve Society", address="rounds@harbour-lane.example")
AT = datetime(2026, 3, 2, 19, 0, tzinfo=UTC)
PAPERS = {
    # 1: volts; 2: A, B or C; 3: volts
    "simple": ("loaded-divider", "which-resistor", "loaded-divider"),
    # 1a V, 1b mA, 1c mW; 2a and 2b directions
    "steps": ("divider-steps", "foot-open"),
    # 1a Hz, 1b a share, 1c dB
    "levels": ("coupling-level",),
    # 1: volts
    "single": ("loaded-divider",),
}


@dataclass(frozen=True)
class Style:
    """One reply of the corpus.

    `expect` holds label → answer as it is to be read with certainty; `person` says that somebody has to look.
    """

    name: str
    paper: str
    raw: bytes
    expect: Mapping[str, str]
    person: bool


def sheet_for(shelf: Shelf, paper: str, code: str = "K7MXQ4", name: str = "Bert Amble") -> RoundSheet:
    issues = tuple(
        Issue(
            id=f"i{n}", member=4, lesson="first", paper=f"round {code}", at=AT,
            question=shelf.draw(shelf.template(template), 100 + n),
        )
        for n, template in enumerate(PAPERS[paper])
    )  # fmt: skip
    return RoundSheet(
        round=Round(
            id="r", title="Dividers in March", lesson="first", topics=("dividers",), templates=PAPERS[paper], common=False,
            note="", made=AT, closes=None,
        ),
        paper=RoundPaper(code=code, round="r", member=4, by=By.MAIL, issues=tuple(i.id for i in issues)),
        member=Member(4, "bert.amble", name, Role.MEMBER, "x", AT),
        address=Address(4, "bert@members.example", By.MAIL),
        issues=issues,
    )  # fmt: skip


def corpus(shelf: Shelf) -> list[Style]:
    table: dict[str, dict[str, Any]] = yaml.safe_load((FOLDER / "expected.yaml").read_text(encoding="utf-8"))
    files = {path.name for path in FOLDER.iterdir() if path.suffix in (".txt", ".eml")}
    assert files == set(table), files ^ set(table)
    return [
        Style(
            name=name,
            paper=row.get("paper", "simple"),
            raw=filled((FOLDER / name).read_bytes(), sheet_for(shelf, row.get("paper", "simple"))),
            expect={str(label): str(answer) for label, answer in (row.get("read") or {}).items()},
            person=bool(row.get("person", False)),
        )
        for name, row in sorted(table.items())
    ]


def filled(raw: bytes, sheet: RoundSheet, text: str = "") -> bytes:
    """Put the paper, its code, and the paper quoted with `> ` in place of `{{paper}}`, `{{code}}`, `{{quoted}}`."""
    text = text or paper_text(HOUSE, sheet)
    # Typed on a paper that says UTF-8, as the files are; those in other encodings hold none of it.
    for mark, words in (
        (b"{{paper}}", text),
        (b"{{quoted}}", "".join(f"> {line}".rstrip() + "\n" for line in text.splitlines())),
        (b"{{code}}", shown(sheet.paper.code)),
    ):
        raw = raw.replace(mark, words.encode())
    return raw


def renamed(sheet: RoundSheet, name: str) -> RoundSheet:
    return replace(sheet, member=replace(sheet.member, name=name))
