"""How far a wrong value lies from the key, in words that help and give nothing away.

The factor is told by a rough word and never in figures: "too low, by a factor of about 2.4" would tell anybody who
types 1 that 2.4 is wanted.
"""

from __future__ import annotations

_ROUGHLY: tuple[tuple[float, str], ...] = (
    (1.15, ""),
    (1.6, "by less than a factor of two"),
    (3.0, "by a factor of about two"),
    (7.0, "by a factor of about five"),
    (15.0, "by a factor of about ten"),
    (30.0, "by a factor of about twenty"),
    (70.0, "by a factor of about fifty"),
    (150.0, "by a factor of about a hundred"),
    (700.0, "by a factor of some hundreds"),
    (1500.0, "by a factor of about a thousand"),
    (1e4, "by a factor of some thousands"),
)
"""Up to which factor each word serves."""


def how_far(key: float, value: float, *, level: bool = False) -> str:
    """Say how a wrong value compares with the key.

    Args:
        key: The right value.
        value: The wrong one.
        level: Whether both are levels or angles, of which no factor is told.
    """
    if level or key == 0 or value == 0 or (key > 0) != (value > 0):
        return "Too high." if value > key else "Too low."
    ratio = value / key
    high = ratio > 1
    factor = ratio if high else 1 / ratio
    word = "high" if high else "low"
    if key < 0:
        word = "large in size" if high else "small in size"
    roughly = next((words for most, words in _ROUGHLY if factor < most), None)
    if roughly is None:
        return f"Far too {word}, by more than ten thousand times."
    return f"Too {word}, {roughly}." if roughly else f"A little too {word}."
