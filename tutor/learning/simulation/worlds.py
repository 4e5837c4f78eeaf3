"""Worlds: what is true of a made-up club, in ways that the model does not know of."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum


class Gain(StrEnum):
    """Which questions teach most."""

    FLAT = "every question teaches alike"
    PEAKED = "a question at one in two teaches most"


@dataclass(frozen=True, slots=True, kw_only=True)
class World:
    """How people learn, forget and answer in one world, and how well the trainer labels templates.

    Attributes:
        name: Its name in the tables.
        learning: Median gain in ability by one answer, in logits at ability 0; members differ by a factor (log sd 0.4).
        forgetting: Exponent of the power law by which what was gained is forgotten.
        guess: Least chance of a right answer.
        slip: Chance of a wrong answer by the ablest.
        label_noise: Spread of the trainer's error on a difficulty, in logits.
        gain: Which questions teach most.
        asks: Most asks in a question; more than one makes part marks.
        unit_lost: Chance that a right value is given a wrong unit, which costs half of an ask's marks.
        form: Spread of a member's ability from question to question, in logits.
        hints: How willingly hints are taken; 0 for never.
        hint_helps: What a hint adds to the ability for this question, in logits.
    """

    name: str
    learning: float = 0.15
    forgetting: float = 0.25
    guess: float = 0.02
    slip: float = 0.03
    label_noise: float = 0.6
    gain: Gain = Gain.FLAT
    asks: int = 1
    unit_lost: float = 0.0
    form: float = 0.0
    hints: float = 0.0
    hint_helps: float = 1.2

    def with_gain(self, gain: Gain) -> World:
        """Return the world with another rule of what teaches."""
        return replace(self, gain=gain)


MATCHED = World(name="matched")
BLURRED = World(name="blurred labels", label_noise=1.2)
PART_MARKS = World(name="part marks", asks=4, unit_lost=0.08, form=0.5)
HINTS = World(name="hints", hints=1.0)

WORLDS: tuple[World, ...] = (
    MATCHED,
    World(name="twice as fast", learning=0.30),
    World(name="nobody learns", learning=0.001),
    World(name="guessing", guess=0.15, slip=0.08),
    BLURRED,
    World(name="forgetting doubled", forgetting=0.5),
    PART_MARKS,
    HINTS,
)
