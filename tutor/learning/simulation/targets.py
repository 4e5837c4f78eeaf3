"""What is asked of the figures, and whether they answer it. Every target is on the mean over the seeds."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from tutor.learning.simulation.arrays import Floats
from tutor.learning.simulation.practice import Practised
from tutor.learning.simulation.prediction import NEEDLE, TRUTH, Foretold
from tutor.learning.simulation.worlds import BLURRED, MATCHED, Gain

RANDOM, NEAREST, WEAKEST, BLOCKED = "random", "nearest to secure", "weakest first", "blocked"

Predictions = Mapping[str, Sequence[Foretold]]
"""World → its runs, one for each seed."""
Practices = Mapping[tuple[Gain, str], Sequence[Practised]]
"""Gain and schedule → its runs, the same seeds in the same order for every schedule."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """One target, and what was found.

    Attributes:
        what: What was measured.
        found: The figure, a mean over the seeds.
        least, most: Bounds that it must keep; None where there is none.
        note: What to know.
    """

    what: str
    found: float
    least: float | None = None
    most: float | None = None
    note: str = ""

    @property
    def met(self) -> bool:
        """Whether the figure keeps its bounds; what could not be measured does not."""
        if not np.isfinite(self.found):
            return False
        return (self.least is None or self.found >= self.least) and (self.most is None or self.found <= self.most)


def mean(runs: Sequence[Foretold], figure: Callable[[Foretold], float]) -> float:
    """Return the mean of a figure over runs."""
    return float(np.mean([figure(run) for run in runs]))


def prediction_verdicts(runs: Predictions) -> Iterator[Verdict]:
    """Yield the targets of prediction, world by world."""
    for world, found in runs.items():
        close = world in (MATCHED.name, BLURRED.name)
        matched = world == MATCHED.name
        margin = mean(found, lambda run: run.areas[NEEDLE] - run.best_baseline)
        yield Verdict(f"{world}: area above the best simple prediction", margin, least=0.015 if close else 0.005)
        short = mean(found, lambda run: run.areas[NEEDLE] - run.areas[TRUTH])
        yield Verdict(f"{world}: area less that of the truth itself", short, least=-0.07)
        error = mean(found, lambda run: run.errors[NEEDLE])
        yield Verdict(f"{world}: calibration error", error, most=0.035 if matched else 0.075)
        covered = mean(found, lambda run: run.covered)
        bounds = (0.75, 0.90) if matched else (0.65, 0.93)
        yield Verdict(f"{world}: true score within the 80 % band", covered, *bounds)
        yield Verdict(
            f"{world}: error of the shown score",
            mean(found, lambda run: run.score_error),
            most=0.13 if matched else 0.16,
        )
        yield Verdict(f"{world}: correlation of difficulties", mean(found, lambda run: run.difficulty), least=0.93)


def practice_verdicts(runs: Practices) -> Iterator[Verdict]:
    """Yield the targets of practice, for each rule of what teaches."""
    for gain in Gain:
        own = {schedule: found for (when, schedule), found in runs.items() if when is gain}
        if not own:
            continue
        half, note = ratio(own[NEAREST], own[RANDOM], lambda run: run.half)
        yield Verdict(f"{gain}: {NEAREST}, answers to half of the topics, of random order", half, most=0.90, note=note)
        whole, note = ratio(own[WEAKEST], own[RANDOM], lambda run: run.everything)
        yield Verdict(f"{gain}: {WEAKEST}, answers to all topics, of random order", whole, most=0.95, note=note)
        for schedule in (NEAREST, WEAKEST):
            found = own[schedule]
            yield Verdict(f"{gain}: {schedule}, secure but truly below 0.70", average(found, _false), most=0.08)
            yield Verdict(f"{gain}: {schedule}, true score when secure", average(found, _true), least=0.78)
            yield Verdict(f"{gain}: {schedule}, success on what is asked", average(found, _success), 0.65, 0.80)


def ratio(
    ours: Sequence[Practised], theirs: Sequence[Practised], figure: Callable[[Practised], float]
) -> tuple[float, str]:
    """Return the mean ratio over the seeds, and a note on seeds in which one of the medians was never reached.

    A seed in which most members never got there in random order says nothing and is left out; one in which they never
    got there under our schedule makes the ratio infinite.
    """
    pairs = [(figure(one), figure(other)) for one, other in zip(ours, theirs, strict=True)]
    usable: Floats = np.array([one / other for one, other in pairs if np.isfinite(other)])
    left_out = len(pairs) - len(usable)
    note = f"{left_out} of {len(pairs)} seeds left out: most never got there in random order" if left_out else ""
    return (float(usable.mean()) if len(usable) else float("nan")), note


def average(runs: Sequence[Practised], figure: Callable[[Practised], float]) -> float:
    """Return the mean of a figure over runs."""
    return float(np.mean([figure(run) for run in runs]))


def _false(run: Practised) -> float:
    return run.false


def _true(run: Practised) -> float:
    return run.true_at_secure


def _success(run: Practised) -> float:
    return run.success
