"""Worked figures of handbooks and sheets, step by step, through the same reader of expressions that templates use.

The figures and their sources stand in ``handbook_steps.yaml``. What circuits and valves give for such cases is tested beside
it (`test_valve_cases.py`, `test_formula_circuits.py`); here the steps themselves must come out as printed.
"""

from __future__ import annotations

import math
import re
from pathlib import Path
from typing import Any

import pytest
import yaml

from tutor.circuits.expressions import evaluate, read_expression

CASES: list[dict[str, Any]] = yaml.safe_load(Path(__file__).with_name("handbook_steps.yaml").read_text("utf-8"))


def ours(text: str) -> str:
    """Write a step of the source as a template would: `log10` for decimal logarithms, decimals for exact ratios."""
    text = re.sub(r"Rational\((\d+),(\d+)\)", r"(\1/\2)", text)
    while (place := text.find(",10)")) >= 0:
        depth, start = 0, place
        while depth >= 0:
            start -= 1
            depth += {")": 1, "(": -1}.get(text[start], 0)
        text = f"{text[: start - 3]}log10({text[start + 1 : place]}){text[place + 4 :]}"
    return text


def worked(case: dict[str, Any]) -> dict[str, float]:
    values = {name: float(value) for name, value in case["given"].items()}
    for step in case["steps"]:
        values[step["symbol"]] = float(evaluate(read_expression(ours(step["expr"])), values))
    return values


def agrees(found: float, result: dict[str, Any]) -> bool:
    relative = result["tol_kind"] == "rel"
    return math.isclose(
        found,
        result["published"],
        rel_tol=result["tol"] if relative else 0.0,
        abs_tol=0.0 if relative else result["tol"],
    )


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["id"])
def test_the_steps_come_out_as_printed_or_stay_marked_as_not(case: dict[str, Any]) -> None:
    values = worked(case)
    for result in case["results"]:
        found = values[result["symbol"]]
        says = f"{result['symbol']}: {found:.6g}, printed {result['published']} ({case['source']})"
        assert agrees(found, result) == result.get("reproduced", True), says


def test_there_are_as_many_as_the_tables_hold() -> None:
    assert len(CASES) == 38
    assert sum(len(case["results"]) for case in CASES) == 62
