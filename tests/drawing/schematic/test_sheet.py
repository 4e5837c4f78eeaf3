"""Whole drawings: right electrically, without overlaps, the same bytes every time, safe in a page."""

import hashlib
import json
import os
import re
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.drawing.schematic.circuits import CIRCUITS, EVERYTHING, NODE_LABELS, C, R, signal
from tests.drawing.schematic.random_netlists import netlist_at_random
from tests.drawing.schematic.readers import SVG, dots, meetings, root_of, wrongly_joined
from tutor.drawing.schematic import Drawing, DrawnPart, Layout, draw_schematic, lay_out
from tutor.drawing.schematic.text import clean

NARROW = {
    "loaded-divider", "metered-divider", "low-pass", "high-pass", "small-signal-triode", "split-load",
    "volume-control", "mixer", "wheatstone", "controlled-amplifier", "controlled-model", "tweeter",
}  # fmt: skip


@cache
def laid_out(name: str) -> Layout:
    return lay_out(EVERYTHING[name])


@cache
def drawing_of(name: str) -> Drawing:
    labels = NODE_LABELS.get(name)
    return laid_out(name).render(EVERYTHING[name], title=name, uid=name, node_labels=labels)


@pytest.mark.parametrize("name", EVERYTHING)
def test_a_reader_of_the_drawing_finds_the_nets_of_the_circuit(name: str) -> None:
    assert wrongly_joined(EVERYTHING[name], laid_out(name), drawing_of(name).svg) == []


@pytest.mark.parametrize("name", EVERYTHING)
def test_a_dot_stands_wherever_three_conductors_meet_and_nowhere_else(name: str) -> None:
    svg = drawing_of(name).svg
    assert dots(root_of(svg)) == meetings(EVERYTHING[name], laid_out(name), svg)


@pytest.mark.parametrize("name", EVERYTHING)
def test_nothing_overlaps_and_every_net_is_wired(name: str) -> None:
    assert drawing_of(name).faults == ()


@pytest.mark.parametrize("name", EVERYTHING)
def test_every_part_is_there_with_its_id_class_title_and_label(name: str) -> None:
    root = root_of(drawing_of(name).svg)
    groups = {element.get("id"): element for element in root.iter(f"{SVG}g") if element.get("id")}
    for part in EVERYTHING[name]:
        group = groups[f"{name}-{part.reference}"]
        assert group.get("class") == f"part {part.kind.replace(' ', '-')}"
        assert group.findtext(f"{SVG}title", "").startswith(f"{part.reference}, {part.kind}")
        shown = "".join("".join(text.itertext()) for text in group.iter(f"{SVG}text")).replace(" ", "")
        assert part.reference in shown
        assert part.value.replace(" ", "") in shown


@pytest.mark.parametrize("name", EVERYTHING)
def test_a_strict_content_policy_finds_nothing_to_drop(name: str) -> None:
    svg = drawing_of(name).svg
    root = root_of(svg)
    assert "style=" not in svg
    assert not list(root.iter(f"{SVG}style"))
    for element in root.iter():
        for attribute in ("fill", "stroke"):
            assert element.get(attribute) in (None, "none", "currentColor")


def test_the_drawing_is_an_image_with_a_name_and_a_description() -> None:
    drawing = draw_schematic(CIRCUITS["low-pass"], title="Treble loss", uid="q7")
    root = root_of(drawing.svg)
    assert (root.get("role"), root.get("aria-labelledby"), root.get("aria-describedby")) == (
        "img",
        "q7-title",
        "q7-desc",
    )
    title, description = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None
    assert description is not None
    assert (title.get("id"), title.text) == ("q7-title", "Treble loss")
    assert (description.get("id"), description.text) == ("q7-desc", drawing.words)
    assert root.get("viewBox", "").split()[2:] == [str(drawing.width), str(drawing.height)]


@pytest.mark.parametrize("name", sorted(NARROW))
def test_single_networks_fit_a_telephone(name: str) -> None:
    # A page 360 pixels wide leaves 340 for a drawing: 34 grid units.
    assert drawing_of(name).width <= 340


def test_earth_is_below_and_supplies_are_above() -> None:
    for name in ("triode-stage", "cathode-follower", "split-load", "pentode-stage"):
        layout = laid_out(name)
        valve = layout.spots["V1"]
        assert all(mark.point[1] < valve.y for mark in layout.rails)
        assert all(mark.point[1] > valve.y - 4 for mark in layout.earths)
        assert layout.spots["Rk"].turn == 90
        assert layout.spots["Rk"].y > valve.y


def test_the_signal_runs_from_left_to_right() -> None:
    layout = laid_out("feedback-amplifier")
    columns = [layout.spots[reference].x for reference in ("VS", "Rg1", "V1", "Rg2", "V2", "RL")]
    assert columns == sorted(columns)


def test_a_supply_is_a_rail_mark_with_the_sign_of_its_end() -> None:
    svg = drawing_of("triode-stage").svg
    assert "V9" not in laid_out("triode-stage").spots
    assert 'V<tspan dy="3" font-size="10">9</tspan><tspan dy="-3"> +250 V</tspan>' in svg


@pytest.mark.parametrize("seed", ["1", "4242"])
def test_the_same_parts_give_the_same_bytes_under_another_hash_seed(seed: str) -> None:
    program = (
        "import hashlib\n"
        "from tests.drawing.schematic.test_sheet import EVERYTHING, drawing_of\n"
        "print(hashlib.sha256(''.join(drawing_of(name).svg for name in EVERYTHING).encode()).hexdigest())"
    )
    done = subprocess.run(
        [sys.executable, "-c", program],
        cwd=Path(__file__).parents[3],
        env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONUTF8": "1"},
        capture_output=True,
        text=True,
        check=True,
    )
    here = hashlib.sha256("".join(drawing_of(name).svg for name in EVERYTHING).encode()).hexdigest()
    assert done.stdout.strip() == here


@pytest.mark.parametrize("name", ["triode-stage", "push-pull", "tone-passive", "three-windings", "coupled-coils"])
def test_a_layout_survives_json_and_draws_the_same(name: str) -> None:
    parts = EVERYTHING[name]
    layout = laid_out(name)
    again = Layout.from_data(json.loads(json.dumps(layout.to_data())))
    assert again == layout
    assert again.render(parts, title="t", uid="u") == layout.render(parts, title="t", uid="u")


def test_a_layout_does_not_hang_on_values_and_draws_any_of_them() -> None:
    divider = [R("R1", "in", "out", "1 kΩ"), C("C1", "out", "0", "47 nF"), signal("in", "2 V")]
    other = [R("R1", "in", "out", "330 kΩ"), C("C1", "out", "0", ""), signal("in", "?")]
    assert lay_out(divider) == lay_out(other)
    assert "330 kΩ" in lay_out(divider).render(other, title="t", uid="u").svg


def test_parts_placed_by_hand_stay_where_they_are_put() -> None:
    by_hand = DrawnPart(reference="R1", kind="resistor", nodes={"a": "x", "b": "y"}, at=(20, 7), turn=270)
    parts = [by_hand, R("R2", "y", "0"), signal("x")]
    layout = lay_out(parts)
    assert (layout.spots["R1"].x, layout.spots["R1"].y, layout.spots["R1"].turn) == (20, 7, 270)
    assert layout.faults == ()


def test_parts_put_on_top_of_each_other_by_hand_are_told() -> None:
    first = DrawnPart(reference="R1", kind="resistor", nodes={"a": "x", "b": "y"}, at=(0, 0))
    second = DrawnPart(reference="R2", kind="resistor", nodes={"a": "x", "b": "y"}, at=(3, -3), turn=90)
    assert "R1 and R2 overlap" in lay_out([first, second]).faults


def test_no_parts_give_an_empty_drawing() -> None:
    drawing = draw_schematic([], title="Nothing", uid="n")
    assert drawing.faults == ()
    assert drawing.words == "No parts."
    assert list(root_of(drawing.svg).iter(f"{SVG}path")) == []


def test_what_cannot_be_wired_is_joined_by_name_and_told() -> None:
    # A relay with its pins shut in by its neighbours; found among the random netlists.
    seed = next(seed for seed in range(400) if lay_out(netlist_at_random(seed)).stubs)
    parts = netlist_at_random(seed)
    layout = lay_out(parts)
    drawing = layout.render(parts, title="t", uid="u")
    assert any(re.fullmatch(r"node \w+ is joined by name", fault) for fault in drawing.faults)
    assert wrongly_joined(parts, layout, drawing.svg) == []
    assert Layout.from_data(json.loads(json.dumps(layout.to_data()))) == layout


@pytest.mark.parametrize("block", range(10))
def test_random_netlists_are_drawn_with_the_nets_they_have(block: int) -> None:
    for seed in range(block * 50, block * 50 + 50):
        parts = netlist_at_random(seed)
        layout = lay_out(parts)
        svg = layout.render(parts, title="t", uid="u").svg
        assert wrongly_joined(parts, layout, svg) == [], seed
        assert not any(" are joined in " in fault or "missing" in fault for fault in layout.faults), seed


anything = st.text(max_size=12)


@given(title=anything, reference=anything, value=anything, label=anything, uid=anything)
def test_any_text_comes_out_as_text(title: str, reference: str, value: str, label: str, uid: str) -> None:
    parts = [
        DrawnPart(reference=reference, kind="resistor", nodes={"a": "x", "b": "0"}, value=value),
        DrawnPart(reference=f"{reference}2", kind="capacitor", nodes={"a": "x", "b": "0"}, value="1 nF"),
    ]
    drawing = draw_schematic(parts, title=title, uid=uid, node_labels={"x": label})
    root = root_of(drawing.svg)
    assert root.findtext(f"{SVG}title", "") == clean(title).replace("\r\n", "\n").replace("\r", "\n")
    ids = [element.get("id", "") for element in root.iter() if element.get("id")]
    assert len(ids) == len(set(ids))
    assert all(re.fullmatch(r"[A-Za-z0-9_-]+", identifier) for identifier in ids)
    allowed = {"svg", "g", "path", "circle", "text", "tspan", "title", "desc"}
    assert {element.tag.removeprefix(SVG) for element in root.iter()} <= allowed


def test_markup_in_names_is_shown_not_obeyed() -> None:
    evil = '<script>alert("1")</script>&amp;'
    part = DrawnPart(reference="R1", kind="resistor", nodes={"a": evil, "b": "0"}, value=evil)
    drawing = draw_schematic([part], title=evil, uid='"><script>', node_labels={evil: evil})
    assert "<script" not in drawing.svg
    assert root_of(drawing.svg).findtext(f"{SVG}title") == evil


def test_zigzag_resistors_are_a_choice_of_the_drawing_not_of_the_layout() -> None:
    layout = laid_out("low-pass")
    box = layout.render(CIRCUITS["low-pass"], title="t", uid="u")
    zigzag = layout.render(CIRCUITS["low-pass"], title="t", uid="u", resistor="zigzag")
    assert (box.width, box.height) == (zigzag.width, zigzag.height)
    assert box.svg.count("M10 -7H50V7H10Z") == 2
    assert "M10 -7H50V7H10Z" not in zigzag.svg


def test_long_values_are_broken_into_lines_and_stay_whole() -> None:
    meter = DrawnPart(reference="M1", kind="meter", nodes={"a": "x", "b": "0"}, value="20 000 Ω/V, 250 V range")
    drawing = draw_schematic([signal("x"), meter], title="t", uid="u")
    texts = ["".join(text.itertext()) for text in root_of(drawing.svg).iter(f"{SVG}text")]
    assert drawing.faults == ()
    assert " ".join(texts).count("range") == 1
    assert max(map(len, texts)) < len(meter.value)


def test_amplifiers_are_drawn_whole() -> None:
    layout = laid_out("power-amplifier")
    assert layout.spots["V3"].y < layout.spots["V4"].y
    assert layout.spots["T1"].x > layout.spots["V3"].x
