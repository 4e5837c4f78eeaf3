"""The address that says what an answer is read as."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.web.conftest import Visitor
from tutor.bootstrap.places import static_folder
from tutor.learning.records import Issue


@pytest.mark.parametrize(
    ("query", "read"),
    [
        ("text=3k3&unit=%CE%A9", "3.3 kΩ"),
        ("text=4.7&unit=k%CE%A9", "4.7 kΩ"),
        ("text=hello&unit=V", None),
        ("text=&unit=V", None),
        ("unit=V", None),
        (f"text={'9' * 500}&unit=V", None),
    ],
)
def test_it_reads_what_is_typed(stranger: Visitor, query: str, read: str | None) -> None:
    answer = stranger.get(f"/read?{query}")
    assert answer.status_code == 200
    assert answer.is_json
    found = answer.get_json()["read"]
    assert (found and found.replace("\N{NO-BREAK SPACE}", " ")) == read


def test_a_unit_that_is_none_is_refused_as_text(stranger: Visitor) -> None:
    answer = stranger.get("/read?text=3&unit=<b>furlongs</b>")
    assert answer.status_code == 400
    assert answer.is_json
    assert "furlongs" in answer.get_json()["error"]


def test_it_knows_nothing_of_whoever_asks(ann: Visitor, stranger: Visitor, issue: Issue) -> None:
    (ask,) = issue.question.asks
    right, wrong = (f"/read?text={value:.4g}&unit=V" for value in (ask.value, ask.value * 3))
    assert set(ann.get(right).get_json()) == set(ann.get(wrong).get_json()) == {"read"}
    assert ann.get(right).get_json() == stranger.get(right).get_json()
    assert "Set-Cookie" not in stranger.get(right).headers


def test_pages_where_answers_are_typed_load_the_module_and_others_do_not(ann: Visitor, issue: Issue) -> None:
    for page, loads in ((f"/questions/{issue.id}", True), ("/home", False), ("/lessons/first", False)):
        assert ("js/reading.js" in ann.get(page).get_data(as_text=True)) is loads
    sample = ann.client.get("/try/", follow_redirects=True)
    assert "js/reading.js" in sample.get_data(as_text=True)


def test_the_module_finds_the_address_from_its_own() -> None:
    assert (static_folder() / "js" / "reading.js").is_file()
    assert 'new URL("../../read", import.meta.url)' in Path(static_folder() / "js" / "reading.js").read_text("utf-8")
