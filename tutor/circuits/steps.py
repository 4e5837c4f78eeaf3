"""Step responses: every source is switched on at the time 0, and a quantity is asked a while later.

Capacitors start uncharged and coils without current, unless `initial:` says otherwise. The state of the circuit is the
voltages of its capacitors and the currents of its coils; with these given, all else follows as at dc. That turns the
circuit into M·ẋ = F·x + g, with the capacitances and inductances in M, solved mode by mode.

A capacitor that closes a loop of capacitors and sources has no voltage of its own: its charge counts with theirs, as a
coupling's inductance counts with that of its coils. What charge flows at the very moment of the step is not asked.

Source: the state equations of a linear network as in any text on network analysis (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from tutor.circuits.analysis import DC, STEP
from tutor.circuits.asked import Asked, Current, Power, TimeConstant, Voltage
from tutor.circuits.equations import Form, Unknown
from tutor.circuits.errors import CircuitError, SingularCircuitError
from tutor.circuits.network import Network
from tutor.circuits.parts import Part
from tutor.circuits.parts.passive import Capacitor, Coupling, Inductor
from tutor.circuits.parts.probes import CurrentProbe, VoltageProbe
from tutor.circuits.parts.sources import VoltageSource
from tutor.circuits.polynomial import symbol
from tutor.circuits.problem import Problem, pose
from tutor.circuits.topology import Tree

MOST_STORES = 60
ILL_CONDITIONED = 1e6
"""Condition of the modes beyond which they are too nearly alike to be told apart (critical damping)."""


def solve_step(network: Network, asked: Asked, time: float, values: Mapping[str, Any]) -> tuple[float, Problem]:
    """Return what is asked a time after every source is switched on.

    Args:
        network: The circuit.
        asked: A voltage, a current or a power.
        time: In seconds, not negative; 0 is just after the step.
        values: Every symbol's value in SI units.

    Returns:
        The value in SI units, and the problem in which capacitors and coils are sources.

    Raises:
        SourceLoopError: If a capacitor closes a loop with controlled sources, so that its voltage is theirs.
        FloatingNodeError: If a node is reached through coils only, so that their currents could not differ.
        SingularCircuitError: If the equations have no unique solution.
        CircuitError: If the form has no value in time, or the circuit too many stores.
    """
    if not isinstance(asked, Voltage | Current | Power):
        raise CircuitError(f"the {asked} has no value in time; ask for a voltage, a current or a power at step")
    stores = sorted_stores(network)
    if stores.count > MOST_STORES:
        raise CircuitError(f"{stores.count} capacitors and coils; {MOST_STORES} are the most at step")
    problem = pose(probed(network, stores), asked, STEP)
    equations = _Equations(problem, values, stores)
    state, growth = _state_at(time, equations.flows(stores), _Stored.of(network, stores, values))
    # A capacitor that closes a loop carries what the growth of its voltage asks for.
    through = [values[link.part.reference] * link.along(growth) for link in stores.links]
    solution = equations.solution([*state, *through])
    total = 0.0
    for first, second in problem.products:
        value = equations.form(first, solution)
        total += value * equations.form(second, solution) if problem.is_power else value
    return float(total), problem


@dataclass(frozen=True, slots=True)
class FirstOrder:
    """A voltage or current of a circuit with one store: final + (start − final)·exp(−t/constant).

    Attributes:
        start: What poses it just after the step.
        final: What poses it after long.
        constant: What poses the time constant.
    """

    start: Problem
    final: Problem
    constant: Problem


def first_order(network: Network, asked: Asked) -> FirstOrder:
    """Pose a voltage or current in time of a circuit with one capacitor or coil.

    Raises:
        CircuitError: If the circuit has another number of stores or the form is another; otherwise as `solve_step`.
    """
    if not isinstance(asked, Voltage | Current):
        raise CircuitError(f"the {asked} has no single exponential; ask for a voltage or a current at step")
    stores = sorted_stores(network)
    if stores.count != 1 or stores.links:
        raise CircuitError(f"{stores.count} capacitors and coils; a single exponential wants one, free of the sources")
    (store,) = stores.states
    start = pose(probed(network, stores), asked, STEP)
    if store.initial is not None:
        row = Unknown("current", store.reference)
        start = replace(start, side={**start.side, row: symbol(store.initial_symbol)})
    return FirstOrder(start, pose(network, asked, DC), pose(network, TimeConstant(store.reference), DC))


@dataclass(frozen=True, slots=True)
class Link:
    """A capacitor that closes a loop of other capacitors and voltage sources.

    Attributes:
        part: The capacitor.
        signs: Its voltage as a sum of states: place → ±1.
        sources: And of sources: the source and ±1.
    """

    part: Capacitor
    signs: Mapping[int, int]
    sources: tuple[tuple[VoltageSource, int], ...]

    def fixed(self, values: Mapping[str, Any]) -> float:
        """Return the share of its voltage that the sources fix [V]."""
        amplitudes = ((source.amplitude(STEP), sign) for source, sign in self.sources)
        return sum(sign * float(a.value(values)) for a, sign in amplitudes if a is not None)

    def along(self, states: Any) -> float:
        """Return the sum of the states that make up its voltage."""
        return float(sum(sign * states[place] for place, sign in self.signs.items()))


@dataclass(frozen=True, slots=True)
class Stores:
    """Capacitors and coils with a state of their own, and the capacitors without."""

    states: tuple[Capacitor | Inductor, ...]
    links: tuple[Link, ...]

    @property
    def count(self) -> int:
        """How many there are of both."""
        return len(self.states) + len(self.links)


def sorted_stores(network: Network) -> Stores:
    """Tell the capacitors that only close loops of capacitors and sources from the others."""
    sources = {part.reference: part for part in network.parts if isinstance(part, VoltageSource)}
    tree = Tree()
    for part in network.parts:
        if not isinstance(part, Capacitor | Inductor):
            for a, b in part.fixes(STEP):
                tree.join(a, b, part.reference)
    states: list[Capacitor | Inductor] = []
    links: list[Link] = []
    place: dict[str, int] = {}
    for part in network.parts:
        if isinstance(part, Capacitor):
            path = tree.path(*part.terminals())
            if path and all(reference in place or reference in sources for reference, _ in path):
                signs = {place[reference]: sign for reference, sign in path if reference in place}
                fixed = tuple((sources[reference], sign) for reference, sign in path if reference in sources)
                links.append(Link(part, signs, fixed))
                continue
            place[part.reference] = len(states)
            tree.join(*part.terminals(), part.reference)
        if isinstance(part, Capacitor | Inductor):
            states.append(part)
    return Stores(tuple(states), tuple(links))


def probed(network: Network, stores: Stores) -> Network:
    """Return the circuit with a source in the place of every store."""
    links = {link.part.reference for link in stores.links}

    def probe(part: Part) -> Part:
        if isinstance(part, Capacitor) and part.reference not in links:
            return VoltageProbe(reference=part.reference, pins=part.pins, instead_of=part)
        if isinstance(part, Capacitor | Inductor):
            return CurrentProbe(reference=part.reference, pins=part.pins, instead_of=part)
        return part

    return Network(tuple(probe(part) for part in network.parts))


@dataclass(frozen=True, slots=True)
class _Stored:
    """What the stores hold.

    Attributes:
        matrix: Capacitances and inductances [F, H], shape (states, states).
        held: Charges and fluxes at the time 0 [C, Wb], shape (states,).
    """

    matrix: Any
    held: Any

    @staticmethod
    def of(network: Network, stores: Stores, values: Mapping[str, Any]) -> _Stored:
        """Collect the sizes of all stores, and share out the charges that they start with."""
        import numpy as np

        size = len(stores.states)
        place = {part.reference: index for index, part in enumerate(stores.states)}
        matrix = np.diag([float(values[part.reference]) for part in stores.states]).reshape(size, size)
        for part in network.parts:
            if isinstance(part, Coupling):
                first, second = (place[coil] for coil in part.coils)
                mutual = values[part.definitions()[0].symbol]
                matrix[first, second] += mutual
                matrix[second, first] += mutual
        held = matrix @ np.array([float(values.get(part.initial_symbol, 0.0)) for part in stores.states])
        for link in stores.links:
            signs = np.zeros(size)
            for index, sign in link.signs.items():
                signs[index] = sign
            capacitance = values[link.part.reference]
            matrix += capacitance * np.outer(signs, signs)
            held += capacitance * (values.get(link.part.initial_symbol, 0.0) - link.fixed(values)) * signs
        return _Stored(matrix, held)


class _Equations:
    """The circuit's equations with its stores as sources: one solution for each of them, one for all other sources."""

    def __init__(self, problem: Problem, values: Mapping[str, Any], stores: Stores) -> None:
        import numpy as np

        self._values = values
        self._columns = {unknown: index for index, unknown in enumerate(problem.equations.unknowns)}
        self._problem = problem
        probes = [part.reference for part in (*stores.states, *(link.part for link in stores.links))]
        size = len(self._columns)
        matrix, sides = np.zeros((size, size)), np.zeros((size, len(probes) + 1))
        for (row, column), coefficient in problem.equations.matrix.items():
            matrix[self._columns[row], self._columns[column]] = coefficient.value(values)
        for index, reference in enumerate(probes):
            sides[self._columns[Unknown("current", reference)], index] = 1.0
        for row, value in problem.side.items():
            sides[self._columns[row], -1] = value.value(values)
        heights = np.abs(matrix).max(axis=1, initial=0.0)
        heights[heights == 0.0] = 1.0
        try:
            self._solutions = np.linalg.solve(matrix / heights[:, None], sides / heights[:, None])
        except np.linalg.LinAlgError as error:
            raise SingularCircuitError("at least one unknown", "step", "for these values") from error

    def solution(self, sizes: Sequence[float]) -> Any:
        """Return every unknown for given voltages and currents of the stores."""
        return self._solutions @ [*sizes, 1.0]

    def form(self, form: Form, solution: Any) -> Any:
        """Return a linear form of the unknowns."""
        total: Any = 0.0
        for coefficient, unknown in form:
            total = total + coefficient.value(self._values) * solution[self._columns[unknown]]
        return total

    def flows(self, stores: Stores) -> Any:
        """Return what fills each state, for each state and for the sources, shape (states, states + 1)."""
        import numpy as np

        size = len(stores.states)
        equations = self._problem.equations
        flows = np.zeros((size, size + 1))
        for index, part in enumerate(stores.states):
            # A capacitor is filled by its current, a coil by its voltage.
            capacitor = isinstance(part, Capacitor)
            probe = self._problem.network.part(part.reference)
            form = probe.current(equations) if capacitor else equations.difference(*part.terminals())
            row = self.form(form, self._solutions)
            flows[index] = np.append(row[:size], row[-1]) if form else 0.0
        return flows


def _state_at(time: float, flows: Any, stored: _Stored) -> tuple[Any, Any]:
    """Return the state after a time, and how fast it grows then."""
    import numpy as np

    if not len(stored.held):
        return stored.held, stored.held
    try:
        # Scaled by the root of what is stored, which makes the rates of an RC circuit symmetric.
        root = np.linalg.cholesky(stored.matrix)
    except np.linalg.LinAlgError as error:
        raise SingularCircuitError("the current of a coil", "step", "couplings of 1 or more") from error
    inward = np.linalg.solve(root, flows)
    rates = np.linalg.solve(root, inward[:, :-1].T).T
    scaled = _response(rates, inward[:, -1], np.linalg.solve(root, stored.held), time)
    growth = np.linalg.solve(root.T, rates @ scaled + inward[:, -1])
    return np.linalg.solve(root.T, scaled), growth


def _response(rates: Any, drive: Any, start: Any, time: float) -> Any:
    """Return x(time) of ẋ = rates·x + drive from x(0) = start."""
    import numpy as np

    speeds, modes = np.linalg.eig(rates)
    if np.linalg.cond(modes) > ILL_CONDITIONED:
        return _by_squaring(rates, drive, start, time)
    speeds = speeds.astype(complex)
    with np.errstate(over="ignore"):
        grown = np.expm1(speeds * time)
    still = np.abs(speeds) * time < 1e-12
    share = np.where(still, time, grown / np.where(still, 1.0, speeds))
    parts = np.linalg.solve(modes, np.stack([start, drive], axis=1).astype(complex))
    return (modes @ ((grown + 1) * parts[:, 0] + share * parts[:, 1])).real


def _by_squaring(rates: Any, drive: Any, start: Any, time: float) -> Any:
    """Return the same by the exponential of one matrix: a series for a short time, squared until it is the whole."""
    import numpy as np

    size = len(start)
    whole = np.zeros((size + 1, size + 1))
    whole[:size, :size], whole[:size, size] = rates * time, drive * time
    largest = float(np.abs(whole).sum(axis=0).max())
    halvings = max(0, math.ceil(math.log2(largest)) + 1) if largest > 0 else 0
    step = whole / 2.0**halvings
    term, total = np.eye(size + 1), np.eye(size + 1)
    for order in range(1, 25):
        term = term @ step / order
        total = total + term
    for _ in range(halvings):
        total = total @ total
    return (total @ np.append(start, 1.0))[:size]
