"""A step of a worked solution lights up its parts in the diagram: by pointing, by keyboard, and without a script."""

from __future__ import annotations

import os

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import violations

pytestmark = pytest.mark.browser


def open_solution(page: Page) -> None:
    page.goto("/lessons/first")
    page.get_by_role("button", name="What the load does to a divider").click()
    page.get_by_role("button", name="Open the worked solution").click()
    expect(page.locator(".steps li[data-parts]").first).to_be_visible()


def test_pointing_at_a_step_lights_its_parts_and_leaving_it_puts_them_out(signed_in: Page) -> None:
    page = signed_in
    open_solution(page)
    step = page.locator(".steps li[data-parts]").first
    parts = (step.get_attribute("data-parts") or "").split()
    step.hover()
    assert page.locator(".schematic .part.lit").count() == len(parts)
    for part in parts:
        assert "lit" in (page.locator(f"#{part}").get_attribute("class") or "")
    plain = page.evaluate("getComputedStyle(document.querySelector('.schematic')).color")
    assert page.evaluate(f"getComputedStyle(document.getElementById('{parts[0]}')).color") != plain
    page.locator("h1").hover()
    assert page.locator(".schematic .part.lit").count() == 0
    step.locator(".concerns a").first.focus()
    assert page.locator(".schematic .part.lit").count() == len(parts)
    assert violations(page) == []
    if folder := os.environ.get("SCREENSHOTS"):
        page.screenshot(path=f"{folder}/solution.png", full_page=True)


def test_without_a_script_the_reference_under_a_step_leads_to_the_part(signed_in: Page) -> None:
    page = signed_in
    page.route("**/lighting*.js", lambda route: route.abort())
    open_solution(page)
    link = page.locator(".steps .concerns a").first
    target = (link.get_attribute("href") or "").lstrip("#")
    link.click()
    assert page.evaluate("document.querySelector('.schematic .part:target').id") == target
