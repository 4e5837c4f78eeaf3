from __future__ import annotations

import pytest

from tutor.circuits.polynomial import ONE as UNITY
from tutor.circuits.polynomial import Polynomial, symbol
from tutor.circuits.tape import ONE, ZERO, Cell, Tape, generic_value


def tape() -> Tape:
    return Tape(lambda name: f"x_{name}")


def test_equal_steps_are_recorded_once_whichever_way_round() -> None:
    t = tape()
    a, b = t.symbol("a"), t.symbol("b")
    assert t.add(a, b) == t.add(b, a)
    assert t.multiply(a, b) == t.multiply(b, a)
    assert t.lines == [("t1", "x_a + x_b"), ("t2", "x_a*x_b")]


def test_nought_and_one_leave_no_step() -> None:
    t = tape()
    a = t.symbol("a")
    assert t.add(a, ZERO) is a
    assert t.add(ZERO, a) is a
    assert t.multiply(a, ONE) is a
    assert t.divide(a, ONE) is a
    assert t.multiply(a, ZERO).is_zero
    assert t.divide(ZERO, a).is_zero
    assert t.lines == []


def test_numbers_are_worked_out_at_once() -> None:
    t = tape()
    three, four = t.literal(3), t.literal(4)
    assert t.add(three, four).literal == 7.0
    assert t.add(three, four, -1).literal == -1.0
    assert t.multiply(three, four).literal == 12.0
    assert t.divide(three, four).literal == 0.75
    assert t.negative(three).literal == -3.0
    assert t.lines == []


def test_a_sign_is_carried_along_and_costs_no_step() -> None:
    t = tape()
    a = t.multiply(t.literal(-1), t.symbol("a"))
    b = t.divide(t.symbol("b"), t.literal(-1))
    assert t.lines == []
    assert (a.spelt, b.spelt) == ("-x_a", "-x_b")
    assert t.multiply(a, b).spelt == "t1"
    assert t.add(a, b).spelt == "-t2"
    assert t.add(a, t.symbol("b")).spelt == "-t3"
    assert t.divide(a, t.symbol("b")).spelt == "-t4"
    assert t.lines == [("t1", "x_a*x_b"), ("t2", "x_a + x_b"), ("t3", "x_a - x_b"), ("t4", "x_a/x_b")]


def test_what_cancels_at_a_generic_point_is_nought() -> None:
    t = tape()
    a, b = t.symbol("a"), t.symbol("b")
    assert t.add(t.add(a, b), t.add(b, a), -1).is_zero
    one = t.multiply(t.add(a, b), a)
    other = t.add(t.multiply(a, a), t.multiply(a, b))
    assert t.add(one, other, -1).is_zero
    assert not t.add(one, t.multiply(a, b), -1).is_zero


def test_a_polynomial_is_recorded_term_by_term() -> None:
    t = tape()
    cell = t.polynomial(symbol("R1", -1) + symbol("s") * symbol("C1") - UNITY)
    assert cell.value == pytest.approx(
        1 / generic_value("R1") + generic_value("s") * generic_value("C1") - 1
    )  # fmt: skip
    assert t.polynomial(Polynomial()).is_zero
    assert t.polynomial(symbol("a", 2) + symbol("a", 2)).value == pytest.approx(2 * generic_value("a") ** 2)


def test_generic_values_are_the_same_everywhere_and_differ_from_name_to_name() -> None:
    assert generic_value("R1") == pytest.approx(generic_value("R1"))
    assert len({generic_value(f"R{n}") for n in range(100)}) == 100
    assert all(0.3 < generic_value(f"R{n}").real < 2.8 for n in range(100))
    assert generic_value("s").imag != 0


def test_what_may_vanish_is_kept_in_mind_through_products_and_lost_in_sums() -> None:
    t = tape()
    weak = Cell("x_turn", 0.5 + 0j, vanishes=frozenset({"lower"}))
    other = Cell("x_rest", 0.5 + 0j, vanishes=frozenset({"upper"}))
    strong = t.symbol("R1")
    assert t.multiply(weak, strong).vanishes == {"lower"}
    assert t.negative(weak).vanishes == {"lower"}
    assert t.divide(weak, strong).vanishes == {"lower"}
    assert t.multiply(weak, other).vanishes == {"lower", "upper"}
    assert t.add(weak, strong).vanishes == frozenset()
    assert t.add(weak, other).vanishes == frozenset()
    assert t.add(t.multiply(weak, strong), t.negative(weak)).vanishes == {"lower"}
