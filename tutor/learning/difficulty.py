"""Difficulties of templates, learnt from answers: a trainer's level is the first guess, and members correct it.

Every answer moves the difficulty of its template by what the member's own needle did not expect. What members are
shown rests on *settled* difficulties, which follow the learnt ones after 5, 10, 20, 40 … answers, so that nobody's
needle trembles with the answers of others.

Source: an extended Kalman step on the Rasch likelihood, the project's own, validated by its simulation.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from tutor.learning.needle import DIFFICULTY_OF_LEVEL, GRID, GUESS, Weights, chance_right, mean_ability

LABEL_SPREAD = 0.8
FIRST_SETTLED = 5


@dataclass(frozen=True, slots=True)
class Difficulty:
    """What is believed of one template's difficulty, in logits.

    Attributes:
        value: The mean.
        variance: Its variance.
        answers: How many answers it has learnt from.
        settled: The value behind what members are shown.
    """

    value: float
    variance: float
    answers: int
    settled: float

    @classmethod
    def labelled(cls, level: int) -> Difficulty:
        """Return the difficulty that a trainer's level promises."""
        value = DIFFICULTY_OF_LEVEL[level]
        return cls(value, LABEL_SPREAD**2, 0, value)

    def answered(self, weights: Weights, share: float, *, guess: float = GUESS, power: float = 1.0) -> Difficulty:
        """Return the difficulty after an answer.

        Args:
            weights: The member's needle before the answer.
            share: Marks earned of those available, 0 to 1.
            guess: Chance of a right guess.
            power: Weight of the evidence; 0.5 after a hint.
        """
        expected = sum(w * chance_right(theta, self.value, guess) for w, theta in zip(weights, GRID, strict=True))
        spread = expected * (1 - expected)
        # What the answer tells about the template is dulled by what is not known of the member.
        told = power * spread / (1 + spread * ability_variance(weights))
        variance = 1 / (1 / self.variance + told)
        value = self.value + variance * (told / spread) * (expected - share)
        answers = self.answers + 1
        settled = value if is_settling(answers) else self.settled
        return Difficulty(value, variance, answers, settled)


def ability_variance(weights: Weights) -> float:
    """Return the variance of θ."""
    mean = mean_ability(weights)
    return sum(weight * (theta - mean) ** 2 for weight, theta in zip(weights, GRID, strict=True))


def is_settling(answers: int) -> bool:
    """Tell whether the shown difficulty follows the learnt one after so many answers.

    >>> [n for n in range(1, 100) if is_settling(n)]
    [5, 10, 20, 40, 80]
    """
    doublings, rest = divmod(answers, FIRST_SETTLED)
    return rest == 0 and doublings > 0 and doublings & (doublings - 1) == 0


Composition = tuple[tuple[str, int], ...]
"""The templates of a topic's bank with their levels, in the order of their names."""


@dataclass(frozen=True, slots=True)
class Difficulties:
    """The difficulties of the templates that credit one topic.

    Attributes:
        learnt: Template → difficulty, for templates with answers.
    """

    learnt: Mapping[str, Difficulty] = field(default_factory=lambda: MappingProxyType({}))

    def of(self, template: str, level: int) -> Difficulty:
        """Return a template's difficulty; its label where nothing is learnt yet."""
        return self.learnt.get(template) or Difficulty.labelled(level)

    def curve(self, bank: Iterable[tuple[str, int]]) -> tuple[float, ...]:
        """Return the settled difficulties of a bank; one of middle difficulty where the bank is empty."""
        return tuple(self.of(template, level).settled for template, level in bank) or (0.0,)

    def with_one(self, template: str, difficulty: Difficulty) -> Difficulties:
        """Return the difficulties with one replaced."""
        return replace(self, learnt=MappingProxyType({**self.learnt, template: difficulty}))
