"""Slips that the engine offers for an ask: plausible wrong turns, each worked out on the circuit itself.

A part left out or taken as a wire, two parts exchanged, side by side taken for one after the other and back, the
quantity of another part, 2π forgotten, the peak for the rms value. Only what can be told from the key and from each
other on most draws is offered.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from tutor.circuits.analysis import AC, S
from tutor.circuits.asked import Asked, Current, Impedance, Power, Voltage
from tutor.circuits.errors import CircuitError
from tutor.circuits.expressions import Binary, Call, Expression, Name, read_expression
from tutor.circuits.expressions.evaluation import describe
from tutor.circuits.formula import MOST_SYMBOLS, SHORT, Formula, formula_of
from tutor.circuits.lowest_terms import in_lowest_terms
from tutor.circuits.network import Network
from tutor.circuits.parts import Part
from tutor.circuits.parts.passive import Capacitor, Resistor
from tutor.circuits.parts.sources import CurrentSource, VoltageSource
from tutor.quantities import DECIBEL, Quantity, show
from tutor.questions.arrays import array_value, relative_difference
from tutor.questions.authoring.cleaning import slug_of
from tutor.questions.authoring.formulas import Writer, problem_of
from tutor.questions.compiling import compile_template
from tutor.questions.lottery import draw_batch
from tutor.questions.template import Ask, Template

DRAWS = 60
FEWEST_TELLING = 0.5
MOST_OFFERED = 10
SAME = 1e-9


@dataclass(frozen=True, slots=True)
class SlipOffer:
    """A slip to be ticked.

    Attributes:
        name: Its key.
        formula: The formula of its answer.
        says: A wording to begin with.
        shown: What it gives for one draw.
        told: Share of draws on which it can be told from the key.
    """

    name: str
    formula: str
    says: str
    shown: str
    told: float


@dataclass(frozen=True, slots=True)
class _Candidate:
    name: str
    text: str
    says: str


def offered_slips(template: Template, ask: Ask) -> tuple[SlipOffer, ...]:
    """Return the slips offered for an ask, in the order of their likelihood.

    Args:
        template: A template that can be read, with the ask in it.
        ask: The ask; it needs a circuit, and a tolerance to tell slips by.
    """
    import numpy as np

    if ask.circuit is None or template.network is None or ask.tolerance is None or ask.kind != "number":
        return ()
    if len(template.network.parts) > MOST_SYMBOLS:
        return ()  # no formula of it can be read
    serials = np.arange(DRAWS, dtype=np.uint64)
    with np.errstate(all="ignore"):
        try:
            batch = draw_batch(compile_template(template), serials)
        except CircuitError:
            return ()
        drawn = batch.tries > 0
        values = {name: value[drawn] for name, value in batch.values.items()}
        count = int(drawn.sum())
        if not count:
            return ()
        key = values[ask.name]
        seen: list[Any] = [key]
        offers: list[SlipOffer] = []
        own = {slip.name for slip in ask.slips}
        seen += [array_value(slip.formula, values, count) for slip in ask.slips if slip.formula is not None]
        for candidate in _candidates(template, ask):
            wrong = array_value(read_expression(candidate.text), values, count)
            told = _told(ask, key, wrong)
            if told < FEWEST_TELLING or any(relative_difference(wrong, other).max() <= SAME for other in seen):
                continue
            seen.append(wrong)
            # Slips are called in small letters: Ra and ra would come to the same.
            name = candidate.name if candidate.name not in own else f"{candidate.name}-{len(offers) + 1}"
            own.add(name)
            shown = show(float(wrong[0]), ask.unit)
            offers.append(SlipOffer(name, candidate.text, candidate.says, shown, told))
            if len(offers) == MOST_OFFERED:
                break
    return tuple(offers)


def _told(ask: Ask, key: Any, wrong: Any) -> float:
    import numpy as np

    assert ask.tolerance is not None
    width = np.maximum(ask.tolerance.relative * np.abs(key), ask.tolerance.absolute)
    return float((np.isfinite(wrong) & (np.abs(wrong - key) >= 2 * np.maximum(width, np.abs(key) * SAME))).mean())


def _candidates(template: Template, ask: Ask) -> Iterator[_Candidate]:
    """Yield every wrong turn that has a formula."""
    try:
        problem = problem_of(template, ask)
        formula = formula_of(problem, SHORT)
    except CircuitError:
        return
    writer = Writer(template, ask, problem)
    for name, changed, says in (*_left_out(formula, problem.network), *_exchanged(formula, problem.network)):
        text = writer.text(changed)
        if text:
            yield _Candidate(name, text, says)
    yield from _taken_together(template, ask)
    yield from _of_other_parts(template, ask)
    yield from _factors(template, ask, writer.text(formula))


# -- on the formula ----------------------------------------------------------------------------------------------------
def _left_out(formula: Formula, network: Network) -> Iterator[tuple[str, Formula, str]]:
    """Yield the formula with one part absent, and with one a mere wire."""
    owners = network.parameters()
    for symbol in formula.symbols:
        if symbol == S or symbol not in owners:
            continue
        part, parameter = owners[symbol]
        if isinstance(part, VoltageSource | CurrentSource):
            continue
        stores = isinstance(part, Capacitor)
        whole = part.valued and parameter.key == "value"
        absent = _limit(formula, symbol, largest=not stores) if whole else _limit(formula, symbol, largest=False)
        what = part.reference if whole else f"{parameter.key} of {part.reference}"
        slug = part.reference if whole else parameter.key
        if absent is not None:
            says = f"{what} was left out: that is the answer without it."
            yield slug_of(f"{slug} forgotten"), absent, says
        wired = _limit(formula, symbol, largest=stores) if whole else None
        if wired is not None:
            says = f"{what} was taken as a piece of wire: it is still in the way."
            yield slug_of(f"{slug} as a wire"), wired, says


def _limit(formula: Formula, symbol: str, *, largest: bool) -> Formula | None:
    """Return the formula for a symbol beyond all bounds, or of nothing; None where that has no finite value."""
    place = formula.symbols.index(symbol)
    pick = max if largest else min
    ends = [pick(exponents[place] for exponents, _ in side) for side in _sides(formula)]
    if ends[0] != ends[1] or not formula.numerator:
        return None
    kept = [
        {(*e[:place], 0, *e[place + 1 :]): c for e, c in side if e[place] == end}
        for side, end in zip(_sides(formula), ends, strict=True)
    ]
    above, below = in_lowest_terms(*kept)
    return replace(formula, numerator=_sorted(above), denominator=_sorted(below))


def _sides(formula: Formula) -> tuple[tuple[tuple[tuple[int, ...], int], ...], ...]:
    return (formula.numerator or (((0,) * len(formula.symbols), 0),), formula.denominator)


def _sorted(terms: dict[tuple[int, ...], int]) -> tuple[tuple[tuple[int, ...], int], ...]:
    return tuple(sorted(terms.items(), key=lambda term: (sum(term[0]), tuple(-e for e in term[0]))))


def _exchanged(formula: Formula, network: Network) -> Iterator[tuple[str, Formula, str]]:
    """Yield the formula with two figures of the same unit exchanged."""
    owners = network.parameters()
    used = [s for i, s in enumerate(formula.symbols) if any(e[i] for side in _sides(formula) for e, _ in side)]
    named = [s for s in used if s in owners and not isinstance(owners[s][0], VoltageSource | CurrentSource)]
    for first, other in itertools.combinations(named[:6], 2):
        if owners[first][1].unit != owners[other][1].unit:
            continue
        places = formula.symbols.index(first), formula.symbols.index(other)
        sides = [{_swapped(e, *places): c for e, c in side} for side in (formula.numerator, formula.denominator)]
        changed = replace(formula, numerator=_sorted(sides[0]), denominator=_sorted(sides[1]))
        a, b = (_called(owners[s][0], owners[s][1].key) for s in (first, other))
        yield slug_of(f"{a} and {b} exchanged"), changed, f"{a} and {b} were exchanged: look at which of them is where."


def _called(part: Part, key: str) -> str:
    return part.reference if key == "value" else key


def _swapped(exponents: tuple[int, ...], first: int, other: int) -> tuple[int, ...]:
    changed = list(exponents)
    changed[first], changed[other] = changed[other], changed[first]
    return tuple(changed)


# -- on the circuit ----------------------------------------------------------------------------------------------------
def _taken_together(template: Template, ask: Ask) -> Iterator[_Candidate]:
    """Yield what comes out when two resistors side by side are added, or two in a row are taken as side by side."""
    network = template.network
    assert network is not None
    resistors = [p for p in network.parts if isinstance(p, Resistor) and p.value is not None]
    for first, other in itertools.combinations(resistors, 2):
        shared = set(first.terminals()) & set(other.terminals())
        a, b = _value(first), _value(other)
        pair = f"{first.reference} and {other.reference}"
        if len(shared) == 2:
            changed = _replaced(network, first, Binary("+", a, b), drop=other)
            says = f"{pair} were taken one after the other; they share both their ends."
            name = slug_of(f"{first.reference} {other.reference} in a row")
        else:
            middle = next((node for node in shared if _joins_only(network, node, first, other)), None)
            if middle is None:
                continue
            changed = _bridged(network, first, other, middle, Call("parallel", (a, b)))
            says = f"{pair} were taken side by side; the same current goes through one after the other."
            name = slug_of(f"{first.reference} {other.reference} side by side")
        text = _formula_in(template, ask, changed)
        if text:
            yield _Candidate(name, text, says)


def _value(part: Resistor) -> Expression:
    value = part.value
    return value if value is not None and not isinstance(value, Quantity) else Name(part.reference)


def _replaced(network: Network, part: Part, value: Expression, drop: Part) -> Network:
    kept = [p.bound_to(value) if p is part else p for p in network.parts if p is not drop]
    return Network(tuple(kept))


def _bridged(network: Network, first: Resistor, other: Resistor, middle: str, value: Expression) -> Network:
    outer = [node for node in (*first.terminals(), *other.terminals()) if node != middle]
    bridge = replace(first, pins={"a": outer[0], "b": outer[1]}, value=value)
    return Network(tuple(bridge if p is first else p for p in network.parts if p is not other))


def _joins_only(network: Network, node: str, *parts: Part) -> bool:
    touching = [p for p in network.parts if node in (*p.pins.values(), *p.senses())]
    return node != "0" and all(part in parts for part in touching)


def _formula_in(template: Template, ask: Ask, network: Network | None = None, asked: Asked | None = None) -> str:
    """Return the formula of another circuit or another quantity, or "" where there is none to be read."""
    try:
        problem = problem_of(template, ask, network, asked)
        return Writer(template, ask, problem).text(formula_of(problem, SHORT))
    except (CircuitError, KeyError):
        return ""


def _of_other_parts(template: Template, ask: Ask) -> Iterator[_Candidate]:
    """Yield the same quantity of another part: the voltage across the wrong resistor, the current beside it."""
    network, circuit = template.network, ask.circuit
    assert network is not None
    assert circuit is not None
    for part in network.parts:
        if isinstance(part, VoltageSource | CurrentSource) or len(part.pins) != 2:
            continue
        asked: Asked
        match circuit.asked:
            case Voltage(a, b) if {a, b} != set(part.terminals()):
                asked, what = Voltage(*part.terminals()), "voltage across"
            case Current(reference) if reference != part.reference:
                asked, what = Current(part.reference), "current through"
            case Power(reference) if reference != part.reference:
                asked, what = Power(part.reference), "power in"
            case Impedance():
                text = describe(_value(part)) if isinstance(part, Resistor) else ""
                if text:
                    says = f"That is {part.reference} alone; what else leads away from there?"
                    yield _Candidate(slug_of(f"{part.reference} alone"), text, says)
                continue
            case _:
                continue
        text = _formula_in(template, ask, asked=asked)
        if text:
            yield _Candidate(slug_of(f"that of {part.reference}"), text, f"That is the {what} {part.reference}.")


def _factors(template: Template, ask: Ask, text: str) -> Iterator[_Candidate]:
    """Yield slips of the sum itself: peak for rms, and 2π forgotten."""
    if not text or ask.circuit is None or template.analysis_of(ask.circuit) != AC:
        return
    if "2*pi*" in text:
        says = "2π was forgotten: a reactance goes with ω = 2πf."
        yield _Candidate("two-pi-forgotten", text.replace("2*pi*", ""), says)
    if isinstance(ask.circuit.asked, Voltage | Current) and ask.unit.kind != DECIBEL.kind:
        yield _Candidate("peak-for-rms", f"sqrt(2)*({text})", "That is the peak value; the rms value is asked.")
