"""The replay curve of records: a published network solved through our transfer function, against printed tables."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import yaml

from tests.circuits.networks import Parts, capacitor, resistor
from tutor.circuits.corners import corners_of
from tutor.circuits.linear import symbol_values
from tutor.circuits.network import Network, read_network
from tutor.circuits.transfer import Transfer, gain_and_phase, transfer_of

TABLE: dict[str, Any] = yaml.safe_load(Path(__file__).with_name("riaa.yaml").read_text("utf-8"))
SHELF, TURNOVER, TREBLE, RUMBLE = (
    TABLE["time constants"][name] for name in ("bass shelf", "bass turnover", "treble", "rumble")
)
START, END = ("in", "0"), ("out", "0")
SERIES = 220e3


def network(rumble: bool = False) -> Parts:
    """Return the passive network: R1 in series; across the output C2, and C1 behind R2.

    C1 = (T1 + T3 − T2 − T1·T3/T2)/R1, R2 = T2/C1, C2 = T1·T3/(T2·R1): S. P. Lipshitz, J. Audio Eng. Soc. 27 (1979)
    458-481 (from memory). The first is 9.94091 nF for 220 kΩ.
    """
    large = (SHELF + TREBLE - TURNOVER - SHELF * TREBLE / TURNOVER) / SERIES
    parts = {
        "R1": resistor("in", "out", SERIES), "R2": resistor("out", "x", TURNOVER / large),
        "C1": capacitor("x", "0", large), "C2": capacitor("out", "0", SHELF * TREBLE / (TURNOVER * SERIES)),
    }  # fmt: skip
    if rumble:  # a stage between, so that one network does not load the other
        stage = {
            "kind": "voltage-controlled voltage source",
            "nodes": ["y", "0"],
            "control": ["out", "0"],
            "value": "1",
        }
        parts |= {"E1": stage, "C3": capacitor("y", "z", 1e-6), "R3": resistor("z", "0", RUMBLE / 1e-6)}
    return parts


def solved(parts: Parts, end: str = "out") -> tuple[Network, Transfer]:
    read = read_network(parts)
    return read, transfer_of(read, START, (end, "0"))


def replay(frequencies: list[float], rumble: bool = False) -> Any:
    read, transfer = solved(network(rumble), "z" if rumble else "out")
    values = symbol_values(read, read.values(), None)
    level, _ = gain_and_phase(transfer, values, [*frequencies, 1000.0])
    return level[0, :-1] - level[0, -1]


def test_the_parts_are_those_of_the_formula() -> None:
    assert read_network(network()).values()["C1"] == pytest.approx(9.94091e-9, rel=1e-5)


def test_the_network_has_the_three_time_constants() -> None:
    read, transfer = solved(network())
    values = symbol_values(read, read.values(), None)
    assert transfer.poles(values)[0] == pytest.approx([-1 / SHELF, -1 / TREBLE], rel=1e-12)
    assert transfer.zeros(values)[0] == pytest.approx([-1 / TURNOVER], rel=1e-12)
    corners = corners_of(read, START, transfer, values)
    assert [corner.kind for corner in corners] == ["pole", "zero", "pole"]
    printed = [TABLE["corners"][name] for name in ("bass shelf", "bass turnover", "treble")]
    assert [corner.frequency for corner in corners] == pytest.approx(printed, rel=1e-4)


def test_the_printed_table_is_met_to_a_hundredth_of_a_decibel_but_for_its_misprint() -> None:
    printed = TABLE["published"]
    found = dict(zip(printed, replay(list(printed)), strict=True))
    off = {f: level - printed[f] for f, level in found.items() if abs(level - printed[f]) > 0.01}
    assert len(printed) == 31
    assert set(off) == {TABLE["misprint"]}
    assert off[TABLE["misprint"]] == pytest.approx(-0.042, abs=0.001)
    # What is printed there is the level half a hertz below.
    assert replay([31.0])[0] == pytest.approx(printed[TABLE["misprint"]], abs=0.01)


def test_tables_of_three_decimals_are_met_as_they_are_remembered() -> None:
    remembered = TABLE["from memory"]
    assert replay(list(remembered)) == pytest.approx(list(remembered.values()), abs=0.0011)


@pytest.mark.parametrize(
    ("printed", "frequencies", "allowed", "source"),
    [
        (-13.7, (10e3, 1e3), 0.05, "a maker's manual of a converter, p. 4"),
        (27.0, (100.0, 10e3), 0.5, "the same, printed as about 27"),
        (13.0, (100.0, 1e3), 0.5, "a public encyclopaedia, as a recording cut"),
        (-14.0, (10e3, 1e3), 0.5, "a public encyclopaedia, as a recording boost"),
    ],
)
def test_spot_figures(printed: float, frequencies: tuple[float, float], allowed: float, source: str) -> None:
    first, second = replay(list(frequencies))
    assert abs(first - second - printed) <= allowed, source


def test_far_down_the_shelf_lies_9_9_times_above_the_level_at_1_khz() -> None:
    """19.911 dB, by the three time constants."""
    assert replay([1e-3])[0] == pytest.approx(19.911, abs=0.001)


def test_the_amendment_of_1976_cuts_the_bass_at_20_hz() -> None:
    """IEC 60098, amendment of 1976: 7950 µs, replay only. The rest of the curve moves by nothing that counts."""
    read, transfer = solved(network(rumble=True), "z")
    values = symbol_values(read, read.values(), None)
    lowest = min(-transfer.poles(values)[0].real)
    assert lowest / (2 * math.pi) == pytest.approx(TABLE["corners"]["rumble"], rel=1e-4)
    frequencies = [20.0, 31.5, 1e4]
    plain, cut = replay(frequencies), replay(frequencies, rumble=True)
    turned = 2j * math.pi * np.array([*frequencies, 1e3]) * RUMBLE
    loss = 20 * np.log10(np.abs(turned / (1 + turned)))
    assert cut - plain == pytest.approx(loss[:-1] - loss[-1], abs=1e-9)
    assert cut[0] == pytest.approx(16.26, abs=0.005)
