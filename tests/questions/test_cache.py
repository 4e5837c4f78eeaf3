from __future__ import annotations

import hashlib
import json
import multiprocessing
from pathlib import Path

import numpy as np
import pytest

from tests.questions.templates import STEPS, read
from tutor.questions import cache as cache_module
from tutor.questions import compiling
from tutor.questions.cache import CompiledCache
from tutor.questions.compiling import Compiled, compile_template, generator_version
from tutor.questions.draw import draw
from tutor.questions.lottery import draw_batch

TEMPLATE = read(STEPS)
FRESH = compile_template(TEMPLATE)


def facts(compiled: Compiled) -> tuple[object, ...]:
    return compiled.base, compiled.source, compiled.outputs, compiled.slips


def only_entry(folder: Path) -> Path:
    (entry,) = folder.iterdir()
    return entry


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with one good entry."""
    CompiledCache(tmp_path).compiled(TEMPLATE)
    return tmp_path


@pytest.fixture
def counted(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Names of the templates that were compiled anew."""
    made: list[str] = []

    def compile_and_count(template: object) -> Compiled:
        made.append(TEMPLATE.name)
        return compile_template(template)  # type: ignore[arg-type]

    monkeypatch.setattr(cache_module, "compile_template", compile_and_count)
    return made


def test_an_entry_is_called_by_template_release_and_generator(folder: Path) -> None:
    assert only_entry(folder).name == f"sample-{TEMPLATE.release}-{generator_version()}.program"


def test_an_entry_from_disk_is_the_fresh_one(folder: Path, counted: list[str]) -> None:
    found = CompiledCache(folder).compiled(TEMPLATE)
    assert counted == []
    assert facts(found) == facts(FRESH)
    assert draw(found, 7) == draw(FRESH, 7)
    serials = np.arange(50)
    for name, values in draw_batch(FRESH, serials).values.items():
        assert (draw_batch(found, serials).values[name] == values).all()


def test_a_template_is_compiled_once_in_a_process(counted: list[str]) -> None:
    kept = CompiledCache()
    assert kept.compiled(TEMPLATE) is kept.compiled(TEMPLATE)
    assert counted == ["sample"]


@pytest.mark.parametrize(
    "spoil",
    [
        lambda _: "",
        lambda _: "\n",
        lambda text: text[: len(text) // 2],
        lambda text: text[:-1],
        lambda text: text.replace("R1", "R2", 1),
        lambda text: "0" * 64 + text[64:],
        lambda text: text.replace("def values", "def values_", 1),
        lambda text: text + " ",
        lambda _: "not the cache at all",
    ],
)
def test_a_spoilt_entry_is_made_again(folder: Path, counted: list[str], spoil: object) -> None:
    entry = only_entry(folder)
    good = entry.read_text(encoding="utf-8")
    entry.write_text(spoil(good), encoding="utf-8")  # type: ignore[operator]
    assert facts(CompiledCache(folder).compiled(TEMPLATE)) == facts(FRESH)
    assert counted == ["sample"]
    assert only_entry(folder).read_text(encoding="utf-8") == good


@pytest.mark.parametrize(
    "body", ["[]", "{}", "null", '{"base": 3}', '{"base": [], "source": 3, "outputs": [], "slips": [1]}', "{"]
)
def test_an_entry_with_a_right_hash_and_wrong_contents_is_made_again(
    folder: Path, counted: list[str], body: str
) -> None:
    entry = only_entry(folder)
    entry.write_text(f"{hashlib.sha256(body.encode()).hexdigest()}\n{body}", encoding="utf-8")
    assert facts(CompiledCache(folder).compiled(TEMPLATE)) == facts(FRESH)
    assert counted == ["sample"]


def test_an_entry_that_is_no_text_is_made_again(folder: Path, counted: list[str]) -> None:
    only_entry(folder).write_bytes(b"\xff\xfe\x00")
    assert facts(CompiledCache(folder).compiled(TEMPLATE)) == facts(FRESH)
    assert counted == ["sample"]


def test_an_entry_that_is_a_folder_only_costs_time(tmp_path: Path) -> None:
    (tmp_path / f"sample-{TEMPLATE.release}-{generator_version()}.program").mkdir()
    assert facts(CompiledCache(tmp_path).compiled(TEMPLATE)) == facts(FRESH)


def test_a_folder_that_cannot_be_written_only_costs_time(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    for folder in (tmp_path / "file", tmp_path / "file" / "below"):
        assert facts(CompiledCache(folder).compiled(TEMPLATE)) == facts(FRESH)
    assert [path.name for path in tmp_path.iterdir()] == ["file"]


def test_a_folder_that_is_not_there_is_made(tmp_path: Path) -> None:
    CompiledCache(tmp_path / "a" / "b").compiled(TEMPLATE)
    assert only_entry(tmp_path / "a" / "b").suffix == ".program"


def test_a_write_that_fails_leaves_nothing_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> Path:
        raise OSError("the disk is full")

    monkeypatch.setattr(Path, "replace", refuse)
    assert facts(CompiledCache(tmp_path).compiled(TEMPLATE)) == facts(FRESH)
    assert list(tmp_path.iterdir()) == []


def test_another_release_has_an_entry_of_its_own(folder: Path) -> None:
    CompiledCache(folder).compiled(read(STEPS.replace("feeds", "drives")))
    assert len(list(folder.iterdir())) == 2


def test_another_generator_has_an_entry_of_its_own(
    folder: Path, counted: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(cache_module, "generator_version", lambda: "00000000")
    CompiledCache(folder).compiled(TEMPLATE)
    assert counted == ["sample"]
    assert len(list(folder.iterdir())) == 2


def test_the_generators_version_hangs_on_every_module_that_decides_what_is_generated(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    read_files: list[str] = []
    read_bytes = Path.read_bytes

    def note(path: Path) -> bytes:
        read_files.append(path.name)
        return read_bytes(path)

    monkeypatch.setattr(Path, "read_bytes", note)
    compiling.generator_version.__wrapped__()
    # A mended stamp, solver, function or rounding must not meet a program that was made before it.
    for module in ("elimination.py", "program.py", "tape.py", "equations.py", "problem.py", "valves.py", "passive.py",
                   "evaluation.py", "preferred.py", "compiling.py", "rewiring.py", "values.py"):  # fmt: skip
        assert module in read_files


def write_and_read(folder: Path) -> str:
    """Compile into a shared folder again and again, as many servers starting at once would."""
    for _ in range(10):
        for entry in folder.glob("*.program"):
            entry.unlink(missing_ok=True)
        found = CompiledCache(folder).compiled(TEMPLATE)
        if facts(found) != facts(FRESH):
            return "another program"
    return "the same program"


def test_many_processes_may_write_at_once(tmp_path: Path) -> None:
    with multiprocessing.get_context("spawn").Pool(3) as pool:
        assert set(pool.map(write_and_read, [tmp_path] * 6)) == {"the same program"}
    entry = only_entry(tmp_path)
    head, _, body = entry.read_text(encoding="utf-8").partition("\n")
    assert head == hashlib.sha256(body.encode()).hexdigest()
    assert json.loads(body)["source"] == FRESH.source
