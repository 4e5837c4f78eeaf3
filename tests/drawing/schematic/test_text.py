"""Text in a drawing: lowered letters, widths, and what may not stand in XML."""

import pytest

from tutor.drawing.schematic.text import clean, reference_markup, reference_parts, reference_width, width


@pytest.mark.parametrize(
    ("reference", "upright", "lowered"),
    [
        ("R1", "R", "1"),
        ("R12", "R", "12"),
        ("VR1", "VR", "1"),
        ("Rg1", "R", "g1"),
        ("RL", "R", "L"),
        ("Ra", "R", "a"),
        ("Rk", "R", "k"),
        ("Cc", "C", "c"),
        ("Ck2", "C", "k2"),
        ("VS", "V", "S"),
        ("ra", "r", "a"),
        ("R", "R", ""),
        ("HT", "HT", ""),
        ("LS1", "LS", "1"),
        ("V1b", "V", "1b"),
        ("", "", ""),
        ("loudspeaker", "loudspeaker", ""),
    ],
)
def test_what_follows_the_letter_is_lowered(reference: str, upright: str, lowered: str) -> None:
    assert reference_parts(reference) == (upright, lowered)


def test_text_after_a_lowered_figure_stands_on_the_line_again() -> None:
    assert reference_markup("R1", followed="1 kΩ") == (
        'R<tspan dy="3" font-size="10">1</tspan><tspan dy="-3"> 1 kΩ</tspan>'
    )
    assert reference_markup("HT", followed="250 V") == "HT 250 V"


def test_characters_that_xml_forbids_are_dropped_and_others_kept() -> None:
    assert clean("R\x00\x0b\x1f1\ufffe\ud800") == "R1"
    assert clean("µΩ−½ 日本 \U0001f3b8\t\n") == "µΩ−½ 日本 \U0001f3b8\t\n"


def test_markup_is_escaped_in_both_halves_of_a_reference() -> None:
    assert reference_markup('<&">') == "&lt;&amp;&quot;&gt;"


def test_widths_grow_with_the_text_and_spaces_of_all_kinds_count_alike() -> None:
    assert width("i") < width("n") < width("W")
    assert width("4.7\u00a0kΩ") == width("4.7 kΩ") == width("4.7\u202fkΩ")
    assert width("日") == 13.0
    assert reference_width("R1") < width("R1")
