"""What serving a question loads, and that it is the same wherever it runs."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.questions.templates import BENCH

ROOT = Path(__file__).parent.parent.parent

SERVE = f"""
import json, sys
from pathlib import Path
from tutor.questions.bank import read_library
from tutor.questions.cache import CompiledCache
from tutor.questions.draw import draw
from tutor.questions.fragments import html_block, html_line, schematic_of
from tutor.questions.marking import mark
from tutor.questions.question import Question

cache = CompiledCache(Path(sys.argv[1]))
library = read_library([Path({str(BENCH)!r})])
assert not library.faults
shown = {{}}
for name, template in sorted(library.templates.items()):
    question = draw(cache.compiled(template), 7)
    html = html_block(question.text) + "".join(html_line(step) for step in question.solution)
    drawing = schematic_of(question, "u").svg if question.parts else ""
    marked = mark(Question.from_data(question.to_data()), {{ask.name: "5" for ask in question.asks}})
    shown[name] = [question.to_data(), html, drawing, marked.to_data()]
print(json.dumps([shown, sorted(m for m in ("sympy", "numpy", "mpmath", "flask", "sqlalchemy") if m in sys.modules)]))
"""


def serve(cache: Path, seed: str = "0") -> tuple[str, list[str]]:
    """Serve every question of the tests' bank in a process of its own; return what it showed and what it loaded."""
    done = subprocess.run(
        [sys.executable, "-c", SERVE, str(cache)],
        cwd=ROOT, env=os.environ | {"PYTHONHASHSEED": seed}, capture_output=True, check=False, timeout=120,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr.decode()
    shown, loaded = json.loads(done.stdout)
    return json.dumps(shown), loaded


def test_serving_loads_no_algebra_and_no_arrays(tmp_path: Path) -> None:
    assert serve(tmp_path)[1] == []  # compiled anew
    assert serve(tmp_path)[1] == []  # from the cache


def test_what_is_served_is_the_same_in_every_process(tmp_path: Path) -> None:
    first = serve(tmp_path / "a", "1")[0]
    assert serve(tmp_path / "b", "4242")[0] == first
    assert serve(tmp_path / "a", "7")[0] == first


@pytest.mark.parametrize("module", ["tutor.questions.marking", "tutor.questions.draw", "tutor.questions.checking"])
def test_importing_loads_no_algebra(module: str) -> None:
    code = f"import sys, {module}; print([m for m in ('sympy', 'numpy') if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, check=True, timeout=60)
    assert done.stdout.decode().strip() == "[]"
