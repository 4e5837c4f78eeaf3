"""A member's own data as a file, and its erasure from a data folder."""

from __future__ import annotations

import json
import zipfile
from pathlib import Path

from tutor.bootstrap.site import open_folder
from tutor.errors import QuiescentError

_ABOUT = """\
Everything that the club's records hold about one member, one file of JSON a kind of record. Left out is what would open
doors (hashes of passwords and codes) and, of questions not answered yet, the question, which holds its key.
Times are UTC.
"""


def export_member(folder: Path, sign_in: str, file: Path) -> int:
    """Write everything about a member to a ZIP file; returns how many rows.

    Raises:
        UnknownError: If nobody signs in by that name.
        QuiescentError: If the file is there already.
    """
    if file.exists():
        raise QuiescentError(f"{file.name} is there already; give another name")
    club, _ = open_folder(folder)
    found = club.personal_data.export(sign_in)
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("about.txt", _ABOUT)
        for name, rows in found.items():
            archive.writestr(f"{name}.json", json.dumps(rows, ensure_ascii=False, indent=1))
    file.chmod(0o600)
    return sum(len(rows) for rows in found.values())


def erase_member(folder: Path, sign_in: str) -> bool:
    """Delete a member and all that is theirs, from the database's files too; returns whether standings were made anew.

    Raises:
        UnknownError, OfficeError: See `PersonalData.erase`.
        StoreError: If traces stay because others are at work.
    """
    from tutor.store.engine import connect
    from tutor.store.personal import wipe

    club, settings = open_folder(folder)
    anew = club.personal_data.erase(sign_in)
    engine = connect(settings.database)
    try:
        wipe(engine)
    finally:
        engine.dispose()
    return anew
