"""The supply of a template, and what an ask wants of it: read here, solved by the check alone.

A formula of the trade is not equal to what a real supply gives. The template describes a supply and states how far off
its formula may be (`model error:`); `checking.supply_proof` holds the two against each other on every draw. Serving a
question needs neither.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from tutor.circuits.expressions import Expression
from tutor.circuits.source import Path_
from tutor.quantities import AMPERE, FARAD, HENRY, HERTZ, OHM, RATIO, VOLT, Unit, read_quantity
from tutor.questions.desk import Desk
from tutor.questions.schema import OfSupplyModel, SupplyModel
from tutor.questions.words import with_article

QUANTITIES: dict[str, Unit] = {
    "mean voltage": VOLT,
    "rms voltage": VOLT,
    "ripple": VOLT,
    "rms ripple": VOLT,
    "ripple factor": RATIO,
    "ripple frequency": HERTZ,
    "peak inverse voltage": VOLT,
    "peak diode current": AMPERE,
    "rms winding current": AMPERE,
}
MOST_MODEL_ERROR = 0.3
"""A rule that is further off than this is no estimate of the supply described."""

_UNITS: dict[str, Unit] = {
    "emf": VOLT,
    "resistance": OHM,
    "frequency": HERTZ,
    "drop": VOLT,
    "slope": OHM,
    "current": AMPERE,
    "reservoir": FARAD,
    "capacitance": FARAD,
    "inductance": HENRY,
    "bleeder": OHM,
}


@dataclass(frozen=True, slots=True)
class SupplyPlan:
    """A supply whose numbers are expressions of the drawn values.

    Attributes:
        topology: Unless an ask says otherwise.
        rectifier: The law of its diodes.
        sections: How many smoothing sections there are.
        numbers: Its numbers by their paths, such as `sections[0].resistance`.
    """

    topology: Literal["half-wave", "bi-phase", "bridge"]
    rectifier: Literal["silicon", "valve", "ideal"]
    sections: int
    numbers: Mapping[str, Expression]


@dataclass(frozen=True, slots=True)
class SupplyAsk:
    """What of the supply an ask wants.

    Attributes:
        quantity: One of `QUANTITIES`; a ripple is peak to peak unless it says rms.
        at: The node whose voltage or ripple is meant.
        topology: Of the rectifier.
        model_error: How far the ask's formula may be from the solved supply, as a ratio of the latter.
    """

    quantity: str
    at: Literal["reservoir", "output"]
    topology: Literal["half-wave", "bi-phase", "bridge"]
    model_error: float


def read_supply(desk: Desk, model: SupplyModel) -> SupplyPlan | None:
    """Read the supply of a template; faults go to the desk, and None comes back for a faulty one."""
    before, numbers = desk.troubles, {}
    for path, text in _numbers(model):
        expression = desk.expression(("supply", *path), text)
        if expression is not None:
            unit = _UNITS[str(path[-1])]
            found = desk.dimension(expression)
            if found.dimension != unit.dimension:
                message = f"it gives {with_article(found.name)}; {with_article(unit.name)} is wanted"
                desk.fault(("supply", *path), message)
            numbers[_spelt(path)] = expression
    if desk.troubles > before:
        return None
    return SupplyPlan(model.topology, model.rectifier.kind, len(model.sections), numbers)


def read_supply_ask(desk: Desk, path: Path_, raw: OfSupplyModel, model_error: str | None, topology: str) -> SupplyAsk:
    """Read what an ask wants of the supply.

    Args:
        desk: Where faults go.
        path: Of the ask.
        raw: Its `of supply:`.
        model_error: Its `model error:`.
        topology: Of the template's supply.

    Raises:
        ValueError: If no model error is stated, or one that is no ratio up to `MOST_MODEL_ERROR`.
    """
    if model_error is None:
        raise ValueError("`of supply:` wants `model error:`, how far the formula may be from the solved supply: 15 %")
    error = read_quantity(model_error).quantity
    if not error.unit.fits(RATIO) or not 0 < error.magnitude <= MOST_MODEL_ERROR:
        message = f"found {model_error!r}; a share above 0 and up to {MOST_MODEL_ERROR:.0%} is wanted, such as 15 %"
        desk.fault((*path, "model error"), message)
    chosen = raw.topology or topology
    return SupplyAsk(raw.quantity, raw.at, chosen, error.magnitude)  # type: ignore[arg-type]  # one of the schema's


def _numbers(model: SupplyModel) -> Iterator[tuple[Path_, str]]:
    """Yield the path and text of every number that the template gives."""
    yield from _given(("winding",), model.winding)
    yield from _given(("rectifier",), model.rectifier)
    for index, section in enumerate(model.sections):
        yield from _given(("sections", index), section)
    if model.load is not None:
        yield from _given(("load",), model.load)
    for key in ("reservoir", "bleeder"):
        text = getattr(model, key)
        if text is not None:
            yield (key,), text


def _given(path: Path_, part: object) -> Iterator[tuple[Path_, str]]:
    for key in _UNITS:
        text = getattr(part, key, None)
        if text is not None:
            yield (*path, key), text


def _spelt(path: Path_) -> str:
    return "".join(f"[{piece}]" if isinstance(piece, int) else f".{piece}" for piece in path).lstrip(".")
