"""Finding the answers of a paper in a reply's words.

A reply is read line by line. What is quoted, or is a line of the paper itself, only says where somebody is in the paper;
what they wrote themselves is cut at the numbers before answers; each piece is then read for its ask. Twice answered,
numbered for no ask, or said beside a number in words that mean something: a person looks.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from tutor.learning.ports.post import Finding
from tutor.learning.rounds.labels import AskPlace
from tutor.post.replies.numbering import Labels, Marker
from tutor.post.replies.quoting import Line, lines_of, squeezed
from tutor.post.replies.values import Value, value_of
from tutor.questions.marking import LONGEST, mark
from tutor.questions.marks import Verdict

_FIELD = re.compile(r"^\W*Answer\s+(?P<label>\d{1,2}[a-h]?)\s*(?:\([^)]{1,60}\)?)?\s*:\s*(?P<text>.*)$", re.IGNORECASE)
_ASKED = re.compile(r"^\W*(?P<label>\d{1,2}[a-h]?)\.\s+\S")
_QUESTION = re.compile(r"^\W*QUESTION (?P<number>\d{1,2}):", re.IGNORECASE)
_SECOND_THOUGHTS = re.compile(
    r"^\s*or\b|\b(?:or (?:perhaps|maybe|possibly)|alternatively|on reflection|no,? wait|hang on|correction|corrected|i meant|ignore|scrap|scratch that|disregard|instead of|should read|mistake|mistyped|typo|"
    r"was wrong|is wrong|change my|changed my mind|second thoughts|rather than|swap(?:ped)?|mixed up|korrektur|"
    r"berichtigung|sollte heißen|erratum|je voulais dire|quise decir)\b",
    re.IGNORECASE,
)
_SAYS_SOMETHING = re.compile(
    r"\d|\b(?:rises?|falls?|unchanged|increases?|decreases?|goes up|goes down|up|down|higher|lower|same|first|second|third|"
    r"fourth|last|other|others|rest|both|remaining|attached|attachment|photo|scan|picture|sheet)\b",
    re.IGNORECASE,
)
MOST_OF_ONES_OWN = 20_000
"""Characters beside quotations that are searched; nobody types that many answers."""
LONGEST_LINE = 600
"""Characters of a line that is searched for answers; a longer one is prose."""


@dataclass(slots=True)
class _Piece:
    """Words behind a number, or without one."""

    place: AskPlace | None
    text: str
    dash: bool = False
    weak: bool = False


@dataclass(slots=True)
class _Found:
    """What has been read so far."""

    values: dict[str, list[Value]] = field(default_factory=dict)
    loose: list[str] = field(default_factory=list)
    doubts: list[str] = field(default_factory=list)


def find_answers(text: str, paper: str, places: Sequence[AskPlace]) -> Finding:
    """Return the answers to a paper that stand in a reply.

    Args:
        text: The reply's words.
        paper: The paper's words as they were sent.
        places: Its asks.
    """
    labels = Labels(places)
    lines = lines_of(text, paper)
    found = _Found()
    if sum(len(line.text) for line in lines if not line.quoted) > MOST_OF_ONES_OWN:
        return Finding(doubts=("It is very long.",))
    starts = {squeezed(line) for line in paper.splitlines()}
    pieces = list(_Cutter(labels, starts).pieces(lines, found))
    for piece in pieces:
        _take(piece, found)
    if not found.values:
        _in_order(labels, found)
    return _judged(labels, found)


class _Cutter:
    """Cuts lines at the numbers before answers."""

    def __init__(self, labels: Labels, starts: set[str]) -> None:
        self._labels = labels
        self._starts = starts
        self._number = 0  # the question that somebody is writing about
        self._here: AskPlace | None = None  # the ask under whose quoted line they write
        self._open: _Piece | None = None  # a number whose answer follows on the next line

    def pieces(self, lines: Sequence[Line], found: _Found) -> Iterator[_Piece]:
        for line in lines:
            field_ = _FIELD.match(line.text)
            if field_ and field_["label"].lower() in self._labels.by_label:
                yield from self._field(field_["label"].lower(), field_["text"])
            elif line.quoted:
                yield from self._quoted(line.text)
            else:
                yield from self._own(line.text, found)
        if self._open is not None:
            yield self._open

    def _field(self, label: str, text: str) -> Iterator[_Piece]:
        yield from self._closed()
        self._here = self._labels.by_label[label]
        self._number = self._here.number
        if text.strip():
            yield _Piece(self._here, text)

    def _quoted(self, text: str) -> Iterator[_Piece]:
        yield from self._closed()
        question, asked = _QUESTION.match(text), _ASKED.match(text)
        if question:
            self._number, self._here = int(question["number"]), None
            own = [place for place in self._labels.places if place.number == self._number]
            self._here = own[0] if len(own) == 1 else None
        elif asked and asked["label"].lower() in self._labels.by_label and squeezed(text) in self._starts:
            self._here = self._labels.by_label[asked["label"].lower()]
            self._number = self._here.number

    def _closed(self) -> Iterator[_Piece]:
        if self._open is not None:
            yield self._open
            self._open = None

    def _own(self, text: str, found: _Found) -> Iterator[_Piece]:
        if len(text) > LONGEST_LINE:
            found.loose.append(text)
            if re.search(r"\d", text):
                found.doubts.append("There is a long line with figures in it.")
            return
        marker = self._labels.marker_at(text, 0, self._number)
        if marker is None:
            yield from self._unnumbered(text, found)
            return
        yield from self._closed()
        self._here = None
        yield from self._numbered(text, marker, found)

    def _unnumbered(self, text: str, found: _Found) -> Iterator[_Piece]:
        if self._open is not None and not self._open.text.strip():
            self._open.text = text
            yield from self._closed()
        elif self._here is not None:
            yield _Piece(self._here, text, weak=True)
        else:
            lead = re.match(r"^[^\d]{1,60}?:\s*(?=\S)", text)
            marker = self._labels.marker_at(text, lead.end(), self._number) if lead else None
            if lead and marker and marker.strong:
                yield from self._numbered(text, marker, found)
            else:
                found.loose.append(text)

    def _numbered(self, text: str, marker: Marker, found: _Found) -> Iterator[_Piece]:
        """Cut a line that begins with a number at the numbers that follow on it."""
        while True:
            self._number = marker.number
            place = self._place(marker)
            if place is None:
                inner = self._labels.marker_at(text, marker.end, self._number)
                if inner is not None and inner.letter and inner.number == marker.number:
                    marker = inner
                    continue
            next_at, following = self._next(text, marker)
            words = text[marker.end : next_at]
            if place is not None:
                piece = _Piece(place, words, marker.dash, weak=not marker.strong)
                if words.strip(" ,;.") or following is not None:
                    yield piece
                else:
                    self._open = piece
            elif words.strip(" ,;."):
                found.doubts.append(f"Question {marker.number} asks several things, and one answer stands behind it.")
                found.loose.append(words)
            if following is None:
                return
            marker = following

    def _place(self, marker: Marker) -> AskPlace | None:
        return self._labels.by_label.get(f"{marker.number}{marker.letter}")

    def _next(self, text: str, marker: Marker) -> tuple[int, Marker | None]:
        """Return where the next number on a line begins; it must come later in the paper, and be no part of a value."""
        now = self._rank(marker)
        for gap in re.finditer(r"(?<=[\s,;/|.)])(?=[\w(\[*#№])", text[marker.end :]):
            at = marker.end + gap.start()
            candidate = self._labels.marker_at(text, at, marker.number)
            if candidate is None or not candidate.strong or candidate.end <= at:
                continue
            if candidate.dash and not re.search(r"[,;]\s*$|\s{2,}$", text[:at]):
                continue
            if self._rank(candidate) == now + 1:
                return at, candidate
        return len(text), None

    def _rank(self, marker: Marker) -> float:
        label = f"{marker.number}{marker.letter}"
        if label in self._labels.by_label:
            return self._labels.order.index(label)
        first = next((i for i, p in enumerate(self._labels.places) if p.number == marker.number), 0)
        return first - 0.0 if not marker.letter and marker.number in self._labels.lettered else first - 0.5


# -- judging ---------------------------------------------------------------------------------------------------------
def _take(piece: _Piece, found: _Found) -> None:
    assert piece.place is not None
    value = value_of(piece.place.ask, piece.text, dash=piece.dash)
    if value is None:
        return
    if not value.certain and piece.weak:
        # "1 kΩ is what I have": no number of a question after all; or a remark under the quoted question.
        found.loose.append(piece.text)
        if re.search(r"\d", piece.text):
            found.doubts.append(f"It is not certain whether {piece.text[:60]!r} is an answer to {piece.place.label}.")
        return
    found.values.setdefault(piece.place.label, []).append(value)


def _in_order(labels: Labels, found: _Found) -> None:
    """Read answers without any number: as many as there are asks, each alone on its line, each fitting its ask."""
    lines = [line for line in found.loose if _SAYS_SOMETHING.search(line) or _answers_any(labels, line)]
    pieces = lines
    if len(lines) == 1 and len(labels.places) > 1:
        sign = ";" if ";" in lines[0] else ", "
        pieces = lines[0].rstrip(". ").split(sign)
    read = [(place, value_of(place.ask, piece)) for place, piece in zip(labels.places, pieces, strict=False)]
    if len(pieces) != len(labels.places) or not all(value is not None and value.certain for _, value in read):
        if len(labels.places) == 1:
            _only_one(labels.places[0], found)
        return
    for place, value in read:
        assert value is not None
        found.values[place.label] = [value]
    found.loose = [line for line in found.loose if line not in lines]


def _answers_any(labels: Labels, line: str) -> bool:
    values = (value_of(place.ask, line) for place in labels.places)
    return any(value is not None and value.certain for value in values)


def _only_one(place: AskPlace, found: _Found) -> None:
    """Read the one answer to the one ask, if one line holds it and no other could."""
    sentences = [piece for line in found.loose for piece in re.split(r"(?<=[.!?])\s+(?=[^\d\s])", line)]
    read = [(line, value_of(place.ask, line)) for line in sentences]
    certain = [(line, value) for line, value in read if value is not None and value.certain and value.text]
    others = [line for line in sentences if re.search(r"\d", line) and all(line != one for one, _ in certain)]
    if len(certain) == 1 and not others:
        line, value = certain[0]
        found.values[place.label] = [value]
        found.loose = [sentence for sentence in sentences if sentence != line]


def _judged(labels: Labels, found: _Found) -> Finding:
    certain: dict[str, str] = {}
    unsure: dict[str, str] = {}
    doubts = list(dict.fromkeys(found.doubts))
    for label in labels.order:
        values = found.values.get(label, [])
        texts = {value.text for value in values}
        if len(texts) == 1 and values[0].certain and _is_readable(labels.by_label[label], values[0].text):
            certain[label] = values[0].text[:LONGEST]
        elif values:
            unsure[label] = " / ".join(dict.fromkeys(value.text for value in values))[:LONGEST]
    missing = [label for label in labels.order if label not in certain and label not in unsure]
    loose = " ".join(found.loose)
    if any(_SECOND_THOUGHTS.search(line) for line in found.loose):
        doubts.append("Something is corrected in words.")
    if missing and (certain or unsure) and _SAYS_SOMETHING.search(loose):
        doubts.append(
            f"Nothing was found for {', '.join(missing)}, and there are words that may say something about it."
        )
    if not certain and not unsure:
        doubts.append("No answer was found in it.")
    return Finding(certain, unsure, tuple(doubts))


def _is_readable(place: AskPlace, text: str) -> bool:
    verdict = mark(place.issue.question, {place.ask.name: text}).asks[place.ask.name].verdict
    return verdict is not Verdict.UNREADABLE
