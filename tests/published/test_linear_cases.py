"""Linear circuits against the figures that textbooks print, as tabulated in ``linear_cases.yaml``.

The source of each figure (title, place, licence) stands beside it in that file. Every circuit goes through the command
as a file, so that reading, solving and printing are held to the figures together.
"""

from __future__ import annotations

import cmath
import json
import math
from pathlib import Path
from typing import Any

import pytest
import yaml
from click.testing import CliRunner

from tutor.cli import main

CASES: list[dict[str, Any]] = yaml.safe_load(Path(__file__).with_name("linear_cases.yaml").read_text("utf-8"))
SOLVED = [case for case in CASES if any("of circuit" in ask for ask in case["asks"])]
ASKS = [
    pytest.param(case["id"], index, id=f"{case['id']}: {ask['quantity']}")
    for case in SOLVED
    for index, ask in enumerate(a for a in case["asks"] if "of circuit" in a)
]
BY_ID = {case["id"]: case for case in SOLVED}
BATCH = 25


def figures(case: dict[str, Any]) -> list[dict[str, Any]]:
    return [ask for ask in case["asks"] if "of circuit" in ask]


def peak_factor(case: dict[str, Any]) -> float:
    """How far the case's own voltages and currents lie above rms values."""
    return math.sqrt(2) if case.get("phasor") == "peak" else 1.0


def circuit_file(case: dict[str, Any]) -> dict[str, Any]:
    parts = {}
    for reference, part in case["circuit"]["parts"].items():
        parts[reference] = dict(part)
        if part["kind"] in ("voltage source", "current source") and case["analysis"] == "ac":
            number, unit = part["value"].split()
            parts[reference]["value"] = f"{float(number) / peak_factor(case)!r} {unit}"
    data = {"circuit": case["id"], "parts": parts, "analysis": case["analysis"]}
    if case["analysis"] == "ac":
        data["frequency"] = f"{case['frequency']!r} Hz"
    return {**data, "ask": [ask["of circuit"] for ask in figures(case)]}


@pytest.fixture(scope="module")
def printed(tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[dict[str, Any]]]:
    """What the command prints for every case: case → answers in the order of its figures."""
    folder = tmp_path_factory.mktemp("circuits")
    files = []
    for case in SOLVED:
        path = folder / f"{case['id']}.yaml"
        path.write_text(yaml.safe_dump(circuit_file(case), allow_unicode=True), encoding="utf-8")
        files.append(str(path))
    answers: dict[str, list[dict[str, Any]]] = {}
    for start in range(0, len(files), BATCH):
        result = CliRunner().invoke(main, ["solve", "--json", *files[start : start + BATCH]])
        assert result.exit_code == 0, result.output
        answers |= {entry["circuit"]: entry["asked"] for entry in json.loads(result.stdout)}
    return answers


def taken(answer: dict[str, Any], take: str, factor: float) -> float:
    """Return the real figure that a case takes of an answer."""
    value = complex(answer["value"])
    if "phase" in answer:
        value = cmath.rect(answer["value"] * factor, math.radians(answer["phase"]))
    if take.startswith("-"):
        value = -value
    match take.removeprefix("-"):
        case "re":
            return value.real
        case "abs":
            return abs(value)
        case "deg":
            return math.degrees(cmath.phase(value))
    raise AssertionError(f"unknown take {take}")


def test_all_254_figures_with_a_circuit_are_here() -> None:
    assert len(ASKS) == 254
    assert {case["analysis"] for case in SOLVED} == {"dc", "ac"}


def test_every_case_names_its_source() -> None:
    for case in CASES:
        assert all(case["source"][key] for key in ("title", "place", "licence")), case["id"]


@pytest.mark.parametrize(("name", "index"), ASKS)
def test_a_published_figure_is_what_the_command_prints(
    name: str, index: int, printed: dict[str, list[dict[str, Any]]]
) -> None:
    case, ask, answer = BY_ID[name], figures(BY_ID[name])[index], printed[name][index]
    assert answer["ask"] == ask["of circuit"]
    got = taken(answer, ask["take"], peak_factor(case))
    allowed = 1e-6 * abs(ask["value"]) if ask.get("exact") else ask["printed_precision"] / 2
    source = f"{case['source']['title']}, {case['source']['place']}"
    assert abs(got - ask["value"]) <= allowed, f"{ask['quantity']} of {name}: {got}, printed {ask['value']}; {source}"
