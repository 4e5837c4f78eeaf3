"""One template's report: all checks over its draws."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from tutor.circuits.errors import CircuitError
from tutor.errors import Fault
from tutor.questions.cache import CompiledCache
from tutor.questions.checking.bands import check_slips, check_tolerances, telling_shares
from tutor.questions.checking.circuit_proof import check_circuit
from tutor.questions.checking.drawing_check import check_drawing
from tutor.questions.checking.draws import check_answers, check_draws
from tutor.questions.checking.examples import check_examples
from tutor.questions.checking.faults import check_faults
from tutor.questions.checking.findings import Evidence, Finding
from tutor.questions.checking.plot_check import check_plot
from tutor.questions.checking.rounding import check_rounding
from tutor.questions.checking.safety import check_caution
from tutor.questions.checking.served import check_choices, check_served
from tutor.questions.checking.supply_proof import check_supply
from tutor.questions.checking.texts import check_texts
from tutor.questions.checking.wording import check_givens, check_solution
from tutor.questions.lottery import draw_batch
from tutor.questions.template import Template

CHECKS: tuple[Callable[[Evidence], Iterator[Finding]], ...] = (
    check_draws,
    check_served,
    check_choices,
    check_answers,
    check_circuit,
    check_supply,
    check_examples,
    check_tolerances,
    check_rounding,
    check_slips,
    check_solution,
    check_texts,
    check_givens,
    check_faults,
    check_drawing,
    check_plot,
    check_caution,
)


@dataclass(frozen=True, slots=True)
class TemplateReport:
    """What the checks found of one template.

    Attributes:
        template: Its name.
        release: Its release.
        file: Its file.
        draws: Serials drawn.
        refused: Share of draws that the conditions refused.
        distinct: Different questions within three figures of their keys (of their values, where no key is a number).
        slips: Smallest share of draws on which a slip is named, by `ask.slip`.
        findings: Empty when everything is proved.
        seconds: Time taken.
    """

    template: str
    release: str
    file: str
    draws: int
    refused: float
    distinct: int
    slips: dict[str, float]
    findings: tuple[Finding, ...]
    seconds: float

    @property
    def passed(self) -> bool:
        """Whether nothing was found."""
        return not self.findings

    def faults(self, line_of: Callable[[str], int] = lambda _: 0) -> list[Fault]:
        """Return the findings as faults of the template's file."""
        return [Fault(self.file, line_of(f.key), f.key, f.message) for f in self.findings]


def check_template(
    template: Template,
    draws: int = 200,
    cache: CompiledCache | None = None,
    checks: tuple[Callable[[Evidence], Iterator[Finding]], ...] = CHECKS,
) -> TemplateReport:
    """Prove a template over a number of draws.

    Args:
        template: The template.
        draws: Serials 0 to draws − 1 are drawn.
        cache: Where compiled templates are kept; None compiles anew, as a proof should.
        checks: Which checks to run.

    Returns:
        The report; never raises for a template that could be read.
    """
    import numpy as np

    began = time.perf_counter()
    try:
        compiled = (cache or CompiledCache()).compiled(template)
    except CircuitError as error:
        failed = (Finding("circuit", "circuit", str(error)),)
        return TemplateReport(template.name, template.release, template.file, 0, 0.0, 0, {}, failed, 0.0)
    serials = np.arange(draws, dtype=np.uint64)
    batch = draw_batch(compiled, serials)
    evidence = Evidence(compiled, serials, batch, batch.tries > 0)
    findings: list[Finding] = []
    # Where nothing can be drawn there is nothing else to say.
    # A value that is none is a finding, not a warning of the arithmetic.
    with np.errstate(all="ignore"):
        for check in checks if evidence.draws else (check_draws,):
            try:
                findings.extend(check(evidence))
            except CircuitError as error:
                findings.append(Finding(check.__name__.removeprefix("check_"), "", str(error)))
        slips = {
            f"{ask.name}.{name}": share
            for ask in template.asks
            for name, share in telling_shares(evidence, ask).items()
        }
    return TemplateReport(
        template.name,
        template.release,
        template.file,
        draws,
        batch.refused_share,
        _distinct(evidence),
        slips,
        tuple(findings),
        time.perf_counter() - began,
    )


def _distinct(evidence: Evidence) -> int:
    """Count questions that differ within three figures of their keys; of their values where no key is a number."""
    import numpy as np

    asks = [ask.name for ask in evidence.template.asks if ask.kind in ("number", "preferred", "reading")]
    faults = [ask.name for ask in evidence.template.asks if ask.kind == "fault"]
    names = asks or [*evidence.compiled.base, *faults]
    keys: list[Any] = [[float(f"{value:.3g}") for value in evidence.values(name)] for name in names]
    if not keys or not evidence.draws:
        return min(1, evidence.draws)
    return len(np.unique(np.array(keys), axis=1).T)
