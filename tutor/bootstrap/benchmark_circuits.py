"""The circuits that the benchmark solves, and how general libraries solve the same equations."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

from tutor.bootstrap.benchmark_peers import two_stage_amplifier
from tutor.circuits.analysis import AC, DC, S
from tutor.circuits.asked import Voltage
from tutor.circuits.equations import Unknown
from tutor.circuits.network import Network, read_network
from tutor.circuits.polynomial import Polynomial
from tutor.circuits.problem import Problem, pose
from tutor.circuits.program import ProgramWriter
from tutor.questions.question import Question


def _resistor(a: str, b: str) -> dict[str, Any]:
    return {"kind": "resistor", "nodes": [a, b]}


def _capacitor(a: str, b: str) -> dict[str, Any]:
    return {"kind": "capacitor", "nodes": [a, b]}


def _source(node: str) -> dict[str, Any]:
    return {"kind": "voltage source", "nodes": [node, "0"]}


def _bridge() -> dict[str, Any]:
    return {
        "V1": _source("s"),
        "Rs": _resistor("s", "t"),
        "R1": _resistor("t", "a"),
        "R2": _resistor("a", "0"),
        "R3": _resistor("t", "b"),
        "R4": _resistor("b", "0"),
        "Rm": _resistor("a", "b"),
    }


def _ladder(sections: int) -> dict[str, Any]:
    parts: dict[str, Any] = {"V1": _source("n0")}
    for n in range(1, sections + 1):
        parts[f"R{n}"] = _resistor(f"n{n - 1}", f"n{n}")
        parts[f"S{n}"] = _resistor(f"n{n}", "0")
    return parts


def _two_stage_amplifier() -> dict[str, Any]:
    """Two triodes, an output transformer, and feedback to the first cathode: sixteen parts."""

    def valve(anode: str, grid: str, cathode: str, number: int) -> dict[str, Any]:
        nodes = {"anode": anode, "grid": grid, "cathode": cathode}
        return {"kind": "triode", "nodes": nodes, "gm": f"gm{number}", "ra": f"ra{number}"}

    windings = {"primary": ["a2", "0"], "secondary": ["out", "0"]}
    return {
        "V1": _source("in"),
        "Cin": _capacitor("in", "g1"),
        "Rg1": _resistor("g1", "0"),
        "T1": valve("a1", "g1", "k1", 1),
        "Rk1": _resistor("k1", "0"),
        "Ck1": _capacitor("k1", "0"),
        "Ra1": _resistor("a1", "0"),
        "Cc": _capacitor("a1", "g2"),
        "Rg2": _resistor("g2", "0"),
        "T2": valve("a2", "g2", "k2", 2),
        "Rk2": _resistor("k2", "0"),
        "Ck2": _capacitor("k2", "0"),
        "X1": {"kind": "transformer", "windings": windings, "turns": {"primary": "n1", "secondary": "n2"}},
        "RL": _resistor("out", "0"),
        "Rf": _resistor("out", "k1"),
    }


_CIRCUITS: dict[str, tuple[dict[str, Any], str, bool]] = {
    "bridge": (_bridge(), "a", False),
    "ladder of eight": (_ladder(8), "n8", False),
    "two-stage amplifier": (_two_stage_amplifier(), "out", True),
}


def problem(name: str) -> Problem:
    """Return the posed problem of a circuit: the voltage of its output."""
    parts, out, ac = _CIRCUITS[name]
    return pose(read_network(parts, _units(parts)), Voltage(out), AC if ac else DC)


def _units(parts: Mapping[str, Any]) -> dict[str, Any]:
    """Return units for every name, so that parts without a value take that of their own name."""
    from tutor.quantities import AMPERE_PER_VOLT, FARAD, OHM, RATIO, VOLT

    kinds = {"resistor": OHM, "capacitor": FARAD, "voltage source": VOLT}
    units = {reference: kinds[part["kind"]] for reference, part in parts.items() if part["kind"] in kinds}
    return units | {"gm1": AMPERE_PER_VOLT, "gm2": AMPERE_PER_VOLT, "ra1": OHM, "ra2": OHM, "n1": RATIO, "n2": RATIO}


def values(posed: Problem, draws: int) -> dict[str, Any]:
    """Return plausible values of every symbol for many draws."""
    random = np.random.default_rng(7)
    found: dict[str, Any] = {}
    for symbol, (_, parameter) in posed.network.parameters().items():
        low, high = {"Ω": (1e3, 1e5), "F": (1e-9, 1e-7), "V": (1.0, 10.0), "A/V": (1e-3, 5e-3)}.get(
            parameter.unit.symbol, (5.0, 30.0)
        )
        found[symbol] = random.uniform(low, high, draws)
    if posed.is_complex:
        found[S] = np.full(draws, 2j * np.pi * 1000.0)
    return found


def compiled(posed: Problem) -> Any:
    """Return the compiled program of a problem, as serving it needs it."""
    writer = ProgramWriter(tuple(posed.network.parameters()))
    writer.define_solution("wanted", posed)
    writer.output_source("wanted", "x_wanted")
    return compile(writer.source("solve"), "<benchmark>", "exec")


def by_hand(name: str) -> Callable[[Mapping[str, Any]], Any] | None:
    """Return the best formula that one would write by hand, where there is one."""

    def bridge(v: Mapping[str, Any]) -> Any:
        # Star of the three upper resistors by mesh equations, written out.
        g1, g2, g3, g4, gm, gs = (1 / v[k] for k in ("R1", "R2", "R3", "R4", "Rm", "Rs"))
        a, b = g1 + g2 + gm, g3 + g4 + gm
        determinant = a * b - gm * gm
        ua, ub = (b * g1 + gm * g3) / determinant, (a * g3 + gm * g1) / determinant
        top = gs * v["V1"] / (gs + g1 * (1 - ua) + g3 * (1 - ub))
        return ua * top

    def ladder(v: Mapping[str, Any]) -> Any:
        current, voltage = 1 / v["S8"], 1.0
        for n in range(8, 0, -1):
            voltage = voltage + v[f"R{n}"] * current
            if n > 1:
                current = current + voltage / v[f"S{n - 1}"]
        return v["V1"] / voltage

    return {"bridge": bridge, "ladder of eight": ladder, "two-stage amplifier": two_stage_amplifier}.get(name)


# -- general libraries on the same equations -------------------------------------------------------------------------
def _as_sympy(polynomial: Polynomial) -> Any:
    import sympy

    total: Any = sympy.Integer(0)
    for monomial, coefficient in polynomial.terms:
        factors = [sympy.Symbol(name) ** exponent for name, exponent in monomial]
        total = total + coefficient * sympy.Mul(*factors)
    return total


def sympy_equations(posed: Problem) -> tuple[Any, Any]:
    """Return a problem's equations as sympy matrices."""
    import sympy

    order: list[Unknown] = list(posed.equations.unknowns)
    matrix = sympy.zeros(len(order), len(order))
    side = sympy.zeros(len(order), 1)
    for (row, column), value in posed.equations.matrix.items():
        matrix[order.index(row), order.index(column)] = _as_sympy(value)
    for row, value in posed.side.items():
        side[order.index(row), 0] = _as_sympy(value)
    return matrix, side


def sympy_domain_matrix(posed: Problem) -> tuple[Any, Any]:
    """Return the equations over a ring of polynomials in conductances, as sympy's fastest solver wants them."""
    import sympy
    from sympy.polys.matrices import DomainMatrix

    matrix, side = sympy_equations(posed)
    swapped = {
        symbol: 1 / sympy.Symbol(f"G_{symbol.name}")
        for symbol in matrix.free_symbols
        if matrix.has(1 / symbol) and posed.network.parameters().get(symbol.name, (None,))[0] is not None
    }
    matrix = matrix.subs(swapped)
    ring = sympy.ZZ[sorted(matrix.free_symbols | side.free_symbols, key=str)]
    return DomainMatrix.from_Matrix(matrix).convert_to(ring).to_sparse(), (
        DomainMatrix.from_Matrix(side).convert_to(ring).to_sparse()
    )


def solved_by_lu(matrix: Any, side: Any) -> Any:
    """Return the solution by sympy's LUsolve, its cache cleared as in a process that has just begun."""
    from sympy.core.cache import clear_cache

    clear_cache()
    return matrix.LUsolve(side)


def solved_and_simplified(matrix: Any, side: Any) -> Any:
    """Return the solution by sympy's LUsolve, each unknown simplified."""
    import sympy

    return [sympy.simplify(entry) for entry in solved_by_lu(matrix, side)]


def solved_by_domain_matrix(equations: tuple[Any, Any]) -> Any:
    """Return the solution by sympy's DomainMatrix."""
    from sympy.core.cache import clear_cache

    clear_cache()
    matrix, side = equations
    return matrix.solve_den(side, method="charpoly")


def solved_by_sympy(network: Network | None) -> Any:
    """Return all voltages of a circuit by `sympy.solve`."""
    import sympy
    from sympy.core.cache import clear_cache

    clear_cache()
    assert network is not None
    posed = pose(network, Voltage(next(node for node in network.nodes if node != "0")), DC)
    matrix, side = sympy_equations(posed)
    unknowns = sympy.symbols(f"u0:{len(posed.equations.unknowns)}")
    return sympy.solve(list(matrix * sympy.Matrix(unknowns) - side), unknowns, dict=True)


_NUMBER_AND_UNIT = re.compile(r"\s*([-+]?\d+(?:\.\d*)?(?:[eE][-+]?\d+)?)\s*([A-Za-zµΩ%°]*)\s*")


def read_by_pattern(answers: Mapping[str, str]) -> list[tuple[float, str]]:
    """Return number and unit of every answer, by one pattern: what a mark could not do without."""
    found = []
    for text in answers.values():
        match = _NUMBER_AND_UNIT.fullmatch(text)
        assert match is not None
        found.append((float(match[1]), match[2]))
    return found


def mark_by_sympy(question: Question, answers: Mapping[str, str]) -> bool:
    """Return whether every answer is right, the way a general algebra system would find out."""
    import sympy

    return all(
        abs(sympy.simplify(sympy.Float(answers[ask.name].split()[0]) - sympy.Float(ask.key)) / ask.key) < 1
        for ask in question.asks
        if ask.name in answers
    )
