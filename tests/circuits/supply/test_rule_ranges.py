"""How far the trade's rules hold: each range that a docstring of `rules` states, measured on solved supplies.

The tables are what the docstrings quote. They come from the solver, which is held to ngspice, closed forms and data
sheets elsewhere; the sources of the rules themselves say no more than "60 to 95 % of it is true".
"""

from __future__ import annotations

from inspect import isfunction
from typing import Any

import numpy as np
import pytest

from tests.circuits.supply.supplies import plain
from tutor.circuits.supply import rules
from tutor.circuits.supply.description import Section, Topology
from tutor.circuits.supply.steady_state import Figures, State, steady_state

LOAD, MAINS, EMF = 3000.0, 50.0, 300.0
# Reservoirs from 15 to 120 in ωCR: 16 to 128 µF at 3 kΩ.
RESERVOIRS = np.array([15.0, 30.0, 60.0, 120.0]) / (2 * np.pi * MAINS * LOAD)


def solved(topology: Topology, source: float, reservoir: Any = RESERVOIRS) -> Figures:
    """Return the figures behind a source of a part of the load's resistance."""
    supply = plain(topology, emf=EMF, resistance=source * LOAD, reservoir=reservoir, load=LOAD)
    return steady_state(supply, steps=1024, keep_waveforms=False).figures


# Source over load, then true ripple over the rule's, from the smallest reservoir to the largest.
HALF_WAVE = [(1 / 1000, 0.86, 0.93), (1 / 100, 0.84, 0.86), (1 / 15, 0.76, 0.76), (1 / 10, 0.73, 0.74)]
FULL_WAVE = [(1 / 1000, 0.80, 0.89), (1 / 100, 0.76, 0.78), (1 / 15, 0.62, 0.62), (1 / 10, 0.58, 0.58)]


@pytest.mark.parametrize(
    ("topology", "rule", "row"),
    [
        *((Topology.HALF_WAVE, rules.ripple_half_wave, row) for row in HALF_WAVE),
        *((Topology.BI_PHASE, rules.ripple_full_wave, row) for row in FULL_WAVE),
        *((Topology.BRIDGE, rules.ripple_full_wave, row) for row in FULL_WAVE),
    ],
)
def test_the_ripple_rule_over_estimates_by_what_it_says(
    topology: Topology, rule: Any, row: tuple[float, float, float]
) -> None:
    source, least, most = row
    found = solved(topology, source)
    true = found.ripple_peak_to_peak[0] / rule(found.direct_current, MAINS, RESERVOIRS)
    assert np.all(true < 1)
    assert true.min() == pytest.approx(least, abs=0.006)
    assert true.max() == pytest.approx(most, abs=0.006)
    assert f"{least:.2f}" in str(rule.__doc__)
    assert f"{most:.2f}" in str(rule.__doc__)


def test_the_source_behind_the_ripple_rule_is_right_about_it() -> None:
    """A published note: the true figure is 60 to 95 % of the rule; so it is up to 1/15 of the load."""
    for topology, rule in ((Topology.HALF_WAVE, rules.ripple_half_wave), (Topology.BRIDGE, rules.ripple_full_wave)):
        for source in (1 / 3000, 1 / 100, 1 / 15):
            found = solved(topology, source)
            true = found.ripple_peak_to_peak[0] / rule(found.direct_current, MAINS, RESERVOIRS)
            assert np.all((true > 0.6) & (true < 0.95))


@pytest.mark.parametrize("topology", list(Topology))
@pytest.mark.parametrize("source", [1 / 3000, 1 / 1000, 1 / 100, 1 / 10])
def test_a_real_ripple_has_a_little_more_rms_than_a_sawtooth(topology: Topology, source: float) -> None:
    found = solved(topology, source)
    true = found.ripple_rms[0] / rules.sawtooth_rms(found.ripple_peak_to_peak[0])
    assert np.all((true > 1.01) & (true < 1.125))


@pytest.mark.parametrize("topology", list(Topology))
def test_the_reservoirs_mean_is_near_behind_a_stiff_source_and_too_high_behind_a_soft_one(topology: Topology) -> None:
    rule = rules.ripple_half_wave if topology is Topology.HALF_WAVE else rules.ripple_full_wave

    def ratio(source: float) -> Any:
        found = solved(topology, source)
        ripple = rule(found.direct_current, MAINS, RESERVOIRS)
        return rules.reservoir_mean(EMF, 0.0, ripple) / found.mean[0]

    assert np.all(np.abs(ratio(1 / 1000) - 1) < 0.03)
    soft = ratio(1 / 30)
    assert 1.06 < soft.min() < soft.max() < 1.23


@pytest.mark.parametrize("topology", list(Topology))
@pytest.mark.parametrize("source", [1 / 1000, 1 / 100, 1 / 30, 1 / 15])
def test_with_the_drop_at_the_peak_current_the_mean_is_a_little_low(topology: Topology, source: float) -> None:
    rule = rules.ripple_half_wave if topology is Topology.HALF_WAVE else rules.ripple_full_wave
    found = solved(topology, source, RESERVOIRS[1:])
    times = found.peak_diode_current / found.direct_current
    assert np.all((times > 3) & (times < 22))
    ripple = rule(found.direct_current, MAINS, RESERVOIRS[1:])
    ratio = rules.reservoir_mean(EMF, source * LOAD * found.peak_diode_current, ripple) / found.mean[0]
    assert np.all((ratio > 0.9) & (ratio < 1))


def test_the_critical_inductance_is_near_the_true_edge() -> None:
    """The rule takes the first harmonic alone; the true edge follows from the integral of |sin x| − 2/π.

    The choke's current is lowest where the sine rises through its mean, at x = asin(2/π); there the integral, less its
    own mean, is 1 − cos x − 2x/π − (1 − 1) = −0.2105, and the edge is where ωL/R is 0.2105 over 2/π, not 1/3.
    """
    crossing = np.arcsin(2 / np.pi)
    true = (np.cos(crossing) + 2 * crossing / np.pi - 1) / (2 / np.pi) * 3
    assert true == pytest.approx(0.992, abs=5e-4)
    edge = rules.critical_inductance(LOAD, MAINS)
    share = true * np.array([0.9, 0.99, 0.999, 1.001, 1.01, 1.1])
    choke = Section(resistance=0.0, inductance=share * edge, capacitance=5e-3)
    state = steady_state(plain(resistance=1e-3, reservoir=0.0, load=LOAD, sections=(choke,)), steps=1024)
    assert [State(code) for code in state.states] == [State.DISCONTINUOUS] * 3 + [State.SETTLED] * 3


def test_below_the_critical_inductance_the_voltage_climbs_towards_the_peak() -> None:
    inductance = rules.critical_inductance(LOAD, MAINS) * np.array([2.0, 1.0, 0.3, 0.1, 0.01])  # type: ignore[operator]
    choke = Section(resistance=0.0, inductance=inductance, capacitance=1e-3)
    supply = plain(emf=EMF, resistance=1e-3, reservoir=0.0, load=LOAD, sections=(choke,))
    mean = steady_state(supply, keep_waveforms=False).figures.mean[-1]
    assert mean[:2] == pytest.approx(rules.choke_input_mean(EMF), rel=0.01)
    assert np.all(np.diff(mean[1:]) > 0)
    assert mean[-1] < rules.peak(EMF)


def test_the_section_ratio_needs_a_load_above_the_capacitors_reactance() -> None:
    reactance = 1 / (2 * np.pi * 100.0 * 16e-6)
    section = Section(resistance=1000.0, capacitance=16e-6)
    load = reactance * np.array([1.0, 10.0, 100.0])
    found = steady_state(plain(reservoir=1e-3, load=load, sections=(section,)), keep_waveforms=False).figures
    true = found.ripple_harmonics[1, 0] / found.ripple_harmonics[0, 0]
    off = np.abs(true / rules.rc_ratio(100.0, 1000.0, 16e-6) - 1)
    assert off[0] > 0.004
    assert off[1] < 0.02
    assert off[2] < 0.003


def test_near_the_resonance_the_section_magnifies() -> None:
    resonance = rules.lc_resonance(1.0, 2.5e-6)
    assert rules.lc_ratio(0.9 * resonance, 1.0, 2.5e-6) < -1  # type: ignore[operator]
    assert rules.lc_ratio(1.2 * resonance, 1.0, 2.5e-6) > 1  # type: ignore[operator]
    assert rules.lc_ratio(2.0 * resonance, 1.0, 2.5e-6) == pytest.approx(1 / 3)  # type: ignore[operator]


def test_a_true_l_c_section_is_within_a_few_per_cent_of_its_ratio() -> None:
    section = Section(resistance=200.0, inductance=10.0, capacitance=np.array([2e-6, 8e-6, 32e-6]))
    found = steady_state(plain(reservoir=32e-6, load=LOAD, sections=(section,)), keep_waveforms=False).figures
    true = found.ripple_harmonics[1, 0] / found.ripple_harmonics[0, 0]
    assert true == pytest.approx(rules.lc_ratio(100.0, 10.0, section.capacitance), rel=0.05)


def test_the_surge_is_the_most_that_a_stiff_reservoir_can_draw() -> None:
    found = solved(Topology.BRIDGE, 1 / 30)
    assert np.all(found.peak_diode_current < rules.surge_current(EMF, LOAD / 30))


# Source over load, then rms current of the winding (of each half) over direct current, least and most.
BRIDGE_FACTORS = [(1 / 10, 1.62, 1.62), (1 / 15, 1.71, 1.72), (1 / 30, 1.89, 1.91), (1 / 100, 2.21, 2.30)]
BI_PHASE_FACTORS = [(1 / 10, 1.14, 1.15), (1 / 15, 1.21, 1.22), (1 / 100, 1.56, 1.63)]


@pytest.mark.parametrize(
    ("topology", "row"),
    [
        *((Topology.BRIDGE, row) for row in BRIDGE_FACTORS),
        *((Topology.BI_PHASE, row) for row in BI_PHASE_FACTORS),
    ],
)
def test_the_windings_rms_current_is_what_the_rating_says(topology: Topology, row: tuple[float, float, float]) -> None:
    source, least, most = row
    found = solved(topology, source)
    factor = found.rms_winding_current / found.direct_current
    assert factor.min() == pytest.approx(least, abs=0.006)
    assert factor.max() == pytest.approx(most, abs=0.006)


def test_every_rule_states_its_range_and_source() -> None:
    named = {name: rule for name, rule in vars(rules).items() if isfunction(rule) and not name.startswith("_")}
    assert len(named) >= 25
    silent = [name for name, rule in named.items() for word in ("Range:", "Source:") if word not in str(rule.__doc__)]
    assert silent == []
