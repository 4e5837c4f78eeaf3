"""Corners, what makes them, and the band between them: against the rules of the trade and the gain itself."""

from __future__ import annotations

import math

import pytest

from tests.circuits.networks import Parts, answer, capacitor, coupling, inductor, resistor, transconductance
from tests.circuits.test_transfer import LOW_PASS, RESONANT, stages, values_of
from tutor.circuits.band import Band, band_of
from tutor.circuits.corners import Corner, corners_of
from tutor.circuits.errors import SingularCircuitError
from tutor.circuits.network import read_network
from tutor.circuits.transfer import response_of


def corners(parts: Parts, start: str = "in", end: str = "out") -> tuple[Corner, ...]:
    network = read_network(parts)
    return corners_of(network, (start, "0"), response_of(network, (start, "0"), (end, "0")), values_of(network))


def band(parts: Parts, start: str = "in", end: str = "out") -> Band:
    network = read_network(parts)
    return band_of(response_of(network, (start, "0"), (end, "0")), values_of(network))


def test_a_low_pass_has_its_one_corner() -> None:
    (corner,) = corners(LOW_PASS)
    assert corner.frequency == pytest.approx(1 / (2 * math.pi * 1e-3), rel=1e-14)
    assert (corner.kind, corner.order, corner.q) == ("pole", 1, None)
    assert corner.group is not None
    assert corner.group.is_exact
    assert corner.group.parts == ("R1", "C1")
    assert corner.group.formula == "1/(2*pi*R1*C1)"


def test_a_shelf_has_a_pole_and_a_zero_with_their_formulas() -> None:
    parts = {"R1": resistor("in", "out", 9e3), "R2": resistor("out", "x", 1e3), "C1": capacitor("x", "0", 1e-7)}
    low, high = corners(parts)
    assert (low.kind, high.kind) == ("pole", "zero")
    assert low.frequency == pytest.approx(1 / (2 * math.pi * 1e-3))
    assert high.frequency == pytest.approx(1 / (2 * math.pi * 1e-4))
    assert [c.group and c.group.formula for c in (low, high)] == ["1/(2*pi*C1*(R1 + R2))", "1/(2*pi*R2*C1)"]


def test_a_pair_has_its_sharpness() -> None:
    (corner,) = corners(RESONANT)
    natural = 1 / math.sqrt(2.0 * 2e-8)
    assert corner.order == 2
    assert corner.frequency == pytest.approx(natural / (2 * math.pi))
    assert corner.q == pytest.approx(natural * 2.0 / 400.0)
    assert not corner.is_undamped


def test_a_resonance_without_damping_is_said_to_be_one() -> None:
    (corner,) = corners({"L1": inductor("in", "out", 1.0), "C1": capacitor("out", "0", 1e-6)})
    assert corner.is_undamped


def test_the_corners_of_a_stage_are_named_after_their_capacitors() -> None:
    """The zero of the bypass is exact; poles that lie near each other are marked as near."""
    zero, coupled, bypass, stray = corners(stages(1), "g1", "g2")
    assert (zero.kind, zero.group and zero.group.formula) == ("zero", "1/(2*pi*Rk1*Ck1)")
    assert zero.frequency == pytest.approx(1 / (2 * math.pi * 1500 * 25e-6), rel=1e-12)
    parts = [set(c.group.parts) for c in (coupled, bypass, stray) if c.group]
    assert all("Cs1" not in p for p in parts[:2])
    assert "Cs1" in parts[2]
    assert stray.group is not None
    assert not stray.group.is_exact
    seen = 1 / (1 / 62.5e3 + 1 / 1e5 + 1 / 470e3)
    assert stray.frequency == pytest.approx(1 / (2 * math.pi * 100e-12 * seen), rel=0.02)


def test_with_a_coupling_no_capacitor_is_named() -> None:
    parts = {
        "L1": inductor("in", "0", 1.0), "L2": inductor("out", "0", 4.0), "K1": coupling("L1", "L2", 0.9),
        "R1": resistor("out", "0", 1e3), "C1": capacitor("out", "x", 1e-9), "R2": resistor("x", "0", 1e4),
    }  # fmt: skip
    assert all(c.group is None or c.group.is_exact for c in corners(parts))


def test_the_band_of_a_low_pass_begins_at_nought() -> None:
    found = band(LOW_PASS)
    assert (found.frequency, found.lower) == (0.0, None)
    assert found.gain == 1.0
    assert found.upper == pytest.approx(1 / (2 * math.pi * 1e-3), rel=1e-12)


def test_the_band_of_a_high_pass_ends_nowhere() -> None:
    found = band({"C1": capacitor("in", "out", 1e-7), "R1": resistor("out", "0", 1e4)})
    assert math.isinf(found.frequency)
    assert found.gain == pytest.approx(1.0, rel=1e-12)
    assert found.lower == pytest.approx(1 / (2 * math.pi * 1e-3), rel=1e-9)
    assert found.upper is None


def test_a_stage_has_the_mid_band_gain_of_the_handbooks_and_falls_by_3_db_at_its_ends() -> None:
    """µ·RL/(ra + RL), with RL the anode load beside the next grid leak (Langford-Smith, ch. 12)."""
    found = band(stages(1), "g1", "g2")
    load = 1 / (1 / 1e5 + 1 / 470e3)
    kept = 22e-9 / (22e-9 + 100e-12)  # the coupling and the stray capacitor are a divider of their own
    assert found.gain.real == pytest.approx(-100 * load / (62.5e3 + load) * kept, rel=5e-4)
    assert found.lower is not None
    assert found.upper is not None
    for end in (found.lower, found.upper):
        at_end = answer(stages(1), {"gain": {"from": "g1", "to": "g2"}}, end)
        assert abs(at_end) == pytest.approx(abs(found.gain) / math.sqrt(2), rel=1e-9)


def test_three_stages_too_long_for_a_formula_have_a_band_as_well() -> None:
    found = band(stages(3), "g1", "g4")
    for end in (found.lower, found.upper):
        assert end is not None
        at_end = answer(stages(3), {"gain": {"from": "g1", "to": "g4"}}, end)
        assert abs(at_end) == pytest.approx(abs(found.gain) / math.sqrt(2), rel=1e-7)


def test_a_tuned_circuit_is_read_at_its_peak() -> None:
    parts = {
        "R1": resistor("in", "out", 1e5), "L1": inductor("out", "0", 1.0), "C1": capacitor("out", "0", 1e-8),
    }  # fmt: skip
    found = band(parts)
    natural = 1 / (2 * math.pi * math.sqrt(1e-8))
    assert found.frequency == pytest.approx(natural, rel=1e-9)
    assert found.gain == pytest.approx(1.0, rel=1e-9)
    assert found.lower is not None
    assert found.upper is not None
    assert found.upper - found.lower == pytest.approx(1 / (2 * math.pi * 1e5 * 1e-8), rel=1e-9)
    assert math.sqrt(found.upper * found.lower) == pytest.approx(natural, rel=1e-9)


def test_a_divider_has_no_ends() -> None:
    parts = {"R1": resistor("in", "out", 1e3), "R2": resistor("out", "0", 3e3)}
    assert band(parts) == Band(0.0, pytest.approx(0.75), None, None)


def test_what_passes_nothing_has_no_band() -> None:
    parts = {"R1": resistor("in", "0", 1e3), "R2": resistor("out", "0", 1.0)}
    with pytest.raises(SingularCircuitError, match="nothing passes"):
        band(parts)


def test_a_slope_without_end_has_no_band() -> None:
    """An integrator: a valve that drives a capacitor by its slope alone."""
    parts = {
        "G1": transconductance("out", "0", ("in", "0"), 1e-3), "C1": capacitor("out", "0", 1e-6),
        "R1": resistor("in", "0", 1e6),
    }  # fmt: skip
    with pytest.raises(SingularCircuitError, match="the response slopes without end"):
        band(parts)
