"""The house itself: commands documented, README true, nothing committed that should not be."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest
from click.testing import CliRunner

from tutor.cli import main

ROOT = Path(__file__).parent.parent


def tracked() -> list[Path]:
    try:
        listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, check=True).stdout.decode()
    except (OSError, subprocess.CalledProcessError):
        pytest.skip("this is no git checkout")
    return [ROOT / name for name in listed.split("\0") if name]


def texts() -> list[tuple[Path, str]]:
    binary = {".woff2", ".png", ".ico", ".eml"}
    return [
        (path, path.read_text(encoding="utf-8"))
        for path in tracked()
        if path.suffix not in binary and path.name != "axe.min.js" and path.is_file()
    ]


def test_the_top_level_holds_just_what_it_should() -> None:
    top = {path.relative_to(ROOT).parts[0] for path in tracked()}
    named = {name for name in top if not name.startswith(".")}
    assert named == {
        "README.md", "DEVELOPERS.md", "pyproject.toml", "tutor", "question_banks", "tests", "static", "LICENSE",
    }  # fmt: skip


def test_ci_runs_the_readmes_own_test_command() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    command = next(line for line in re.findall(r"```sh\n(.+?)\n```", readme) if "pytest" in line)
    assert command in (ROOT / ".ci" / "run").read_text(encoding="utf-8").splitlines()


def test_every_command_is_documented_in_the_readme_and_helps_itself() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    runner = CliRunner()
    listed = runner.invoke(main, ["--help"])
    assert listed.exit_code == 0
    import click

    context = click.Context(main)
    for name in main.list_commands(context):
        assert f"`quiescent {name}" in readme, name
        helped = runner.invoke(main, [name, "--help"])
        assert helped.exit_code == 0, name
        assert "Usage:" in helped.output


def test_the_readmes_circuit_gives_what_the_readme_prints(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    circuit = next(
        block for block in re.findall(r"```yaml\n(.+?)```", readme, re.DOTALL) if block.startswith("circuit:")
    )
    printed = next(
        block for block in re.findall(r"```console\n(.+?)```", readme, re.DOTALL) if "quiescent solve" in block
    )
    (tmp_path / "loaded-divider.yaml").write_text(circuit, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    result = CliRunner().invoke(main, ["solve", "loaded-divider.yaml"])
    shown = result.output.replace("\N{NO-BREAK SPACE}", " ")
    assert shown == printed.partition("\n")[2]


@pytest.mark.parametrize(
    ("what", "pattern"),
    [
        ("a path of a machine", r"(?<![\w.])/(?:work|root|home/[a-z]+|farm|tmp/bash)/"),
        ("a registry's address", r"https?://[\w.-]*(?:pypi|npmjs|debian)\.[\w./-]+"),
        ("left-over marks", r"\b(?:TODO|FIXME|XXX)\b"),
    ],
)
def test_nothing_committed_holds(what: str, pattern: str) -> None:
    own = Path(__file__)
    found = [
        f"{path.relative_to(ROOT)}: {match[0]}"
        for path, text in texts()
        if path != own
        for match in re.finditer(pattern, text)
    ]
    assert found == [], what


def test_text_is_never_evaluated_as_code() -> None:
    allowed = {Path("tutor/circuits/program.py")}  # our own generated source; see there
    for path, text in texts():
        where = path.relative_to(ROOT)
        if where.parts[0] != "tutor" or path.suffix != ".py" or where in allowed:
            continue
        assert not re.search(r"(?<![.\w])(?:eval|exec|sympify|parse_expr)\(", text), where
