"""The look by its numbers: every pair of colours that meets can be read, in light and in dark, and nothing is heavy."""

from __future__ import annotations

import re

import pytest

from tutor.bootstrap.places import static_folder

CSS = (static_folder() / "quiescent.css").read_text(encoding="utf-8")
LARGEST = 60_000  # bytes of style and script together


SCHEMES = ["light", "dark", "light, more contrast", "dark, more contrast"]


def tokens(scheme: str) -> dict[str, str]:
    """Return the colour tokens of a scheme: the light ones, overlaid by the dark ones and those of more contrast."""
    blocks = [re.search(r":root \{(.+?)\n\}", CSS, re.DOTALL)]
    if scheme.startswith("dark"):
        blocks.append(re.search(r"prefers-color-scheme: dark\) \{\s*:root \{(.+?)\n  \}", CSS, re.DOTALL))
    if scheme.endswith("more contrast"):
        blocks.append(re.search(r"prefers-contrast: more\) \{\s*:root \{(.+?)\}", CSS, re.DOTALL))
    found: dict[str, str] = {}
    for block in blocks:
        assert block is not None
        pairs = re.findall(r"--([a-z-]+): (#[0-9a-f]{6}|var\(--[a-z]+\));", block[1])
        assert pairs
        found |= {name: found[value[6:-1]] if value.startswith("var") else value for name, value in pairs}
    return found


def luminance(colour: str) -> float:
    """Return the relative luminance. Source: WCAG 2.2, definition of relative luminance."""
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(a: str, b: str) -> float:
    """Return the contrast ratio. Source: WCAG 2.2, definition of contrast ratio."""
    bright, dim = sorted((luminance(a), luminance(b)), reverse=True)
    return (bright + 0.05) / (dim + 0.05)


def test_the_contrast_formula_gives_the_extremes_of_the_standard() -> None:
    assert contrast("#ffffff", "#000000") == pytest.approx(21)
    assert contrast("#777777", "#777777") == pytest.approx(1)


TEXT_PAIRS = [
    ("ink", "paper"),
    ("ink", "sheet"),
    ("ink", "second-paper"),
    ("ink", "right-paper"),
    ("ink", "carried-paper"),
    ("quiet", "paper"),
    ("quiet", "sheet"),
    ("quiet", "second-paper"),
    ("quiet", "right-paper"),
    ("quiet", "carried-paper"),
    ("second", "paper"),
    ("second", "sheet"),
    ("second", "second-paper"),
    ("right", "paper"),
    ("right", "sheet"),
    ("right", "right-paper"),
    ("carried", "paper"),
    ("carried", "sheet"),
    ("paper", "second"),
]


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize(("front", "back"), TEXT_PAIRS)
def test_text_can_be_read_on_what_it_stands_on(scheme: str, front: str, back: str) -> None:
    # WCAG 2.2, 1.4.3: 4.5 : 1 for text.
    found = tokens(scheme)
    assert contrast(found[front], found[back]) >= 4.5


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize(
    ("front", "back"), [("focus", "paper"), ("quiet", "sheet"), ("carried", "paper"), ("second", "paper")]
)
def test_lines_fields_and_the_focus_can_be_seen(scheme: str, front: str, back: str) -> None:
    # WCAG 2.2, 1.4.11: 3 : 1 for what is not text.
    found = tokens(scheme)
    assert contrast(found[front], found[back]) >= 3


@pytest.mark.parametrize("scheme", SCHEMES[2:])
def test_with_more_contrast_asked_for_even_ruled_lines_and_notes_stand_out(scheme: str) -> None:
    # WCAG 2.2, 1.4.6 (7 : 1 for text) and 1.4.11 (3 : 1 for lines, which elsewhere are decoration only).
    found = tokens(scheme)
    for back in ("paper", "sheet"):
        assert contrast(found["rule"], found[back]) >= 3
        assert contrast(found["ink"], found[back]) >= 7
        assert contrast(found["quiet"], found[back]) >= 7


def test_style_and_script_together_stay_small() -> None:
    files = [path for path in static_folder().rglob("*") if path.suffix in (".css", ".js")]
    assert sum(path.stat().st_size for path in files) < LARGEST


def test_every_token_that_is_used_is_defined() -> None:
    used = set(re.findall(r"var\(--([a-z-]+)\)", CSS))
    defined = set(re.findall(r"--([a-z-]+):", CSS))
    assert used <= defined
