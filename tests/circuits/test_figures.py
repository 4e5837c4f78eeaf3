"""Figures of circuit files that are found in numbers: the band of a response, and sensitivities."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest

from tutor.circuits.circuit_file import circuit_from_source, read_circuit_file
from tutor.circuits.errors import CircuitError
from tutor.circuits.figures import read_figure
from tutor.circuits.source import read_source
from tutor.errors import FaultyFileError

TEXT = """
circuit: stage
parts:
  Vs: {kind: voltage source, nodes: [in, 0], value: {ac: 1 V}}
  Rs: {kind: resistor, nodes: [in, out], value: 10 kΩ}
  Cc: {kind: capacitor, nodes: [out, grid], value: 100 nF}
  Rg: {kind: resistor, nodes: [grid, 0], value: 990 kΩ}
  Cs: {kind: capacitor, nodes: [grid, 0], value: 100 pF}
frequency: 1 kHz
ask:
  - {mid-band gain: {from: in, to: grid}}
  - {lower limit: {from: in, to: grid}}
  - {upper limit: {from: in, to: grid}}
  - {sensitivity: {of: {gain: {from: in, to: grid}, analysis: ac}, to: Rg}}
  - {sensitivity: {of: {impedance: grid, analysis: ac}, to: Cs}}
  - {sensitivity: {of: {corner frequency: {part: Cc, open: Cs}}, to: Cc}}
"""


def solved(tmp_path: Path, text: str) -> list[tuple[complex | float, str]]:
    path = tmp_path / "stage.yaml"
    path.write_text(text, "utf-8")
    circuit = read_circuit_file(path)
    answers = [circuit.solve(ask) for _, ask in circuit.asks]
    for one in answers:
        with pytest.raises(CircuitError, match="found in numbers only"):
            one.formula()
    return [(one.value, one.unit.symbol) for one in answers]


def test_a_file_may_ask_for_the_band_and_for_sensitivities(tmp_path: Path) -> None:
    gain, low, high, moves, shunt, corner = solved(tmp_path, TEXT)
    assert complex(gain[0]).real == pytest.approx(0.99, rel=2e-3)
    assert low == (pytest.approx(1 / (2 * math.pi * 1e6 * 1e-7), rel=3e-3), "Hz")
    assert high == (pytest.approx(1 / (2 * math.pi * 9.9e3 * 1e-10), rel=3e-3), "Hz")
    assert moves == (pytest.approx(0.01, rel=0.02), "")
    assert corner == (pytest.approx(-1.0, rel=1e-12), "")
    assert abs(complex(shunt[0])) < 0.01


def test_a_band_without_an_end_says_so(tmp_path: Path) -> None:
    text = TEXT.split("ask:", maxsplit=1)[0].replace("  Cs: {kind: capacitor, nodes: [grid, 0], value: 100 pF}\n", "")
    with pytest.raises(
        CircuitError, match="the gain from in to grid has no upper limit: its band reaches up without end"
    ):
        solved(tmp_path, text + "ask:\n  - {upper limit: {from: in, to: grid}}\n")


@pytest.mark.parametrize(
    ("form", "message"),
    [
        ({"lower limit": "in"}, "gain: found 'in'; {from: a, to: b} is wanted"),
        ({"sensitivity": {"of": {"voltage": "a"}}}, "sensitivity: found {'of': {'voltage': 'a'}}; {of: {voltage: tap}, to: R1} is wanted"),
        ({"upper limit": {"from": "a", "to": "b"}, "take": "phase"}, "found upper limit, take; exactly one of mid-band gain"),
        ({"sensitivity": {"of": {"volt": "a"}, "to": "R1"}}, "found the key 'volt'"),
    ],
)  # fmt: skip
def test_a_wrong_figure_is_told_with_what_would_do(form: dict[str, Any], message: str) -> None:
    with pytest.raises(CircuitError) as caught:
        read_figure(form)
    assert str(caught.value).startswith(message)


def test_a_wrong_figure_of_a_file_has_its_line(tmp_path: Path) -> None:
    path = tmp_path / "stage.yaml"
    path.write_text(TEXT.replace("to: Cs}}", "two: Cs}}"), "utf-8")
    with pytest.raises(FaultyFileError, match=r"stage.yaml:15: ask\[5\]: sensitivity: found"):
        circuit_from_source(read_source(path))
