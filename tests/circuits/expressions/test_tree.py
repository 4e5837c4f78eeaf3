from __future__ import annotations

import pytest
from hypothesis import given

from tests.circuits.expressions.trees import trees
from tutor.circuits.expressions import Binary, Expression, Name, Number, names_in, read_expression, substitute
from tutor.circuits.expressions.evaluation import describe
from tutor.circuits.expressions.tree import children, walk


def test_names_come_once_in_the_order_they_appear() -> None:
    assert names_in(read_expression("b*a + b < sqrt(c) and a > 0")) == ("b", "a", "c")


def test_walking_begins_outside_and_goes_from_left_to_right() -> None:
    tree = read_expression("a*b + c")
    assert [describe(node) for node in walk(tree)] == ["a*b + c", "a*b", "a", "b", "c"]


def test_a_leaf_has_no_children() -> None:
    assert children(Name("a")) == children(Number(1.0)) == ()


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("a", "x + 1"),
        ("-a", "-(x + 1)"),
        ("a*b", "(x + 1)*b"),
        ("sqrt(a)", "sqrt(x + 1)"),
        ("0 < a < 2", "0 < x + 1 < 2"),
        ("not a < 1 or a > 5", "not x + 1 < 1 or x + 1 > 5"),
    ],
)
def test_a_name_is_replaced_wherever_it_stands(text: str, expected: str) -> None:
    put_in = {"a": Binary("+", Name("x"), read_expression("1"))}
    assert describe(substitute(read_expression(text), put_in)) == expected


@given(trees)
def test_replacing_nothing_changes_nothing(tree: Expression) -> None:
    assert substitute(tree, {}) == tree
    assert substitute(tree, {name: Name(name) for name in names_in(tree)}) == tree
