"""Resistance-coupled stages against printed tables, as far as these were seen; ``rc_coupled.yaml`` names the sources."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest
import yaml

from tutor.circuits.valves import stages
from tutor.circuits.valves.catalogue import valve_type
from tutor.circuits.valves.operating_point import ValvePoint
from tutor.circuits.valves.small_signal import small_signal

TABLES: dict[str, dict[str, Any]] = {
    table["id"]: table for table in yaml.safe_load(Path(__file__).with_name("rc_coupled.yaml").read_text("utf-8"))
}


def settled(valve: str, fit: str, row: dict[str, Any]) -> ValvePoint:
    made = valve_type(valve).valve(fit=fit)
    values = [float(row[key]) for key in ("Vb", "Ra_ohm", "Rg2_ohm", "Rk_ohm") if key in row]
    stage = stages.pentode_stage if "Rg2_ohm" in row else stages.cathode_bias
    return stage(made, *values).of()


def gain(point: ValvePoint, row: dict[str, Any]) -> float:
    """Size of the gain with the cathode bypassed: mu·RL/(ra + RL)."""
    mu, ra, _ = (float(value[0]) for value in small_signal(point))
    load = 1 / (1 / row["Ra_ohm"] + 1 / row["Rg_next_ohm"])
    return mu * load / (ra + load)


def rms(errors: list[float]) -> float:
    return 100 * math.sqrt(sum(error**2 for error in errors) / len(errors))


def gain_errors(table: str, fit: str) -> list[float]:
    valve = TABLES[table]["valve"]
    return [gain(settled(valve, fit, row), row) / row["gain"] - 1 for row in TABLES[table]["rows"] if "gain" in row]


@pytest.mark.parametrize(("fit", "allowed"), [("table", 5.0), ("sheet points", 12.0)])
@pytest.mark.parametrize(("table", "rows"), [("12AX7_GE_ET-T509B", 18), ("EF86_pentode", 2)])
def test_the_printed_gains_are_met(table: str, rows: int, fit: str, allowed: float) -> None:
    errors = gain_errors(table, fit)
    assert len(errors) == rows
    assert rms(errors) <= allowed


def test_the_printed_currents_of_the_ecc83_are_met_without_having_been_fitted() -> None:
    table = TABLES["ECC83_Philips_100k"]
    errors = [
        float(settled("ECC83", "sheet points", row).current("anode")[0]) * 1e3 / row["Ia_mA"] - 1
        for row in table["rows"]
    ]
    assert len(errors) == 5
    assert rms(errors) <= 4.0


def test_the_printed_cathode_currents_of_the_ef86_are_met_without_having_been_fitted() -> None:
    errors = [
        float(settled("EF86", "sheet points", row).cathode_current[0]) * 1e3 / row["Ik_mA"] - 1
        for row in TABLES["EF86_pentode"]["rows"]
        if "Ik_mA" in row
    ]
    assert len(errors) == 2
    assert rms(errors) <= 5.0


def test_a_relative_of_the_ef86_is_met_as_a_relative_is() -> None:
    rows = [row for row in TABLES["EF86_pentode"]["rows"] if "Ia_mA" in row]
    assert len(rows) == 4
    errors = [float(settled("EF86", "table", row).current("anode")[0]) * 1e3 / row["Ia_mA"] - 1 for row in rows]
    assert rms(errors) <= 15.0


def test_the_package_was_fitted_to_these_rows_and_no_others() -> None:
    for table, name in (("12AX7_GE_ET-T509B", "GE ET-T509B"), ("ECC83_Philips_100k", "Philips 100 kΩ")):
        ours = [stage for stage in valve_type("ECC83").system().stages if stage.table == name]
        assert [(s.ht, s.anode_load, s.cathode_resistor) for s in ours] == [
            (row["Vb"], row["Ra_ohm"], row["Rk_ohm"]) for row in TABLES[table]["rows"]
        ]
        assert [stage.gain for stage in ours] == [row.get("gain") for row in TABLES[table]["rows"]]
