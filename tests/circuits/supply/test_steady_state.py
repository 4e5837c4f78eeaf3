"""Steady states against closed forms, limiting cases and the laws that every circuit keeps."""

from __future__ import annotations

from dataclasses import fields, replace
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.circuits.supply.supplies import EVERY_KIND, picked, plain, random_supplies
from tutor.circuits.supply import rules
from tutor.circuits.supply.description import (
    Ideal,
    Load,
    Rectifier,
    Section,
    Silicon,
    Supply,
    Topology,
    Vacuum,
)
from tutor.circuits.supply.steady_state import FARTHEST, Figures, State, regulation, steady_state

NONE = float("inf")
VACUUM = Vacuum(perveance=0.0019)
SILICON = Silicon(drop=0.8, slope=0.5)
FULL_WAVE = [Topology.BI_PHASE, Topology.BRIDGE]


def figures_of(supply: Supply, **options: Any) -> Figures:
    return steady_state(supply, keep_waveforms=False, **options).figures


# ------------------------------------------------------------------------------------------------ closed forms


@pytest.mark.parametrize(("topology", "turns"), [(Topology.HALF_WAVE, 1), (Topology.BI_PHASE, 2), (Topology.BRIDGE, 2)])
def test_into_a_resistor_the_output_is_the_rectified_sine(topology: Topology, turns: int) -> None:
    found = figures_of(plain(topology, emf=100.0, resistance=10.0, reservoir=0.0, load=990.0))
    mean = (rules.mean_full_wave if turns == 2 else rules.mean_half_wave)(99.0)
    square = 99.0**2 if turns == 2 else rules.rms_half_wave(99.0) ** 2  # type: ignore[operator]
    assert found.mean[0] == pytest.approx(mean, rel=1e-4)
    assert np.sqrt(found.ripple_rms[0] ** 2 + found.mean[0] ** 2) == pytest.approx(square**0.5, rel=1e-4)
    assert found.ripple_peak_to_peak[0] == pytest.approx(rules.peak(99.0), rel=2e-3)
    assert found.peak_diode_current == pytest.approx(rules.peak(0.1), rel=1e-3)
    assert found.conduction_angle == pytest.approx(180.0, abs=0.2)
    assert found.ripple_frequency == pytest.approx(50.0 * turns)


@pytest.mark.parametrize("topology", FULL_WAVE)
def test_behind_a_large_choke_the_output_is_the_mean_of_the_sine(topology: Topology) -> None:
    choke = Section(resistance=0.0, inductance=1e4, capacitance=100e-6)
    found = figures_of(plain(topology, emf=300.0, resistance=1e-3, reservoir=0.0, load=3000.0, sections=(choke,)))
    assert found.mean[-1] == pytest.approx(rules.choke_input_mean(300.0), rel=1e-4)
    assert found.ripple_peak_to_peak[-1] < 1e-3
    # Each diode carries the whole direct current for half the time: rectangles.
    direct = found.direct_current
    assert found.peak_diode_current == pytest.approx(direct, rel=1e-3)
    assert found.rms_diode_current == pytest.approx(direct / np.sqrt(2), rel=2e-3)
    assert found.conduction_angle == pytest.approx(180.0, abs=0.5)


@pytest.mark.parametrize("rectifier", [SILICON, VACUUM, Ideal(resistance=10.0)])
@pytest.mark.parametrize(
    ("topology", "drops", "inverse"),
    [
        (Topology.HALF_WAVE, 1, rules.inverse_half_wave),
        (Topology.BI_PHASE, 1, rules.inverse_bi_phase),
        (Topology.BRIDGE, 2, rules.inverse_bridge),
    ],
)
def test_off_load_every_capacitor_fills_to_the_peak(
    topology: Topology, drops: int, inverse: Any, rectifier: Rectifier
) -> None:
    choke = Section(resistance=100.0, inductance=10.0, capacitance=16e-6)
    drop = drops * (0.8 if isinstance(rectifier, Silicon) else 0.0)
    for reservoir in (32e-6, 0.0):
        state = steady_state(plain(topology, load=NONE, rectifier=rectifier, reservoir=reservoir, sections=(choke,)))
        assert state.state() is State.UNLOADED
        assert state.figures.mean[:, 0] == pytest.approx([rules.peak(250.0) - drop] * 2)
        assert np.all(state.figures.ripple_peak_to_peak == 0)
        assert state.figures.direct_current == 0
        assert state.figures.peak_inverse_voltage == pytest.approx(inverse(250.0), rel=5e-3)


@pytest.mark.parametrize("topology", list(Topology))
def test_a_very_light_load_tends_to_no_load(topology: Topology) -> None:
    light = figures_of(plain(topology, load=1e8, resistance=1.0))
    assert light.mean[0] == pytest.approx(rules.peak(250.0), rel=2e-4)
    assert light.mean[0] < rules.peak(250.0)


@pytest.mark.parametrize("topology", list(Topology))
def test_behind_no_resistance_the_reservoir_follows_the_sine_down_and_the_exponential_on(topology: Topology) -> None:
    """The textbook's reservoir: conduction ends where tan(wt) = −wCR, and begins where the exponential meets the sine."""
    load, reservoir, mains = 3000.0, 16e-6, 50.0
    found = figures_of(plain(topology, emf=250.0, resistance=0.5, reservoir=reservoir, load=load), steps=4096)
    peak, omega = rules.peak(250.0), 2 * np.pi * mains
    end = np.pi - np.arctan(omega * reservoir * load)
    repeat = 2 * np.pi if topology is Topology.HALF_WAVE else np.pi

    def gap(phase: float) -> float:
        decayed = np.sin(end) * np.exp(-(phase - end) / (omega * reservoir * load))
        return float(np.sin(phase - repeat) - decayed)

    low, high = repeat, repeat + np.pi / 2
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if gap(middle) < 0 else (low, middle)
    begin = low - repeat
    assert found.ripple_peak_to_peak[0] == pytest.approx(peak * (1 - np.sin(begin)), rel=2e-3)
    assert found.conduction_angle == pytest.approx(np.degrees(end - begin), abs=0.4)
    # The first current is that of the capacitor along the sine, at its steepest, and the load's.
    first = peak * (omega * reservoir * np.cos(begin) + np.sin(begin) / load)
    assert found.peak_diode_current == pytest.approx(first, rel=0.02)


@pytest.mark.parametrize(
    ("topology", "pulses"), [(Topology.HALF_WAVE, 1), (Topology.BI_PHASE, 2), (Topology.BRIDGE, 2)]
)
def test_a_huge_reservoir_takes_the_tips_of_the_sine(topology: Topology, pulses: int) -> None:
    """At a steady voltage V the current flows while peak·cos(x) > V: I = pulses·peak/(πR)·(sin a − a·cos a), cos a = V/peak."""
    found = figures_of(plain(topology, resistance=100.0, reservoir=0.5, load=4000.0), steps=1024)
    peak, voltage = rules.peak(250.0), found.mean[0]
    angle = np.arccos(voltage / peak)
    expected = pulses * peak / (np.pi * 100.0) * (np.sin(angle) - angle * np.cos(angle))
    assert found.direct_current == pytest.approx(expected, rel=1e-3)
    assert voltage / 4000.0 == pytest.approx(expected, rel=1e-3)
    assert found.peak_diode_current == pytest.approx((peak - voltage) / 100.0, rel=1e-3)
    assert found.conduction_angle == pytest.approx(2 * np.degrees(angle), rel=2e-3)


@pytest.mark.parametrize("topology", FULL_WAVE)
def test_a_choke_at_the_edge_lets_its_current_touch_zero(topology: Topology) -> None:
    """The edge, exactly: the lowest point of the integral of |sin x| − 2/π against the mean."""
    phase = np.linspace(0, np.pi, 20001)
    integral = 1 - np.cos(phase) - 2 / np.pi * phase
    swing = np.trapezoid(integral, phase) / np.pi - integral.min()
    load, exact = 3000.0, 3000.0 * swing / (2 / np.pi) / (2 * np.pi * 50.0)
    inductance = exact * np.array([0.97, 1.03])
    choke = Section(resistance=0.0, inductance=inductance, capacitance=0.01)
    state = steady_state(plain(topology, resistance=1e-3, reservoir=0.0, load=load, sections=(choke,)), steps=512)
    assert [State(code) for code in state.states] == [State.DISCONTINUOUS, State.SETTLED]
    assert rules.critical_inductance(load, 50.0) == pytest.approx(exact, rel=0.07)


# ------------------------------------------------------------------------------------------------ laws


@pytest.mark.parametrize(("topology", "rectifier", "filter_"), EVERY_KIND)
def test_charge_and_power_balance(topology: Topology, rectifier: str, filter_: str) -> None:
    supply = random_supplies(topology, rectifier, filter_, 60, seed=17)
    state = steady_state(supply, keep_waveforms=False)
    assert np.all(state.error < FARTHEST)
    found = state.figures
    drawn = found.mean[-1] / supply.load.resistance + supply.load.current + found.mean[-1] / supply.bleeder
    assert found.direct_current == pytest.approx(drawn, rel=1e-6)
    diodes = 1 if topology is Topology.HALF_WAVE else 2
    assert found.mean_diode_current * diodes == pytest.approx(drawn, rel=1e-6)
    spent = (
        found.winding_loss + found.rectifier_loss + found.section_loss.sum(axis=0) + found.power_delivered.sum(axis=0)
    )
    assert found.power_taken == pytest.approx(spent, rel=1e-3)


@pytest.mark.parametrize(("topology", "rectifier", "filter_"), EVERY_KIND)
def test_many_draws_give_what_each_gives_alone(topology: Topology, rectifier: str, filter_: str) -> None:
    supply = random_supplies(topology, rectifier, filter_, 30, seed=23)
    together = steady_state(supply, keep_waveforms=False, steps=64)
    for draw in (0, 13, 29):
        alone = steady_state(picked(supply, draw), keep_waveforms=False, steps=64)
        assert alone.states[0] == together.states[draw]
        for each in fields(Figures):
            one, many = getattr(alone.figures, each.name)[..., 0], getattr(together.figures, each.name)[..., draw]
            scale = np.abs(many).max(initial=1e-9)
            assert one == pytest.approx(many, rel=1e-6, abs=1e-6 * scale), each.name


def test_more_draws_than_one_chunk_come_back_in_order() -> None:
    emf = np.linspace(100.0, 400.0, 2500)
    state = steady_state(plain(emf=emf), steps=32)
    assert state.states.shape == (2500,)
    assert state.waveforms is not None
    assert state.waveforms.output_voltage.shape == (64, 2500)
    assert state.figures.mean[0] / emf == pytest.approx(np.full(2500, state.figures.mean[0, 0] / 100.0), rel=1e-6)


SMOOTHED = [kind for kind in EVERY_KIND if not kind[2].startswith("choke")]
WITHIN = {
    # figure: how far the standard steps may be off, in parts of its own size; the module's docstring says so.
    "mean": 2e-4,
    "ripple_peak_to_peak": 4e-3,
    "ripple_rms": 1e-3,
    "peak_diode_current": 3e-3,
    "rms_winding_current": 3e-3,
    "peak_inverse_voltage": 1e-4,
    "conduction_angle": 3e-3,
}


@pytest.mark.parametrize(("topology", "rectifier", "filter_"), SMOOTHED[::3])
def test_the_standard_steps_are_as_good_as_they_say(topology: Topology, rectifier: str, filter_: str) -> None:
    supply = random_supplies(topology, rectifier, filter_, 25, seed=5)
    standard, fine = figures_of(supply), figures_of(supply, steps=2048)
    for name, within in WITHIN.items():
        assert getattr(standard, name) == pytest.approx(getattr(fine, name), rel=within), name


@pytest.mark.parametrize("topology", list(Topology))
def test_a_choke_input_is_as_good_behind_the_choke(topology: Topology) -> None:
    supply = random_supplies(topology, "silicon", "choke input", 40, seed=5)
    standard, fine = figures_of(supply), figures_of(supply, steps=2048)
    for name in ("mean", "ripple_peak_to_peak", "ripple_rms"):
        assert getattr(standard, name)[1] == pytest.approx(getattr(fine, name)[1], rel=WITHIN[name]), name
    for name in ("ripple_peak_to_peak", "ripple_rms"):
        assert getattr(standard, name)[0] == pytest.approx(getattr(fine, name)[0], rel=0.03), name
    assert standard.rms_winding_current == pytest.approx(fine.rms_winding_current, rel=3e-3)
    assert standard.conduction_angle == pytest.approx(fine.conduction_angle, abs=2 * 360 / 256)


@pytest.mark.parametrize("rectifier", ["silicon", "vacuum"])
def test_half_the_step_leaves_a_quarter_of_the_error(rectifier: str) -> None:
    supply = random_supplies(Topology.BRIDGE, rectifier, "L", 40, seed=6)
    exact = figures_of(supply, steps=2048).mean[-1]
    errors = [np.abs(figures_of(supply, steps=steps).mean[-1] - exact) for steps in (128, 256, 512)]
    for coarse, fine in pairwise(errors):
        assert np.median(coarse) / np.median(fine) > 3


@settings(max_examples=25)
@given(
    impedance=st.floats(0.1, 10.0),
    speed=st.floats(0.5, 4.0),
    size=st.floats(0.05, 2.0),
    topology=st.sampled_from(list(Topology)),
)
def test_impedance_frequency_and_voltage_scale(impedance: float, speed: float, size: float, topology: Topology) -> None:
    supply = picked(random_supplies(topology, "ideal", "LR", 1, seed=8), 0)
    part_scale = impedance / speed  # of an inductance; a capacitance goes by 1/(impedance·speed)
    sections = tuple(
        replace(
            section,
            resistance=section.resistance * impedance,
            inductance=section.inductance * part_scale,
            capacitance=section.capacitance / (impedance * speed),
        )
        for section in supply.sections
    )
    winding = replace(
        supply.winding,
        emf=supply.winding.emf * size,
        resistance=supply.winding.resistance * impedance,
        frequency=supply.winding.frequency * speed,
    )
    scaled = Supply(
        winding=winding,
        topology=topology,
        rectifier=Ideal(resistance=supply.rectifier.resistance * impedance),
        reservoir=supply.reservoir / (impedance * speed),
        sections=sections,
        load=Load(resistance=supply.load.resistance * impedance, current=supply.load.current * size / impedance),
        bleeder=supply.bleeder * impedance,
    )
    before, after = figures_of(supply, steps=64), figures_of(scaled, steps=64)
    assert after.mean == pytest.approx(before.mean * size, rel=1e-6)
    assert after.ripple_peak_to_peak == pytest.approx(before.ripple_peak_to_peak * size, rel=1e-5)
    assert after.peak_diode_current == pytest.approx(before.peak_diode_current * size / impedance, rel=1e-5)
    assert after.conduction_angle == pytest.approx(before.conduction_angle, rel=1e-5)


def test_bi_phase_is_a_bridge_on_the_same_emf_with_half_the_winding_heat() -> None:
    biphase, bridge = (figures_of(plain(topology)) for topology in FULL_WAVE)
    assert biphase.mean == pytest.approx(bridge.mean, rel=1e-9)
    assert biphase.rms_winding_current == pytest.approx(bridge.rms_winding_current / np.sqrt(2), rel=1e-9)
    assert biphase.peak_inverse_voltage > 1.9 * bridge.peak_inverse_voltage


def test_a_load_along_the_way_counts_at_its_node() -> None:
    tapped = Section(resistance=1000.0, capacitance=32e-6, load=Load(current=0.02))
    supply = replace(plain(load=NONE, sections=(tapped, tapped)), reservoir_load=Load(current=0.05))
    found = figures_of(supply)
    assert found.direct_current == pytest.approx(0.09, rel=1e-6)
    assert found.mean[0] - found.mean[1] == pytest.approx(1000.0 * 0.04, rel=1e-6)
    assert found.mean[1] - found.mean[2] == pytest.approx(1000.0 * 0.02, rel=1e-6)


def test_regulation_compares_on_load_with_the_bleeder_alone() -> None:
    supply = replace(plain(resistance=200.0, load=4000.0), bleeder=220e3)
    found = regulation(supply)
    assert found.on_load == pytest.approx(figures_of(supply).mean[-1])
    assert found.off_load == pytest.approx(figures_of(plain(resistance=200.0, load=220e3)).mean[-1], rel=1e-9)
    assert found.ratio == pytest.approx(rules.regulation(found.off_load, found.on_load))
    assert regulation(plain()).off_load == pytest.approx(rules.peak(250.0))
