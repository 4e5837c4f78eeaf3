"""Printed figures that are wrong, rounded on the way or simulated coarsely: the right ones, as recomputed elsewhere.

The source of each stands beside it in ``linear_corrections.yaml``. Nobody should be marked by a misprint, so these must
not come out as printed.
"""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest
import yaml
from click.testing import CliRunner

from tutor.cli import main

CASES: list[dict[str, Any]] = yaml.safe_load(Path(__file__).with_name("linear_corrections.yaml").read_text("utf-8"))


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case['id']}: {case['quantity']}")
def test_a_misprinted_figure_comes_out_right(case: dict[str, Any], tmp_path: Path) -> None:
    data = {key: case[key] for key in ("parts", "analysis", "frequency", "time") if key in case}
    path = tmp_path / "circuit.yaml"
    path.write_text(yaml.safe_dump({**data, "ask": [case["ask"]]}, allow_unicode=True), encoding="utf-8")
    result = CliRunner().invoke(main, ["solve", "--json", str(path)])
    assert result.exit_code == 0, result.output
    (answer,) = json.loads(result.stdout)[0]["asked"]
    value = answer["value"] * case.get("factor", 1.0)
    # A power goes with the square of rms values, and what is asked for as rms of a peak source is less by √2.
    if case.get("phasor") == "peak" and case["unit"] == "W":
        value /= 2
    elif case.get("phasor") == "peak" and case["quantity"].endswith("rms"):
        value /= math.sqrt(2)
    assert value == pytest.approx(case["right"], rel=1e-7), f"printed {case['printed']}; {case['source']['title']}"


def test_every_correction_names_its_source_and_reason() -> None:
    for case in CASES:
        assert all(case["source"][key] for key in ("title", "place", "licence"))
        assert case["note"]
