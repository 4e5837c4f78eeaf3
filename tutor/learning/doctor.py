"""The doctor: checks a club's records against themselves, and changes nothing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from tutor.learning.ports import Records, Work
from tutor.learning.records import Issue, Paper
from tutor.learning.replay import differences, replayed
from tutor.questions.errors import QuestionError
from tutor.questions.marking import mark
from tutor.questions.marks import Mark


@dataclass(frozen=True, slots=True)
class Finding:
    """Something in the records that does not agree with the rest.

    Attributes:
        about: marks | standings | tests.
        says: What was found, and where.
    """

    about: str
    says: str


def examine(records: Records) -> Iterator[Finding]:
    """Check every mark against its question, every standing against its evidence, every paper against its marks."""
    with records.look() as work:
        for issue in work.questions.every():
            yield from _marks(work, issue)
        members = [member.id for member in work.people.everybody()]
        for difference in differences(work, replayed(work.standings.facts()), members):
            yield Finding("standings", f"{difference.what} does not follow from the answers")
        for member in members:
            for paper in work.papers.of_member(member):
                issues = [work.questions.get(name) for name in paper.issues]
                yield from _paper(paper, [issue for issue in issues if issue is not None])


def _marks(work: Work, issue: Issue) -> Iterator[Finding]:
    for attempt in issue.attempts:
        if _agrees(issue, attempt.answers, attempt.mark):
            continue
        # A mark that was corrected after a new release: the one given at first must be the question's own.
        kept = work.workshop.old_marks(attempt.id)
        if not kept or not _agrees(issue, attempt.answers, kept[-1].mark):
            says = f"attempt {attempt.id} at question {issue.id} ({issue.question.template}) is marked otherwise today"
            yield Finding("marks", says)


def _agrees(issue: Issue, answers: Mapping[str, str], given: Mark) -> bool:
    try:
        return mark(issue.question, answers).to_data() == given.to_data()
    except QuestionError:
        return False


def _paper(paper: Paper, issues: list[Issue]) -> Iterator[Finding]:
    if len(issues) != len(paper.issues):
        yield Finding("tests", f"paper {paper.id} lacks {len(paper.issues) - len(issues)} of its questions")
    if paper.handed_in is None:
        if any(issue.attempts for issue in issues):
            yield Finding("tests", f"paper {paper.id} is marked though it was not handed in")
        return
    unmarked = [issue.id for issue in issues if len(issue.attempts) != 1]
    if unmarked:
        yield Finding("tests", f"paper {paper.id} was handed in; {len(unmarked)} of its questions are not marked once")
    earned = sum(attempt.mark.marks for issue in issues for attempt in issue.attempts)
    if paper.marks is not None and paper.marks != earned:
        yield Finding("tests", f"paper {paper.id} says {paper.marks} marks; its questions earned {earned}")
