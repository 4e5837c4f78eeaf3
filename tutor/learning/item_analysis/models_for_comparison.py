"""Simpler models of a learner, to compare the needle with: what a simulation needs, and no more.

None of them moves a member's standing; `tutor.learning.needle` does.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from statistics import NormalDist

from tutor.learning.item_analysis.numerics import logistic

BEST_ERROR_RATE = NormalDist().cdf(-1)
"""Share of errors at which a learner of yes-or-no decisions learns fastest, Φ(−1).

Source: R. C. Wilson et al., Nature Communications 10 (2019) 4646. Not shown for problems of several steps.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class KnowledgeTracing:
    """Two states, known and not known.

    Attributes:
        known: Chance that it is known before the first answer.
        learn: Chance that it becomes known after an answer.
        slip: Chance of a wrong answer though it is known.
        guess: Chance of a right answer though it is not known.

    Source:
        A. T. Corbett and J. R. Anderson, User Modeling and User-Adapted Interaction 4 (1995) 253-278 (from memory).
    """

    known: float
    learn: float
    slip: float
    guess: float

    def chance_right(self, known: float) -> float:
        """Return the chance of a right answer at a chance of knowing."""
        return known * (1 - self.slip) + (1 - known) * self.guess

    def after(self, known: float, *, right: bool) -> float:
        """Return the chance of knowing after an answer; an answer that the model rules out tells it nothing."""
        by_knowing = known * ((1 - self.slip) if right else self.slip)
        by_not = (1 - known) * (self.guess if right else 1 - self.guess)
        total = by_knowing + by_not
        believed = by_knowing / total if total > 0 else known
        return believed + (1 - believed) * self.learn

    def trace(self, answers: Iterable[bool]) -> tuple[float, ...]:
        """Return the chance of knowing after each answer."""
        known, found = self.known, []
        for right in answers:
            known = self.after(known, right=right)
            found.append(known)
        return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True)
class PerformanceFactors:
    """A logistic curve of successes and failures so far.

    Attributes:
        base: β, before any answer [logit].
        success: γ, for each right answer [logit].
        failure: ρ, for each wrong answer [logit].

    Source:
        P. I. Pavlik, H. Cen and K. R. Koedinger 2009 (from memory).
    """

    base: float
    success: float
    failure: float

    def chance_right(self, successes: int, failures: int) -> float:
        """Return the chance that the next answer is right."""
        return logistic(self.base + self.success * successes + self.failure * failures)


@dataclass(frozen=True, slots=True, kw_only=True)
class Elo:
    """A rating of members and of templates, moved after every answer by less and less.

    Attributes:
        first: a, the step at the first answer [logit].
        fading: b, how fast steps fade: K(n) = a/(1 + b·n).

    Source:
        R. Pelánek, Computers and Education 98 (2016) 169-179 (from memory, constants included).
    """

    first: float = 1.0
    fading: float = 0.05

    def step(self, answers: int) -> float:
        """Return K after so many answers [logit]."""
        return self.first / (1 + self.fading * answers)

    def chance_right(self, ability: float, difficulty: float) -> float:
        """Return the chance of a right answer."""
        return logistic(ability - difficulty)

    def after(
        self, ability: float, difficulty: float, share: float, *, by_member: int, of_template: int
    ) -> tuple[float, float]:
        """Return ability and difficulty after an answer.

        Args:
            ability: θ before [logit].
            difficulty: b before [logit].
            share: Of the marks, 0 to 1.
            by_member: Answers that the member gave before.
            of_template: Answers that the template got before.
        """
        surprise = share - self.chance_right(ability, difficulty)
        return ability + self.step(by_member) * surprise, difficulty - self.step(of_template) * surprise


def savings(minutes: float) -> float:
    """Return how much of the work is saved when nonsense syllables are learnt again, in per cent.

    Args:
        minutes: Since they were learnt; within the first minute nothing is lost yet.
    Source:
        H. Ebbinghaus, Memory (1885, English 1913), chapter VII: b = 100k/((log t)^c + k), k = 1.84, c = 1.25 (k from
        memory; the printed column follows from no other value).
    """
    k, c = 1.84, 1.25
    return 100 * k / (math.pow(math.log10(max(minutes, 1.0)), c) + k)
