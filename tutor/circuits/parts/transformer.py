"""The ideal transformer, with any number of windings; a tapped winding is two windings in series."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from tutor.circuits.analysis import Analysis
from tutor.circuits.equations import Equations, Form, Unknown
from tutor.circuits.errors import PartError, shown
from tutor.circuits.parts.base import Description, Parameter, Part, Tie, Value, kind_of_part
from tutor.circuits.polynomial import ONE, symbol
from tutor.quantities import RATIO

_WINDING = re.compile(r"[A-Za-z0-9][A-Za-z0-9_ -]{0,30}")  # becomes part of a symbol, so plain letters only


@kind_of_part
@dataclass(frozen=True, slots=True, kw_only=True)
class Transformer(Part):
    """Volts per turn are the same in every winding, and the ampere-turns add up to nothing.

    The first node of each winding is its start. Ideal at every frequency, dc included.
    """

    kind = "transformer"
    valued = False
    windings: tuple[str, ...]
    turns: tuple[Value | None, ...]

    @classmethod
    def read(cls, description: Description) -> Transformer:
        description.refuse_other_keys("windings", "turns")
        windings, turns = description.data.get("windings"), description.data.get("turns")
        reference = description.reference
        if not isinstance(windings, Mapping) or len(windings) < 2:
            example = "{primary: [a, b], secondary: [c, d]}"
            reason = f"found {shown(windings)}; two windings or more are wanted, such as {example}"
            raise PartError(reference, "windings", reason)
        for winding in windings:
            if not _WINDING.fullmatch(str(winding)):
                raise PartError(reference, "windings", f"found {shown(winding)}; a winding is called by plain words")
        if not isinstance(turns, Mapping) or set(turns) != set(windings):
            reason = f"found {shown(turns)}; the turns of each winding are wanted: {', '.join(windings)}"
            raise PartError(reference, "turns", reason)
        pins: dict[str, str] = {}
        for winding, nodes in windings.items():
            key = f"windings.{winding}"
            if not isinstance(nodes, list | tuple) or len(nodes) != 2:
                raise PartError(reference, key, f"found {shown(nodes)}; its two nodes are wanted: [a, b]")
            pins[f"{winding} start"], pins[f"{winding} end"] = (description.node(node, key) for node in nodes)
        bound = tuple(description.read_value(reference, f"turns.{w}", turns[w], RATIO) for w in windings)
        return cls(reference=reference, pins=pins, windings=tuple(str(w) for w in windings), turns=bound)

    def parameters(self) -> tuple[Parameter, ...]:
        return tuple(
            Parameter(self._turns(winding), RATIO, value, key=f"turns.{winding}", positive=True)
            for winding, value in zip(self.windings, self.turns, strict=True)
        )

    def _turns(self, winding: str) -> str:
        return f"turns_{self.reference}_{winding}".replace(" ", "_").replace("-", "_")

    def _ends(self, winding: str) -> tuple[str, str]:
        return self.pins[f"{winding} start"], self.pins[f"{winding} end"]

    def stamp(self, equations: Equations) -> None:
        currents = [equations.branch(self.reference, winding) for winding in self.windings]
        for winding, current in zip(self.windings, currents, strict=True):
            for name, sign in zip(self._ends(winding), (ONE, -ONE), strict=True):
                equations.add(equations.node(name), current, sign)
        # The row of the first winding holds the ampere-turns, that of every other its volts per turn against the first.
        first = self.windings[0]
        for winding, current in zip(self.windings, currents, strict=True):
            equations.add(currents[0], current, symbol(self._turns(winding)))
        for winding, row in zip(self.windings[1:], currents[1:], strict=True):
            for coefficient, node in equations.difference(*self._ends(winding), symbol(self._turns(first))):
                equations.add(row, node, coefficient)
            for coefficient, node in equations.difference(*self._ends(first), symbol(self._turns(winding))):
                equations.add(row, node, -coefficient)

    def current(self, equations: Equations) -> Form:
        return ((ONE, Unknown("current", self.reference, self.windings[0])),)

    def current_of(self, winding: str) -> Form:
        """Return the current of one winding, from its start to its end."""
        return ((ONE, Unknown("current", self.reference, winding)),)

    def conducts(self, analysis: Analysis) -> tuple[Tie, ...]:
        return tuple(self._ends(winding) for winding in self.windings)

    def absorbed(self, equations: Equations) -> tuple[tuple[Tie, Form], ...]:
        return tuple((self._ends(winding), self.current_of(winding)) for winding in self.windings)
