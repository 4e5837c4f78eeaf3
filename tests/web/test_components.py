"""The page of all components."""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path

from flask import Flask

from tests.web.conftest import PASSWORD, Visitor
from tutor.bootstrap.club import Club
from tutor.learning.records import Role

ELSEWHERE = {
    "token": "within every form",
    "example": "a question, with its own values beside it",
    "field": "like text_field, of other forms",
    "choice": "like field, with a list to choose from",
    "note_form": "a lesson's",
    "slips": "a table like any",
    "weeks": "a table like any",
    "button": "needs an address to send to",
    "givens": "within the question",
}
"""Macros that the page does not call by name, and why."""


def test_it_shows_every_component_and_no_id_twice(site: Flask, club: Club, templates_folder: Path) -> None:
    club.membership.add("ada.quill", "Ada Quill", PASSWORD, Role.ORGANISER)
    ada = Visitor(site.test_client())
    ada.sign_in("ada.quill")
    answer = ada.get("/components")
    assert answer.status_code == 200
    ids = Counter(re.findall(r' id="([^"]+)"', answer.get_data(as_text=True)))
    assert {name: count for name, count in ids.items() if count > 1} == {}
    macros = set(re.findall(r"\{% macro (\w+)\(", (templates_folder / "parts.html").read_text("utf-8")))
    called = set(re.findall(r"parts\.(\w+)\(", (templates_folder / "components.html").read_text("utf-8")))
    assert called <= macros
    # A new component is shown on the page, or said above why not.
    assert macros - called <= set(ELSEWHERE)
