"""The figures against each other, against the waveforms, and against the section's transfer ratio."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.circuits.supply.supplies import EVERY_KIND, plain, random_supplies
from tutor.circuits.supply import rules
from tutor.circuits.supply.description import Load, Section, Topology
from tutor.circuits.supply.figures import HARMONICS
from tutor.circuits.supply.steady_state import steady_state


@pytest.mark.parametrize("topology", list(Topology))
def test_each_harmonic_passes_an_r_c_section_by_its_own_ratio(topology: Topology) -> None:
    section = Section(resistance=1000.0, capacitance=16e-6)
    found = steady_state(replace(plain(topology, load=float("inf"), sections=(section,)), load=Load(current=0.04)))
    before, after = found.figures.ripple_harmonics[:, :, 0]
    order = np.arange(1, HARMONICS + 1)
    ratio = rules.rc_ratio(order * found.figures.ripple_frequency, 1000.0, 16e-6)
    assert after[:6] / before[:6] == pytest.approx(ratio[:6], rel=0.01)  # type: ignore[index]


@pytest.mark.parametrize("topology", list(Topology))
def test_each_harmonic_passes_an_l_c_section_by_its_own_ratio(topology: Topology) -> None:
    section = Section(resistance=0.0, inductance=8.0, capacitance=32e-6)
    found = steady_state(replace(plain(topology, load=float("inf"), sections=(section,)), load=Load(current=0.04)))
    before, after = found.figures.ripple_harmonics[:, :, 0]
    order = np.arange(1, HARMONICS + 1)
    ratio = rules.lc_ratio(order * found.figures.ripple_frequency, 8.0, 32e-6)
    assert after[:4] / before[:4] == pytest.approx(ratio[:4], rel=0.01)  # type: ignore[index]


@pytest.mark.parametrize("topology", list(Topology))
def test_the_charging_harmonics_make_up_the_charging_current(topology: Topology) -> None:
    """Parseval: direct current and harmonics together carry the mean square of the pulses, the rest beyond the tenth."""
    state = steady_state(plain(topology, resistance=200.0))
    assert state.waveforms is not None
    square = (state.waveforms.rectifier_current**2).mean(axis=0)
    found = state.figures
    carried = found.direct_current**2 + (found.charging_harmonics**2).sum(axis=0) / 2
    assert np.all(carried < square * (1 + 1e-9))
    assert carried == pytest.approx(square, rel=0.01)
    # Narrow pulses: the first harmonic's amplitude tends to twice the direct current.
    assert 1.4 < found.charging_harmonics[0] / found.direct_current < 2.0


def test_the_harmonics_of_a_rectified_sine_are_fouriers() -> None:
    """|sin x| = 2/π − (4/π)·Σ cos(2kx)/(4k² − 1): a printed series (Fourier; any table)."""
    found = steady_state(plain(emf=100.0, resistance=1e-3, reservoir=0.0, load=1000.0), steps=1024).figures
    order = np.arange(1, HARMONICS + 1)
    expected = rules.peak(100.0) * 4 / np.pi / (4 * order**2 - 1)
    assert found.ripple_harmonics[0, :, 0] == pytest.approx(expected, rel=2e-3)


@pytest.mark.parametrize(("topology", "rectifier", "filter_"), EVERY_KIND)
def test_the_waveforms_show_the_figures(topology: Topology, rectifier: str, filter_: str) -> None:
    state = steady_state(random_supplies(topology, rectifier, filter_, 20, seed=41))
    waves, found = state.waveforms, state.figures
    assert waves is not None
    if not filter_.startswith("choke"):
        assert waves.voltages.mean(axis=1) == pytest.approx(found.mean, rel=1e-9)
        span = waves.reservoir_voltage.max(axis=0) - waves.reservoir_voltage.min(axis=0)
        assert np.all(span <= found.ripple_peak_to_peak[0] * (1 + 1e-9))
        assert span == pytest.approx(found.ripple_peak_to_peak[0], rel=0.03)
    assert waves.output_voltage.std(axis=0) == pytest.approx(found.ripple_rms[-1], rel=1e-6)
    assert np.sqrt((waves.winding_current**2).mean(axis=0)) == pytest.approx(found.rms_winding_current, rel=1e-9)
    assert waves.rectifier_current.mean(axis=0) == pytest.approx(found.direct_current, rel=1e-9)
    assert waves.section_currents.shape == (len(waves.voltages) - 1, 512, 20)
    # One mains cycle, from the emf's zero upwards.
    assert np.all(np.diff(waves.time, axis=0) > 0)
    assert np.all((waves.time[0] > 0) & (waves.time[-1] < 1 / 49.0))
    assert np.all((waves.emf[0] > 0) & (waves.emf[-1] < 0))
    if topology is Topology.BRIDGE:
        assert waves.winding_current.mean(axis=0) == pytest.approx(np.zeros(20), abs=1e-9)
        size = np.abs(waves.winding_current)
        assert np.all(size <= waves.rectifier_current * (1 + 1e-9) + 1e-12)
        if not filter_.startswith("choke"):  # before a choke all four diodes share the current near the emf's zero
            assert size == pytest.approx(waves.rectifier_current, abs=1e-12)
    else:
        assert np.all(waves.winding_current >= 0)


def test_the_capacitors_take_what_the_rectifier_gives_and_the_load_does_not() -> None:
    state = steady_state(plain(), steps=2048)
    waves = state.waveforms
    assert waves is not None
    time, voltage = waves.time[:, 0], waves.reservoir_voltage[:, 0]
    middle = (voltage[1:] + voltage[:-1]) / 2
    into = 32e-6 * np.diff(voltage) / np.diff(time)
    given = (waves.rectifier_current[1:, 0] + waves.rectifier_current[:-1, 0]) / 2
    gap = np.abs(into + middle / 4000.0 - given)
    assert np.median(gap) < 1e-4
    assert gap.max() < 0.05 * state.figures.peak_diode_current[0]


def test_waveforms_are_kept_only_on_request() -> None:
    assert steady_state(plain(), keep_waveforms=False).waveforms is None
