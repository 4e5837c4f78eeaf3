"""The SQL adapter of `learning.ports.Records`: one SQLAlchemy session is one transaction."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from functools import cached_property

from sqlalchemy import Engine
from sqlalchemy.orm import Session

from tutor.store.courses import SqlCourses
from tutor.store.doors import SqlDoors
from tutor.store.letters import SqlLetters, SqlReplies
from tutor.store.papers import SqlPapers
from tutor.store.people import SqlPeople
from tutor.store.questions import SqlQuestions
from tutor.store.rounds import SqlRounds
from tutor.store.standings import SqlStandings
from tutor.store.tallies import SqlTallies
from tutor.store.trail import SqlTrail
from tutor.store.trouble import told
from tutor.store.workshop import SqlWorkshop


class SqlWork:
    """One transaction."""

    def __init__(self, session: Session) -> None:
        self._session = session

    @cached_property
    def people(self) -> SqlPeople:
        return SqlPeople(self._session)

    @cached_property
    def doors(self) -> SqlDoors:
        return SqlDoors(self._session)

    @cached_property
    def trail(self) -> SqlTrail:
        return SqlTrail(self._session)

    @cached_property
    def questions(self) -> SqlQuestions:
        return SqlQuestions(self._session)

    @cached_property
    def papers(self) -> SqlPapers:
        return SqlPapers(self._session)

    @cached_property
    def standings(self) -> SqlStandings:
        return SqlStandings(self._session)

    @cached_property
    def tallies(self) -> SqlTallies:
        return SqlTallies(self._session)

    @cached_property
    def courses(self) -> SqlCourses:
        return SqlCourses(self._session)

    @cached_property
    def workshop(self) -> SqlWorkshop:
        return SqlWorkshop(self._session)

    @cached_property
    def rounds(self) -> SqlRounds:
        return SqlRounds(self._session)

    @cached_property
    def letters(self) -> SqlLetters:
        return SqlLetters(self._session)

    @cached_property
    def replies(self) -> SqlReplies:
        return SqlReplies(self._session)


class SqlRecords:
    """A club's records in an SQL database."""

    def __init__(self, engine: Engine) -> None:
        self._writing = engine
        self._reading = engine.execution_options(writes=False)

    @contextmanager
    def look(self) -> Iterator[SqlWork]:
        """Read; nothing is stored."""
        with told(), Session(self._reading) as session:
            yield SqlWork(session)

    @contextmanager
    def work(self) -> Iterator[SqlWork]:
        """Write; committed at the end of the block, rolled back when it raises."""
        with told(), Session(self._writing) as session, session.begin():
            yield SqlWork(session)
