"""Tables for spreadsheets, as CSV in which no cell is taken for a formula."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence


def csv_text(rows: Iterable[Sequence[object]]) -> str:
    """Return rows as CSV (RFC 4180).

    Source:
        OWASP, CSV injection: which first characters make a formula of a cell, and the apostrophe that defuses them.
    """
    out = io.StringIO()
    writer = csv.writer(out)
    for row in rows:
        writer.writerow([defused(cell) for cell in row])
    return out.getvalue()


def defused(cell: object) -> object:
    """Return a cell that no spreadsheet runs.

    >>> defused("=1+1"), defused("Bert"), defused(3)
    ("'=1+1", 'Bert', 3)
    """
    if isinstance(cell, str) and cell[:1] in ("=", "+", "-", "@", "\t", "\r", "\n"):
        return f"'{cell}"
    return cell
