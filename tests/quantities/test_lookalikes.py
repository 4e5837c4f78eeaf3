import pytest

from tutor.quantities.lookalikes import tidied


@pytest.mark.parametrize(
    ("typed", "tidy"),
    [
        ("  4   V ", "4 V"),
        ("4\u00a0V", "4 V"),
        ("4\tV\n", "4 V"),
        ("−4–4—4", "-4-4-4"),
        ("4 μF 4 µF", "4 µF 4 µF"),
        ("4 \u2126", "4 Ω"),
        ("10⁻³", "10^-3"),
        ("V²", "V^2"),
        ("４７", "47"),
        ("30º 30˚ 30°", "30° 30° 30°"),
        ("5 ㎌", "5 µF"),
        ("Ω⋅F", "Ω·F"),
        ("4\u200b7", "47"),
        ("1’500", "1'500"),
        ("½", "1/2"),
        ("plain", "plain"),
    ],
)
def test_signs_that_look_alike_become_one(typed: str, tidy: str) -> None:
    assert tidied(typed) == tidy


def test_figures_of_other_scripts_stay_what_they_are() -> None:
    assert tidied("٤٧") == "٤٧"
