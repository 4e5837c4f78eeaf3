"""Measured in Chromium: no text of any shipped drawing touches another text, a wire or a symbol."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page

from tests.drawing.plots.samples import samples
from tutor.bootstrap.places import banks_folder, static_folder
from tutor.questions.bank import read_library
from tutor.questions.cache import CompiledCache
from tutor.questions.draw import draw
from tutor.questions.fragments import plot_of, schematic_of

CSS = (static_folder() / "quiescent.css").read_text(encoding="utf-8")
SERIAL = 3

# Boxes of letters are measured; what is drawn is followed in steps of two pixels. Half a pixel less on every side is
# what Chromium adds to a box; the letters themselves keep clear of the box by more than two pixels above and below.
MEASURE = """
() => [...document.querySelectorAll('svg')].flatMap(svg => {
  const found = [], texts = [...svg.querySelectorAll('text')].filter(t => t.textContent.trim());
  const boxes = texts.map(t => {
    const b = t.getBoundingClientRect();
    return {l: b.left + 0.5, r: b.right - 0.5, t: b.top + 2, b: b.bottom - 2, says: t.textContent};
  });
  boxes.forEach((a, i) => boxes.slice(i + 1).forEach(b => {
    if (a.l < b.r && b.l < a.r && a.t < b.b && b.t < a.b) found.push(`${svg.id}: "${a.says}" touches "${b.says}"`);
  }));
  svg.querySelectorAll('path:not(.grid):not(.band):not(.bar), line, circle, rect, polyline, polygon, ellipse').forEach(shape => {
    const matrix = shape.getScreenCTM(), whole = shape.getTotalLength();
    for (let at = 0; at <= whole; at += 2) {
      const p = shape.getPointAtLength(at).matrixTransform(matrix);
      const hit = boxes.find(b => b.l < p.x && p.x < b.r && b.t < p.y && p.y < b.b);
      if (hit) {
        const of = shape.closest('[id]').id, what = shape.getAttribute('class') || shape.parentNode.getAttribute('class');
        found.push(`${svg.id || of}: "${hit.says}" touches ${shape.tagName} of ${of} ${what || ''}`);
        break;
      }
    }
  });
  return found;
})
"""


@pytest.fixture
def blank(browser: Browser) -> Iterator[Page]:
    made = browser.new_page(viewport={"width": 1400, "height": 900})
    yield made
    made.close()


def touching(page: Page, drawings: list[str]) -> list[str]:
    """Return what the texts of drawings touch."""
    sheets = "".join(f'<div class="sheet">{svg}</div>' for svg in drawings)
    page.set_content(f"<!doctype html><meta charset='utf-8'><style>{CSS}</style><main>{sheets}</main>")
    return list(page.evaluate(MEASURE))


def test_the_measurement_sees_what_touches(blank: Page) -> None:
    two = '<text x="20" y="40">one</text><text x="30" y="42">two</text>'
    line = '<text x="100" y="40">three</text><path d="M90 36H160"/>'
    (texts, shape) = touching(blank, [f'<svg id="s" width="300" height="80" font-size="13">{two}{line}</svg>'])
    assert texts == 's: "one" touches "two"'
    assert shape.startswith('s: "three" touches path')


def test_the_labels_of_every_shipped_circuit_keep_clear(blank: Page) -> None:
    cache, library = CompiledCache(), read_library([banks_folder()])
    assert library.faults == []
    drawings = [
        schematic_of(draw(cache.compiled(template), SERIAL), name).svg
        for name, template in library.templates.items()
        if template.network is not None
    ]
    assert len(drawings) > 100
    assert touching(blank, drawings) == []


def test_the_labels_of_every_usual_plot_keep_clear(blank: Page) -> None:
    assert touching(blank, [picture.svg for picture in samples().values()]) == []


def test_the_labels_of_every_shipped_plot_keep_clear(blank: Page) -> None:
    cache = CompiledCache()
    plots = [
        plot_of(draw(cache.compiled(template), serial), f"{name}-{serial}").svg
        for name, template in read_library([banks_folder()]).templates.items()
        if template.plot is not None
        for serial in range(6)
    ]
    assert len(plots) >= 9 * 6
    assert touching(blank, plots) == []
