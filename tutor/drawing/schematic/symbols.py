"""The strokes of every symbol, after IEC 60617, in pixels with the part's origin at (0, 0).

Ten pixels are a grid unit, and the measures follow `shapes`. Strokes take the colour of the text around the
drawing and nothing carries a style, so that a strict content policy leaves the drawing alone. Signs, waves and
letters stay upright however the symbol is turned.
"""

from collections.abc import Callable
from typing import Literal

from tutor.drawing.schematic.parts import CONTROLLED, DrawnPart
from tutor.drawing.schematic.shapes import WINDING, Spot, shape_of, turned, windings_of

UNIT = 10

ResistorStyle = Literal["box", "zigzag"]
Art = tuple[str, tuple[tuple[str, float, float], ...]]
"""Strokes that turn with the part, and upright bits: their name and place."""

_THIN = 'stroke-width="1.2"'
_THICK = 'stroke-width="2.4"'
_FILLED = 'fill="currentColor" stroke="none"'
_CIRCLE = '<path d="M0 0H10M50 0H60"/><circle cx="30" cy="0" r="20"/>'
_BOX = '<path d="M0 0H10M50 0H60M10 -7H50V7H10Z"/>'
_DIAMOND = '<path d="M0 0H10M50 0H60M10 0L30 -20L50 0L30 20Z"/>'
_ARROW = f'<path d="M17 0H36"/><path d="M45 0l-11 -5v10z" {_FILLED}/>'

_UPRIGHT = {
    "plus": f'<path d="M-4 0H4M0 -4V4" {_THIN}/>',
    "minus": f'<path d="M-4 0H4" {_THIN}/>',
    "sine": '<path d="M-11 0q5.5 -13 11 0t11 0"/>',
    "V": '<text text-anchor="middle" y="5" font-size="15" fill="currentColor" stroke="none">V</text>',
    "A": '<text text-anchor="middle" y="5" font-size="15" fill="currentColor" stroke="none">A</text>',
}


def symbol(
    part: DrawnPart,
    spot: Spot,
    style: ResistorStyle,
    *,
    alternating: bool = False,
    coupled: bool = False,
) -> str:
    """Return the SVG of a part's symbol at its spot.

    Args:
        part: The part.
        spot: Where it goes, in grid units.
        style: How resistors look.
        alternating: Whether a source without a flavour is to show a sine.
        coupled: Whether the part is a coupled coil, which has a dot at its first pin.
    """
    strokes, bits = _art(part, spot, style, alternating=alternating)
    if coupled:
        strokes += f'<circle cx="12" cy="-9" r="2" {_FILLED}/>'
    lying = shape_of(part, spot.flips).lying
    moves = f"translate({spot.x * UNIT} {spot.y * UNIT})"
    if spot.turn:
        moves += f" rotate({spot.turn})"
    if spot.mirror:
        moves += " scale(1 -1)" if lying else " scale(-1 1)"
    drawn = [f'<g transform="{moves}">{strokes}</g>']
    for name, x, y in bits:
        px, py = turned((x, y), Spot(0, 0, spot.turn, spot.mirror), lying=lying)
        place = f"translate({number(px + spot.x * UNIT)} {number(py + spot.y * UNIT)})"
        drawn.append(f'<g transform="{place}">{_UPRIGHT[name]}</g>')
    return "".join(drawn)


def signs(part: DrawnPart, spot: Spot) -> list[tuple[float, float]]:
    """Return where the symbol has signs outside its body, in pixels on the sheet."""
    _, bits = _art(part, spot, "box", alternating=False)
    if part.kind not in ("voltage source", "capacitor", "electrolytic capacitor") or len(bits) != 1:
        return []
    lying = shape_of(part, spot.flips).lying
    places = [turned((x, y), Spot(0, 0, spot.turn, spot.mirror), lying=lying) for name, x, y in bits if name == "plus"]
    return [(x + spot.x * UNIT, y + spot.y * UNIT) for x, y in places]


def number(value: float) -> str:
    """Return a coordinate with no more figures than it needs.

    >>> number(2.50), number(-0.0)
    ('2.5', '0')
    """
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _art(part: DrawnPart, spot: Spot, style: ResistorStyle, *, alternating: bool) -> Art:
    if part.is_valve and {"anode", "grid", "cathode"} <= set(part.nodes):
        return (_triode if part.kind == "triode" else _pentode)(part), ()
    if part.kind == "transformer" and part.windings:
        return _transformer(part, spot.flips), ()
    pins = set(part.nodes)
    if part.is_potentiometer:
        return _potentiometer(style), ()
    if part.kind in CONTROLLED and pins in ({"a", "b"}, {"a", "b", "control a", "control b"}):
        return _controlled(part, spot)
    if pins != {"a", "b"}:
        return _plain_box(part), ()
    if part.kind == "voltage source":
        return _voltage_source(part, alternating=alternating)
    kind = "electrolytic capacitor" if part.is_polarised else part.kind
    return _TWO_TERMINAL.get(kind, _named_box)(style), _BITS.get(kind, ())


# -- two-terminal parts, lying from left to right -------------------------------------------------------------


def _resistor(style: ResistorStyle) -> str:
    if style == "zigzag":
        return '<path d="M0 0H10l3.3 -7l6.7 14l6.7 -14l6.6 14l6.7 -14l6.7 14l3.3 -7H60" stroke-linejoin="miter"/>'
    return _BOX


def _capacitor(_style: ResistorStyle) -> str:
    return f'<path d="M0 0H26M34 0H60"/><path d="M26 -14V14M34 -14V14" {_THICK}/>'


def _electrolytic(_style: ResistorStyle) -> str:
    return f'<path d="M0 0H22M38 0H60M22 -14H27.5V14H22Z"/><path d="M32 -14H38V14H32Z" {_FILLED}/>'


def _inductor(_style: ResistorStyle) -> str:
    return '<path d="M0 0H10a5 5.5 0 0 1 10 0a5 5.5 0 0 1 10 0a5 5.5 0 0 1 10 0a5 5.5 0 0 1 10 0H60"/>'


def _diode(_style: ResistorStyle) -> str:
    return f'<path d="M0 0H60M21 -9V9L39 0Z"/><path d="M39 -9V9" {_THICK}/>'


def _current_source(_style: ResistorStyle) -> str:
    return _CIRCLE + _ARROW


def _meter(_style: ResistorStyle) -> str:
    return _CIRCLE


def _named_box(_style: ResistorStyle) -> str:
    return _BOX


_TWO_TERMINAL: dict[str, Callable[[ResistorStyle], str]] = {
    "resistor": _resistor,
    "capacitor": _capacitor,
    "electrolytic capacitor": _electrolytic,
    "inductor": _inductor,
    "diode": _diode,
    "current source": _current_source,
    "meter": _meter,
}
_BITS: dict[str, tuple[tuple[str, float, float], ...]] = {
    "electrolytic capacitor": (("plus", 14, -10),),
    "meter": (("V", 30, 0),),
}


def _voltage_source(part: DrawnPart, *, alternating: bool) -> Art:
    if part.flavour == "ac" or (not part.flavour and alternating):
        return _CIRCLE, (("sine", 30, 0),)
    if part.flavour == "dc":
        cells = '<path d="M0 0H21M39 0H60M27 0H33"/><path d="M21 -14V14M33 -14V14"/>'
        return cells + '<path d="M27 -7V7M39 -7V7" stroke-width="3.4"/>', (("plus", 12, -9),)
    return _CIRCLE, (("plus", 19, 0), ("minus", 41, 0))


def _potentiometer(style: ResistorStyle) -> str:
    return _resistor(style) + f'<path d="M30 -30V-16"/><path d="M30 -7.5l-4.5 -9.5h9z" {_FILLED}/>'


def _controlled(part: DrawnPart, spot: Spot) -> Art:
    """A diamond; at its left, when a voltage controls it, the two open ends between which that voltage stands."""
    current = "current source" in part.kind
    strokes = _DIAMOND + (_ARROW if current else "")
    bits: list[tuple[str, float, float]] = [] if current else [("plus", 19, 0), ("minus", 41, 0)]
    if "control a" in part.nodes:
        pins = shape_of(part, spot.flips).pins
        for control in ("control a", "control b"):
            x, y = (60 if (control == "control b") is not bool(spot.flips) else 0), 34
            tied = pins[control] in (pins["a"], pins["b"])
            strokes += f'<circle cx="{x}" cy="{y}" r="3"/><path d="M{x} {"31V0" if tied else "37V40"}"/>'
            bits.append(("plus" if control == "control a" else "minus", 48 if x else 12, 34))
    return strokes, tuple(bits)


# -- valves, anode up -----------------------------------------------------------------------------------------

_GRID = "h6m4 0h6m4 0h6"


def _triode(_part: DrawnPart) -> str:
    return (
        '<circle r="26"/><path d="M0 -40V-13M-40 0H-13M0 40V13"/>'
        f'<path d="M-12 -13H12" stroke-width="3"/><path d="M-13 0{_GRID}" {_THICK}/>'
        f'<path d="M-10 17V13H10V17" {_THICK}/>'
    )


def _pentode(part: DrawnPart) -> str:
    strokes = (
        '<circle r="30"/><path d="M0 -40V-19M-40 10H-13M0 40V20"/>'
        f'<path d="M-12 -19H12" stroke-width="3"/><path d="M-10 24V20H10V24" {_THICK}/>'
    )
    for row in (10, 0, -10):
        strokes += f'<path d="M-13 {row}{_GRID}" {_THICK}/>'
    if "screen" in part.nodes:
        strokes += '<path d="M13 0H40"/>'
    apart = "suppressor" in part.nodes and part.nodes["suppressor"] != part.nodes["cathode"]
    # A suppressor that is not brought out is tied to the cathode inside the envelope.
    strokes += '<path d="M13 -10H40"/>' if apart else f'<path d="M13 -10H20V20H10" {_THIN}/>'
    return strokes


# -- transformers and plain boxes -----------------------------------------------------------------------------


def _transformer(part: DrawnPart, flips: tuple[int, ...]) -> str:
    strokes, feet = "", []
    for winding in windings_of(part, flips):
        top, foot = winding.top * UNIT, (winding.top + WINDING) * UNIT
        feet.append(foot)
        edge, coil, sweep = (0, 20, 1) if winding.left else (70, 50, 0)
        turns = f"a5.5 5 0 0 {sweep} 0 10" * WINDING
        strokes += f'<path d="M{edge} {top}H{coil}{turns}H{edge}"/>'
        dot = (foot - 5 if winding.flipped else top + 5, coil - 6 if winding.left else coil + 6)
        strokes += f'<circle cx="{dot[1]}" cy="{dot[0]}" r="2" {_FILLED}/>'
    foot = max(feet)
    return strokes + f'<path d="M32.5 0V{foot}M37.5 0V{foot}" {_THIN}/>'


def _plain_box(part: DrawnPart) -> str:
    shape = shape_of(part)
    left, top, right, foot = (int(edge * UNIT) for edge in shape.boxes[0])
    strokes = f'<path d="M{left} {top}H{right}V{foot}H{left}Z"/>'
    for (px, py), (qx, _) in shape.leads:
        strokes += f'<path d="M{px * UNIT} {py * UNIT}H{qx * UNIT}"/>'
    return strokes
