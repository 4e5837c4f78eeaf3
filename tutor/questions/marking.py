"""Marking: a pure function of a question and the answers typed.

For each ask the same order: blank, unreadable, right, right figure with the wrong unit, follow-through, a slip of the
template, a generic slip, wrong. Same release, serial and answers give the same mark, now and in ten years.
"""

from __future__ import annotations

import contextlib
import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace

from tutor.circuits.errors import ExpressionError
from tutor.circuits.expressions import Expression, evaluate, read_expression
from tutor.circuits.expressions.evaluation import describe
from tutor.quantities import (
    DECIBEL,
    DEGREE,
    PreferredValueError,
    Quantity,
    QuantityFormatError,
    Reading,
    Tolerance,
    is_preferred,
    neighbours,
    read_quantity,
    show_exact,
    show_in,
)
from tutor.questions.compiling import ROUNDING
from tutor.questions.errors import AskError
from tutor.questions.fault_words import fault_in, kinds_of, parts_of, ruled_out
from tutor.questions.follow_through import Carried, carry
from tutor.questions.formula_marking import (
    named_formula,
    names_of,
    read_back,
    same_formula,
    unit_fault,
    what_it_gives,
)
from tutor.questions.generic_slips import generic_slip
from tutor.questions.marks import AskMark, Mark, Verdict
from tutor.questions.nearness import how_far
from tutor.questions.question import DrawnAsk, DrawnSlip, Question
from tutor.questions.telling import slips_that_tell
from tutor.questions.text import Filled, FilledSpan
from tutor.questions.typed_formula import listed, read_formula
from tutor.questions.unit_slips import fits, in_kind_of, unit_slip
from tutor.questions.waypoints import value_reached
from tutor.questions.words import direction_in, option_in, with_article

NEXT_LINE = "next-line"
"""The slip of a reading that is more than half a small division off, but not more than a whole one: it earns the mark
of the unit, because the right place was found on the paper."""

NEXT_LINE_SAYS = "That is within one small division. Count the divisions once more, and judge to half of one."

LONGEST = 200  # characters of an answer that are kept


def mark(question: Question, answers: Mapping[str, str]) -> Mark:
    """Mark the answers to a question.

    Args:
        question: The question.
        answers: Ask → what was typed; asks left out are blank.

    Returns:
        The mark, with a verdict and a reason for every ask.

    Raises:
        AskError: If an answer is given for something that is not asked.
    """
    for name in answers:
        if all(name != ask.name for ask in question.asks):
            raise AskError(name, (ask.name for ask in question.asks))
    marker = _Marker(question)
    return Mark({ask.name: marker.mark(ask, answers.get(ask.name, "")) for ask in question.asks})


class _Marker:
    """Marks one question's asks in order, remembering what was read."""

    def __init__(self, question: Question) -> None:
        self._question = question
        self._own: dict[str, Reading] = {}
        self._mended: dict[str, Reading] = {}  # right figures whose unit was wrong, with the right one
        self._right: set[str] = set()

    def mark(self, ask: DrawnAsk, typed: str) -> AskMark:
        typed = typed[:LONGEST]
        if not typed.strip():
            return AskMark(verdict=Verdict.BLANK, marks=0, of=ask.marks, typed=typed, topic=ask.topic)
        kinds: dict[str, Callable[[DrawnAsk, str], AskMark]] = {
            "number": self._number,
            "preferred": self._number,
            "reading": self._number,
            "change": self._change,
            "choice": self._choice,
            "formula": self._formula,
            "fault": self._fault,
        }
        return kinds[ask.kind](ask, typed)

    # -- numbers -------------------------------------------------------------------------------------------------------
    def _number(self, ask: DrawnAsk, typed: str) -> AskMark:
        try:
            reading = in_kind_of(read_quantity(typed, ask.printed_unit), ask.key_unit)
        except QuantityFormatError as error:
            return self._unreadable(ask, typed, f"{_sentence(error.reason)} {_example(ask, error)}")
        mark = self._verdict(ask, reading, _band(ask))
        if fits(ask, reading):
            self._own[ask.name] = reading
        if mark.verdict is Verdict.RIGHT:
            self._right.add(ask.name)
        return mark

    def _verdict(self, ask: DrawnAsk, reading: Reading, band: Tolerance) -> AskMark:
        value, suits = reading.quantity.magnitude, fits(ask, reading)
        if suits and band.accepts(ask.key, value):
            return _of_number(ask, reading, Verdict.RIGHT)
        carried = carry(self._question, ask, self._own)
        if suits:
            for one, mended in ((carried, False), (self._mended_carry(ask), True)):
                if one is not None and _follows(ask, one, value, band):
                    return self._followed(ask, reading, one, mended=mended)
        wrong_unit = self._wrong_unit(ask, reading, band, carried)
        if wrong_unit is not None:
            return wrong_unit
        if not suits:
            wanted, found = with_article(ask.key_unit.name), with_article(reading.quantity.unit.name)
            says = f"{_sentence(wanted)[:-1]} is wanted here, and this reads as {found}."
            return _of_number(ask, reading, Verdict.WRONG, (says, *self._stopped_at(ask, reading, band)))
        if ask.kind == "reading" and band.scaled(2.0).accepts(ask.key, value):
            return _of_number(ask, reading, Verdict.SLIP, (NEXT_LINE_SAYS,), NEXT_LINE)
        named = self._named_slip(ask, reading, band, carried)
        if named is not None:
            return named
        stopped = self._stopped_at(ask, reading, band)
        if not stopped or _refused(carried):
            stopped = (_how_far(ask, value, carried), *stopped)
        return _of_number(ask, reading, Verdict.WRONG, stopped[1:] if stopped[0] == " " else stopped)

    def _stopped_at(self, ask: DrawnAsk, reading: Reading, band: Tolerance) -> Filled:
        """Return which value on the way an answer equals, behind a space; nothing where it equals none."""
        name = value_reached(self._question, ask, reading, band)
        if name is None:
            return ()
        return " ", "That is ", FilledSpan((name,), ""), ", a value on the way: there is a step still to take."

    def _wrong_unit(self, ask: DrawnAsk, reading: Reading, band: Tolerance, carried: Carried | None) -> AskMark | None:
        """Return the mark of a right figure with a wrong unit: the key, or what follows from own figures."""
        slip = unit_slip(ask, reading, band, ask.key)
        if slip is not None:
            self._right.add(ask.name)
            self._mended[ask.name] = slip.mended
            return _of_number(ask, reading, Verdict.RIGHT_UNIT_WRONG, (slip.says,), slip.name)
        if carried is None or carried.refused or ask.kind == "preferred":
            return None
        slip = unit_slip(ask, reading, band, carried.value)
        if slip is None:
            return None
        self._mended[ask.name] = slip.mended
        says = f"{slip.says} It was carried on from your own answer to {self._letters(carried.used)}."
        return _of_number(ask, reading, Verdict.RIGHT_UNIT_WRONG, (says,), slip.name)

    def _letters(self, names: Iterable[str]) -> str:
        """Return the letters of asks, as people refer to them: (a) and (b)."""
        order = [other.name for other in self._question.asks]
        return " and ".join(f"({letter_of(order.index(name) + 1)})" for name in names)

    def _mended_carry(self, ask: DrawnAsk) -> Carried | None:
        """Carry on with the right units where a right figure had a wrong one."""
        if not self._mended:
            return None
        return carry(self._question, ask, self._own | self._mended)

    def _followed(self, ask: DrawnAsk, reading: Reading, carried: Carried, *, mended: bool) -> AskMark:
        # Of a right figure with a wrong unit the unit was wrong, unless it was mended on the way.
        right = self._right if mended else self._right - set(self._mended)
        wrong = [name for name in carried.used if name not in right]
        if not wrong:
            # The earlier figures were right and only rounded: then this one is right too.
            return _of_number(ask, reading, Verdict.RIGHT)
        says = f"Right method, carried on from your own answer to {self._letters(wrong)}."
        return _of_number(ask, reading, Verdict.FOLLOW_THROUGH, (says,))

    def _named_slip(self, ask: DrawnAsk, reading: Reading, band: Tolerance, carried: Carried | None) -> AskMark | None:
        """Return the mark of a known slip: the template's own first, on the key and then on the member's own values."""
        value = reading.quantity.magnitude
        own = _own_slip(ask, value, band) or _carried_slip(ask, value, band, carried)
        if own is not None:
            return _of_number(ask, reading, Verdict.SLIP, own.says, own.name)
        if ask.kind == "preferred":
            found = _preferred_slip(ask, value)
            says = f"{_shown(ask, reading)} is no value of the {ask.series} series; choose one that is."
            if found == "not-preferred":
                return _of_number(ask, reading, Verdict.SLIP, (says,), found)
            if found:
                says = f"That is on the wrong side: go {ask.rounding} to the next value of the series."
                return _of_number(ask, reading, Verdict.SLIP, (says,), found)
            return None
        generic = generic_slip(ask.key, value, ask.key_unit, band)
        return None if generic is None else _of_number(ask, reading, Verdict.SLIP, (generic.says,), generic.name)

    # -- words ---------------------------------------------------------------------------------------------------------
    def _change(self, ask: DrawnAsk, typed: str) -> AskMark:
        direction = direction_in(typed)
        if direction is None:
            return self._unreadable(ask, typed, "Answer with rises, falls or unchanged.")
        if direction == ask.value:
            return _of_word(ask, typed, Verdict.RIGHT, direction, direction)
        for slip in ask.slips:
            if slip.name == direction:
                return _of_word(ask, typed, Verdict.SLIP, direction, direction, slip.says, slip.name)
        return _of_word(
            ask, typed, Verdict.WRONG, direction, direction, ("It does not: follow the currents once more.",)
        )

    def _choice(self, ask: DrawnAsk, typed: str) -> AskMark:
        option = option_in(typed, ask.options)
        if option is None:
            letters = ", ".join(letter_of(n + 1).upper() for n in range(len(ask.options)))
            return self._unreadable(ask, typed, f"Answer with the letter of an option: {letters}.")
        letter = letter_of(ask.options.index(option) + 1).upper()
        if option.right:
            return _of_word(ask, typed, Verdict.RIGHT, option.name, letter)
        if option.says:
            return _of_word(ask, typed, Verdict.SLIP, option.name, letter, option.says, option.name)
        return _of_word(ask, typed, Verdict.WRONG, option.name, letter, ("That is not the one.",))

    def _fault(self, ask: DrawnAsk, typed: str) -> AskMark:
        """Mark part and fault, a mark each: the second is only given with the first."""
        detail = ask.detail
        suspects = {suspect["name"]: suspect for suspect in detail["suspects"]}
        parts, kinds = parts_of(suspects.values()), kinds_of(suspects.values())
        part, kind = fault_in(typed, parts, kinds)
        if not part or not kind:
            missing = f"a part, one of {listed(parts)}" if not part else f"what is wrong with it: {', '.join(kinds)}"
            return self._unreadable(ask, typed, f"Name {missing}. An answer reads, for example, {parts[0]} {kinds[0]}.")
        key, read = suspects[str(ask.value)], f"{part} {kind}"
        named = next((s for s in suspects.values() if (s["part"], s["fault"]) == (part, kind)), None)
        if named is key:
            return _of_word(ask, typed, Verdict.RIGHT, str(ask.value), read)
        own = next((slip.says for slip in ask.slips if named is not None and slip.name == named["name"]), ())
        against = (ruled_out(detail, named),) if named else ("That is none of the suspects listed.",)
        says = (*own, " ", *against) if own else against
        if part == key["part"]:
            says = ("The part is the right one; it fails in another way. ", *says)
            mark = _of_word(ask, typed, Verdict.SLIP, read, read, says, "part-right")
            return replace(mark, marks=1)
        slip = named["name"] if named and own else ""
        return _of_word(ask, typed, Verdict.SLIP if slip else Verdict.WRONG, read, read, says, slip)

    # -- formulas ------------------------------------------------------------------------------------------------------
    def _formula(self, ask: DrawnAsk, typed: str) -> AskMark:
        try:
            expression = read_formula(typed, names_of(ask))
        except ExpressionError as error:
            wanted = f"Write it in {listed(names_of(ask))}, with + − * / and brackets."
            return self._unreadable(ask, typed, f"{_sentence(error.reason)} {wanted}")
        text, read = describe(expression), read_back(expression)
        if same_formula(ask, expression, read_expression(str(ask.value))):
            self._keep(ask, expression, right=True)
            return _of_word(ask, typed, Verdict.RIGHT, text, read)
        fault = unit_fault(ask, expression)
        if fault:
            return _of_word(ask, typed, Verdict.SLIP, text, read, (fault,), "units")
        self._keep(ask, expression, right=False)
        slip, says = named_formula(ask, expression)
        if slip:
            return _of_word(ask, typed, Verdict.SLIP, text, read, says, slip)
        why = what_it_gives(ask, expression, self._question.values)
        return _of_word(ask, typed, Verdict.WRONG, text, read, (why,))

    def _keep(self, ask: DrawnAsk, expression: Expression, *, right: bool) -> None:
        """Keep what a member's own formula gives, for later asks."""
        with contextlib.suppress(ExpressionError):
            value = evaluate(expression, self._question.values)
            self._own[ask.name] = Reading(
                quantity=Quantity(value, ask.key_unit),
                text=describe(expression),
                last_figure=0.0,
                figures=15,
                unit_written=False,
                prefix_written=False,
            )
            if right:
                self._right.add(ask.name)

    @staticmethod
    def _unreadable(ask: DrawnAsk, typed: str, says: str) -> AskMark:
        return AskMark(verdict=Verdict.UNREADABLE, marks=0, of=ask.marks, typed=typed, topic=ask.topic, says=(says,))


def _of_number(ask: DrawnAsk, reading: Reading, verdict: Verdict, says: Filled = (), slip: str = "") -> AskMark:
    full = verdict in (Verdict.RIGHT, Verdict.FOLLOW_THROUGH)
    return AskMark(
        verdict=verdict,
        marks=ask.marks if full else 1 if verdict is Verdict.RIGHT_UNIT_WRONG or slip == NEXT_LINE else 0,
        of=ask.marks,
        typed=reading.text,
        topic=ask.topic,
        read=_shown(ask, reading),
        value=reading.quantity.magnitude,
        unit=reading.quantity.unit.symbol,
        slip=slip,
        says=says,
    )


def _of_word(
    ask: DrawnAsk, typed: str, verdict: Verdict, value: str, read: str, says: Filled = (), slip: str = ""
) -> AskMark:
    return AskMark(
        verdict=verdict,
        marks=ask.marks if verdict is Verdict.RIGHT else 0,
        of=ask.marks,
        typed=typed,
        topic=ask.topic,
        read=read,
        value=value,
        slip=slip,
        says=says,
    )


def _band(ask: DrawnAsk) -> Tolerance:
    # A preferred value is met or missed; a thousandth covers how floats are written.
    return Tolerance(relative=1e-3) if ask.kind == "preferred" else ask.band


def _follows(ask: DrawnAsk, carried: Carried, value: float, band: Tolerance) -> bool:
    if ask.kind != "preferred":
        return carried.accepts(value, band)
    if carried.refused:
        return False
    return any(math.isclose(value, one, rel_tol=1e-6) for one in _preferred_ends(ask, carried))


def _preferred_ends(ask: DrawnAsk, carried: Carried) -> Iterator[float]:
    for end in (carried.low, carried.value, carried.high):
        with contextlib.suppress(PreferredValueError):
            yield ROUNDING[ask.rounding](ask.series, end)


def _own_slip(ask: DrawnAsk, value: float, band: Tolerance) -> DrawnSlip | None:
    for slip in ask.slips:
        if slip.tells and slip.value is not None and band.accepts(slip.value, value):
            return slip
    return None


def _carried_slip(ask: DrawnAsk, value: float, band: Tolerance, carried: Carried | None) -> DrawnSlip | None:
    """Return the template's slip that gives a value when it is made with the member's own earlier figures."""
    if carried is None or carried.refused:
        return None
    wrong = [_slip_value(ask, slip, carried.values) for slip in ask.slips]
    for slip, one, tells in zip(ask.slips, wrong, slips_that_tell(ask.band, carried.value, wrong), strict=True):
        if tells and one is not None and band.accepts(one, value):
            return slip
    return None


def _slip_value(ask: DrawnAsk, slip: DrawnSlip, values: Mapping[str, float]) -> float | None:
    try:
        value = evaluate(read_expression(slip.formula), values)
        return ROUNDING[ask.rounding](ask.series, value) if ask.kind == "preferred" else value
    except (ExpressionError, PreferredValueError):
        return None


def _preferred_slip(ask: DrawnAsk, value: float) -> str:
    """Return `not-preferred`, `rounded-wrong-way`, or "" for a preferred value that is far off."""
    try:
        if not is_preferred(ask.series, value):
            return "not-preferred"
        below, above = neighbours(ask.series, ask.key)
    except PreferredValueError:
        return "not-preferred"
    missed = {"up": below, "down": above}.get(ask.rounding)
    return "rounded-wrong-way" if missed is not None and math.isclose(value, missed, rel_tol=1e-6) else ""


def _refused(carried: Carried | None) -> bool:
    return carried is not None and bool(carried.refused)


def _how_far(ask: DrawnAsk, value: float, carried: Carried | None) -> str:
    says = how_far(ask.key, value, level=ask.key_unit.kind in (DECIBEL.kind, DEGREE.kind))
    if carried is not None and carried.refused:
        says += f" Your own earlier figure was not carried on: {carried.refused}."
    return says


def _example(ask: DrawnAsk, error: QuantityFormatError) -> str:
    """Return a sentence with an answer that would be read, and is not the key."""
    example = error.example
    if "3.3" in example and ask.shown.startswith("3.3"):
        example = example.replace("3.3", "4.7")
    return f"An answer reads, for example, {example}."


def _shown(ask: DrawnAsk, reading: Reading) -> str:
    """Return what was read, for people; a share in per cent where that is printed beside the field."""
    value = float(f"{reading.quantity.magnitude:.6g}")
    if ask.printed == "%" and fits(ask, reading):
        return show_in(value, ask.printed_unit, 6)
    return show_exact(value, reading.quantity.unit)


def _sentence(text: str) -> str:
    text = text.strip().rstrip(".")
    return text[:1].upper() + text[1:] + "."


def letter_of(number: int) -> str:
    """Return the letter of the first, second … ask (a, b …)."""
    return "abcdefghijklmnopqrstuvwxyz"[number - 1]
