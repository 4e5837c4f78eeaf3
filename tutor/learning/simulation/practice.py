"""One run of practice under a schedule: how many answers until topics are truly held, and is *secure* true?"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tutor.learning.simulation.arrays import Floats
from tutor.learning.simulation.measures import lower_median
from tutor.learning.simulation.members import TEMPLATES, TOPICS, Members
from tutor.learning.simulation.needles import NEVER, Needles
from tutor.learning.simulation.schedules import Diary, Schedule
from tutor.learning.simulation.worlds import World

MEMBERS, SESSIONS, PER_SESSION = 100, 60, 12
HELD = 0.80
"""True score on a topic's bank from which it counts as held."""
FALSE = 0.70
"""True score below which *secure* was plainly wrong."""
LOOK_AT, IDLE_WEEKS = 12, 4
"""After so many sessions the members' scores are looked at, as they would be after so many weeks without practice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Practised:
    """What came of one run.

    Attributes:
        half: Median answers until half of a member's topics had been held at some time; infinite where most never came
            there.
        everything: Median answers until all topics were held at once.
        finished: Share of the members who held all topics at once at some time.
        secured: How often a topic was declared secure, per member.
        false: Share of those declarations at which the true score was below 0.70.
        true_at_secure: Mean true score at those declarations.
        success: Mean expected share of marks on what was asked, up to the look.
        kept: Mean true score over all topics after four idle weeks.
        kept_topics: Share of topics held after four idle weeks.
    """

    half: float
    everything: float
    finished: float
    secured: float
    false: float
    true_at_secure: float
    success: float
    kept: float
    kept_topics: float


def practise(
    world: World,
    schedule: Schedule,
    seed: int,
    *,
    members: int = MEMBERS,
    sessions: int = SESSIONS,
    templates: int = TEMPLATES,
) -> Practised:
    """Let members practise once a week under a schedule.

    Args:
        world: What is true.
        schedule: What is asked next.
        seed: Fixes chance; the members of one seed are the same under every schedule.
        members: How many members.
        sessions: How many weeks, with 12 questions each.
        templates: How many templates in each of the 8 topics.
    """
    club = Members(world, members, seed, templates=templates)
    needles = Needles(members, club.stock.level)
    diary = Diary((members, TOPICS, templates))
    chance = np.random.default_rng([seed, 4])
    reached, finished = np.full((members, TOPICS), np.inf), np.full(members, np.inf)
    declared = np.full((members, TOPICS), np.nan)
    success: list[float] = []
    kept: Floats = np.zeros((members, TOPICS))
    for session in range(sessions):
        day = 7 * session
        for _ in range(PER_SESSION):
            t, j = schedule.choose(needles, diary, day, chance)
            success.append(float(club.chance(t, j, day).mean()))
            diary.enter(t, j, day)
            given = club.answer(t, j, day)
            needles.answer(t, j, given.share, given.hinted, day)
            score = club.score(day)
            held = score >= HELD
            reached = np.where(held & np.isinf(reached), diary.asked, reached)
            finished = np.where(held.all(1) & np.isinf(finished), diary.asked, finished)
            declared = np.where((needles.secured != NEVER) & np.isnan(declared), score, declared)
        if session == LOOK_AT - 1:
            kept = club.score(day + 7 * (1 + IDLE_WEEKS))
    said = declared[~np.isnan(declared)]
    return Practised(
        half=lower_median(np.sort(reached, axis=1)[:, TOPICS // 2 - 1]),
        everything=lower_median(finished),
        finished=float(np.isfinite(finished).mean()),
        secured=len(said) / members,
        false=float((said < FALSE).mean()) if len(said) else 0.0,
        true_at_secure=float(said.mean()) if len(said) else 1.0,
        success=float(np.mean(success[: LOOK_AT * PER_SESSION])),
        kept=float(kept.mean()),
        kept_topics=float((kept >= HELD).mean()),
    )
