"""A PostgreSQL of the tests' own: a cluster in a temporary folder, reached through a socket there."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest


def _program(name: str) -> str | None:
    """Return one of the server's programs; Debian keeps them off the path."""
    places = sorted(Path("/usr/lib/postgresql").glob(f"*/bin/{name}"), reverse=True)
    return str(places[0]) if places else shutil.which(name)


@contextmanager
def running(folder: Path) -> Iterator[str]:
    """Run a server in a folder; gives the URL of an empty database. Skips without PostgreSQL, but not in CI."""
    try:
        import psycopg  # noqa: F401 - only whether it is there
    except ImportError:
        _missing("psycopg")
    initdb, pg_ctl = _program("initdb"), _program("pg_ctl")
    if initdb is None or pg_ctl is None:
        _missing("PostgreSQL")
    assert initdb is not None
    assert pg_ctl is not None
    data = folder / "data"
    # The server refuses to run as root.
    who = ["runuser", "-u", "postgres", "--"] if os.geteuid() == 0 else []
    if who:
        shutil.chown(folder, "postgres")
        for above in folder.parents:
            if above.is_relative_to("/tmp") and above != Path("/tmp"):
                above.chmod(0o755)
    _run([*who, initdb, "--auth=trust", "--username=quiescent", "--encoding=UTF8", "--no-sync", "-D", str(data)])
    options = f"-k {folder} -c listen_addresses='' -c shared_buffers=32MB"
    _run([*who, pg_ctl, "-D", str(data), "-l", str(folder / "log"), "-w", "-o", options, "start"])
    try:
        yield f"postgresql+psycopg://quiescent@/postgres?host={folder}"
    finally:
        _run([*who, pg_ctl, "-D", str(data), "-m", "immediate", "stop"])


def _missing(what: str) -> None:
    if os.environ.get("CI") == "true":
        pytest.fail(f"{what} is not installed, and CI=true promises that it is")
    pytest.skip(f"{what} is not installed")


def _run(command: list[str]) -> None:
    done = subprocess.run(command, capture_output=True, text=True, check=False, cwd="/")
    assert done.returncode == 0, done.stderr + done.stdout
