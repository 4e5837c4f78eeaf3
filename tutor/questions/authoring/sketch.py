"""The drawing of a circuit that is being made, and where its parts stand in it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from tutor.circuits.network import Network
from tutor.circuits.parts import Part
from tutor.circuits.parts.controlled import CurrentControlled
from tutor.circuits.valves.catalogue import known_types, valve_type
from tutor.circuits.valves.errors import UnknownValveError
from tutor.drawing.schematic import Drawing, DrawnPart, Layout, lay_out
from tutor.quantities import AMPERE_PER_VOLT, OHM, RATIO, show
from tutor.questions.authoring.rows import Row

LONGEST_VALUE = 16
MOST_DRAWN = 80
"""Parts beyond which the bench draws no more while somebody types: laying out takes seconds then."""


def drawn(network: Network, raw: Mapping[str, Any], words: Mapping[str, str]) -> list[DrawnPart]:
    """Return a circuit's parts in the drawing's own terms.

    Args:
        network: The parts that could be read.
        raw: The parts as the draft has them, for their places.
        words: What stands beside each part; longer words are left out.
    """
    return [_drawn(part, raw.get(part.reference), words.get(part.reference, "")) for part in network.parts]


def _drawn(part: Part, raw: Any, words: str) -> DrawnPart:
    data = raw if isinstance(raw, Mapping) else {}
    nodes = dict(part.pins)
    control = getattr(part, "control", None)
    if isinstance(control, tuple):
        nodes |= {"control a": control[0], "control b": control[1]}
    of = (part.control,) if isinstance(part, CurrentControlled) else tuple(getattr(part, "coils", ()) or ())
    return DrawnPart(
        reference=part.reference,
        kind=part.kind,
        nodes=nodes,
        value=words if len(words) <= LONGEST_VALUE else "",
        at=_place(data.get("at")),
        turn=_whole(data.get("turned")) or 0,
        polarised=bool(getattr(part, "polarised", False)),
        of=of,
    )


def _place(raw: Any) -> tuple[int, int] | None:
    if not isinstance(raw, list | tuple) or len(raw) != 2:
        return None
    x, y = (_whole(piece) for piece in raw)
    return None if x is None or y is None else (x, y)


def _whole(raw: Any) -> int | None:
    try:
        found = int(str(raw))
    except ValueError:
        return None
    return found if abs(found) <= 1000 else None


def sketch(parts: Sequence[DrawnPart], nodes: Sequence[str], uid: str = "bench") -> tuple[Drawing, Layout] | None:
    """Return the drawing with every node named, and where everything stands; None without parts or with too many."""
    if not parts or len(parts) > MOST_DRAWN:
        return None
    layout = lay_out(parts)
    labels = {node: node for node in nodes if node != "0"}
    return layout.render(parts, title="The circuit so far", uid=uid, node_labels=labels), layout


def valve_types() -> tuple[str, ...]:
    """Return the valve types whose figures are known."""
    return known_types()


def with_figures_of_type(row: Row) -> Row:
    """Return a valve's row with the figures of its type's sheet where none are typed; other rows as they are."""
    from dataclasses import replace

    name = row.words.get("type", "")
    if not name or any(row.figures.get(key) for key in ("mu", "ra", "gm")):
        return row
    try:
        system = valve_type(name).system()
    except UnknownValveError:
        return row
    units = {"mu": RATIO, "gm": AMPERE_PER_VOLT, "ra": OHM}
    for point in system.points:
        figures = {key: getattr(point, key) for key in row.figures if key in units}
        if figures and all(value is not None for value in figures.values()):
            shown = {
                key: show(value, units[key], 4).replace("\N{NO-BREAK SPACE}", " ") for key, value in figures.items()
            }
            return replace(row, figures=dict(row.figures) | shown)
    return row
