from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tutor.circuits.errors import FormulaTooLongError
from tutor.circuits.lowest_terms import in_lowest_terms

Terms = dict[tuple[int, ...], int]
exponents = st.tuples(*(st.integers(0, 2) for _ in range(3)))
polynomials = st.dictionaries(exponents, st.integers(-4, 4).filter(bool), min_size=1, max_size=4)


def times(a: Terms, b: Terms) -> Terms:
    product: Terms = {}
    for x, p in a.items():
        for y, q in b.items():
            key = tuple(i + j for i, j in zip(x, y, strict=True))
            product[key] = product.get(key, 0) + p * q
    return {key: c for key, c in product.items() if c}


def by_sympy(above: Terms, below: Terms) -> tuple[Any, Any]:
    """Return the quotient as a general computer algebra cancels it, with the sign of its own choice."""
    from sympy import ZZ
    from sympy.polys.rings import ring

    made, *_ = ring("x,y,z", ZZ)
    numerator, denominator = made.from_dict(above).cancel(made.from_dict(below))
    return dict(numerator), dict(denominator)


@given(polynomials, polynomials, polynomials)
@settings(max_examples=150)
def test_a_common_factor_goes_as_computer_algebra_takes_it_out(above: Terms, below: Terms, factor: Terms) -> None:
    one, other = times(above, factor), times(below, factor)
    numerator, denominator = in_lowest_terms(one, other)
    assert times(numerator, other) == times(denominator, one)
    theirs = by_sympy(one, other)
    negative = tuple({key: -c for key, c in side.items()} for side in theirs)
    assert (numerator, denominator) in (theirs, negative)


CASES = [
    ({(2, 0): 4, (1, 1): 6}, {(1, 0): 2}, {(1, 0): 2, (0, 1): 3}, {(0, 0): 1}),
    ({(-1, 0): 1}, {(0, -1): 1}, {(0, 1): 1}, {(1, 0): 1}),
    ({(1, 0): 1}, {(0, 1): -2, (0, 0): -2}, {(1, 0): -1}, {(0, 1): 2, (0, 0): 2}),
    ({}, {(1, 1): 3}, {}, {(0, 0): 1}),
    ({(2, 0): 1, (0, 2): -1}, {(1, 0): 1, (0, 1): 1}, {(1, 0): 1, (0, 1): -1}, {(0, 0): 1}),
    ({(): 6}, {(): 4}, {(): 3}, {(): 2}),
]


@pytest.mark.parametrize(("above", "below", "numerator", "denominator"), CASES)
def test_symbols_numbers_and_signs_are_taken_out(
    above: Terms, below: Terms, numerator: Terms, denominator: Terms
) -> None:
    assert in_lowest_terms(above, below) == (numerator, denominator)


def test_a_factor_of_very_long_polynomials_is_not_looked_for() -> None:
    long = {(n, m): 1 for n in range(60) for m in range(60)}
    factor = {(1, 0): 1, (0, 1): 1}
    with pytest.raises(FormulaTooLongError) as caught:
        in_lowest_terms(times(long, factor), factor)
    assert str(caught.value) == "the formula grows beyond 3000 terms while it is worked out; ask for its value instead"


def test_long_polynomials_without_a_factor_are_no_trouble() -> None:
    above = {(n, m): 1 for n in range(40) for m in range(60)}
    below = {(n, m): 1 + n * m for n in range(40) for m in range(60)}
    assert in_lowest_terms(above, below) == (above, below)
