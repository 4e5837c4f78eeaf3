"""What the labels say: references with lowered figures, values, supplies, node names."""

from collections.abc import Sequence
from dataclasses import dataclass

from tutor.drawing.schematic import text
from tutor.drawing.schematic.parts import DrawnPart

Line = tuple[str, float]
"""Markup of one line of text, and its width in pixels."""

_LINE_WIDTH = 56.0


@dataclass(frozen=True, slots=True)
class Caption:
    """A label: its ways of being broken into lines, best first.

    Attributes:
        ways: Each way as its lines.
        small: Whether it is the small name of a node.
        tiny: Whether it is the number of an electrode.
    """

    ways: tuple[tuple[Line, ...], ...]
    small: bool = False
    tiny: bool = False

    @property
    def size(self) -> int:
        """The font size in pixels."""
        if self.tiny:
            return text.TINY_SIZE
        return text.SMALL_SIZE if self.small else text.FONT_SIZE


def part_caption(part: DrawnPart) -> Caption:
    """Return a part's reference and value: on one line, on two, and a long value on more."""
    reference = (text.reference_markup(part.reference), text.reference_width(part.reference))
    value = text.clean(part.value)
    if not value:
        return Caption(((reference,),))
    ways: list[tuple[Line, ...]] = [(_joined(part.reference, value),), (reference, _plain(value))]
    broken = _broken(value.split(" "))
    if len(broken) > 1:
        ways.append((reference, *(_plain(line) for line in broken)))
    return Caption(tuple(ways))


def supply_caption(source: DrawnPart, node: str, *, full: bool) -> Caption:
    """Return what stands at a rail mark: the source, and in full its value with the sign of that end."""
    value = text.clean(source.value) if full else ""
    if value and value[0].isdigit():
        value = ("+" if source.nodes.get("a") == node else "−") + value
    return Caption(((_joined(source.reference, value),),))


def coupling_caption(coupling: DrawnPart) -> Caption:
    """Return a coupling's reference and value, and the coils it couples."""
    coils = ", ".join(text.clean(name) for name in coupling.of)
    words = " ".join(word for word in (text.clean(coupling.value), f"({coils})" if coils else "") if word)
    return Caption(((_joined(coupling.reference, words),),))


def node_caption(name: str) -> Caption:
    """Return the small name of a node; whether it leans is left to the page."""
    return Caption((((text.marked_up(name), text.width(text.clean(name), text.SMALL_SIZE)),),), small=True)


def electrode_caption(number: str) -> Caption:
    """Return the number of an electrode on the base."""
    written = text.clean(number)
    return Caption((((text.marked_up(written), text.width(written, text.TINY_SIZE)),),), small=True, tiny=True)


def _joined(reference: str, value: str) -> Line:
    width = text.reference_width(reference) + (text.width(f" {value}") if value else 0)
    return text.reference_markup(reference, followed=value), width


def _plain(line: str) -> Line:
    return text.marked_up(line), text.width(line)


def _broken(words: Sequence[str]) -> list[str]:
    """Break a long value between words, keeping each number with its unit."""
    lines: list[str] = []
    for word in words:
        joined = f"{lines[-1]} {word}" if lines else word
        if lines and (text.width(joined) <= _LINE_WIDTH or not word[:1].isdigit()):
            lines[-1] = joined
        else:
            lines.append(word)
    return lines
