"""A question's worked solution: the template's own steps and automatic ones, in the order of the template's plan."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from tutor.circuits.errors import ExpressionError
from tutor.circuits.expressions import Name, evaluate, names_in
from tutor.quantities import Quantity, show_exact
from tutor.questions.compiling import Compiled
from tutor.questions.lottery import Drawn
from tutor.questions.question import Waypoint
from tutor.questions.showing import phasor
from tutor.questions.template import ALL, Template
from tutor.questions.text import Filled, Pieces, spans_in
from tutor.questions.worked.automatic import Automatic, WorkedStep
from tutor.questions.worked.filling import WorkedText, grouped, text_of_group

FillOwn = Callable[[Pieces], Filled]


@dataclass(frozen=True, slots=True)
class Solution:
    """What a question keeps of its solution.

    Attributes:
        steps: The texts.
        parts: For each step the parts that it concerns.
        waypoints: Values on the way, for telling a member how far an answer got.
        worked: The automatic steps behind the texts; empty for steps of the template's own.
        automatic: The texts of automatic steps, for hints.
        fallbacks: Asks of a circuit that went by their formula, with the reason.
    """

    steps: tuple[Filled, ...]
    parts: tuple[tuple[str, ...], ...]
    waypoints: tuple[Waypoint, ...]
    worked: tuple[WorkedStep, ...]
    automatic: tuple[WorkedText, ...]
    fallbacks: tuple[str, ...]


class Solver:
    """Puts one question's solution together.

    Args:
        compiled: The template.
        drawn: The values.
        shown: Shown values by name, of givens and computed values.
        fill: Fills a step of the template's own.
    """

    def __init__(
        self, compiled: Compiled, drawn: Drawn, shown: Mapping[str, str], given: frozenset[str], fill: FillOwn
    ):
        self._compiled, self._drawn, self._shown, self._given, self._fill = compiled, drawn, shown, given, fill

    @property
    def _template(self) -> Template:
        return self._compiled.template

    def solution(self) -> Solution:
        """Return the solution."""
        template = self._template
        wanted = template.automatic_asks()
        automatic = Automatic(self._compiled, self._drawn, self._given)
        worked = automatic.steps() if wanted else []
        steps: list[Filled] = []
        parts: list[tuple[str, ...]] = []
        waypoints: list[Waypoint] = []
        texts: list[WorkedText] = []
        named = {place for place in template.plan if isinstance(place, str)}
        for place in template.plan:
            if isinstance(place, int):
                steps.append(self._fill(template.solution[place]))
                parts.append(self._parts_of(template.solution[place]))
                waypoints += self._waypoints_of(template.solution[place])
                continue
            here = [w for w in worked if w.ask == place or (place == ALL and w.ask not in named)]
            told = [text_of_group(group, self._show(here)) for group in grouped(here)]
            texts += told
            steps += [text.filled for text in told]
            parts += [text.parts for text in told]
            waypoints += [w for one in here if (w := _waypoint(one)) is not None]
        return Solution(
            tuple(steps), tuple(parts), tuple(waypoints), tuple(worked), tuple(texts), tuple(automatic.fallbacks)
        )

    def _show(self, steps: Sequence[WorkedStep]) -> Callable[[str], str | None]:
        own = {one.step.name: phasor(one.step.value, one.step.unit) for one in steps if one.after is None}
        network = self._template.network
        parameters = {} if network is None else network.parameters()

        def show(name: str) -> str | None:
            found = self._shown.get(name) or own.get(name)
            if found is None and name in parameters:
                bound = parameters[name][1].value
                if isinstance(bound, Quantity):
                    found = show_exact(bound.magnitude, parameters[name][1].unit)
            return found

        return show

    # -- steps of the template's own -----------------------------------------------------------------------------------
    def _parts_of(self, pieces: Pieces) -> tuple[str, ...]:
        """Return the parts that a step speaks of: those whose names or values it uses."""
        network = self._template.network
        if network is None:
            return ()
        used = {name for span in spans_in(pieces) for member in span.members for name in names_in(member)}
        found = []
        for part in network.parts:
            names = {part.reference}
            for parameter in part.parameters():
                names.add(parameter.symbol)
                if parameter.value is not None and not isinstance(parameter.value, Quantity):
                    names.update(names_in(parameter.value))
            if used & names:
                found.append(part.reference)
        return tuple(found)

    def _waypoints_of(self, pieces: Pieces) -> list[Waypoint]:
        """Return the values that a step of the template's own states, under their names."""
        found = []
        for span in spans_in(pieces):
            name = next((member for member in span.members if isinstance(member, Name)), None)
            if not span.valued or name is None or name.name in self._given:
                continue
            unit = self._template.units.get(name.name)
            try:
                value = evaluate(span.members[-1], self._drawn.values)
            except ExpressionError:
                continue
            if unit is not None:
                found.append(Waypoint(name.name, value, unit.symbol))
        return found


def _waypoint(worked: WorkedStep) -> Waypoint | None:
    step = worked.step
    if worked.after is not None or not step.is_real or not step.name:
        return None
    return Waypoint(step.name, step.value.real, step.unit.symbol)
