"""Programs: their source, what they leave out, and that numbers and arrays come to the same."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from tests.circuits.networks import Parts, analysis_of, capacitor, inductor, potentiometer, resistor, voltage
from tutor.circuits.asked import read_circuit_ask
from tutor.circuits.errors import CircuitError
from tutor.circuits.expressions import read_expression
from tutor.circuits.network import read_network
from tutor.circuits.problem import Problem, pose
from tutor.circuits.program import (
    LONGEST_FOLD,
    ProgramWriter,
    load_function,
    program_arrays,
    program_scalars,
    run_in_chunks,
)
from tutor.quantities import OHM, RATIO, VOLT

DIVIDER = {"V1": voltage("in", "0", 9.0), "R1": resistor("in", "out", 1e3), "R2": resistor("out", "0", 2e3)}
LOW = {"V1": voltage("in", "0", 1.0), "R1": resistor("in", "out", 1e3), "C1": capacitor("out", "0", 1e-6)}
OUT = {"voltage": "out"}


def posed(parts: Parts, ask: dict[str, Any] = OUT, frequency: float | None = None) -> Problem:
    return pose(read_network(parts), read_circuit_ask(ask).asked, analysis_of(frequency))


def test_a_divider_makes_a_few_plain_assignments() -> None:
    writer = ProgramWriter(("V1", "R1", "R2"))
    writer.define_solution("v_out", posed(DIVIDER))
    writer.output("v_out", read_expression("v_out"))
    assert writer.source("solve") == (
        "def solve(x_V1, x_R1, x_R2):\n"
        "    t1 = 1.0/x_R1\n"
        "    x_v_out = ((t1*x_V1)/(t1 + (1.0/x_R2)))\n"
        "    return (x_v_out,)\n"
    )


def test_steps_that_are_used_once_stand_where_they_are_used_but_not_without_end() -> None:
    parts = {"V1": voltage("n0", "0", 1.0)}
    for n in range(1, 41):
        parts |= {f"R{n}": resistor(f"n{n - 1}", f"n{n}", 1e3), f"S{n}": resistor(f"n{n}", "0", 1e3)}
    writer = ProgramWriter(tuple(parts))
    writer.define_solution("v_out", posed(parts, {"voltage": "n40"}))
    writer.output("v_out", read_expression("v_out"))
    source = writer.source("solve")
    assert max(len(line) for line in source.splitlines()[1:-1]) < 4 * LONGEST_FOLD
    (value,) = load_function(source, "solve", program_scalars())(1.0, *[1e3] * 80)
    golden = (1 + math.sqrt(5)) / 2  # a ladder of equal resistors divides by Fibonacci's numbers
    assert value == pytest.approx(math.sqrt(5) / (golden**81 + golden**-81), rel=1e-12)


def test_bound_values_are_defined_once_and_only_if_needed() -> None:
    network = read_network(
        {
            **{k: {kk: v for kk, v in p.items() if kk != "value"} for k, p in DIVIDER.items()},
            "R3": resistor("in", "0", 5.0),
        },
        {"V1": VOLT, "R1": OHM, "R2": OHM},
    )
    problem = pose(network, read_circuit_ask(OUT).asked, analysis_of(None))
    writer = ProgramWriter(("V1", "R1", "R2"))
    for name in ("one", "two"):
        writer.bind(problem)
        writer.define_solution(name, problem)
        writer.output(name, read_expression(name))
    source = writer.source("solve")
    assert source.count("t1 = ") == 1
    assert "x_R3" not in source  # across the source, it does not matter
    assert load_function(source, "solve", program_scalars())(9.0, 1e3, 2e3) == pytest.approx((6.0, 6.0))


def test_a_value_worked_out_from_others_is_bound_to_their_expression() -> None:
    parts = {**DIVIDER, "R2": {"kind": "resistor", "nodes": ["out", "0"], "value": "k*R1"}}
    network = read_network(parts, {"V1": VOLT, "R1": OHM, "k": RATIO})
    problem = pose(network, read_circuit_ask(OUT).asked, analysis_of(None))
    writer = ProgramWriter(("V1", "R1", "k"))
    writer.bind(problem)
    writer.define_solution("v", problem)
    writer.output("v", read_expression("v"))
    assert load_function(writer.source("f"), "f", program_scalars())(9.0, 1e3, 2.0) == pytest.approx((6.0,))


@pytest.mark.parametrize(
    ("take", "value"),
    [
        ("magnitude", math.sqrt(0.5)),
        ("phase", -45.0),
        ("decibels", -10 * math.log10(2)),
        ("real", 0.5),
        ("imaginary", -0.5),
        ("", 0.5 - 0.5j),
    ],
)
def test_a_phasor_gives_the_figure_that_is_taken_of_it(take: str, value: complex) -> None:
    writer = ProgramWriter(("V1", "R1", "C1", "f"))
    writer.define_solution("v", posed(LOW, frequency=1.0), frequency="x_f", take=take)
    writer.output("v", read_expression("v"))
    source = writer.source("solve")
    arguments = (1.0, 1e3, 1e-6, 159.15494309189535)
    (number,) = load_function(source, "solve", program_scalars())(*arguments)
    (array,) = load_function(source, "solve", program_arrays())(*(np.full(3, a) for a in arguments))
    assert number == pytest.approx(value)
    assert array == pytest.approx(np.full(3, value))


def test_one_frequency_is_worked_out_once_and_two_stand_apart() -> None:
    writer = ProgramWriter(("V1", "R1", "C1", "f", "g"))
    for name, frequency in (("a", "x_f"), ("b", "x_g"), ("c", "x_f")):
        writer.define_solution(name, posed(LOW, frequency=1.0), frequency=frequency, take="magnitude")
        writer.output(name, read_expression(name))
    source = writer.source("solve")
    assert source.count("j*(x_f)") == source.count("j*(x_g)") == 1
    a, b, c = load_function(source, "solve", program_scalars())(1.0, 1e3, 1e-6, 159.15494309189535, 1e-9)
    assert (a, b, c) == pytest.approx((math.sqrt(0.5), 1.0, math.sqrt(0.5)))


def test_power_is_worked_out_at_dc_and_as_a_mean_at_ac() -> None:
    for frequency, expected in ((None, 9.0**2 / 3e3**2 * 2e3), (50.0, 9.0**2 / 3e3**2 * 2e3)):
        writer = ProgramWriter(("V1", "R1", "R2"))
        text = "50.0" if frequency else ""
        writer.define_solution("p", posed(DIVIDER, {"power": "R2"}, frequency), frequency=text)
        writer.output("p", read_expression("p"))
        (value,) = load_function(writer.source("f"), "f", program_scalars())(9.0, 1e3, 2e3)
        assert value == pytest.approx(expected)


@pytest.mark.parametrize(
    ("parts", "ask", "expected"),
    [
        ({**DIVIDER, "C1": capacitor("out", "0", 3e-6)}, {"time constant": "C1"}, 2e-3),
        ({"R1": resistor("a", "0", 1e3), "L1": inductor("a", "0", 2.0)}, {"time constant": "L1"}, 2e-3),
    ],
)
def test_a_time_constant_is_worked_out_from_the_part_that_stores(
    parts: Parts, ask: dict[str, Any], expected: float
) -> None:
    problem = posed(parts, ask)
    writer = ProgramWriter(())
    writer.bind(problem)
    writer.define_solution("tau", problem)
    writer.output("tau", read_expression("tau"))
    (value,) = load_function(writer.source("f"), "f", program_scalars())()
    assert value == pytest.approx(expected)


def test_a_wiper_at_either_end_is_no_division_by_zero_for_arrays() -> None:
    parts = {
        "V1": voltage("in", "0", 2.0),
        "R1": resistor("in", "top", 1e5),
        "P1": potentiometer("top", "w", "0", 5e5, 0.5),
        "R2": resistor("w", "0", 1e6),
    }
    writer = ProgramWriter(("V1", "R1", "P1", "turn_P1", "R2"))
    writer.define_solution("v", posed(parts, {"voltage": "w"}))
    writer.output("v", read_expression("v"))
    turns = np.array([0.0, 0.25, 1.0])
    (found,) = load_function(writer.source("f"), "f", program_arrays())(2.0, 1e5, 5e5, turns, 1e6)
    lower = 5e5 * turns * 1e6 / (5e5 * turns + 1e6)
    assert found == pytest.approx(2.0 * lower / (lower + 5e5 * (1 - turns) + 1e5))


def test_a_name_that_stands_for_a_figure_of_the_circuit_cannot_be_given_away() -> None:
    problem = posed({**DIVIDER, "P1": potentiometer("in", "w", "0", 1e3, 0.5)})
    writer = ProgramWriter(("x",))
    writer.define("turn_P1", read_expression("2*x"))
    with pytest.raises(CircuitError) as caught:
        writer.bind(problem)
    assert str(caught.value) == ("turn_P1 stands for a figure of the circuit; give what is called turn_P1 another name")


def test_a_program_can_reach_nothing_but_its_own_functions() -> None:
    function = load_function("def f(x_a):\n    return (sqrt_(x_a),)\n", "f", program_scalars())
    assert function(4.0) == (2.0,)
    reach = load_function("def f():\n    return (open,)\n", "f", program_scalars())
    with pytest.raises(NameError):
        reach()


@pytest.mark.parametrize("draws", [1, 4095, 4096, 4097, 10_000])
def test_running_in_chunks_changes_nothing(draws: int) -> None:
    writer = ProgramWriter(("V1", "R1", "R2"))
    writer.define_solution("v", posed(DIVIDER))
    writer.output("v", read_expression("v"))
    writer.output("five", read_expression("5"))
    function = load_function(writer.source("f"), "f", program_arrays())
    lots = np.random.default_rng(1)
    r1, r2 = lots.uniform(1, 10, draws), lots.uniform(1, 10, draws)
    found, five = run_in_chunks(function, (9.0, r1, r2), draws)
    assert found == pytest.approx(9.0 * r2 / (r1 + r2))
    assert (five == 5.0).all()
    assert five.shape == (draws,)


def test_a_division_by_zero_in_one_draw_spoils_no_other() -> None:
    function = load_function("def f(x_a):\n    return (1.0/x_a,)\n", "f", program_arrays())
    (found,) = run_in_chunks(function, (np.array([0.0, 2.0]),), 2)
    assert found[1] == 0.5
