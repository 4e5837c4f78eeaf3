"""A wheel, installed elsewhere into a fresh environment, finds its banks, pages, migrations and static files."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import venv
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def elsewhere(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A fresh environment with the wheel; it borrows the libraries of this one, not the package."""
    folder = tmp_path_factory.mktemp("elsewhere")
    build = [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(folder), str(ROOT)]
    subprocess.run(build, check=True, capture_output=True)
    (wheel,) = folder.glob("*.whl")
    venv.create(folder / "env", with_pip=True)
    python = folder / "env" / "bin" / "python"
    subprocess.run(
        [python, "-m", "pip", "install", "--quiet", "--no-deps", "--no-index", str(wheel)],
        check=True,
        capture_output=True,
    )
    site = subprocess.run(
        [python, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))"],
        check=True,
        capture_output=True,
        text=True,
    ).stdout.strip()
    # The libraries come from this environment by a path file; entries of editable installs are left out.
    libraries = [p for p in sys.path if p.endswith("site-packages")]
    copied = Path(site) / "borrowed.pth"
    copied.write_text("".join(f"import sys; sys.path.append({path!r})\n" for path in libraries), encoding="utf-8")
    return folder


def run(elsewhere: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    environment = {k: v for k, v in os.environ.items() if not k.startswith(("PYTHON", "QUIESCENT"))}
    environment["QUIESCENT_CACHE"] = str(elsewhere / "cache")
    return subprocess.run(
        [elsewhere / "env" / "bin" / "python", *arguments],
        cwd=elsewhere,
        env=environment,
        capture_output=True,
        text=True,
    )


def test_the_package_is_the_installed_one(elsewhere: Path) -> None:
    found = run(elsewhere, "-c", "import tutor; print(tutor.__file__)").stdout
    assert str(elsewhere) in found
    assert str(ROOT / "tutor") not in found


def test_a_question_is_drawn_from_the_shipped_banks(elsewhere: Path) -> None:
    result = run(elsewhere, "-m", "tutor", "draw", "loaded-divider", "--serial", "7", "--json")
    assert result.returncode == 0, result.stderr
    (question,) = json.loads(result.stdout)
    assert question["template"] == "loaded-divider"


def test_the_demo_is_made_with_pages_migrations_and_static_files(elsewhere: Path) -> None:
    made = run(elsewhere, "-m", "tutor", "demo", "--only-make", "--folder", str(elsewhere / "club"))
    assert made.returncode == 0, made.stderr
    assert "ada.quill" in made.stdout
    code = (
        "import os; os.environ['QUIESCENT_DATA'] = 'club'\n"
        "from tutor.wsgi import site\n"
        "client = site().test_client()\n"
        "assert b'Harbour Lane Valve Society' in client.get('/').data\n"
        "assert client.get('/static/quiescent.css').status_code == 200\n"
        "assert client.get('/static/fonts/math.woff2').status_code == 200\n"
    )
    served = run(elsewhere, "-c", code)
    assert served.returncode == 0, served.stderr
