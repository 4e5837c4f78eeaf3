"""Questions issued, hints taken, attempts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import Row, bindparam, case, func, select, update
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from tutor.learning.records import Attempt, Issue, IssueLine, Sureness
from tutor.questions.marks import Mark
from tutor.questions.question import Question
from tutor.store.tables import AttemptRow, IssueRow

# Asked at every question page: columns instead of objects, and statements that are built once.
_ISSUE = select(
    IssueRow.id,
    IssueRow.member_id,
    IssueRow.lesson,
    IssueRow.paper,
    IssueRow.question,
    IssueRow.at,
    IssueRow.hints,
    IssueRow.opened,
    IssueRow.why,
    IssueRow.example,
    IssueRow.example_steps,
).where(IssueRow.id == bindparam("issue"))
_ATTEMPTS = (
    select(
        AttemptRow.id,
        AttemptRow.issue_id,
        AttemptRow.key,
        AttemptRow.answers,
        AttemptRow.mark,
        AttemptRow.at,
        AttemptRow.sure,
    )
    .where(AttemptRow.issue_id == bindparam("issue"))
    .order_by(AttemptRow.id)
)


ISSUES_AT_ONCE = 500


class SqlQuestions:
    """The adapter of `learning.ports.Questions`."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def add(self, issue: Issue) -> None:
        question = issue.question
        self._session.add(
            IssueRow(
                id=issue.id,
                member_id=issue.member,
                lesson=issue.lesson,
                paper=issue.paper,
                template=question.template,
                title=question.title,
                release=question.release,
                serial=question.serial,
                topic=question.topic,
                question=question.to_data(),
                at=issue.at,
                hints=issue.hints,
                opened=issue.opened,
                why=issue.why,
                example=issue.example.to_data() if issue.example is not None else None,
                example_steps=issue.example_steps,
            )
        )
        self._session.flush()

    def get(self, issue: str, *, lock: bool = False) -> Issue | None:
        query = _ISSUE.with_for_update() if lock else _ISSUE
        row = self._session.execute(query, {"issue": issue}).first()
        if row is None:
            return None
        attempts = self._session.execute(_ATTEMPTS, {"issue": issue})
        return _issue(row, tuple(_attempt(attempt) for attempt in attempts))

    def history(
        self, member: int, *, lesson: str = "", limit: int = 50, before: datetime | None = None
    ) -> Sequence[IssueLine]:
        query = (
            select(
                IssueRow.id,
                IssueRow.template,
                IssueRow.title,
                IssueRow.topic,
                IssueRow.lesson,
                IssueRow.paper,
                IssueRow.at,
            )
            .where(IssueRow.member_id == member)
            .order_by(IssueRow.at.desc(), IssueRow.id)
            .limit(limit)
        )
        if lesson:
            query = query.where(IssueRow.lesson == lesson)
        if before is not None:
            query = query.where(IssueRow.at < before)
        rows = self._session.execute(query).all()
        best = self._best([row.id for row in rows])
        return [
            IssueLine(
                id=row.id,
                template=row.template,
                title=row.title,
                topic=row.topic,
                lesson=row.lesson,
                paper=row.paper,
                at=row.at,
                attempts=best[row.id].tries if row.id in best else 0,
                marks=best[row.id].marks if row.id in best else None,
                of=best[row.id].of if row.id in best else 0,
                solved=bool(row.id in best and best[row.id].solved),
            )
            for row in rows
        ]

    def _best(self, issues: Sequence[str]) -> dict[str, Row[Any]]:
        """Return of each issue the number of attempts, the best marks, and whether some attempt earned them all."""
        query = (
            select(
                AttemptRow.issue_id,
                func.count(AttemptRow.id).label("tries"),
                func.max(AttemptRow.marks).label("marks"),
                func.max(AttemptRow.of).label("of"),
                func.max(case((AttemptRow.marks == AttemptRow.of, 1), else_=0)).label("solved"),
            )
            .where(AttemptRow.issue_id.in_(issues))
            .group_by(AttemptRow.issue_id)
        )
        return {row.issue_id: row for row in self._session.execute(query)}

    def serials(self, member: int, template: str) -> frozenset[int]:
        query = select(IssueRow.serial).where(IssueRow.member_id == member, IssueRow.template == template)
        return frozenset(self._session.scalars(query))

    def note_hint(self, issue: str, hints: int) -> None:
        self._session.execute(update(IssueRow).where(IssueRow.id == issue, IssueRow.hints < hints).values(hints=hints))

    def open_solution(self, issue: str, at: datetime) -> None:
        self._session.execute(update(IssueRow).where(IssueRow.id == issue, IssueRow.opened.is_(None)).values(opened=at))

    def attempt(self, issue: str, key: str) -> Attempt | None:
        row = self._session.scalar(select(AttemptRow).where(AttemptRow.issue_id == issue, AttemptRow.key == key))
        return None if row is None else _attempt(row)

    def add_attempt(
        self,
        issue: str,
        member: int,
        key: str,
        answers: Mapping[str, str],
        mark: Mark,
        at: datetime,
        sure: Sureness | None = None,
    ) -> Attempt:
        row = AttemptRow(
            issue_id=issue,
            member_id=member,
            key=key,
            answers=dict(answers),
            mark=mark.to_data(),
            marks=mark.marks,
            of=mark.of,
            at=at,
            sure=None if sure is None else int(sure),
        )
        try:
            with self._session.begin_nested():
                self._session.add(row)
        except IntegrityError:
            # The same form came twice at once: the first one counts.
            known = self.attempt(issue, key)
            if known is None:
                raise
            return known
        return _attempt(row)

    def every(self) -> Iterator[Issue]:
        after = ""
        answered = select(AttemptRow.issue_id).where(AttemptRow.issue_id > bindparam("after")).distinct()
        answered = answered.order_by(AttemptRow.issue_id).limit(ISSUES_AT_ONCE)
        while names := self._session.scalars(answered, {"after": after}).all():
            for name in names:
                issue = self.get(name)
                if issue is not None:
                    yield issue
            after = names[-1]

    def first_shares(self, issues: Sequence[str]) -> Mapping[str, tuple[str, float]]:
        found: dict[str, tuple[str, float]] = {}
        for start in range(0, len(issues), ISSUES_AT_ONCE):
            query = (
                select(IssueRow.id, IssueRow.template, AttemptRow.marks, AttemptRow.of)
                .join(AttemptRow, AttemptRow.issue_id == IssueRow.id)
                .where(IssueRow.id.in_(issues[start : start + ISSUES_AT_ONCE]))
                .order_by(AttemptRow.id.desc())  # the first attempt is written last, and stays
            )
            for name, template, marks, of in self._session.execute(query):
                found[name] = template, marks / of if of else 0.0
        return found

    def first_answers(self, template: str, limit: int = 500) -> Sequence[tuple[Issue, Attempt]]:
        first = (
            select(func.min(AttemptRow.id))
            .where(AttemptRow.issue_id == IssueRow.id)
            .correlate(IssueRow)
            .scalar_subquery()
        )
        query = (
            select(*(column for column in _ISSUE.selected_columns), first.label("first"))
            .where(IssueRow.template == template)
            .order_by(IssueRow.at.desc())
            .limit(limit)
        )
        rows = [row for row in self._session.execute(query) if row.first is not None]
        attempts = self._session.scalars(select(AttemptRow).where(AttemptRow.id.in_([row.first for row in rows])))
        by_issue = {attempt.issue_id: _attempt(attempt) for attempt in attempts}
        return [(_issue(row, ()), by_issue[row.id]) for row in rows]  # type: ignore[arg-type]  # a row by names


def _issue(row: Row[Any], attempts: tuple[Attempt, ...]) -> Issue:
    return Issue(
        id=row.id,
        member=row.member_id,
        lesson=row.lesson,
        paper=row.paper,
        question=Question.from_data(row.question),
        at=row.at,
        hints=row.hints,
        opened=row.opened,
        why=row.why,
        example=Question.from_data(row.example) if row.example is not None else None,
        example_steps=row.example_steps,
        attempts=attempts,
    )


def _attempt(row: AttemptRow | Row[Any]) -> Attempt:
    return Attempt(
        id=row.id,
        issue=row.issue_id,
        key=row.key,
        answers=row.answers,
        mark=Mark.from_data(row.mark),
        at=row.at,
        sure=None if row.sure is None else Sureness(row.sure),
    )
