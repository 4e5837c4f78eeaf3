"""The rules of supplies, and whole supplies with rectifier valves, against what the trade and the data sheets print."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import yaml

from tutor.circuits.supply import rules
from tutor.circuits.supply.description import Load, Supply, Topology, Vacuum, Winding
from tutor.circuits.supply.steady_state import steady_state

PUBLISHED: dict[str, Any] = yaml.safe_load(Path(__file__).with_name("supply_formulas.yaml").read_text("utf-8"))


@pytest.mark.parametrize("row", PUBLISHED["formulas"], ids=lambda row: row["id"])
def test_a_rule_gives_the_worked_value(row: dict[str, Any]) -> None:
    rule = getattr(rules, row["rule"])
    assert rule(**row["inputs"]) == pytest.approx(row["expect"], rel=1e-5)


@pytest.mark.parametrize("row", PUBLISHED["formulas"], ids=lambda row: row["id"])
def test_a_rule_takes_arrays_of_draws(row: dict[str, Any]) -> None:
    rule = getattr(rules, row["rule"])
    whole = rule(**{name: np.array([value, 2.0 * value]) for name, value in row["inputs"].items()})
    assert whole.shape == (2,)
    assert whole[0] == pytest.approx(row["expect"], rel=1e-5)


@pytest.mark.parametrize("sheet", PUBLISHED["rectifiers"], ids=lambda sheet: sheet["type"])
def test_a_supply_gives_what_the_rectifiers_data_sheet_prints(sheet: dict[str, Any]) -> None:
    columns = {name: np.array([row[name] for row in sheet["rows"]], dtype=float) for name in sheet["rows"][0]}
    outputs = [
        steady_state(
            Supply(
                winding=Winding(emf=columns["emf"], resistance=columns["resistance"], frequency=sheet["frequency"]),
                topology=Topology.BI_PHASE,
                rectifier=Vacuum(perveance=perveance),
                reservoir=sheet["reservoir"],
                load=Load(current=columns["current"]),
            )
        ).figures.mean[-1]
        for perveance in sheet["perveances"]
    ]
    assert np.all(np.min(outputs, axis=0) <= columns["output"] * (1 + sheet["within"]))
    assert np.all(np.max(outputs, axis=0) >= columns["output"] * (1 - sheet["within"]))
