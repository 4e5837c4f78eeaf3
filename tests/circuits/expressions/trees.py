"""Random expression trees for properties, and their text as Python would write it."""

from __future__ import annotations

import ast
from typing import Any

from hypothesis import strategies as st

from tutor.circuits.expressions import Binary, Call, Comparison, Expression, Logic, Name, Negative, Number
from tutor.quantities import VOLT

NAMES = ("a", "b", "R1", "v_tap", "x_1")
ONE = ("sqrt", "exp", "log", "log10", "sin", "cos", "tan", "atan", "abs", "db")
MANY = ("min", "max", "parallel")
COMPARE = ("<", "<=", ">", ">=", "==", "!=")

numbers = st.one_of(
    st.integers(0, 999).map(lambda n: Number(float(n), text=str(n))),
    st.floats(0.001, 1e6).map(lambda x: Number(x, text=repr(x))),
    st.sampled_from([Number(3.141592653589793, text="pi"), Number(20.0, VOLT, "20 V")]),
)
leaves = st.one_of(numbers, st.sampled_from(NAMES).map(Name))


def grown(inner: st.SearchStrategy[Expression]) -> st.SearchStrategy[Expression]:
    return st.one_of(
        inner.map(Negative),
        st.builds(Binary, st.sampled_from(["+", "-", "*", "/"]), inner, inner),
        st.builds(lambda base, power: Binary("**", base, power), inner, st.integers(0, 4).map(whole)),
        st.builds(lambda base, name: Binary("**", base, Name(name)), inner, st.sampled_from(NAMES)),
        st.builds(lambda name, x: Call(name, (x,)), st.sampled_from(ONE), inner),
        st.builds(
            lambda name, xs: Call(name, tuple(xs)), st.sampled_from(MANY), st.lists(inner, min_size=2, max_size=3)
        ),
    )


def whole(number: int) -> Number:
    return Number(float(number), text=str(number))


sums = st.recursive(leaves, grown, max_leaves=12)


def compared(operands: list[Expression], operators: list[str]) -> Comparison:
    return Comparison(tuple(operators[: len(operands) - 1]), tuple(operands))


comparisons = st.builds(
    compared,
    st.lists(sums, min_size=2, max_size=3),
    st.lists(st.sampled_from(COMPARE), min_size=2, max_size=2),
)
conditions = st.recursive(
    comparisons,
    lambda inner: st.one_of(
        inner.map(lambda c: Logic("not", (c,))),
        st.builds(lambda word, cs: Logic(word, tuple(cs)), st.sampled_from(["and", "or"]), st.lists(inner, min_size=2, max_size=3)),
    ),
    max_leaves=4,
)  # fmt: skip
trees = st.one_of(sums, conditions)


def plain(tree: Expression) -> Expression:
    """Return the tree with its units taken off, for a reader that knows none."""
    match tree:
        case Number(value, _, text):
            return Number(value, text=text if text == "pi" else repr(value))
        case Name():
            return tree
        case Negative(operand):
            return Negative(plain(operand))
        case Binary(operator, left, right):
            return Binary(operator, plain(left), plain(right))
        case Call(function, arguments):
            return Call(function, tuple(plain(a) for a in arguments))
        case Comparison(operators, operands):
            return Comparison(operators, tuple(plain(o) for o in operands))
        case Logic(operator, operands):
            return Logic(operator, tuple(plain(o) for o in operands))


_OPERATORS = {"+": ast.Add, "-": ast.Sub, "*": ast.Mult, "/": ast.Div, "**": ast.Pow}
_COMPARISONS = {"<": ast.Lt, "<=": ast.LtE, ">": ast.Gt, ">=": ast.GtE, "==": ast.Eq, "!=": ast.NotEq}


def as_python(tree: Expression) -> Any:
    """Return the tree as Python's own: what Python's reader must make of the text that we write."""
    match tree:
        case Number(value, _, text):
            return ast.Name("pi") if text == "pi" else ast.Constant(value)
        case Name(name):
            return ast.Name(name)
        case Negative(operand):
            return ast.UnaryOp(ast.USub(), as_python(operand))
        case Binary(operator, left, right):
            return ast.BinOp(as_python(left), _OPERATORS[operator](), as_python(right))
        case Call(function, arguments):
            return ast.Call(ast.Name(function), [as_python(a) for a in arguments], [])
        case Comparison(operators, operands):
            first, *others = (as_python(o) for o in operands)
            return ast.Compare(first, [_COMPARISONS[o]() for o in operators], others)
        case Logic("not", (operand,)):
            return ast.UnaryOp(ast.Not(), as_python(operand))
        case Logic(word, operands):
            return ast.BoolOp(ast.And() if word == "and" else ast.Or(), [as_python(o) for o in operands])


def shape(node: Any) -> Any:
    """Return a Python tree as plain data, whole numbers as floats, without contexts and places."""
    match node:
        case ast.Constant(value):
            return float(value)
        case ast.Name(name):
            return name
        case ast.UnaryOp(operator, operand):
            return type(operator).__name__, shape(operand)
        case ast.BinOp(left, operator, right):
            return type(operator).__name__, shape(left), shape(right)
        case ast.Call(function, arguments):
            return "call", shape(function), *(shape(a) for a in arguments)
        case ast.Compare(left, operators, others):
            return (
                "compare",
                shape(left),
                *((type(o).__name__, shape(x)) for o, x in zip(operators, others, strict=True)),
            )
        case ast.BoolOp(operator, values):
            return type(operator).__name__, *(shape(v) for v in values)
    raise AssertionError(node)
