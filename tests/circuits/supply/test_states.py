"""What a supply is said to be: settled or not, and why, draw by draw; always within a bounded time."""

from __future__ import annotations

import time
from dataclasses import fields, replace

import numpy as np
import pytest

from tests.circuits.supply.supplies import plain
from tutor.circuits.supply.description import Load, Section, Silicon, Supply, Topology, Vacuum
from tutor.circuits.supply.errors import SupplyError
from tutor.circuits.supply.steady_state import Figures, State, steady_state

NONE = float("inf")


def bounded(supply: Supply) -> State:
    """Solve a supply and hold it to two seconds of this process's own time."""
    began = time.process_time()
    state = steady_state(supply)
    assert time.process_time() - began < 2.0
    for each in fields(Figures):
        assert np.all(np.isfinite(getattr(state.figures, each.name))), each.name
    assert state.says().endswith(".")
    return state.state()


def test_a_plain_supply_is_settled() -> None:
    assert bounded(plain()) is State.SETTLED


def test_a_choke_too_small_is_told() -> None:
    small = Section(resistance=100.0, inductance=1.0, capacitance=32e-6)
    large = replace(small, inductance=10.0)
    assert bounded(plain(reservoir=0.0, sections=(small,))) is State.DISCONTINUOUS
    assert bounded(plain(reservoir=0.0, sections=(large,))) is State.SETTLED
    # Half-wave there is no critical inductance: nothing carries the choke's current in the other half cycle.
    assert bounded(plain(Topology.HALF_WAVE, reservoir=0.0, sections=(large,))) is State.DISCONTINUOUS


def test_a_resonance_at_the_ripple_is_told() -> None:
    tuned = Section(resistance=5.0, inductance=1.0, capacitance=1 / ((2 * np.pi * 100.0) ** 2 * 1.0))
    assert bounded(plain(sections=(tuned,))) is State.RESONANT
    assert bounded(plain(reservoir=0.0, sections=(tuned,))) is State.RESONANT


def test_a_resonance_without_damping_never_settles() -> None:
    """A choke between capacitors, all without resistance, and a rectifier that only clamps: nothing takes the ringing away."""
    lossless = Section(resistance=0.0, inductance=5.0, capacitance=20e-6)
    supply = replace(
        plain(resistance=200.0, emf=7.0, reservoir=0.0, load=NONE, sections=(lossless,)),
        rectifier=Silicon(drop=1.2, slope=0.0),
        load=Load(current=0.15),
    )
    assert bounded(supply) is State.NOT_SETTLED


def test_what_creeps_for_hours_never_settles() -> None:
    slow = Section(resistance=1e9, capacitance=1e-3)
    assert bounded(plain(sections=(slow,), load=1e12)) is State.NOT_SETTLED


def test_a_constant_current_beyond_the_supply_is_told() -> None:
    assert bounded(replace(plain(load=NONE), load=Load(current=10.0))) is State.OVERLOADED


@pytest.mark.parametrize(
    "supply",
    [
        plain(Topology.HALF_WAVE, resistance=1e-6, reservoir=1e-12),
        plain(resistance=1e-6, reservoir=1.0, load=1.0),
        plain(emf=1e6, load=1e-3),
        plain(Topology.HALF_WAVE, rectifier=Vacuum(perveance=1e-9), resistance=0.0),
        plain(Topology.BI_PHASE, rectifier=Vacuum(perveance=1e3), resistance=0.0),
        plain(reservoir=0.0, sections=(Section(resistance=0.0, inductance=1e-6, capacitance=1e-9),) * 3),
        plain(
            Topology.HALF_WAVE, sections=(Section(resistance=1e-3, inductance=0.03, capacitance=1e-6),) * 2, load=4e6
        ),
        replace(plain(Topology.HALF_WAVE, load=NONE), load=Load(current=1e-9)),
    ],
)
def test_extremes_end_within_bounds(supply: Supply) -> None:
    assert bounded(supply) in State


def test_every_state_says_itself_in_a_sentence() -> None:
    sentences = {state.says for state in State}
    assert len(sentences) == len(State)
    assert all(sentence.endswith(".") for sentence in sentences)


def test_states_are_told_draw_by_draw() -> None:
    load = np.array([4000.0, NONE, 4e4])
    choke = Section(resistance=100.0, inductance=10.0, capacitance=32e-6)
    state = steady_state(plain(reservoir=0.0, load=load, sections=(choke,)))
    assert [state.state(draw) for draw in range(3)] == [State.SETTLED, State.UNLOADED, State.DISCONTINUOUS]
    assert "critical inductance" in state.says(2)


def test_the_settling_time_is_that_of_the_slowest_part() -> None:
    slow = Section(resistance=1e5, capacitance=100e-6)  # R·C = 10 s, with the load in parallel a little less
    busy = Load(current=0.1)  # keeps the reservoir stiff
    state = steady_state(replace(plain(sections=(slow,), load=1e6), reservoir_load=busy))
    assert state.settling_time == pytest.approx(1e5 * 1e6 / 1.1e6 * 100e-6, rel=0.01)


@pytest.mark.parametrize("steps", [30, 63])
def test_an_odd_or_small_number_of_steps_is_refused(steps: int) -> None:
    with pytest.raises(SupplyError, match=f"supply steps: found {steps}; wanted an even number of 32 or more"):
        steady_state(plain(), steps=steps)
