"""A question: one template with its values drawn. Everything that showing and marking it needs, as plain data.

A question is stored when it is issued; marking and showing it again never look at the template, so that neither a bank
edited since nor another machine can change it.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from functools import cached_property
from typing import Any

from tutor.circuits.expressions import Expression, names_in, read_expression
from tutor.quantities import Tolerance, Unit, WrittenUnit, read_tolerance, read_unit
from tutor.questions.errors import AskError
from tutor.questions.text import Filled, filled_from_data, filled_to_data

FORMAT = 1
"""Version of the stored form; raised when it changes, and old forms stay readable."""


@dataclass(frozen=True, slots=True)
class Given:
    """A value shown.

    Attributes:
        name: Its name.
        value: In SI units.
        unit: Symbol of the unit.
        shown: As people read it.
    """

    name: str
    value: float
    unit: str
    shown: str


@dataclass(frozen=True, slots=True)
class DrawnSlip:
    """A template's slip for these values.

    Attributes:
        name: Its key.
        value: The wrong answer that it gives; None where it gives none, or for the wrong direction of a change.
        says: What to say.
        formula: Its formula, for working it out again from a member's own earlier value.
        tells: Whether its value can be told from the key and from the other slips.
    """

    name: str
    value: float | None
    says: Filled
    formula: str
    tells: bool


@dataclass(frozen=True, slots=True)
class DrawnOption:
    """One option of a choice, in the order in which it is offered."""

    name: str
    text: Filled
    right: bool
    says: Filled


@dataclass(frozen=True, slots=True)
class Waypoint:
    """A value on the way to an answer.

    Attributes:
        name: Its symbol.
        value: In SI units.
        unit: Symbol of the unit.
    """

    name: str
    value: float
    unit: str


@dataclass(frozen=True, kw_only=True)
class DrawnAsk:
    """Something asked, with its key.

    Attributes:
        name, kind, text, topic: As in the template.
        value: The key: a number in SI units, a direction (`rises`, `falls`, `unchanged`), an option's name,
            or a formula as text.
        unit: Symbol of the key's unit.
        printed: The unit printed beside the field.
        tolerance: As text; "" where nothing is measured.
        shown: The key as people read it.
        formula: Its formula when a later value may be worked out from a member's own; "" otherwise.
        slips, options: See there.
        possible: Condition on a member's own value for carrying it on; "" for none.
        limit: Largest size that the circuit can give at all, or None.
        series, rounding: For preferred values.
        marks: Marks available.
        detail: What else the kind needs, as plain data: the names of a formula with their units and bounds.
    """

    name: str
    kind: str
    text: Filled
    topic: str
    value: float | str
    unit: str
    printed: str
    tolerance: str
    shown: str
    formula: str = ""
    slips: tuple[DrawnSlip, ...] = ()
    options: tuple[DrawnOption, ...] = ()
    possible: str = ""
    limit: float | None = None
    series: str = ""
    rounding: str = ""
    marks: int = 1
    detail: Mapping[str, Any] = field(default_factory=dict)

    @cached_property
    def key_unit(self) -> Unit:
        """The unit of the key."""
        return read_unit(self.unit).unit

    @cached_property
    def printed_unit(self) -> WrittenUnit:
        """The unit printed beside the field."""
        return read_unit(self.printed)

    @cached_property
    def band(self) -> Tolerance:
        """The tolerance."""
        return read_tolerance(self.tolerance)

    @cached_property
    def expression(self) -> Expression | None:
        """The formula as a tree."""
        return read_expression(self.formula) if self.formula else None

    @property
    def key(self) -> float:
        """The key of an ask that has a number."""
        assert isinstance(self.value, float)
        return self.value


@dataclass(frozen=True, kw_only=True)
class Question:
    """One template with its values drawn.

    Attributes:
        template, title, release, topic, level, source: Of the template.
        serial: What fixed the values.
        values: Every named number: drawn, derived, and the keys.
        givens: What is shown beside the text.
        text, hints, solution: The wording, filled.
        asks: In order.
        caution: Key of the caution, or "".
        parts: The circuit for drawing: each part's reference, kind, nodes by pin, and value as shown.
        nodes: Nodes that the drawing names, each with its label: those that something is asked of.
        lit: For each step of the solution the references of the parts that it concerns.
        waypoints: Values that the solution states on its way.
        plot: What is to be read, as `drawn_plot` keeps it, or None.
    """

    template: str
    title: str
    release: str
    serial: int
    topic: str
    level: int
    values: Mapping[str, float]
    givens: tuple[Given, ...]
    text: Filled
    asks: tuple[DrawnAsk, ...]
    hints: tuple[Filled, ...]
    solution: tuple[Filled, ...]
    caution: str
    parts: tuple[Mapping[str, Any], ...]
    nodes: Mapping[str, str] = field(default_factory=dict)
    source: str = ""
    lit: tuple[tuple[str, ...], ...] = ()
    waypoints: tuple[Waypoint, ...] = ()
    plot: Mapping[str, Any] | None = None

    @property
    def marks(self) -> int:
        """Marks available."""
        return sum(ask.marks for ask in self.asks)

    def ask(self, name: str) -> DrawnAsk:
        """Return an ask by name.

        Raises:
            AskError: If nothing is asked under that name.
        """
        for ask in self.asks:
            if ask.name == name:
                return ask
        raise AskError(name, (a.name for a in self.asks))

    def uses(self, ask: DrawnAsk) -> tuple[str, ...]:
        """Return the earlier asks from whose values an ask's key is worked out."""
        if ask.expression is None:
            return ()
        earlier = {other.name for other in self.asks_before(ask)}
        return tuple(name for name in names_in(ask.expression) if name in earlier)

    def asks_before(self, ask: DrawnAsk) -> tuple[DrawnAsk, ...]:
        """Return the asks that come before one, in order."""
        return tuple(itertools.takewhile(lambda other: other.name != ask.name, self.asks))

    # -- stored form ---------------------------------------------------------------------------------------------------
    def to_data(self) -> dict[str, Any]:
        """Return plain data that `from_data` turns back into an equal question."""
        data = {name: getattr(self, name) for name in _PLAIN}
        return data | {
            "format": FORMAT,
            "values": dict(self.values),
            "givens": [asdict(given) for given in self.givens],
            "text": filled_to_data(self.text),
            "asks": [_ask_to_data(ask) for ask in self.asks],
            "hints": [filled_to_data(hint) for hint in self.hints],
            "solution": [filled_to_data(step) for step in self.solution],
            "parts": [dict(part) for part in self.parts],
            "nodes": dict(self.nodes),
            "lit": [list(parts) for parts in self.lit],
            "waypoints": [asdict(waypoint) for waypoint in self.waypoints],
            **({"plot": dict(self.plot)} if self.plot is not None else {}),
        }

    @staticmethod
    def from_data(data: Mapping[str, Any]) -> Question:
        """Return the question that was stored."""
        if data["format"] != FORMAT:
            raise ValueError(f"a question stored in form {data['format']}; this release reads form {FORMAT}")
        return Question(
            **{name: data[name] for name in _PLAIN},
            values=dict(data["values"]),
            givens=tuple(Given(**given) for given in data["givens"]),
            text=filled_from_data(data["text"]),
            asks=tuple(_ask_from_data(ask) for ask in data["asks"]),
            hints=tuple(filled_from_data(hint) for hint in data["hints"]),
            solution=tuple(filled_from_data(step) for step in data["solution"]),
            parts=tuple(data["parts"]),
            nodes=dict(data["nodes"]),
            # Questions stored by the first release have neither.
            lit=tuple(tuple(parts) for parts in data.get("lit", [])),
            waypoints=tuple(Waypoint(**waypoint) for waypoint in data.get("waypoints", [])),
            plot=data.get("plot"),
        )


_PLAIN = ("template", "title", "release", "serial", "topic", "level", "caution", "source")
_PLAIN_OF_ASK = (
    "name", "kind", "topic", "value", "unit", "printed", "tolerance", "shown", "formula", "possible", "limit", "series",
    "rounding", "marks",
)  # fmt: skip


def _ask_to_data(ask: DrawnAsk) -> dict[str, Any]:
    data = {name: getattr(ask, name) for name in _PLAIN_OF_ASK}
    slips = [
        {"name": s.name, "value": s.value, "says": filled_to_data(s.says), "formula": s.formula, "tells": s.tells}
        for s in ask.slips
    ]
    options = [
        {"name": o.name, "text": filled_to_data(o.text), "right": o.right, "says": filled_to_data(o.says)}
        for o in ask.options
    ]
    detail = {"detail": dict(ask.detail)} if ask.detail else {}
    return data | {"text": filled_to_data(ask.text), "slips": slips, "options": options} | detail


def _ask_from_data(data: Mapping[str, Any]) -> DrawnAsk:
    slips = tuple(
        DrawnSlip(s["name"], s["value"], filled_from_data(s["says"]), s["formula"], s["tells"]) for s in data["slips"]
    )
    options = tuple(
        DrawnOption(o["name"], filled_from_data(o["text"]), o["right"], filled_from_data(o["says"]))
        for o in data["options"]
    )
    plain = {name: data[name] for name in _PLAIN_OF_ASK}
    text, detail = filled_from_data(data["text"]), data.get("detail", {})
    return DrawnAsk(**plain, text=text, slips=slips, options=options, detail=detail)
