"""Flags: what the figures of a template or a test say in words, each one sentence that says what to look at.

Every rule takes plain numbers, returns a flag or None, and stays silent where a figure is None. The thresholds are the
constants below: textbook rules of thumb, from memory, unless marked as ours.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from statistics import NormalDist

from tutor.learning.item_analysis.classical import ENOUGH, Facility
from tutor.learning.item_analysis.drawn_values import Quartile
from tutor.learning.item_analysis.reliability import times_as_long
from tutor.learning.item_analysis.wrong_answers import Common

HARD, EASY = 0.20, 0.95
"""Facilities outside of which a question is flagged; .3 to .9 is the aim for practice."""

GOOD_REST, WEAK_REST = 0.30, 0.15
"""Item-rest correlation: good from .30, weak from .15, poor below; below 0 the key is suspected."""

POOR_GAP = 0.20
"""D of upper and lower 27 % below which a question is to be revised (R. L. Ebel)."""

RELIABLE = 0.70
"""Reliability from which decisions on groups may rest on a test."""

MOST = 0.5
"""Share of the wrong answers beyond which they are most of them (ours)."""

FEWEST_WRONG = 5
"""Wrong answers below which nothing is said of what they have in common (ours)."""

DOUBT = 0.80
"""A correlation below nought by less than the 80 % band of chance may be chance (ours)."""


class About(StrEnum):
    """What a flag is about."""

    TOO_FEW = "too few"
    TOO_EASY = "too easy"
    TOO_HARD = "too hard"
    KEY = "key"
    WEAK = "weak"
    ONE_VALUE = "one value"
    ONE_SLIP = "one slip"
    DRAWN_VALUES = "drawn values"
    UNRELIABLE = "unreliable"


@dataclass(frozen=True, slots=True)
class Flag:
    """Something to look at.

    Attributes:
        about: What it is about.
        says: One sentence.
        ask: The ask that it is about, or "" for all.
    """

    about: About
    says: str
    ask: str = ""


def too_few(learners: int) -> Flag | None:
    """Flag figures that are still mostly chance."""
    return Flag(About.TOO_FEW, "Too few answers yet.") if learners < ENOUGH else None


def too_few_whole(members: int, complete: int) -> Flag | None:
    """Flag a test whose reliability cannot be told yet, because few answered or because papers differed."""
    if complete < ENOUGH <= members:
        return Flag(About.TOO_FEW, "Too few members had the same questions: nothing can be said of the total yet.")
    return too_few(complete)


def of_facility(facility: Facility | None) -> Flag | None:
    """Flag a question that nearly all or nearly none get right, once enough answered."""
    if facility is None or facility.answered < ENOUGH:
        return None
    if facility.value >= 1:
        return Flag(About.TOO_EASY, "Everybody gets it right: it no longer tells anything.")
    if facility.value > EASY:
        return Flag(About.TOO_EASY, "Nearly everybody gets it right: it tells little any more.")
    if facility.value <= 0:
        return Flag(About.TOO_HARD, "Nobody gets it right: look at the key first.")
    if facility.value < HARD:
        return Flag(About.TOO_HARD, "Few get it right: look at the key, then at what was taught before it.")
    return None


def of_discrimination(rest: float | None, gap: float | None, learners: int) -> Flag | None:
    """Flag a question that does not go with the rest.

    Args:
        rest: Item-rest correlation.
        gap: D of the upper and lower 27 %.
        learners: How many the correlation rests on.
    """
    if rest is None or learners < ENOUGH:
        return None
    by_chance = NormalDist().inv_cdf((1 + DOUBT) / 2) / math.sqrt(learners - 1)
    if rest < -by_chance:
        return Flag(About.KEY, "Those who do well in the rest get this one wrong: look at the key.")
    if rest < 0:
        return Flag(About.KEY, "Those who do well in the rest do no better here: look at the key and the wording.")
    if rest < WEAK_REST or (gap is not None and gap < POOR_GAP and rest < GOOD_REST):
        return Flag(About.WEAK, "It hardly tells who does well in the rest: look at the wording.")
    return None


def word_for_rest(rest: float) -> str:
    """Return one word for an item-rest correlation."""
    if rest >= GOOD_REST:
        return "good"
    if rest >= WEAK_REST:
        return "weak"
    return "poor" if rest >= 0 else "reversed"


def of_wrong_answers(wrong: int, common: Common | None, slips: Sequence[tuple[str, int]]) -> Flag | None:
    """Flag wrong answers that are mostly one.

    One value is told before one slip: a key that is twice too large makes every right answer look like a named slip.

    Args:
        wrong: How many wrong answers to the ask.
        common: The commonest wrong value.
        slips: (slip, how many), the most frequent first.
    """
    if wrong < FEWEST_WRONG:
        return None
    if common is not None and common.count > MOST * wrong:
        return Flag(About.ONE_VALUE, "Most wrong answers are one value: the key or the wording may be at fault.")
    if slips and slips[0][1] > MOST * wrong:
        name = slips[0][0].replace("-", " ")
        return Flag(About.ONE_SLIP, f"Most wrong answers are one slip ({name}): the wording may invite it.")
    return None


def of_drawn_values(quartiles: Sequence[Quartile]) -> Flag | None:
    """Flag a template whose drawn numbers decide how hard it is: the intervals of some two quarters do not meet.

    Each quarter must hold a quarter of `ENOUGH` answers at least.
    """
    told = [quartile.facility for quartile in quartiles if 4 * quartile.facility.answered >= ENOUGH]
    if told and max(one.low for one in told) > min(one.high for one in told):
        return Flag(About.DRAWN_VALUES, "The drawn numbers decide how hard it is: look at how they are drawn.")
    return None


def of_reliability(alpha: float | None, items: int) -> Flag | None:
    """Flag a test whose totals would come out in another order with other questions."""
    if alpha is None or alpha >= RELIABLE:
        return None
    times = times_as_long(alpha, RELIABLE)
    if times is None:
        return Flag(About.UNRELIABLE, "The questions do not go together: do not read their total as one ability.")
    needed = math.ceil(times * items - 1e-9)
    if needed > 100:
        return Flag(About.UNRELIABLE, "The total tells little about anybody: look at the questions flagged as weak.")
    return Flag(
        About.UNRELIABLE, f"The total is rough: about {needed} questions like these would be needed, not {items}."
    )
