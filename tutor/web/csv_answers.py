"""Tables for spreadsheets as downloads."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from flask import Response

from tutor.learning.spreadsheet import csv_text

UTF8_MARK = "\N{ZERO WIDTH NO-BREAK SPACE}"
"""At the front of a file it tells spreadsheets that what follows is UTF-8."""


def csv_answer(rows: Iterable[Sequence[object]], name: str) -> Response:
    """Return rows as a CSV file to be kept."""
    return as_download(csv_text(rows), name)


def as_download(text: str, name: str) -> Response:
    """Return CSV that is made already as a file to be kept."""
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(UTF8_MARK + text, mimetype="text/csv", headers=headers)
