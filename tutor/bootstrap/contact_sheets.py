"""Contact sheets: every shipped circuit and plot on one page, as it looks in light, in dark and in print."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from html import escape
from pathlib import Path

from tutor.bootstrap.places import banks_folder, static_folder
from tutor.questions.bank import read_library
from tutor.questions.cache import CompiledCache
from tutor.questions.draw import draw
from tutor.questions.fragments import plot_of, schematic_of

SERIAL = 3

_NEVER, _ALWAYS = "@media not all", "@media all"
_DARK, _PRINT = "@media (prefers-color-scheme: dark)", "@media print"
LOOKS = {
    "light": {_DARK: _NEVER},
    "dark": {_DARK: _ALWAYS},
    "print": {_DARK: _NEVER, _PRINT: _ALWAYS},
}
"""Look → the conditions of the style sheet that are made to hold, or never to."""

_LAYOUT = "main { display: flex; flex-wrap: wrap; gap: 1rem; max-width: none; } figure { margin: 0; max-width: 100%; }"


@dataclass(frozen=True, slots=True)
class Sheet:
    """One drawing of the sheets.

    Attributes:
        template: Whose it is.
        kind: `circuit` or `plot`.
        svg: The drawing.
        words: The drawing in words.
        faults: What is not as it should be in it.
    """

    template: str
    kind: str
    svg: str
    words: str
    faults: tuple[str, ...]


def drawings(serial: int = SERIAL, cache: CompiledCache | None = None) -> Iterator[Sheet]:
    """Yield every drawing of the shipped banks, in the order of the templates' names."""
    cache = cache or CompiledCache()
    for name, template in sorted(read_library([banks_folder()]).templates.items()):
        if template.network is None and template.plot is None:
            continue
        question = draw(cache.compiled(template), serial)
        if question.parts:
            circuit = schematic_of(question, f"{name}-circuit")
            yield Sheet(name, "circuit", circuit.svg, circuit.words, circuit.faults)
        if question.plot is not None:
            plot = plot_of(question, f"{name}-plot")
            yield Sheet(name, "plot", plot.svg, plot.words, plot.faults)


def write_contact_sheets(folder: Path, sheets: list[Sheet]) -> list[Path]:
    """Write a page for each look into a folder, which is made if there is none, and return the pages.

    Raises:
        OSError: If the folder cannot be written to.
    """
    folder.mkdir(parents=True, exist_ok=True)
    css = (static_folder() / "quiescent.css").read_text(encoding="utf-8")
    figures = "\n".join(_figure(sheet) for sheet in sheets)
    written = []
    for look, conditions in LOOKS.items():
        style = css
        for condition, becomes in conditions.items():
            style = style.replace(condition, becomes)
        path = folder / f"{look}.html"
        path.write_text(_page(look, style, figures), encoding="utf-8")
        written.append(path)
    return written


def _figure(sheet: Sheet) -> str:
    return (
        f'<figure><div class="sheet">{sheet.svg}</div><figcaption>{escape(sheet.template)}, {sheet.kind}'
        f"<details><summary>In words</summary><p>{escape(sheet.words)}</p></details></figcaption></figure>"
    )


def _page(look: str, style: str, figures: str) -> str:
    return (
        f'<!doctype html>\n<html lang="en-GB"><head><meta charset="utf-8"><title>Drawings, {look}</title>'
        f"<style>{style}\n{_LAYOUT}</style></head>\n"
        f"<body><h1>Drawings, {look}</h1><main>{figures}</main></body></html>\n"
    )
