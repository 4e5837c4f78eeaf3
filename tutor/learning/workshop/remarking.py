"""Marking anew after a correction: a list of every mark that would change, then the change; old marks are kept."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from tutor.circuits.errors import CircuitError
from tutor.learning.courses import Shelf
from tutor.learning.crediting import topic_shares
from tutor.learning.drafts import OldMark, Release
from tutor.learning.errors import ClosedError
from tutor.learning.ports import Clock, Records, Work
from tutor.learning.records import Attempt, Issue, Member
from tutor.learning.replay import replay
from tutor.learning.workshop.publishing import Publishing
from tutor.questions.compiling import Compiled
from tutor.questions.errors import QuestionError
from tutor.questions.marking import mark
from tutor.questions.marks import Mark
from tutor.questions.redrawing import redrawn


@dataclass(frozen=True, slots=True)
class Change:
    """A mark that changes.

    Attributes:
        issue: The question.
        attempt: The attempt, with its mark so far.
        mark: The mark by the corrected template.
    """

    issue: Issue
    attempt: Attempt
    mark: Mark


@dataclass(frozen=True, slots=True)
class Plan:
    """What marking anew does.

    Attributes:
        changes: Every mark that changes, the earliest attempt first.
        same: How many stay as they are.
        left: Attempts that cannot be marked by the corrected template, each with the reason.
    """

    changes: tuple[Change, ...]
    same: int
    left: tuple[tuple[Attempt, str], ...]

    @property
    def members(self) -> tuple[int, ...]:
        """Ids of the members whose marks change."""
        return tuple(dict.fromkeys(change.issue.member for change in self.changes))


def plan_of(compiled: Compiled, answered: Iterable[tuple[Issue, Attempt]]) -> Plan:
    """Return what a corrected template makes of attempts that were marked by an earlier release.

    A pure function: the values are those that were shown, the answers those that were typed.
    """
    changes, left, same = [], [], 0
    for issue, attempt in answered:
        try:
            asked = redrawn(compiled, issue.question)
            anew = mark(asked, {ask.name: attempt.answers.get(ask.name, "") for ask in asked.asks})
        except (QuestionError, CircuitError) as error:
            left.append((attempt, str(error)))
            continue
        if anew.to_data() == attempt.mark.to_data():
            same += 1
        else:
            changes.append(Change(issue, attempt, anew))
    return Plan(tuple(changes), same, tuple(left))


@dataclass(frozen=True, slots=True)
class Remarking:
    """The use cases of marking anew."""

    records: Records
    clock: Clock
    shelf: Shelf
    publishing: Publishing

    def plan(self, release: Release) -> Plan:
        """Return what would change, without changing anything."""
        with self.records.look() as work:
            return self._plan(work, release)

    def _plan(self, work: Work, release: Release) -> Plan:
        template = self.publishing.template_of(release)
        if template is None:
            raise ClosedError("This release can no longer be read.")
        answered = work.workshop.attempts_on(release.name, self._earlier(work, release))
        return plan_of(self.shelf.cache.compiled(template), answered)

    def _earlier(self, work: Work, release: Release) -> Sequence[str]:
        """Return the releases before this one, that of the bank's own file included."""
        own = [r.release for r in work.workshop.releases(release.name) if r.id < release.id]
        bank = self.shelf.of_bank(release.name)
        found = dict.fromkeys([*own, *([bank.release] if bank else [])])
        return [other for other in found if other != release.release]

    def correction(self, issue: Issue) -> OldMark | None:
        """Return the mark that a question's last attempt had before it was corrected, or None."""
        if issue.last is None:
            return None
        with self.records.look() as work:
            kept = work.workshop.old_marks(issue.last.id)
        return kept[0] if kept else None

    def apply(self, member: Member, release: Release, expected: int) -> Plan:
        """Change the marks of a plan; the standings follow as if they had always been so.

        Args:
            member: Who does it.
            release: The corrected release.
            expected: How many marks the plan that was looked at changes.
        Raises:
            ClosedError: If other answers came in since; nothing is changed then.
        """
        with self.records.work() as work:
            plan = self._plan(work, release)
            if len(plan.changes) != expected:
                raise ClosedError(
                    f"{len(plan.changes)} marks would change now, and {expected} were listed; look at the list again."
                )
            now = self.clock.now()
            for change in plan.changes:
                old = OldMark(
                    attempt=change.attempt.id, mark=change.attempt.mark, release=release.release, at=now, by=member.id
                )
                work.workshop.correct_mark(old, change.mark)
                if change.issue.attempts[0].id == change.attempt.id:
                    for share in topic_shares(change.mark.asks):
                        work.standings.correct(change.attempt.id, share.topic, share.share, share.slip[:100])
            _add_papers_up(work, plan)
        replay(self.records)
        return plan


def _add_papers_up(work: Work, plan: Plan) -> None:
    """Add up anew the papers whose marks changed."""
    for name in dict.fromkeys(change.issue.paper for change in plan.changes if change.issue.paper):
        paper = work.papers.get(name)
        if paper is None or paper.handed_in is None:
            continue
        issues = [work.questions.get(issue) for issue in paper.issues]
        marks = [issue.last.mark for issue in issues if issue is not None and issue.last is not None]
        of = sum(ask.marks for issue in issues if issue is not None for ask in issue.question.asks)
        work.papers.put_marks(name, sum(found.marks for found in marks), of)
