"""`quiescent solve`: what it prints, for people and for programs, and what becomes of files that cannot be solved."""

from __future__ import annotations

import json
import time
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from tests.circuits.networks import number, resistor
from tests.circuits.test_classics import ladder
from tutor.cli import main

STAGE = """circuit: stage
parts:
  V1: {kind: voltage source, nodes: [in, 0], value: 250 V}
  R1: {kind: resistor, nodes: [in, out], value: 10 kΩ}
  R2: {kind: resistor, nodes: [out, 0], value: 15 kΩ}
  C1: {kind: capacitor, nodes: [out, 0], value: 1 µF}
ask:
- {voltage: out}
- {current: V1}
- {voltage: [in, out], analysis: ac, frequency: 50 Hz}
- {power: R2, analysis: ac, frequency: 50 Hz}
- {gain: {from: in, to: out}}
- {impedance: out, analysis: ac, frequency: 1 MHz, take: phase}
- {time constant: C1}
- {voltage: out, analysis: step, time: 6 ms}
"""
BAD = STAGE.replace("nodes: [out, 0], value: 15 kΩ", "nodes: [out], value: 15 kV")


def solve(*arguments: Any) -> Result:
    return CliRunner().invoke(main, ["solve", *(str(argument) for argument in arguments)])


@pytest.fixture
def stage(tmp_path: Path) -> Path:
    path = tmp_path / "stage.yaml"
    path.write_text(STAGE, encoding="utf-8")
    return path


def test_json_holds_file_circuit_and_every_answer_in_si_units(stage: Path) -> None:
    result = solve("--json", stage)
    assert result.exit_code == 0
    (entry,) = json.loads(result.stdout)
    assert list(entry) == ["file", "circuit", "asked"]
    assert (entry["file"], entry["circuit"]) == (str(stage), "stage")
    first, source, drop, power, gain, phase, constant, step = entry["asked"]
    assert first == {"ask": {"voltage": "out"}, "formula": "V1*R2/(R1 + R2)", "value": 150.0, "unit": "V"}
    assert source == {"ask": {"current": "V1"}, "formula": "-V1/(R1 + R2)", "value": -0.01, "unit": "A"}
    assert list(drop) == ["ask", "formula", "value", "unit", "phase"]
    assert drop["formula"] == "(V1*R1 + j*omega*V1*R1*R2*C1)/(R1 + R2 + j*omega*R1*R2*C1)"
    assert power["formula"] is None
    assert "phase" not in power
    assert gain["unit"] == ""
    assert (phase["unit"], phase["value"]) == ("°", pytest.approx(-90.0, abs=0.01))
    assert constant == {"ask": {"time constant": "C1"}, "formula": "R1*R2*C1/(R1 + R2)", "value": 0.006, "unit": "s"}
    assert step["formula"] == "V1*R2/(R1 + R2)*(1 - exp(-t*(R1 + R2)/(R1*R2*C1)))"
    assert step["value"] == pytest.approx(150.0 * (1 - 1 / 2.718281828459045))


def test_people_read_words_units_and_the_formula(stage: Path) -> None:
    result = solve(stage)
    assert result.exit_code == 0
    assert result.stdout.replace("\N{NO-BREAK SPACE}", " ").splitlines()[:6] == [
        f"stage ({stage})",
        "  voltage out: 150 V   = V1*R2/(R1 + R2)",
        "  current V1: −10 mA   = -V1/(R1 + R2)",
        "  voltage in against out, analysis ac, frequency 50 Hz: 225.764 V at 15.97°   = "
        "(V1*R1 + j*omega*V1*R1*R2*C1)/(R1 + R2 + j*omega*R1*R2*C1)",
        "  power R2, analysis ac, frequency 50 Hz: 0.329449 W",
        "  gain from in to out: 0.6   = R2/(R1 + R2)",
    ]


def test_an_unsolvable_file_yields_its_error_and_the_others_still_print(stage: Path, tmp_path: Path) -> None:
    bad, missing = tmp_path / "bad.yaml", tmp_path / "missing.yaml"
    bad.write_text(BAD, encoding="utf-8")
    result = solve("--json", bad, stage, missing)
    assert result.exit_code == 1
    first, second, third = json.loads(result.stdout)
    assert first == {
        "file": str(bad),
        "error": "bad.yaml:5: parts.R2.nodes: found ['out']; a resistor wants a list of 2 nodes [a, b]",
    }
    assert second["circuit"] == "stage"
    assert third == {
        "file": str(missing),
        "error": "missing.yaml: the file cannot be read (No such file or directory)",
    }


def test_errors_for_people_go_to_the_other_stream(stage: Path, tmp_path: Path) -> None:
    bad = tmp_path / "bad.yaml"
    bad.write_text(STAGE.replace("{current: V1}", "{current: V2}"), encoding="utf-8")
    result = solve(bad, stage)
    assert result.exit_code == 1
    assert result.stderr == f"{bad}: the circuit has no part 'V2'; it has V1, R1, R2, C1\n"
    assert result.stdout.startswith(f"stage ({stage})\n")


def test_a_file_that_asks_nothing_has_no_answers(tmp_path: Path) -> None:
    path = tmp_path / "quiet.yaml"
    path.write_text(STAGE.partition("ask:")[0], encoding="utf-8")
    result = solve("--json", path)
    assert result.exit_code == 0
    assert json.loads(result.stdout) == [{"file": str(path), "circuit": "stage", "asked": []}]


def test_a_ladder_of_24_is_solved_in_numbers_without_a_formula(tmp_path: Path) -> None:
    path = tmp_path / "ladder.yaml"
    parts = {"V1": {"kind": "voltage source", "nodes": ["n0", "0"], "value": number(1.0, "V")}, **ladder(24)}
    path.write_text(json.dumps({"circuit": "ladder", "parts": parts, "ask": [{"voltage": "n24"}]}), encoding="utf-8")
    began = time.perf_counter()
    result = solve("--json", path)
    assert time.perf_counter() - began < 2
    (answer,) = json.loads(result.stdout)[0]["asked"]
    assert answer == {"ask": {"voltage": "n24"}, "formula": None, "value": pytest.approx(1 / 7778742049), "unit": "V"}


def hostile_files() -> dict[str, bytes]:
    """Files that mean harm, or are merely odd; each must end in an error of its own."""
    part = "{kind: resistor, nodes: [a, 0], value: 1 Ω}"
    plain = f"circuit: x\nparts:\n  R1: {part}\nask: [{{voltage: a}}]\n"
    many = {f"R{n}": resistor(f"n{n}", f"n{n + 1}", 1.0) for n in range(200)}
    return {
        "latin.yaml": "circuit: café\n".encode("latin-1"),
        "twice.yaml": (plain + f"parts:\n  R1: {part}\n").encode(),
        "same part.yaml": f"parts:\n  R1: {part}\n  R1: {part}\n".encode(),
        "anchor.yaml": f"parts:\n  R1: &r {part}\n  R2: *r\n".encode(),
        "tag.yaml": b"parts: !!python/object/apply:os.getcwd []\n",
        "deep.yaml": b"parts: " + b"[" * 100_000,
        "deep blocks.yaml": "".join(" " * n + "a:\n" for n in range(400)).encode(),
        "large.yaml": b"#" * 300_000,
        "binary.yaml": bytes(range(256)),
        "list.yaml": b"- a\n- b\n",
        "number.yaml": b"42\n",
        "code.yaml": plain.replace("1 Ω", "__import__('os').getcwd()").encode(),
        "huge value.yaml": plain.replace("1 Ω", "9" * 500 + " Ω").encode(),
        "floating.yaml": json.dumps({"parts": many, "ask": [{"voltage": "n3"}]}).encode(),
        "winding.yaml": b"parts:\n  T1: {kind: transformer, windings: {'a),__import__(1': [a, 0], b: [b, 0]}, turns: {}}\n",
    }


@pytest.mark.parametrize("name", hostile_files())
def test_a_file_that_means_harm_gives_a_named_error_soon(name: str, tmp_path: Path) -> None:
    path = tmp_path / name
    path.write_bytes(hostile_files()[name])
    began = time.perf_counter()
    result = solve("--json", path)
    assert time.perf_counter() - began < 2
    assert result.exit_code == 1
    (entry,) = json.loads(result.stdout)
    assert list(entry) == ["file", "error"]
    assert 0 < len(entry["error"]) < 3000
    assert "Traceback" not in entry["error"]
