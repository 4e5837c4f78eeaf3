"""Drafts, releases, proofs, corrected marks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import delete, func, select, update
from sqlalchemy.orm import Session

from tutor.learning.drafts import Draft, DraftVersion, KeptProof, OldMark, Release
from tutor.learning.records import Attempt, Issue
from tutor.questions.authoring.proving import Proof
from tutor.questions.marks import Mark
from tutor.store.questions import SqlQuestions
from tutor.store.tables import AttemptRow, IssueRow
from tutor.store.workshop_tables import (
    OldMarkRow,
    WorkshopDraftRow,
    WorkshopProofRow,
    WorkshopReleaseRow,
    WorkshopVersionRow,
)


class SqlWorkshop:
    """The adapter of `learning.ports.Workshop`."""

    def __init__(self, session: Session) -> None:
        self._session = session

    # -- drafts --------------------------------------------------------------------------------------------------------
    def add(self, draft: Draft, says: str) -> None:
        self._session.add(
            WorkshopDraftRow(
                id=draft.id,
                data=dict(draft.data),
                version=draft.version,
                origin=draft.origin,
                owner_id=draft.owner,
                made=draft.made,
                changed=draft.changed,
                changed_by=draft.changed_by,
            )
        )
        self._session.flush()
        self._keep(draft.id, draft.version, draft.data, by=draft.owner, at=draft.made, says=says, parent=0)

    def _keep(
        self,
        draft: str,
        version: int,
        data: Mapping[str, Any],
        *,
        by: int | None,
        at: datetime,
        says: str,
        parent: int,
    ) -> None:
        self._session.add(
            WorkshopVersionRow(
                draft_id=draft, version=version, data=dict(data), by_id=by, at=at, says=says[:300], parent=parent
            )
        )
        self._session.flush()

    def draft(self, draft: str) -> Draft | None:
        row = self._session.get(WorkshopDraftRow, draft, populate_existing=True)
        return None if row is None else _draft(row)

    def drafts(self, *, trashed: bool = False) -> Sequence[Draft]:
        where = WorkshopDraftRow.trashed.is_not(None) if trashed else WorkshopDraftRow.trashed.is_(None)
        query = select(WorkshopDraftRow).where(where)
        return [_draft(row) for row in self._session.scalars(query.order_by(WorkshopDraftRow.changed.desc()))]

    def change(
        self, draft: str, version: int, data: Mapping[str, Any], *, by: int, at: datetime, says: str, parent: int
    ) -> bool:
        # One statement decides: of two who change the same version, the second changes nothing.
        done = self._session.execute(
            update(WorkshopDraftRow)
            .where(
                WorkshopDraftRow.id == draft,
                WorkshopDraftRow.version == version,
                WorkshopDraftRow.trashed.is_(None),
            )
            .values(data=dict(data), version=version + 1, changed=at, changed_by=by)
        )
        if not done.rowcount:  # type: ignore[attr-defined]  # a cursor result, which has one
            return False
        self._keep(draft, version + 1, data, by=by, at=at, says=says, parent=parent)
        return True

    def versions(self, draft: str) -> Sequence[DraftVersion]:
        query = select(WorkshopVersionRow).where(WorkshopVersionRow.draft_id == draft)
        return [_version(row) for row in self._session.scalars(query.order_by(WorkshopVersionRow.version.desc()))]

    def version(self, draft: str, version: int) -> DraftVersion | None:
        row = self._session.get(WorkshopVersionRow, (draft, version))
        return None if row is None else _version(row)

    def put_into_trash(self, draft: str, at: datetime | None) -> None:
        self._session.execute(update(WorkshopDraftRow).where(WorkshopDraftRow.id == draft).values(trashed=at))

    def empty_trash(self) -> int:
        done = self._session.execute(delete(WorkshopDraftRow).where(WorkshopDraftRow.trashed.is_not(None)))
        return int(done.rowcount)  # type: ignore[attr-defined]  # as above

    # -- releases ------------------------------------------------------------------------------------------------------
    def publish(self, release: Release) -> None:
        self._session.add(
            WorkshopReleaseRow(
                draft=release.draft,
                name=release.name,
                release=release.release,
                data=dict(release.data),
                file=release.file,
                by_id=release.by,
                at=release.at,
                says=list(release.says),
                proof=release.proof.to_data(),
            )
        )
        self._session.flush()

    def releases(self, name: str = "", draft: str = "") -> Sequence[Release]:
        query = select(WorkshopReleaseRow).order_by(WorkshopReleaseRow.id.desc())
        if name:
            query = query.where(WorkshopReleaseRow.name == name)
        if draft:
            query = query.where(WorkshopReleaseRow.draft == draft)
        return [_release(row) for row in self._session.scalars(query)]

    def live(self) -> Sequence[Release]:
        latest = (
            select(func.max(WorkshopReleaseRow.id))
            .where(WorkshopReleaseRow.withdrawn.is_(None))
            .group_by(WorkshopReleaseRow.name)
        )
        query = select(WorkshopReleaseRow).where(WorkshopReleaseRow.id.in_(latest))
        return [_release(row) for row in self._session.scalars(query.order_by(WorkshopReleaseRow.name))]

    def withdraw(self, name: str, at: datetime) -> None:
        self._session.execute(
            update(WorkshopReleaseRow)
            .where(WorkshopReleaseRow.name == name, WorkshopReleaseRow.withdrawn.is_(None))
            .values(withdrawn=at)
        )

    def stamp(self) -> str:
        query = select(
            func.max(WorkshopReleaseRow.id), func.count(WorkshopReleaseRow.withdrawn), func.count(WorkshopReleaseRow.id)
        )
        return " ".join(str(figure) for figure in self._session.execute(query).one())

    # -- proofs --------------------------------------------------------------------------------------------------------
    def begin_proof(self, release: str, at: datetime) -> None:
        row = self._session.get(WorkshopProofRow, release) or WorkshopProofRow(release=release)
        row.begun, row.proof = at, None
        self._session.add(row)
        self._session.flush()

    def end_proof(self, release: str, proof: Proof) -> None:
        self._session.execute(
            update(WorkshopProofRow).where(WorkshopProofRow.release == release).values(proof=proof.to_data())
        )

    def proof(self, release: str) -> KeptProof | None:
        row = self._session.get(WorkshopProofRow, release, populate_existing=True)
        if row is None:
            return None
        return KeptProof(row.release, row.begun, None if row.proof is None else Proof.from_data(row.proof))

    # -- marks ---------------------------------------------------------------------------------------------------------
    def attempts_on(self, template: str, releases: Sequence[str]) -> Sequence[tuple[Issue, Attempt]]:
        query = (
            select(AttemptRow.id, AttemptRow.issue_id)
            .join(IssueRow, IssueRow.id == AttemptRow.issue_id)
            .where(IssueRow.template == template, IssueRow.release.in_(list(releases)))
            .order_by(AttemptRow.id)
        )
        questions = SqlQuestions(self._session)
        issues: dict[str, Issue] = {}
        found: list[tuple[Issue, Attempt]] = []
        for attempt, issue in self._session.execute(query).all():
            if issue not in issues:
                got = questions.get(issue)
                assert got is not None
                issues[issue] = got
            found += [(issues[issue], a) for a in issues[issue].attempts if a.id == attempt]
        return found

    def correct_mark(self, old: OldMark, mark: Mark) -> None:
        self._session.add(
            OldMarkRow(attempt_id=old.attempt, mark=old.mark.to_data(), release=old.release, at=old.at, by_id=old.by)
        )
        self._session.execute(
            update(AttemptRow)
            .where(AttemptRow.id == old.attempt)
            .values(mark=mark.to_data(), marks=mark.marks, of=mark.of)
        )
        self._session.flush()

    def old_marks(self, attempt: int) -> Sequence[OldMark]:
        query = select(OldMarkRow).where(OldMarkRow.attempt_id == attempt).order_by(OldMarkRow.id.desc())
        return [
            OldMark(attempt=r.attempt_id, mark=Mark.from_data(r.mark), release=r.release, at=r.at, by=r.by_id)
            for r in self._session.scalars(query)
        ]


def _draft(row: WorkshopDraftRow) -> Draft:
    return Draft(
        id=row.id,
        data=row.data,
        version=row.version,
        origin=row.origin,
        owner=row.owner_id,
        made=row.made,
        changed=row.changed,
        changed_by=row.changed_by,
        trashed=row.trashed,
    )


def _version(row: WorkshopVersionRow) -> DraftVersion:
    return DraftVersion(version=row.version, data=row.data, by=row.by_id, at=row.at, says=row.says, parent=row.parent)


def _release(row: WorkshopReleaseRow) -> Release:
    return Release(
        id=row.id,
        draft=row.draft,
        name=row.name,
        release=row.release,
        data=row.data,
        file=row.file,
        by=row.by_id,
        at=row.at,
        says=tuple(row.says),
        proof=Proof.from_data(row.proof),
        withdrawn=row.withdrawn,
    )
