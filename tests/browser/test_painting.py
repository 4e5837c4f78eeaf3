"""How soon pages are seen, and that nothing on them moves: figures are printed (`pytest -s`), stillness is asserted."""

from __future__ import annotations

import statistics

import pytest
from playwright.sync_api import Page

pytestmark = pytest.mark.browser

TIMES = 5

SHIFTS = """
window.shifts = [];
new PerformanceObserver(list => { for (const one of list.getEntries()) window.shifts.push(one.value); })
  .observe({ type: 'layout-shift', buffered: true });
"""
PAINT = "performance.getEntriesByName('first-contentful-paint')[0].startTime"


@pytest.mark.parametrize("width", [320, 1280])
def test_pages_are_painted_soon_and_nothing_on_them_moves(signed_in: Page, width: int) -> None:
    page = signed_in
    page.add_init_script(SHIFTS)
    page.set_viewport_size({"width": width, "height": 800})
    page.goto("/lessons/first")
    page.get_by_role("button", name="What the load does to a divider").click()
    page.wait_for_url("**/questions/*")
    for where in (page.url, "/home"):
        paints = []
        for _ in range(TIMES):
            page.goto(where, wait_until="networkidle")
            page.wait_for_timeout(100)
            paints.append(page.evaluate(PAINT))
            # Layout shift (W3C Layout Instability): no entry is no movement at all.
            assert page.evaluate("window.shifts") == [], where
        name = "question" if "/questions/" in where else where
        middle, best = statistics.median(paints), min(paints)
        print(f"{name} at {width}: first contentful paint {middle:.0f} ms (median of {TIMES}, best {best:.0f})")  # noqa: T201 - what it is for
        # The aim is 300 ms; the best of five is held to it, since a shared machine may stall any one of them.
        assert best < 300, where


def test_the_measure_of_movement_sees_movement(page: Page) -> None:
    page.add_init_script(SHIFTS)
    page.goto("/")
    page.wait_for_timeout(600)  # movement within half a second of a key or a click does not count
    page.evaluate(
        "document.querySelector('main').prepend(Object.assign(document.createElement('p'), {innerText: 'late'}))"
    )
    page.wait_for_timeout(200)
    assert page.evaluate("window.shifts.length") > 0
