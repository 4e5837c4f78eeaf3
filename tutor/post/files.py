"""Letters to files and mail from files: `.eml`, mbox and Maildir. Sources: RFC 4155 (mbox), RFC 5322."""

from __future__ import annotations

import mailbox
import re
from collections.abc import Iterable, Iterator
from email.utils import formatdate
from pathlib import Path

from tutor.learning.rounds.errors import RoundError

_POSTMARK = re.compile(rb"^From [^\r\n]*\d\d:\d\d[^\r\n]*\r?\n", re.MULTILINE)
_STUFFED = re.compile(rb"^(>*From )", re.MULTILINE)


def write_eml(folder: Path, letters: Iterable[tuple[str, bytes]]) -> list[Path]:
    """Write letters into a folder, a file each, and return the files."""
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for name, raw in letters:
        path = folder / f"{re.sub(r'[^A-Za-z0-9.-]+', '-', name)}.eml"
        path.write_bytes(raw)
        written.append(path)
    return written


def write_mbox(path: Path, letters: Iterable[tuple[str, bytes]], sender: str) -> int:
    """Write letters into one mbox file, and return how many."""
    count = 0
    with path.open("wb") as file:
        for _, raw in letters:
            # Lines that look like a postmark are stuffed, as every reader of mbox expects.
            body = _STUFFED.sub(rb">\1", raw.replace(b"\r\n", b"\n"))
            file.write(f"From {sender} {formatdate()[:-6]}\n".encode("ascii") + body.rstrip(b"\n") + b"\n\n")
            count += 1
    return count


def messages_in(path: Path) -> Iterator[bytes]:
    """Yield the messages of an `.eml` file, an mbox, a Maildir, or a folder of `.eml` files.

    Raises:
        RoundError: If there is no such thing.
    """
    if path.is_dir() and (path / "cur").is_dir():
        box = mailbox.Maildir(path, create=False)
        for key in sorted(box.keys()):
            yield box.get_bytes(key)
    elif path.is_dir():
        for file in sorted(path.glob("*.eml")):
            yield file.read_bytes()
    elif path.is_file():
        yield from messages_of(path.read_bytes())
    else:
        raise RoundError(f"There is no file or folder {str(path)!r}; an .eml file, an mbox or a Maildir is wanted.")


def messages_of(data: bytes) -> list[bytes]:
    """Return the messages of an uploaded file: those of an mbox, or the one of an `.eml`."""
    if not _POSTMARK.match(data):
        return [data] if data.strip() else []
    # A postmark begins a message only after an empty line (RFC 4155).
    starts = [
        m for m in _POSTMARK.finditer(data) if m.start() == 0 or data[: m.start()].endswith((b"\n\n", b"\r\n\r\n"))
    ]
    ends = [*(m.start() for m in starts[1:]), len(data)]
    pieces = [data[m.end() : end].rstrip(b"\r\n") + b"\n" for m, end in zip(starts, ends, strict=True)]
    return [re.sub(rb"^>(>*From )", rb"\1", piece, flags=re.MULTILINE) for piece in pieces]
