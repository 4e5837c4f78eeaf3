"""The club's records in memory: the same ports as the SQL adapter, held to the same tests."""

from __future__ import annotations

import copy
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any

from tutor.learning.errors import SignInTakenError
from tutor.learning.records import Attempt, Issue, IssueLine, JoinCode, Member, Paper, Role, SignedIn
from tutor.learning.standing import LedgerEntry, Standing
from tutor.questions.marks import Mark


@dataclass
class _Shelves:
    members: dict[int, Member] = field(default_factory=dict)
    codes: dict[str, JoinCode] = field(default_factory=dict)
    signed_in: dict[str, SignedIn] = field(default_factory=dict)
    failures: list[tuple[str, str, datetime]] = field(default_factory=list)
    issues: dict[str, Issue] = field(default_factory=dict)
    attempts: list[tuple[int, Attempt]] = field(default_factory=list)
    papers: dict[str, Paper] = field(default_factory=dict)
    standings: dict[tuple[int, str], Standing] = field(default_factory=dict)
    ledger: list[tuple[int, LedgerEntry]] = field(default_factory=list)


class FakeRecords:
    def __init__(self) -> None:
        self._shelves = _Shelves()

    @contextmanager
    def look(self) -> Iterator[_FakeWork]:
        yield _FakeWork(copy.copy(self._shelves))

    @contextmanager
    def work(self) -> Iterator[_FakeWork]:
        kept = copy.deepcopy(self._shelves)
        try:
            yield _FakeWork(self._shelves)
        except BaseException:
            self._shelves = kept
            raise


class _FakeWork:
    def __init__(self, shelves: _Shelves) -> None:
        self.people = _People(shelves)
        self.questions = _Questions(shelves)
        self.papers = _Papers(shelves)
        self.standings = _Standings(shelves)


@dataclass
class _People:
    s: _Shelves

    def add(self, sign_in: str, name: str, role: Role, password: str, joined: datetime) -> Member:
        if any(m.sign_in == sign_in for m in self.s.members.values()):
            raise SignInTakenError(sign_in)
        member = Member(len(self.s.members) + 1, sign_in, name, role, password, joined)
        self.s.members[member.id] = member
        return member

    def by_sign_in(self, sign_in: str) -> Member | None:
        return next((m for m in self.s.members.values() if m.sign_in == sign_in), None)

    def by_id(self, member: int) -> Member | None:
        return self.s.members.get(member)

    def everybody(self) -> Sequence[Member]:
        return sorted(self.s.members.values(), key=lambda m: (m.name, m.id))

    def set_password(self, member: int, password: str) -> None:
        self.s.members[member] = replace(self.s.members[member], password=password)

    def add_code(self, code: JoinCode) -> None:
        self.s.codes[code.code] = code

    def code(self, code: str) -> JoinCode | None:
        return self.s.codes.get(code)

    def use_code(self, code: str) -> bool:
        found = self.s.codes.get(code)
        if found is None or found.uses <= 0:
            return False
        self.s.codes[code] = replace(found, uses=found.uses - 1)
        return True

    def sign_in(self, signed_in: SignedIn) -> None:
        self.s.signed_in[signed_in.token_hash] = signed_in

    def signed_in(self, token_hash: str) -> tuple[SignedIn, Member] | None:
        found = self.s.signed_in.get(token_hash)
        return None if found is None else (found, self.s.members[found.member])

    def sign_out(self, token_hash: str) -> None:
        self.s.signed_in.pop(token_hash, None)

    def note_failure(self, account: str, address: str, at: datetime) -> None:
        self.s.failures.append((account, address, at))

    def failures(self, account: str, address: str, since: datetime) -> tuple[int, datetime | None]:
        times = [at for a, b, at in self.s.failures if (a, b) == (account, address) and at >= since]
        return len(times), max(times, default=None)

    def clear_failures(self, account: str) -> None:
        self.s.failures = [entry for entry in self.s.failures if entry[0] != account]


@dataclass
class _Questions:
    s: _Shelves

    def _attempts(self, issue: str) -> tuple[Attempt, ...]:
        return tuple(attempt for _, attempt in self.s.attempts if attempt.issue == issue)

    def add(self, issue: Issue) -> None:
        self.s.issues[issue.id] = issue

    def get(self, issue: str, *, lock: bool = False) -> Issue | None:  # noqa: ARG002 - nobody else is there
        found = self.s.issues.get(issue)
        return None if found is None else replace(found, attempts=self._attempts(issue))

    def history(
        self, member: int, *, lesson: str = "", limit: int = 50, before: datetime | None = None
    ) -> Sequence[IssueLine]:
        issues = [
            issue
            for issue in self.s.issues.values()
            if issue.member == member
            and (not lesson or issue.lesson == lesson)
            and (before is None or issue.at < before)
        ]
        issues.sort(key=lambda issue: issue.id)
        issues.sort(key=lambda issue: issue.at, reverse=True)
        return [self._line(issue) for issue in issues[:limit]]

    def _line(self, issue: Issue) -> IssueLine:
        attempts = self._attempts(issue.id)
        return IssueLine(
            id=issue.id,
            template=issue.question.template,
            title=issue.question.title,
            topic=issue.question.topic,
            lesson=issue.lesson,
            paper=issue.paper,
            at=issue.at,
            attempts=len(attempts),
            marks=max((a.mark.marks for a in attempts), default=None),
            of=max((a.mark.of for a in attempts), default=0),
            solved=any(a.mark.is_full for a in attempts),
        )

    def serials(self, member: int, template: str) -> frozenset[int]:
        issues = self.s.issues.values()
        return frozenset(i.question.serial for i in issues if i.member == member and i.question.template == template)

    def note_hint(self, issue: str, hints: int) -> None:
        found = self.s.issues[issue]
        self.s.issues[issue] = replace(found, hints=max(hints, found.hints))

    def open_solution(self, issue: str, at: datetime) -> None:
        found = self.s.issues[issue]
        self.s.issues[issue] = replace(found, opened=found.opened or at)

    def attempt(self, issue: str, key: str) -> Attempt | None:
        return next((a for a in self._attempts(issue) if a.key == key), None)

    def add_attempt(
        self, issue: str, member: int, key: str, answers: Mapping[str, str], mark: Mark, at: datetime
    ) -> Attempt:
        known = self.attempt(issue, key)
        if known is not None:
            return known
        attempt = Attempt(id=len(self.s.attempts) + 1, issue=issue, key=key, answers=dict(answers), mark=mark, at=at)
        self.s.attempts.append((member, attempt))
        return attempt


@dataclass
class _Papers:
    s: _Shelves

    def add(self, paper: Paper) -> None:
        self.s.papers[paper.id] = paper

    def get(self, paper: str) -> Paper | None:
        return self.s.papers.get(paper)

    def open_one(self, member: int, lesson: str) -> Paper | None:
        open_ones = [
            p for p in self.s.papers.values() if p.member == member and p.lesson == lesson and p.handed_in is None
        ]
        return min(open_ones, key=lambda p: p.begun, default=None)

    def of_member(self, member: int) -> Sequence[Paper]:
        own = [paper for paper in self.s.papers.values() if paper.member == member]
        return sorted(own, key=lambda paper: paper.begun, reverse=True)

    def save(self, paper: str, issue: str, answers: Mapping[str, str]) -> None:
        found = self.s.papers[paper]
        drafts: dict[str, Any] = {**found.drafts, issue: dict(answers)}
        self.s.papers[paper] = replace(found, drafts=drafts)

    def hand_in(self, paper: str, at: datetime) -> bool:
        found = self.s.papers[paper]
        if found.handed_in is not None:
            return False
        self.s.papers[paper] = replace(found, handed_in=at)
        return True


@dataclass
class _Standings:
    s: _Shelves

    def of_member(self, member: int) -> Mapping[str, Standing]:
        return {topic: standing for (m, topic), standing in sorted(self.s.standings.items()) if m == member}

    def put(self, member: int, topic: str, standing: Standing) -> None:
        self.s.standings[member, topic] = standing

    def enter(self, member: int, entry: LedgerEntry) -> None:
        self.s.ledger.append((member, entry))

    def ledger(self, member: int, topic: str, limit: int = 50) -> Sequence[LedgerEntry]:
        own = [entry for m, entry in self.s.ledger if m == member and entry.topic == topic]
        return own[::-1][:limit]
