"""The sentence that goes with a formula, found from its shape and its units: Ohm's law, a corner, charge per cycle."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from tutor.circuits.errors import ExpressionError
from tutor.circuits.expressions import Binary, Call, Expression, Name, Negative, Number, dimension_of
from tutor.circuits.expressions.tree import walk
from tutor.quantities import (
    AMPERE,
    DECIBEL,
    DEGREE,
    FARAD,
    HENRY,
    HERTZ,
    OHM,
    RATIO,
    SECOND,
    VOLT,
    WATT,
    Dimension,
    Unit,
)

Dimensions = Mapping[str, Dimension]
V, A, R, W, S, HZ, C, L, ONE = (
    unit.dimension for unit in (VOLT, AMPERE, OHM, WATT, SECOND, HERTZ, FARAD, HENRY, RATIO)
)


def sentence_for(formula: Expression, unit: Unit, dimensions: Dimensions) -> str:
    """Return a sentence without its full stop; it speaks of the rule that a formula follows.

    Args:
        formula: The formula.
        unit: Of its value.
        dimensions: Dimension of every name in it.
    """
    shape = _Shape(formula, unit, dimensions)
    return next((says for applies, says in _SENTENCES if applies(shape)), "By the rule for it")


class _Shape:
    """What can be told of a formula at a glance."""

    def __init__(self, formula: Expression, unit: Unit, dimensions: Dimensions) -> None:
        while isinstance(formula, Negative):
            formula = formula.operand
        self.formula, self.unit, self._dimensions = formula, unit, dimensions
        self.calls = {node.function for node in walk(formula) if isinstance(node, Call)}
        self.wanted = unit.dimension
        self.has_pi = any(isinstance(node, Number) and node.text == "pi" for node in walk(formula))
        self.kinds = {self.dimension(node) for node in walk(formula) if isinstance(node, Name)}

    def dimension(self, node: Expression) -> Dimension | None:
        try:
            return dimension_of(node, self._dimensions)
        except ExpressionError:
            return None

    def is_binary(self, operators: str, left: Dimension | None = None, right: Dimension | None = None) -> bool:
        node = self.formula
        if not isinstance(node, Binary) or node.operator not in operators.split():
            return False
        fits_left = left is None or self.dimension(node.left) == left
        return fits_left and (right is None or self.dimension(node.right) == right)

    @property
    def is_side_by_side(self) -> bool:
        node = self.formula
        if isinstance(node, Call):
            return node.function == "parallel"
        if not isinstance(node, Binary) or node.operator != "/":
            return False
        above, below = node.left, node.right
        if not (isinstance(above, Binary) and above.operator == "*" and isinstance(below, Binary)):
            return False
        return below.operator == "+" and {above.left, above.right} == {below.left, below.right}

    @property
    def is_divider(self) -> bool:
        node = self.formula
        return isinstance(node, Binary) and node.operator == "/" and _is_sum(node.right)


def _is_sum(node: Expression) -> bool:
    return isinstance(node, Binary) and node.operator == "+"


_SENTENCES: tuple[tuple[Callable[[_Shape], bool], str], ...] = (
    (lambda s: isinstance(s.formula, Name), "It has been found already"),
    (lambda s: s.unit.kind == DECIBEL.kind and s.is_binary("+ -"), "Levels in decibels add where ratios multiply"),
    (lambda s: s.unit.kind == DECIBEL.kind, "As a level in decibels"),
    (lambda s: s.unit.kind == DEGREE.kind, "The angle follows from the ratio of frequency and corner"),
    (lambda s: s.wanted == R and s.is_side_by_side, "Side by side they make"),
    (lambda s: s.wanted == HZ and "sqrt" in s.calls and {L, C} <= s.kinds, "Coil and capacitor are in resonance at"),
    (lambda s: s.wanted == HZ and s.has_pi, "The corner is where reactance and resistance are equal"),
    (lambda s: s.wanted == R and s.has_pi and bool({C, L} & s.kinds), "At that frequency the reactance is"),
    (lambda s: s.wanted in (C, L) and s.has_pi, "Turned about, the formula of the reactance gives"),
    (lambda s: s.wanted == S and s.is_binary("*", R, C), "Resistance times capacitance is the time constant"),
    (lambda s: s.wanted == S and "log" in s.calls, "Running down takes the time constant times a logarithm"),
    (lambda s: "exp" in s.calls, "The voltage of the capacitor follows the exponential"),
    (
        lambda s: s.wanted in (V, C) and {A, HZ} <= s.kinds,
        "Charge per cycle: what the load takes between two top-ups comes out of the reservoir",
    ),
    (lambda s: s.wanted == V and s.is_binary("* /", A, R), "Ohm's law: current times resistance"),
    (lambda s: s.wanted == V and s.is_divider, "The divider rule gives"),
    (lambda s: s.wanted == A and s.is_binary("/", V, R), "Ohm's law: voltage over resistance"),
    (lambda s: s.wanted == R and s.is_binary("/", V, A), "Ohm's law: voltage over current"),
    (lambda s: s.wanted == V and s.is_binary("* /") and "sqrt" in s.calls, "Between rms and peak stands a root of two"),
    (lambda s: s.wanted == W and {V, R} <= s.kinds and A not in s.kinds, "Power is voltage squared over resistance"),
    (lambda s: s.wanted == W and {A, R} <= s.kinds and V not in s.kinds, "Power is current squared times resistance"),
    (lambda s: s.wanted == W and {V, A} <= s.kinds, "Power is voltage times current"),
    (lambda s: s.is_binary("-") and s.wanted != ONE, "Taken away from one another, what is left is"),
    (lambda s: s.is_binary("+") and s.wanted != ONE, "Added up they make"),
    (lambda s: s.is_binary("/") and s.wanted == ONE, "As a ratio"),
    (lambda s: s.is_binary("*") and s.wanted == ONE, "Multiplied with one another"),
    (lambda s: s.is_binary("-") and s.wanted == ONE, "What is missing from the whole is"),
    (lambda s: s.is_binary("*"), "Multiplied they give"),
    (lambda s: s.is_binary("/"), "Divided by one another they give"),
)  # fmt: skip
