"""Lines in pixels: cut at their frame, thinned to what the eye needs."""

from __future__ import annotations

import itertools
import math

from hypothesis import given
from hypothesis import strategies as st

from tutor.drawing.plots.geometry import TOLERANCE, Point, clipped, clipped_area, runs_of, thinned

BOX = (0.0, 0.0, 100.0, 50.0)
points = st.tuples(st.floats(-200, 300), st.floats(-200, 300))


def distance(point: Point, start: Point, end: Point) -> float:
    dx, dy = end[0] - start[0], end[1] - start[1]
    square = dx * dx + dy * dy
    along = 0.0 if square == 0 else ((point[0] - start[0]) * dx + (point[1] - start[1]) * dy) / square
    along = min(max(along, 0.0), 1.0)
    return math.hypot(point[0] - start[0] - along * dx, point[1] - start[1] - along * dy)


@given(st.lists(points, min_size=3, max_size=30))
def test_a_thinned_line_stays_within_its_tolerance(run: list[Point]) -> None:
    kept = thinned(run)
    assert kept[0] == run[0]
    assert kept[-1] == run[-1]
    for point in run:
        pieces = itertools.pairwise(kept)
        assert min(distance(point, start, end) for start, end in pieces) <= TOLERANCE * (1 + 1e-6)


@given(st.lists(points, min_size=2, max_size=20))
def test_nothing_is_drawn_outside_the_frame(run: list[Point]) -> None:
    for piece in clipped(run, BOX):
        assert all(-1e-6 <= x <= 100 + 1e-6 and -1e-6 <= y <= 50 + 1e-6 for x, y in piece)


def test_a_line_through_the_frame_is_cut_at_both_edges() -> None:
    assert clipped([(-10.0, 25.0), (110.0, 25.0)], BOX) == [[(0.0, 25.0), (100.0, 25.0)]]


def test_a_gap_breaks_a_line() -> None:
    assert runs_of([(0.0, 0.0), (1.0, math.nan), (2.0, 2.0)]) == [[(0.0, 0.0)], [(2.0, 2.0)]]


def test_an_area_is_cut_at_the_frame() -> None:
    assert set(clipped_area([(-10.0, 10.0), (50.0, 10.0), (50.0, 20.0), (-10.0, 20.0)], BOX)) == {
        (0.0, 10.0), (50.0, 10.0), (50.0, 20.0), (0.0, 20.0),
    }  # fmt: skip
