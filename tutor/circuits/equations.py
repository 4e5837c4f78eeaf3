"""The equations of a circuit: Kirchhoff's laws with a row for every node and every branch of its own current.

Modified nodal analysis: the unknowns are the node voltages and the currents of parts that fix a voltage. Each part
stamps itself; this module only collects. Entries are exact polynomials in the parts' symbols, so that one set of
equations serves the formula for people, the straight-line program for arrays and the numeric check.

Source: C.-W. Ho, A. Ruehli, P. Brennan, "The modified nodal approach to network analysis", IEEE Trans. Circuits and
Systems 22 (1975) 504-509 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TypeAlias

from tutor.circuits.analysis import Analysis
from tutor.circuits.polynomial import ONE, ZERO, Polynomial

EARTH = "0"


@dataclass(frozen=True, slots=True, order=True)
class Unknown:
    """A node voltage or a branch current, and the row that goes with it.

    Attributes:
        kind: `voltage` of a node, `current` through a part.
        name: The node, or the part's reference.
        branch: Tells the currents of one part apart (the windings of a transformer).
    """

    kind: str
    name: str
    branch: str = ""

    def __str__(self) -> str:
        if self.kind == "voltage":
            return f"the voltage of node {self.name!r}"
        return f"the current of {self.name}" + (f" ({self.branch})" if self.branch else "")


Form: TypeAlias = tuple[tuple[Polynomial, Unknown], ...]
"""A linear form: a sum of coefficients times unknowns."""


@dataclass(slots=True)
class Equations:
    """Rows, columns and right-hand sides, collected while the parts stamp themselves.

    Attributes:
        analysis: Dc or ac.
        unknowns: In order of appearance.
        matrix: Coefficient of each (row, column).
        sources: Right-hand side of each independent source: reference → row → coefficient.
        may_vanish: Entries that are zero for some admissible value (a wiper at its end, a gain of nought, no coupling),
            so that nothing should be divided by them.
    """

    analysis: Analysis
    unknowns: list[Unknown] = field(default_factory=list)
    matrix: dict[tuple[Unknown, Unknown], Polynomial] = field(default_factory=dict)
    sources: dict[str, dict[Unknown, Polynomial]] = field(default_factory=dict)
    may_vanish: set[tuple[Unknown, Unknown]] = field(default_factory=set)

    def node(self, name: str) -> Unknown | None:
        """Return the unknown of a node; None for earth, whose voltage is known."""
        if name == EARTH:
            return None
        unknown = Unknown("voltage", name)
        if unknown not in self.unknowns:
            self.unknowns.append(unknown)
        return unknown

    def branch(self, reference: str, branch: str = "") -> Unknown:
        """Add a branch current and its own row."""
        unknown = Unknown("current", reference, branch)
        self.unknowns.append(unknown)
        return unknown

    def add(self, row: Unknown | None, column: Unknown | None, coefficient: Polynomial) -> None:
        """Add a coefficient; rows and columns of earth are left out."""
        if row is None or column is None or not coefficient:
            return
        total = self.matrix.get((row, column), ZERO) + coefficient
        if total:
            self.matrix[row, column] = total
        else:
            self.matrix.pop((row, column), None)

    def admittance(self, a: str, b: str, value: Polynomial) -> None:
        """Stamp an admittance between two nodes."""
        first, second = self.node(a), self.node(b)
        self.add(first, first, value)
        self.add(second, second, value)
        self.add(first, second, -value)
        self.add(second, first, -value)

    def carries(self, current: Unknown, a: str, b: str) -> None:
        """Let a branch current leave node a and enter node b, and write u(a) − u(b) into its own row."""
        for name, sign in ((a, ONE), (b, -ONE)):
            node = self.node(name)
            self.add(node, current, sign)
            self.add(current, node, sign)

    def drives(self, current: Unknown, a: str, b: str) -> None:
        """Let a branch current of given size leave node a and enter node b; its row says current = right-hand side."""
        self.add(self.node(a), current, ONE)
        self.add(self.node(b), current, -ONE)
        self.add(current, current, ONE)

    def controlled_current(self, a: str, b: str, form: Form, factor: Polynomial) -> None:
        """Let factor × form flow out of node a into node b."""
        first, second = self.node(a), self.node(b)
        for coefficient, unknown in form:
            self.add(first, unknown, factor * coefficient)
            self.add(second, unknown, -(factor * coefficient))

    def excite(self, source: str, row: Unknown | None, value: Polynomial) -> None:
        """Add to the right-hand side that belongs to one independent source."""
        if row is not None:
            side = self.sources.setdefault(source, {})
            side[row] = side.get(row, ZERO) + value

    def difference(self, a: str, b: str, factor: Polynomial = ONE) -> Form:
        """Return factor × (u(a) − u(b)) as a linear form."""
        pairs = ((factor, self.node(a)), (-factor, self.node(b)))
        return tuple((sign, node) for sign, node in pairs if node is not None)
