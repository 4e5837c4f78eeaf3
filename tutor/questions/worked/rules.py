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


def sentence_for(formula: Expression, unit: Unit, dimensions: Dimensions) -> tuple[str, str]:
    """Return a sentence without its full stop, and a hint; both speak of the rule that a formula follows.

    Args:
        formula: The formula.
        unit: Of its value.
        dimensions: Dimension of every name in it.
    """
    shape = _Shape(formula, unit, dimensions)
    found = ((says, idea) for applies, says, idea in _SENTENCES if applies(shape))
    return next(found, ("By the rule for it", "Which rule ties these values together?"))


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
    def roots(self) -> set[str]:
        """Of which plain numbers roots are taken."""
        calls = [node for node in walk(self.formula) if isinstance(node, Call) and node.function == "sqrt"]
        return {call.arguments[0].text for call in calls if isinstance(call.arguments[0], Number)}

    @property
    def is_ten_raised(self) -> bool:
        """Whether it is a power of ten."""
        node = self.formula
        return isinstance(node, Binary) and node.operator == "**" and node.left == Number(10.0, text="10")

    @property
    def counts_mu(self) -> bool:
        """Whether a factor mu + 1 stands in front."""
        node = self.formula
        factor = node.left if isinstance(node, Binary) and node.operator == "*" else None
        return isinstance(factor, Binary) and factor.operator == "+" and factor.left == Name("mu")

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


_SENTENCES: tuple[tuple[Callable[[_Shape], bool], str, str], ...] = (
    (
        lambda s: isinstance(s.formula, Name),
        "It has been found already",
        "It has been found already: which value is it?",
    ),
    (
        lambda s: s.unit.kind == DECIBEL.kind and s.is_binary("+ -"),
        "Levels in decibels add where ratios multiply",
        "Levels in decibels are added and taken away.",
    ),
    (lambda s: s.unit.kind == DECIBEL.kind, "As a level in decibels", "Take the ratio first, then its logarithm."),
    (
        lambda s: s.unit.kind == DEGREE.kind,
        "The angle follows from the ratio of frequency and corner",
        "Compare the frequency with the corner.",
    ),
    (
        lambda s: s.wanted == R and s.counts_mu,
        "Through the valve it counts `mu + 1` times",
        "Which part counts mu + 1 times?",
    ),
    (lambda s: s.wanted == R and s.is_side_by_side, "Side by side they make", "Two of them share both of their ends."),
    (
        lambda s: s.wanted == HZ and "sqrt" in s.calls and {L, C} <= s.kinds,
        "Coil and capacitor are in resonance at",
        "Where are both reactances equal?",
    ),
    (
        lambda s: s.wanted == HZ and s.has_pi,
        "The corner is where reactance and resistance are equal",
        "At the corner the reactance equals the resistance.",
    ),
    (
        lambda s: s.wanted == R and s.has_pi and bool({C, L} & s.kinds),
        "At that frequency the reactance is",
        "Use the formula of the reactance.",
    ),
    (
        lambda s: s.wanted in (C, L) and s.has_pi,
        "Turned about, the formula of the reactance gives",
        "Turn the formula of the reactance about.",
    ),
    (
        lambda s: s.wanted == S and s.is_binary("*", R, C),
        "Resistance times capacitance is the time constant",
        "A time constant is resistance times capacitance.",
    ),
    (
        lambda s: s.wanted == S and "log" in s.calls,
        "Running down takes the time constant times a logarithm",
        "Turn the exponential about.",
    ),
    (
        lambda s: "exp" in s.calls,
        "The voltage of the capacitor follows the exponential",
        "How does a capacitor run down?",
    ),
    (
        lambda s: s.wanted in (V, C) and {A, HZ} <= s.kinds,
        "Charge per cycle: what the load takes between two top-ups comes out of the reservoir",
        "How much charge does the load take between two top-ups of the reservoir?",
    ),
    (lambda s: s.wanted == V and s.is_binary("* /", A, R), "Ohm's law: current times resistance", "Use Ohm's law."),
    (lambda s: s.wanted == V and s.is_divider, "The divider rule gives", "Use the divider rule."),
    (lambda s: s.wanted == A and s.is_binary("/", V, R), "Ohm's law: voltage over resistance", "Use Ohm's law."),
    (lambda s: s.wanted == R and s.is_binary("/", V, A), "Ohm's law: voltage over current", "Use Ohm's law."),
    (
        lambda s: s.wanted == V and s.is_binary("* /") and s.roots == {"2"},
        "Between rms and peak stands a root of two",
        "Is a peak or an rms value wanted?",
    ),
    (
        lambda s: s.wanted == V and s.is_binary("* /") and s.roots == {"3"},
        "Taken as a sawtooth, half of its swing over the root of three is its rms value",
        "Which rms value has a sawtooth?",
    ),
    (
        lambda s: s.wanted == R and "log" in s.calls,
        "Turned about, the running down of the capacitor gives",
        "Turn the exponential about.",
    ),
    (
        lambda s: s.wanted == S and s.has_pi,
        "Turned about, the formula of the corner gives",
        "Turn the formula of the corner about.",
    ),
    (
        lambda s: s.wanted == C and s.is_binary("/", S, R),
        "Time constant over resistance is the capacitance",
        "A time constant is resistance times capacitance.",
    ),
    (
        lambda s: s.wanted == W and {V, R} <= s.kinds and A not in s.kinds,
        "Power is voltage squared over resistance",
        "Power follows from voltage and resistance.",
    ),
    (
        lambda s: s.wanted == W and {A, R} <= s.kinds and V not in s.kinds,
        "Power is current squared times resistance",
        "Power follows from current and resistance.",
    ),
    (
        lambda s: s.wanted == W and {V, A} <= s.kinds,
        "Power is voltage times current",
        "Power is voltage times current.",
    ),
    (lambda s: s.is_ten_raised, "Turned back from decibels, the ratio is", "Turn the decibels back into a ratio."),
    (lambda s: s.is_binary("**") and s.wanted == ONE, "Raised to its power", "Which power of the ratio is wanted?"),
    (lambda s: s.is_binary("-") and s.wanted == ONE, "What is missing from the whole is", "Which part is missing?"),
    (
        lambda s: s.is_binary("-"),
        "Taken away from one another, what is left is",
        "Which value is taken away from which?",
    ),
    (lambda s: s.is_binary("+") and s.wanted != ONE, "Added up they make", "Which values add up?"),
    (lambda s: s.is_binary("/") and s.wanted == ONE, "As a ratio", "Which value is compared with which?"),
    (lambda s: s.is_binary("*") and s.wanted == ONE, "Multiplied with one another", "Which factors come together?"),
    (lambda s: s.is_binary("*"), "Multiplied they give", "Which values are multiplied?"),
    (lambda s: s.is_binary("/"), "Divided by one another they give", "Which value is divided by which?"),
)
