"""The corpus: more than sixty ways to answer a paper, and three hundred mutations of them."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.conftest import BANKS
from tests.post.replies_corpus import HOUSE, PAPERS, Style, corpus, sheet_for
from tutor.learning.courses import Shelf, read_shelf
from tutor.learning.ports.post import Finding
from tutor.learning.rounds.labels import places_of
from tutor.post.replies.reader import PostReader
from tutor.questions.marking import mark
from tutor.questions.marks import Verdict

READER = PostReader(HOUSE)
SHELF = read_shelf([BANKS], None)
STYLES = corpus(SHELF)


def read(style: Style, shelf: Shelf) -> Finding:
    text = READER.decoded(style.raw).text if style.name.endswith(".eml") else style.raw.decode()
    return READER.answers(text, sheet_for(shelf, style.paper))


@pytest.mark.parametrize("style", STYLES, ids=lambda style: style.name)
def test_each_reply_is_read_as_it_is_meant(style: Style, shelf: Shelf) -> None:
    finding = read(style, shelf)
    assert dict(finding.certain) == dict(style.expect)
    assert finding.is_certain != style.person


def test_nine_answers_in_ten_are_read_without_a_person_and_none_is_read_wrongly(shelf: Shelf) -> None:
    wanted = certain = alone = wrong = 0
    for style in STYLES:
        finding = read(style, shelf)
        # Of a reply that a person has to look at, every ask of its paper is wanted.
        wanted += len(places_of(sheet_for(shelf, style.paper).issues)) if style.person else len(style.expect)
        certain += len(finding.certain)
        alone += len(finding.certain) if finding.is_certain else 0
        wrong += sum(style.expect.get(label) != answer for label, answer in finding.certain.items())
    print(  # noqa: T201 - the figure is wanted, with -s
        f"\n{len(STYLES)} styles, {wanted} answers: {100 * certain / wanted:.1f} % read, "
        f"{100 * alone / wanted:.1f} % in replies that nobody has to look at, {wrong} read wrongly"
    )
    assert len(STYLES) >= 60
    assert wrong == 0
    assert certain / wanted >= 0.9
    plain = [style for style in STYLES if not style.person]
    assert all(read(style, shelf).is_certain for style in plain)


mutations = st.lists(
    st.one_of(
        st.tuples(st.just("cut"), st.floats(0, 1), st.integers(1, 60)),
        st.tuples(st.just("put"), st.floats(0, 1), st.binary(max_size=12)),
        st.tuples(st.just("say"), st.floats(0, 1), st.text(max_size=12).map(lambda text: text.encode("utf-8", "replace"))),
        st.tuples(st.just("again"), st.floats(0, 1), st.integers(1, 200)),
        st.tuples(st.just("swap"), st.floats(0, 1), st.sampled_from([b"\n", b"\r", b"\0", b"=", b"<", b">", b"(", b"1", b"."])),
    ),
    min_size=1,
    max_size=6,
)  # fmt: skip


def mutated(raw: bytes, changes: list[tuple[str, float, object]]) -> bytes:
    for how, where, what in changes:
        at = int(where * len(raw))
        if how == "cut":
            assert isinstance(what, int)
            raw = raw[:at] + raw[at + what :]
        elif how == "again":
            assert isinstance(what, int)
            raw = raw[: at + what] + raw[at:]
        else:
            assert isinstance(what, bytes)
            raw = raw[:at] + what + raw[at + (how == "swap") :]
    return raw


@settings(max_examples=300)
@given(st.sampled_from(STYLES), mutations)
def test_mutated_replies_never_raise_and_no_unread_answer_is_taken(
    style: Style, changes: list[tuple[str, float, object]]
) -> None:
    sheet = sheet_for(SHELF, style.paper)
    raw = mutated(style.raw, changes)
    incoming = READER.decoded(raw)
    finding = READER.answers(incoming.text, sheet)
    assert "It could not be searched." not in finding.doubts
    words = "".join(incoming.text.split()).casefold()
    for place in places_of(sheet.issues):
        answer = finding.certain.get(place.label)
        if not answer:
            continue
        verdict = mark(place.issue.question, {place.ask.name: answer}).asks[place.ask.name].verdict
        assert verdict not in (Verdict.UNREADABLE, Verdict.BLANK)
        if not place.ask.options and place.ask.kind != "change":
            assert "".join(answer.split()).casefold() in words  # the person's own words, and nobody else's


@settings(max_examples=150)
@given(st.sampled_from(sorted(PAPERS)), st.text(alphabet="1234ab). :-=,\n QV mrisesA>?kΩ", max_size=200))
def test_no_text_at_all_stops_the_reader(paper: str, text: str) -> None:
    finding = READER.answers(text, sheet_for(SHELF, paper))
    assert "It could not be searched." not in finding.doubts


@pytest.mark.parametrize(
    "unit",
    [
        "1. 43.9 V ",
        "> " * 400,
        "(" * 5000,
        "i " * 20_000,
        "1 " * 20_000,
        "sorry, " * 5000,
        "about " * 5000,
        "On 2 March " * 3000,
    ],
)
def test_monstrous_texts_take_no_monstrous_time(unit: str) -> None:
    import time

    begun = time.perf_counter()
    READER.answers(unit * 10, sheet_for(SHELF, "simple"))
    READER.answers(unit + "\n" + "\n".join([unit[:300]] * 2000), sheet_for(SHELF, "simple"))
    assert time.perf_counter() - begun < 20
