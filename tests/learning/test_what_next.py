"""What to ask next: order, mixing, reviews, gaps, prerequisites, templates, and reasons that are true."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tutor.learning.needle import bell, prior
from tutor.learning.standing import Word
from tutor.learning.what_next import (
    GAPS,
    RECENT,
    REVIEW_EVERY,
    TARGET,
    Next,
    Order,
    TemplateView,
    TopicView,
    choose,
    gap,
    predicted,
)

TODAY = date(2026, 3, 2)
MEANS = {"dividers": 0.75, "supplies": 0.60, "heaters": 0.50, "bias": 0.40, "outputs": 0.30}


def topic(name: str, word: Word = Word.LEARNING, ago: int | None = 3, **changes: object) -> TopicView:
    tried = word is not Word.NOT_TRIED
    made = {
        "name": name,
        "title": name.title(),
        "needs": (),
        "weights": bell(0.0, 0.6) if tried else None,
        "mean": MEANS.get(name, 0.5),
        "word": word,
        "last": TODAY - timedelta(days=ago) if tried and ago is not None else None,
    }
    return TopicView(**(made | changes))  # type: ignore[arg-type]


def template(of: str, number: int = 1, difficulty: float = 0.0, **changes: object) -> TemplateView:
    return TemplateView(name=f"{of}-{number}", topic=of, difficulty=difficulty, **changes)  # type: ignore[arg-type]


def stock(topics: Sequence[TopicView]) -> list[TemplateView]:
    return [template(one.name, number, ago=50) for one in topics for number in (1, 2, 3)]


def chosen(topics: Sequence[TopicView], **changes: object) -> Next:
    found = choose(topics, stock(topics), day=TODAY, **changes)  # type: ignore[arg-type]
    assert found is not None
    return found


def topic_of(found: Next) -> str:
    return found.template.split("-")[0]


def topics_by_lot(topics: Sequence[TopicView], **changes: object) -> Counter[str]:
    return Counter(topic_of(chosen(topics, lot=lot, **changes)) for lot in range(60))


OPEN = [topic(name) for name in MEANS]

views = st.lists(
    st.builds(
        lambda name, word, mean, ago, reviews, needs: topic(name, word, ago, mean=mean, reviews=reviews, needs=needs),
        name=st.sampled_from(sorted(MEANS)),
        word=st.sampled_from(list(Word)),
        mean=st.floats(0.1, 0.95),
        ago=st.integers(0, 100),
        reviews=st.integers(0, 5),
        needs=st.lists(st.sampled_from(sorted(MEANS)), max_size=2).map(tuple),
    ),
    min_size=1,
    max_size=5,
    unique_by=lambda view: view.name,
)


# -- nothing to ask --------------------------------------------------------------------------------------------------
def test_without_topics_or_templates_there_is_nothing_to_ask() -> None:
    assert choose([], [], day=TODAY) is None
    assert choose(OPEN, [], day=TODAY) is None
    assert choose([], stock(OPEN), day=TODAY) is None


def test_a_topic_without_templates_is_passed_over() -> None:
    found = choose(OPEN, [template("outputs")], day=TODAY)
    assert found is not None
    assert found.template == "outputs-1"


# -- which topic -----------------------------------------------------------------------------------------------------
def test_while_lessons_run_the_three_nearest_to_secure_are_mixed_evenly() -> None:
    assert topics_by_lot(OPEN) == {"dividers": 20, "supplies": 20, "heaters": 20}


def test_before_the_end_the_weakest_comes_first_whatever_the_lot() -> None:
    assert topics_by_lot(OPEN, order=Order.WEAKEST) == {"outputs": 60}


def test_the_order_of_the_lessons_decides_between_equals() -> None:
    equal = [topic(name, mean=0.5) for name in MEANS]
    assert topic_of(chosen(equal, order=Order.WEAKEST)) == "dividers"
    assert set(topics_by_lot(equal)) == {"dividers", "supplies", "heaters"}


def test_the_last_topic_rests_within_the_window() -> None:
    assert topics_by_lot(OPEN, last_topic="supplies") == {"dividers": 30, "heaters": 30}
    assert topics_by_lot(OPEN, last_topic="outputs", order=Order.WEAKEST) == {"bias": 60}


def test_a_single_open_topic_is_asked_again() -> None:
    alone = [topic("bias"), topic("heaters", Word.SECURE, ago=0)]
    assert topics_by_lot(alone, last_topic="bias") == {"bias": 60}


@given(
    topics=views,
    asked=st.integers(0, 40),
    lot=st.integers(0, 10**9),
    order=st.sampled_from(list(Order)),
    at=st.integers(0, 4),
)
def test_no_two_neighbours_share_a_topic_while_two_are_ready(
    topics: list[TopicView], asked: int, lot: int, order: Order, at: int
) -> None:
    last = topics[at % len(topics)].name
    untried = {view.name for view in topics if view.word is Word.NOT_TRIED}
    open_ones = [view for view in topics if not view.is_done]
    ready = [view for view in open_ones if not untried.intersection(view.needs)] or open_ones
    found = topic_of(chosen(topics, asked=asked, lot=lot, order=order, last_topic=last))
    if len(ready) >= 2 or (not open_ones and len(topics) >= 2):
        assert found != last


@given(topics=views, asked=st.integers(0, 40), lot=st.integers(0, 10**9), order=st.sampled_from(list(Order)))
def test_the_same_state_gives_the_same_choice(topics: list[TopicView], asked: int, lot: int, order: Order) -> None:
    first = chosen(topics, asked=asked, lot=lot, order=order)
    assert chosen(topics, asked=asked, lot=lot, order=order) == first
    assert topic_of(first) in {view.name for view in topics}


# -- prerequisites ---------------------------------------------------------------------------------------------------
def test_a_topic_waits_until_what_it_needs_has_been_tried() -> None:
    untried = [topic("dividers", Word.NOT_TRIED), topic("supplies", needs=("dividers",)), topic("bias")]
    assert set(topics_by_lot(untried)) == {"dividers", "bias"}
    tried = [topic("dividers"), topic("supplies", needs=("dividers",)), topic("bias")]
    assert set(topics_by_lot(tried)) == {"dividers", "supplies", "bias"}


def test_what_it_needs_outside_of_what_may_be_asked_does_not_matter() -> None:
    assert set(topics_by_lot([topic("supplies", needs=("elsewhere",))])) == {"supplies"}


def test_topics_that_wait_for_each_other_are_asked_all_the_same() -> None:
    circle = [topic("dividers", Word.NOT_TRIED, needs=("bias",)), topic("bias", Word.NOT_TRIED, needs=("dividers",))]
    assert set(topics_by_lot(circle)) == {"dividers", "bias"}


# -- reviews ---------------------------------------------------------------------------------------------------------
def test_gaps_are_days_then_weeks_then_months() -> None:
    assert [gap(n) for n in range(6)] == [2, 10, 45, 45, 45, 45]
    assert list(GAPS) == sorted(set(GAPS))


@pytest.mark.parametrize("reviews", range(5))
def test_something_secure_is_due_on_the_day_that_its_gap_is_over(reviews: int) -> None:
    for days, due in ((gap(reviews) - 1, False), (gap(reviews), True)):
        topics = [*OPEN, topic("meters", Word.SECURE, days, reviews=reviews)]
        assert (topic_of(chosen(topics, asked=REVIEW_EVERY - 1)) == "meters") is due


def test_one_question_in_six_is_a_review_while_something_is_due() -> None:
    topics = [*OPEN, topic("meters", Word.SECURE, 30)]
    reviews = [asked for asked in range(24) if topic_of(chosen(topics, asked=asked)) == "meters"]
    assert reviews == [5, 11, 17, 23]


def test_nothing_due_means_no_review() -> None:
    topics = [*OPEN, topic("meters", Word.SECURE, 1)]
    assert all(topic_of(chosen(topics, asked=asked)) != "meters" for asked in range(24))


def test_the_longest_overdue_for_its_gap_is_reviewed_first() -> None:
    topics = [
        *OPEN,
        topic("meters", Word.SECURE, 40, reviews=2),  # not due yet
        topic("valves", Word.SECURE, 30, reviews=1),  # three gaps
        topic("chokes", Word.SECURE, 8, reviews=0),  # four gaps
    ]
    assert topic_of(chosen(topics, asked=5)) == "chokes"
    assert topic_of(chosen(topics, asked=5, last_topic="chokes")) == "valves"


def test_where_all_is_secure_reviews_come_at_any_time_and_else_what_rested_longest() -> None:
    due = [topic("meters", Word.SECURE, 30), topic("valves", Word.SECURE, 1)]
    assert topic_of(chosen(due, asked=0)) == "meters"
    rested = [topic("meters", Word.SECURE, 0), topic("valves", Word.SECURE, 1), topic("chokes", Word.SECURE, 0)]
    assert topic_of(chosen(rested)) == "valves"
    assert topic_of(chosen(rested, last_topic="valves")) == "meters"


def test_where_all_is_secure_before_the_end_the_least_secure_comes_first() -> None:
    topics = [
        topic(name, Word.SECURE, 0, mean=mean) for name, mean in (("bias", 0.9), ("dividers", 0.8), ("meters", 0.85))
    ]
    found = chosen(topics, order=Order.WEAKEST)
    assert topic_of(found) == "dividers"
    assert found.why == "Everything here is secure; Dividers least so."
    after = chosen(topics, order=Order.WEAKEST, last_topic="dividers")
    assert topic_of(after) == "meters"
    assert after.why == "Everything here is secure; Meters least so after what you just had."


def test_what_has_faded_is_open_again() -> None:
    topics = [topic("meters", Word.DUE_AGAIN, 90, mean=0.70), topic("bias")]
    assert set(topics_by_lot(topics)) == {"meters", "bias"}


# -- which template --------------------------------------------------------------------------------------------------
def test_the_template_predicted_nearest_to_three_in_four_is_taken() -> None:
    own = [template("bias", number, difficulty, ago=50) for number, difficulty in enumerate((-3.0, -1.2, 0.0, 2.0))]
    found = choose([topic("bias")], own, day=TODAY)
    assert found is not None
    distances = {one.name: abs(predicted(bell(0.0, 0.6), one.difficulty) - TARGET) for one in own}
    assert found.template == min(distances, key=lambda name: distances[name]) == "bias-1"


def test_an_able_member_is_given_a_harder_template_than_a_beginner() -> None:
    own = [template("bias", number, 0.5 * number - 3, ago=50) for number in range(13)]

    def level(mean: float) -> float:
        found = choose([topic("bias", weights=bell(mean, 0.4))], own, day=TODAY)
        assert found is not None
        return next(one.difficulty for one in own if one.name == found.template)

    assert level(-1.5) < level(0.0) < level(1.5)


def test_what_was_asked_lately_rests_then_what_was_answered_today() -> None:
    own = [
        template("bias", 1, -1.2, ago=RECENT - 1),  # the best, but asked lately
        template("bias", 2, -1.2, ago=RECENT, today=True),  # as good, but answered today
        template("bias", 3, 2.5, ago=RECENT),  # poor, but rested
    ]

    def name(templates: list[TemplateView]) -> str:
        found = choose([topic("bias")], templates, day=TODAY)
        assert found is not None
        return found.template

    assert name(own) == "bias-3"
    assert name(own[:2]) == "bias-2"
    assert name(own[:1]) == "bias-1"


def test_names_decide_between_equal_templates() -> None:
    own = [template("bias", number, 0.3) for number in (3, 1, 2)]
    found = choose([topic("bias")], own, day=TODAY)
    assert found is not None
    assert found.template == "bias-1"


def test_an_untried_topic_is_predicted_from_the_prior() -> None:
    own = [template("bias", number, 0.5 * number - 4) for number in range(9)]
    found = choose([topic("bias", Word.NOT_TRIED)], own, day=TODAY)
    assert found is not None
    assert found.template == min(own, key=lambda one: abs(predicted(prior(), one.difficulty) - TARGET)).name


# -- reasons ---------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("topics", "changes", "why"),
    [
        ([topic("bias", Word.NOT_TRIED)], {}, "Bias is new to you."),
        ([topic("bias")], {}, "Bias is among the topics nearest to secure."),
        ([topic("bias", Word.DUE_AGAIN)], {}, "Bias was secure and has faded."),
        (OPEN, {"order": Order.WEAKEST}, "Outputs is where you stand lowest."),
        (
            OPEN,
            {"order": Order.WEAKEST, "last_topic": "outputs"},
            "Bias is where you stand lowest after Outputs, which you just had.",
        ),
        (
            [*OPEN, topic("meters", Word.SECURE, 30)],
            {"asked": 5},
            "Meters was secure and is due for another look.",
        ),
        (
            [topic("meters", Word.SECURE, 1), topic("valves", Word.SECURE, 0)],
            {},
            "Everything here is secure; Meters rested longest.",
        ),
    ],
)
def test_the_reason_is_one_plain_sentence(topics: list[TopicView], changes: dict[str, object], why: str) -> None:
    assert chosen(topics, **changes).why == why


def test_a_template_never_met_is_told_in_a_topic_that_is_known() -> None:
    new = [template("bias")]
    known, unknown = (choose([topic("bias", word)], new, day=TODAY) for word in (Word.LEARNING, Word.NOT_TRIED))
    assert known is not None
    assert unknown is not None
    assert known.why.endswith(" This question is new to you.")
    assert unknown.why == "Bias is new to you."


@given(
    topics=views,
    asked=st.integers(0, 40),
    lot=st.integers(0, 10**9),
    order=st.sampled_from(list(Order)),
    at=st.integers(0, 4),
)
def test_every_reason_is_true_of_what_was_chosen(
    topics: list[TopicView], asked: int, lot: int, order: Order, at: int
) -> None:
    last = topics[at % len(topics)].name
    found = chosen(topics, asked=asked, lot=lot, order=order, last_topic=last)
    view = next(one for one in topics if one.name == topic_of(found))
    open_ones = [one for one in topics if not one.is_done]
    untried = {one.name for one in topics if one.word is Word.NOT_TRIED}
    ready = [one for one in open_ones if not untried.intersection(one.needs)] or open_ones
    assert found.why.count(view.title) == 1
    if "new to you" in found.why:
        assert view.word is Word.NOT_TRIED
    elif "has faded" in found.why:
        assert view.word is Word.DUE_AGAIN
    elif "due for another look" in found.why:
        assert view.is_done
        assert view.last is not None
        assert (TODAY - view.last).days >= gap(view.reviews)
    elif "rested longest" in found.why:
        assert not open_ones
        others = [one for one in topics if one.name != last] or topics
        assert view.last == min(one.last for one in others if one.last is not None)
    elif "least so" in found.why:
        assert not open_ones
        lower = [one.name for one in topics if one.mean < view.mean]
        assert lower in ([last], []) if "after" in found.why else lower == []
    elif "lowest after" in found.why:
        lower = [one for one in ready if one.mean < view.mean]
        assert [one.name for one in lower] in ([last], [])
    elif "stand lowest" in found.why:
        assert view.mean == min(one.mean for one in ready)
    else:
        assert found.why == f"{view.title} is among the topics nearest to secure."
        assert sum(one.mean > view.mean for one in ready) < 3
