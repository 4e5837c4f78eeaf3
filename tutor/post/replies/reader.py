"""The reader of mail, as the use cases know it."""

from __future__ import annotations

import logging
from dataclasses import dataclass

from tutor.learning.ports.post import Finding, Incoming
from tutor.learning.round_records import RoundSheet
from tutor.learning.rounds.labels import places_of
from tutor.post.files import messages_of
from tutor.post.paper_text import paper_text
from tutor.post.replies.decoding import decode
from tutor.post.replies.finding import find_answers
from tutor.post.style import House

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class PostReader:
    """The adapter of `learning.ports.post.Reader`."""

    house: House

    def decoded(self, raw: bytes) -> Incoming:
        """Return a message decoded."""
        return decode(raw)

    def messages_of(self, data: bytes) -> list[bytes]:
        """Return the messages of an uploaded file."""
        return messages_of(data)

    def answers(self, text: str, sheet: RoundSheet) -> Finding:
        """Return the answers to a paper that stand in a text."""
        try:
            return find_answers(text, paper_text(self.house, sheet), places_of(sheet.issues))
        except Exception:
            # Hostile or mad text must not stop the rest of the post; a person sees it, and the log says where.
            _log.exception("a reply to paper %s could not be searched", sheet.paper.code)
            return Finding(doubts=("It could not be searched.",))
