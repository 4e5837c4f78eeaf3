"""What the benchmark measures ours against must give the same answers, or the ratio would say nothing."""

from __future__ import annotations

import numpy as np
import pytest

from tests.circuits.spice import want_ngspice
from tutor.bootstrap import benchmark_circuits as circuits
from tutor.bootstrap import benchmark_peers as peers
from tutor.circuits.analysis import S
from tutor.circuits.numeric import solve_numerically


@pytest.mark.parametrize("name", ["bridge", "ladder of eight", "two-stage amplifier"])
def test_what_is_written_by_hand_gives_the_circuits_answers(name: str) -> None:
    problem = circuits.problem(name)
    values = circuits.values(problem, 200)
    hand = circuits.by_hand(name)
    assert hand is not None
    np.testing.assert_allclose(hand(values), solve_numerically(problem, values), rtol=1e-10)


def test_ngspice_is_given_the_same_amplifier() -> None:
    want_ngspice()
    problem = circuits.problem("two-stage amplifier")
    values = circuits.values(problem, 3)
    single = {name: float(column[0]) for name, column in values.items() if name != S}
    answer, seconds = peers.ngspice_output(single, 1000.0, answers=3)
    assert answer == pytest.approx(complex(solve_numerically(problem, values)[0]), rel=1e-6)
    assert seconds > 0


def test_the_operating_points_that_are_timed_are_found() -> None:
    points, law = peers.triode_jobs(500)
    currents = points().of().current("anode")
    assert np.isfinite(currents).all()
    assert law().shape == (2, 500)
