"""View models: a question turned into HTML fragments, once; and its mark, ready for the page."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass
from threading import Lock

from markupsafe import Markup

from tutor.circuits.expressions import read_expression
from tutor.drawing.maths import math_element, mathml, name_mathml
from tutor.learning.records import Issue
from tutor.questions.cautions import caution_text
from tutor.questions.fault_words import kinds_of, parts_of
from tutor.questions.fragments import html_block, html_line, plot_of, schematic_of, value_html
from tutor.questions.marking import letter_of
from tutor.questions.marks import AskMark, Verdict
from tutor.questions.question import DrawnAsk, Question
from tutor.questions.typed_formula import listed

KEPT = 400
"""Rendered questions kept in memory: about 20 kB each."""


@dataclass(frozen=True, slots=True)
class OptionView:
    """One option of a choice."""

    letter: str
    text: Markup


@dataclass(frozen=True, slots=True)
class ReadingView:
    """One row of a fault's table of readings."""

    words: str
    healthy: str
    found: str
    range: str


@dataclass(frozen=True, slots=True)
class FaultView:
    """What a fault is found from: the table of readings, and the suspects."""

    meter: str
    readings: tuple[ReadingView, ...]
    ranged: bool
    suspects: tuple[str, ...]
    parts: tuple[str, ...]
    kinds: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class AskView:
    """One ask on the page.

    Attributes:
        name: Of its field.
        letter: (a), (b) … or "" when there is only one ask.
        text: The wording.
        kind: How it is answered.
        unit: What is printed beside the field.
        marks: Marks available.
        options: Of a choice.
        names: What a formula is written in, as typed.
        fault: Of a fault: its readings and suspects.
    """

    name: str
    letter: str
    text: Markup
    kind: str
    unit: str
    marks: int
    options: tuple[OptionView, ...]
    names: str = ""
    fault: FaultView | None = None


@dataclass(frozen=True, slots=True)
class GivenView:
    """One given value: its symbol as typeset, and its name for those who hear the page."""

    name: str
    symbol: Markup
    shown: Markup


@dataclass(frozen=True, slots=True)
class StepView:
    """One step of a worked solution.

    Attributes:
        text: The step.
        parts: Reference and id in the drawing of each part that it concerns.
    """

    text: Markup
    parts: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class QuestionView:
    """A question on the page; everything in it is HTML that was made safe."""

    title: str
    text: Markup
    caution: str
    drawing: Markup
    drawing_words: str
    drawing_width: int
    plot: Markup
    plot_words: str
    plot_table: Markup
    givens: tuple[GivenView, ...]
    asks: tuple[AskView, ...]
    hints: tuple[Markup, ...]
    solution: tuple[StepView, ...]
    answers: tuple[tuple[str, Markup], ...]
    source: str


@dataclass(frozen=True, slots=True)
class MarkView:
    """The mark of one ask on the page."""

    verdict: Verdict
    word: str
    read: str
    marks: int
    of: int
    says: Markup


class QuestionViews:
    """Renders questions and keeps the latest: a question never changes once it is issued."""

    def __init__(self) -> None:
        self._kept: OrderedDict[str, QuestionView] = OrderedDict()
        self._lock = Lock()

    def of(self, issue: Issue) -> QuestionView:
        """Return the view of an issued question."""
        with self._lock:
            found = self._kept.get(issue.id)
            if found is not None:
                self._kept.move_to_end(issue.id)
                return found
        return self._keep(issue.id, question_view(issue.question, f"c{issue.id}"))

    def example_of(self, issue: Issue) -> QuestionView | None:
        """Return the view of the worked example beside a question, if there is one."""
        if issue.example is None:
            return None
        with self._lock:
            found = self._kept.get(f"{issue.id} example")
        return found or self._keep(f"{issue.id} example", question_view(issue.example, f"e{issue.id}"))

    def _keep(self, name: str, made: QuestionView) -> QuestionView:
        with self._lock:
            self._kept[name] = made
            while len(self._kept) > KEPT:
                self._kept.popitem(last=False)
        return made


def question_view(question: Question, uid: str) -> QuestionView:
    """Render a question."""
    drawing = schematic_of(question, uid) if question.parts else None
    plot = plot_of(question, f"{uid}-plot") if question.plot is not None else None
    return QuestionView(
        title=question.title,
        text=Markup(html_block(question.text)),  # noqa: S704 - made safe by questions.fragments
        caution=caution_text(question.caution) if question.caution else "",
        drawing=Markup(drawing.svg if drawing else ""),  # noqa: S704 - made safe by drawing.schematic
        drawing_words=drawing.words if drawing else "",
        drawing_width=drawing.width if drawing else 0,
        plot=Markup(plot.svg if plot else ""),  # noqa: S704 - made safe by drawing.plots
        plot_words=plot.words if plot else "",
        plot_table=Markup(plot.table if plot else ""),  # noqa: S704 - made safe by drawing.plots
        givens=tuple(
            GivenView(given.name, _symbol(given.name), Markup(value_html(given.shown)))  # noqa: S704 - as above
            for given in question.givens
        ),
        asks=tuple(_ask(ask, index, len(question.asks)) for index, ask in enumerate(question.asks)),
        hints=tuple(Markup(html_line(hint)) for hint in question.hints),  # noqa: S704 - as above
        solution=_steps(question, drawing.svg if drawing else "", uid),
        answers=tuple((_letter(i, len(question.asks)), _key(ask)) for i, ask in enumerate(question.asks)),
        source=question.source,
    )


def _steps(question: Question, svg: str, uid: str) -> tuple[StepView, ...]:
    """Return the steps; each knows which parts of the drawing it speaks of."""
    lit = question.lit or ((),) * len(question.solution)
    return tuple(
        StepView(
            Markup(html_line(step)),  # noqa: S704 - made safe by questions.fragments
            tuple((part, f"{uid}-{part}") for part in parts if f'id="{uid}-{part}"' in svg),
        )
        for step, parts in zip(question.solution, lit, strict=True)
    )


def _symbol(name: str) -> Markup:
    return Markup(math_element(name_mathml(name), name))  # noqa: S704 - made safe by drawing.maths


def _letter(index: int, count: int) -> str:
    return letter_of(index + 1) if count > 1 else ""


def _ask(ask: DrawnAsk, index: int, count: int) -> AskView:
    options = tuple(
        OptionView(letter_of(place + 1).upper(), Markup(html_line(option.text)))  # noqa: S704 - as above
        for place, option in enumerate(ask.options)
    )
    return AskView(
        name=ask.name,
        letter=_letter(index, count),
        text=Markup(html_line(ask.text)),  # noqa: S704 - as above
        kind=ask.kind,
        unit=ask.printed,
        marks=ask.marks,
        options=options,
        names=listed(ask.detail["names"]) if ask.kind == "formula" else "",
        fault=_fault(ask) if ask.kind == "fault" else None,
    )


def _fault(ask: DrawnAsk) -> FaultView:
    suspects, rows = ask.detail["suspects"], ask.detail["readings"]
    return FaultView(
        meter=ask.detail["meter"],
        readings=tuple(ReadingView(row["words"], row["healthy"], row["found"], row["range"]) for row in rows),
        ranged=any(row["range"] for row in rows),
        suspects=tuple(f"{suspect['part']} {suspect['fault']}" for suspect in suspects),
        parts=tuple(parts_of(suspects)),
        kinds=tuple(kinds_of(suspects)),
    )


def _key(ask: DrawnAsk) -> Markup:
    if ask.options:
        for place, option in enumerate(ask.options):
            if option.right:
                return Markup(f"{letter_of(place + 1).upper()}: {html_line(option.text)}")  # noqa: S704 - as above
    if ask.kind == "formula":
        tree = read_expression(str(ask.value))
        return Markup(math_element(mathml(tree), ask.shown))  # noqa: S704 - made safe by drawing.maths
    return Markup(value_html(ask.shown))  # noqa: S704 - as above


def mark_views(asks: Mapping[str, AskMark]) -> dict[str, MarkView]:
    """Return the marks of a question's asks for the page."""
    return {name: mark_view(mark) for name, mark in asks.items()}


def mark_view(mark: AskMark) -> MarkView:
    """Return the mark of one ask for the page."""
    return MarkView(
        verdict=mark.verdict,
        word=mark.verdict.words,
        read=mark.read,
        marks=mark.marks,
        of=mark.of,
        says=Markup(html_line(mark.says)),  # noqa: S704 - made safe by questions.fragments
    )
