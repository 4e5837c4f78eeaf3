"""Value rules as a trainer writes them in one field, and back.

220 kΩ                                one value
200 V, 250 V, 300 V                   one of these
E12, 47 kΩ to 470 kΩ                  one of a preferred series
200 V to 300 V in steps of 10 V       even steps
= R1 + R2                             worked out from others
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from tutor.quantities import SERIES

_SERIES = re.compile(r"(E\d+)\s*[,:;]?\s*(?:from\s+)?(.+?)\s*(?:to|…|\.\.\.)\s*(.+)", re.IGNORECASE)
_STEPS = re.compile(r"(?:from\s+)?(.+?)\s+to\s+(.+?)\s*,?\s*(?:in\s+)?steps?\s+(?:of\s+)?(.+)", re.IGNORECASE)
_SPAN = re.compile(r"(?:from\s+)?(.+?)\s+to\s+(.+)", re.IGNORECASE)

WAYS = (
    "one value (220 kΩ), several (200 V, 250 V, 300 V), a series (E12, 47 kΩ to 470 kΩ), even steps "
    "(200 V to 300 V in steps of 10 V), or worked out (= R1 + R2)"
)


class ValueWordsError(ValueError):
    """A value that cannot be read; says what would do."""


def read_value_words(text: str) -> Any:
    """Return the rule of a value as the template file spells it.

    >>> read_value_words("E12, 47 kΩ to 470 kΩ")
    {'series': 'E12', 'from': '47 kΩ', 'to': '470 kΩ'}
    >>> read_value_words("200 V, 250 V or 300 V")
    {'pick': ['200 V', '250 V', '300 V']}

    Raises:
        ValueWordsError: If it is a stretch without a series or a step, or a series that there is not.
    """
    text = " ".join(text.split())
    if text.startswith("="):
        return {"formula": text[1:].strip()}
    if found := _STEPS.fullmatch(text):
        low, high, step = found.groups()
        return {"from": low, "to": high, "step": step}
    if found := _SERIES.fullmatch(text):
        series, low, high = found.groups()
        if series.upper() not in SERIES:
            raise ValueWordsError(f"found {series!r}; the series are {', '.join(SERIES)}")
        return {"series": series.upper(), "from": low, "to": high}
    if found := _SPAN.fullmatch(text):
        low, high = found.groups()
        raise ValueWordsError(
            f"from {low} to {high} there are too many values; name a series (E12, {low} to {high}) or a step "
            f"({low} to {high} in steps of …)"
        )
    # A comma without a blank behind it is a decimal comma: 1,5 kΩ.
    pieces = [piece.strip() for piece in re.split(r",\s+|;\s*|\s+or\s+", text) if piece.strip()]
    return {"pick": pieces} if len(pieces) > 1 else text


def write_value_words(rule: Any) -> str:
    """Return a rule as a trainer would write it; a table of rows is told, and changed in the file's text only."""
    if not isinstance(rule, Mapping):
        return "" if rule is None else str(rule)
    if "pick" in rule:
        return ", ".join(str(piece) for piece in rule["pick"])
    if "series" in rule:
        return f"{rule['series']}, {rule.get('from', '')} to {rule.get('to', '')}"
    if "formula" in rule:
        return f"= {rule['formula']}"
    if "rows" in rule:
        return f"(a table of {len(rule['rows'])} rows)"
    return f"{rule.get('from', '')} to {rule.get('to', '')} in steps of {rule.get('step', '')}"
