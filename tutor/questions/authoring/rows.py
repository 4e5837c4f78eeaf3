"""A circuit as a table: one row a part, its nodes in order, its figures in the trainer's words.

The figures of a part become values of the template, so that the question can show them by name. Parts of kinds that
the table does not know, and figures given as expressions, are kept as they are.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass, field
from typing import Any

from tutor.questions.authoring.value_words import read_value_words, write_value_words


@dataclass(frozen=True, slots=True)
class Kind:
    """What the table asks of a kind of part.

    Attributes:
        letter: With which references begin.
        pins: Its pins in order.
        figures: Keys of its figures; the first is the main one.
        words: Keys of what is no figure (a type, a law).
        named: Whether its pins are named in the file.
    """

    letter: str
    pins: tuple[str, ...]
    figures: tuple[str, ...] = ("value",)
    words: tuple[str, ...] = ()
    named: bool = False


KINDS: dict[str, Kind] = {
    "resistor": Kind("R", ("from", "to")),
    "capacitor": Kind("C", ("from", "to")),
    "inductor": Kind("L", ("from", "to")),
    "voltage source": Kind("V", ("plus", "minus")),
    "current source": Kind("I", ("from", "to")),
    "potentiometer": Kind("P", ("top", "wiper", "foot"), ("value", "turn"), ("law",)),
    "triode": Kind("V", ("anode", "grid", "cathode"), ("mu", "ra"), ("type",), named=True),
    "pentode": Kind("V", ("anode", "grid", "screen", "cathode"), ("gm", "ra"), ("type",), named=True),
    "meter": Kind("M", ("plus", "minus"), ("resistance",)),
}
MOST_PINS = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One part as the table shows it.

    Attributes:
        reference: Its reference.
        kind: Its kind.
        nodes: Its nodes, in the order of its pins.
        figures: Figure → the trainer's words for it.
        words: Type, law and their kind.
        known: Whether the table can change it; otherwise the file's text can.
        raw: The part as the file has it.
    """

    reference: str
    kind: str
    nodes: tuple[str, ...] = ()
    figures: Mapping[str, str] = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)
    known: bool = True
    raw: Mapping[str, Any] = field(default_factory=dict)


def parts_of(data: Mapping[str, Any]) -> dict[str, Any]:
    """Return the parts of a draft's own circuit; none where it has none or shares another's."""
    circuit = data.get("circuit")
    if not isinstance(circuit, Mapping):
        return {}
    parts = circuit.get("parts", circuit)
    return dict(parts) if isinstance(parts, Mapping) else {}


def rows_of(data: Mapping[str, Any]) -> list[Row]:
    """Return the table of a draft."""
    return [_row(str(reference), raw, data) for reference, raw in parts_of(data).items()]


def _row(reference: str, raw: Any, data: Mapping[str, Any]) -> Row:
    raw = raw if isinstance(raw, Mapping) else {}
    name = str(raw.get("kind", ""))
    kind = KINDS.get(name)
    nodes = raw.get("nodes")
    listed = nodes.values() if isinstance(nodes, Mapping) else nodes if isinstance(nodes, list) else []
    figures = {} if kind is None else {key: _words_of(reference, key, kind, raw, data) for key in kind.figures}
    known = kind is not None and not any(isinstance(raw.get(key), Mapping) for key in kind.figures)
    if kind is not None and kind.named and isinstance(nodes, Mapping):
        listed = [nodes.get(pin, "") for pin in kind.pins]
        known = known and set(nodes) <= set(kind.pins)
    words = {key: str(raw.get(key, "")) for key in (kind.words if kind else ())}
    return Row(
        reference=reference,
        kind=name,
        nodes=tuple(str(node) for node in listed),
        figures=figures,
        words=words,
        known=known,
        raw=raw,
    )


def _words_of(reference: str, key: str, kind: Kind, raw: Mapping[str, Any], data: Mapping[str, Any]) -> str:
    values = _values(data)
    written = raw.get(key)
    if written is None:
        return write_value_words(values.get(reference)) if key == kind.figures[0] == "value" else ""
    return write_value_words(values[str(written)]) if str(written) in values else str(written)


def _values(data: Mapping[str, Any]) -> dict[str, Any]:
    values = data.get("values")
    return dict(values) if isinstance(values, Mapping) else {}


def with_rows(data: Mapping[str, Any], rows: Sequence[Row]) -> dict[str, Any]:
    """Return a draft with its circuit as the table says; values of parts that went are taken out.

    Raises:
        ValueWordsError: If a figure cannot be read; its first argument says why.
    """
    before = parts_of(data)
    values, parts = _values(data), {}
    for row in rows:
        parts[row.reference] = _part(row, values, alone=_is_alone(row, rows)) if row.known else dict(row.raw)
    for reference, raw in before.items():
        if reference not in parts:
            for name in _owned(str(reference), raw):
                values.pop(name, None)
    found = dict(data) | {"circuit": parts, "values": values}
    return {key: value for key, value in found.items() if value not in ({}, "")}


def _owned(reference: str, raw: Any) -> list[str]:
    """Return the names of the values that belonged to a part alone."""
    figures = [str(raw[key]) for key in ("mu", "ra", "gm", "turn", "resistance") if key in raw]
    return [reference, *figures]


def _is_alone(row: Row, rows: Sequence[Row]) -> bool:
    return sum(other.kind == row.kind for other in rows) == 1


def _part(row: Row, values: dict[str, Any], *, alone: bool) -> dict[str, Any]:
    kind = KINDS[row.kind]
    part: dict[str, Any] = {"kind": row.kind}
    nodes = list(row.nodes) + [""] * (len(kind.pins) - len(row.nodes))
    part["nodes"] = dict(zip(kind.pins, nodes, strict=False)) if kind.named else nodes[: len(kind.pins)]
    for key in kind.words:
        if row.words.get(key):
            part[key] = row.words[key]
    for key in kind.figures:
        words = row.figures.get(key, "").strip()
        name = _name_of(row, key, values, alone=alone)
        if not words:
            values.pop(name, None)
            continue
        if re.fullmatch(r"[A-Za-z]\w*", words) and words in values and words != name:
            part[key] = words  # the same value as another part's
            continue
        rule = read_value_words(words)
        if words != write_value_words(values.get(name)):
            values[name] = rule
        if key != "value":
            part[key] = name
    for key in ("at", "turned", "polarised", "label", "half", "phase"):
        if key in row.raw:
            part[key] = deepcopy(row.raw[key])
    return part


def _name_of(row: Row, key: str, values: Mapping[str, Any], *, alone: bool) -> str:
    """Return the name under which a figure stands among the values: that of its part, or mu and ra of a lone valve."""
    bound = row.raw.get(key)
    if isinstance(bound, str) and bound in values:
        return bound
    if key == "value":
        return row.reference
    return key if alone and key in ("mu", "ra", "gm") and key not in values else f"{key}_{row.reference}"


def free_reference(kind: str, taken: Sequence[str]) -> str:
    """Return the next free reference for a kind.

    >>> free_reference("resistor", ["R1", "V1"])
    'R2'
    """
    letter = KINDS[kind].letter if kind in KINDS else "X"
    return next(f"{letter}{n}" for n in range(1, 1000) if f"{letter}{n}" not in taken)


def moved(data: Mapping[str, Any], reference: str, place: tuple[int, int] | None, turned: int = 0) -> dict[str, Any]:
    """Return a draft with a part put at a place of the grid; None leaves the place to the drawing."""
    parts = deepcopy(parts_of(data))
    part = parts.get(reference)
    if isinstance(part, dict):
        part.pop("at", None)
        part.pop("turned", None)
        if place is not None:
            part["at"] = [str(place[0]), str(place[1])]
            part |= {"turned": str(turned % 360)} if turned % 360 else {}
    return dict(data) | {"circuit": parts}
