from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from tests.questions.templates import BENCH, STEPS
from tutor.bootstrap import places
from tutor.cli import main

Run = Callable[..., Result]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch) -> Run:
    """Runs a command with the tests' own bank as the shipped one."""
    monkeypatch.setattr(places, "banks_folder", lambda: BENCH.parent)
    return lambda *arguments: CliRunner().invoke(main, [*map(str, arguments)])


@pytest.fixture
def broken(tmp_path: Path) -> Path:
    """A bank of three: one sound, one with a wrong formula, one with faults in the file."""
    folder = tmp_path / "bank" / "samples"
    folder.mkdir(parents=True)
    for name, text in {
        "sound": STEPS,
        "wrong": STEPS.replace("formula: v_tap/RL", "formula: v_tap/R2"),
        "faulty": STEPS.replace("level: 1", "level: 9"),
    }.items():
        (folder / f"{name}.yaml").write_text(text.replace("template: sample", f"template: {name}"), encoding="utf-8")
    return tmp_path / "bank"


def data_of(result: Result) -> Any:
    return json.loads(result.stdout)


def test_a_sound_bank_is_proved(run: Run) -> None:
    result = run("check", BENCH, "--draws", 60)
    assert result.exit_code == 0, result.stderr
    assert result.stdout.splitlines()[-1] == "6 templates, 60 draws each: 0 fail, 0 faults in files"
    assert [line.split()[:2] for line in result.stdout.splitlines()[:-1]] == [
        ["proved", name]
        for name in (
            "foot-open",
            "which-resistor",
            "divider-steps",
            "loaded-divider",
            "coupling-choose",
            "coupling-level",
        )
    ]


def test_without_a_place_the_shipped_banks_are_checked(run: Run) -> None:
    assert "6 templates, 200 draws each: 0 fail, 0 faults in files" in run("check").stdout


def test_a_broken_bank_fails_and_says_what_to_mend(run: Run, broken: Path) -> None:
    result = run("check", broken, "--draws", 30)
    assert result.exit_code == 1
    assert result.stdout.splitlines()[-1] == "2 templates, 30 draws each: 1 fail, 1 faults in files"
    faults = [line.strip() for line in result.stderr.splitlines()]
    assert faults[0].startswith("bank/samples/wrong.yaml:26: ask.i_load.formula: it gives ")
    assert faults[-1] == 'bank/samples/faulty.yaml:4: level: found "9"; known are 1, 2, 3, 4'


def test_one_file_is_checked_alone(run: Run, broken: Path) -> None:
    assert run("check", broken / "samples" / "sound.yaml", "--draws", 20).exit_code == 0
    assert run("check", broken / "samples" / "wrong.yaml", "--draws", 20).exit_code == 1
    faulty = run("check", broken / "samples" / "faulty.yaml", "--draws", 20)
    assert faulty.exit_code == 1
    assert faulty.stderr == 'faulty.yaml:4: level: found "9"; known are 1, 2, 3, 4\n'


def test_several_places_are_checked_together(run: Run, broken: Path) -> None:
    result = run("check", broken / "samples" / "sound.yaml", BENCH, "--draws", 20)
    assert result.stdout.splitlines()[-1].startswith("7 templates, 20 draws each: ")


def test_check_prints_data(run: Run, broken: Path) -> None:
    result = run("check", broken, "--draws", 30, "--json")
    assert result.exit_code == 1
    data = data_of(result)
    assert (list(data), data["draws"]) == (["draws", "templates", "faults"], 30)
    assert data["faults"] == [
        {"file": "bank/samples/faulty.yaml", "line": 4, "key": "level", "message": 'found "9"; known are 1, 2, 3, 4'}
    ]
    sound, wrong = data["templates"]
    assert list(sound) == ["template", "release", "file", "proved", "questions", "refused", "slips", "findings"]
    assert (sound["template"], sound["proved"], sound["findings"], sound["refused"]) == ("sound", True, [], 0.0)
    assert set(sound["slips"]) == {"v_tap.load-forgotten", "i_load.wrong-resistor", "p_load.not-the-tap"}
    assert not wrong["proved"]
    assert (wrong["findings"][0]["check"], wrong["findings"][0]["key"], wrong["findings"][0]["line"]) == (
        "circuit", "ask.i_load.formula", 26,
    )  # fmt: skip


def test_check_prints_the_same_data_every_time(run: Run) -> None:
    assert run("check", BENCH, "--draws", 20, "--json").stdout == run("check", BENCH, "--draws", 20, "--json").stdout


def test_nothing_to_check_is_no_success(run: Run, tmp_path: Path) -> None:
    result = run("check", tmp_path)
    assert result.exit_code == 1
    assert result.stdout == "0 templates, 200 draws each: 0 fail, 0 faults in files\n"


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("nowhere",), "Path 'nowhere' does not exist"),
        (("--draws", 5), "5 is not in the range"),
        (("--draws", "x"), "'x' is not a valid"),
    ],
)
def test_what_cannot_be_checked_says_why(run: Run, arguments: tuple[object, ...], message: str) -> None:
    result = run("check", *arguments)
    assert result.exit_code == 2
    assert message in result.stderr
