"""Formulas as members type them: every usual spelling is read, everything else is refused with a reason."""

from __future__ import annotations

import contextlib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tutor.circuits.errors import ExpressionError
from tutor.circuits.expressions.evaluation import describe
from tutor.questions.typed_formula import listed, read_formula

NAMES = ("V1", "R1", "R2", "C1", "mu", "ra", "Ra", "f")


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("V1*R2/(R1+R2)", "V1*R2/(R1 + R2)"),
        ("V1 R2/(R1+R2)", "V1*R2/(R1 + R2)"),
        ("v = V1·R₂ ÷ (R₁ + R₂)", "V1*R2/(R1 + R2)"),
        ("V1(R2)/[R1 + R2]", "V1*R2/(R1 + R2)"),
        ("v1 r2/(r1+R_2)", "V1*R2/(R1 + R2)"),
        ("1/(2π R1 C1)", "1/(2*pi*R1*C1)"),
        ("1/(2 pi f C1)", "1/(2*pi*f*C1)"),
        ("2V1", "2*V1"),
        ("R1^2", "R1**2"),
        ("R1²", "R1**2"),
        ("µ Ra/(ra+Ra)", "mu*Ra/(ra + Ra)"),
        ("√(R1 R2)", "sqrt(R1*R2)"),
        ("sqrt (R1)", "sqrt(R1)"),
        ("Parallel(R1, R2)", "parallel(R1, R2)"),
        ("(R1+R2)(R1−R2)", "(R1 + R2)*(R1 - R2)"),
        ("U/V = R1/R2", "R1/R2"),
        ("3e3*C1", "3e3*C1"),
    ],
)
def test_every_usual_spelling_is_read(typed: str, read: str) -> None:
    assert describe(read_formula(typed, NAMES)) == read


@pytest.mark.parametrize(
    ("typed", "reason"),
    [
        ("Rx*R1", "there is no Rx here"),
        ("RA", "there is no RA here"),  # ra or Ra: it could be either
        ("R1 < R2", "no meaning in a formula"),
        ("R1 || R2", "parallel(a, b)"),
        ("R1/(R2", "a bracket is not closed"),
        ("R1 R2)", "an operator or the end was expected"),
        ("a = b = R1", "only the right side"),
        ("R1 + = R2", "only the right side"),
        ("9**9**9", "exponent"),
        ("R1**99", "exponent"),
        ("1/0", "no finite value"),
        ("__import__('os')", "no meaning in a formula"),
        ("open(R1)", "there is no open here"),
        ("", "ends where a value was expected"),
        ("(" * 60 + "R1" + ")" * 60, "deeper"),
        ("R1" + "+R1" * 700, "most that is read"),
    ],
)
def test_what_is_no_formula_says_why(typed: str, reason: str) -> None:
    with pytest.raises(ExpressionError) as caught:
        read_formula(typed, NAMES)
    assert reason in str(caught.value)


def test_an_unknown_name_lists_those_that_may_be_used() -> None:
    with pytest.raises(ExpressionError) as caught:
        read_formula("R3", ("R1", "R2"))
    assert caught.value.reason.endswith("it is written in R1 and R2")


def test_names_are_listed_as_in_a_sentence() -> None:
    assert listed(["R1"]) == "R1"
    assert listed(["R1", "R2", "RL"]) == "R1, R2 and RL"


@settings(max_examples=300, deadline=500)
@given(st.text(alphabet="R12V+-*/()^., πe=µ√|[]²'\"_\\", max_size=60))
def test_hostile_text_is_read_or_refused_and_nothing_else(text: str) -> None:
    with contextlib.suppress(ExpressionError):
        read_formula(text, NAMES)
