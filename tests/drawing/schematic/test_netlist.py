"""What counts as a supply, and what is only a source."""

from tests.drawing.schematic.circuits import CIRCUITS, R, ht, pentode, signal, source, triode
from tutor.drawing.schematic import DrawnPart
from tutor.drawing.schematic.netlist import read_netlist


def supplies(*parts: DrawnPart) -> dict[str, str]:
    return read_netlist(parts).supplies


def test_a_dc_source_that_feeds_an_anode_through_its_load_is_a_supply() -> None:
    assert supplies(ht(), R("Ra", "ht", "a"), triode("V1", "a", "g", "k")) == {"ht": "V9"}


def test_so_is_one_that_feeds_an_anode_or_a_screen_straight() -> None:
    assert supplies(ht(), triode("V1", "ht", "g", "k")) == {"ht": "V9"}
    assert supplies(ht(), pentode("V1", "a", "g", "ht", "k")) == {"ht": "V9"}


def test_a_source_of_signals_is_none_though_feedback_leads_from_the_anode_to_it() -> None:
    stage = (R("R1", "s", "g"), R("Rf", "g", "a"), triode("V1", "a", "g", "k"))
    assert supplies(source("V2", "s", "0", "1 V"), *stage) == {}
    assert supplies(signal("ht"), R("Ra", "ht", "a"), triode("V1", "a", "g", "k")) == {}


def test_a_source_in_a_divider_keeps_its_symbol() -> None:
    assert read_netlist(CIRCUITS["loaded-divider"]).supplies == {}
    assert read_netlist(CIRCUITS["ht-dropper"]).supplies == {}


def test_a_source_placed_by_hand_keeps_its_symbol() -> None:
    by_hand = DrawnPart(reference="V9", kind="voltage source", nodes={"a": "ht", "b": "0"}, flavour="dc", at=(0, 0))
    assert supplies(by_hand, R("Ra", "ht", "a"), triode("V1", "a", "g", "k")) == {}


def test_of_two_sources_on_a_node_the_second_keeps_its_symbol() -> None:
    parts = (ht(), ht(reference="V8"), R("Ra", "ht", "a"), triode("V1", "a", "g", "k"))
    netlist = read_netlist(parts)
    assert netlist.supplies == {"ht": "V9"}
    assert [part.reference for part in netlist.drawn()] == ["V8", "Ra", "V1"]


def test_a_coupling_has_no_place_of_its_own() -> None:
    coupling = DrawnPart(reference="K1", kind="coupling", of=("L1", "L2"))
    netlist = read_netlist([coupling, R("R1", "x", "0")])
    assert netlist.couplings == (coupling,)
    assert list(netlist.parts) == ["R1"]
