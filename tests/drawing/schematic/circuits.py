"""Circuits of valve audio as drawn parts: what the drawing is tried on.

`CIRCUITS` are the stages a course asks about; `AMPLIFIERS` are larger or less usual. Values are round numbers and
stand for nothing measured.
"""

from tutor.drawing.schematic import DrawnPart
from tutor.drawing.schematic.parts import Flavour


def two(reference: str, kind: str, a: str, b: str, value: str = "") -> DrawnPart:
    return DrawnPart(reference=reference, kind=kind, nodes={"a": a, "b": b}, value=value)


def R(reference: str, a: str, b: str, value: str = "100 kΩ") -> DrawnPart:
    return two(reference, "resistor", a, b, value)


def C(reference: str, a: str, b: str, value: str = "22 nF") -> DrawnPart:
    return two(reference, "capacitor", a, b, value)


def can(reference: str, a: str, b: str, value: str = "32 µF") -> DrawnPart:
    """Return an electrolytic capacitor, positive first."""
    return DrawnPart(reference=reference, kind="capacitor", nodes={"a": a, "b": b}, value=value, polarised=True)


def D(reference: str, anode: str, cathode: str) -> DrawnPart:
    return two(reference, "diode", anode, cathode)


def source(reference: str, a: str, b: str, value: str, flavour: Flavour = "") -> DrawnPart:
    nodes = {"a": a, "b": b}
    return DrawnPart(reference=reference, kind="voltage source", nodes=nodes, value=value, flavour=flavour)


def ht(value: str = "250 V", node: str = "ht", reference: str = "V9") -> DrawnPart:
    return source(reference, node, "0", value, "dc")


def signal(node: str, value: str = "1 V", reference: str = "VS") -> DrawnPart:
    return source(reference, node, "0", value, "ac")


def triode(reference: str, anode: str, grid: str, cathode: str, value: str = "ECC83") -> DrawnPart:
    nodes = {"anode": anode, "grid": grid, "cathode": cathode}
    return DrawnPart(reference=reference, kind="triode", nodes=nodes, value=value)


def pentode(reference: str, anode: str, grid: str, screen: str, cathode: str, value: str = "EL84") -> DrawnPart:
    nodes = {"anode": anode, "grid": grid, "screen": screen, "cathode": cathode}
    return DrawnPart(reference=reference, kind="pentode", nodes=nodes, value=value)


def pot(reference: str, top: str, wiper: str, foot: str, value: str = "1 MΩ") -> DrawnPart:
    nodes = {"top": top, "wiper": wiper, "foot": foot}
    return DrawnPart(reference=reference, kind="potentiometer", nodes=nodes, value=value)


def transformer(reference: str, value: str = "", **windings: tuple[str, str]) -> DrawnPart:
    nodes = {}
    for name, (start, end) in windings.items():
        nodes[f"{name} start"], nodes[f"{name} end"] = start, end
    return DrawnPart(reference=reference, kind="transformer", nodes=nodes, value=value)


def controlled(reference: str, a: str, b: str, plus: str, minus: str, value: str, kind: str = "voltage") -> DrawnPart:
    nodes = {"a": a, "b": b, "control a": plus, "control b": minus}
    return DrawnPart(reference=reference, kind=f"voltage-controlled {kind} source", nodes=nodes, value=value)


# fmt: off
CIRCUITS: dict[str, list[DrawnPart]] = {
    "loaded-divider": [
        source("V1", "in", "0", "250 V", "dc"), R("R1", "in", "tap"), R("R2", "tap", "0", "47 kΩ"),
        R("RL", "tap", "0", "220 kΩ"),
    ],
    "metered-divider": [
        source("V1", "in", "0", "250 V", "dc"), R("R1", "in", "tap"), R("R2", "tap", "0", "47 kΩ"),
        two("M1", "meter", "tap", "0", "20 kΩ/V"),
    ],
    "low-pass": [signal("s"), R("Rs", "s", "out"), C("C1", "out", "0", "220 pF"), R("RL", "out", "0", "1 MΩ")],
    "high-pass": [signal("s"), R("Rs", "s", "a", "10 kΩ"), C("C1", "a", "out"), R("RL", "out", "0", "1 MΩ")],
    "ladder": [
        signal("s"), R("R1", "s", "p"), C("C1", "p", "0"), R("R2", "p", "q"), C("C2", "q", "0"),
        R("RL", "q", "0", "1 MΩ"),
    ],
    "ht-dropper": [
        ht(), R("R1", "ht", "b", "4.7 kΩ"), can("C1", "b", "0"), R("R2", "b", "c", "10 kΩ"),
        can("C2", "c", "0", "16 µF"), R("R3", "c", "d", "47 kΩ"), can("C3", "d", "0", "8 µF"),
        R("RL", "d", "0", "220 kΩ"),
    ],
    "triode-stage": [
        signal("s"), C("C1", "s", "g"), R("Rg", "g", "0", "1 MΩ"), triode("V1", "a", "g", "k"), R("Ra", "ht", "a"),
        ht(), R("Rk", "k", "0", "1.5 kΩ"), can("Ck", "k", "0", "25 µF"), C("C2", "a", "out"),
        R("Rg2", "out", "0", "1 MΩ"),
    ],
    "small-signal-triode": [
        signal("g"), triode("V1", "a", "g", "k"), R("RL", "a", "0"), R("Rk", "k", "0", "1.5 kΩ"),
    ],
    "cathode-follower": [
        signal("s"), C("C1", "s", "g"), R("Rg", "g", "0", "1 MΩ"), triode("V1", "ht", "g", "k"), ht(),
        R("Rk", "k", "0", "47 kΩ"), C("C2", "k", "out", "1 µF"), R("RL", "out", "0"),
    ],
    "split-load": [
        signal("g"), triode("V1", "a", "g", "k"), R("Ra", "ht", "a"), ht("300 V"), R("Rk", "k", "0"),
        C("C1", "a", "o1", "100 nF"), R("R1", "o1", "0", "470 kΩ"), C("C2", "k", "o2", "100 nF"),
        R("R2", "o2", "0", "470 kΩ"),
    ],
    "long-tailed-pair": [
        signal("s"), C("C1", "s", "g1"), R("Rg", "g1", "0", "1 MΩ"), triode("V1", "a1", "g1", "k"),
        triode("V2", "a2", "g2", "k"), R("Ra1", "ht", "a1"), R("Ra2", "ht", "a2"), ht("300 V"),
        R("Rk", "k", "0", "47 kΩ"), R("Rg2", "g2", "0", "1 MΩ"), C("C2", "g2", "0", "100 nF"),
        C("C3", "a1", "o1", "100 nF"), C("C4", "a2", "o2", "100 nF"), R("R3", "o1", "0", "470 kΩ"),
        R("R4", "o2", "0", "470 kΩ"),
    ],
    "paraphase": [
        signal("g1"), triode("V1", "a1", "g1", "k1"), R("Ra1", "ht", "a1"), R("Rk1", "k1", "0", "1.5 kΩ"),
        C("C1", "a1", "o1", "100 nF"), R("R1", "o1", "g2", "470 kΩ"), R("R2", "g2", "0", "10 kΩ"),
        triode("V2", "a2", "g2", "k2"), R("Ra2", "ht", "a2"), R("Rk2", "k2", "0", "1.5 kΩ"),
        C("C2", "a2", "o2", "100 nF"), R("R3", "o2", "0", "470 kΩ"), ht("300 V"),
    ],
    "push-pull": [
        signal("g1", reference="VA"), source("VB", "0", "g2", "1 V", "ac"), pentode("V1", "a1", "g1", "ht", "k"),
        pentode("V2", "a2", "g2", "ht", "k"), R("Rk", "k", "0", "130 Ω"), can("Ck", "k", "0", "50 µF"),
        transformer("T1", upper=("a1", "ht"), lower=("ht", "a2"), secondary=("ls", "0")),
        R("RL", "ls", "0", "15 Ω"), ht("300 V"),
    ],
    "single-ended": [
        signal("s"), C("C1", "s", "g"), R("Rg", "g", "0", "470 kΩ"), pentode("V1", "a", "g", "ht", "k"),
        R("Rk", "k", "0", "270 Ω"), can("Ck", "k", "0", "50 µF"),
        transformer("T1", "5 kΩ : 3 Ω", primary=("ht", "a"), secondary=("ls", "0")),
        R("RL", "ls", "0", "3 Ω"), ht(),
    ],
    "half-wave": [
        signal("s", "240 V", "V1"), D("D1", "s", "h"), can("C1", "h", "0"), R("R1", "h", "o", "1 kΩ"),
        can("C2", "o", "0"), R("RL", "o", "0", "10 kΩ"),
    ],
    "half-wave-transformer": [
        signal("p", "230 V", "V1"), transformer("T1", primary=("p", "0"), secondary=("s", "0")), D("D1", "s", "h"),
        can("C1", "h", "0"), two("L1", "inductor", "h", "o", "10 H"), can("C2", "o", "0"),
        R("RL", "o", "0", "10 kΩ"),
    ],
    "biphase": [
        signal("p", "230 V", "V1"), transformer("T1", primary=("p", "0"), upper=("s1", "0"), lower=("0", "s2")),
        D("D1", "s1", "h"), D("D2", "s2", "h"), can("C1", "h", "0"), R("RL", "h", "0", "10 kΩ"),
    ],
    "bridge-rectifier": [
        source("V1", "p", "q", "250 V", "ac"), D("D1", "p", "h"), D("D2", "q", "h"), D("D3", "0", "p"),
        D("D4", "0", "q"), can("C1", "h", "0"), R("RL", "h", "0", "10 kΩ"),
    ],
    "bridge-transformer": [
        signal("m", "230 V", "V1"), transformer("T1", primary=("m", "0"), secondary=("p", "q")),
        D("D1", "p", "h"), D("D2", "q", "h"), D("D3", "0", "p"), D("D4", "0", "q"), can("C1", "h", "0"),
        R("RL", "h", "0", "10 kΩ"),
    ],
    "volume-control": [
        signal("in"), pot("VR1", "in", "w", "ft"), R("R1", "ft", "0", "10 kΩ"), R("RL", "w", "0", "1 MΩ"),
    ],
    "mixer": [
        signal("s1", reference="V1"), R("R1", "s1", "m"), signal("s2", reference="V2"), R("R2", "s2", "m"),
        R("RL", "m", "0", "1 MΩ"),
    ],
    "tone-passive": [
        signal("in"), R("R1", "in", "b1"), pot("VR1", "b1", "bw", "b2"), R("R2", "b2", "0", "10 kΩ"),
        C("C1", "b1", "bw", "2.2 nF"), C("C2", "bw", "b2"), C("C3", "in", "t1", "220 pF"),
        pot("VR2", "t1", "out", "t2"), C("C4", "t2", "0", "2.2 nF"), R("R3", "bw", "out"),
        R("RL", "out", "0", "1 MΩ"),
    ],
    "tone-feedback": [
        signal("in"), R("R1", "in", "b1"), pot("VR1", "b1", "bw", "b2"), R("R2", "b2", "fb"),
        C("C1", "b1", "bw", "10 nF"), C("C2", "bw", "b2", "10 nF"), C("C3", "in", "t1", "1 nF"),
        pot("VR2", "t1", "tw", "t2"), C("C4", "t2", "fb", "1 nF"), R("R3", "bw", "tw", "220 kΩ"), C("C5", "tw", "g"),
        R("Rg", "g", "0", "2.2 MΩ"), triode("V1", "a", "g", "k"), R("Ra", "ht", "a"), ht(),
        R("Rk", "k", "0", "1.5 kΩ"), C("C6", "a", "fb", "100 nF"), R("RL", "fb", "0", "1 MΩ"),
    ],
    "wheatstone": [
        source("V1", "t", "0", "10 V", "dc"), R("R1", "t", "l"), R("R2", "t", "r"), R("R3", "l", "0"),
        R("R4", "r", "0"), R("R5", "l", "r"),
    ],
    "wheatstone-meter": [
        source("V1", "t", "0", "10 V", "dc"), R("R1", "t", "l"), R("R2", "t", "r"), R("R3", "l", "0"),
        R("R4", "r", "0"), two("M1", "meter", "l", "r", "50 µA"),
    ],
    "feedback-amplifier": [
        signal("s"), C("C1", "s", "g1"), R("Rg1", "g1", "0", "1 MΩ"), triode("V1", "a1", "g1", "k1"),
        R("Ra1", "ht", "a1"), R("Rk1", "k1", "0", "1.5 kΩ"), C("C2", "a1", "g2"), R("Rg2", "g2", "0", "1 MΩ"),
        triode("V2", "a2", "g2", "k2"), R("Ra2", "ht", "a2"), R("Rk2", "k2", "0", "1.5 kΩ"),
        can("Ck2", "k2", "0", "25 µF"), C("C3", "a2", "out"), R("RL", "out", "0"), R("Rf", "out", "k1", "47 kΩ"),
        ht(),
    ],
    "controlled-amplifier": [
        signal("s"), controlled("E1", "o", "0", "s", "f", "50"), R("Rf", "o", "f", "22 kΩ"),
        R("Rb", "f", "0", "1 kΩ"),
    ],
    "controlled-model": [
        signal("g"), controlled("E1", "0", "m", "g", "0", "100"), R("ra", "m", "a", "62 kΩ"), R("RL", "a", "0"),
    ],
    "tweeter": [
        signal("s", "20 V"), C("C1", "s", "t", "10 nF"), C("CT", "t", "0", "400 pF"),
        source("VP", "p", "0", "300 V", "dc"), R("RP", "p", "t", "4.7 MΩ"),
    ],
}

AMPLIFIERS: dict[str, list[DrawnPart]] = {
    "srpp": [
        signal("g"), R("Rg", "g", "0", "1 MΩ"), triode("V1", "a", "g", "k"), R("Rk", "k", "0", "1 kΩ"),
        R("R1", "a", "m", "1 kΩ"), triode("V2", "ht", "a", "m"), ht(), C("C1", "m", "out"), R("RL", "out", "0"),
    ],
    "cascode": [
        signal("g"), R("Rg", "g", "0", "1 MΩ"), triode("V1", "a", "g", "k"), R("Rk", "k", "0", "1 kΩ"),
        triode("V2", "a2", "g2", "a"), R("Ra", "ht", "a2"), R("Rb1", "ht", "g2", "470 kΩ"),
        R("Rb2", "g2", "0", "220 kΩ"), C("Cg", "g2", "0", "100 nF"), ht(), C("C1", "a2", "out"), R("RL", "out", "0"),
    ],
    "pentode-stage": [
        signal("s"), C("C1", "s", "g"), R("Rg", "g", "0", "1 MΩ"), pentode("V1", "a", "g", "g2", "k", "EF86"),
        R("Ra", "ht", "a"), R("Rg2", "ht", "g2", "390 kΩ"), C("Cg2", "g2", "0", "100 nF"),
        R("Rk", "k", "0", "1.5 kΩ"), can("Ck", "k", "0", "25 µF"), C("C2", "a", "out"), R("RL", "out", "0", "1 MΩ"),
        ht(),
    ],
    "decoupled-stage": [
        signal("s"), C("C1", "s", "g"), R("Rg", "g", "0", "1 MΩ"), triode("V1", "a", "g", "k"), R("Ra", "d", "a"),
        R("Rd", "ht", "d", "22 kΩ"), can("Cd", "d", "0", "16 µF"), R("Rk", "k", "0", "1.5 kΩ"),
        can("Ck", "k", "0", "25 µF"), C("C2", "a", "out"), R("RL", "out", "0", "1 MΩ"), ht(),
    ],
    "power-amplifier": [
        signal("s"), R("Rg", "s", "0", "1 MΩ"), pentode("V1", "a1", "s", "g2", "k1", "EF86"), R("Ra", "ht", "a1"),
        R("Rs", "ht", "g2", "390 kΩ"), C("Cs", "g2", "0", "100 nF"), R("Rk", "k1", "0", "1.5 kΩ"),
        triode("V2", "a2", "a1", "k2"), R("R5", "ht", "a2", "47 kΩ"), R("R6", "k2", "0", "47 kΩ"),
        C("C3", "a2", "g3", "100 nF"), C("C4", "k2", "g4", "100 nF"), R("R7", "g3", "0", "470 kΩ"),
        R("R8", "g4", "0", "470 kΩ"), pentode("V3", "a3", "g3", "ht", "k3"), pentode("V4", "a4", "g4", "ht", "k4"),
        R("R9", "k3", "0", "270 Ω"), R("R10", "k4", "0", "270 Ω"),
        transformer("T1", upper=("a3", "ht"), lower=("ht", "a4"), secondary=("ls", "0")),
        R("RL", "ls", "0", "15 Ω"), R("Rf", "ls", "k1", "22 kΩ"), ht("320 V"),
    ],
    "ultralinear": [
        signal("s"), C("C1", "s", "g"), R("Rg", "g", "0", "470 kΩ"), pentode("V1", "a", "g", "t", "k"),
        R("Rk", "k", "0", "270 Ω"), transformer("T1", upper=("ht", "t"), lower=("t", "a"), secondary=("ls", "0")),
        R("RL", "ls", "0", "8 Ω"), ht(),
    ],
    "miller": [
        signal("s"), R("R1", "s", "g"), C("Cga", "g", "a", "1.7 pF"), C("Cgk", "g", "k", "1.6 pF"),
        triode("V1", "a", "g", "k"), R("RL", "a", "0"), R("Rk", "k", "0", "1 kΩ"),
    ],
    "current-source-model": [
        signal("g"), controlled("G1", "a", "k", "g", "k", "2 mA/V", "current"), R("ra", "a", "k", "62 kΩ"),
        R("RL", "a", "0"), R("Rk", "k", "0", "1 kΩ"),
    ],
    "coupled-coils": [
        signal("s"), R("R1", "s", "p", "1 kΩ"), two("L1", "inductor", "p", "0", "10 H"),
        two("L2", "inductor", "q", "0", "1 H"),
        DrawnPart(reference="K1", kind="coupling", of=("L1", "L2"), value="0.98"), R("RL", "q", "0"),
    ],
    "three-windings": [
        signal("p", "230 V"), transformer("T1", primary=("p", "0"), heater=("h", "0"), anode=("x", "y")),
        R("R1", "h", "0", "3 Ω"), R("R2", "x", "y"),
    ],
    "doubler": [
        signal("s", "240 V"), can("C1", "s", "m"), D("D1", "0", "m"), D("D2", "m", "h"), can("C2", "h", "0"),
        R("RL", "h", "0"),
    ],
    "twin-t": [
        signal("s"), R("R1", "s", "p"), R("R2", "p", "out"), C("C1", "p", "0"), C("C2", "s", "q"), C("C3", "q", "out"),
        R("R3", "q", "0"), R("RL", "out", "0"),
    ],
}
# fmt: on

EVERYTHING = {**CIRCUITS, **AMPLIFIERS}

NODE_LABELS = {
    "loaded-divider": {"in": "in", "tap": "tap"},
    "triode-stage": {"s": "in", "a": "anode", "out": "out", "g": "grid", "k": "cathode", "ht": "HT"},
    "ht-dropper": {"ht": "HT", "b": "B", "c": "C", "d": "D"},
    "wheatstone": {"t": "top", "l": "left", "r": "right"},
    "feedback-amplifier": {"s": "in", "out": "out", "a1": "first anode"},
}
