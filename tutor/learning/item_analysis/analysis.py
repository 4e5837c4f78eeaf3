"""The two reports of item analysis: of one template, and of a whole test."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from statistics import median

from tutor.learning.item_analysis import flags
from tutor.learning.item_analysis.answers import AskAnswer, TemplateAnswer, first_of_each, times
from tutor.learning.item_analysis.classical import ENOUGH, Facility, ItemFigures, describe_items, facility, upper_lower
from tutor.learning.item_analysis.drawn_values import Quartile, facility_by_quartile
from tutor.learning.item_analysis.errors import ResponsesError
from tutor.learning.item_analysis.flags import Flag
from tutor.learning.item_analysis.rasch import RaschFit, conditional, difficulty_from_abilities
from tutor.learning.item_analysis.reliability import (
    ReliabilityFigures,
    describe_reliability,
    half_band,
    score_band,
)
from tutor.learning.item_analysis.responses import Matrix, in_full_or_wrong
from tutor.learning.item_analysis.spread import correlation
from tutor.learning.item_analysis.wrong_answers import Common, commonest_wrong, is_wrong, slip_shares

MOST_QUESTIONS = 100
"""Questions beyond which a test gets no Rasch difficulties: the time grows with their cube."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Difficulty:
    """A Rasch difficulty.

    Attributes:
        value: b [logit].
        error: Its standard error [logit].
    """

    value: float
    error: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportOnAsk:
    """What the answers say about one ask of a template.

    Attributes:
        ask: Its name.
        facility: Of its marks.
        slips: (slip, share of all answers), the most frequent first.
        wrong: How many gave a wrong value.
        commonest: What most of these gave, or None.
    """

    ask: str
    facility: Facility | None
    slips: tuple[tuple[str, float], ...]
    wrong: int
    commonest: Common | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportOnTemplate:
    """What the answers say about a template.

    Attributes:
        learners: Members who answered; the first answer of each counts.
        answers: All answers, later ones by the same member included.
        facility: With its interval; None when nobody answered.
        item_rest: Correlation with what the members earn elsewhere; None with too few.
        upper_lower: D of the upper and lower 27 % by what they earn elsewhere; None with too few.
        difficulty: By the Rasch model, abilities taken as known; None with too few.
        median_seconds: Time taken; None when no time is known.
        asks: One report for each ask, in their order.
        quartiles: Facility by quarter of the driver, over all answers; () when there is no driver.
        flags: What to look at.
    """

    learners: int
    answers: int
    facility: Facility | None
    item_rest: float | None
    upper_lower: float | None
    difficulty: Difficulty | None
    median_seconds: float | None
    asks: tuple[ReportOnAsk, ...]
    quartiles: tuple[Quartile, ...]
    flags: tuple[Flag, ...]


def analyse_template(answers: Sequence[TemplateAnswer]) -> ReportOnTemplate:
    """Report on one template.

    Args:
        answers: First tries at questions drawn from it, in the order of time.
    """
    firsts = first_of_each(answers)
    placed = [(a.share, a.elsewhere) for a in firsts if a.elsewhere is not None]
    shares, elsewhere = [share for share, _ in placed], [rest for _, rest in placed]
    enough = len(placed) >= ENOUGH
    rest = correlation(shares, elsewhere) if enough else None
    gap = upper_lower(shares, elsewhere) if enough else None
    whole = facility([answer.share for answer in firsts])
    asks = _asks(firsts)
    quartiles = facility_by_quartile([a.driver for a in answers], [a.share for a in answers])
    seconds = times(firsts)
    few = flags.too_few(len(firsts))
    found = [
        few,
        flags.of_facility(whole),
        flags.of_discrimination(rest, gap, len(placed)),
        # A wrong key need not wait for twenty members: five wrong answers that are one say enough.
        *(_ask_flag(ask, given) for ask, given in asks),
        None if few else flags.of_drawn_values(quartiles),
    ]
    return ReportOnTemplate(
        learners=len(firsts),
        answers=len(answers),
        facility=whole,
        item_rest=rest,
        upper_lower=gap,
        difficulty=_difficulty(firsts),
        median_seconds=median(seconds) if seconds else None,
        asks=tuple(ask for ask, _ in asks),
        quartiles=quartiles,
        flags=tuple(flag for flag in found if flag is not None),
    )


def _difficulty(answers: Sequence[TemplateAnswer]) -> Difficulty | None:
    known = [(a.share, a.ability) for a in answers if a.ability is not None and math.isfinite(a.ability)]
    if len(known) < ENOUGH:
        return None
    found = difficulty_from_abilities([share for share, _ in known], [ability for _, ability in known])
    return None if found is None else Difficulty(value=found[0], error=found[1])


def _asks(answers: Sequence[TemplateAnswer]) -> list[tuple[ReportOnAsk, list[AskAnswer]]]:
    by_name: dict[str, list[AskAnswer]] = {}
    for answer in answers:
        for ask in answer.asks:
            by_name.setdefault(ask.ask, []).append(ask)
    return [(_ask(name, given), given) for name, given in by_name.items()]


def _ask(name: str, given: Sequence[AskAnswer]) -> ReportOnAsk:
    return ReportOnAsk(
        ask=name,
        facility=facility([answer.share for answer in given]),
        slips=slip_shares(given),
        wrong=sum(map(is_wrong, given)),
        commonest=commonest_wrong(given),
    )


def _ask_flag(ask: ReportOnAsk, given: Sequence[AskAnswer]) -> Flag | None:
    slips = Counter(answer.slip for answer in given if answer.slip).most_common()
    flag = flags.of_wrong_answers(ask.wrong, ask.commonest, slips)
    return None if flag is None else replace(flag, ask=ask.ask)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportOnItem:
    """What the answers say about one question of a test.

    Attributes:
        name: Of the question.
        figures: Facility and discrimination.
        alpha_if_deleted: Alpha of the test without it; None with too few.
        difficulty: By the Rasch model, sum zero over the test; right means all marks. None with too few.
        flags: What to look at.
    """

    name: str
    figures: ItemFigures
    alpha_if_deleted: float | None
    difficulty: Difficulty | None
    flags: tuple[Flag, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportOnTest:
    """What the answers say about a whole test.

    Attributes:
        items: One report for each question.
        figures: Reliability, with the standard error of measurement in questions.
        half_band: Half of the 80 % band about a member's total, in questions; None with too few.
        median_seconds: Time taken for the paper; None when no time is known.
        flags: What to look at in the test as a whole.
    """

    items: tuple[ReportOnItem, ...]
    figures: ReliabilityFigures
    half_band: float | None
    median_seconds: float | None
    flags: tuple[Flag, ...]

    def band(self, total: float) -> tuple[float, float] | None:
        """Return the 80 % band about a total, cut at nought and at the number of questions."""
        error = self.figures.error
        return None if error is None else score_band(total, error, self.figures.items)


def analyse_test(
    answers: Matrix, names: Sequence[str] | None = None, seconds: Sequence[float | None] = ()
) -> ReportOnTest:
    """Report on a whole test.

    Args:
        answers: Members × questions: shares of the marks, None where a question was not in the member's paper.
        names: Of the questions; their numbers from 1 when not given.
        seconds: Time taken by each member, None where not known.
    Raises:
        ResponsesError: If the answers are not a matrix of shares, or the names are not one per question.
    """
    described, figures = describe_items(answers), describe_reliability(answers)
    if names is None:
        names = [str(place) for place in range(1, len(described) + 1)]
    if described and len(names) != len(described):
        raise ResponsesError(f"{len(names)} names", f"{len(described)}, one per question")
    fit = conditional(in_full_or_wrong(answers)) if len(described) <= MOST_QUESTIONS else None
    items = [
        ReportOnItem(
            name=name,
            figures=item,
            alpha_if_deleted=figures.alpha_if_deleted[place],
            difficulty=_difficulty_in(fit, place),
            flags=_item_flags(item, figures.members),
        )
        for place, (name, item) in enumerate(zip(names, described, strict=False))
    ]
    taken = [t for t in seconds if t is not None and 0 < t < math.inf]
    found = [flags.too_few_whole(figures.members, figures.complete), flags.of_reliability(figures.alpha, figures.items)]
    return ReportOnTest(
        items=tuple(items),
        figures=figures,
        half_band=None if figures.error is None else half_band(figures.error),
        median_seconds=median(taken) if taken else None,
        flags=tuple(flag for flag in found if flag is not None),
    )


def _difficulty_in(fit: RaschFit | None, place: int) -> Difficulty | None:
    if fit is None or fit.members < ENOUGH:
        return None
    value, error = fit.difficulties[place], fit.errors[place]
    return None if value is None or error is None else Difficulty(value=value, error=error)


def _item_flags(item: ItemFigures, members: int) -> tuple[Flag, ...]:
    """Return the flags of one question; that too few sat the test at all is said once, of the whole test."""
    if item.facility is None or item.too_few:
        few = flags.too_few(item.facility.answered if item.facility else 0)
        return () if few is None or members < ENOUGH else (few,)
    found = [
        flags.of_facility(item.facility),
        flags.of_discrimination(item.item_rest, item.upper_lower, item.facility.answered),
    ]
    return tuple(flag for flag in found if flag is not None)
