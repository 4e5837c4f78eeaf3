"""Curves and load lines: what is plotted lies where the operating point and the spectrum say."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.circuits.valves.laws import FITTED, PENTODES, TRIODES
from tutor.circuits.valves import stages
from tutor.circuits.valves.load_line import (
    LoadLine,
    along,
    anode_characteristics,
    bias_line,
    dissipation_hyperbola,
    driven,
    five_point,
    swing,
    three_point,
)

ECC83, EL84 = FITTED["ECC83 triode sheet points"], FITTED["EL84 pentode sheet points"]
ANGLE = np.linspace(0, 2 * np.pi, 64, endpoint=False)


@pytest.mark.parametrize("name", [*TRIODES, *PENTODES])
def test_curves_rise_with_the_anode_and_lie_below_one_another(name: str) -> None:
    anode, grid = np.linspace(0, 300, 61), np.array([0.0, -1.0, -2.0, -4.0])
    curves = anode_characteristics(FITTED[name], grid, anode, 200.0)
    assert curves.shape == (4, 61)
    assert (curves[:, 0] == 0).all()
    assert (np.diff(curves, axis=1) >= 0).all()
    assert (np.diff(curves, axis=0) <= 0).all()
    assert curves[0, -1] > 0


def test_a_load_line_meets_the_axes_at_supply_and_at_supply_over_load() -> None:
    line = LoadLine(250, 100e3)
    assert float(line.current(250)) == 0
    assert float(line.current(0)) == 2.5e-3
    assert line.current([0, 125]).tolist() == [2.5e-3, 1.25e-3]


@pytest.mark.parametrize(("valve", "screen"), [(ECC83, 0.0), (EL84, 250.0)], ids=["triode", "pentode"])
def test_points_along_a_line_lie_on_the_line_and_on_the_curve(valve: object, screen: float) -> None:
    line, grid = LoadLine(300, 5e3 if screen else 100e3), np.array([0.0, -2.0, -6.0])
    voltage, current = along(valve, line, grid, screen)  # type: ignore[arg-type]
    assert np.allclose(line.current(voltage), current, rtol=1e-9, atol=1e-15)
    for v, i, g in zip(voltage, current, grid, strict=True):
        assert anode_characteristics(valve, [g], [v], screen)[0, 0] == pytest.approx(i, rel=1e-8)  # type: ignore[arg-type]


def test_load_line_and_bias_line_cross_where_the_stage_settles() -> None:
    point = stages.cathode_bias(ECC83, 250.0, 100e3, 1.5e3).of()
    grid = point.voltage("grid")
    voltage, current = bias_line(ECC83, 1.5e3, grid)
    assert float(voltage[0]) == pytest.approx(float(point.voltage("anode")[0]), rel=1e-9)
    assert float(current[0]) == pytest.approx(float(point.current("anode")[0]), rel=1e-9)
    # From the cathode the load line has the slope of anode and cathode resistor together.
    assert float(LoadLine(250.0, 101.5e3).current(voltage)[0]) == pytest.approx(float(current[0]), rel=1e-9)


def test_a_bias_line_ends_where_no_anode_voltage_would_do() -> None:
    voltage, current = bias_line(ECC83, 1.0, [-1.0, -2000.0])
    assert not np.isnan(voltage[0])
    assert np.isnan(voltage[1])
    assert current.tolist() == [1.0, 2000.0]


def test_the_dissipation_hyperbola_is_power_over_voltage() -> None:
    assert dissipation_hyperbola(12.0, [100.0, 250.0]).tolist() == [0.12, 0.048]


@pytest.mark.parametrize(("valve", "screen", "bias", "load"), [(ECC83, 0.0, -1.5, 100e3), (EL84, 250.0, -7.3, 5.2e3)])
def test_a_swing_goes_from_grid_current_to_cut_off(valve: object, screen: float, bias: float, load: float) -> None:
    found = swing(valve, LoadLine(400, load), bias, screen)  # type: ignore[arg-type]
    high, rest, low = found.grid
    assert (high, rest) == (-0.1, bias)
    assert low < bias
    assert found.voltage[0] < found.voltage[1] < found.voltage[2] < 400
    assert found.current[0] > found.current[1] > found.current[2]
    assert found.current[2] == pytest.approx(valve.limits.cut_off, rel=1e-6)  # type: ignore[attr-defined]
    assert found.largest_drive == pytest.approx(min(high - rest, rest - low))


def test_a_valve_at_rest_beyond_cut_off_or_with_grid_current_cannot_be_driven() -> None:
    line = LoadLine(250, 100e3)
    assert swing(ECC83, line, -30.0).largest_drive == 0
    assert swing(ECC83, line, 0.5).largest_drive == 0


def spectrum(current: np.ndarray) -> list[float]:
    """Return the cosine amplitudes of a current over one period of the drive."""
    return (np.fft.rfft(current).real / (len(current) / 2)).tolist()


def test_three_points_give_the_spectrum_of_a_square() -> None:
    def current(drive: float | np.ndarray) -> float | np.ndarray:
        return 5 + 2 * drive + 0.7 * drive**2

    found = three_point(current(1.0), current(0.0), current(-1.0))  # type: ignore[arg-type]
    mean, first, second, *_ = spectrum(current(np.cos(ANGLE)))  # type: ignore[arg-type]
    assert (found.mean, found.first, found.second) == pytest.approx((mean / 2, first, second))


def test_five_points_give_the_spectrum_of_a_fourth_power() -> None:
    def current(drive: float | np.ndarray) -> float | np.ndarray:
        return 5 + 2 * drive + 0.7 * drive**2 - 0.3 * drive**3 + 0.1 * drive**4

    found = five_point(*(float(current(d)) for d in (1.0, 0.5, 0.0, -0.5, -1.0)))
    mean, first, second, third, fourth, *_ = spectrum(current(np.cos(ANGLE)))  # type: ignore[arg-type]
    expected = (mean / 2, first, second, third, fourth)
    assert (found.mean, found.first, found.second, found.third, found.fourth) == pytest.approx(expected)
    total = math.sqrt(second**2 + third**2 + fourth**2) / first
    assert found.distortion == pytest.approx(total)
    assert found.power(3e3) == pytest.approx(first**2 * 1.5e3)


def test_a_driven_triodes_distortion_is_that_of_its_spectrum() -> None:
    line = LoadLine(250, 100e3)
    found, currents = driven(ECC83, line, -1.5, 1.0)
    _, sine = along(ECC83, line, -1.5 + np.cos(ANGLE))
    _, first, second, third, *_ = spectrum(sine)
    assert found.first == pytest.approx(first, rel=0.01)
    assert found.second == pytest.approx(second, rel=0.05)
    assert abs(found.third - third) < 0.005 * first
    assert (np.diff(currents) < 0).all()
