"""A question that was issued, as a corrected template would have made it of the same values.

A release has lots of its own, so that the same serial gives other values under another release; what was answered is
marked anew with the values that were shown.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

from tutor.questions.compiling import ADMITTED, Compiled
from tutor.questions.draw import question_of
from tutor.questions.errors import DrawError
from tutor.questions.lottery import Drawn
from tutor.questions.question import DrawnAsk, Question
from tutor.questions.values import Rows


def redrawn(compiled: Compiled, old: Question) -> Question:
    """Return the question that a template makes of another question's values.

    Args:
        compiled: The corrected template.
        old: The question as it was issued.

    Raises:
        DrawError: If the template has a value that was not drawn then, or none for what was drawn; or if the options
            of a choice are others now, so that the letter that was given means nothing.
    """
    name = compiled.template.name
    missing = [value for value in compiled.base if value not in old.values]
    if missing:
        raise DrawError(name, old.serial, f"{', '.join(missing)} was not drawn then")
    base = {value: old.values[value] for value in compiled.base}
    try:
        results = compiled.function("values")(*(base[value] for value in compiled.base))
    except (ArithmeticError, ValueError) as error:
        raise DrawError(name, old.serial, f"a value could not be worked out ({error})") from error
    named = dict(zip(compiled.outputs, results, strict=True))
    named.pop(ADMITTED)
    if any(isinstance(value, complex) or not math.isfinite(float(value)) for value in named.values()):
        raise DrawError(name, old.serial, "a value is not finite")
    values = base | {key: float(value) for key, value in named.items()}
    new = question_of(compiled, old.serial, Drawn(base, _labels(compiled, base), values, 1))
    return replace(new, asks=tuple(_in_old_order(ask, old) for ask in new.asks))


def _labels(compiled: Compiled, base: Mapping[str, float]) -> dict[str, str]:
    """Return the word of each row whose values were drawn."""
    found: dict[str, str] = {}
    for name, rule in compiled.template.values.items():
        if isinstance(rule, Rows):
            for index, label in enumerate(rule.labels):
                if all(column[index] == base[key] for key, column in rule.columns.items()):
                    found[name] = label
                    break
            else:
                raise DrawError(compiled.template.name, 0, f"{name} has no row with the values that were drawn")
    return found


def _in_old_order(ask: DrawnAsk, old: Question) -> DrawnAsk:
    """Return a choice with its options in the order in which they were offered."""
    before = next((other for other in old.asks if other.name == ask.name), None)
    if not ask.options or before is None:
        return ask
    by_name = {option.name: option for option in ask.options}
    if set(by_name) != {option.name for option in before.options}:
        raise DrawError(old.template, old.serial, f"{ask.name} offers other options now")
    return replace(ask, options=tuple(by_name[option.name] for option in before.options))
