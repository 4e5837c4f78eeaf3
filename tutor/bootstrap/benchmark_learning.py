"""`quiescent benchmark --learning`: made-up members practise under the learner model, and its targets are checked.

Two tables: how well answers are foretold in worlds that the model does not know of, and how many answers each order of
practice takes until topics are truly held. Runs go to several processes; the figures do not depend on how many.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from typing import TypeVar

from tutor.learning.simulation.practice import Practised, practise
from tutor.learning.simulation.prediction import NEEDLE, TRUTH, Foretold, foretell
from tutor.learning.simulation.schedules import Blocked, Chosen, RandomOrder, Schedule
from tutor.learning.simulation.targets import (
    BLOCKED,
    NEAREST,
    RANDOM,
    WEAKEST,
    Practices,
    Predictions,
    Verdict,
    average,
    mean,
    practice_verdicts,
    prediction_verdicts,
    ratio,
)
from tutor.learning.simulation.worlds import MATCHED, WORLDS, Gain
from tutor.learning.what_next import Order

FIRST_SEED = 11
"""Seeds from 11 on report; constants were chosen on seeds below it."""
SCHEDULES: dict[str, Schedule] = {
    RANDOM: RandomOrder(),
    NEAREST: Chosen(Order.NEAREST),
    WEAKEST: Chosen(Order.WEAKEST),
    BLOCKED: Blocked(),
}

_Run = TypeVar("_Run")


def run_predictions(seeds: Sequence[int], said: Callable[[str], None]) -> dict[str, list[Foretold]]:
    """Return the runs of prediction: world → one for each seed."""
    jobs = [(world, seed) for world in WORLDS for seed in seeds]
    runs = _spread(foretell, jobs, said)
    return {world.name: [run for (of, _), run in zip(jobs, runs, strict=True) if of is world] for world in WORLDS}


def run_practices(seeds: Sequence[int], said: Callable[[str], None]) -> dict[tuple[Gain, str], list[Practised]]:
    """Return the runs of practice: gain and schedule → one for each seed."""
    keys = [(gain, schedule) for gain in Gain for schedule in SCHEDULES]
    jobs = [(MATCHED.with_gain(gain), SCHEDULES[schedule], seed) for gain, schedule in keys for seed in seeds]
    runs = _spread(practise, jobs, said)
    return {key: runs[place * len(seeds) : (place + 1) * len(seeds)] for place, key in enumerate(keys)}


def _spread(
    function: Callable[..., _Run], jobs: Sequence[tuple[object, ...]], said: Callable[[str], None]
) -> list[_Run]:
    """Run the jobs in as many processes as there are cores, in order."""
    # Small matrices gain nothing from threads of their own; the processes are what keeps the cores busy.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    found = []
    with ProcessPoolExecutor(max_workers=os.cpu_count(), mp_context=get_context("spawn")) as pool:
        for number, run in enumerate(pool.map(function, *zip(*jobs, strict=True)), start=1):
            found.append(run)
            said(f"{function.__name__}: {number} of {len(jobs)}")
    return found


def prediction_table(runs: Predictions) -> Iterator[str]:
    """Yield the lines of the table of prediction."""
    first = next(iter(runs.values()))[0]
    simple = [name for name in first.areas if name not in (NEEDLE, TRUTH)]
    heads = [*simple, NEEDLE, TRUTH]
    yield (
        f"{'area under the curve':<20}"
        + "".join(f"{head:>20}" for head in heads)
        + "   calibr.  covered  score ±  r(b)"
    )
    for world, found in runs.items():
        areas = "".join(f"{mean(found, lambda run, head=head: run.areas[head]):>20.3f}" for head in heads)  # type: ignore[misc]
        figures = (
            f"{mean(found, lambda run: run.errors[NEEDLE]):>10.3f}{mean(found, lambda run: run.covered):>9.2f}"
            f"{mean(found, lambda run: run.score_error):>9.3f}{mean(found, lambda run: run.difficulty):>6.2f}"
        )
        yield f"{world:<20}{areas}{figures}"


def practice_table(runs: Practices) -> Iterator[str]:
    """Yield the lines of the table of practice; answers are ratios to random order in the same seed."""
    for gain in Gain:
        yield f"{gain}"
        yield (
            f"{'':<20}{'half held':>10}{'all held':>10}{'finished':>10}{'success':>9}{'false':>8}{'true':>7}"
            f"{'4 weeks on':>12}{'topics':>8}"
        )
        random = runs[gain, RANDOM]
        for schedule in SCHEDULES:
            yield f"{schedule:<20}" + _practised(runs[gain, schedule], random)


def _practised(found: Sequence[Practised], random: Sequence[Practised]) -> str:
    half, _ = ratio(found, random, lambda run: run.half)
    whole, _ = ratio(found, random, lambda run: run.everything)
    return (
        f"{half:>10.2f}{whole:>10.2f}{average(found, lambda run: run.finished):>10.0%}"
        f"{average(found, lambda run: run.success):>9.2f}{average(found, lambda run: run.false):>8.1%}"
        f"{average(found, lambda run: run.true_at_secure):>7.2f}{average(found, lambda run: run.kept):>12.3f}"
        f"{average(found, lambda run: run.kept_topics):>8.0%}"
    )


def verdict_line(verdict: Verdict) -> str:
    """Return one target with what was found."""
    bounds = [f"at least {verdict.least:g}"] if verdict.least is not None else []
    bounds += [f"at most {verdict.most:g}"] if verdict.most is not None else []
    note = f" ({verdict.note})" if verdict.note else ""
    said = "met" if verdict.met else "MISSED"
    return f"{verdict.what:<100}{verdict.found:>8.3f}  {', '.join(bounds)}: {said}{note}"


def learning_lines(seeds: int, said: Callable[[str], None]) -> Iterator[str | Verdict]:
    """Yield the tables' lines as text, and every target as a verdict, as soon as they are known.

    Args:
        seeds: How many seeds.
        said: Told how far the work is.
    """
    chosen = range(FIRST_SEED, FIRST_SEED + seeds)
    foretold = run_predictions(chosen, said)
    yield from prediction_table(foretold)
    yield from prediction_verdicts(foretold)
    practised = run_practices(chosen, said)
    yield from practice_table(practised)
    yield from practice_verdicts(practised)
