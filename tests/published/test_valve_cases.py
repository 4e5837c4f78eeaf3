"""Valves against printed figures, as tabulated in ``valve_cases.yaml``; the source stands beside each."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import yaml

from tutor.circuits.valves import stages
from tutor.circuits.valves.catalogue import valve_type
from tutor.circuits.valves.load_line import LoadLine, along, driven, five_point, three_point
from tutor.circuits.valves.models import Diode, GridCurrent, KorenTriode, PowerTriode
from tutor.circuits.valves.small_signal import small_signal_at
from tutor.circuits.valves.valve import SHARE_OF_GRID, Valve

CASES: dict[str, Any] = yaml.safe_load(Path(__file__).with_name("valve_cases.yaml").read_text("utf-8"))
POWER = CASES["single-ended power"]


def within(found: float, printed: float, tolerance: float) -> bool:
    return abs(found / printed - 1) <= tolerance


@pytest.mark.parametrize("case", CASES["stages"], ids=lambda case: case["id"])
def test_the_currents_of_a_stage_are_those_that_another_program_printed(case: dict[str, Any]) -> None:
    ht, ra, rk, printed = (np.array([float(row[key]) for row in case["rows"]]) for key in ("HT", "Ra", "Rk", "Ia"))
    point = stages.cathode_bias(Valve(KorenTriode(**case["law"])), ht, ra, rk).of()
    assert np.abs(point.current("anode") / printed - 1).max() <= case["tolerance"]


def driven_stage(case: dict[str, Any]) -> tuple[float, float]:
    """Return power [W] and distortion of a printed single-ended stage."""
    screen = case.get("Vs", 0.0)
    if "law" in case:
        valve = Valve(PowerTriode(**case["law"]))
        rest = ((case["set_Ia"] / case["law"]["k"]) ** (2 / 3) - case["Va"]) / case["law"]["mu"]
        drive = -rest
    else:
        valve, rest, drive = valve_type(case["valve"]).valve(), case["Vg"], case["drive_rms"] * math.sqrt(2)
    # A sheet counts its voltages from the cathode, with the transformer's primary taken as without resistance.
    voltages = [case["Va"], rest, screen] if "screen" in valve.law.ports else [case["Va"], rest]
    current = float(valve.law.currents(np.array(voltages, dtype=float))[0])
    line = LoadLine.through(case["Va"], current, case["RL"])
    harmonics, _ = driven(valve, line, rest, drive, screen)
    return harmonics.power(case["RL"]), harmonics.distortion


@pytest.mark.parametrize("case", [case for case in POWER if case.get("reproduced", True)], ids=lambda case: case["id"])
def test_a_single_ended_stage_gives_the_power_that_its_sheet_prints(case: dict[str, Any]) -> None:
    power, distortion = driven_stage(case)
    assert within(power, case["power"], case["tolerance"]), (power, case["source"])
    if "distortion" in case:
        assert abs(distortion - case["distortion"]) <= 0.03, (distortion, case["source"])


@pytest.mark.parametrize("case", [case for case in POWER if not case.get("reproduced", True)], ids=lambda c: c["id"])
def test_a_power_that_no_bias_swing_gives_is_still_not_given(case: dict[str, Any]) -> None:
    power, _ = driven_stage(case)
    assert not within(power, case["power"], case["tolerance"])
    assert power < case["power"]


@pytest.mark.parametrize("case", CASES["dissipation"], ids=lambda case: case["valve"])
def test_the_sheets_point_turns_so_much_into_heat(case: dict[str, Any]) -> None:
    system = valve_type(case["valve"]).system()
    assert system.ratings.anode_dissipation == case["rated"]
    point = system.points[0]
    assert math.isclose(point.anode_voltage * point.anode_current, case["power"], rel_tol=1e-9)
    law = system.fit().make_law()
    voltages = [point.anode_voltage, point.grid_voltage or 0.0, point.screen_voltage or 0.0][: len(law.ports)]
    assert within(case["Va"] * float(law.currents(np.array(voltages))[0]), case["power"], 0.01)


@pytest.mark.parametrize("case", CASES["cathode resistor"], ids=lambda case: f"{case['valve']} {case['Va']} V")
def test_the_sheets_cathode_resistor_makes_the_sheets_bias(case: dict[str, Any]) -> None:
    valve = valve_type(case["valve"]).valve()
    # The sheet's voltages stand across the valve, so the supply is higher by the bias.
    ht = case["Va"] + case["Vk"]
    if "Vs" in case:
        point = stages.pentode_stage(valve, ht, 0.0, 0.0, case["Rk"]).of()
    else:
        point = stages.cathode_bias(valve, ht, 0.0, case["Rk"]).of()
    current = float(point.cathode_current[0])
    assert within(current, case["Ik"], case["tolerance"]), current
    assert within(current * case["Rk"], case["Vk"], case["tolerance"] + 0.005)


@pytest.mark.parametrize("case", CASES["power law"], ids=lambda case: case["id"])
def test_the_power_law_gives_the_textbooks_figures(case: dict[str, Any]) -> None:
    law = PowerTriode(**case["law"])
    voltages = np.array([case["Va"], case["Vg"]], dtype=float)
    small = small_signal_at(law, voltages)
    found = {"Ia": law.currents(voltages)[0], "mu": small.mu, "ra": small.ra, "gm": small.gm}
    for figure, tolerance in case["tolerances"].items():
        assert within(float(found[figure]), case[figure], tolerance), figure


@pytest.mark.parametrize("case", CASES["rectifier drop"], ids=lambda case: f"{case['I']} A")
def test_a_rectifier_drops_what_childs_law_says(case: dict[str, Any]) -> None:
    drop = Diode(perveance=case["perveance"]).drop(np.array(case["I"]))
    assert within(float(drop), case["drop"], case["tolerance"])


@pytest.mark.parametrize("case", CASES["load line"], ids=lambda case: f"{case['HT']} V")
def test_a_load_line_passes_through_the_printed_point(case: dict[str, Any]) -> None:
    line = LoadLine(case["HT"], case["Ra"])
    assert math.isclose(float(line.current(case["Va"])), case["Ia"], rel_tol=1e-9)
    again = LoadLine.through(case["Va"], case["Ia"], case["Ra"])
    assert math.isclose(again.supply, case["HT"], rel_tol=1e-12)


@pytest.mark.parametrize("case", CASES["harmonics"], ids=["handbook"])
def test_the_methods_of_three_and_five_points_give_the_handbooks_figures(case: dict[str, Any]) -> None:
    second, _, _ = three_point(case["largest"], case["rest"], case["least"]).ratios
    assert within(second, case["second_ratio_three_point"], case["tolerance"])
    harmonics = five_point(*(case[key] for key in ("largest", "upper", "rest", "lower", "least")))
    assert within(harmonics.third, case["third"], case["tolerance"])


@pytest.mark.parametrize("case", CASES["triode power"], ids=["handbook"])
def test_a_straight_triode_gives_the_power_of_the_handbooks_formula(case: dict[str, Any]) -> None:
    # A law so high above its cut-off that its curves are straight lines over the drive, with the same mu and ra.
    offset, slope = 1e7, 1 / case["ra"]
    law = PowerTriode(k=slope / 1.5 / math.sqrt(offset), mu=case["mu"], v0=offset)
    valve = Valve(law)
    rest = float(law.currents(np.array([1e5, 0.0]))[0])
    line = LoadLine.through(1e5, rest, case["RL"])
    _, (high, low) = along(valve, line, np.array([case["Vg_peak"], -case["Vg_peak"]]))
    power = float(high - low) ** 2 / 8 * case["RL"]
    assert within(power, case["power"], 0.01)  # the curves keep 1/200 of bend


@pytest.mark.parametrize("case", CASES["grid current"], ids=lambda case: case["valve"])
def test_the_law_of_grid_current_follows_measured_valves(case: dict[str, Any]) -> None:
    grid = np.linspace(0.0, 1.0, 101)
    measured = case["Gg"] * (np.log1p(np.exp(case["Cg"] * grid)) / case["Cg"]) ** case["xi"] + case["Ig0"]
    ours, _ = GridCurrent(SHARE_OF_GRID * case["G"]).slope(grid)
    # From 0 to 1 V; near 0 V the measured ones leave in a curve of their own, hence the floor of 20 µA.
    assert np.abs((ours - measured) / (measured + 20e-6)).max() <= 0.20
    assert abs(ours[-1] / measured[-1] - 1) <= 0.15
