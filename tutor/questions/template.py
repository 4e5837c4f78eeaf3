"""A template as it is worked with: everything read, nothing drawn."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from tutor.circuits.analysis import AC, DC, STEP, Analysis
from tutor.circuits.asked import CircuitAsk, without_analysis
from tutor.circuits.expressions import Expression
from tutor.circuits.faults.kinds import Fault
from tutor.circuits.network import Network
from tutor.quantities import Quantity, Tolerance, Unit, WrittenUnit
from tutor.questions.plot import Plot, PlotReading
from tutor.questions.supply_plan import SupplyAsk, SupplyPlan
from tutor.questions.text import Pieces
from tutor.questions.values import Derived, ValueRule

ALL = "auto"
"""In a plan: the automatic steps of every ask that is named nowhere else."""

AskKind = Literal["number", "change", "preferred", "choice", "formula", "fault", "reading"]


@dataclass(frozen=True, slots=True)
class Slip:
    """A known wrong turn of a template.

    Attributes:
        name: Its key.
        formula: Its answer; None for the wrong direction of a change, which is its name.
        says: What a good trainer would say.
    """

    name: str
    formula: Expression | None
    says: Pieces


@dataclass(frozen=True, slots=True)
class Option:
    """One option of a choice."""

    name: str
    text: Pieces
    right: Expression
    says: Pieces | None


@dataclass(frozen=True, slots=True)
class Suspect:
    """One of the faults that may be the one."""

    name: str
    fault: Fault


@dataclass(frozen=True, slots=True, kw_only=True)
class Ask:
    """Something a template asks.

    Attributes:
        name: Its key, also the name of its value in later formulas.
        kind: How it is answered.
        text: The wording.
        topic: The topic that it credits.
        unit: The coherent unit of the key.
        printed: The unit printed beside the field.
        tolerance: How far off is still right; None where nothing is measured (a choice).
        formula: The authored formula, or None where the circuit alone gives the value.
        circuit: What of the circuit it is, or None.
        supply: What of the supply it is, for `check`, or None.
        slips: Own slips, in the file's order.
        possible: A condition that a member's own value must meet to be carried on, or None.
        series, rounding: For `preferred`.
        when: For `change`: what becomes of which parts (`open`, `short`, or a new value).
        options: For `choice`.
        names: For `formula`: the drawn values that a member may write it in.
        meter: For `fault`: the meter that is read.
        points: For `fault`: node → what members call the test point.
        suspects: For `fault`.
        sound: For `fault`: what the healthy circuit must read, as conditions.
        reading: For `reading`: what is read off the plot.
    """

    name: str
    kind: AskKind
    text: Pieces
    topic: str
    unit: Unit
    printed: WrittenUnit
    tolerance: Tolerance | None
    formula: Expression | None
    circuit: CircuitAsk | None
    supply: SupplyAsk | None = None
    slips: tuple[Slip, ...] = ()
    possible: Expression | None = None
    series: str = ""
    rounding: Literal["nearest", "up", "down"] = "nearest"
    when: Mapping[str, Expression | Literal["open", "short"]] | None = None
    options: tuple[Option, ...] = ()
    names: tuple[str, ...] = ()
    meter: str = ""
    points: Mapping[str, str] = field(default_factory=dict)
    suspects: tuple[Suspect, ...] = ()
    sound: tuple[Expression, ...] = ()
    reading: PlotReading | None = None

    @property
    def takes_unit_mark(self) -> bool:
        """Whether the answer has a unit that earns a mark of its own."""
        return self.kind in ("number", "preferred", "reading") and bool(self.unit.symbol)


@dataclass(frozen=True, slots=True)
class Example:
    """A worked example from outside, to hold the formulas against."""

    values: Mapping[str, Quantity]
    answers: Mapping[str, str]
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Template:
    """A parametrised question.

    Attributes:
        name: Its key, unique over all banks.
        release: Hash of everything that can change a question; attempts point at it for ever.
        file: Where it was read, for messages.
        bank: The bank's folder, or "".
        title, topic, level: For lists and lessons.
        values: Rules of the named values, in the file's order.
        units: Unit of every named value, derived ones and asks included.
        require: Conditions that a draw must meet.
        network: The circuit, its values bound to names; None without one.
        supply: The supply that formulas are held against; None without one.
        parts: The circuit's parts as data, for drawing and storing.
        plot: What is to be read, or None.
        analysis: At which the circuit's quantities are meant unless an ask says otherwise.
        frequency: At ac.
        text, hints, solution: The wording; of the solution only the template's own steps.
        plan: The order of the solution: the place of an own step, the ask whose automatic steps stand there, or
            `ALL` for those of every ask that is named nowhere else.
        asks: In order.
        caution: Key of the caution to show, or "".
        source: Where the rule is taken from.
        examples: Worked examples from outside.
        data: The validated file, canonical, as the release was computed from.
        lines: Line of each key, by its path as people read it; for messages.
    """

    name: str
    release: str
    file: str
    bank: str
    title: str
    topic: str
    level: int
    values: Mapping[str, ValueRule]
    units: Mapping[str, Unit]
    require: tuple[Expression, ...]
    network: Network | None
    supply: SupplyPlan | None
    parts: Mapping[str, Any]
    plot: Plot | None
    analysis: Literal["dc", "ac"]
    frequency: Expression | None
    text: Pieces
    hints: tuple[Pieces, ...]
    solution: tuple[Pieces, ...]
    plan: tuple[int | str, ...]
    asks: tuple[Ask, ...]
    caution: str
    source: str
    examples: tuple[Example, ...]
    data: Mapping[str, Any]
    lines: Mapping[str, int]

    def line_of(self, key: str) -> int:
        """Return the line of a key of the file, or of the nearest key above it."""
        while key and key not in self.lines:
            key = max(key.rpartition(".")[0], key.rpartition("[")[0], key=len)
        return self.lines.get(key, 0)

    def ask(self, name: str) -> Ask:
        """Return an ask by name."""
        return next(ask for ask in self.asks if ask.name == name)

    def analysis_of(self, ask: CircuitAsk) -> Analysis:
        """Return the analysis at which a circuit quantity is meant."""
        if without_analysis(ask.asked):
            return DC
        return {"ac": AC, "step": STEP}.get(ask.analysis or self.analysis, DC)

    def automatic_asks(self) -> tuple[str, ...]:
        """Return the asks whose steps are found automatically, in the order of the solution."""
        named = [place for place in self.plan if isinstance(place, str) and place != ALL]
        # The reasoning from readings to a fault has steps of its own.
        rest = [ask.name for ask in self.asks if ask.name not in named and ask.kind != "fault"]
        found: list[str] = []
        for place in self.plan:
            if isinstance(place, str):
                found += rest if place == ALL else [place]
        return tuple(found)

    @property
    def derived(self) -> tuple[str, ...]:
        """Names of the values worked out from others, in order."""
        return tuple(name for name, rule in self.values.items() if isinstance(rule, Derived))


def texts_of(template: Template) -> Iterator[tuple[str, Pieces]]:
    """Yield every text of a template with its key as people read it, such as `ask.v_tap.text` and `hints[1]`."""
    yield "text", template.text
    for ask in template.asks:
        path = f"ask.{ask.name}"
        yield f"{path}.text", ask.text
        yield from ((f"{path}.slips.{slip.name}.says", slip.says) for slip in ask.slips)
        for option in ask.options:
            yield f"{path}.options.{option.name}.text", option.text
            if option.says is not None:
                yield f"{path}.options.{option.name}.says", option.says
    yield from ((f"hints[{n}]", hint) for n, hint in enumerate(template.hints, 1))
    yield from ((f"solution[{n}]", step) for n, step in enumerate(template.solution, 1))
