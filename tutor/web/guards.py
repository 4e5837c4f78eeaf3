"""What is looked at before any page: where a form comes from, and how many come."""

from __future__ import annotations

import time
from collections import OrderedDict, deque
from threading import Lock

from flask import g, request
from werkzeug.exceptions import Forbidden, TooManyRequests
from werkzeug.routing import IntegerConverter, Map

LARGEST_NUMBER = 2**31 - 1  # of a row, in any database
SAFE = ("GET", "HEAD", "OPTIONS")
MOST_REMEMBERED = 10_000  # members; the one who sent nothing for longest is forgotten first
MINUTE = 60.0


class RowNumber(IntegerConverter):
    """The number of a row in an address; a larger one than any database holds leads nowhere."""

    def __init__(self, map: Map) -> None:
        super().__init__(map, max=LARGEST_NUMBER)


def refuse_other_sites() -> None:
    """Refuse what a page of another site sends: beside the token of every form, by what the browser says of itself.

    Source of the header: W3C Fetch Metadata Request Headers. Browsers that send none have the token alone.
    """
    if request.method not in SAFE and request.headers.get("Sec-Fetch-Site", "same-origin") not in (
        "same-origin",
        "none",
    ):
        raise Forbidden("That was sent by a page of another site, so it was not taken.")


class Sends:
    """Counts what members send, in one process: no more than so many within any minute.

    With several workers each has its own count, so that the bound is that of one times their number.
    """

    def __init__(self, a_minute: int) -> None:
        self._a_minute = a_minute
        self._sent: OrderedDict[int, deque[float]] = OrderedDict()
        self._lock = Lock()

    def refuse_flood(self) -> None:
        """Refuse a form when its member has sent too many lately."""
        if request.method in SAFE or g.get("member") is None:
            return
        wait = self.wait_of(g.member.id, time.monotonic())
        if wait:
            says = f"More than {self._a_minute} forms came from you within a minute; go on in {wait} seconds."
            raise TooManyRequests(says, retry_after=wait)

    def wait_of(self, member: int, now: float) -> int:
        """Count one form of a member; return 0, or the seconds to wait when there are too many.

        Args:
            member: Whose.
            now: Seconds on a clock that only runs forwards.
        """
        with self._lock:
            sent = self._sent.pop(member, deque())
            self._sent[member] = sent
            while sent and sent[0] <= now - MINUTE:
                sent.popleft()
            if len(sent) >= self._a_minute:
                return int(sent[0] + MINUTE - now) + 1
            sent.append(now)
            if len(self._sent) > MOST_REMEMBERED:
                self._sent.popitem(last=False)
        return 0
