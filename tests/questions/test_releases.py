"""Releases: the same words give the same name for ever, and what a member could see makes another."""

from __future__ import annotations

import pytest

from tests.questions.templates import bench_circuits, read
from tests.questions.test_reading import GOOD, changed
from tutor.questions.reading import release_of


def test_the_release_is_the_same_for_the_same_words_in_another_layout() -> None:
    flowing = changed(("  R1:\n    series: E12\n    from: 47 kΩ\n    to: 470 kΩ\n",
                       "  R1: {series: E12, from: 47 kΩ, to: 470 kΩ}   # a comment\n"))  # fmt: skip
    moved = flowing.replace("title: What the load does to a divider\n", "") + "title: What the load does to a divider\n"
    assert read(flowing).release == read(GOOD).release == read(moved).release


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("47 kΩ", "39 kΩ"), ("feeds the", "drives the"), ("2 %", "3 %"), ("That is across", "This is across"),
        ("[One., Two.]", "[Two., One.]"), ("nodes: [tap, 0]", "nodes: [tap, '0' ]\n    , at: [1, 2]"),
    ],
)  # fmt: skip
def test_any_change_that_a_member_could_see_makes_a_new_release(old: str, new: str) -> None:
    assert read(changed((old, new))).release != read(GOOD).release


def test_a_change_of_a_shared_circuit_makes_a_new_release() -> None:
    start, end = GOOD.index("circuit:"), GOOD.index("values:")
    text = GOOD[:start] + "circuit: loaded-divider\n" + GOOD[end:]
    parts = {name: dict(part) for name, part in bench_circuits("loaded-divider").items() if name != "RL"}
    changed_parts = parts | {"R3": {"kind": "resistor", "nodes": ["tap", "0"], "value": "1 MΩ"}}
    assert read(text, lambda _: parts).release != read(text, lambda _: changed_parts).release


def test_a_release_is_twelve_characters_that_name_the_data_for_ever() -> None:
    # Pinned: an attempt stored under a release must find it again with every later version.
    assert release_of({"template": "a", "values": {"R1": "10 kΩ"}}) == "d561bf20f8ad"
