"""The clubs that pages are measured over hold what they are said to hold."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from tutor.bootstrap import benchmark_large as large


@pytest.mark.slow
def test_a_filled_club_has_its_attempts_and_all_pages_answer(tmp_path: Path) -> None:
    filled = large._filled(tmp_path / "club", 4000)
    with closing(sqlite3.connect(tmp_path / "club" / "club.sqlite")) as connection:
        counts = {
            name: connection.execute(f"SELECT count(*) FROM {name}").fetchone()[0] for name in ("attempts", "issues")
        }
        own = dict(connection.execute("SELECT member_id, count(*) FROM attempts GROUP BY 1").fetchall())
        assert not connection.execute("PRAGMA foreign_key_check").fetchall()
    assert counts["attempts"] == counts["issues"]
    assert 4000 - large.OWN_FEW < counts["attempts"] <= 4000
    assert own[1] == large.OWN_FEW
    assert own[2] == large.OWN_FEW * large.COPIES
    for who, address in filled.pages():
        filled.fetch(who, address)
