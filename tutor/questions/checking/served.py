"""What members will get: questions drawn one by one, and the options of choices."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from tutor.questions.arrays import array_value
from tutor.questions.checking.bands import telling_draws
from tutor.questions.checking.findings import Evidence, Finding, finding
from tutor.questions.draw import draw
from tutor.questions.errors import QuestionError
from tutor.questions.template import Ask

QUESTIONS = 12
"""Questions that are drawn one by one, spread over the serials."""
AGREEMENT = 1e-9


def check_served(evidence: Evidence) -> Iterator[Finding]:
    """Yield a finding for the first question that cannot be drawn, or is another one than was checked."""
    import numpy as np

    places = np.flatnonzero(evidence.admitted)
    for place in places[:: max(1, len(places) // QUESTIONS)][:QUESTIONS]:
        serial = int(evidence.serials[place])
        try:
            question = draw(evidence.compiled, serial)
        except QuestionError as error:
            yield finding("draws", (), str(error))
            return
        for name, value in question.values.items():
            checked = float(evidence.batch.values[name][place])
            if abs(value - checked) > AGREEMENT * max(abs(value), abs(checked)):
                message = f"serial {serial} gives {value:.12g} when drawn alone and {checked:.12g} among many"
                yield finding("draws", ("values", name), message)
                return


def check_choices(evidence: Evidence) -> Iterator[Finding]:
    """Yield a finding for every choice without exactly one right option, or with nothing to choose from."""
    for ask in evidence.template.asks:
        if ask.kind != "choice" or not evidence.draws:
            continue
        right, offered = _options(evidence, ask)
        path = ("ask", ask.name)
        faulty = right != 1
        if faulty.any():
            serial = int(evidence.serials[evidence.admitted][faulty][0])
            message = (
                f"{int(right[faulty][0])} options are right on {int(faulty.sum())} of {evidence.draws} draws "
                f"(the first is serial {serial}); exactly one must be"
            )
            yield finding("choices", (*path, "options"), message)
        few = offered < 2
        if few.any():
            message = f"on {int(few.sum())} of {evidence.draws} draws no slip can be told from the key; add slips"
            yield finding("choices", (*path, "slips"), message)


def _options(evidence: Evidence, ask: Ask) -> tuple[Any, Any]:
    """Return how many options are right and how many there are, on each draw; shapes (draws,)."""
    import numpy as np

    if ask.options:
        right = sum(array_value(option.right, evidence.all_values(), evidence.draws) for option in ask.options)
        return right, np.full(evidence.draws, len(ask.options))
    telling = sum((told.astype(int) for told in telling_draws(evidence, ask).values()), np.zeros(evidence.draws))
    return np.ones(evidence.draws), 1 + telling
