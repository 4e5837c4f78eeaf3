"""The same supplies in a circuit simulator, ngspice: a second solver that shares no line with ours."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from dataclasses import dataclass
from pathlib import Path

import pytest

from tutor.circuits.supply.description import Ideal, Load, Rectifier, Silicon, Supply, Topology

WINDOW = 4  # mains cycles over which the simulator measures


def simulator() -> str:
    """Return the simulator's command; without it skip, but fail where everything must be checked."""
    found = shutil.which("ngspice")
    if found is None:
        if os.environ.get("CI") == "true":
            pytest.fail("ngspice is not installed, and CI checks the supplies against it")
        pytest.skip("ngspice is not installed")
    return found


@dataclass(frozen=True, slots=True)
class Measured:
    """What the simulator measured over its last cycles."""

    mean: list[float]
    earlier_mean: list[float]
    ripple: list[float]
    direct_current: float
    peak_current: float
    rms_current: float
    inverse: float


def netlist(supply: Supply, settling: float) -> str:
    """Return the netlist of a supply of single numbers, run until `settling` has passed and then some."""
    emf, resistance, frequency = (
        float(supply.winding.emf) * 2**0.5,
        float(supply.winding.resistance),
        float(supply.winding.frequency),
    )
    cycles = max(12, int(settling * frequency) + 1)
    stop, cycle = (cycles + WINDOW) / frequency, 1 / frequency
    start = cycles / frequency
    lines = ["a supply", *_windings(supply.topology, emf, resistance, frequency)]
    lines += _diodes(supply.topology, supply.rectifier)
    lines += ["Vcount k n0 0"]
    if supply.reservoir == 0:
        # A choke whose current stops leaves its rectifier's node to nothing: a snubber, too small to matter, holds it.
        lines += ["Csnub k sn 300p", "Rsnub sn 0 100k", "Cstray k 0 20p"]
    begin = 0.8 * emf
    if supply.reservoir > 0:
        lines.append(f"C0 n0 0 {supply.reservoir:.12g} IC={begin:g}")
    lines += _load("a", "n0", supply.reservoir_load)
    for index, section in enumerate(supply.sections, start=1):
        middle = f"m{index}"
        lines.append(f"R{index} n{index - 1} {middle} {max(float(section.resistance), 1e-6):.12g}")
        if section.inductance > 0:
            lines.append(f"L{index} {middle} n{index} {section.inductance:.12g} IC=0")
        else:
            lines.append(f"Vs{index} {middle} n{index} 0")
        lines.append(f"C{index} n{index} 0 {section.capacitance:.12g} IC={begin:g}")
        lines += _load(f"b{index}", f"n{index}", section.load)
    last = f"n{len(supply.sections)}"
    lines += _load("z", last, supply.load)
    if supply.bleeder < float("inf"):
        lines.append(f"Rbleed {last} 0 {supply.bleeder:.12g}")
    span = f"from={start:.12g} to={stop:.12g}"
    before = f"from={start - WINDOW * cycle:.12g} to={start:.12g}"
    for node in range(len(supply.sections) + 1):
        lines.append(f".meas tran mean{node} AVG v(n{node}) {span}")
        lines.append(f".meas tran early{node} AVG v(n{node}) {before}")
        lines.append(f".meas tran ripple{node} PP v(n{node}) {span}")
    lines += [
        f".meas tran direct AVG i(Vcount) {span}",
        f".meas tran peak MAX i(Vd1) {span}",
        f".meas tran heat RMS i(Vwind) {span}",
        f".meas tran inverse MIN par('v(a)-v(k)') {span}",
        ".options reltol=1e-5 abstol=1e-9 vntol=1e-6 chgtol=1e-12 method=gear",
        f".tran {cycle / 1000:.12g} {stop:.12g} {start - WINDOW * cycle:.12g} {cycle / 1000:.12g} uic",
        ".end",
    ]
    return "\n".join(lines) + "\n"


def _windings(topology: Topology, emf: float, resistance: float, frequency: float) -> list[str]:
    resistance = max(resistance, 1e-6)
    wave = f"SIN(0 {emf:.12g} {frequency:g})"
    first = ["Vwind a0 aa 0", f"Rw1 aa a {resistance:.12g}"]
    if topology is Topology.HALF_WAVE:
        return [f"Ve1 a0 0 {wave}", *first]
    if topology is Topology.BI_PHASE:
        return [f"Ve1 a0 0 {wave}", *first, f"Ve2 0 b0 {wave}", f"Rw2 b0 b {resistance:.12g}"]
    return [f"Ve1 a0 b {wave}", *first, "Rleak1 a 0 1e9", "Rleak2 b 0 1e9"]


def _diodes(topology: Topology, rectifier: Rectifier) -> list[str]:
    pairs = {
        Topology.HALF_WAVE: [("a", "k")],
        Topology.BI_PHASE: [("a", "k"), ("b", "k")],
        Topology.BRIDGE: [("a", "k"), ("b", "k"), ("0", "a"), ("0", "b")],
    }[topology]
    lines = []
    for number, (anode, cathode) in enumerate(pairs, start=1):
        across = f"v(p{number},{cathode})"
        if isinstance(rectifier, Silicon):
            law = f"max(0,({across}-{rectifier.drop:.12g})/{rectifier.slope:.12g})"
        elif isinstance(rectifier, Ideal):
            law = f"max(0,{across}/{rectifier.resistance:.12g})"
        else:
            law = f"{rectifier.perveance:.12g}*max(0,{across})*sqrt(max(0,{across}))"
        lines += [f"Vd{number} {anode} p{number} 0", f"Bd{number} p{number} {cathode} i={law}"]
    return lines


def _load(name: str, node: str, load: Load) -> list[str]:
    lines = []
    if load.resistance < float("inf"):
        lines.append(f"Rl{name} {node} 0 {load.resistance:.12g}")
    if load.current > 0:
        lines.append(f"Il{name} {node} 0 {load.current:.12g}")
    return lines


def measured(supply: Supply, settling: float, folder: Path, name: str) -> Measured:
    """Run one supply in the simulator and return what it measured."""
    file = folder / f"{name}.cir"
    file.write_text(netlist(supply, settling), encoding="ascii")
    run = subprocess.run([simulator(), "-b", str(file)], capture_output=True, text=True, timeout=120)
    found = {key: float(value) for key, value in re.findall(r"^(\w+)\s+=\s+(\S+)", run.stdout, re.MULTILINE)}
    nodes = range(len(supply.sections) + 1)
    missing = {f"mean{node}" for node in nodes} - set(found)
    assert not missing, f"{missing} not measured:\n{run.stdout}\n{run.stderr}"
    return Measured(
        mean=[found[f"mean{node}"] for node in nodes],
        earlier_mean=[found[f"early{node}"] for node in nodes],
        ripple=[found[f"ripple{node}"] for node in nodes],
        direct_current=found["direct"],
        peak_current=found["peak"],
        rms_current=found["heat"],
        inverse=-found["inverse"],
    )
