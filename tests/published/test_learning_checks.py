"""Item analysis and models of a learner against the figures that others print, as tabulated in ``learning_checks.yaml``.

The source of each figure stands on its row there, and whether it was read, run, derived or remembered.
"""

from __future__ import annotations

import statistics
from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from tutor.learning.item_analysis import classical, marginal, models_for_comparison, prox, rasch, reliability

TABLE: dict[str, Any] = yaml.safe_load(Path(__file__).with_name("learning_checks.yaml").read_text("utf-8"))
DATA = TABLE["data"]
Members = list[list[int]]
LSAT = ("lsat6", "lsat7")


@cache
def answers(name: str) -> Members:
    """The members behind a table of 32 patterns, question 1 in the first bit."""
    return [[int(bit) for bit in f"{place:05b}"] for place, count in enumerate(DATA[name]) for _ in range(count)]


@cache
def conditional(name: str) -> rasch.RaschFit:
    fit = rasch.conditional(answers(name))
    assert fit is not None
    return fit


@cache
def demonstration() -> rasch.RaschFit:
    counts = DATA["raschdat1_score_counts_1_to_30"]
    assert counts[29] == 0  # nobody had everything right, so none is to be dropped
    fit = rasch.conditional_from_totals(DATA["raschdat1_item_totals"], counts[:29])
    assert fit is not None
    return fit


@cache
def one_slope(slope: float | None) -> marginal.MarginalFit:
    fit = marginal.one_slope(answers("lsat6"), slope)
    assert fit is not None
    return fit


@cache
def two_parameters(name: str) -> marginal.MarginalFit:
    fit = marginal.two_parameters(answers(name))
    assert fit is not None
    return fit


def described(name: str) -> reliability.ReliabilityFigures:
    return reliability.describe_reliability(answers(name))


def facilities(name: str) -> list[float]:
    return [item.facility.value for item in classical.describe_items(answers(name)) if item.facility is not None]


def joint_over_conditional() -> float:
    fit = rasch.joint(answers("lsat6"))
    assert fit is not None
    spreads = [
        statistics.pstdev(b for b in difficulties if b is not None)
        for difficulties in (fit.difficulties, conditional("lsat6").difficulties)
    ]
    return spreads[0] / spreads[1]


def abilities_at_the_ends() -> list[float]:
    fit = two_parameters("lsat6")
    ends = [marginal.posterior_mode([right] * 5, known(fit.slopes), known(fit.intercepts)) for right in (0, 1)]
    return [figure for end in ends for figure in end]


def expected_at_the_ends() -> list[float]:
    fit = two_parameters("lsat6")
    a, d = known(fit.slopes), known(fit.intercepts)
    return [fit.members * marginal.pattern_chance([right] * 5, a, d) for right in (0, 1)]


def known(values: Sequence[float | None]) -> list[float]:
    assert None not in values
    return [value for value in values if value is not None]


def both_alphas(name: str) -> float | None:
    """Alpha, after it was seen to be KR-20."""
    alpha = reliability.cronbach_alpha(answers(name))
    assert alpha == pytest.approx(reliability.kr20(answers(name)), abs=1e-12)
    return alpha


def traced(start: float, learn: float, slip: float, guess: float, pattern: str) -> tuple[float, ...]:
    model = models_for_comparison.KnowledgeTracing(known=start, learn=learn, slip=slip, guess=guess)
    return model.trace(mark == "1" for mark in pattern)


def factors() -> list[float]:
    model = models_for_comparison.PerformanceFactors(base=-0.5, success=0.2, failure=0.1)
    return [model.chance_right(0, 0), model.chance_right(0, 1)]


COMPUTED: dict[str, Callable[[], Any]] = {
    "ctt_lsat6_p": lambda: facilities("lsat6"),
    "ctt_lsat6_itemtotal": lambda: classical.item_total_correlations(answers("lsat6")),
    "ctt_lsat6_itemrest": lambda: classical.item_rest_correlations(answers("lsat6")),
    "ctt_lsat6_alpha": lambda: both_alphas("lsat6"),
    "ctt_lsat6_alpha_drop": lambda: reliability.alpha_if_deleted(answers("lsat6")),
    "ctt_lsat6_total": lambda: [described("lsat6").mean, described("lsat6").spread],
    "ctt_lsat7_p": lambda: facilities("lsat7"),
    "ctt_lsat7_itemtotal": lambda: classical.item_total_correlations(answers("lsat7")),
    "ctt_lsat7_itemrest": lambda: classical.item_rest_correlations(answers("lsat7")),
    "ctt_lsat7_alpha": lambda: both_alphas("lsat7"),
    "ctt_lsat7_alpha_drop": lambda: reliability.alpha_if_deleted(answers("lsat7")),
    "ctt_lsat7_total_sem": lambda: [described("lsat7").mean, described("lsat7").spread, described("lsat7").error],
    "rel_split_27": lambda: [reliability.rulon(16, 63), reliability.spearman_brown(0.94, 2)],
    "rel_kr21": lambda: reliability.kr21(70, 50, 100),
    "rel_alpha_3essays": lambda: reliability.cronbach_alpha(DATA["essays"]),
    "rasch_lsat6_mml_free": lambda: [one_slope(None).slopes[0], *one_slope(None).difficulties],
    "rasch_lsat6_mml_free_ll": lambda: one_slope(None).log_likelihood,
    "rasch_lsat6_mml_fixed": lambda: one_slope(1.0).difficulties,
    "rasch_lsat6_mml_fixed_ll": lambda: one_slope(1.0).log_likelihood,
    "twopl_lsat6_a": lambda: two_parameters("lsat6").slopes,
    "twopl_lsat6_b": lambda: two_parameters("lsat6").difficulties,
    "twopl_lsat6_ll": lambda: two_parameters("lsat6").log_likelihood,
    "twopl_lsat6_scores": abilities_at_the_ends,
    "twopl_lsat6_expected": expected_at_the_ends,
    "twopl_lsat7_a": lambda: two_parameters("lsat7").slopes,
    "twopl_lsat7_d": lambda: two_parameters("lsat7").intercepts,
    "twopl_lsat7_ll": lambda: two_parameters("lsat7").log_likelihood,
    "cml_lsat6_b": lambda: conditional("lsat6").difficulties,
    "cml_lsat6_se": lambda: conditional("lsat6").errors,
    "cml_lsat6_ll": lambda: conditional("lsat6").log_likelihood,
    "cml_lsat7_b": lambda: conditional("lsat7").difficulties,
    "cml_raschdat1_ll": lambda: demonstration().log_likelihood,
    "cml_raschdat1_b": lambda: [demonstration().difficulties[place - 1] for place in (1, 5, 14, 26)],
    "jml_bias": joint_over_conditional,
    "prox_product": lambda: prox.stretched([-1.5344], 1.4135),
    "forget_ebbinghaus": lambda: [models_for_comparison.savings(t) for t in (20, 64, 526, 1440, 2880, 8640, 44640)],
    "bkt_example": lambda: traced(0.4, 0.1, 0.3, 0.2, "00111"),
    "bkt_seen_params": lambda: traced(0.5, 0.4, 0.2, 0.2, "0011101101")[-1],
    "pfa_example": factors,
    "opt_error": lambda: models_for_comparison.BEST_ERROR_RATE,
    "elo_k": lambda: [models_for_comparison.Elo().step(n) for n in (0, 20)],
}


def listed(value: Any) -> list[float]:
    return list(value) if isinstance(value, Sequence) else [value]


@pytest.mark.parametrize("check", TABLE["checks"], ids=lambda check: check["id"])
def test_a_printed_figure_comes_out(check: dict[str, Any]) -> None:
    found, expected = listed(COMPUTED[check["id"]]()), listed(check["expected"])
    assert len(found) == len(expected)
    # A figure that lies on the very edge of its tolerance as printed may miss it by rounding of the subtraction.
    misses = [abs(f - e) for f, e in zip(found, expected, strict=True)]
    assert max(misses) <= check["tol"] + 1e-12, found


def test_every_computed_figure_has_its_row() -> None:
    assert sorted(COMPUTED) == sorted(check["id"] for check in TABLE["checks"])


@pytest.mark.parametrize("name", LSAT)
def test_a_table_holds_a_thousand_members(name: str) -> None:
    assert len(DATA[name]) == 32
    assert len(answers(name)) == 1000


def test_the_two_demonstration_tables_belong_together() -> None:
    counts = DATA["raschdat1_score_counts_1_to_30"]
    assert sum(counts) == 100
    assert sum(score * count for score, count in enumerate(counts, 1)) == sum(DATA["raschdat1_item_totals"])


def test_every_row_names_its_source_and_how_it_is_known() -> None:
    for check in TABLE["checks"]:
        assert check["source"]
        assert check["kind"] in ("published", "tool run", "derived")
        assert isinstance(check["from_memory"], bool)
