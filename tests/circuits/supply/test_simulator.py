"""Random supplies of every kind against ngspice, which integrates the same circuits from rest until they repeat.

What is asked for is 0.5 % of the mean and 2 % of the ripple; what is held here is what both solvers can do.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import pytest

from tests.circuits.supply.simulator import Measured, measured, simulator
from tests.circuits.supply.supplies import picked, random_supplies
from tutor.circuits.supply.description import Supply, Topology
from tutor.circuits.supply.figures import Figures
from tutor.circuits.supply.steady_state import State, steady_state

FILTERS = {
    "silicon": ("R", "L", "choke input", "choke input, R"),
    "vacuum": ("", "R", "LR", "choke input"),
    "ideal": ("", "RR"),
}
KINDS = [
    (topology, rectifier, filter_)
    for topology in Topology
    for rectifier, filters in FILTERS.items()
    for filter_ in filters
]
SEED = 31
QUICKEST_OF = 12  # draws, of which the one that settles first is simulated
TIME_CONSTANTS = 16  # that the simulator is given to come to rest


@pytest.fixture(scope="module")
def runs(tmp_path_factory: pytest.TempPathFactory) -> dict[str, tuple[Supply, Figures, Measured]]:
    """Both solvers' figures of one supply of each kind; the simulator runs twice at a time."""
    simulator()
    folder = tmp_path_factory.mktemp("netlists")

    def run(kind: tuple[Topology, str, str]) -> tuple[str, tuple[Supply, Figures, Measured]]:
        many = random_supplies(*kind, QUICKEST_OF, SEED)
        settling = steady_state(many, keep_waveforms=False, steps=64).settling_time
        supply = picked(many, int(settling.argmin()))
        state = steady_state(supply)
        assert state.state() in (State.SETTLED, State.DISCONTINUOUS)
        name = "-".join(kind).replace(" ", "-")
        result = measured(supply, TIME_CONSTANTS * float(state.settling_time[0]), folder, name)
        return "-".join(kind), (supply, state.figures, result)

    with ThreadPoolExecutor(max_workers=2) as pool:
        return dict(pool.map(run, KINDS))


def test_there_are_enough_of_them() -> None:
    assert len(KINDS) >= 24


@pytest.mark.parametrize("kind", KINDS, ids="-".join)
def test_means_ripple_and_currents_agree(
    kind: tuple[Topology, str, str], runs: dict[str, tuple[Supply, Figures, Measured]]
) -> None:
    supply, ours, theirs = runs["-".join(kind)]
    # Ahead of a choke the simulator's snubber rings: only what follows is compared closely.
    first = 1 if supply.reservoir == 0 else 0
    # The simulator itself has come to rest: it says the same of the cycles before.
    assert theirs.mean[first:] == pytest.approx(theirs.earlier_mean[first:], rel=5e-5)
    assert list(ours.mean[:, 0]) == pytest.approx(theirs.mean, rel=1e-3)
    assert list(ours.ripple_peak_to_peak[first:, 0]) == pytest.approx(theirs.ripple[first:], rel=5e-3)
    assert ours.direct_current[0] == pytest.approx(theirs.direct_current, rel=1e-3)
    assert ours.peak_diode_current[0] == pytest.approx(theirs.peak_current, rel=5e-3)
    assert ours.rms_winding_current[0] == pytest.approx(theirs.rms_current, rel=3e-3)
    if supply.reservoir > 0 or supply.topology is not Topology.HALF_WAVE:
        assert ours.peak_inverse_voltage[0] == pytest.approx(theirs.inverse, rel=1e-3)


def test_without_the_simulator_ci_fails_and_a_bench_skips(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", "")
    monkeypatch.setenv("CI", "true")
    with pytest.raises(pytest.fail.Exception):
        simulator()
    monkeypatch.delenv("CI")
    with pytest.raises(pytest.skip.Exception):
        simulator()
