"""Running down, against the single exponential, against small steps of time, and against what must stay the same."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from tests.circuits.supply.supplies import plain, random_supplies
from tutor.circuits.supply import rules
from tutor.circuits.supply.description import Load, Section, Supply, Topology
from tutor.circuits.supply.discharge import Loads, discharge
from tutor.circuits.supply.errors import SupplyError
from tutor.circuits.supply.ladder import network_of
from tutor.circuits.supply.steady_state import steady_state

NONE = float("inf")


def bled(supply: Supply, bleeder: Any) -> Supply:
    return replace(supply, bleeder=bleeder)


def test_one_capacitor_runs_down_by_the_rule() -> None:
    """50 µF at 320 V through 220 kΩ is at 50 V after 20.4 s: the club's own example, t = RC·ln(V0/V)."""
    run = discharge(bled(plain(reservoir=50e-6, load=NONE), 220e3), np.array([320.0]))
    assert run.time_to(50.0) == pytest.approx(20.4, abs=0.05)
    assert run.time_to(50.0) == pytest.approx(rules.discharge_time(220e3, 50e-6, 320.0, 50.0))
    assert run.energy(0.0) == pytest.approx(rules.stored_energy(50e-6, 320.0))
    assert run.voltage(11.0) == pytest.approx(320.0 / np.e)
    assert run.energy(11.0) == pytest.approx(rules.stored_energy(50e-6, 320.0) / np.e**2)  # type: ignore[operator]


def stepped(supply: Supply, start: Any, end: float, steps: int) -> Any:
    """Return the voltages after a time by Runge and Kutta's fourth order, which knows nothing of eigenvalues."""
    net = network_of(supply)

    def slope(voltage: Any) -> Any:
        currents = -net.conductance * voltage
        for index in range(net.sections):
            along = (voltage[index] - voltage[index + 1]) / net.resistance[index]
            currents[index] -= along
            currents[index + 1] += along
        return currents / net.capacitance

    voltage, step = np.array(start, dtype=float), end / steps
    for _ in range(steps):
        one = slope(voltage)
        two = slope(voltage + step / 2 * one)
        three = slope(voltage + step / 2 * two)
        four = slope(voltage + step * three)
        voltage = voltage + step / 6 * (one + 2 * two + 2 * three + four)
    return voltage


def test_a_ladder_runs_down_as_small_steps_of_time_say() -> None:
    supply = replace(random_supplies(Topology.BRIDGE, "silicon", "RR", 40, seed=2), load=Load(resistance=8e3))
    start = np.array([np.full(40, 350.0), np.full(40, 320.0), np.linspace(100.0, 300.0, 40)])
    run = discharge(supply, start)
    expected = stepped(supply, start, 0.4, 4000)
    for node in range(3):
        assert run.voltage(0.0, node) == pytest.approx(start[node])
        assert run.voltage(0.4, node) == pytest.approx(expected[node], rel=1e-6)


def test_the_time_to_a_voltage_is_when_the_voltage_is_there() -> None:
    supply = random_supplies(Topology.BRIDGE, "silicon", "LR", 50, seed=4)
    state = steady_state(supply, keep_waveforms=False)
    for loads in Loads:
        run = discharge(supply, state.figures.mean, loads=loads)
        for node in (0, 1, 2):
            when = run.time_to(50.0, node)
            assert np.all(when > 0)
            assert run.voltage(when, node) == pytest.approx(np.full(50, 50.0))
            assert np.all(run.voltage(1.001 * when, node) < 50.0)


def test_a_node_that_rises_first_is_below_only_when_it_is_below_for_good() -> None:
    """A small capacitor at 20 V behind a full reservoir climbs over 30 V and comes down again later."""
    supply = bled(plain(reservoir=100e-6, load=NONE, sections=(Section(resistance=1000.0, capacitance=1e-6),)), 100e3)
    run = discharge(supply, np.array([[300.0], [20.0]]))
    when = run.time_to(30.0)
    assert when > 20.0
    assert run.voltage(when) == pytest.approx(30.0)
    assert run.voltage(0.01) > 200.0


def test_without_loads_only_the_bleeder_drains_and_it_takes_longer() -> None:
    supply = bled(plain(load=3000.0), 220e3)
    start = np.array([330.0])
    stays, gone = discharge(supply, start), discharge(supply, start, loads=Loads.GONE)
    assert stays.time_to(50.0) == pytest.approx(rules.discharge_time(1 / (1 / 3000 + 1 / 220e3), 32e-6, 330.0, 50.0))
    assert gone.time_to(50.0) == pytest.approx(rules.discharge_time(220e3, 32e-6, 330.0, 50.0))


def test_a_constant_current_counts_as_the_resistance_that_draws_it_at_first() -> None:
    supply = replace(plain(load=NONE), load=Load(current=0.1))
    assert discharge(supply, np.array([300.0])).time_to(30.0) == pytest.approx(3000.0 * 32e-6 * np.log(10))


def test_without_any_path_the_charge_stays() -> None:
    supply = plain(reservoir=30e-6, load=NONE, sections=(Section(resistance=1000.0, capacitance=10e-6),))
    run = discharge(supply, np.array([[400.0], [0.0]]))
    assert run.time_to(50.0) == np.inf
    assert run.time_to(299.0, node=1) == np.inf
    assert run.time_to(301.0, node=1) == 0.0
    assert run.voltage(1e6) == pytest.approx(300.0)
    # Half of the energy that the smaller capacitor gains and more is lost in the resistor: charge stays, energy does not.
    assert run.energy(1e6) == pytest.approx(rules.stored_energy(40e-6, 300.0))


def test_a_choke_counts_with_its_resistance_and_none_ties_its_capacitors_together() -> None:
    tied = plain(reservoir=32e-6, load=NONE, sections=(Section(resistance=0.0, inductance=10.0, capacitance=16e-6),))
    run = discharge(bled(tied, 100e3), np.array([300.0, 300.0]))
    assert run.time_to(50.0) == pytest.approx(rules.discharge_time(100e3, 48e-6, 300.0, 50.0), rel=1e-6)


def test_a_choke_input_node_is_fed_through_its_choke() -> None:
    choke = Section(resistance=1000.0, inductance=10.0, capacitance=32e-6)
    supply = replace(plain(reservoir=0.0, load=NONE, sections=(choke,)), reservoir_load=Load(resistance=9000.0))
    run = discharge(supply, np.array([200.0, 300.0]))
    assert run.time_to(30.0) == pytest.approx(10e3 * 32e-6 * np.log(10))
    assert run.voltage(0.1, node=0) == pytest.approx(0.9 * run.voltage(0.1))
    assert run.energy(0.0) == pytest.approx(rules.stored_energy(32e-6, 300.0))


def test_times_may_be_many_for_many_draws() -> None:
    supply = bled(plain(load=NONE), np.array([100e3, 220e3, 470e3]))
    run = discharge(supply, np.array([300.0]))
    times = np.array([[0.0], [1.0], [5.0], [20.0]])
    shown = run.voltage(times)
    assert shown.shape == (4, 3)
    assert np.all(np.diff(shown, axis=0) < 0)
    assert shown[2] == pytest.approx(run.voltage(5.0))
    assert run.energy(times).shape == (4, 3)


@pytest.mark.parametrize("voltage", [0.0, -5.0])
def test_zero_is_never_reached(voltage: float) -> None:
    run = discharge(bled(plain(load=NONE), 1e5), np.array([300.0]))
    with pytest.raises(SupplyError) as caught:
        run.time_to(voltage)
    assert str(caught.value) == (
        f"supply voltage: found {voltage:g} V; wanted a voltage above 0; an exponential never gets to 0"
    )


@pytest.mark.parametrize("start", [np.array([300.0, 200.0]), np.array(300.0)])
def test_the_voltages_must_fit_the_nodes(start: Any) -> None:
    with pytest.raises(SupplyError) as caught:
        discharge(plain(), start)
    assert str(caught.value) == f"supply voltages: found shape {start.shape}; wanted one voltage for each of 1 nodes"


def test_without_a_capacitor_there_is_nothing_to_discharge() -> None:
    with pytest.raises(SupplyError) as caught:
        discharge(plain(reservoir=0.0), np.array([300.0]))
    assert str(caught.value) == "supply reservoir (draw 0): found 0 F in all; wanted a capacitor to discharge"
