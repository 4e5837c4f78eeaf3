"""`quiescent export drawings`: contact sheets of what is shipped."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from tutor.bootstrap.benchmark import processor_time
from tutor.bootstrap.contact_sheets import LOOKS, Sheet, drawings, write_contact_sheets
from tutor.cli import main
from tutor.questions.cache import CompiledCache
from tutor.questions.draw import draw
from tutor.questions.fragments import schematic_of


@pytest.fixture(scope="module")
def sheets() -> list[Sheet]:
    return list(drawings())


def test_every_shipped_drawing_is_on_the_sheets_without_a_flaw(sheets: list[Sheet]) -> None:
    assert {kind: sum(sheet.kind == kind for sheet in sheets) for kind in ("circuit", "plot")}["plot"] >= 9
    assert sum(sheet.kind == "circuit" for sheet in sheets) > 100
    assert [sheet.template for sheet in sheets if sheet.faults] == []


def test_a_page_for_each_look_holds_them_all(sheets: list[Sheet], tmp_path: Path) -> None:
    pages = write_contact_sheets(tmp_path / "sheets", sheets)
    assert [page.stem for page in pages] == list(LOOKS)
    for page in pages:
        text = page.read_text(encoding="utf-8")
        assert text.count("<svg") == len(sheets)
        ids = re.findall(r' id="([^"]+)"', text)
        assert len(ids) == len(set(ids))
    dark, printed = (tmp_path / "sheets" / f"{look}.html" for look in ("dark", "print"))
    assert "@media all {\n  :root" in dark.read_text(encoding="utf-8")
    assert "prefers-color-scheme: dark" not in printed.read_text(encoding="utf-8")


def test_the_command_says_where_the_pages_are(tmp_path: Path) -> None:
    result = CliRunner().invoke(main, ["export", "drawings", str(tmp_path / "out"), "--json"])
    assert result.exit_code == 0, result.output
    found = json.loads(result.output)
    assert found["faults"] == {}
    assert [Path(page).name for page in found["pages"]] == ["light.html", "dark.html", "print.html"]
    assert all(Path(page).is_file() for page in found["pages"])


def test_a_folder_that_cannot_be_written_to_is_said(tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("a file")
    result = CliRunner().invoke(main, ["export", "drawings", str(tmp_path / "taken" / "below")])
    assert result.exit_code == 1
    assert "it cannot be written to" in result.output


def test_drawing_a_schematic_takes_few_milliseconds() -> None:
    from tutor.bootstrap.places import banks_folder
    from tutor.questions.bank import read_library

    template = read_library([banks_folder()]).template("two-stages-in-a-row")
    question = draw(CompiledCache().compiled(template), 7)
    assert processor_time(lambda: schematic_of(question, "c")) < 0.005
