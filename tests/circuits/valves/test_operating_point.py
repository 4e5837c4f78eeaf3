"""Operating points: circuit and valve agree, whatever stands around them, or it is said that none was found."""

from __future__ import annotations

import math
import time

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.circuits.valves.laws import BEAM, DIODE, FITTED, PENTODE, PENTODES, POWER, TRIODE, TRIODES
from tutor.circuits.valves import fallback, stages
from tutor.circuits.valves import operating_point as module
from tutor.circuits.valves.catalogue import valve_type
from tutor.circuits.valves.errors import PortError
from tutor.circuits.valves.fallback import follow_emission, halve_in, settle_in_time
from tutor.circuits.valves.limits import Limits
from tutor.circuits.valves.models import Array
from tutor.circuits.valves.newton import newton
from tutor.circuits.valves.operating_point import OperatingPoint, operating_point
from tutor.circuits.valves.ports import surround
from tutor.circuits.valves.small_signal import small_signal
from tutor.circuits.valves.state import State, in_words
from tutor.circuits.valves.valve import Valve

ECC83 = FITTED["ECC83 triode sheet points"]
EL84 = FITTED["EL84 pentode sheet points"]


def agrees(point: OperatingPoint, e: Array, z: Array) -> bool:
    """Whether every found draw obeys the circuit and the valves' laws, worked out apart from the solver."""
    u, i = point.voltages[point.found], point.currents[point.found]
    e, z = (
        np.broadcast_to(e, point.voltages.shape)[point.found],
        np.broadcast_to(z, (*point.voltages.shape, e.shape[-1])),
    )
    by_circuit = e - np.einsum("npq,nq->np", z[point.found], i)
    scale = 1 + np.abs(e).max(axis=1, keepdims=True)
    first, ok = 0, bool((np.abs(u - by_circuit) <= 1e-9 * scale).all())
    for valve in point.valves:
        ports = slice(first, first + len(valve.law.ports))
        ok = ok and np.allclose(valve.law.currents(u.T[ports]), i.T[ports], rtol=1e-12, atol=0)
        first = ports.stop
    return ok


@pytest.mark.parametrize("name", TRIODES)
@given(
    ht=st.floats(20, 600),
    anode=st.floats(1e2, 1e6),
    cathode=st.floats(0, 1e5),
    leak=st.floats(0, 1e7),
    grid=st.floats(-60, 60),
)
def test_a_triode_stage_settles_where_circuit_and_valve_agree(
    name: str, ht: float, anode: float, cathode: float, leak: float, grid: float
) -> None:
    point = stages.cathode_bias(TRIODES[name], ht, anode, cathode, grid_leak=leak, grid_voltage=grid)
    e = np.array([[ht, grid]])
    z = np.array([[[anode + cathode, cathode], [cathode, cathode + leak]]])
    assert point.found.all()
    assert agrees(point, e, z)


@pytest.mark.parametrize("name", PENTODES)
@given(
    ht=st.floats(20, 600),
    anode=st.floats(1e2, 1e6),
    screen=st.floats(0, 2e6),
    cathode=st.floats(0, 1e4),
    grid=st.floats(-60, 30),
)
def test_a_pentode_stage_settles_where_circuit_and_valve_agree(
    name: str, ht: float, anode: float, screen: float, cathode: float, grid: float
) -> None:
    point = stages.pentode_stage(PENTODES[name], ht, anode, screen, cathode, grid_voltage=grid, grid_leak=1e5)
    e = np.array([[ht, grid, ht]])
    z = cathode + np.diag([anode, 1e5, screen])[None]
    assert point.found.all()
    assert agrees(point, e, z)


def passive(rng: np.random.Generator, draws: int, ports: int) -> Array:
    """Return resistance matrices of passive circuits: ports joined to a common node through resistors, and to each other."""
    z = np.zeros((draws, ports, ports))
    for _ in range(ports + 1):
        through = rng.random((draws, ports)) < 0.6
        z += (10 ** rng.uniform(0, 5, draws))[:, None, None] * (through[:, :, None] & through[:, None, :])
    return z


@pytest.mark.parametrize("valves", [1, 2, 3])
def test_several_valves_settle_together(valves: int) -> None:
    rng = np.random.default_rng(20 + valves)
    chosen = [(ECC83, EL84, Valve(DIODE))[k] for k in range(valves)]
    ports = sum(len(valve.law.ports) for valve in chosen)
    e = rng.uniform(-20, 350, (2000, ports))
    z = passive(rng, 2000, ports)
    point = operating_point(chosen, e, z)
    assert point.found.mean() >= 0.9995
    assert agrees(point, e, z)


def test_a_long_tailed_pair_shares_its_tail() -> None:
    """Two equal triodes with a common cathode resistor: equal grids share equally, and the higher grid takes more."""
    ra, rk = 100e3, 56e3
    z = np.array([[ra + rk, rk, rk, rk], [rk, rk, rk, rk], [rk, rk, ra + rk, rk], [rk, rk, rk, rk]])
    e = np.array([[300, 80, 300, 80], [300, 81, 300, 80]], dtype=float)
    point = operating_point([ECC83, ECC83], e, z)
    first, second = point.of(0).current("anode"), point.of(1).current("anode")
    assert first[0] == pytest.approx(second[0], rel=1e-8)
    assert first[1] > 1.2 * second[1]
    assert agrees(point, e, np.broadcast_to(z, (2, 4, 4)))


def test_without_a_cathode_resistor_a_stage_is_that_of_fixed_bias() -> None:
    ht, loads = 250.0, np.array([47e3, 100e3, 220e3])
    fixed = stages.fixed_bias(ECC83, ht, loads, -1.2)
    small = stages.cathode_bias(ECC83, ht, loads, 1e-6, grid_voltage=-1.2)
    assert np.allclose(small.voltages, fixed.voltages, rtol=1e-9)


def test_without_an_anode_load_the_anode_is_at_the_supply() -> None:
    point = stages.fixed_bias(ECC83, np.array([100.0, 250.0]), 0.0, np.array([-1.0, -2.0])).of()
    assert point.voltage("anode").tolist() == [100.0, 250.0]
    assert np.allclose(point.current("anode"), ECC83.law.currents(point.voltages)[0], rtol=1e-12)
    tiny = stages.fixed_bias(ECC83, np.array([100.0, 250.0]), 1e-9, np.array([-1.0, -2.0])).of()
    assert np.allclose(tiny.currents, point.currents, rtol=1e-9)


def test_a_very_large_cathode_resistor_leaves_next_to_no_current() -> None:
    point = stages.cathode_bias(ECC83, 250.0, 100e3, np.array([1e3, 1e5, 1e7, 1e9])).of()
    assert (np.diff(point.current("anode")) < 0).all()
    assert point.current("anode")[-1] < 1e-8


def test_each_draw_is_what_it_is_alone() -> None:
    rng = np.random.default_rng(3)
    ht, ra, rk = rng.uniform(150, 400, 500), 10 ** rng.uniform(4, 5.5, 500), 10 ** rng.uniform(2, 4, 500)
    together = stages.cathode_bias(ECC83, ht, ra, rk)
    for draw in range(0, 500, 50):
        alone = stages.cathode_bias(ECC83, ht[draw], ra[draw], rk[draw])
        assert np.allclose(alone.voltages[0], together.voltages[draw], rtol=1e-12)
        assert alone.steps[0] == together.steps[draw]


def test_chunks_join_without_a_seam(monkeypatch: pytest.MonkeyPatch) -> None:
    ht = np.linspace(100, 400, 1000)
    whole = stages.cathode_bias(ECC83, ht, 100e3, 1.5e3)
    monkeypatch.setattr(module, "CHUNK", 64)
    pieces = stages.cathode_bias(ECC83, ht, 100e3, 1.5e3)
    assert np.allclose(whole.voltages, pieces.voltages, rtol=1e-12)


def test_a_bad_draw_is_told_and_disturbs_no_other() -> None:
    e = np.array([[250.0, 0.0], [math.nan, 0.0], [250.0, math.inf], [250.0, 0.0]])
    z = np.array([[101.5e3, 1.5e3], [1.5e3, 1.5e3]])
    point = operating_point([ECC83], e, np.stack([z, z, z, z * math.nan]))
    assert point.found.tolist() == [True, False, False, False]
    assert np.isnan(point.voltages[1:]).all()
    assert np.isnan(point.currents[1:]).all()
    assert point.state[1:, 0].tolist() == [int(State.NO_OPERATING_POINT)] * 3
    assert point.state[0, 0] == int(State.CONDUCTING)
    small = small_signal(point.of())
    assert np.isnan(small.gm[1:]).all()
    assert small.mu[0] == pytest.approx(100, rel=0.1)


def test_no_draws_at_all_are_no_trouble() -> None:
    point = operating_point([ECC83], np.empty((0, 2)), np.eye(2))
    assert point.voltages.shape == (0, 2)
    assert point.state.shape == (0, 1)


def test_a_negative_resistance_without_an_operating_point_says_so() -> None:
    """A diode behind −1 kΩ: u = 10 V + 1 kΩ·k·u^1.5 has no solution; at 10 mV it has one again."""
    diode = Valve(DIODE)
    point = operating_point([diode], np.array([[10.0], [0.01]]), np.array([[-1e3]]))
    assert point.found.tolist() == [False, True]
    assert in_words(int(point.state[0, 0])) == "no operating point"
    u = float(point.voltages[1, 0])
    assert u == pytest.approx(0.01 + 1e3 * 1.9e-3 * u**1.5, rel=1e-9)


def test_a_law_that_ends_at_the_cathodes_voltage_may_leave_a_stage_without_a_point() -> None:
    """The plain power law with a positive grid: 10 mA at any anode voltage above none, where only 1 mA can come."""
    point = stages.fixed_bias(Valve(POWER), 100.0, 100e3, 20.0)
    assert not point.found.any()


def test_nothing_runs_on_for_ever() -> None:
    """Circuits that no resistors make, solved or told within 2 s each."""
    rng = np.random.default_rng(5)
    for law in (TRIODE, PENTODE, BEAM, POWER):
        ports = len(law.ports)
        for _ in range(2):
            begun = time.perf_counter()
            z = rng.normal(size=(1, ports, ports)) * 10 ** rng.uniform(0, 7)
            point = operating_point([Valve(law)], rng.normal(size=(1, ports)) * 300, z)
            assert time.perf_counter() - begun < 2
            assert agrees(point, np.full((1, ports), np.nan), z) or point.found.all() or np.isnan(point.voltages).all()


def test_absurd_values_are_solved_or_told_without_a_warning() -> None:
    rng = np.random.default_rng(6)
    draws = 300
    size = [10 ** rng.uniform(-12, 12, draws) * (rng.random(draws) > 0.1) for _ in range(6)]
    for valve in (Valve(TRIODE), ECC83):
        point = stages.cathode_bias(valve, *size[:3], grid_leak=size[3], grid_voltage=size[4] - size[5])
        assert point.found.mean() > 0.9
    point = stages.pentode_stage(EL84, *size[:4], grid_voltage=-size[4])
    assert point.found.mean() > 0.9
    point = operating_point([ECC83], np.array([[1e300, -1e300]]), np.array([[1e300, 1e300], [1e300, 1e300]]))
    assert np.isfinite(point.voltages).all() or not point.found.any()


@pytest.mark.parametrize("law", [TRIODE, PENTODE, BEAM, DIODE], ids=["triode", "pentode", "beam", "diode"])
def test_every_way_finds_the_same_point(law: object) -> None:
    rng = np.random.default_rng(7)
    ports = len(law.ports)  # type: ignore[attr-defined]
    around = surround([law], rng.uniform(5, 300, (40, ports)), passive(rng, 40, ports))  # type: ignore[list-item]
    expected = halve_in(around)
    assert expected.found.all()
    for way in (lambda a: newton(a, a.e), follow_emission, settle_in_time):
        other = way(around)
        assert other.found.mean() > 0.9
        assert np.allclose(other.u[:, other.found], expected.u[:, other.found], rtol=1e-6, atol=1e-6)


def test_where_one_way_is_stopped_the_next_one_is_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    """With Newton's first try taken away the answers stay the same."""
    ht = np.linspace(100, 400, 20)
    expected = stages.cathode_bias(ECC83, ht, 100e3, 1.5e3).voltages
    real = module.newton
    monkeypatch.setattr(module, "newton", lambda around, start: real(around, start, 0))
    again = stages.cathode_bias(ECC83, ht, 100e3, 1.5e3)
    assert np.allclose(again.voltages, expected, rtol=1e-8)
    monkeypatch.setattr(module, "follow_emission", lambda around: real(around, around.e, 0))
    settled = stages.cathode_bias(ECC83, ht, 100e3, 1.5e3)
    assert np.allclose(settled.voltages, expected, rtol=1e-8)
    monkeypatch.setattr(module, "settle_in_time", lambda around: real(around, around.e, 0))
    halved = stages.cathode_bias(ECC83, ht, 100e3, 1.5e3)
    assert np.allclose(halved.voltages, expected, rtol=1e-8)
    assert (halved.steps >= fallback.HALVINGS).all()


def state_of(point: OperatingPoint, index: int = 0) -> State:
    return State(int(point.state[0, index]))


def test_states_say_how_a_valve_stands() -> None:
    assert state_of(stages.cathode_bias(ECC83, 250, 100e3, 1.5e3)) == State.CONDUCTING
    assert state_of(stages.fixed_bias(ECC83, 250, 100e3, -20)) == State.CUT_OFF
    assert State.GRID_CURRENT in state_of(stages.fixed_bias(ECC83, 250, 100e3, 5.0, grid_leak=100e3))
    assert state_of(stages.fixed_bias(ECC83, 290, 4.7e3, -0.5)) == State.OVER_DISSIPATION
    assert state_of(stages.fixed_bias(ECC83, 500, 100e3, -3)) == State.OUTSIDE_RANGE
    assert state_of(stages.fixed_bias(ECC83, -250, 100e3, -1)) == State.CUT_OFF
    assert State.OUTSIDE_RANGE in state_of(stages.fixed_bias(ECC83, 250, 20e3, 2.0))


def test_several_things_are_told_at_once() -> None:
    point = stages.fixed_bias(EL84_AS_TRIODE, 290, 100, 0.5)
    state = state_of(point)
    assert State.GRID_CURRENT in state
    assert State.OVER_DISSIPATION in state
    assert in_words(state).startswith("outside the model's range, over-dissipation, grid current")


EL84_AS_TRIODE = Valve(
    TRIODE.scaled(20), Limits(anode_voltage=(80, 300), cathode_current=(5e-3, 65e-3), anode_dissipation=12.0)
)


def test_a_screen_over_its_rating_is_told() -> None:
    """The anode pulled down by a large load leaves its share of the current to the screen."""
    point = stages.pentode_stage(EL84, 300, 100e3, 0, 0, grid_voltage=-5)
    assert point.of().voltage("screen")[0] * point.of().current("screen")[0] > 2
    assert State.OVER_DISSIPATION in state_of(point)


@pytest.mark.parametrize("name", ["EL84", "EL34", "6V6GT", "KT66", "EF86", "ECC83", "6SN7GT", "2A3"])
def test_a_valve_at_its_sheets_point_is_within_everything(name: str) -> None:
    system = valve_type(name).system()
    sheet = system.points[0]
    voltages = [sheet.anode_voltage, sheet.grid_voltage, sheet.screen_voltage]
    ports = len(system.fit().make_law().ports)
    point = operating_point(
        [valve_type(name).valve()], np.array(voltages[:ports], dtype=float), np.zeros((ports, ports))
    )
    assert state_of(point) == State.CONDUCTING


def test_a_dead_heater_cuts_the_valve_off_and_low_emission_lowers_its_current() -> None:
    good = stages.cathode_bias(ECC83, 250, 100e3, 1.5e3).of()
    weak = stages.cathode_bias(ECC83.with_emission(0.5), 250, 100e3, 1.5e3).of()
    dead = stages.cathode_bias(ECC83.with_emission(0.0), 250, 100e3, 1.5e3)
    assert 0.5 * good.current("anode")[0] < weak.current("anode")[0] < good.current("anode")[0]
    assert state_of(dead) == State.CUT_OFF
    assert dead.voltages[0].tolist() == [250.0, 0.0]


def test_states_of_two_valves_stand_side_by_side() -> None:
    """A first valve that is cut off leaves the follower behind it with its grid at the supply."""
    point = stages.direct_coupled(ECC83.with_emission(0.0), ECC83, 250, (100e3, 0), (1.5e3, 47e3))
    assert state_of(point, 0) == State.CUT_OFF
    assert State.GRID_CURRENT in state_of(point, 1)


@pytest.mark.parametrize(
    ("valves", "e", "z", "said"),
    [
        ([], [1.0], [[1.0]], "there is no valve in it; give at least one"),
        ([ECC83], [250.0], [[1.0]], "e has the shape (1,); its 2 ports want (2,) or (draws, 2)"),
        ([ECC83], [250.0, 0.0], [[1.0]], "Z has the shape (1, 1); its 2 ports want (2, 2) or (draws, 2, 2)"),
        (
            [ECC83],
            np.zeros((3, 2)),
            np.zeros((4, 2, 2)),
            "e has 3 draws and Z 4; both want as many, or one of them 1",
        ),
        ([EL84], [250.0, 0.0], np.eye(2), "e has the shape (2,); its 3 ports want (3,) or (draws, 3)"),
    ],
)
def test_a_description_that_is_not_the_valves_is_refused(valves: list[Valve], e: object, z: object, said: str) -> None:
    with pytest.raises(PortError) as caught:
        operating_point(valves, e, z)  # type: ignore[arg-type]
    assert str(caught.value) == f"the circuit around the valves: {said}"


def test_a_hundred_thousand_points_cost_less_than_two_hundred_evaluations_of_the_law() -> None:
    rng = np.random.default_rng(1)
    draws = 100_000
    ht, ra, rk = rng.uniform(150, 400, draws), 10 ** rng.uniform(4.3, 5.5, draws), 10 ** rng.uniform(2.5, 3.6, draws)
    point = stages.cathode_bias(ECC83, ht, ra, rk)
    assert point.found.all()
    voltages = np.ascontiguousarray(point.voltages.T)
    law, solver = [], []
    # Taken in turns: other work on the machine then slows both alike.
    for _ in range(7):
        begun = time.perf_counter()
        ECC83.law.currents(voltages)
        between = time.perf_counter()
        stages.cathode_bias(ECC83, ht, ra, rk)
        law.append(between - begun)
        solver.append(time.perf_counter() - between)
    assert min(solver) < 200 * min(law)
