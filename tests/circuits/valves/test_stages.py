"""The usual stages: their node voltages by Ohm's law, written out apart from the port form."""

from __future__ import annotations

import numpy as np
import pytest

from tests.circuits.valves.laws import FITTED
from tutor.circuits.valves import stages
from tutor.circuits.valves.errors import PortError
from tutor.circuits.valves.small_signal import small_signal

ECC83, ECC82 = FITTED["ECC83 triode sheet points"], FITTED["ECC82 triode sheet points"]
EF86 = FITTED["EF86 pentode sheet points"]
HT = np.array([200.0, 250.0, 320.0])


def test_cathode_bias_by_ohms_law() -> None:
    point = stages.cathode_bias(ECC83, HT, 100e3, 1.5e3, grid_leak=1e6).of()
    anode = HT - point.current("anode") * 100e3
    cathode = point.cathode_current * 1.5e3
    grid = -point.current("grid") * 1e6
    assert np.allclose(point.voltage("anode"), anode - cathode, atol=1e-7)
    assert np.allclose(point.voltage("grid"), grid - cathode, atol=1e-7)
    assert ((cathode > 0.4) & (cathode < 2.5)).all()


def test_a_cathode_follower_stands_a_little_above_its_grid() -> None:
    point = stages.cathode_bias(ECC82, 300.0, 0.0, 22e3, grid_voltage=100.0).of()
    cathode = float(point.cathode_current[0]) * 22e3
    assert float(point.voltage("anode")[0]) == pytest.approx(300 - cathode)
    assert 100 < cathode < 115
    assert float(point.voltage("grid")[0]) == pytest.approx(100 - cathode)


def test_a_split_load_drops_the_same_over_both_its_loads() -> None:
    point = stages.split_load(ECC82, HT, 22e3, 1e3, grid_leak=1e6).of()
    over_anode, over_cathode = HT - 22e3 * point.current("anode"), 22e3 * point.cathode_current
    bias = 1e3 * point.cathode_current
    assert np.allclose(HT - over_anode, over_cathode, rtol=1e-6)
    assert np.allclose(point.voltage("anode"), over_anode - over_cathode - bias, atol=1e-6)
    assert np.allclose(point.voltage("grid"), -bias, atol=1e-6)


def test_a_split_load_may_have_unequal_loads_and_passes_its_grid_current() -> None:
    """A bias resistor of nothing leaves the grid at its cathode, where it draws current through its leak."""
    point = stages.split_load(ECC82, 300.0, 22e3, 0.0, cathode_load=10e3, grid_leak=1e5).of()
    ia, ig = float(point.current("anode")[0]), float(point.current("grid")[0])
    assert ig > 0
    # The grid's current comes out of the cathode load's top and returns into it: the load carries the anode's alone.
    assert float(point.voltage("anode")[0]) == pytest.approx(300 - ia * 22e3 - ia * 10e3, abs=1e-6)
    assert float(point.voltage("grid")[0]) == pytest.approx(-ig * 1e5, abs=1e-6)


def test_direct_coupled_stages_hang_together() -> None:
    point = stages.direct_coupled(ECC83, ECC82, HT, (220e3, 22e3), (2.2e3, 22e3), grid_leak=1e6)
    first, second = point.of(0), point.of(1)
    joined = HT - 220e3 * (first.current("anode") + second.current("grid"))
    cathodes = 2.2e3 * first.cathode_current, 22e3 * second.cathode_current
    assert np.allclose(first.voltage("anode"), joined - cathodes[0], atol=1e-6)
    assert np.allclose(second.voltage("grid"), joined - cathodes[1], atol=1e-6)
    assert np.allclose(second.voltage("anode"), HT - 22e3 * second.current("anode") - cathodes[1], atol=1e-6)
    assert np.allclose(first.voltage("grid"), -cathodes[0] - 1e6 * first.current("grid"), atol=1e-6)


def test_a_first_stage_does_not_know_what_its_anode_drives_while_no_grid_current_flows() -> None:
    together = stages.direct_coupled(ECC83, ECC82, 300.0, (220e3, 0.0), (2.2e3, 47e3))
    alone = stages.cathode_bias(ECC83, 300.0, 220e3, 2.2e3)
    assert together.currents[0, 3] == 0
    assert np.allclose(together.voltages[0, :2], alone.voltages[0], rtol=1e-9)


def test_a_pentode_stage_by_ohms_law() -> None:
    point = stages.pentode_stage(EF86, HT, 220e3, 1e6, 2.2e3, screen_supply=HT - 20, grid_leak=1e6).of()
    cathode = 2.2e3 * point.cathode_current
    assert np.allclose(point.voltage("anode"), HT - 220e3 * point.current("anode") - cathode, atol=1e-6)
    assert np.allclose(point.voltage("screen"), HT - 20 - 1e6 * point.current("screen") - cathode, atol=1e-6)
    assert np.allclose(point.cathode_current, point.currents.sum(axis=0))


def test_more_cathode_resistor_is_less_current_but_not_in_proportion() -> None:
    resistors = np.geomspace(500, 5000, 9)
    current = stages.cathode_bias(ECC83, 250.0, 100e3, resistors).of().current("anode")
    assert (np.diff(current) < 0).all()
    assert (np.diff(current * resistors) > 0).all()


def test_the_slope_of_the_operating_point_is_the_small_signal_formula() -> None:
    """d(Ia)/d(Vg) of a cathode-biased stage is mu/(ra + Ra + (mu + 1)·Rk): two ways to the same number."""
    step = 1e-4
    up, down = (stages.cathode_bias(ECC83, HT, 100e3, 1.5e3, grid_voltage=v).of() for v in (step, -step))
    slope = (up.current("anode") - down.current("anode")) / (2 * step)
    mu, ra, _ = small_signal(stages.cathode_bias(ECC83, HT, 100e3, 1.5e3).of())
    assert np.allclose(slope, mu / (ra + 100e3 + (mu + 1) * 1.5e3), rtol=1e-6)


def test_a_stage_wants_the_right_kind_of_valve() -> None:
    with pytest.raises(PortError):
        stages.cathode_bias(EF86, 250, 100e3, 1e3)
    with pytest.raises(PortError):
        stages.pentode_stage(ECC83, 250, 100e3, 1e6, 1e3)
