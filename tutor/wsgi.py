"""Entry point for WSGI servers: `gunicorn 'tutor.wsgi:site()'`.

The data folder is named by `QUIESCENT_DATA`; everything else stands in its `club.toml`.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

from tutor.bootstrap.site import open_folder, site_of

if TYPE_CHECKING:
    from flask import Flask


def site() -> Flask:
    """Return the site of the club in `QUIESCENT_DATA`.

    Raises:
        RuntimeError: If `QUIESCENT_DATA` is not set.
    """
    named = os.environ.get("QUIESCENT_DATA")
    if not named:
        raise RuntimeError("QUIESCENT_DATA must name the club's data folder")
    folder = Path(named)
    club, settings = open_folder(folder)
    return site_of(club, settings, folder)
