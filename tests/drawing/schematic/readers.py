"""A drawing read as a person reads it, from the SVG's lines and dots: what the tests compare with the netlist."""

import re
import xml.etree.ElementTree as ElementTree
from collections.abc import Sequence
from itertools import pairwise

from tutor.drawing.schematic import DrawnPart, Layout
from tutor.drawing.schematic.netlist import read_netlist
from tutor.drawing.schematic.shapes import on_sheet, shape_of

SVG = "{http://www.w3.org/2000/svg}"
Point = tuple[int, int]


def root_of(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)


def group(root: ElementTree.Element, name: str) -> ElementTree.Element:
    return next(element for element in root.iter(f"{SVG}g") if element.get("class") == name)


def wires(root: ElementTree.Element) -> list[list[Point]]:
    """Return the corners of every wire, in grid units."""
    found = []
    for path in group(root, "wires").iter(f"{SVG}path"):
        numbers = [int(text) for text in re.findall(r"-?\d+", path.get("d", ""))]
        pairs = zip(numbers[::2], numbers[1::2], strict=True)
        found.append([(x // 10, y // 10) for x, y in pairs])
    return found


def dots(root: ElementTree.Element) -> set[Point]:
    circles = group(root, "junctions").iter(f"{SVG}circle")
    return {(int(c.get("cx", "")) // 10, int(c.get("cy", "")) // 10) for c in circles}


def earths(root: ElementTree.Element) -> list[Point]:
    starts = [re.match(r"M(-?\d+) (-?\d+)", path.get("d", "")) for path in group(root, "earth").iter(f"{SVG}path")]
    return [(int(start[1]) // 10, int(start[2]) // 10) for start in starts if start]


def meetings(parts: Sequence[DrawnPart], layout: Layout, svg: str) -> set[Point]:
    """Return the points where three or more conductors meet: stretches of wire that end, leads, marks."""
    netlist, counts = read_netlist(parts), dict[Point, int]()
    ends = [end for corners in wires(root_of(svg)) for end in (corners[0], corners[-1])]
    for reference, spot in layout.spots.items():
        shape = on_sheet(shape_of(netlist.parts[reference], spot.flips), spot)
        ends += set(shape.pins.values())
    ends += [mark.point for mark in (*layout.earths, *layout.rails, *layout.stubs)]
    for end in ends:
        counts[end] = counts.get(end, 0) + 1
    return {point for point, count in counts.items() if count > 2}


class Strings:
    """Loose ends tied together: union and find."""

    def __init__(self) -> None:
        self.parent: dict[object, object] = {}

    def find(self, item: object) -> object:
        while (up := self.parent.setdefault(item, item)) != item:
            item = up
        return item

    def tie(self, a: object, b: object) -> None:
        self.parent[self.find(a)] = self.find(b)


def nets_as_read(parts: Sequence[DrawnPart], layout: Layout, svg: str) -> dict[tuple[str, str], object]:
    """Return a token for every pin, equal for pins that a reader of the drawing takes as joined.

    The reader follows lines point by point. Lines that cross go straight on unless there is a dot; lines that
    meet otherwise are joined. Earth marks are one node, and so are the marks of one supply, and equal names.
    """
    root, netlist, strings = root_of(svg), read_netlist(parts), Strings()
    ways: dict[Point, set[Point]] = {}
    for corners in wires(root):
        for (ax, ay), (bx, by) in pairwise(corners):
            length = max(abs(ax - bx), abs(ay - by))
            sx, sy = (bx - ax) // length, (by - ay) // length
            for n in range(length):
                here, there = (ax + sx * n, ay + sy * n), (ax + sx * (n + 1), ay + sy * (n + 1))
                strings.tie((here, there), (there, here))
                ways.setdefault(here, set()).add(there)
                ways.setdefault(there, set()).add(here)
    pins = {
        (reference, pin): point
        for reference, spot in layout.spots.items()
        for pin, point in on_sheet(shape_of(netlist.parts[reference], spot.flips), spot).pins.items()
    }
    marked = [*earths(root), *(mark.point for mark in (*layout.rails, *layout.stubs))]
    stops = set(pins.values()) | set(marked)
    dotted = dots(root)
    for here, around in ways.items():
        x, y = here
        across = [{(x - 1, y), (x + 1, y)}, {(x, y - 1), (x, y + 1)}]
        if len(around) == 4 and here not in dotted and here not in stops:
            for pair in across:
                first, second = sorted(pair)
                strings.tie((here, first), (here, second))
        else:
            for there in around:
                strings.tie((here, there), here)
    for point in earths(root):
        strings.tie(point, "earth")
    for mark in layout.rails:
        strings.tie(mark.point, f"supply {mark.node}")
    for stub in layout.stubs:
        strings.tie(stub.point, "earth" if stub.node == "0" else f"name {stub.node}")
    return {pin: strings.find(point) for pin, point in pins.items()}


def wrongly_joined(parts: Sequence[DrawnPart], layout: Layout, svg: str) -> list[str]:
    """Return where the nets read from the drawing differ from the netlist's; empty when they agree."""
    netlist = read_netlist(parts)
    tokens = nets_as_read(parts, layout, svg)
    by_node: dict[str, set[object]] = {}
    by_token: dict[object, set[str]] = {}
    for (reference, pin), token in tokens.items():
        node = netlist.parts[reference].nodes[pin]
        by_node.setdefault(node, set()).add(token)
        by_token.setdefault(token, set()).add(node)
    apart = [f"{node} is in pieces" for node, found in by_node.items() if len(found) > 1]
    return apart + [f"{sorted(nodes)} are joined" for nodes in by_token.values() if len(nodes) > 1]
