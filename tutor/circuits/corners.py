"""Corner frequencies of a transfer function, and which resistances and capacitor (or coil) make each.

A corner is told exactly where the formula falls into factors: `1 + s*C1*(R1 + R2)` has the corner 1/(2π·C1·(R1 + R2)).
Where it does not, a pole of its own is compared with every store and the resistance that it sees, the other stores
open or short: that is how the trade finds corners, and it holds as far as they lie apart, so it is marked as near.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from tutor.circuits.analysis import DC, S
from tutor.circuits.asked import CornerFrequency
from tutor.circuits.errors import CircuitError
from tutor.circuits.formula import PI, READABLE, SHORT, Formula, formula_of, in_order
from tutor.circuits.formula_algebra import by_powers, named, over, quotient_text, times, whole_number
from tutor.circuits.network import Network
from tutor.circuits.numeric import solve_numerically
from tutor.circuits.parts.passive import Capacitor, Inductor
from tutor.circuits.problem import pose
from tutor.circuits.transfer import Response, Transfer

MOST_STORES = 5
"""Stores up to which all the ways of opening and shorting the others are tried."""

SAME = 1e-6
"""Relative difference between a corner and a factor of the formula that is rounding."""

NEAR = 0.1
"""Relative difference between a corner and that of one store alone up to which it is named after the store.

Common practice, no source: corners a decade apart shift each other by about so much.
"""


@dataclass(frozen=True, slots=True)
class Group:
    """The parts that make a corner.

    Attributes:
        parts: Symbols of the store and of the resistances that it sees, in the formula's order.
        formula: The frequency as text, such as `1/(2*pi*R1*C1)`; "" where it is too long to read.
        is_exact: Whether the formula gives the corner to the last figure; otherwise it is near.
    """

    parts: tuple[str, ...]
    formula: str
    is_exact: bool


@dataclass(frozen=True, slots=True)
class Corner:
    """A frequency where the response bends.

    Attributes:
        frequency: In Hz: |s|/2π.
        kind: Pole or zero.
        order: 1, or 2 for a pair.
        q: Sharpness |s|/(2|Re s|) of a pair: ½ at critical damping, infinite without damping; None for a single one.
        group: What makes it, where that was recognised.
    """

    frequency: float
    kind: Literal["pole", "zero"]
    order: int = 1
    q: float | None = None
    group: Group | None = None

    @property
    def is_undamped(self) -> bool:
        """Whether it is a resonance without damping, where the gain has no finite value."""
        return self.q is not None and math.isinf(self.q)


def corners_of(
    network: Network, start: tuple[str, str], response: Response, values: Mapping[str, Any]
) -> tuple[Corner, ...]:
    """Return all corners of a transfer function for one set of values, the lowest first.

    Args:
        network: The circuit of the transfer function.
        start: The pair of nodes that it is driven at.
        response: The transfer function.
        values: Every symbol's value in SI units, single numbers.

    Returns:
        Corners above 0 Hz; poles and zeros at 0 or at infinity bend nothing.
    """
    exact = list(_factors(response)) if isinstance(response, Transfer) else []
    poles, zeros = (_bends(roots) for roots in (response.poles(values)[0], response.zeros(values)[0]))
    seen = _of_single_stores(network, start, values) if any(order == 1 for _, order in poles) else []
    found = []
    for kind, roots in (("pole", poles), ("zero", zeros)):
        for root, order in roots:
            frequency = abs(root) / (2 * math.pi)
            group = None
            if order == 1:
                group = _exact_group(root, kind, exact, values)
                if group is None and kind == "pole":
                    group = _near_group(network, frequency, seen)
            q = None if order == 1 else (abs(root) / (2 * abs(root.real)) if root.real else math.inf)
            found.append(Corner(frequency, kind, order, q, group))  # type: ignore[arg-type]  # one of the two words
    return tuple(sorted(found, key=lambda corner: corner.frequency))


def _bends(roots: Any) -> list[tuple[complex, int]]:
    """Return the finite roots other than 0 with their order; of a pair the one above the axis."""
    finite = [complex(root) for root in roots if root and math.isfinite(abs(root))]
    return [(root, 2 if root.imag else 1) for root in finite if root.imag >= 0]


# -- exact: factors of the formula -----------------------------------------------------------------------------------
def _factors(response: Transfer) -> Iterator[tuple[str, Formula]]:
    """Yield (kind, frequency as a formula) for every factor of the first degree in s."""
    formula = response.formula
    for kind, side in (("zero", formula.numerator), ("pole", formula.denominator)):
        if S not in formula.symbols or len(side) > READABLE:
            continue
        for factor in _linear_factors(formula.symbols, side):
            constant, slope = by_powers(factor, formula.symbols, S)
            if constant.numerator:
                yield kind, over(constant, times(times(whole_number(2), named(PI)), slope))


def _linear_factors(symbols: tuple[str, ...], side: Any) -> Iterator[Any]:
    """Yield the factors of the first degree in s of a polynomial."""
    from sympy import ZZ
    from sympy.polys.rings import ring

    place = symbols.index(S)
    highest = max(exponents[place] for exponents, _ in side)
    if highest == 1:
        yield side
        return
    made, *_ = ring(list(symbols), ZZ)
    if highest < 1 or not _may_fall_apart(made, dict(side), place):
        return
    for factor, _ in made.from_dict(dict(side)).factor_list()[1]:
        terms = {tuple(int(e) for e in exponents): int(c) for exponents, c in factor.terms()}
        if max(exponents[place] for exponents in terms) == 1:
            yield in_order(terms)


def _may_fall_apart(made: Any, side: dict[tuple[int, ...], int], place: int) -> bool:
    """Tell whether a polynomial could have factors: one that has none with numbers put in has none at all.

    That is quick, while the search for factors in many symbols may take long just where there are none.
    """
    from sympy import ZZ
    from sympy.polys.rings import ring

    single, _ = ring("s", ZZ)
    numbers = [3 + 2 * n * n + 5 * n for n in range(made.ngens)]
    terms: dict[tuple[int], int] = {}
    for exponents, coefficient in side.items():
        product = coefficient
        for index, exponent in enumerate(exponents):
            product *= 1 if index == place else numbers[index] ** exponent
        key = (exponents[place],)
        terms[key] = terms.get(key, 0) + product
    _, factors = single.from_dict({key: value for key, value in terms.items() if value}).factor_list()
    return len(factors) > 1 or factors[0][1] > 1


def _exact_group(
    root: complex, kind: str, factors: list[tuple[str, Formula]], values: Mapping[str, Any]
) -> Group | None:
    for of, formula in factors:
        if of == kind and math.isclose(abs(formula.value(values)) * 2 * math.pi, abs(root), rel_tol=SAME):
            return _group(formula, is_exact=True)
    return None


def _group(frequency: Formula, *, is_exact: bool) -> Group:
    """Return the parts and the text of a corner whose frequency is a formula."""
    terms = (*frequency.numerator, *frequency.denominator)
    used = [name for place, name in enumerate(frequency.symbols) if any(exponents[place] for exponents, _ in terms)]
    text = quotient_text(frequency).removeprefix("-") if frequency.is_readable else ""
    return Group(tuple(name for name in used if name != PI), text, is_exact)


# -- near: one store and what it sees --------------------------------------------------------------------------------
def _of_single_stores(
    network: Network, start: tuple[str, str], values: Mapping[str, Any]
) -> list[tuple[float, CornerFrequency]]:
    """Return the corner of every store alone [Hz], for all ways of opening and shorting the other stores."""
    stores = [part.reference for part in network.parts if isinstance(part, Capacitor | Inductor)]
    if len(stores) > MOST_STORES or any(part.kind == "coupling" for part in network.parts):
        return []
    known = {name: value for name, value in values.items() if name != S}
    found = []
    for store in stores:
        others = [other for other in stores if other != store]
        for ways in itertools.product((False, True), repeat=len(others)):
            short = tuple(other for other, way in zip(others, ways, strict=True) if way)
            opened = tuple(other for other in others if other not in short)
            asked = CornerFrequency(store, start=start, short=short, open=opened)
            try:
                frequency = float(solve_numerically(pose(network, asked, DC), known)[0])
            except CircuitError:
                continue
            if frequency and math.isfinite(frequency):
                found.append((abs(frequency), asked))
    return found


def _near_group(network: Network, frequency: float, seen: list[tuple[float, CornerFrequency]]) -> Group | None:
    """Return the group of the store whose own corner comes nearest, if it comes near."""
    if not seen:
        return None
    nearest, asked = min(seen, key=lambda one: abs(math.log(one[0] / frequency)))
    if abs(nearest / frequency - 1) > NEAR:
        return None
    try:
        formula = formula_of(pose(network, asked, DC), SHORT)
    except CircuitError:
        return Group((asked.part,), "", is_exact=False)
    return _group(formula, is_exact=math.isclose(nearest, frequency, rel_tol=SAME))
