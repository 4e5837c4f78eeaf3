"""Marking: a pure function of a question and the answers typed.

For each ask the same order: blank, unreadable, right, right figure with the wrong unit, follow-through, a slip of the
template, a generic slip, wrong. Same release, serial and answers give the same mark, now and in ten years.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from tutor.circuits.errors import ExpressionError
from tutor.circuits.expressions import evaluate, read_expression
from tutor.quantities import (
    QuantityError,
    QuantityFormatError,
    Reading,
    Tolerance,
    is_preferred,
    nearest,
    read_quantity,
    show_exact,
)
from tutor.questions.compiling import ROUNDING
from tutor.questions.errors import AskError
from tutor.questions.follow_through import Carried, carry
from tutor.questions.generic_slips import generic_slip, thousands_off
from tutor.questions.marks import AskMark, Mark, Verdict
from tutor.questions.question import DrawnAsk, DrawnSlip, Question
from tutor.questions.words import direction_in, option_in

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
        self._right: set[str] = set()

    def mark(self, ask: DrawnAsk, typed: str) -> AskMark:
        typed = typed[:LONGEST]
        if not typed.strip():
            return AskMark(verdict=Verdict.BLANK, marks=0, of=ask.marks, typed=typed, topic=ask.topic)
        kinds: dict[str, Callable[[DrawnAsk, str], AskMark]] = {
            "number": self._number,
            "preferred": self._number,
            "change": self._change,
            "choice": self._choice,
        }
        return kinds[ask.kind](ask, typed)

    # -- numbers -------------------------------------------------------------------------------------------------------
    def _number(self, ask: DrawnAsk, typed: str) -> AskMark:
        try:
            reading = read_quantity(typed, ask.printed_unit)
        except QuantityFormatError as error:
            return self._unreadable(
                ask, typed, f"{_sentence(error.reason)} An answer reads, for example, {error.example}."
            )
        except QuantityError as error:
            return self._unreadable(ask, typed, _sentence(str(error)))
        value = reading.quantity.magnitude
        fits = _same_kind(ask, reading)
        if fits:
            self._own[ask.name] = reading
        verdict = self._verdict(ask, reading, value, fits)
        if verdict.verdict is Verdict.RIGHT:
            self._right.add(ask.name)
        return verdict

    def _verdict(self, ask: DrawnAsk, reading: Reading, value: float, fits: bool) -> AskMark:
        def result(verdict: Verdict, marks: int, says: object = (), slip: str = "") -> AskMark:
            pieces = (says,) if isinstance(says, str) else says
            return _of_number(ask, reading, verdict, marks, pieces, slip)  # type: ignore[arg-type]  # a text or pieces

        band = _band(ask)
        if fits and band.accepts(ask.key, value):
            return result(Verdict.RIGHT, ask.marks)
        carried = carry(self._question, ask, self._own)
        if fits and carried is not None and self._follows(ask, carried, value, band):
            return self._followed(ask, result)
        wrong_unit = _wrong_unit(ask, reading, fits, band)
        if wrong_unit:
            name, says = wrong_unit
            return result(Verdict.RIGHT_UNIT_WRONG, 1, says, name)
        if not fits:
            wanted = ask.key_unit.dimension.name
            says = f"A {wanted} is wanted here, and this reads as a {reading.quantity.unit.dimension.name}."
            return result(Verdict.WRONG, 0, says)
        slip = self._own_slip(ask, value, band, carried)
        if slip is not None:
            return result(Verdict.SLIP, 0, slip.says, slip.name)
        if ask.kind == "preferred" and not is_preferred(ask.series, value):
            says = f"{_shown(reading)} is no value of the {ask.series} series; choose one that is."
            return result(Verdict.SLIP, 0, says, "not-preferred")
        if ask.kind == "number":
            generic = generic_slip(ask.key, value, ask.key_unit, band)
            if generic is not None:
                return result(Verdict.SLIP, 0, generic.says, generic.name)
        says = how_far(ask.key, value, ask.key_unit.kind in ("dB", "°"))
        if carried is not None and carried.refused:
            says += f" Your own earlier figure was not carried on: {carried.refused}."
        return result(Verdict.WRONG, 0, says)

    def _follows(self, ask: DrawnAsk, carried: Carried, value: float, band: Tolerance) -> bool:
        if ask.kind != "preferred":
            return carried.accepts(value, band)
        if carried.refused or carried.value <= 0:
            return False
        rounded = ROUNDING[ask.rounding]
        wanted = {rounded(ask.series, end) for end in (carried.low, carried.value, carried.high) if end > 0}
        return any(math.isclose(value, one, rel_tol=1e-6) for one in wanted)

    def _followed(self, ask: DrawnAsk, result: Callable[..., AskMark]) -> AskMark:
        used = [name for name in self._question.uses(ask) if name in self._own]
        if all(name in self._right for name in used):
            # The earlier figures were right and only rounded: then this one is right too.
            return result(Verdict.RIGHT, ask.marks)
        numbers = [
            i + 1 for i, other in enumerate(self._question.asks) if other.name in used and other.name not in self._right
        ]
        part = " and ".join(f"({letter_of(n)})" for n in numbers)
        return result(Verdict.FOLLOW_THROUGH, ask.marks, f"Right method, carried on from your own answer to {part}.")

    def _own_slip(self, ask: DrawnAsk, value: float, band: Tolerance, carried: Carried | None) -> DrawnSlip | None:
        for slip in ask.slips:
            if slip.tells and slip.value is not None and band.accepts(slip.value, value):
                return slip
        if carried is None or carried.refused:
            return None
        for slip in ask.slips:
            try:
                wrong = evaluate(read_expression(slip.formula), carried.values)
            except ExpressionError:
                continue
            if abs(wrong - carried.value) >= 2 * band.half_width(carried.value) and band.accepts(wrong, value):
                return slip
        return None

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

    @staticmethod
    def _unreadable(ask: DrawnAsk, typed: str, says: str) -> AskMark:
        return AskMark(verdict=Verdict.UNREADABLE, marks=0, of=ask.marks, typed=typed, topic=ask.topic, says=(says,))


def _of_number(
    ask: DrawnAsk, reading: Reading, verdict: Verdict, marks: int, says: tuple[object, ...], slip: str
) -> AskMark:
    return AskMark(
        verdict=verdict,
        marks=marks,
        of=ask.marks,
        typed=reading.text,
        topic=ask.topic,
        read=_shown(reading),
        value=reading.quantity.magnitude,
        unit=reading.quantity.unit.symbol,
        slip=slip,
        says=says,  # type: ignore[arg-type]  # pieces of a filled text
    )


def _of_word(
    ask: DrawnAsk, typed: str, verdict: Verdict, value: str, read: str, says: tuple[object, ...] = (), slip: str = ""
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
        says=says,  # type: ignore[arg-type]  # pieces of a filled text
    )


def _band(ask: DrawnAsk) -> Tolerance:
    # A preferred value is met or missed; a thousandth covers how floats are written.
    return Tolerance(relative=1e-3) if ask.kind == "preferred" else ask.band


def _same_kind(ask: DrawnAsk, reading: Reading) -> bool:
    """Tell whether an answer has the kind of unit wanted; a plain number may stand for any dimensionless one."""
    unit, wanted = reading.quantity.unit, ask.key_unit
    return unit.dimension == wanted.dimension and (unit.kind == wanted.kind or not unit.kind)


def _wrong_unit(ask: DrawnAsk, reading: Reading, fits: bool, band: Tolerance) -> tuple[str, str] | None:
    """Return the slip and its sentence for a right figure with a wrong prefix or unit, or None."""
    if not reading.unit_written or ask.key == 0:
        return None
    value = reading.quantity.magnitude
    if fits:
        if reading.prefix_written and thousands_off(ask.key, value, band):
            return "prefix", "The figure is right, the prefix is not: look at how many noughts it stands for."
        return None
    figures = (value, value * ask.printed_unit.factor)
    if any(band.accepts(ask.key, figure) or thousands_off(ask.key, figure, band) for figure in figures):
        wanted = ask.key_unit.dimension.name
        return "unit", f"The figure is right, the unit is not: a {wanted} is wanted."
    return None


def how_far(key: float, value: float, absolute: bool = False) -> str:
    """Say how a wrong value compares with the key, without giving the key away."""
    if absolute or key == 0 or value == 0 or (key > 0) != (value > 0):
        return "Too high." if value > key else "Too low."
    ratio = abs(value / key)
    high = ratio > 1
    factor = ratio if high else 1 / ratio
    word = "high" if high else "low"
    if key < 0:
        word = "large in size" if high else "small in size"
    if factor < 1.15:
        return f"A little too {word}."
    if factor > 1e4:
        return f"Far too {word}, by more than ten thousand times."
    return f"Too {word}, by a factor of about {_round_factor(factor)}."


def _round_factor(factor: float) -> str:
    rounded = nearest("E6", factor) if factor >= 10 else round(factor, 1)
    return f"{rounded:g}"


def _shown(reading: Reading) -> str:
    quantity = reading.quantity
    return show_exact(float(f"{quantity.magnitude:.6g}"), quantity.unit)


def _sentence(text: str) -> str:
    text = text.strip().rstrip(".")
    return text[:1].upper() + text[1:] + "."


def letter_of(number: int) -> str:
    """Return the letter of the first, second … ask (a, b …)."""
    return "abcdefghijklmnopqrstuvwxyz"[number - 1]
