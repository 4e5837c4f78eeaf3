"""mu, ra and gm at a point: the sheet's, and what is left of them where a valve does nothing."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.circuits.valves.laws import DIODE, FITTED, PENTODE, TRIODE
from tutor.circuits.valves import stages
from tutor.circuits.valves.operating_point import operating_point
from tutor.circuits.valves.small_signal import small_signal, small_signal_at
from tutor.circuits.valves.valve import Valve, law_called

ECC83 = FITTED["ECC83 triode sheet points"]


def test_a_triode_at_its_sheets_point_has_the_sheets_numbers() -> None:
    """RCA 12AX7-A, 10-60: 250 V, −2 V: mu 100, 62.5 kΩ, 1.6 mA/V."""
    mu, ra, gm = small_signal(stages.fixed_bias(ECC83, 250.0, 0.0, -2.0).of())
    assert float(mu[0]) == pytest.approx(100, rel=0.02)
    assert float(ra[0]) == pytest.approx(62.5e3, rel=0.02)
    assert float(gm[0]) == pytest.approx(1.6e-3, rel=0.02)


def test_a_pentodes_screen_is_held_still() -> None:
    at = np.array([200.0, -5.0, 200.0])
    mu, ra, gm = (float(value) for value in small_signal_at(PENTODE, at))
    step = 1e-3
    of_anode, of_grid = np.array([step, 0, 0]), np.array([0, step, 0])
    by_anode = PENTODE.currents(at + of_anode)[0] - PENTODE.currents(at - of_anode)[0]
    by_grid = PENTODE.currents(at + of_grid)[0] - PENTODE.currents(at - of_grid)[0]
    assert ra == pytest.approx(2 * step / float(by_anode), rel=1e-5)
    assert gm == pytest.approx(float(by_grid) / (2 * step), rel=1e-5)
    assert mu == pytest.approx(gm * ra, rel=1e-12)


@pytest.mark.parametrize("voltages", [[-5.0, 0.0], [0.0, -1.0], [250.0, -1e6]], ids=["below", "none", "far cut off"])
def test_a_valve_without_current_amplifies_nothing(voltages: list[float]) -> None:
    mu, ra, gm = (float(value) for value in small_signal_at(TRIODE, np.array(voltages)))
    assert (mu, ra, gm) == (0.0, math.inf, 0.0)


def test_deep_in_its_tail_a_triode_keeps_a_mu() -> None:
    """At −8 V an ECC83 gives picoamperes; slope and resistance are extreme, their product is not."""
    mu, ra, gm = (float(value) for value in small_signal_at(TRIODE, np.array([250.0, -8.0])))
    assert gm < 1e-9
    assert ra > 1e10
    assert 10 < mu < 100


def test_a_rectifier_has_an_anode_resistance_alone() -> None:
    """Of a 3/2-power law it is two thirds of voltage over current."""
    point = operating_point([Valve(DIODE)], [100.0], [[1e3]]).of()
    mu, ra, gm = (float(value[0]) for value in small_signal(point))
    assert (mu, gm) == (0.0, 0.0)
    assert ra == pytest.approx(2 / 3 * float(point.voltage("anode")[0]) / float(point.current("anode")[0]))
    assert float(point.dissipation[0]) == pytest.approx(float(point.voltage("anode")[0] * point.current("anode")[0]))


def test_a_power_triode_by_its_name_keeps_its_mu_everywhere() -> None:
    law = law_called("power triode", {"k": 1.089e-5, "mu": 20.43})
    for voltages in ([250.0, -8.0], [90.0, 0.0], [300.0, -14.0]):
        assert float(small_signal_at(law, np.array(voltages)).mu) == pytest.approx(20.43)
    assert law.currents(np.array([90.0, 1.0]))[1] > 0
