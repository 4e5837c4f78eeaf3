"""One run of practice in random order: how well are answers foretold, and the true scores covered by the bands?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from tutor.learning.simulation.arrays import Flags, Floats
from tutor.learning.simulation.baselines import baselines
from tutor.learning.simulation.measures import area, calibration_error, correlation, root_mean_square
from tutor.learning.simulation.members import TEMPLATES, TOPICS, Members
from tutor.learning.simulation.needles import Needles
from tutor.learning.simulation.worlds import World

MEMBERS, SESSIONS, PER_SESSION = 60, 12, 12
NEEDLE, TRUTH = "needle", "truth"


@dataclass(frozen=True, slots=True, kw_only=True)
class Foretold:
    """How well one run was foretold.

    Attributes:
        areas: Predictor → area under its curve; the needle and the truth itself among them.
        errors: Predictor → calibration error.
        covered: Share of the 80 % bands that held the true score of the topic's bank.
        score_error: Root mean square of shown less true score.
        difficulty: Correlation of learnt with true difficulties.
        label: Correlation of the trainer's labels with them.
    """

    areas: Mapping[str, float]
    errors: Mapping[str, float]
    covered: float
    score_error: float
    difficulty: float
    label: float

    @property
    def best_baseline(self) -> float:
        """Area of the best of the simple predictions."""
        return max(area for name, area in self.areas.items() if name not in (NEEDLE, TRUTH))


@dataclass(slots=True)
class _Notes:
    shares: list[Floats] = field(default_factory=list)
    predicted: dict[str, list[Floats]] = field(default_factory=dict)
    covered: list[Flags] = field(default_factory=list)
    off: list[Floats] = field(default_factory=list)

    def predict(self, name: str, values: Floats) -> None:
        self.predicted.setdefault(name, []).append(values)


def foretell(
    world: World, seed: int, *, members: int = MEMBERS, sessions: int = SESSIONS, templates: int = TEMPLATES
) -> Foretold:
    """Let members practise once a week in random order, and foretell each answer.

    What is foretold is the share of marks without help. In the world of hints that share is known to the simulation
    alone; predictors look at what was earned, and the needle is told of the hint.

    Args:
        world: What is true.
        seed: Fixes chance.
        members: How many members.
        sessions: How many weeks, with 12 questions each.
        templates: How many templates in each of the 8 topics.
    """
    club = Members(world, members, seed, templates=templates)
    labels = Needles(1, club.stock.level).difficulty
    needles, simple = Needles(members, club.stock.level), baselines(members, labels)
    chance, notes, who = np.random.default_rng([seed, 3]), _Notes(), np.arange(members)
    for session in range(sessions):
        day = 7 * session
        for _ in range(PER_SESSION):
            t, j = chance.integers(0, TOPICS, members), chance.integers(0, templates, members)
            for name, baseline in simple.items():
                notes.predict(name, baseline.predict(t, j))
            notes.predict(NEEDLE, needles.predicted(t, j, day))
            notes.predict(TRUTH, club.chance(t, j, day))
            low, high = needles.bands(day)
            true = club.score(day)[who, t]
            notes.covered.append((true >= low[who, t] - 1e-9) & (true <= high[who, t] + 1e-9))
            notes.off.append(needles.scores(day)[who, t] - true)
            given = club.answer(t, j, day)
            notes.shares.append(given.unaided)
            for baseline in simple.values():
                baseline.look(t, j, given.share)
            needles.answer(t, j, given.share, given.hinted, day)
    return _judged(notes, club, needles, labels)


def _judged(notes: _Notes, club: Members, needles: Needles, labels: Floats) -> Foretold:
    shares = np.concatenate(notes.shares)
    predicted = {name: np.concatenate(values) for name, values in notes.predicted.items()}
    return Foretold(
        areas={name: area(shares, values) for name, values in predicted.items()},
        errors={name: calibration_error(shares, values) for name, values in predicted.items()},
        covered=float(np.concatenate(notes.covered).mean()),
        score_error=root_mean_square(np.concatenate(notes.off)),
        difficulty=correlation(club.stock.difficulty, needles.difficulty),
        label=correlation(club.stock.difficulty, labels),
    )
