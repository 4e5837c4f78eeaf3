"""Texts: every expression in them has a value on every draw, chains are equal, and nothing gives a key away."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from typing import Any

from tutor.circuits.expressions import Expression, Name, dimension_of
from tutor.circuits.expressions.evaluation import describe
from tutor.questions.arrays import array_value, relative_difference
from tutor.questions.checking.findings import Evidence, Finding
from tutor.questions.draw import all_units
from tutor.questions.template import texts_of
from tutor.questions.text import Span, spans_in

AGREEMENT = 1e-9


def check_texts(evidence: Evidence) -> Iterator[Finding]:
    """Yield a finding for every span without a value, of unequal members, or with a key as its value."""
    if not evidence.draws:
        return
    values = evidence.all_values()
    for path, pieces in texts_of(evidence.template):
        for span in spans_in(pieces):
            message = (
                _valueless(evidence, values, span)
                or ("" if _is_a_step(path) else _unequal(evidence, values, span))
                or ("" if _may_show_keys(path) else _reveals(evidence, values, span))
                or ("" if _may_show_keys(path) else _shows_formula(evidence, values, span))
            )
            if message:
                yield Finding("texts", path, message)


def _is_a_step(path: str) -> bool:
    """Tell whether `check_solution` holds the members of a chain against each other."""
    return path.startswith(("solution", "hints"))


def _may_show_keys(path: str) -> bool:
    return path.startswith("solution") or ".options." in path


def _valueless(evidence: Evidence, values: dict[str, Any], span: Span) -> str:
    import numpy as np

    if not (span.valued or span.alone):
        return ""
    for member in span.members:
        if _is_word(values, member):
            continue
        missing = ~np.isfinite(array_value(member, values, evidence.draws))
        if missing.any():
            serial = int(evidence.serials[evidence.admitted][missing][0])
            return f"`{describe(member)}` has no value on {int(missing.sum())} draws (the first is serial {serial})"
    return ""


def _unequal(evidence: Evidence, values: dict[str, Any], span: Span) -> str:
    numbers = [array_value(member, values, evidence.draws) for member in span.members if len(span.members) > 1]
    for first, other in itertools.pairwise(range(len(numbers))):
        if relative_difference(numbers[first], numbers[other]).max(initial=0.0) > AGREEMENT:
            return f"`{describe(span.members[first])}` and `{describe(span.members[other])}` are not equal"
    return ""


def _reveals(evidence: Evidence, values: dict[str, Any], span: Span) -> str:
    """Return what is wrong with a span whose value is a key on every draw, or ""."""
    if not (span.valued or span.alone) or any(_is_word(values, member) for member in span.members):
        return ""
    units = all_units(evidence.template)
    dimension = dimension_of(span.members[-1], {name: unit.dimension for name, unit in units.items()})
    shown = array_value(span.members[-1], values, evidence.draws)
    for ask in evidence.template.asks:
        if ask.kind not in ("number", "preferred", "reading") or ask.unit.dimension != dimension:
            continue
        if relative_difference(shown, evidence.values(ask.name)).max(initial=0.0) <= AGREEMENT:
            return f"`{span.text}` gives the answer to {ask.name} away; let only the solution show it"
    return ""


def _shows_formula(evidence: Evidence, values: dict[str, Any], span: Span) -> str:
    """Return what is wrong with a span that writes out a formula that is asked, or ""."""
    for ask in evidence.template.asks:
        for member in span.members if ask.kind == "formula" else ():
            if isinstance(member, Name) or _is_word(values, member):
                continue
            shown = array_value(member, values, evidence.draws)
            if relative_difference(shown, evidence.values(ask.name)).max(initial=0.0) <= AGREEMENT:
                return f"`{span.text}` writes the formula of {ask.name} out; let only the solution show it"
    return ""


def _is_word(values: dict[str, Any], member: Expression) -> bool:
    return isinstance(member, Name) and member.name not in values
