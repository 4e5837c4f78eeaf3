"""Where the files that are not code stand: in a checkout at the top level, in a wheel inside the package."""

from __future__ import annotations

import os
from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent.parent


def _shipped(name: str) -> Path:
    inside = _PACKAGE / name
    return inside if inside.is_dir() else _PACKAGE.parent / name


def banks_folder() -> Path:
    """Return the folder of the shipped question banks."""
    return _shipped("question_banks")


def static_folder() -> Path:
    """Return the folder of the shipped static files."""
    return _shipped("static")


def cache_folder() -> Path:
    """Return the folder for compiled templates: `QUIESCENT_CACHE`, or the user's own cache."""
    chosen = os.environ.get("QUIESCENT_CACHE")
    if chosen:
        return Path(chosen)
    base = os.environ.get("XDG_CACHE_HOME") or os.environ.get("LOCALAPPDATA")
    return (Path(base) if base else Path.home() / ".cache") / "quiescent"
