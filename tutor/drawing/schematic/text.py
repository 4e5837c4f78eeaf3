"""Text in a drawing: widths, lowered letters, and what may stand in XML."""

import re
import unicodedata
from xml.sax.saxutils import escape

FONT_SIZE = 13
SMALL_SIZE = 11
TINY_SIZE = 9
LINE_HEIGHT = 15

_LOWERED_SIZE = 10
_DROP = 3

# Advance widths of DejaVu Sans, a wide face, in hundredths of the font size: an upper bound for the usual ones.
_WIDTHS = {
    28: "ijl'",
    32: "IJ ,.·\u00a0\u2009\u202f",
    36: "/:;\\|-f",
    40: "()[]t!",
    46: 'r"',
    50: "*_`°²–",
    55: "szc?",
    59: "LFkvxy",
    62: "PTYaoeES",
    64: "bdghnpqu0123456789${}µμ",
    69: "KAVBRXZ",
    73: "CU",
    78: "HNDG&OQΩ",
    86: "wM+#<=>^~−×∠",
    100: "%mW@½…",
}
_WIDTH_OF = {character: width for width, characters in _WIDTHS.items() for character in characters}
_SPLIT = re.compile(r"([A-Z]+)(\d\w*)\Z|([RCLVIZr])([A-Za-z]\w{0,3})\Z")
_ILLEGAL = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def clean(text: str) -> str:
    r"""Return the text without characters that XML does not allow.

    >>> clean("R\x001")
    'R1'
    """
    return _ILLEGAL.sub("", text)


def marked_up(text: str) -> str:
    """Return the text safe as element content or attribute value."""
    return escape(clean(text), {'"': "&quot;"})


def width(text: str, size: float = FONT_SIZE) -> float:
    """Return an upper bound of the width of a text in pixels."""
    total = 0
    for character in text:
        known = _WIDTH_OF.get(character)
        if known is None:
            known = 100 if unicodedata.east_asian_width(character) in "WF" else 70
        total += known
    return total * size / 100


def reference_parts(reference: str) -> tuple[str, str]:
    """Return a reference as what stands upright and what is lowered.

    >>> reference_parts("VR1"), reference_parts("Rg1"), reference_parts("RL"), reference_parts("HT")
    (('VR', '1'), ('R', 'g1'), ('R', 'L'), ('HT', ''))
    """
    found = _SPLIT.match(reference)
    if not found:
        return reference, ""
    return (found[1], found[2]) if found[1] else (found[3], found[4])


def reference_width(reference: str) -> float:
    """Return the width of a reference with its lowered part."""
    upright, lowered = reference_parts(clean(reference))
    return width(upright) + width(lowered, _LOWERED_SIZE)


def reference_markup(reference: str, *, followed: str = "") -> str:
    """Return a reference, and text after it on the same line, as content of a text element.

    Lowered with ``dy`` on a tspan, which every browser follows; ``baseline-shift`` is not.

    >>> reference_markup("R1", followed="1 kΩ")
    'R<tspan dy="3" font-size="10">1</tspan><tspan dy="-3"> 1 kΩ</tspan>'
    """
    upright, lowered = reference_parts(clean(reference))
    rest = marked_up(followed)
    if not lowered:
        return marked_up(upright) + (f" {rest}" if rest else "")
    tail = f'<tspan dy="-{_DROP}"> {rest}</tspan>' if rest else ""
    return f'{marked_up(upright)}<tspan dy="{_DROP}" font-size="{_LOWERED_SIZE}">{marked_up(lowered)}</tspan>{tail}'
