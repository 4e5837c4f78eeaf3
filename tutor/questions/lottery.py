"""Drawing a template's values: for one serial, or for an array of them at once. Both give the same values."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from tutor.circuits.errors import ExpressionError
from tutor.circuits.expressions.evaluation import describe, evaluate
from tutor.circuits.program import run_in_chunks
from tutor.questions.compiling import ADMITTED, Compiled
from tutor.questions.errors import DrawError
from tutor.questions.fault_finding import ROW, clear_draws, fault_asks
from tutor.questions.lots import LARGEST_SERIAL, key_of, lot, lot_array, pick, pick_array
from tutor.questions.values import Choices, Derived, Rows

MOST_TRIES = 200


@dataclass(frozen=True, slots=True)
class Drawn:
    """The values of one serial.

    Attributes:
        base: The drawn numbers.
        labels: The word of each drawn row.
        values: Drawn numbers, derived values, the circuit's own quantities and keys.
        tries: How many draws it took.
    """

    base: Mapping[str, float]
    labels: Mapping[str, str]
    values: Mapping[str, float]
    tries: int


def read_serial(raw: object, template: str) -> int:
    """Return a serial from what was typed or given.

    Raises:
        DrawError: If it is no whole number from 0 to 2⁶³ − 1.
    """
    text = str(raw).strip()
    if not text.isascii() or not text.isdigit() or len(text) > 19 or int(text) > LARGEST_SERIAL:
        reason = f"a serial is a whole number from 0 to {LARGEST_SERIAL}, such as 7"
        raise DrawError(template, text if len(text) <= 40 else text[:37] + "…", reason)
    return int(text)


def draw_values(compiled: Compiled, serial: int) -> Drawn:
    """Draw the values of one serial.

    Raises:
        DrawError: If no draw in 200 meets the template's conditions; names the condition that fails most.
    """
    function = compiled.function("values")
    failed: dict[str, int] = {}
    for attempt in range(MOST_TRIES):
        base, labels = _base(compiled, serial, attempt)
        try:
            results = function(*(base[name] for name in compiled.base))
        except (ArithmeticError, ValueError) as error:
            _count(failed, f"a value could not be worked out ({error})")
            continue
        named = dict(zip(compiled.outputs, results, strict=True))
        admitted = named.pop(ADMITTED)
        if admitted and all(_usable(value) for value in named.values()):
            if not _clear(compiled, base | named, labels):
                _count(failed, "a fault that the readings tell from all others")
                continue
            values = base | {name: float(value) for name, value in named.items()}
            return Drawn(base, labels, values, attempt + 1)
        for reason in _reasons(compiled, base | named):
            _count(failed, reason)
    worst = max(failed, key=lambda reason: failed[reason])
    reason = (
        f"none of {MOST_TRIES} draws meets the conditions; most often fails: {worst}; widen the values or the condition"
    )
    raise DrawError(compiled.template.name, serial, reason)


def _clear(compiled: Compiled, values: Mapping[str, float], labels: Mapping[str, str]) -> bool:
    """Tell whether every fault of a draw can be told from all others."""
    if not fault_asks(compiled.template):
        return True
    return bool(clear_draws(compiled.template, values, labels, 1)[0])


def _usable(value: object) -> bool:
    return not isinstance(value, complex) and math.isfinite(float(value))  # type: ignore[arg-type]  # a number by construction


def _count(failed: dict[str, int], reason: str) -> None:
    failed[reason] = failed.get(reason, 0) + 1


def _reasons(compiled: Compiled, values: Mapping[str, float]) -> list[str]:
    """Return the conditions that a refused draw fails."""
    found = []
    for condition in compiled.template.require:
        try:
            met = evaluate(condition, values)
        except ExpressionError:
            met = 0.0
        if not met:
            found.append(describe(condition))
    return found or ["a value is not finite"]


def _base(compiled: Compiled, serial: int, attempt: int) -> tuple[dict[str, float], dict[str, str]]:
    base: dict[str, float] = {}
    labels: dict[str, str] = {}
    release = compiled.template.release
    for name, rule in compiled.template.values.items():
        if isinstance(rule, Choices):
            index = pick(lot(key_of(release, name), serial, attempt), len(rule.values))
            base[name] = rule.values[index]
        elif isinstance(rule, Rows):
            index = pick(lot(key_of(release, name), serial, attempt), len(rule.labels))
            labels[name] = rule.labels[index]
            base.update({column: values[index] for column, values in rule.columns.items()})
    for ask in fault_asks(compiled.template):
        base[ask.name] = 1.0 + pick(lot(key_of(release, f"fault of {ask.name}"), serial, attempt), len(ask.suspects))
    return base, labels


# -- many serials at once --------------------------------------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class Batch:
    """The values of many serials.

    Attributes:
        values: Name → array of shape (draws,); drawn numbers, derived values, the circuit's own quantities and keys.
        tries: Draws that each serial took; 0 where none was admitted.
        valueless: How many admitted draws had a value that is not finite.
    """

    values: Mapping[str, Any]
    tries: Any
    valueless: int

    @property
    def refused_share(self) -> float:
        """Share of all draws that the conditions refused."""
        total = float(self.tries.sum() + MOST_TRIES * (self.tries == 0).sum())
        return 1.0 - float((self.tries > 0).sum()) / total if total else 0.0


def draw_batch(compiled: Compiled, serials: Any) -> Batch:
    """Draw the values of an array of serials.

    Args:
        compiled: The template.
        serials: Whole numbers, shape (draws,).

    Returns:
        The batch; serials without an admitted draw keep the values of their last try.
    """
    import numpy as np

    serials = np.asarray(serials, dtype=np.uint64)
    draws = len(serials)
    tries = np.zeros(draws, dtype=np.int64)
    values: dict[str, Any] = {}
    pending = np.arange(draws)
    valueless = 0
    for attempt in range(MOST_TRIES):
        found, admitted = _try(compiled, serials[pending], attempt)
        finite = np.ones(len(pending), dtype=bool)
        for value in found.values():
            finite &= np.isfinite(value)
        valueless += int((admitted & ~finite).sum())
        for name, value in found.items():
            values.setdefault(name, np.full(draws, np.nan))[pending] = value
        accepted = admitted & finite
        tries[pending[accepted]] = attempt + 1
        pending = pending[~accepted]
        if not len(pending):
            break
    return Batch(values, tries, valueless)


def _try(compiled: Compiled, serials: Any, attempt: int) -> tuple[dict[str, Any], Any]:
    import numpy as np

    base: dict[str, Any] = {}
    release = compiled.template.release
    for name, rule in compiled.template.values.items():
        if isinstance(rule, Derived):
            continue
        count = len(rule.values) if isinstance(rule, Choices) else len(rule.labels)
        index = pick_array(lot_array(key_of(release, name), serials, attempt), count).astype(np.int64)
        columns = {name: rule.values} if isinstance(rule, Choices) else rule.columns
        if isinstance(rule, Rows) and fault_asks(compiled.template):
            base[f"{ROW}{name}"] = index.astype(float)
        base.update({column: np.array(numbers)[index] for column, numbers in columns.items()})
    for ask in fault_asks(compiled.template):
        key = key_of(release, f"fault of {ask.name}")
        base[ask.name] = 1.0 + pick_array(lot_array(key, serials, attempt), len(ask.suspects)).astype(float)
    results = array_values(compiled, base, len(serials))
    admitted = results.pop(ADMITTED).astype(bool)
    if fault_asks(compiled.template) and admitted.any():
        admitted[admitted] = _clear_array(compiled, base | results, admitted)
    return base | results, admitted


def _clear_array(compiled: Compiled, values: Mapping[str, Any], chosen: Any) -> Any:
    """Tell on which of the chosen draws every fault can be told from all others."""
    some = {name: value[chosen] for name, value in values.items()}
    return clear_draws(compiled.template, some, labels_of(compiled, some), int(chosen.sum()))


def labels_of(compiled: Compiled, values: Mapping[str, Any]) -> dict[str, Any]:
    """Return the words of drawn rows over the draws of a batch."""
    import numpy as np

    rows = {name: rule for name, rule in compiled.template.values.items() if isinstance(rule, Rows)}
    return {name: np.array(rule.labels)[values[f"{ROW}{name}"].astype(int)] for name, rule in rows.items()}


def array_values(compiled: Compiled, base: Mapping[str, Any], draws: int) -> dict[str, Any]:
    """Return derived values, keys and admission for arrays of drawn numbers, shape (draws,)."""
    function = compiled.function("values", arrays=True)
    results = run_in_chunks(function, [base[name] for name in compiled.base], draws)
    return dict(zip(compiled.outputs, results, strict=True))
