"""Netlists at random: valid, but nothing that anybody would build."""

import random

from tutor.drawing.schematic import DrawnPart

TWO_PINS = ("resistor", "capacitor", "inductor", "diode", "meter", "voltage source", "current source")


def netlist_at_random(seed: int, most: int = 7) -> list[DrawnPart]:
    """Return up to `most` parts of any kind between up to six nodes; some circuits have no earth."""
    chance = random.Random(seed)
    nodes = [*(f"n{i}" for i in range(chance.randint(1, 5))), *(["0"] if chance.randrange(7) else [])]
    return [_part(chance, f"X{number}", nodes) for number in range(chance.randint(1, most))]


def _part(chance: random.Random, reference: str, nodes: list[str]) -> DrawnPart:
    kind = chance.choices(
        ("two", "triode", "pentode", "potentiometer", "transformer", "controlled", "box"), (60, 12, 6, 6, 5, 8, 3)
    )[0]
    pins: tuple[str, ...] = ("a", "b")
    if kind == "two":
        kind = chance.choices(TWO_PINS, (40, 20, 5, 5, 5, 15, 10))[0]
    elif kind == "triode":
        pins = ("anode", "grid", "cathode")
    elif kind == "pentode":
        pins = ("anode", "grid", "screen", "cathode", "suppressor")[: chance.choice((4, 5))]
    elif kind == "potentiometer":
        pins = ("top", "wiper", "foot")
    elif kind == "transformer":
        pins = tuple(f"w{i} {end}" for i in range(chance.randint(1, 3)) for end in ("start", "end"))
    elif kind == "controlled":
        kind = f"voltage-controlled {chance.choices(('voltage', 'current'))[0]} source"
        pins = ("a", "b", "control a", "control b")
    else:
        kind, pins = "relay", tuple(f"pin {i}" for i in range(chance.randint(1, 5)))
    return DrawnPart(
        reference=reference,
        kind=kind,
        nodes={pin: nodes[chance.randrange(len(nodes))] for pin in pins},
        value="220 kΩ",
        flavour=chance.choices(("dc", "ac", ""))[0],
        polarised=chance.randrange(5) == 0,
    )
