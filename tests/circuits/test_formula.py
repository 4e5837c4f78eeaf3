"""The symbolic answer: its texts, its bounds, and that it says what the program and LAPACK say."""

from __future__ import annotations

import time
from typing import Any

import numpy as np
import pytest

from tests.circuits.networks import (
    AC_KINDS,
    DC_KINDS,
    Parts,
    RandomCircuit,
    amplifier,
    analysis_of,
    capacitor,
    inductor,
    potentiometer,
    resistor,
    transformer,
    triode,
    voltage,
)
from tests.circuits.test_classics import (
    CLASSICS,
    Classic,
    bridge,
    cathode_stage,
    concertina,
    follower,
    ladder,
    series_rlc,
    wien,
)
from tutor.circuits.analysis import DC, S
from tutor.circuits.asked import read_circuit_ask
from tutor.circuits.errors import CircuitError, FormulaTooLongError, SingularCircuitError
from tutor.circuits.expressions import Name, evaluate, read_expression
from tutor.circuits.formula import Formula, formula_of, symbols_in
from tutor.circuits.linear import symbol_values
from tutor.circuits.network import read_network
from tutor.circuits.numeric import solve_numerically
from tutor.circuits.problem import Problem, pose
from tutor.circuits.program import ProgramWriter, load_function, program_arrays, spell

DRAWS = 7


def problem_of(parts: Parts, ask: dict[str, Any], frequency: float | None = None) -> Problem:
    return pose(read_network(parts), read_circuit_ask(ask).asked, analysis_of(frequency))


def text_of(parts: Parts, ask: dict[str, Any], frequency: float | None = None) -> str:
    return formula_of(problem_of(parts, ask, frequency)).text()


DIVIDER = {"V1": voltage("in", "0", 9.0), "R1": resistor("in", "out", 1e3), "R2": resistor("out", "0", 2e3)}
OUT = {"voltage": "out"}

TEXTS = [
    ("divider", DIVIDER, OUT, None, "V1*R2/(R1 + R2)"),
    ("loaded divider", DIVIDER | {"RL": resistor("out", "0", 1e4)}, OUT, None,
     "V1*R2*RL/(R1*R2 + R1*RL + R2*RL)"),
    ("current of a divider", DIVIDER, {"current": "R1"}, None, "V1/(R1 + R2)"),
    ("current of its source", DIVIDER, {"current": "V1"}, None, "-V1/(R1 + R2)"),
    ("power in a divider", DIVIDER, {"power": "R2"}, None, "V1**2*R2/(R1**2 + 2*R1*R2 + R2**2)"),
    ("impedance of a divider", DIVIDER, {"impedance": "out"}, None, "R1*R2/(R1 + R2)"),
    ("gain of a divider", DIVIDER, {"gain": {"from": "in", "to": "out"}}, None, "R2/(R1 + R2)"),
    ("voltage given by a source alone", DIVIDER, {"voltage": "in"}, None, "V1"),
    ("nothing", DIVIDER, {"voltage": "0"}, None, "0"),
    ("time constant with a capacitor", DIVIDER | {"C1": capacitor("out", "0", 1e-6)}, {"time constant": "C1"}, None,
     "R1*R2*C1/(R1 + R2)"),
    ("time constant with a coil", {"V1": voltage("in", "0", 1.0), "R1": resistor("in", "a", 1e3),
     "L1": inductor("a", "0", 2.0)}, {"time constant": "L1"}, None, "L1/R1"),
    ("open bridge", {k: v for k, v in bridge(1.0, 2.0, 3.0, 4.0, 5.0).items() if k != "R5"},
     {"voltage": ["left", "right"]}, None, "(-V1*R1*R4 + V1*R2*R3)/(R1*R3 + R1*R4 + R2*R3 + R2*R4)"),
    ("low-pass", {"V1": voltage("in", "0", 1.0), "R1": resistor("in", "out", 1e4), "C1": capacitor("out", "0", 1e-8)},
     OUT, 1e3, "V1/(1 + j*omega*R1*C1)"),
    ("high-pass", {"V1": voltage("in", "0", 1.0), "C1": capacitor("in", "out", 1e-8), "R1": resistor("out", "0", 1e4)},
     OUT, 1e3, "j*omega*V1*C1*R1/(1 + j*omega*C1*R1)"),
    ("impedance of a capacitor", {"C1": capacitor("a", "0", 1e-6)}, {"impedance": "a"}, 50.0, "1/(j*omega*C1)"),
    ("impedance of a coil", {"L1": inductor("a", "0", 1.0)}, {"impedance": "a"}, 50.0, "j*omega*L1"),
    ("series resonance", series_rlc(50.0, 0.5, 2e-6), {"voltage": "b"}, 400.0,
     "V1/(1 + j*omega*R1*C1 - omega**2*L1*C1)"),
    ("Wien network", wien(1e4, 1e-8), OUT, 1e3,
     "j*omega*V1*C1*R2/(1 + j*omega*R1*C1 + j*omega*C1*R2 + j*omega*R2*C2 - omega**2*R1*C1*R2*C2)"),
    ("cathode unbypassed", cathode_stage(False), {"voltage": "anode"}, None,
     "-V1*mu_X1*RL/(ra_X1 + RL + RK + mu_X1*RK)"),
    ("cathode follower", follower(), OUT, None, "V1*mu_X1*RK/(ra_X1 + RK + mu_X1*RK)"),
    ("concertina", concertina(), {"voltage": "anode"}, None, "-V1*mu_X1*R1/(ra_X1 + R1 + R2 + mu_X1*R2)"),
    ("volume control", {"V1": voltage("in", "0", 1.0), "P1": potentiometer("in", "out", "0", 1e5, 0.5)}, OUT, None,
     "V1*turn_P1"),
    ("amplifier with feedback", {"V1": voltage("in", "0", 1.0), "E1": amplifier("out", "0", ("in", "fb"), 99.0),
     "R1": resistor("out", "fb", 9e3), "R2": resistor("fb", "0", 1e3)}, OUT, None,
     "(V1*E1*R1 + V1*E1*R2)/(R1 + R2 + E1*R2)"),
    ("transformer", {"T1": transformer({"primary": ("a", "0", 25.0), "secondary": ("b", "0", 1.0)}),
     "R1": resistor("b", "0", 8.0)}, {"impedance": "a"}, 1e3,
     "turns_T1_primary**2*R1/turns_T1_secondary**2"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "parts", "ask", "frequency", "text"), TEXTS, ids=[row[0] for row in TEXTS])
def test_a_formula_reads_as_in_the_books(
    name: str, parts: Parts, ask: dict[str, Any], frequency: float | None, text: str
) -> None:
    assert text_of(parts, ask, frequency) == text


@pytest.mark.parametrize("row", [row for row in TEXTS if row[3] is None], ids=lambda row: row[0])
def test_a_dc_formula_reads_as_an_expression_with_the_same_value(row: tuple[Any, ...]) -> None:
    _, parts, ask, _, text = row
    problem = problem_of(parts, ask)
    values = symbol_values(problem.network, problem.network.values(), None)
    formula = formula_of(problem)
    assert evaluate(read_expression(text), values) == pytest.approx(formula.value(values), rel=1e-12)


# -- three ways to one value -------------------------------------------------------------------------------------------
def by_program(problem: Problem, values: dict[str, Any]) -> Any:
    writer = ProgramWriter(tuple(values))
    writer.define_solution("wanted", problem)
    writer.output("wanted", Name("wanted"))
    function = load_function(writer.source("solve"), "solve", program_arrays())
    return np.broadcast_to(function(*values.values())[0], (DRAWS,))


def drawn_values(problem: Problem, seed: int, frequency: float | None) -> dict[str, Any]:
    """Return every symbol over several draws, each within a factor of three of its value in the circuit."""
    lots = np.random.default_rng(seed)
    given = symbol_values(problem.network, problem.network.values(), None)
    values: dict[str, Any] = {}
    for name, value in given.items():
        narrow = name.startswith(("turn_", "share_", "M_"))
        spread = lots.uniform(0.7, 1.0, DRAWS) if narrow else np.exp(lots.uniform(-1.1, 1.1, DRAWS))
        values[name] = value * spread
    if frequency is not None:
        values[S] = 2j * np.pi * frequency * np.exp(lots.uniform(-1.1, 1.1, DRAWS))
    return values


def assert_three_ways_agree(problem: Problem, seed: int, frequency: float | None) -> None:
    values = drawn_values(problem, seed, frequency)
    pivoted = solve_numerically(problem, values)
    program = by_program(problem, values)
    if not program.any():  # nought whatever the values; LAPACK has its last bits
        assert (np.abs(pivoted) < 1e-11).all()
        assert (problem.is_complex and problem.is_power) or not np.any(formula_of(problem).value(values))
        return
    scale = np.maximum(np.abs(pivoted), 1e-9 * np.abs(pivoted).max())
    assert (np.abs(program - pivoted) <= 1e-9 * scale).all(), (program, pivoted)
    try:
        formula = formula_of(problem)
    except FormulaTooLongError:
        return
    except CircuitError:
        assert problem.is_power
        return
    symbolic = np.broadcast_to(formula.value(values), (DRAWS,))
    assert (np.abs(symbolic - pivoted) <= 1e-8 * scale).all(), (formula.text(), symbolic, pivoted)


@pytest.mark.parametrize("classic", CLASSICS, ids=lambda classic: classic.name)
def test_formula_program_and_lapack_agree_on_classics(classic: Classic) -> None:
    problem = problem_of(classic.parts, classic.ask, classic.frequency)
    assert_three_ways_agree(problem, 1, classic.frequency)


@pytest.mark.parametrize("seed", range(40))
def test_formula_program_and_lapack_agree_on_random_circuits(seed: int) -> None:
    frequency = None if seed % 2 else 700.0
    kinds = DC_KINDS if frequency is None else AC_KINDS
    parts = RandomCircuit(seed, kinds, nodes=3, extra=4).with_source().parts
    asks: list[dict[str, Any]] = [
        {"voltage": "n1"}, {"current": "R1"}, {"power": "R2"}, {"impedance": ["n1", "n2"]},
        {"gain": {"from": "n1", "to": "n3"}},
    ]  # fmt: skip
    for ask in asks:
        assert_three_ways_agree(problem_of(parts, ask, frequency), seed, frequency)


# -- bounds ------------------------------------------------------------------------------------------------------------
def test_a_ladder_of_eight_has_the_terms_that_fibonacci_counts() -> None:
    formula = formula_of(problem_of({"V1": voltage("n0", "0", 1.0), **ladder(8)}, {"voltage": "n8"}))
    assert (len(formula.numerator), len(formula.denominator)) == (1, 1597)
    assert formula.terms == 1598
    assert not formula.is_readable


def test_a_formula_of_forty_terms_is_readable_and_one_more_is_not() -> None:
    term = ((1,), 1)
    assert Formula(("x",), (term,) * 39, (term,)).is_readable
    assert not Formula(("x",), (term,) * 40, (term,)).is_readable


@pytest.mark.parametrize("limit", [10, 1000, 20_000])
def test_a_formula_beyond_its_limit_is_given_up(limit: int) -> None:
    problem = problem_of({"V1": voltage("n0", "0", 1.0), **ladder(14)}, {"voltage": "n14"})
    began = time.perf_counter()
    with pytest.raises(FormulaTooLongError) as caught:
        formula_of(problem, limit)
    assert caught.value.limit == limit
    assert str(caught.value) == (
        f"the formula grows beyond {limit} terms while it is worked out; ask for its value instead"
    )
    assert time.perf_counter() - began < 2


@pytest.mark.parametrize("sections", [30, 190])
def test_a_circuit_of_very_many_parts_is_given_up_at_once(sections: int) -> None:
    problem = problem_of({"V1": voltage("n0", "0", 1.0), **ladder(sections)}, {"voltage": "n1"})
    began = time.perf_counter()
    with pytest.raises(FormulaTooLongError) as caught:
        formula_of(problem)
    assert str(caught.value) == (
        "the formula grows beyond 60 symbols while it is worked out; ask for its value instead"
    )
    assert time.perf_counter() - began < 0.5


def test_a_dense_circuit_is_given_up_soon() -> None:
    nodes = [f"n{place}" for place in range(10)]
    pairs = [(a, b) for place, a in enumerate(nodes) for b in nodes[:place]]
    parts = {"V1": voltage("n0", "0", 1.0), "R0": resistor("n9", "0", 1e3)}
    parts |= {f"R{a}{b}": resistor(a, b, 1e3) for a, b in pairs}
    began = time.perf_counter()
    with pytest.raises(FormulaTooLongError):
        formula_of(problem_of(parts, {"voltage": "n9"}))
    assert time.perf_counter() - began < 5


def test_a_mean_power_at_ac_is_refused_as_a_formula() -> None:
    problem = problem_of(series_rlc(50.0, 0.5, 2e-6), {"power": "R1"}, 50.0)
    with pytest.raises(CircuitError) as caught:
        formula_of(problem)
    assert str(caught.value) == (
        "a mean power at ac is no quotient of polynomials; ask for the voltage and the current"
    )


def test_a_coil_that_sees_no_resistance_has_no_time_constant() -> None:
    parts = {"V1": voltage("a", "0", 1.0), "R1": resistor("a", "0", 1.0), "L1": inductor("a", "0", 1.0)}
    with pytest.raises(SingularCircuitError) as caught:
        formula_of(problem_of(parts, {"time constant": "L1"}))
    assert str(caught.value) == (
        "the circuit has no unique solution at dc: the time constant of L1 stays undetermined (it sees no resistance)"
    )


def test_equations_without_a_solution_name_what_stays_open() -> None:
    parts = {
        "V1": voltage("a", "0", 1.0),
        "T1": transformer({"primary": ("a", "0", 2.0), "secondary": ("b", "0", 1.0)}),
        "E1": amplifier("b", "0", ("a", "0"), 0.5),
    }
    with pytest.raises(SingularCircuitError) as caught:
        formula_of(problem_of(parts, {"voltage": "b"}))
    assert str(caught.value) == (
        "the circuit has no unique solution at dc: the current of T1 (secondary) stays undetermined"
    )


def test_what_hangs_on_the_source_alone_cancels_out_of_the_formula() -> None:
    beside = {"R3": resistor("in", "x", 1e3), "R4": resistor("x", "0", 1e3), "R5": resistor("x", "y", 1.0)}
    assert text_of(DIVIDER | beside | {"R6": resistor("y", "0", 1.0)}, OUT) == "V1*R2/(R1 + R2)"


def test_symbols_stand_in_the_order_of_the_file_with_sources_first() -> None:
    parts = {"RL": resistor("out", "0", 1e4), "X1": triode("out", "in", "0", 20.0, 1e4), "V1": voltage("in", "0", 1.0)}
    assert symbols_in(problem_of(parts, OUT)) == ("V1", "RL", "mu_X1", "ra_X1")


def test_the_formula_of_a_constant_has_no_symbols() -> None:
    parts = {"V1": voltage("in", "0", 1.0), "R1": resistor("in", "0", 1.0)}
    formula = formula_of(problem_of(parts, {"gain": {"from": "in", "to": "in"}}))
    assert formula.text() == "1"
    assert formula.value({"V1": 3.0, "R1": 2.0}) == 1.0
    assert spell("R1") == "x_R1"
    assert str(DC) == "dc"
