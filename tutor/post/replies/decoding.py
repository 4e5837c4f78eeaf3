"""Messages to words: headers, parts, encodings, line ends. Whatever comes in, something comes out, and nothing raises.

Sources: RFC 5322, 2045 to 2047; RFC 3676 (format=flowed).
"""

from __future__ import annotations

import email
import re
from datetime import UTC, datetime
from email.errors import HeaderParseError, MessageError
from email.header import decode_header
from email.message import Message
from email.utils import getaddresses, parsedate_to_datetime
from typing import Any

from tutor.learning.ports.post import Incoming, Kind
from tutor.post.replies import machines
from tutor.post.replies.charsets import to_text
from tutor.post.replies.html_text import text_of_html

MOST_TEXT = 200_000
"""Characters of words that are looked at; what people write is a thousandth of it."""

_TROUBLES = (MessageError, LookupError, ValueError, TypeError, AttributeError, AssertionError, RecursionError)
"""What the standard library is known to raise on broken messages."""
_ID = re.compile(r"<[!-;=?-~]{1,400}@?[!-;=?-~]{0,200}>")


def decode(raw: bytes) -> Incoming:
    """Return a message decoded."""
    try:
        return _decoded(email.message_from_bytes(raw))
    except _TROUBLES as error:
        text, _ = to_text(raw[:MOST_TEXT], "")
        fault = f"The message is broken ({type(error).__name__}); it is shown as it came."
        return Incoming(
            kind=Kind.PERSON,
            sender="",
            subject="",
            message_id="",
            thread=(),
            dated=None,
            text=_clean(text),
            faults=(fault,),
        )


def _decoded(message: Message) -> Incoming:
    faults: list[str] = []

    def head(name: str) -> str:
        return header_text(message, name)

    sender = _sender(head("From"))
    kind, why = machines.kind_of(message, head, sender)
    text = _words(message, faults, 0)
    ids = [*_ID.findall(head("In-Reply-To")), *reversed(_ID.findall(head("References")))]
    own = _ID.search(head("Message-ID"))
    return Incoming(
        kind=kind,
        why=why,
        sender=sender,
        subject=" ".join(head("Subject").split())[:300],
        message_id=own[0] if own else "",
        thread=tuple(dict.fromkeys(ids))[:50],
        returned=machines.returned(message)[:50] if kind in (Kind.BOUNCE, Kind.DELAY) else (),
        dated=_date(head("Date")),
        text=_clean(text)[:MOST_TEXT],
        faults=tuple(dict.fromkeys(faults)),
    )


def header_text(message: Message, name: str) -> str:
    """Return a header's text, encoded words decoded; "" when it is missing."""
    raw = next((value for key, value in message.raw_items() if key.lower() == name.lower()), None)
    if raw is None:
        return ""
    plain, _ = to_text(str(raw).encode("utf-8", "surrogateescape"), "")
    try:
        pieces = [
            to_text(piece, charset or "")[0] if isinstance(piece, bytes) else piece
            for piece, charset in decode_header(plain)
        ]
        return "".join(pieces).replace("\0", "")
    except (HeaderParseError, *_TROUBLES):
        return plain.replace("\0", "")


def _sender(text: str) -> str:
    try:
        found = getaddresses([text])
    except _TROUBLES:
        return ""
    # Two senders in one From are a forger's trick as often as anything: then nobody is known.
    addresses = [address for _, address in found if "@" in address]
    return addresses[0][:254] if len(addresses) == 1 else ""


def _date(text: str) -> datetime | None:
    try:
        found = parsedate_to_datetime(" ".join(text.split()))
        return (found if found.tzinfo else found.replace(tzinfo=UTC)).astimezone(UTC)
    except (*_TROUBLES, OverflowError):
        return None


# -- parts -----------------------------------------------------------------------------------------------------------
def _words(part: Message, faults: list[str], depth: int) -> str:
    if depth > 20:
        faults.append("Its parts are nested too deep.")
        return ""
    kind, payload = part.get_content_type(), part.get_payload()
    if isinstance(payload, list) and kind != "message/rfc822":
        if kind == "multipart/alternative":
            return _alternative(payload, faults, depth)
        return "\n".join(_words(inner, faults, depth + 1) for inner in payload if isinstance(inner, Message))
    if kind == "message/rfc822":
        inner = payload[0] if isinstance(payload, list) and payload else None
        words = _words(inner, faults, depth + 1) if isinstance(inner, Message) else ""
        return "\n".join(f"> {line}" for line in words.splitlines())
    if part.get_content_maintype() == "multipart":
        faults.append("Its parts are not parted as it says.")
        return _text(part, faults)
    if part.get_content_maintype() != "text":
        return ""
    if part.get_content_disposition() == "attachment":
        faults.append("A text is attached, which was not looked into.")
        return ""
    return _text(part, faults)


def _alternative(parts: list[Any], faults: list[str], depth: int) -> str:
    plain = [part for part in parts if isinstance(part, Message) and part.get_content_type() == "text/plain"]
    for part in [*plain, *reversed(parts)]:
        words = _words(part, faults, depth + 1) if isinstance(part, Message) else ""
        if words.strip():
            return words
    return ""


def _text(part: Message, faults: list[str]) -> str:
    data = part.get_payload(decode=True)
    if data is None and isinstance(part.get_payload(), str):  # which it is not decoded from in a part of parts
        data = str(part.get_payload()).encode("utf-8", "surrogateescape")
    if not isinstance(data, bytes):
        return ""
    charset: Any = part.get_param("charset", "")  # text, or three texts where it is encoded (RFC 2231)
    text, sound = to_text(data, str(charset[2] if isinstance(charset, tuple) else charset or ""))
    if not sound or "\N{REPLACEMENT CHARACTER}" in text:
        faults.append("Some of its characters could not be read.")
    if part.get_content_type() == "text/html":
        return text_of_html(text)
    if str(part.get_param("format", "")).lower() == "flowed":
        return _unflowed(text, joins=str(part.get_param("delsp", "")).lower() == "yes")
    return text


def _unflowed(text: str, *, joins: bool) -> str:
    """Join lines that a mail program broke (RFC 3676, section 4.2)."""
    lines: list[str] = []
    open_ = False
    depth = 0
    for line in text.splitlines():
        body = line.lstrip(">")
        own = len(line) - len(body)
        body = body[1:] if body.startswith(" ") else body  # space-stuffing
        flows = body.endswith(" ") and body != "-- "
        piece = body[:-1] if flows and joins else body
        if open_ and own == depth:
            lines[-1] += piece
        else:
            lines.append(("> " * own if own else "") + piece)
        open_, depth = flows, own
    return "\n".join(lines)


def _clean(text: str) -> str:
    """Return text without control characters, its line ends as one kind."""
    text = text.replace("\r\n", "\n").replace("\r", "\n").replace("\N{NO-BREAK SPACE}", " ")
    return "".join(c for c in text if c in "\n\t" or (c.isprintable() and c not in "\N{ZERO WIDTH NO-BREAK SPACE}"))
