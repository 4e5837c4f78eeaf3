from __future__ import annotations

import cmath
import math
from functools import reduce
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tests.circuits.expressions.trees import NAMES, conditions, plain, sums, trees
from tutor.circuits.errors import ExpressionError, NoValueError
from tutor.circuits.expressions import Binary, Call, Expression, Name, Negative, Number, evaluate, read_expression
from tutor.circuits.expressions.evaluation import (
    FUNCTIONS,
    array_namespace,
    as_source,
    describe,
    parallel,
    scalar_namespace,
)
from tutor.quantities import VOLT

VALUES = {"a": 2.0, "b": -3.0, "R1": 47e3, "v_tap": 68.2, "x_1": 0.5}
assert set(VALUES) == set(NAMES)

# What Python itself makes of a text: its own arithmetic, and functions that are written here once more.
PYTHON: dict[str, Any] = {
    "__builtins__": {},
    "pi": math.pi,
    "db": lambda x: 20 * math.log10(abs(x)),
    "parallel": lambda *xs: reduce(lambda p, q: p * q / (p + q), xs),
    **{name: getattr(math, name) for name in ("sqrt", "exp", "log", "log10", "sin", "cos", "tan", "atan")},
    "abs": abs,
    "min": min,
    "max": max,
}


def by_python(tree: Expression) -> Any:
    """Return Python's value of the tree's text, or an error."""
    try:
        return eval(describe(tree), PYTHON, dict(VALUES))
    except (ArithmeticError, ValueError, TypeError) as error:
        return error


@given(trees)
def test_a_value_is_pythons_value(tree: Expression) -> None:
    tree = plain(tree)
    theirs = by_python(tree)
    # Python goes on with a complex number where we stop: the square root of −1 is no voltage.
    assume(not isinstance(theirs, complex))
    try:
        ours = evaluate(tree, VALUES)
    except NoValueError:
        # Python stops a chain or a condition early; we work out every piece, as arrays of draws have to.
        pieces = [by_python(node) for node in nodes_of(tree) if not isinstance(node, Number)]
        hopeless = [p for p in pieces if isinstance(p, Exception | complex) or not math.isfinite(p)]
        assert hopeless
        return
    assert not isinstance(theirs, Exception)
    assert ours == float(theirs) or math.isclose(ours, float(theirs), rel_tol=1e-12)


def nodes_of(tree: Expression) -> list[Expression]:
    from tutor.circuits.expressions.tree import walk

    return list(walk(tree))


def in_source(tree: Expression, namespace: dict[str, Any], values: dict[str, Any]) -> Any:
    source = as_source(tree, lambda name: f"x_{name}")
    return eval(source, {"__builtins__": {}, **namespace}, {f"x_{name}": value for name, value in values.items()})


@given(sums)
def test_generated_source_gives_the_same_value(tree: Expression) -> None:
    try:
        expected = evaluate(tree, VALUES)
    except NoValueError:
        return
    assert in_source(tree, scalar_namespace(), VALUES) == pytest.approx(expected, rel=1e-12)


@given(sums)
def test_generated_source_gives_the_same_values_for_arrays(tree: Expression) -> None:
    try:
        expected = evaluate(tree, VALUES)
    except NoValueError:
        return
    arrays = {name: np.full(3, value) for name, value in VALUES.items()}
    with np.errstate(all="ignore"):
        found = np.broadcast_to(in_source(tree, array_namespace(), arrays), (3,))
    assert found == pytest.approx(np.full(3, expected), rel=1e-12)


@given(conditions)
def test_a_condition_holds_for_arrays_as_for_numbers(tree: Expression) -> None:
    try:
        expected = evaluate(tree, VALUES)
    except NoValueError:
        return
    assert expected in (0.0, 1.0)
    arrays = {name: np.full(3, value) for name, value in VALUES.items()}
    with np.errstate(all="ignore"):
        found = np.broadcast_to(in_source(tree, array_namespace(), arrays), (3,))
    assert (found == bool(expected)).all()


@given(st.integers(2, 300), st.sampled_from(["+", "-", "*", "/"]))
def test_a_long_chain_makes_source_that_python_can_compile(length: int, operator: str) -> None:
    tree = read_expression(f" {operator} ".join(["a"] * length))
    assert in_source(tree, scalar_namespace(), {"a": 1.0}) == evaluate(tree, {"a": 1.0})


def test_the_deepest_nesting_makes_source_that_python_can_compile() -> None:
    for text in ("1 + 2*a**(" * 25 + "a" + ")" * 25, "parallel(a, " * 50 + "a" + ")" * 50, "-" * 50 + "a"):
        tree = read_expression(text)
        assert in_source(tree, scalar_namespace(), {"a": 0.01}) == evaluate(tree, {"a": 0.01})


SOURCES = [
    ("a + b*R1", "(x_a + x_b * x_R1)"),
    ("a - (b - R1)", "(x_a - (x_b - x_R1))"),
    ("a/b/R1", "(x_a / x_b / x_R1)"),
    ("-a**2", "(-x_a ** 2.0)"),
    ("(-a)**2", "((-x_a) ** 2.0)"),
    ("2 kΩ", "2000.0"),
    ("sqrt(a + b)", "sqrt_(x_a + x_b)"),
    ("0 < a < b", "((0.0 < x_a) & (x_a < x_b))"),
    ("a < 1 or not b < 2", "((x_a < 1.0) | not_((x_b < 2.0)))"),
]


@pytest.mark.parametrize(("text", "source"), SOURCES)
def test_source_has_no_more_brackets_than_it_needs(text: str, source: str) -> None:
    assert as_source(read_expression(text), lambda name: f"x_{name}") == source


WITHOUT_VALUE = [
    ("1/(a - 2)", "it divides by zero"),
    ("sqrt(b)", "it takes a root or logarithm of an impossible number"),
    ("log(a - 2)", "it takes a root or logarithm of an impossible number"),
    ("b**0.5", "it takes a root or logarithm of an impossible number"),
    ("abs(b**0.5)", "it takes a root or logarithm of an impossible number"),
    ("exp(R1)", "it grows beyond every bound"),
    ("R1**64*R1**64", "it has no finite real value"),
    ("parallel(a, -a)", "it divides by zero"),
]


@pytest.mark.parametrize(("text", "reason"), WITHOUT_VALUE)
def test_what_has_no_value_says_why(text: str, reason: str) -> None:
    with pytest.raises(NoValueError) as caught:
        evaluate(read_expression(text), VALUES)
    assert str(caught.value) == f"cannot read {describe(read_expression(text))!r} as an expression: {reason}"


def test_a_name_without_a_value_is_told_with_those_that_have_one() -> None:
    with pytest.raises(ExpressionError) as caught:
        evaluate(read_expression("a + R2"), {"a": 1.0, "R1": 2.0})
    assert str(caught.value) == "cannot read 'R2' as an expression: it has no value here; there are a, R1"


def test_a_whole_number_is_never_raised_exactly() -> None:
    # 9**64 as a whole number would have 62 figures; as floats it is as quick as any other.
    assert evaluate(read_expression("9**64"), {}) == 9.0**64


@given(st.floats(1, 1e6), st.floats(1, 1e6))
def test_parallel_is_the_reciprocal_of_summed_reciprocals(a: float, b: float) -> None:
    assert parallel(a, b) == pytest.approx(1 / (1 / a + 1 / b))


def test_a_short_in_parallel_is_a_short() -> None:
    assert parallel(0.0, 47e3) == 0.0


def test_a_level_is_twenty_logarithms_of_the_size() -> None:
    assert evaluate(read_expression("db(-10)"), {}) == pytest.approx(20.0)


def test_pi_is_the_half_turn_of_a_phasor() -> None:
    assert cmath.isclose(cmath.exp(1j * evaluate(read_expression("pi"), {})), -1)


def test_every_function_is_known_to_numbers_and_to_arrays() -> None:
    for name in FUNCTIONS:
        assert f"{name}_" in scalar_namespace()
        assert f"{name}_" in array_namespace()


MADE = [
    (Negative(Negative(Name("a"))), "-(-a)"),
    (Binary("**", Number(-2.0), Number(2.0)), "(-2)**2"),
    (Binary("*", Number(5.0, VOLT), Name("a")), "5 V*a"),
    (Call("min", (Name("a"), Binary("+", Name("b"), Number(1.0)))), "min(a, b + 1)"),
]


@pytest.mark.parametrize(("tree", "text"), MADE)
def test_trees_made_by_hand_are_written_so_that_they_read_back(tree: Expression, text: str) -> None:
    assert describe(tree) == text
    if not isinstance(tree, Binary) or tree.operator != "**":
        assert evaluate(read_expression(text), VALUES) == evaluate(tree, VALUES)
    else:
        assert evaluate(tree, {}) == evaluate(read_expression(text), {}) == 4.0
