"""A site on fakes or a database, and visitors who fill in its forms as a browser would."""

from __future__ import annotations

import re
from dataclasses import dataclass
from html.parser import HTMLParser
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from tutor.bootstrap.club import Club
from tutor.bootstrap.places import static_folder
from tutor.learning.records import Issue, Member
from tutor.web.app import create_site
from tutor.web.settings import SiteSettings

PASSWORD = "copper anode lantern"


class _Forms(HTMLParser):
    """Collects the forms of a page with their fields."""

    def __init__(self) -> None:
        super().__init__()
        self.forms: list[tuple[str, dict[str, str]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = {name: value or "" for name, value in attrs}
        if tag == "form":
            self.forms.append((found.get("action", ""), {}))
        elif tag == "input" and self.forms and "name" in found:
            if found.get("type") == "radio" and "checked" not in found:
                return
            self.forms[-1][1][found["name"]] = found.get("value", "")


@dataclass
class Visitor:
    """Somebody with a browser."""

    client: FlaskClient

    def get(self, address: str) -> TestResponse:
        return self.client.get(address, buffered=True)

    def forms(self, page: TestResponse) -> dict[str, dict[str, str]]:
        """Return action → fields of a page's forms."""
        parser = _Forms()
        parser.feed(page.get_data(as_text=True))
        return dict(parser.forms)

    def send(self, page: TestResponse, action: str, follow: bool = True, **fields: str) -> TestResponse:
        """Fill in the form whose action ends in `action`, and send it."""
        for address, filled in self.forms(page).items():
            if re.search(f"{action}$", address):
                return self.client.post(address, data=filled | fields, follow_redirects=follow)
        raise AssertionError(f"no form for {action!r} among {list(self.forms(page))}")

    def sign_in(self, sign_in: str = "ann.baker", password: str = PASSWORD) -> TestResponse:
        return self.send(self.get("/sign-in"), "/sign-in", sign_in=sign_in, password=password)


@pytest.fixture
def settings() -> SiteSettings:
    return SiteSettings(secret="a secret of the tests, forty characters", static=static_folder(), club="Bench Club")


@pytest.fixture
def site(club: Club, settings: SiteSettings) -> Flask:
    app = create_site(club, settings)
    app.testing = False  # errors become pages, as they do for members
    return app


@pytest.fixture
def member(club: Club) -> Member:
    return club.membership.add("ann.baker", "Ann Baker", PASSWORD)


@pytest.fixture
def stranger(site: Flask) -> Visitor:
    return Visitor(site.test_client())


@pytest.fixture
def ann(site: Flask, member: Member) -> Visitor:
    visitor = Visitor(site.test_client())
    assert visitor.sign_in().status_code == 200
    return visitor


@pytest.fixture
def issue(club: Club, member: Member) -> Issue:
    return club.practice.issue(member, club.shelf.lesson("first"), club.shelf.template("loaded-divider"))


@pytest.fixture
def templates_folder() -> Path:
    return Path(__file__).parents[2] / "tutor" / "web" / "templates"
