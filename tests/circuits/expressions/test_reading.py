from __future__ import annotations

import ast

import pytest
from hypothesis import assume, given

from tests.circuits.expressions.trees import as_python, plain, shape, trees
from tutor.circuits.errors import ExpressionError, NoValueError
from tutor.circuits.expressions import (
    Binary,
    Call,
    Comparison,
    Expression,
    Logic,
    Name,
    Negative,
    Number,
    evaluate,
    names_in,
    read_expression,
)
from tutor.circuits.expressions.evaluation import describe
from tutor.circuits.expressions.tree import walk
from tutor.quantities import DECIBEL, OHM, RATIO, VOLT

A, B, C = Name("a"), Name("b"), Name("c")


def num(text: str) -> Number:
    return Number(float(text), text=text)


READ = [
    ("a", A),
    ("  a  ", A),
    ("a\n+ b", Binary("+", A, B)),
    ("2", num("2")),
    ("2.5e-3", num("2.5e-3")),
    (".5", num(".5")),
    ("5.", num("5.")),
    ("a - b - c", Binary("-", Binary("-", A, B), C)),
    ("a - (b - c)", Binary("-", A, Binary("-", B, C))),
    ("a/b*c", Binary("*", Binary("/", A, B), C)),
    ("a + b*c", Binary("+", A, Binary("*", B, C))),
    ("(a + b)*c", Binary("*", Binary("+", A, B), C)),
    ("-a*b", Binary("*", Negative(A), B)),
    ("-a**2", Negative(Binary("**", A, num("2")))),
    ("a**-2", Binary("**", A, Negative(num("2")))),
    ("a**b**c", Binary("**", A, Binary("**", B, C))),
    ("(a**b)**c", Binary("**", Binary("**", A, B), C)),
    ("a*-b", Binary("*", A, Negative(B))),
    ("--a", Negative(Negative(A))),
    ("+a", A),
    ("sqrt(a)", Call("sqrt", (A,))),
    ("parallel(a, b, c)", Call("parallel", (A, B, C))),
    ("min(a, -b)", Call("min", (A, Negative(B)))),
    ("pi", Number(3.141592653589793, RATIO, "pi")),
    ("a < b", Comparison(("<",), (A, B))),
    ("a < b <= c", Comparison(("<", "<="), (A, B, C))),
    ("a + 1 != b", Comparison(("!=",), (Binary("+", A, num("1")), B))),
    ("a < b and b < c", Logic("and", (Comparison(("<",), (A, B)), Comparison(("<",), (B, C))))),
    ("not a < b", Logic("not", (Comparison(("<",), (A, B)),))),
    ("a < b or b < c and a == c",
     Logic("or", (Comparison(("<",), (A, B)),
                  Logic("and", (Comparison(("<",), (B, C)), Comparison(("==",), (A, C))))))),
    ("20 V", Number(20.0, VOLT, "20 V")),
    ("20V", Number(20.0, VOLT, "20 V")),
    ("47 kΩ", Number(47e3, OHM, "47 kΩ")),
    ("47 kohm", Number(47e3, OHM, "47 kohm")),
    ("20 %", Number(0.2, RATIO, "20 %")),
    ("-3 dB", Negative(Number(3.0, DECIBEL, "3 dB"))),
    ("20 V/a", Binary("/", Number(20.0, VOLT, "20 V"), A)),
    ("2*V", Binary("*", num("2"), Name("V"))),
]  # fmt: skip


@pytest.mark.parametrize(("text", "tree"), READ)
def test_text_is_read_into_the_tree_that_was_meant(text: str, tree: Expression) -> None:
    assert read_expression(text) == tree


REFUSED = [
    ("", 1, "it ends where a value was expected"),
    ("a +", 4, "it ends where a value was expected"),
    ("a b", 3, "found 'b' where an operator or the end was expected"),
    ("2  V", 4, "found 'V' where an operator or the end was expected"),
    ("(a", 3, "a bracket is not closed"),
    ("a)", 2, "found ')' where an operator or the end was expected"),
    ("sqrt(a", 7, "the bracket of sqrt is not closed"),
    ("a * / b", 5, "found '/' where a value was expected"),
    ("and a < b", 1, "found 'and' where a value was expected"),
    ("a = b", 3, "found '=', which has no meaning here"),
    ("a ^ b", 3, "found '^', which has no meaning here; write **"),
    ("a × b", 3, "found '×', which has no meaning here; write *"),
    ("a − b", 3, "found '−', which has no meaning here; write -"),
    ("R₁", 2, "found '₁', which has no meaning here"),
    ("a.b", 2, "found '.', which has no meaning here"),
    ("sqrt", 1, "sqrt is a function and wants its argument in brackets"),
    ("sqrt(a, b)", 1, "sqrt wants one argument, found 2"),
    ("min(a)", 1, "min wants two arguments or more, found 1"),
    ("min(" + ", ".join("a" * 13) + ")", 1, "min wants two arguments or more, found 13"),
    ("sqr(a)", 1, "there is no function 'sqr'; did you mean sqrt?; there are sqrt, exp, log, log10, sin, cos, tan, "
     "atan, abs, min, max, parallel, db"),
    ("2a", 2, "found 'a' after 2: it is no unit ('a' is not a unit known here; did you mean A?); write * to multiply"),
    ("2(a)", 2, "found '(' where an operator or the end was expected"),
    ("a and b < c", 3, "and joins conditions such as `R1 < R2`, and a is a number"),
    ("not a", 1, "not joins conditions such as `R1 < R2`, and a is a number"),
    ("(a < b) + 1", 9, "+ wants numbers, and a < b is a condition"),
    ("-(a < b)", 1, "- wants numbers, and a < b is a condition"),
    ("(a < b)**2", 8, "** wants numbers, and a < b is a condition"),
    ("(a < b) < c", 9, "< wants numbers, and a < b is a condition"),
    ("abs((a < b))", 1, "abs wants numbers, and a < b is a condition"),
    ("sin(30°)", 1, "sin wants radians; write 30*pi/180 for 30°"),
    ("1e400", 1, "1e400 is too large a number"),
    ("1e308 kV", 1, "1e308 kV is too large"),
    ("a + " + "1" * 31, 5, "a number of 31 figures; 30 are the most"),
    ("9**9**9", None, "the exponent 3.8742e+08 is beyond ±64"),
    ("a**-65", None, "the exponent -65 is beyond ±64"),
    ("a + 1/0", None, "a constant part of it has no finite value (it divides by zero)"),
    ("a + sqrt(-1)", None, "a constant part of it has no finite value (it takes a root or logarithm of an impossible "
     "number)"),
    ("10**64*10**64*10**64*10**64*10**64", None,
     "a constant part of it has no finite value (it has no finite real value)"),
    ("(" * 51 + "a" + ")" * 51, 52, "it is nested deeper than 50"),
    ("+".join("a" * 301), 601, "it has more than 600 pieces"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "character", "reason"), REFUSED)
def test_what_is_no_expression_is_refused_with_place_and_reason(text: str, character: int | None, reason: str) -> None:
    with pytest.raises(ExpressionError) as caught:
        read_expression(text)
    shown = text if len(text) <= 60 else text[:59] + "…"
    where = "" if character is None else f" at character {character}"
    assert str(caught.value) == f"cannot read {shown!r} as an expression{where}: {reason}"
    assert caught.value.position == (None if character is None else character - 1)
    assert caught.value.reason == reason


def _has_values(tree: Expression) -> bool:
    """Tell whether every branch without names has a finite value, and every exponent without names is small."""
    for node in walk(tree):
        if not names_in(node):
            try:
                value = evaluate(node, {})
            except NoValueError:
                return False
            parents = [n for n in walk(tree) if isinstance(n, Binary) and n.operator == "**" and n.right is node]
            if parents and abs(value) > 64:
                return False
    return True


@given(trees)
def test_what_describe_writes_reads_back_into_the_same_tree(tree: Expression) -> None:
    # Constants without a value (1/0, log(-2)) and exponents beyond bounds are refused, whatever tree they are in.
    assume(_has_values(tree))
    assert read_expression(describe(tree)) == tree


@given(trees)
def test_python_reads_the_same_tree_from_the_same_text(tree: Expression) -> None:
    """The order of operations is Python's, so that nobody has to learn another."""
    bare = plain(tree)
    assert shape(ast.parse(describe(bare), mode="eval").body) == shape(as_python(bare))


def test_a_long_sum_is_read_written_and_checked_without_deep_recursion() -> None:
    text = " + ".join(["a"] * 300)
    assert describe(read_expression(text)) == text
