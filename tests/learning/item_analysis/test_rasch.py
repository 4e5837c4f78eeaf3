"""Conditional and joint difficulties: score equations, laws, recovery of known ones, tables without an answer."""

from __future__ import annotations

import math
import random
import time
from itertools import combinations, product

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tests.learning.item_analysis.strategies import RIGHT_OR_WRONG, WITH_GAPS, matrices, simulated
from tutor.learning.item_analysis.errors import ResponsesError
from tutor.learning.item_analysis.existence import informative
from tutor.learning.item_analysis.rasch import (
    RaschFit,
    conditional,
    conditional_from_totals,
    difficulty_from_abilities,
    joint,
)
from tutor.learning.item_analysis.responses import Matrix
from tutor.learning.item_analysis.symmetric import expected_totals

small = matrices(RIGHT_OR_WRONG, members=(3, 14), questions=(2, 5))
small_with_gaps = matrices(WITH_GAPS, members=(3, 20), questions=(2, 4))


def fitted(answers: Matrix) -> RaschFit:
    fit = conditional(answers)
    assume(fit is not None)
    assert fit is not None
    return fit


@given(small)
def test_the_score_equations_hold(answers: Matrix) -> None:
    """As many are expected to get each question right as did, given the scores."""
    fit = fitted(answers)
    kept = [place for place, b in enumerate(fit.difficulties) if b is not None]
    told = [[int(row[place] or 0) for place in kept] for row in answers]
    told = [row for row in told if 0 < sum(row) < len(kept)]
    counts = [sum(sum(row) == r for row in told) for r in range(len(kept) + 1)]
    weights = [math.exp(-b) for b in fit.difficulties if b is not None]
    assert expected_totals(weights, counts) == pytest.approx([sum(column) for column in zip(*told, strict=True)])
    assert len(told) == fit.members


@given(small_with_gaps)
def test_difficulties_sum_to_nought(answers: Matrix) -> None:
    fit = fitted(answers)
    assert math.fsum(b for b in fit.difficulties if b is not None) == pytest.approx(0, abs=1e-9)
    for b, error in zip(fit.difficulties, fit.errors, strict=True):
        assert (b is None) == (error is None)
        assert error is None or error > 0


@given(small_with_gaps, st.randoms(use_true_random=False))
def test_the_order_of_members_and_questions_does_not_matter(answers: Matrix, lots: random.Random) -> None:
    fit = fitted(answers)
    members, questions = list(range(len(answers))), list(range(len(answers[0])))
    lots.shuffle(members)
    lots.shuffle(questions)
    turned = fitted([[answers[m][q] for q in questions] for m in members])
    assert turned.log_likelihood == pytest.approx(fit.log_likelihood)
    for place, found in enumerate(turned.difficulties):
        expected = fit.difficulties[questions[place]]
        assert found == (None if expected is None else pytest.approx(expected, abs=1e-6))


@given(small)
def test_right_and_wrong_exchanged_turn_the_difficulties_round(answers: Matrix) -> None:
    fit = fitted(answers)
    turned = fitted([[None if x is None else 1 - x for x in row] for row in answers])
    assert turned.log_likelihood == pytest.approx(fit.log_likelihood)
    for b, found in zip(fit.difficulties, turned.difficulties, strict=True):
        assert found == (None if b is None else pytest.approx(-b, abs=1e-6))


@given(small)
def test_members_with_everything_right_or_wrong_say_nothing(answers: Matrix) -> None:
    fit = fitted(answers)
    assume(None not in fit.difficulties)
    k = len(answers[0])
    assert fitted([*answers, [1.0] * k, [0.0] * k]) == fit


def chance_given_score(row: list[int], weights: list[float]) -> float:
    """The conditional chance of one row, by the sum over all rows with its score."""
    r = sum(row)
    over = sum(math.prod(subset) for subset in combinations(weights, r))
    return math.prod(w for x, w in zip(row, weights, strict=True) if x) / over


def test_the_log_likelihood_is_that_of_the_rows_given_their_scores() -> None:
    answers = simulated(1, 40, [-1.0, -0.2, 0.4, 0.8], answered=0.9)
    fit = conditional(answers)
    assert fit is not None
    total = 0.0
    for row in answers:
        met = [(x, b) for x, b in zip(row, fit.difficulties, strict=True) if x is not None and b is not None]
        total += math.log(chance_given_score([x for x, _ in met], [math.exp(-b) for _, b in met])) if met else 0
    assert fit.log_likelihood == pytest.approx(total)


def test_no_other_difficulties_are_more_likely() -> None:
    answers = simulated(2, 60, [-0.5, 0.0, 0.5])
    fit = conditional(answers)
    assert fit is not None
    b = [value for value in fit.difficulties if value is not None]
    for moves in product((-0.05, 0, 0.05), repeat=3):
        weights = [math.exp(-value - move) for value, move in zip(b, moves, strict=True)]
        total = sum(math.log(chance_given_score([x for x in row if x is not None], weights)) for row in answers)
        assert total <= fit.log_likelihood + 1e-9


def test_two_questions_have_the_difference_that_can_be_had_by_hand() -> None:
    # Of those with one right of two, 12 have the first and 4 the second: b₂ − b₁ = ln(12/4); se of it √(1/12 + 1/4).
    answers = [[1, 0]] * 12 + [[0, 1]] * 4 + [[1, 1]] * 9 + [[0, 0]] * 2
    fit = conditional(answers)
    assert fit is not None
    assert fit.difficulties == pytest.approx((-math.log(3) / 2, math.log(3) / 2))
    assert fit.errors == pytest.approx([math.sqrt(1 / 12 + 1 / 4) / 2] * 2)
    assert fit.log_likelihood == pytest.approx(12 * math.log(0.75) + 4 * math.log(0.25))
    assert fit.members == 16


@pytest.mark.parametrize("ratio", [10, 1000, 100_000])
def test_a_start_on_the_flat_does_not_carry_the_climb_away(ratio: int) -> None:
    # The start lies twice too far out, where a whole step of Newton's would go a thousand logits the other way.
    fit = conditional([[0, 1]] * ratio + [[1, 0]])
    assert fit is not None
    assert fit.difficulties == pytest.approx((math.log(ratio) / 2, -math.log(ratio) / 2))


def test_known_difficulties_come_back_within_their_errors() -> None:
    true = [-2 + 4 * place / 9 for place in range(10)]
    scores = []
    for seed in range(20):
        fit = conditional(simulated(seed, 200, true, spread=1.5, answered=0.9 if seed % 2 else 1.0))
        assert fit is not None
        pairs = zip(fit.difficulties, true, fit.errors, strict=True)
        scores += [(b - t) / e for b, t, e in pairs if b is not None and e is not None]
    # 200 standardised misses: mean square 1 within four of its own errors, √(2/200) each.
    assert np.mean(np.square(scores)) == pytest.approx(1, abs=0.4)
    assert max(map(abs, scores)) < 4


def test_members_who_met_different_questions_are_compared_through_those_they_share() -> None:
    true = [-1.5, -0.5, 0.0, 0.5, 1.5]
    low = [[*row[:3], None, None] for row in simulated(5, 1500, true, spread=0.5)]
    # The second paper goes to the abler: raw facilities would mislead, conditional difficulties do not.
    high = [[None, None, *row[2:]] for row in simulated(6, 1500, [b - 1.5 for b in true], spread=0.5)]
    fit = conditional([*low, *high])
    assert fit is not None
    assert [b for b in fit.difficulties if b is not None] == pytest.approx(true, abs=0.2)


def test_questions_that_no_member_connects_have_no_difficulties() -> None:
    first = [[1, 0, None, None], [0, 1, None, None]] * 5
    second = [[None, None, 1, 0], [None, None, 0, 1]] * 5
    assert conditional([*first, *second]) is None


@pytest.mark.parametrize("order", [(0, 1, 2, 3), (2, 3, 0, 1), (0, 2, 1, 3)])
def test_a_test_in_two_parts_one_always_easier_has_no_difficulties(order: tuple[int, ...]) -> None:
    # Whoever got one of the last two right had both of the first: no finite distance between the two parts.
    rows = [[1, 0, 0, 0], [0, 1, 0, 0], [1, 1, 1, 0], [1, 1, 0, 1]]
    answers = [[row[place] for place in order] for row in rows] * 5
    assert informative(answers) == ((), [])
    assert conditional(answers) is None
    assert conditional_from_totals([15, 15, 5, 5], [10, 0, 10]) is None
    # One member who went the other way makes it finite.
    assert conditional([*answers, [rows[2][place] if place > 1 else 0 for place in order]]) is not None


def test_an_item_that_all_got_right_drops_out_and_leaves_the_others_as_they_are() -> None:
    answers = simulated(7, 80, [-1.0, 0.0, 1.0])
    plain, with_easy = conditional(answers), conditional([[*row, 1] for row in answers])
    assert plain is not None
    assert with_easy is not None
    assert with_easy.difficulties == (*plain.difficulties, None)
    assert with_easy.errors[3] is None


@pytest.mark.parametrize(
    "answers",
    [
        [],
        [[]],
        [[1]],
        [[1], [0]],
        [[None, None]] * 3,
        [[1, 1]] * 5,
        [[0, 0]] * 5,
        [[1, 0]] * 5,
        [[1, 0, 0], [1, 1, 0]] * 5,  # a perfect ladder: every difference is without end
    ],
    ids=str,
)
def test_tables_without_an_answer_give_none(answers: Matrix) -> None:
    assert conditional(answers) is None
    assert joint(answers) is None


def test_an_item_drops_out_only_with_those_whom_it_told_apart() -> None:
    # Nobody has the last one right. Without it the third member has everything right and says nothing; the other three
    # have each of the three questions right twice.
    fit = conditional([[1, 0, 1, 0], [0, 1, 1, 0], [1, 1, 1, 0], [1, 1, 0, 0]])
    assert fit is not None
    assert fit.difficulties[:3] == pytest.approx([0, 0, 0], abs=1e-9)
    assert fit.difficulties[3] is None
    assert fit.members == 3
    assert fit.log_likelihood == pytest.approx(3 * math.log(1 / 3))


@given(small_with_gaps)
def test_a_fit_is_found_just_when_every_question_leads_to_every_other(answers: Matrix) -> None:
    rows = [[None if x is None else int(x) for x in row] for row in answers]
    kept, _ = informative(rows)
    fit = conditional(answers)
    assert (fit is not None) == bool(kept)
    if fit is not None:
        assert tuple(place for place, b in enumerate(fit.difficulties) if b is not None) == kept


@given(small)
def test_the_two_tables_give_what_the_answers_give(answers: Matrix) -> None:
    fit = conditional(answers)
    k = len(answers[0])
    told = [row for row in answers if 0 < sum(filter(None, row)) < k]
    totals = [sum(filter(None, column)) for column in zip(*told, strict=True)] or [0.0] * k
    counts = [sum(sum(filter(None, row)) == r for row in told) for r in range(1, k)]
    short = conditional_from_totals(totals, counts)
    if fit is None or None in fit.difficulties:
        assert short is None
    else:
        assert short is not None
        assert short.difficulties == pytest.approx(fit.difficulties, abs=1e-8)
        assert short.errors == pytest.approx(fit.errors, abs=1e-8)
        assert short.members == fit.members


@pytest.mark.parametrize(
    ("totals", "counts"),
    [([], []), ([3], []), ([3, 4], [6]), ([3, 4], [7, 1]), ([0, 7], [7]), ([5, 5, 0], [4, 3])],
)
def test_tables_that_do_not_belong_together_give_none(totals: list[float], counts: list[float]) -> None:
    assert conditional_from_totals(totals, counts) is None


def test_part_marks_are_refused() -> None:
    for fit in (conditional, joint):
        with pytest.raises(ResponsesError):
            fit([[0.5, 1], [1, 0]])


def test_a_hundred_questions_take_seconds_not_minutes() -> None:
    answers = simulated(9, 300, [-2.5 + 5 * place / 99 for place in range(100)])
    begun = time.perf_counter()
    fit = conditional(answers)
    assert fit is not None
    assert time.perf_counter() - begun < 20
    assert fit.members == 300


def test_difficulties_far_apart_are_found_or_refused_but_never_wrong() -> None:
    # A ladder of eleven questions with one member in 2000 the wrong way at each rung: b spans about 150 logits.
    k = 11
    rows = [[1] * r + [0] * (k - r) for r in range(1, k)] * 2000
    rows += [[*([1] * r), 0, 1, *([0] * (k - r - 2))] for r in range(k - 1)]
    fit = conditional(rows)
    assert fit is not None
    b = [value for value in fit.difficulties if value is not None]
    assert b == sorted(b)
    assert b[-1] - b[0] > 50
    counts = [sum(sum(row) == r for row in rows if 0 < sum(row) < k) for r in range(k + 1)]
    seen = [sum(column) for column in zip(*rows, strict=True)]
    assert expected_totals([math.exp(-value) for value in b], counts) == pytest.approx(seen, rel=1e-6)


def test_joint_difficulties_satisfy_their_equations_before_the_correction() -> None:
    answers = simulated(3, 200, [-1.0, -0.3, 0.2, 0.4, 0.9])
    fit = joint(answers)
    assert fit is not None
    b = [5 / 4 * value for value in fit.difficulties if value is not None]
    chances = 1 / (1 + np.exp(np.array(b)[None, :] - np.array(fit.abilities)[:, None]))
    assert chances.sum(axis=1) == pytest.approx([1, 2, 3, 4], abs=1e-8)
    told = [[x for x in row if x is not None] for row in answers]
    told = [row for row in told if 0 < sum(row) < 5]
    counts = np.array([sum(sum(row) == r for row in told) for r in range(1, 5)])
    assert counts @ chances == pytest.approx(np.array(told).sum(axis=0), abs=1e-6)
    by_row = [np.where(row, chances[sum(row) - 1], 1 - chances[sum(row) - 1]) for row in told]
    assert fit.log_likelihood == pytest.approx(np.log(by_row).sum())


def test_joint_difficulties_approach_conditional_ones_as_the_test_grows() -> None:
    true = [-1.5 + 3 * place / 39 for place in range(40)]
    answers = simulated(4, 300, true)
    first, second = joint(answers), conditional(answers)
    assert first is not None
    assert second is not None
    pairs = zip(first.difficulties, second.difficulties, strict=True)
    assert max(abs(a - b) for a, b in pairs if a is not None and b is not None) < 0.02


@given(
    st.lists(st.tuples(st.floats(0, 1), st.floats(-6, 6)), min_size=1, max_size=30),
)
def test_a_difficulty_from_abilities_makes_the_marks_those_expected(pairs: list[tuple[float, float]]) -> None:
    shares, abilities = [share for share, _ in pairs], [theta for _, theta in pairs]
    found = difficulty_from_abilities(shares, abilities)
    if not 1e-6 < sum(shares) < len(shares) - 1e-6:
        return
    assert found is not None
    b, error = found
    chances = [1 / (1 + math.exp(b - theta)) for theta in abilities]
    assert sum(chances) == pytest.approx(sum(shares), rel=1e-6, abs=1e-7)
    assert error == pytest.approx(1 / math.sqrt(sum(p * (1 - p) for p in chances)), rel=1e-6)


def test_one_ability_gives_a_difficulty_by_hand() -> None:
    # A quarter right at θ = 0.5: b = 0.5 + ln 3; information 40·(1/4)(3/4).
    found = difficulty_from_abilities([1.0] * 10 + [0.0] * 30, [0.5] * 40)
    assert found == pytest.approx((0.5 + math.log(3), 1 / math.sqrt(7.5)))


def test_abilities_far_apart_give_a_difficulty_at_the_one_that_matters() -> None:
    # Half of the abler member's marks and none of the other's, 80 logits below.
    found = difficulty_from_abilities([0.5, 0.0], [40.0, -40.0])
    assert found == pytest.approx((40.0, 2.0))


@pytest.mark.parametrize(
    ("shares", "abilities"), [([], []), ([1.0, 1.0], [0, 0]), ([0.0], [0]), ([1.0, 0.0], [math.nan, 0])]
)
def test_no_difficulty_without_both_right_and_wrong(shares: list[float], abilities: list[float]) -> None:
    assert difficulty_from_abilities(shares, abilities) is None
