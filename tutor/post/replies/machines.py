"""Telling people from machines, by what machines say about themselves.

Sources: RFC 3834 (Auto-Submitted, and never to answer it), RFC 3464 and 6522 (delivery reports), RFC 5321, section
4.5.5 (the empty sender of notices). Subjects of holiday messages are common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from email.message import Message

from tutor.learning.ports.post import Kind

Head = Callable[[str], str]
"""Gives a header's decoded text, "" when it is missing."""

_AWAY = re.compile(
    r"^\s*(?:re:\s*)?(?:out of (?:the )?office|automatic reply|auto(?:matic)?[- ]?(?:reply|response)|autoreply|"
    r"away from (?:the )?(?:office|mail)|on (?:holiday|vacation|annual leave)|abwesenheit|automatische antwort|"
    r"absence|r[ée]ponse automatique|absent du bureau|respuesta autom[áa]tica|fuera de la oficina|"
    r"risposta automatica|fuori sede|automatisch antwoord|afwezig|autosvar|automatiskt svar|fr[åa]nvaro|"
    r"automaattinen vastaus|autom[áa]tica|automatyczna odpowied)",
    re.IGNORECASE,
)
_POSTMASTERS = re.compile(r"^(?:mailer-daemon|postmaster|mail-daemon|mdaemon)@|^mailer-daemon$", re.IGNORECASE)
_BOUNCED = re.compile(
    r"undeliver|delivery (?:status notification|has failed|failure)|returned mail|failure notice|mail delivery failed|"
    r"nicht zugestellt|unzustellbar|non remis|no se pudo entregar",
    re.IGNORECASE,
)
_MESSAGE_ID = re.compile(r"^message-id:[ \t]*\r?\n?[ \t]*(<[^<>\s]+>)", re.IGNORECASE | re.MULTILINE)
_ACTION = re.compile(r"^action:\s*(\w+)", re.IGNORECASE | re.MULTILINE)
_DIAGNOSIS = re.compile(r"^(?:diagnostic-code|status):\s*(.+)$", re.IGNORECASE | re.MULTILINE)


def kind_of(message: Message, head: Head, sender: str) -> tuple[Kind, str]:
    """Return what sort of mail a message is, and why it is taken for that; "" for a person's."""
    if (
        _is_report(message)
        or _POSTMASTERS.match(sender)
        or (_BOUNCED.search(head("Subject")) and not _has_sender(head))
    ):
        return _kind_of_notice(message)
    auto = head("Auto-Submitted").partition(";")[0].strip().lower()
    if auto and auto != "no":
        return Kind.MACHINE, f"It says of itself that a machine sent it (Auto-Submitted: {auto})."
    if head("Precedence").strip().lower() in ("bulk", "junk", "auto_reply", "list"):
        return Kind.MACHINE, f"It is bulk mail (Precedence: {head('Precedence').strip().lower()[:20]})."
    for name in ("X-Autoreply", "X-Autorespond", "X-Autoresponder", "X-Auto-Response-Suppress-Reply", "List-Id"):
        if head(name):
            return Kind.MACHINE, f"A machine or a list sent it ({name})."
    if not _has_sender(head):
        return Kind.MACHINE, "It has an empty return path, as notices of machines have."
    if _AWAY.match(head("Subject")):
        return Kind.MACHINE, "Its subject is that of a holiday message."
    return Kind.PERSON, ""


def _has_sender(head: Head) -> bool:
    return head("Return-Path").strip() != "<>"


def _is_report(message: Message) -> bool:
    return message.get_content_type() == "multipart/report"


def _kind_of_notice(message: Message) -> tuple[Kind, str]:
    words = flat(message)
    actions = {action.lower() for action in _ACTION.findall(words)}
    if actions and "failed" not in actions:
        return Kind.DELAY, f"A report that says: {', '.join(sorted(actions))}."
    report_type = str(message.get_param("report-type", "") or "").lower()
    if report_type and report_type != "delivery-status":
        return Kind.DELAY, f"A report of the kind {report_type[:40]}."
    found = _DIAGNOSIS.search(words)
    return Kind.BOUNCE, " ".join(found[1].split())[:300] if found else "The letter came back."


def returned(message: Message) -> tuple[str, ...]:
    """Return the Message-IDs of letters that a notice is about: all that stand in it, save its own."""
    own = str(message.get("Message-ID", "")).strip()
    found = dict.fromkeys(_MESSAGE_ID.findall(flat(message)))
    return tuple(message_id for message_id in found if message_id != own)


def flat(message: Message) -> str:
    """Return a notice with all its parts as text, their headers included."""
    try:
        pieces = [str(message)]
        for part in message.walk():
            payload = part.get_payload(decode=True)
            if isinstance(payload, bytes) and part.get_content_maintype() in ("text", "message"):
                pieces.append(payload[:200_000].decode("latin-1"))
        return "\n".join(pieces)
    except (LookupError, ValueError, TypeError, AttributeError, AssertionError, KeyError, IndexError):
        return ""
