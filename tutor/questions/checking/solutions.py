"""What the automatic solution of a template is worth: that it ends at the marked answers, and how long it is.

Looked at for every template, those with a solution of their own too: theirs is the measure.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from tutor.circuits.errors import CircuitError
from tutor.questions.cache import CompiledCache
from tutor.questions.draw import draw_solved
from tutor.questions.errors import DrawError
from tutor.questions.fragments import text_of
from tutor.questions.question import Question
from tutor.questions.template import ALL, Template
from tutor.questions.worked.solution import Solution

MORE_STEPS = 2
"""An automatic solution may have this many steps more than the template's own."""


@dataclass(frozen=True, slots=True)
class SolutionReport:
    """The automatic solutions of one template over some serials.

    Attributes:
        template: Its name.
        serials: How many were drawn.
        own: Steps of its own solution; 0 for none.
        most: Steps of the longest automatic one.
        asks: Asks with a value or a direction.
        reasoned: Of those, the ones that steps from the circuit lead to.
        by_formula: The ones that go by the template's formula: they have no circuit, or use what a member is not told.
        changes: The ones about a change, whose value is given before and after.
        findings: What is wrong; empty when all is well.
    """

    template: str
    serials: int
    own: int
    most: int
    asks: int
    reasoned: int
    by_formula: int
    changes: int
    findings: tuple[str, ...]

    @property
    def passed(self) -> bool:
        """Whether nothing is wrong."""
        return not self.findings


def check_solutions(template: Template, serials: int = 50, cache: CompiledCache | None = None) -> SolutionReport:
    """Work a template's questions out automatically and hold the solutions against keys and against its own.

    Args:
        template: The template.
        serials: Serials 0 to serials − 1 are drawn.
        cache: Where compiled templates are kept.
    """
    own = len(template.solution)
    try:
        compiled = (cache or CompiledCache()).compiled(template)
    except CircuitError as error:
        return SolutionReport(template.name, 0, own, 0, 0, 0, 0, 0, (str(error),))
    automatic = replace(compiled, template=replace(template, plan=(ALL,)))
    findings: dict[str, None] = {}
    most, fallbacks = 0, set()
    for serial in range(serials):
        try:
            question, solution = draw_solved(automatic, serial)
        except DrawError as error:
            findings[f"serial {serial}: {error}"] = None
            continue
        most = max(most, len(question.solution))
        fallbacks |= {fallback.partition(":")[0] for fallback in solution.fallbacks}
        for finding in _findings(question, solution):
            findings.setdefault(f"{finding} (serial {serial})")
    if own and most > own + MORE_STEPS:
        findings[f"{most} steps, where its own solution has {own}"] = None
    asks = [ask for ask in template.asks if ask.kind not in ("choice", "fault")]
    changes = sum(ask.kind == "change" for ask in asks)
    reasoned = sum(a.kind == "number" and a.circuit is not None and a.name not in fallbacks for a in asks)
    by_formula = len(asks) - changes - reasoned
    return SolutionReport(
        template.name, serials, own, most, len(asks), reasoned, by_formula, changes, tuple(findings)[:5]
    )


def _findings(question: Question, solution: Solution) -> Iterator[str]:
    """Yield what is wrong with one solution."""
    texts = [text_of(step) for step in question.solution]
    if not texts:
        yield "there is no step"
    for number, text in enumerate(texts, 1):
        if len(text.strip(" .:")) < 3:
            yield f"step {number} is empty"
        if text in texts[: number - 1]:
            yield f"step {number} repeats another"
    ends = {one.ask: one.step for one in solution.worked if one.ends}
    last = {one.ask for one in (solution.automatic[-1].steps if solution.automatic else ())}
    for ask in question.asks:
        if ask.kind not in ("number", "preferred"):
            continue
        if ask.name not in ends:
            yield f"no step ends at {ask.name}"
        elif abs(ends[ask.name].value - ask.key) > 1e-9 * abs(ask.key):
            yield f"{ask.name} comes out as {ends[ask.name].value:.6g} and is marked as {ask.key:.6g}"
        elif ask.shown not in "\n".join(texts):
            yield f"{ask.name} is {ask.shown}, which no step shows"
    order = [ask.name for ask in question.asks]
    valued = [ask.name for ask in question.asks if ask.kind not in ("choice", "fault")]
    if valued and not last & set(order[order.index(valued[-1]) :]):
        yield f"the last step is not about {valued[-1]}"
    named = {one.step.name for one in solution.worked}
    if len(named) < len(solution.worked):
        yield "a value is stated twice"
