"""Plots as members get them: SVG with text, a title and words, and the figures behind it."""

from __future__ import annotations

import math
import re
from datetime import date
from xml.etree import ElementTree

import pytest

from tests.drawing.plots.samples import anode_curves, counts, ripple, samples, stage_response
from tutor.drawing.plots import Curve, Dot, Panel, Picture, PlotError, draw_plot, linear_axis
from tutor.drawing.plots.table import height_at
from tutor.drawing.plots.usual import Corner, binned, progress, straight_lines
from tutor.quantities import VOLT

SVG = "{http://www.w3.org/2000/svg}"
ROUGH = "<&\"'>\x01 é 中 V_g"


@pytest.fixture(params=sorted(samples()))
def picture(request: pytest.FixtureRequest) -> Picture:
    return samples()[request.param]


def test_a_plot_is_one_element_with_a_title_and_words(picture: Picture) -> None:
    root = ElementTree.fromstring(picture.svg)
    assert root.get("role") == "img"
    ids = {element.get("id"): element for element in root.iter() if element.get("id")}
    assert ids[root.get("aria-labelledby")].text
    assert ids[root.get("aria-describedby")].text == picture.words


def test_text_stays_text_and_style_stays_in_the_style_sheet(picture: Picture) -> None:
    root = ElementTree.fromstring(picture.svg)
    assert not [element for element in root.iter() if "style" in element.attrib]
    written = {"".join(element.itertext()) for element in root.iter(f"{SVG}text")}
    assert len(written) >= 8
    assert not re.search(r"#[0-9a-f]{3}|rgb", picture.svg)


def test_every_label_found_a_free_place(picture: Picture) -> None:
    assert picture.faults == ()


def test_the_figures_stand_behind_it(picture: Picture) -> None:
    (first, *_) = picture.tables
    assert len(first.rows) >= 8
    assert all(len(row) == len(first.headings) for row in first.rows)
    ElementTree.fromstring(f"<div>{picture.table}</div>")


def test_the_same_plot_is_the_same_bytes() -> None:
    assert anode_curves().svg == anode_curves().svg


def test_ids_are_different_for_two_plots_of_a_page() -> None:
    ids = re.findall(r' id="([^"]+)"', counts("one").svg + counts("two").svg)
    assert len(ids) == len(set(ids))


def test_the_plotted_triode_draws_what_its_data_sheet_says() -> None:
    # ECC83, typical characteristics at 250 V and −2 V: 1.2 mA (Philips data sheet ECC83, January 1970, page 2; from
    # memory). The law is a fit to the whole family, hence 8 %.
    table = anode_curves().tables[0]
    column = table.headings.index("−2 V")
    (row,) = [row for row in table.rows if row[0].startswith("250")]
    assert float(row[column]) == pytest.approx(1.2, rel=0.08)


def test_a_blind_reader_gets_rest_and_corners() -> None:
    assert re.search(r"Marked: .*P at 19\d\.?\d* V and 1\.0\d+ mA", anode_curves().words)
    words = stage_response().words
    assert "an upright line at 31.8\u00a0Hz" in words
    assert "Frequency, from 10\u00a0Hz to 100\u00a0kHz, on a logarithmic scale" in words
    assert "one small division is" in ripple().words


def test_a_curve_is_three_decibels_down_at_its_corner() -> None:
    # A single corner is 3.01 dB down (10 log 2): any textbook of networks.
    points = [(float(f), -10 * math.log10(1 + (100 / f) ** 2)) for f in range(10, 1000, 7)]
    assert height_at(points, 100, logarithmic=True) == pytest.approx(-3.01, abs=0.005)


def test_straight_lines_bend_at_their_corners() -> None:
    corners = [Corner(frequency=10.0, bend=-20.0), Corner(frequency=100.0, bend=-20.0), Corner(frequency=1e4, bend=-20)]
    lines = straight_lines(corners, (1000.0, 0.0), 1.0, 1e5)
    assert lines == [(1.0, -60.0), (10.0, -20.0), (100.0, 0.0), (1e4, 0.0), (1e5, -20.0)]


def test_a_point_beside_the_paper_is_not_drawn() -> None:
    axis = linear_axis([0, 10], name="Voltage", unit=VOLT)
    picture = draw_plot([Panel(x=axis, y=axis, marks=(Dot(x=20, y=5, label="out"),))], title="t", uid="u")
    assert "circle" not in picture.svg


def test_markup_and_rough_characters_come_out_as_text() -> None:
    axis = linear_axis([0, 10], name=ROUGH, unit=VOLT)
    marks = (Curve(points=[(0, 0), (10, 10)], label=ROUGH), Dot(x=5, y=5, label=ROUGH))
    picture = draw_plot([Panel(x=axis, y=axis, marks=marks)], title=ROUGH, uid=ROUGH)
    root = ElementTree.fromstring(picture.svg)
    assert "<&\"'> é 中 Vg" in "".join(root.itertext())
    ElementTree.fromstring(f"<div>{picture.table}</div>")


def test_labels_without_room_are_told() -> None:
    axis = linear_axis([0, 10], name="Voltage", unit=VOLT)
    marks = tuple(Dot(x=5, y=5, label="a rather long label for one point") for _ in range(40))
    picture = draw_plot([Panel(x=axis, y=axis, marks=marks)], title="crowd", uid="u")
    assert picture.faults
    assert "overlaps" in picture.faults[0]


def test_counts_add_up() -> None:
    edges, heights = binned([0.1, 0.2, 0.2, 0.9, 1.4])
    assert sum(heights) == 5
    assert len(edges) == len(heights) + 1
    assert sum(binned([])[1]) == 0


def test_wrong_descriptions_are_refused() -> None:
    with pytest.raises(PlotError) as caught:
        draw_plot([], title="", uid="")
    assert str(caught.value) == "panels: found none; one or more would do"
    with pytest.raises(PlotError) as caught:
        progress([date(2026, 1, 1)], [], title="", uid="")
    assert str(caught.value) == "shares: found 0; 1 would do"
