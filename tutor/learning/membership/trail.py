"""The log of acts: every privileged act is noted in the transaction that does it, and told to the system's log."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import contextmanager

from tutor.learning.ports import Clock, Records, Work
from tutor.learning.records import Member

_log = logging.getLogger("quiescent.acts")


@contextmanager
def acting(
    records: Records, clock: Clock, actor: Member | None, act: str, whom: Member | None = None, detail: str = ""
) -> Iterator[Work]:
    """Do something and note it: both are stored, or neither.

    Args:
        records: The records.
        clock: The clock.
        actor: Who does it; None for the command line.
        act: What, in a few words.
        whom: To whom.
        detail: More of it; numbers and words of the program only, no names and no secrets.
    """
    by = None if actor is None else actor.id
    to = None if whom is None else whom.id
    with records.work() as work:
        yield work
        work.trail.note(clock.now(), by, act, to, detail)
    tell(clock, act, by, to, detail)


def tell(clock: Clock, act: str, by: int | None, to: int | None = None, detail: str = "") -> None:
    """Write one line into the system's log: when (UTC), what, by which member, to which, more of it."""
    line = f"{clock.now():%Y-%m-%dT%H:%M:%SZ} {act} by={by or '-'} to={to or '-'} {detail}"
    _log.info("%s", one_line(line).rstrip())


def one_line(text: str) -> str:
    r"""Return text without anything that could begin a line of its own.

    >>> one_line("/nonsense\r\n2026-01-01 forged")
    '/nonsense\\r\\n2026-01-01 forged'
    """
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in text)
