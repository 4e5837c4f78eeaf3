"""Symbols: their strokes reach their pins, keep inside the room that was reckoned with, and stay upright."""

import re

import pytest

from tests.drawing.schematic.circuits import C, D, R, can, controlled, pentode, pot, source, transformer, triode, two
from tests.drawing.schematic.readers import SVG, root_of
from tutor.drawing.schematic import DrawnPart, draw_schematic
from tutor.drawing.schematic.shapes import Spot, on_sheet, shape_of
from tutor.drawing.schematic.symbols import symbol

PARTS = [
    R("R1", "x", "y"),
    C("C1", "x", "y"),
    can("C2", "x", "y"),
    two("L1", "inductor", "x", "y"),
    D("D1", "x", "y"),
    two("M1", "meter", "x", "y"),
    source("V1", "x", "y", "9 V", "dc"),
    source("V2", "x", "y", "9 V", "ac"),
    source("V3", "x", "y", "9 V"),
    two("I1", "current source", "x", "y"),
    pot("VR1", "x", "y", "z"),
    triode("V4", "x", "y", "z"),
    pentode("V5", "w", "x", "y", "z"),
    transformer("T1", first=("w", "x"), second=("y", "z")),
    controlled("E1", "w", "x", "y", "z", "5"),
    controlled("G1", "w", "x", "y", "z", "5", "current"),
    DrawnPart(reference="X1", kind="relay", nodes={"p": "x", "q": "y", "r": "z"}),
]


def pens(strokes: str) -> set[tuple[int, int]]:
    """Return the points, in pixels, at which a path starts, turns a corner or ends."""
    found: set[tuple[int, int]] = set()
    for data in re.findall(r' d="([^"]+)"', strokes):
        x = y = 0.0
        for letter, text in re.findall(r"([A-Za-z])([^A-Za-z]*)", data):
            numbers = [float(n) for n in re.findall(r"-?\d+(?:\.\d+)?", text)]
            if letter == "M":
                x, y = numbers[0], numbers[1]
            elif letter in "Hh":
                x = numbers[0] + (x if letter == "h" else 0)
            elif letter in "Vv":
                y = numbers[0] + (y if letter == "v" else 0)
            elif letter == "L":
                x, y = numbers
            elif letter in "lmaq":
                x, y = x + numbers[-2], y + numbers[-1]
            found.add((round(x), round(y)))
    return found


@pytest.mark.parametrize("part", PARTS, ids=lambda part: f"{part.kind} {part.flavour}")
def test_a_lead_ends_on_every_pin(part: DrawnPart) -> None:
    strokes = symbol(part, Spot(0, 0), "box")
    for x, y in shape_of(part).pins.values():
        assert (10 * x, 10 * y) in pens(strokes)


@pytest.mark.parametrize("part", PARTS, ids=lambda part: f"{part.kind} {part.flavour}")
@pytest.mark.parametrize("turn", [0, 90, 180, 270])
def test_a_turned_part_has_its_pins_where_its_symbol_is_turned_to(part: DrawnPart, turn: int) -> None:
    spot = Spot(4, 7, turn)
    found = re.match(r'<g transform="translate\(40 70\)(?: rotate\((\d+)\))?">', symbol(part, spot, "box"))
    assert found is not None
    assert int(found[1] or 0) == turn
    quarter = {0: lambda x, y: (x, y), 90: lambda x, y: (-y, x), 180: lambda x, y: (-x, -y), 270: lambda x, y: (y, -x)}
    for pin, (x, y) in shape_of(part).pins.items():
        dx, dy = quarter[turn](x, y)
        assert on_sheet(shape_of(part), spot).pins[pin] == (4 + dx, 7 + dy)


def test_a_source_shows_what_its_flavour_or_its_value_says() -> None:
    def of(value: str, flavour: str) -> str:
        part = DrawnPart(
            reference="V1",
            kind="voltage source",
            nodes={"a": "x", "b": "0"},
            value=value,
            flavour=flavour,  # type: ignore[arg-type]
        )
        svg = draw_schematic([part], title="t", uid="u").svg
        return "sine" if "q5.5 -13" in svg else "battery" if "M21 -14V14" in svg else "plain"

    assert of("9 V", "dc") == "battery"
    assert of("9 V", "ac") == "sine"
    assert of("9 V", "") == "plain"
    assert of("6.3 V 50 Hz", "") == "sine"
    assert of("6.3 V 50 Hz", "dc") == "battery"


def test_signs_and_letters_are_not_turned_with_the_part() -> None:
    svg = draw_schematic([two("M1", "meter", "x", "0")], title="t", uid="u").svg
    letter = next(text for text in root_of(svg).iter(f"{SVG}text") if text.text == "V")
    parents = {child: parent for parent in root_of(svg).iter() for child in parent}
    assert letter.text == "V"
    assert not any("rotate" in parent.get("transform", "") for child, parent in parents.items() if child.text == "V")


def test_the_suppressor_is_tied_inside_unless_it_is_brought_out() -> None:
    nodes = {"anode": "a", "grid": "g", "screen": "s", "cathode": "k"}
    inside = DrawnPart(reference="V1", kind="pentode", nodes=nodes)
    tied = DrawnPart(reference="V1", kind="pentode", nodes={**nodes, "suppressor": "k"})
    out = DrawnPart(reference="V1", kind="pentode", nodes={**nodes, "suppressor": "0"})
    assert symbol(inside, Spot(0, 0), "box") == symbol(tied, Spot(0, 0), "box")
    assert shape_of(tied).pins["suppressor"] == shape_of(tied).pins["cathode"]
    assert shape_of(out).pins["suppressor"] == (4, -1)
    assert symbol(out, Spot(0, 0), "box") != symbol(inside, Spot(0, 0), "box")


def test_windings_in_series_share_their_tap_and_stand_on_one_side() -> None:
    shape = shape_of(transformer("T1", upper=("a1", "ht"), lower=("ht", "a2"), secondary=("ls", "0")))
    assert shape.pins["upper end"] == shape.pins["lower start"]
    assert len({shape.pins[f"{name} start"][0] for name in ("upper", "lower")}) == 1
    assert shape.pins["secondary start"][0] > shape.pins["upper start"][0]


def test_a_winding_the_wrong_way_round_is_turned_to_meet_its_neighbour() -> None:
    shape = shape_of(transformer("T1", upper=("a1", "ht"), lower=("a2", "ht")))
    assert shape.pins["upper end"] == shape.pins["lower end"]


def test_every_winding_has_a_dot_at_its_start() -> None:
    strokes = symbol(transformer("T1", one=("w", "x"), two=("y", "z")), Spot(0, 0, flips=(1,)), "box")
    dots = [float(y) for y in re.findall(r'<circle cx="\d+" cy="(\d+)" r="2"', strokes)]
    assert dots == [5.0, 55.0]


def test_a_control_end_on_an_output_node_is_tied_to_it() -> None:
    shape = shape_of(controlled("G1", "a", "k", "g", "k", "2 mA/V", "current"))
    assert shape.pins["control b"] == shape.pins["b"]
    assert shape.pins["control a"] not in (shape.pins["a"], shape.pins["b"])
