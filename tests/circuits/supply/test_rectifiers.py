"""The rectifier's equation, held to the circuit it stands for: four diodes, their laws, Kirchhoff's two."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from tests.circuits.supply.supplies import plain
from tutor.circuits.supply.description import Ideal, Rectifier, Silicon, Topology, Vacuum
from tutor.circuits.supply.rectifiers import law_of

DRAWS = 400


def drawn(topology: Topology, kind: str, draws: int = DRAWS) -> tuple[Any, Any, Any, Any, Rectifier, Any]:
    """Return a law with its emf, the source behind its network and that one's resistance."""
    source = np.random.default_rng(3)
    emf = 300 * source.uniform(0, 1, draws) ** 3
    thevenin = source.uniform(-400, 300, draws)
    resistance = np.exp(source.uniform(np.log(1), np.log(1e5), draws))
    winding = source.uniform(1, 300, draws)
    rectifier: Rectifier = {
        "silicon": Silicon(drop=0.8, slope=2.0),
        "vacuum": Vacuum(perveance=0.002),
        "ideal": Ideal(resistance=5.0),
    }[kind]
    law = law_of(plain(topology, emf=np.full(draws, 200.0), resistance=winding, rectifier=rectifier))
    return law, emf, thevenin, resistance, rectifier, winding


def diode_current(rectifier: Rectifier, voltage: Any) -> Any:
    if isinstance(rectifier, Vacuum):
        return rectifier.perveance * np.maximum(voltage, 0.0) ** 1.5
    drop, slope = (rectifier.drop, rectifier.slope) if isinstance(rectifier, Silicon) else (0.0, rectifier.resistance)
    return np.maximum(voltage - drop, 0.0) / slope


@pytest.mark.parametrize("kind", ["silicon", "vacuum", "ideal"])
def test_half_wave_obeys_kirchhoff_and_the_diode(kind: str) -> None:
    law, emf, thevenin, resistance, rectifier, winding = drawn(Topology.HALF_WAVE, kind)
    emf = emf - 100  # the emf keeps its sign here
    current, _ = law.against(resistance)(emf, thevenin)
    across = emf - thevenin - (resistance + winding) * current
    assert current == pytest.approx(diode_current(rectifier, across), abs=1e-9, rel=1e-7)
    assert (current > 0).any()
    assert (current == 0).any()


@pytest.mark.parametrize("kind", ["silicon", "vacuum", "ideal"])
def test_bi_phase_obeys_kirchhoff_and_both_diodes(kind: str) -> None:
    law, emf, thevenin, resistance, rectifier, winding = drawn(Topology.BI_PHASE, kind)
    total, _ = law.against(resistance)(emf, thevenin)
    other = law.other_leg(emf, total)
    own = total - other
    output = thevenin + resistance * total
    for current, half in ((own, emf), (other, -emf)):
        across = half - winding * current - output
        assert current == pytest.approx(diode_current(rectifier, across), abs=1e-7, rel=1e-6)
    assert ((other > 0) & (own > other)).any()


@pytest.mark.parametrize("kind", ["silicon", "vacuum", "ideal"])
def test_a_bridge_obeys_kirchhoff_and_all_four_diodes(kind: str) -> None:
    law, emf, thevenin, resistance, rectifier, winding = drawn(Topology.BRIDGE, kind)
    total, _ = law.against(resistance)(emf, thevenin)
    other = law.other_leg(emf, total)
    own = total - other
    output = thevenin + resistance * total
    one_end = emf - winding * (own - other)  # voltage across the winding's terminals
    both = other > 1e-6
    # While four conduct, the drops of the two diodes that carry the same current fix both ends of the winding.
    high = np.where(both, output + law.drop(own), 0.0)
    low = high - one_end
    for current, across in ((own, high - output), (other, low - output), (own, -low), (other, -high)):
        expected = diode_current(rectifier, across[both])
        assert current[both] == pytest.approx(expected, abs=1e-7, rel=1e-5)
    assert both.sum() > 10
    # While two conduct, they lie in series with the winding.
    two = (total > 1e-6) & ~both
    assert 2 * law.drop(total)[two] == pytest.approx((emf - output - winding * total)[two], abs=1e-7, rel=1e-7)
    assert two.sum() > 10
    # While none conducts, the emf does not reach.
    none = total == 0
    assert np.all(emf[none] <= output[none] + 2 * law.drop(np.zeros(DRAWS))[none] + 1e-9)


@pytest.mark.parametrize("topology", list(Topology))
@pytest.mark.parametrize("kind", ["silicon", "vacuum", "ideal"])
def test_the_derivative_is_that_of_the_current(topology: Topology, kind: str) -> None:
    law, emf, thevenin, resistance, _, _ = drawn(topology, kind)
    solve = law.against(resistance)
    step = 1e-4
    higher, lower = solve(emf, thevenin + step)[0], solve(emf, thevenin - step)[0]
    current, slope = solve(emf, thevenin)
    smooth = (lower > 0) == (higher > 0)
    difference = (higher - lower) / (2 * step)
    off = np.abs(difference - slope) > 1e-4 * np.abs(slope) + 1e-9
    assert (off & smooth).mean() < 0.01  # a draw within a step of a corner
    assert np.all(slope <= 0)
    assert np.all(slope[current == 0] == 0)


@pytest.mark.parametrize("topology", list(Topology))
def test_vacuum_diodes_never_turn_into_sources(topology: Topology) -> None:
    law, emf, thevenin, resistance, _, _ = drawn(topology, "vacuum")
    current, _ = law.against(resistance)(emf, thevenin + 1000)
    assert np.all(current >= 0)
    assert np.all(current[thevenin + 1000 > emf] == 0)
