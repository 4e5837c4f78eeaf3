"""Review of a bank: what members' first answers say about its templates and about the tests of a lesson."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from tutor.learning.courses import Shelf
from tutor.learning.item_analysis.analysis import ReportOnTemplate, ReportOnTest, analyse_template, analyse_test
from tutor.learning.item_analysis.answers import AskAnswer, TemplateAnswer
from tutor.learning.lessons import Lesson
from tutor.learning.ports import Records
from tutor.learning.records import Attempt, Issue
from tutor.questions.marks import AskMark, Verdict
from tutor.questions.question import DrawnAsk
from tutor.questions.template import Template

_RIGHT_VALUE = (Verdict.RIGHT, Verdict.FOLLOW_THROUGH, Verdict.RIGHT_UNIT_WRONG)
PAPERS_LOOKED_AT = 500


@dataclass(frozen=True, slots=True)
class TemplateLine:
    """A template in the list: how often it was answered, and the difficulty learnt from that."""

    template: Template
    answers: int
    difficulty: float


@dataclass(frozen=True, slots=True)
class BankReview:
    """The use cases of reviewing a bank."""

    records: Records
    shelf: Shelf

    def templates(self, topic: str) -> list[TemplateLine]:
        """Return the templates of a topic, the hardest by their answers first."""
        with self.records.look() as work:
            difficulties = work.standings.difficulties(topic)
        found = [(t, difficulties.of(t.name, t.level)) for t in self.shelf.of_topic(topic)]
        lines = [TemplateLine(template, known.answers, known.value) for template, known in found]
        return sorted(lines, key=lambda line: (-line.difficulty, line.template.name))

    def template(self, name: str) -> ReportOnTemplate:
        """Report on one template.

        Raises:
            UnknownError: If there is no such template.
        """
        template = self.shelf.template(name)
        with self.records.look() as work:
            answers = list(reversed(work.questions.first_answers(template.name)))
            members = sorted({issue.member for issue, _ in answers})
            elsewhere = work.standings.shares_elsewhere(members, template.name)
        return analyse_template([template_answer(issue, attempt, elsewhere) for issue, attempt in answers])

    def test(self, lesson: Lesson) -> ReportOnTest | None:
        """Report on the tests of a lesson that were handed in; None while there is none."""
        with self.records.look() as work:
            papers = work.papers.handed_in(lesson.name)[:PAPERS_LOOKED_AT]
            shares = work.questions.first_shares([issue for paper in papers for issue in paper.issues])
        rows = [dict(shares[issue] for issue in paper.issues if issue in shares) for paper in papers]
        seconds = [(p.handed_in - p.begun).total_seconds() if p.handed_in else None for p in papers]
        names = sorted({name for row in rows for name in row})
        if not names:
            return None
        matrix = [[row.get(name) for name in names] for row in rows]
        return analyse_test(matrix, [self._title(name) for name in names], seconds)

    def _title(self, name: str) -> str:
        found = self.shelf.library.templates.get(name)
        return found.title if found is not None else name.replace("-", " ")


def template_answer(issue: Issue, attempt: Attempt, elsewhere: Mapping[int, float]) -> TemplateAnswer:
    """Return a first attempt as item analysis sees it."""
    asked = {ask.name: ask for ask in issue.question.asks}
    return TemplateAnswer(
        member=issue.member,
        share=_share(attempt),
        asks=tuple(_ask(name, mark, asked) for name, mark in attempt.mark.asks.items()),
        elsewhere=elsewhere.get(issue.member),
        seconds=(attempt.at - issue.at).total_seconds(),
    )


def _share(attempt: Attempt) -> float:
    return attempt.mark.marks / attempt.mark.of if attempt.mark.of else 0.0


def _ask(name: str, mark: AskMark, asked: Mapping[str, DrawnAsk]) -> AskAnswer:
    # A value that is right is none of the wrong ones, whatever became of its unit.
    wrong = None if mark.verdict in _RIGHT_VALUE else mark.value
    key = asked[name].value if name in asked else None
    return AskAnswer(ask=name, share=mark.share, wrong=wrong, key=key, slip=mark.slip)
