"""What item analysis of a template is told: one value per first try, plain enough to be made from any record."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from tutor.learning.item_analysis.errors import ResponsesError


@dataclass(frozen=True, slots=True, kw_only=True)
class AskAnswer:
    """What became of one ask.

    Attributes:
        ask: Its name in the template.
        share: Of its marks that were earned, 0 to 1.
        wrong: The value that was given where it was wrong: a number in SI units, or the option chosen. None where the
            value was right (only its unit wrong, say) or nothing was given.
        key: The right value, in the same unit; needed to tell one wrong turn with many drawn values.
        slip: Key of the named slip, or "".
    """

    ask: str
    share: float
    wrong: float | str | None = None
    key: float | str | None = None
    slip: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TemplateAnswer:
    """The first try of one member at one question drawn from the template.

    Attributes:
        member: Who, any number.
        share: Of all marks of the question, 0 to 1.
        asks: What became of each ask.
        elsewhere: Mean share of the marks that the member earned in everything else, 0 to 1, or None when nothing else
            was answered.
        ability: θ of the member in the topic before this answer [logit], or None when not known.
        seconds: From issue to answer, or None. What is not positive (a clock was set back) is left out.
        driver: The drawn quantity that may make the question hard, such as a ratio of resistances, or None.
    """

    member: int
    share: float
    asks: tuple[AskAnswer, ...] = ()
    elsewhere: float | None = None
    ability: float | None = None
    seconds: float | None = None
    driver: float | None = None

    def __post_init__(self) -> None:
        """Refuse what is no share.

        Raises:
            ResponsesError: If a share is not a number from 0 to 1.
        """
        shares = [self.share, *(ask.share for ask in self.asks)]
        for share in [*shares, 0.0 if self.elsewhere is None else self.elsewhere]:
            if not 0 <= share <= 1:
                raise ResponsesError(share, "a share of the marks from 0 to 1")


def first_of_each(answers: Iterable[TemplateAnswer]) -> tuple[TemplateAnswer, ...]:
    """Return each member's first answer, given them in the order of time.

    What a member does at the second question of a template was taught by the first.
    """
    found: dict[int, TemplateAnswer] = {}
    for answer in answers:
        found.setdefault(answer.member, answer)
    return tuple(found.values())


def times(answers: Sequence[TemplateAnswer]) -> list[float]:
    """Return the times taken that can be true."""
    return [t for answer in answers if (t := answer.seconds) is not None and 0 < t < math.inf]
