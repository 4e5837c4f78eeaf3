"""Drafts for the tests: what a trainer would have typed into the table."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from tutor.questions.authoring.reading_drafts import no_circuit, read_draft
from tutor.questions.authoring.rows import Row, with_rows
from tutor.questions.template import Template

DIVIDER = (
    ("V1", "voltage source", ("in", "0"), {"value": "200 V, 250 V, 300 V"}),
    ("R1", "resistor", ("in", "tap"), {"value": "E12, 47 kΩ to 470 kΩ"}),
    ("R2", "resistor", ("tap", "0"), {"value": "E12, 22 kΩ to 220 kΩ"}),
    ("RL", "resistor", ("tap", "0"), {"value": "E12, 47 kΩ to 1 MΩ"}),
)
STAGE = (
    ("V1", "voltage source", ("ht", "0"), {"value": "250 V"}),
    ("Ra", "resistor", ("ht", "anode"), {"value": "100 kΩ, 150 kΩ, 220 kΩ"}),
    ("V2", "triode", ("anode", "in", "cathode"), {"mu": "100", "ra": "62.5 kΩ"}),
    ("Rk", "resistor", ("cathode", "0"), {"value": "E12, 1 kΩ to 4.7 kΩ"}),
    ("Rg", "resistor", ("in", "0"), {"value": "1 MΩ"}),
)
LOADED = "V1*R2*RL/(R1*R2 + R1*RL + R2*RL)"
HEAD = {"template": "made", "title": "Made", "topic": "dividers", "level": "1", "text": "Look at `V1=`."}


def rows(*parts: tuple[str, str, Sequence[str], dict[str, str]]) -> list[Row]:
    return [Row(reference=r, kind=k, nodes=tuple(n), figures=f) for r, k, n, f in parts]


def table(*parts: tuple[str, str, Sequence[str], dict[str, str]]) -> dict[str, Any]:
    return with_rows({}, rows(*parts))


def divider(**ask: Any) -> dict[str, Any]:
    asked = {"text": "What voltage?", "of circuit": {"voltage": "tap"}, "formula": LOADED} | ask
    return HEAD | table(*DIVIDER) | {"ask": {"v_tap": asked}, "caution": "high-voltage"}


def template(data: dict[str, Any]) -> Template:
    reading = read_draft(data, no_circuit)
    assert reading.template is not None, reading.faults
    return reading.template
