from __future__ import annotations

import pytest

from tests.circuits.networks import amplifier, coupling, inductor, potentiometer, resistor, voltage
from tests.circuits.test_classics import ladder
from tests.circuits.test_linear import grid
from tutor.circuits.analysis import AC, DC
from tutor.circuits.elimination import solve_on_tape
from tutor.circuits.equations import Equations, Unknown
from tutor.circuits.errors import SingularCircuitError
from tutor.circuits.network import read_network
from tutor.circuits.polynomial import ONE, symbol
from tutor.circuits.tape import Tape, generic_value


@pytest.mark.parametrize("sections", [2, 8, 24, 100])
def test_the_steps_of_a_ladder_grow_with_its_length_only(sections: int) -> None:
    """Where its formula has as many terms as Fibonacci counts, the program has a dozen steps for each section."""
    network = read_network({"V1": voltage("n0", "0", 1.0), **ladder(sections)})
    equations = network.equations(DC)
    tape = Tape(str)
    form = equations.difference(f"n{sections}", "0")
    solve_on_tape(tape, equations, equations.sources["V1"], [form])
    assert len(tape.lines) < 14 * sections


def test_the_order_of_the_pivots_keeps_a_bridged_chain_of_200_nodes_sparse() -> None:
    equations = read_network(grid(200, None)).equations(DC)
    tape = Tape(str)
    solve_on_tape(tape, equations, equations.sources["V1"], [equations.difference("n150", "0")])
    # 397 parts; without counting the new entries as they come it takes 8363 steps.
    assert len(tape.lines) < 5500


def test_the_generic_point_satisfies_the_equations() -> None:
    network = read_network({"V1": voltage("n0", "0", 1.0), **ladder(5), "E1": amplifier("x", "0", ("n2", "n3"), 3.0),
                            "RX": resistor("x", "n1", 2.0)})  # fmt: skip
    equations = network.equations(DC)
    tape = Tape(str)
    wanted = [((ONE, unknown),) for unknown in equations.unknowns]
    solution = solve_on_tape(tape, equations, equations.sources["V1"], wanted)
    values = {name: generic_value(name) for name in network.parameters()}
    by_unknown = {unknown: cell.value for unknown, cell in zip(equations.unknowns, solution, strict=True)}
    for row in equations.unknowns:
        left = sum(c.value(values) * by_unknown[column] for (r, column), c in equations.matrix.items() if r == row)
        right = equations.sources["V1"].get(row)
        assert left == pytest.approx(0 if right is None else right.value(values), abs=1e-9)


def test_what_is_zero_at_an_end_of_its_range_is_no_pivot() -> None:
    parts = {
        "V1": voltage("in", "0", 1.0),
        "P1": potentiometer("in", "w", "0", 1e3, 0.5),
        "L1": inductor("w", "0", 1.0),
        "L2": inductor("b", "0", 1.0),
        "R1": resistor("b", "0", 1.0),
        "K1": coupling("L1", "L2", 0.5),
        "E1": amplifier("c", "0", ("b", "w"), 0.0),
        "R2": resistor("c", "b", 1.0),
    }
    equations = read_network(parts).equations(AC)
    tape = Tape(str)
    solve_on_tape(tape, equations, equations.sources["V1"], [equations.difference("b", "0")])
    below = {text.partition("/")[2] for _, text in tape.lines if "/" in text}
    # Put in the ends of all ranges: nothing that is divided by may be nought.
    values: dict[str, complex] = {
        "V1": 1, "P1": 1e3, "turn_P1": 0, "L1": 1, "L2": 1, "R1": 1, "M_K1": 0, "E1": 0, "R2": 1, "s": 314j,
    }  # fmt: skip
    for name, text in tape.lines:
        values[name] = eval(text, {}, values)
    assert all(abs(values.get(name, 1)) > 0 for name in below)


def test_an_unknown_in_no_equation_is_named() -> None:
    equations = Equations(DC)
    a, b = Unknown("voltage", "a"), Unknown("voltage", "b")
    equations.unknowns = [a, b]
    equations.add(a, a, symbol("R1", -1))
    with pytest.raises(SingularCircuitError) as caught:
        solve_on_tape(Tape(str), equations, {a: ONE}, [((ONE, a),)])
    assert str(caught.value) == "the circuit has no unique solution at dc: the voltage of node 'b' stays undetermined"
