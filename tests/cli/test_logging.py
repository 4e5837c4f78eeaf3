"""A served site writes who signed in and what was done to accounts to standard error."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

PROGRAM = """
import sys
from pathlib import Path
from tutor.bootstrap.site import open_folder, site_of
folder = Path(sys.argv[1])
club, settings = open_folder(folder, [])
site_of(club, settings, folder)
club.membership.add("ann.baker", "Ann Baker", "copper anode lantern")
club.sign_ins.sign_in("ann.baker", "copper anode lantern", "10.0.0.1")
"""


def test_acts_are_written_one_line_each(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, str(tmp_path)], capture_output=True, text=True, check=True, env=dict(os.environ)
    )
    assert [line.split("Z ", 1)[1] for line in done.stderr.splitlines()] == [
        "account made by=- to=1 member",
        "signed in by=1 to=-",
    ]
