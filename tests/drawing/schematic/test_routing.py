"""Wires on a grid: short, round bodies, straight across others, never onto them."""

from tutor.drawing.schematic.grid import Grid
from tutor.drawing.schematic.routing import Router

ONE, TWO = 1, 2


def sheet(**pins: tuple[int, tuple[int, int]]) -> Router:
    grid = Grid((0, 0, 20, 20))
    router = Router(grid, {ONE: [], TWO: []})
    for node, point in pins.values():
        grid.pin_node[grid.number(point)] = node
        router.groups[node].append([grid.number(point)])
    return router


def corners(router: Router, path: list[int]) -> list[tuple[int, int]]:
    points = [router.grid.point(place) for place in path]
    return [p for i, p in enumerate(points) if i in (0, len(points) - 1) or not _straight(points[i - 1 : i + 2])]


def _straight(three: list[tuple[int, int]]) -> bool:
    return len({x for x, _ in three}) == 1 or len({y for _, y in three}) == 1


def test_a_straight_way_is_taken() -> None:
    router = sheet(a=(ONE, (3, 10)), b=(ONE, (15, 10)))
    path = router.path(ONE, router.groups[ONE][0], router.groups[ONE][1])
    assert path is not None
    assert corners(router, path) == [(3, 10), (15, 10)]


def test_a_body_is_gone_round() -> None:
    router = sheet(a=(ONE, (3, 10)), b=(ONE, (15, 10)))
    router.grid.cover([(8.0, 8.0, 10.0, 12.0)])
    path = router.path(ONE, router.groups[ONE][0], router.groups[ONE][1])
    assert path is not None
    assert len(corners(router, path)) > 2
    assert not any(router.grid.solid[place] for place in path)


def test_another_wire_is_crossed_straight_and_not_at_its_end() -> None:
    router = sheet(a=(ONE, (3, 10)), b=(ONE, (15, 10)), c=(TWO, (9, 1)), d=(TWO, (9, 19)))
    router.join(TWO)
    router.join(ONE)
    crossing = router.grid.number((9, 10))
    right, below, left, above = router.grid.links(crossing)
    assert (right, left, below, above) == (ONE, ONE, TWO, TWO)
    assert router.grid.crossed[crossing]


def test_another_nodes_pin_is_not_touched() -> None:
    router = sheet(a=(ONE, (3, 10)), b=(ONE, (15, 10)), c=(TWO, (9, 10)))
    path = router.path(ONE, router.groups[ONE][0], router.groups[ONE][1])
    assert path is not None
    assert router.grid.number((9, 10)) not in path


def test_a_pin_shut_in_is_left_as_a_group_of_its_own() -> None:
    router = sheet(a=(ONE, (3, 10)), b=(ONE, (15, 10)), c=(ONE, (15, 4)))
    router.grid.cover([(2.0, 7.0, 4.0, 13.0)])
    router.grid.solid[router.grid.number((3, 10))] = 0
    router.join(ONE)
    assert sorted(map(len, router.groups[ONE])) == [1, 7]
