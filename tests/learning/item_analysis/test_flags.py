"""Flags: each sentence where it belongs, silence where nothing is known."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tutor.learning.item_analysis import flags
from tutor.learning.item_analysis.classical import Facility
from tutor.learning.item_analysis.classical import facility as facility_of
from tutor.learning.item_analysis.drawn_values import facility_by_quartile
from tutor.learning.item_analysis.flags import About, Flag
from tutor.learning.item_analysis.reliability import spearman_brown
from tutor.learning.item_analysis.wrong_answers import Common


def of_100(right: int) -> Facility | None:
    return facility_of([1] * right + [0] * (100 - right))


def test_too_few_answers_are_said_below_twenty() -> None:
    assert flags.too_few(19) == Flag(About.TOO_FEW, "Too few answers yet.")
    assert flags.too_few(20) is None


def test_papers_that_differ_are_told_from_few_answers() -> None:
    assert flags.too_few_whole(5, 5) == Flag(About.TOO_FEW, "Too few answers yet.")
    assert flags.too_few_whole(40, 3) == Flag(
        About.TOO_FEW, "Too few members had the same questions: nothing can be said of the total yet."
    )
    assert flags.too_few_whole(40, 20) is None


@pytest.mark.parametrize(
    ("right", "says"),
    [
        (100, "Everybody gets it right: it no longer tells anything."),
        (96, "Nearly everybody gets it right: it tells little any more."),
        (95, None),
        (50, None),
        (20, None),
        (19, "Few get it right: look at the key, then at what was taught before it."),
        (0, "Nobody gets it right: look at the key first."),
    ],
)
def test_facility_is_flagged_at_its_ends(right: int, says: str | None) -> None:
    flag = flags.of_facility(of_100(right))
    assert (flag.says if flag else None) == says


def test_facility_of_few_is_not_flagged() -> None:
    assert flags.of_facility(facility_of([1] * 19)) is None
    assert flags.of_facility(None) is None


@pytest.mark.parametrize(
    ("rest", "gap", "learners", "about"),
    [
        (0.35, 0.45, 50, None),
        (0.35, 0.10, 50, None),  # an easy question may have a small gap and a good correlation
        (0.20, 0.30, 50, None),
        (0.20, 0.10, 50, About.WEAK),
        (0.14, 0.30, 50, About.WEAK),
        (0.14, None, 50, About.WEAK),
        (-0.05, 0.0, 50, About.KEY),
        (-0.50, -0.4, 50, About.KEY),
        (-0.50, -0.4, 19, None),
        (None, None, 50, None),
    ],
)
def test_discrimination_is_flagged_by_the_textbook_bounds(
    rest: float | None, gap: float | None, learners: int, about: About | None
) -> None:
    flag = flags.of_discrimination(rest, gap, learners)
    assert (flag.about if flag else None) == about


def test_a_reversed_key_is_said_outright_when_it_is_hardly_chance() -> None:
    # 1.2816/√(n − 1): .183 for 50 learners, .129 for 100.
    sure, unsure = flags.of_discrimination(-0.15, None, 100), flags.of_discrimination(-0.15, None, 50)
    assert sure is not None
    assert sure.says == "Those who do well in the rest get this one wrong: look at the key."
    assert unsure is not None
    assert unsure.says == "Those who do well in the rest do no better here: look at the key and the wording."


def test_a_correlation_has_one_word() -> None:
    assert [flags.word_for_rest(r) for r in (0.30, 0.29, 0.15, 0.14, 0.0, -0.01)] == [
        "good", "weak", "weak", "poor", "poor", "reversed",
    ]  # fmt: skip


def test_wrong_answers_that_are_one_value_are_flagged_before_one_slip() -> None:
    common = Common(2.0, True, 6, 0.6)
    flag = flags.of_wrong_answers(10, common, [("twice", 6)])
    assert flag == Flag(About.ONE_VALUE, "Most wrong answers are one value: the key or the wording may be at fault.")
    scattered = Common(2.0, True, 2, 0.2)
    assert flags.of_wrong_answers(10, scattered, [("load-forgotten", 6), ("sign", 1)]) == Flag(
        About.ONE_SLIP, "Most wrong answers are one slip (load forgotten): the wording may invite it."
    )


def test_half_is_not_most_and_four_are_not_many() -> None:
    assert flags.of_wrong_answers(10, Common(2.0, True, 5, 0.5), [("sign", 5)]) is None
    assert flags.of_wrong_answers(4, Common(2.0, True, 4, 1.0), [("sign", 4)]) is None
    assert flags.of_wrong_answers(5, Common(2.0, True, 3, 0.6), []) is not None
    assert flags.of_wrong_answers(10, None, []) is None


def test_drawn_values_are_flagged_when_two_quarters_do_not_meet() -> None:
    drivers = [float(place) for place in range(80)]
    steep = facility_by_quartile(drivers, [1.0 if driver < 40 else 0.0 for driver in drivers])
    flat = facility_by_quartile(drivers, [float(place % 2) for place in range(80)])
    few = facility_by_quartile(drivers[:16], [1.0] * 8 + [0.0] * 8)
    assert flags.of_drawn_values(steep) == Flag(
        About.DRAWN_VALUES, "The drawn numbers decide how hard it is: look at how they are drawn."
    )
    assert flags.of_drawn_values(flat) is None
    assert flags.of_drawn_values(few) is None
    assert flags.of_drawn_values(()) is None


def test_a_rough_total_is_told_with_the_length_that_would_do() -> None:
    # .453 over five questions needs .7·.547/(.453·.3) = 2.818 times as many: 15.
    flag = flags.of_reliability(0.453, 5)
    assert flag is not None
    assert flag.says == "The total is rough: about 15 questions like these would be needed, not 5."
    longer = spearman_brown(0.453, 15 / 5)
    shorter = spearman_brown(0.453, 14 / 5)
    assert longer is not None
    assert shorter is not None
    assert shorter < flags.RELIABLE <= longer


@pytest.mark.parametrize(
    ("alpha", "says"),
    [
        (None, None),
        (0.70, None),
        (0.95, None),
        (0.02, "The total tells little about anybody: look at the questions flagged as weak."),
        (0.0, "The questions do not go together: do not read their total as one ability."),
        (-0.4, "The questions do not go together: do not read their total as one ability."),
    ],
)
def test_reliability_is_flagged_below_seven_tenths(alpha: float | None, says: str | None) -> None:
    flag = flags.of_reliability(alpha, 10)
    assert (flag.says if flag else None) == says


@given(st.floats(-5, 1), st.integers(2, 60), st.floats(-1, 1), st.floats(-1, 1), st.integers(0, 500))
def test_every_flag_is_one_sentence(alpha: float, items: int, rest: float, gap: float, n: int) -> None:
    for flag in (flags.of_reliability(alpha, items), flags.of_discrimination(rest, gap, n), flags.too_few(n)):
        if flag is not None:
            assert flag.says.endswith(".")
            assert flag.says.count(".") == 1
            assert flag.says[0].isupper()
