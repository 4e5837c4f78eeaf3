"""Proving a draft: the checks of `quiescent check`, one by one with progress, and what a panel shows of them."""

from __future__ import annotations

import functools
import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import asdict, dataclass, field
from typing import Any

from tutor.quantities import show
from tutor.questions.checking.findings import Evidence, Finding
from tutor.questions.checking.report import CHECKS, TemplateReport, check_template
from tutor.questions.template import Template

DRAWS = 200  # as `quiescent check` draws unless it is told otherwise
BARS = 12

Told = Callable[[int, int, str], None]
"""Is told how many checks are done, of how many, and which comes next."""


@dataclass(frozen=True, slots=True)
class Spread:
    """How the answers to one ask spread over the draws.

    Attributes:
        ask: The ask.
        low, high: The ends, as people read them.
        bars: Answers in each of the equal parts between them.
    """

    ask: str
    low: str
    high: str
    bars: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """What the checks found, as plain data that can be kept.

    Attributes:
        release: The release that was proved, or failed to be.
        passed: Whether nothing was found.
        draws, refused, distinct, seconds: As in the report of the command.
        slips: Share of draws on which each slip is told, by `ask.slip`.
        findings: (check, key, message) of everything found.
        spreads: Of every ask with a number as its answer.
    """

    release: str
    passed: bool
    draws: int
    refused: float
    distinct: int
    seconds: float
    slips: Mapping[str, float] = field(default_factory=dict)
    findings: tuple[tuple[str, str, str], ...] = ()
    spreads: tuple[Spread, ...] = ()

    def to_data(self) -> dict[str, Any]:
        """Return plain data for storing."""
        return asdict(self)

    @staticmethod
    def from_data(data: Mapping[str, Any]) -> Proof:
        """Return the proof that was stored."""
        spreads = tuple(Spread(s["ask"], s["low"], s["high"], tuple(s["bars"])) for s in data["spreads"])
        findings = tuple((f[0], f[1], f[2]) for f in data["findings"])
        return Proof(**(dict(data) | {"spreads": spreads, "findings": findings}))


def prove(template: Template, told: Told | None = None, draws: int = DRAWS) -> Proof:
    """Prove a template with the very checks of `quiescent check`.

    Args:
        template: The template.
        told: Hears of the progress, or None.
        draws: Serials to draw.
    """
    told = told or _silent
    seen: list[Spread] = []
    # A check of our own comes first: it only looks on, and keeps the spread of the answers.
    watched = [_looking_on(seen)] + [_told_of(check, place, told) for place, check in enumerate(CHECKS)]
    report = check_template(template, draws, None, tuple(watched))
    told(len(CHECKS), len(CHECKS), "")
    return _proof(report, tuple(seen))


def _proof(report: TemplateReport, spreads: tuple[Spread, ...]) -> Proof:
    return Proof(
        release=report.release,
        passed=report.passed,
        draws=report.draws,
        refused=report.refused,
        distinct=report.distinct,
        seconds=round(report.seconds, 2),
        slips={name: round(share, 4) for name, share in report.slips.items()},
        findings=tuple((f.check, f.key, f.message) for f in report.findings),
        spreads=spreads,
    )


def _silent(_done: int, _of: int, _what: str) -> None:
    """Tell nobody."""


Check = Callable[[Evidence], Iterator[Finding]]


def _told_of(check: Check, place: int, told: Told) -> Check:
    @functools.wraps(check)
    def run(evidence: Evidence) -> Iterator[Finding]:
        told(place, len(CHECKS), check.__name__.removeprefix("check_"))
        yield from check(evidence)

    return run


def _looking_on(seen: list[Spread]) -> Check:
    def check_nothing(evidence: Evidence) -> Iterator[Finding]:
        seen.extend(_spreads(evidence))
        yield from ()

    return check_nothing


def _spreads(evidence: Evidence) -> Iterator[Spread]:
    for ask in evidence.template.asks:
        if ask.kind not in ("number", "preferred", "reading") or ask.name not in evidence.batch.values:
            continue
        values = [float(value) for value in evidence.values(ask.name) if math.isfinite(value)]
        if not values:
            continue
        low, high = min(values), max(values)
        bars = [0] * BARS
        for value in values:
            bars[min(BARS - 1, int((value - low) / (high - low) * BARS)) if high > low else 0] += 1
        yield Spread(ask.name, show(low, ask.unit), show(high, ask.unit), tuple(bars))
