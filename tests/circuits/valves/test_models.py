"""The laws: what no valve does differently, whatever its parameters; and what hostile voltages do to them."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.circuits.valves.laws import BEAM, FORMS, GRID, LAWS, PENTODE, POWER, TRIODE, grid_of_voltages
from tutor.circuits.valves.errors import LawError
from tutor.circuits.valves.models import FARTHEST, Diode, GridCurrent, KorenTriode, Law, PowerTriode, ReefmanPentode
from tutor.circuits.valves.small_signal import small_signal_at

names = pytest.mark.parametrize("name", LAWS)
volts = st.floats(-600, 600)


@names
def test_slopes_are_the_differences_of_the_currents(name: str) -> None:
    law = LAWS[name]
    at = grid_of_voltages(law)
    currents, slopes = law.slopes(at)
    assert np.array_equal(currents, law.currents(at)) or np.allclose(currents, law.currents(at), rtol=1e-13, atol=0)
    step = 1e-4
    for port in range(len(law.ports)):
        ahead, back = at.copy(), at.copy()
        ahead[port] += step
        back[port] -= step
        differences = (law.currents(ahead) - law.currents(back)) / (2 * step)
        # Second differences of a 3/2-power law are large beside its onset only.
        assert np.allclose(differences, slopes[:, port], rtol=2e-5, atol=1e-11), law.ports[port]


@names
def test_more_voltage_is_never_less_current_there(name: str) -> None:
    law = LAWS[name]
    _, slopes = law.slopes(grid_of_voltages(law))
    assert (slopes[0] >= 0).all()
    for port in range(len(law.ports)):
        assert (slopes[port, port] >= 0).all(), law.ports[port]


@names
@given(first=st.tuples(volts, volts, volts), rise=st.floats(0, 200))
def test_the_anode_current_rises_with_anode_and_grid(name: str, first: tuple[float, ...], rise: float) -> None:
    law = LAWS[name]
    at = np.array(first[: len(law.ports)])
    before = law.currents(at)[0]
    for port in range(min(2, len(law.ports))):
        later = at.copy()
        later[port] += rise
        assert law.currents(later)[0] >= before * (1 - 1e-12)


@names
def test_an_anode_below_its_cathode_supplies_no_current(name: str) -> None:
    law = LAWS[name]
    for anode in (0.0, -1e-9, -1.0, -250.0, -math.inf):
        at = grid_of_voltages(law)
        at[0] = anode
        currents, slopes = law.slopes(at)
        assert (currents[0] == 0).all()
        assert (currents >= 0).all()
        if anode < 0:
            assert (slopes[0] == 0).all()


@names
def test_a_screen_below_its_cathode_passes_nothing(name: str) -> None:
    law = LAWS[name]
    if "screen" in law.ports:
        at = grid_of_voltages(law)
        at[2] = -100.0
        currents = law.currents(at)
        assert (currents[[0, 2]] == 0).all()


@names
def test_hostile_voltages_give_finite_currents_without_a_warning(name: str) -> None:
    law = LAWS[name]
    hostile = [-math.inf, -1e300, -1e9, -1e-300, 0.0, 1e-300, 1e9, 1e300, math.inf]
    at = np.stack([axis.ravel() for axis in np.meshgrid(*[hostile] * len(law.ports), indexing="ij")])
    currents, slopes = law.slopes(at)
    assert np.isfinite(currents).all()
    assert np.isfinite(slopes).all()
    assert np.isfinite(law.currents(at)).all()
    assert (currents >= 0).all()
    assert (slopes[0] >= 0).all()


@names
def test_beyond_its_farthest_voltage_a_law_stands_still(name: str) -> None:
    law = LAWS[name]
    at = np.full((len(law.ports), 1), 2 * FARTHEST)
    currents, slopes = law.slopes(at)
    assert np.allclose(currents, law.currents(at / 2), rtol=1e-8)
    assert (slopes == 0).all()


@names
def test_not_a_number_stays_so_and_spoils_no_other_draw(name: str) -> None:
    law = LAWS[name]
    at = np.array([[250.0, math.nan], [-2.0, -2.0], [250.0, 250.0]])[: len(law.ports)]
    currents, slopes = law.slopes(at)
    assert np.isnan(currents[0, 1])
    assert np.isfinite(currents[:, 0]).all()
    assert np.isfinite(slopes[:, :, 0]).all()


@names
def test_mu_is_gm_times_ra(name: str) -> None:
    law = LAWS[name]
    if "grid" not in law.ports:
        return
    mu, ra, gm = small_signal_at(law, grid_of_voltages(law))
    alive = np.isfinite(ra)
    assert alive.any()
    assert np.allclose(mu[alive], gm[alive] * ra[alive], rtol=1e-12)
    assert (mu[~alive] == 0).all()


@names
def test_a_weaker_cathode_gives_less_of_everything(name: str) -> None:
    law = LAWS[name]
    at = grid_of_voltages(law)
    assert np.allclose(law.scaled(0.6).currents(at), 0.6 * law.currents(at), rtol=1e-12)
    assert (law.scaled(0.0).currents(at) == 0).all()
    _, slopes = law.scaled(0.0).slopes(at)
    assert (slopes == 0).all()


@pytest.mark.parametrize("shape", [(), (1,), (7,), (3, 4)])
@pytest.mark.parametrize("name", FORMS)
def test_every_shape_behind_the_ports_comes_back(name: str, shape: tuple[int, ...]) -> None:
    law = FORMS[name]
    at = np.full((len(law.ports), *shape), 10.0)
    currents, slopes = law.slopes(at)
    assert currents.shape == law.currents(at).shape == at.shape
    assert slopes.shape == (len(law.ports), *at.shape)


def test_the_koren_law_is_its_formula() -> None:
    """Written out with plain floats for the ECC83 of N. Koren, Glass Audio 8(5), 1996."""
    for anode, grid in ((250.0, -2.0), (100.0, -1.0), (40.0, 0.0), (300.0, -4.5)):
        e = anode / 600 * math.log(1 + math.exp(600 * (1 / 100 + grid / math.sqrt(300 + anode**2))))
        expected = 2 * e**1.4 / 1060
        assert math.isclose(float(TRIODE.currents(np.array([anode, grid]))[0]), expected, rel_tol=1e-12)


@pytest.mark.parametrize("law", [PENTODE, BEAM], ids=["pentode", "beam"])
def test_the_pentode_law_is_reefmans_formula_before_its_terms_were_gathered(law: ReefmanPentode) -> None:
    for anode, grid, screen in ((250.0, -7.3, 250.0), (20.0, 0.0, 200.0), (1.0, -3.0, 100.0)):
        e = screen / law.kp * math.log(1 + math.exp(law.kp * (1 / law.mu + grid / math.sqrt(law.kvb + screen**2))))
        given_by_cathode = 2 * e**law.ex
        s = math.exp(-((law.beta * anode) ** 1.5)) if law.beam else 1 / (1 + law.beta * anode)
        alpha = 1 - law.kg1 * (1 + law.alpha_s) / law.kg2
        anode_share = (
            1 / law.kg1 - 1 / law.kg2 + law.a * anode / law.kg1 - s * (alpha / law.kg1 + law.alpha_s / law.kg2)
        )
        found = law.currents(np.array([anode, grid, screen]))
        assert math.isclose(float(found[0]), given_by_cathode * anode_share, rel_tol=1e-9)
        assert math.isclose(float(found[2]), given_by_cathode / law.kg2 * (1 + law.alpha_s * s), rel_tol=1e-12)


def test_a_screen_takes_more_as_the_anode_comes_down() -> None:
    anode = np.array([5.0, 20.0, 60.0, 250.0])
    found = PENTODE.currents(np.stack([anode, np.full(4, -5.0), np.full(4, 250.0)]))
    assert (np.diff(found[2]) < 0).all()
    assert (np.diff(found[0]) > 0).all()


def test_a_power_triode_is_cut_off_where_its_law_says() -> None:
    at = np.array([[250.0, 250.0, 250.0], [-12.0, -250 / 20.43, -13.0]])
    currents = POWER.currents(at)[0]
    assert currents[0] > 0
    assert currents[1] == pytest.approx(0, abs=1e-20)
    assert currents[2] == 0


def test_grid_current_begins_at_its_onset() -> None:
    currents, slopes = GRID.slope(np.array([-5.0, -0.1, 0.0, 0.9]))
    assert currents.tolist() == pytest.approx([0, 0, 3e-4 * 0.1**1.5, 3e-4])
    assert slopes[0] == 0
    assert slopes[3] == pytest.approx(4.5e-4)


@given(
    open_voltage=st.floats(-100, 1000),
    resistance=st.one_of(st.just(0.0), st.floats(1e-3, 1e12)),
    perveance=st.floats(1e-9, 1),
)
def test_a_grid_behind_a_resistor_draws_what_both_agree_on(
    open_voltage: float, resistance: float, perveance: float
) -> None:
    grid = GridCurrent(perveance)
    current = grid.behind(np.array(open_voltage), np.array(resistance))
    at_grid = open_voltage - resistance * float(current)
    if open_voltage <= grid.onset:
        assert current == 0
    else:
        # The voltage that is left is far below the drop behind a large resistor: go by the drive that gives the current.
        drive = (float(current) / perveance) ** (2 / 3) + grid.onset
        assert math.isclose(drive, at_grid, rel_tol=1e-8, abs_tol=1e-9 * max(1.0, abs(open_voltage)))


@given(current=st.floats(0, 5))
def test_a_diodes_drop_is_the_way_back_from_its_current(current: float) -> None:
    diode = Diode(perveance=2e-3)
    drop = diode.drop(np.array([current]))
    assert math.isclose(float(diode.currents(drop[None])[0, 0]), current, rel_tol=1e-9, abs_tol=1e-300)


def test_a_dead_diode_drops_whatever_there_is() -> None:
    assert Diode(perveance=0.0).drop(np.array([0.0, 1e-3])).tolist() == [0.0, math.inf]


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: KorenTriode(mu=0, ex=1.4, kg1=1, kp=1, kvb=1), "KorenTriode: mu: it is 0; it must be positive"),
        (
            lambda: KorenTriode(mu=1, ex=1.4, kg1=math.nan, kp=1, kvb=1),
            "KorenTriode: kg1: it is nan; it must be positive",
        ),
        (
            lambda: KorenTriode(mu=1, ex=1.0, kg1=1, kp=1, kvb=1),
            "KorenTriode: the exponent: it is 1.0; it must be more than 1 and less than 10",
        ),
        (lambda: PowerTriode(k=1, mu=-1), "PowerTriode: mu: it is -1; it must be positive"),
        (
            lambda: ReefmanPentode(mu=1, ex=1.4, kg1=1, kg2=1, kp=1, kvb=0, alpha_s=1, a=0, beta=1),
            "ReefmanPentode: kvb: it is 0; it must be positive",
        ),
    ],
)
def test_parameters_that_no_valve_has_are_refused(make: object, message: str) -> None:
    with pytest.raises(LawError) as caught:
        make()  # type: ignore[operator]
    assert str(caught.value) == message
    assert isinstance(caught.value, ValueError)


def test_all_laws_have_been_gone_through() -> None:
    kinds: set[type[Law]] = {type(law) for law in LAWS.values()}
    assert kinds == {KorenTriode, ReefmanPentode, PowerTriode, Diode}
    assert len(LAWS) == 5 + 23
