from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from tests.questions.templates import BENCH, PINNED, STEPS, with_values
from tutor.bootstrap import places
from tutor.cli import main
from tutor.questions.lots import LARGEST_SERIAL

ROOT = Path(__file__).parent.parent.parent
Run = Callable[..., Result]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch) -> Run:
    """Runs a command with the tests' own bank as the shipped one."""
    monkeypatch.setattr(places, "banks_folder", lambda: BENCH.parent)
    return lambda *arguments: CliRunner().invoke(main, [*map(str, arguments)])


@pytest.fixture
def pinned(tmp_path: Path) -> Path:
    """A file with one template whose values are fixed."""
    path = tmp_path / "bank" / "samples" / "sample.yaml"
    path.parent.mkdir(parents=True)
    path.write_text(with_values(STEPS, PINNED), encoding="utf-8")
    return path


def data_of(result: Result) -> Any:
    assert result.exit_code == 0, result.output
    return json.loads(result.stdout)


# -- draw ------------------------------------------------------------------------------------------------------------
def test_draw_prints_a_question_as_data(run: Run, pinned: Path) -> None:
    (question,) = data_of(run("draw", pinned, "--serial", 7, "--json"))
    assert list(question) == ["template", "release", "serial", "givens", "text", "asks", "hints", "solution"]
    assert (question["template"], question["serial"]) == ("sample", 7)
    assert question["givens"]["R1"] == {"value": 22000.0, "unit": "Ω", "shown": "22\N{NO-BREAK SPACE}kΩ"}
    assert question["text"].replace("\N{NO-BREAK SPACE}", " ") == (
        "V1 = 250 V feeds R1 = 22 kΩ over R2 = 47 kΩ, and the tap feeds RL = 100 kΩ."
    )
    ask = question["asks"]["i_load"]
    assert list(ask) == ["kind", "text", "value", "unit", "tolerance", "shown", "slips"]
    assert ask["kind"] == "number"
    # By hand: 47 kΩ and 100 kΩ side by side are 31.97 kΩ, of 53.97 kΩ: 148.10 V, and 1.481 mA through 100 kΩ.
    assert ask["value"] == pytest.approx(1.48097e-3, rel=1e-5)
    assert (ask["unit"], ask["tolerance"], ask["shown"]) == ("A", "2\N{NO-BREAK SPACE}%", "1.48\N{NO-BREAK SPACE}mA")
    assert ask["slips"] == {"wrong-resistor": pytest.approx(148.0968 / 47e3)}
    assert question["hints"] == ["The load lies across the foot.", "Voltage first, then current, then power."]
    assert len(question["solution"]) == 4


def test_draw_counts_serials_on(run: Run) -> None:
    questions = data_of(run("draw", "loaded-divider", "--serial", 5, "--count", 3, "--json"))
    assert [question["serial"] for question in questions] == [5, 6, 7]
    assert questions[1] == data_of(run("draw", "loaded-divider", "--serial", 6, "--json"))[0]


def test_draw_prints_the_options_of_a_choice(run: Run) -> None:
    (question,) = data_of(run("draw", "which-resistor", "--serial", 1, "--json"))
    (ask,) = question["asks"].values()
    assert sorted(ask["options"]) == ["foot", "load", "upper"]
    assert ask["value"] in ask["options"]
    assert ask["tolerance"] is None


def test_draw_prints_a_question_for_people(run: Run, pinned: Path) -> None:
    shown = run("draw", pinned, "--serial", 7).stdout.replace("\N{NO-BREAK SPACE}", " ")
    for line in (
        "V1 = 250 V feeds R1 = 22 kΩ over R2 = 47 kΩ, and the tap feeds RL = 100 kΩ.",
        "  Given: V1 = 250 V, R1 = 22 kΩ, R2 = 47 kΩ, RL = 100 kΩ",
        "  What voltage stands at the tap?   [v_tap]",
        "    key: 148 V ± 2 %",
        "  Hint: The load lies across the foot.",
        "  3. i_load = v_tap/RL = 148 V / 100 kΩ = 1.48 mA",
    ):
        assert f"{line}\n" in shown
    assert shown.startswith("A sample   (sample, release ")


def test_draw_prints_options_with_their_letters(run: Run) -> None:
    shown = run("draw", "which-resistor", "--serial", 1).stdout
    assert [line[:7] for line in shown.splitlines() if line.startswith("    ") and "key" not in line] == [
        "    A  ", "    B  ", "    C  ",
    ]  # fmt: skip


@pytest.mark.parametrize("name", ["loaded-divider", "bench/dividers/loaded-divider"])
def test_a_template_is_named_alone_or_by_its_path(run: Run, name: str) -> None:
    assert data_of(run("draw", name, "--serial", 1, "--json"))[0]["template"] == "loaded-divider"


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (
            ("loaded-dividr", "--serial", 1),
            "Error: there is no template 'loaded-dividr'; did you mean loaded-divider?\n",
        ),
        (("../../secret", "--serial", 1), "Error: there is no template '../../secret'\n"),
        (("*", "--serial", 1), "Error: there is no template '*'\n"),
        (("coupling", "--serial", 1), "Error: there is no template 'coupling'"),
        (
            ("loaded-divider", "--serial", -1),
            "Error: loaded-divider, serial -1: a serial is a whole number from 0 to 9223372036854775807, such as 7\n",
        ),
        (
            ("loaded-divider", "--serial", "seven"),
            "Error: loaded-divider, serial seven: a serial is a whole number from 0 to 9223372036854775807, such as 7\n",
        ),
        (
            ("loaded-divider", "--serial", LARGEST_SERIAL, "--count", 2),
            f"Error: loaded-divider, serial {LARGEST_SERIAL + 1}: a serial is a whole number",
        ),
        (("nowhere.yaml", "--serial", 1), "Error: nowhere.yaml: the file cannot be read (No such file or directory)\n"),
    ],
)
@pytest.mark.parametrize("command", ["draw", "mark"])
def test_what_cannot_be_drawn_says_why(run: Run, command: str, arguments: tuple[object, ...], message: str) -> None:
    if command == "mark" and "--count" in arguments:
        return
    result = run(command, *arguments)
    assert result.exit_code == 1
    assert result.stderr.startswith(message)
    assert result.stdout == ""


def test_a_faulty_file_tells_all_its_faults(run: Run, pinned: Path) -> None:
    pinned.write_text(STEPS.replace("level: 1", "level: 9").replace("title:", "titel:"), encoding="utf-8")
    result = run("draw", pinned, "--serial", 1)
    assert result.exit_code == 1
    assert [line.split(": ")[0] for line in result.stderr.removeprefix("Error: ").splitlines()] == [
        "sample.yaml:2", "sample.yaml:4",
    ]  # fmt: skip


@pytest.mark.parametrize("count", ["0", "-1", "x", "100001"])
def test_a_count_is_a_number_of_questions(run: Run, count: str) -> None:
    assert run("draw", "loaded-divider", "--serial", 1, "--count", count).exit_code == 2


def draw_elsewhere(template: str, cache: Path, seed: str) -> bytes:
    """Draw in a process of its own; return the bytes that it prints."""
    path = next(BENCH.glob(f"*/{template}.yaml"))
    return subprocess.run(
        [sys.executable, "-m", "tutor", "draw", str(path), "--serial", "12345", "--count", "3", "--json"],
        cwd=ROOT, env=os.environ | {"PYTHONHASHSEED": seed, "QUIESCENT_CACHE": str(cache)}, capture_output=True,
        check=True, timeout=60,
    ).stdout  # fmt: skip


@pytest.mark.parametrize("template", ["divider-steps", "which-resistor", "coupling-level"])
def test_the_same_release_and_serial_give_the_same_bytes_in_every_process(template: str, tmp_path: Path) -> None:
    first = draw_elsewhere(template, tmp_path / "a", "1")
    assert first.count(b'"serial": 12346') == 1
    assert draw_elsewhere(template, tmp_path / "b", "987654321") == first


# -- mark ------------------------------------------------------------------------------------------------------------
def test_mark_prints_the_marks_as_data(run: Run, pinned: Path) -> None:
    data = data_of(run("mark", pinned, "--serial", 7, "v_tap=170 V", "i_load=1.7 mA", "--json"))
    assert (data["marks"], data["of"]) == (2, 6)
    assert data["asks"] == {
        "v_tap": {
            "read": {"value": 170.0, "unit": "V"}, "verdict": "slip", "marks": 0, "of": 2, "slip": "load-forgotten",
            "says": "That is the voltage with nothing connected to the tap.",
        },
        "i_load": {
            "read": {"value": 0.0017, "unit": "A"}, "verdict": "follow-through", "marks": 2, "of": 2, "slip": None,
            "says": "Right method, carried on from your own answer to (a).",
        },
        "p_load": {"read": None, "verdict": "blank", "marks": 0, "of": 2, "slip": None, "says": ""},
    }  # fmt: skip


def test_mark_prints_the_marks_for_people(run: Run, pinned: Path) -> None:
    shown = run("mark", pinned, "--serial", 7, "v_tap=148", "i_load=lots").stdout.replace("\N{NO-BREAK SPACE}", " ")
    assert shown.splitlines() == [
        "2 of 6",
        "  v_tap: right, read as 148 V, 2 of 2.",
        "  i_load: unreadable, 0 of 2. Expected a number, then a unit. An answer reads, for example, 3.3 mA.",
        "  p_load: blank, 0 of 2.",
    ]


def test_an_answer_may_hold_signs_of_equality_and_spaces(run: Run, pinned: Path) -> None:
    data = data_of(run("mark", pinned, "--serial", 7, "v_tap = = 148 V", "--json"))
    assert data["asks"]["v_tap"]["verdict"] == "right"


def test_an_answer_without_a_name_says_how_it_is_written(run: Run, pinned: Path) -> None:
    result = run("mark", pinned, "--serial", 7, "148")
    assert result.exit_code == 2
    assert "found '148'; an answer is written name=answer, such as v_tap=68.2V" in result.stderr


def test_an_answer_to_nothing_names_what_is_asked(run: Run, pinned: Path) -> None:
    result = run("mark", pinned, "--serial", 7, "v=148")
    assert result.exit_code == 1
    assert result.stderr == "Error: nothing is asked under 'v'; asked are v_tap, i_load, p_load\n"


@pytest.mark.parametrize("command", ["draw", "mark", "check"])
def test_every_command_helps_itself(run: Run, command: str) -> None:
    result = run(command, "--help")
    assert result.exit_code == 0
    assert "--json" in result.stdout
