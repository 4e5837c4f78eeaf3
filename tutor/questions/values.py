"""Value rules: how a template's named values come about.

A fixed value, one of a list, one of a preferred series, one of an even range, one row of a table of values that belong
together (a valve with its mu and anode resistance), or a formula over other values. The drawn values are exact
decimals.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import TypeAlias

from tutor.circuits.expressions import Expression
from tutor.quantities import RATIO, Unit


@dataclass(frozen=True, slots=True)
class Choices:
    """A value that is drawn from a finite list; fixed values have one entry.

    Attributes:
        values: In SI units.
        unit: Their unit.
    """

    values: tuple[float, ...]
    unit: Unit


@dataclass(frozen=True, slots=True)
class Rows:
    """Values that belong together, drawn as one row.

    Attributes:
        labels: The word that stands for each row, or "".
        columns: Name → the value in each row.
        units: Name → unit.
    """

    labels: tuple[str, ...]
    columns: Mapping[str, tuple[float, ...]]
    units: Mapping[str, Unit] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Derived:
    """A value worked out from others; never given unless the text shows it."""

    formula: Expression
    unit: Unit = RATIO


ValueRule: TypeAlias = Choices | Rows | Derived

MOST_VALUES = 100_000
"""Of an even range."""


def even_steps(low: Decimal, high: Decimal, step: Decimal) -> tuple[float, ...]:
    """Return low, low + step … up to high, which is the last of them.

    Raises:
        ValueError: If the step does not lead from low to high, or there would be more than 100 000 values.
    """
    if step <= 0:
        raise ValueError("the step must be more than nothing")
    if high < low:
        raise ValueError("`to` lies below `from`; exchange them")
    steps, rest = divmod(high - low, step)
    if steps >= MOST_VALUES:
        raise ValueError(f"it makes more than {MOST_VALUES} values; take a larger step")
    if rest:
        raise ValueError("the steps do not end at `to`; change `to` or the step")
    return tuple(float(low + index * step) for index in range(int(steps) + 1))
