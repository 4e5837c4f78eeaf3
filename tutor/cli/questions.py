"""`quiescent draw` and `quiescent mark`: one template, its questions and their marks."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from tutor.cli.printing import as_json_option, print_json, rounded, tells_errors

if TYPE_CHECKING:
    from tutor.questions.compiling import Compiled
    from tutor.questions.question import DrawnAsk, Question


def compiled_template(name: str) -> Compiled:
    """Return the compiled template of a name of the shipped banks, or of a file.

    Raises:
        UnknownTemplateError: If there is neither; names near ones.
        FaultyFileError: With every fault of the file.
    """
    from tutor.bootstrap.places import banks_folder, cache_folder
    from tutor.questions.bank import CIRCUITS, COURSES, read_library, read_template_file
    from tutor.questions.cache import CompiledCache

    path = Path(name)
    if path.suffix not in (".yaml", ".yml"):
        # A file is called as its template: reading one is quicker than reading all.
        pattern = f"*/*/{path.name}.yaml" if path.name.replace("-", "").isalnum() else ""
        named = [p for p in banks_folder().glob(pattern or "-") if p.parent.name not in (CIRCUITS, COURSES)]
        path = named[0] if len(named) == 1 else path
    if path.suffix in (".yaml", ".yml"):
        template = read_template_file(path)
    else:
        template = read_library([banks_folder()]).template(name)
    return CompiledCache(cache_folder()).compiled(template)


@click.command()
@click.argument("template")
@click.option("--serial", required=True, help="The whole number that fixes the values.")
@click.option(
    "--count", default=1, show_default=True, type=click.IntRange(1, 100_000), help="How many serials on from there."
)
@as_json_option
@tells_errors
def draw(template: str, serial: str, count: int, as_json: bool) -> None:
    """Draw questions of a template."""
    from tutor.questions.draw import draw as draw_question
    from tutor.questions.lottery import read_serial

    compiled = compiled_template(template)
    first = read_serial(serial, compiled.template.name)
    questions = [draw_question(compiled, number) for number in range(first, first + count)]
    if as_json:
        print_json([question_data(question) for question in questions])
    else:
        for question in questions:
            _print_question(question)


def question_data(question: Question) -> dict[str, Any]:
    """Return a question in the shape that other programs rely on."""
    from tutor.questions.fragments import text_of

    return {
        "template": question.template,
        "release": question.release,
        "serial": question.serial,
        "givens": {
            given.name: {"value": rounded(given.value), "unit": given.unit, "shown": given.shown}
            for given in question.givens
        },
        "text": text_of(question.text),
        "asks": {ask.name: _ask_data(ask) for ask in question.asks},
        "hints": [text_of(hint) for hint in question.hints],
        "solution": [text_of(step) for step in question.solution],
        **_plot(question),
    }


def _plot(question: Question) -> dict[str, Any]:
    """Return the plot of a question that has one: in words, and its figures as tables."""
    from tutor.questions.fragments import plot_of

    if question.plot is None:
        return {}
    picture = plot_of(question, "plot")
    tables = [{"caption": one.caption, "headings": one.headings, "rows": one.rows} for one in picture.tables]
    return {"plot": {"words": picture.words, "tables": tables}}


def _ask_data(ask: DrawnAsk) -> dict[str, Any]:
    from tutor.questions.fragments import text_of

    data: dict[str, Any] = {
        "kind": ask.kind,
        "text": text_of(ask.text),
        "value": rounded(ask.value),
        "unit": ask.unit,
        "tolerance": ask.tolerance or None,
        "shown": ask.shown,
        "slips": {slip.name: rounded(slip.value) for slip in ask.slips},
    }
    if ask.kind == "fault":
        rows = ask.detail["readings"]
        data["meter"] = ask.detail["meter"]
        data["readings"] = [{k: row[k] for k in ("node", "words", "healthy", "found", "range")} for row in rows]
        data["suspects"] = {s["name"]: f"{s['part']} {s['fault']}" for s in ask.detail["suspects"]}
    if ask.kind == "formula":
        data["names"] = list(ask.detail["names"])
    if ask.options:
        data["options"] = {option.name: text_of(option.text) for option in ask.options}
    return data


def _print_question(question: Question) -> None:
    from tutor.questions.fragments import text_of

    click.echo(f"{question.title}   ({question.template}, release {question.release}, serial {question.serial})\n")
    click.echo(text_of(question.text))
    if question.givens:
        click.echo(f"\n  Given: {', '.join(f'{given.name} = {given.shown}' for given in question.givens)}")
    for ask in question.asks:
        click.echo(f"\n  {text_of(ask.text)}   [{ask.name}]")
        _print_readings(ask)
        for index, option in enumerate(ask.options):
            click.echo(f"    {chr(ord('A') + index)}  {text_of(option.text)}")
        click.echo(f"    key: {ask.shown}" + (f" ± {ask.tolerance}" if ask.tolerance else ""))
    for hint in question.hints:
        click.echo(f"\n  Hint: {text_of(hint)}")
    click.echo()
    for number, step in enumerate(question.solution, 1):
        click.echo(f"  {number}. {text_of(step)}")
    click.echo()


def _print_readings(ask: DrawnAsk) -> None:
    """Print the table of a fault: what was read, beside what a healthy chassis gives."""
    if ask.kind != "fault":
        return
    click.echo(f"    Read with {ask.detail['meter']}:")
    for row in ask.detail["readings"]:
        on = f" (range {row['range']})" if row["range"] else ""
        click.echo(f"    {row['words']:>24}  healthy {row['healthy']:>8}   found {row['found']:>8}{on}")
    click.echo(f"    Suspects: {', '.join(s['part'] + ' ' + s['fault'] for s in ask.detail['suspects'])}")


@click.command()
@click.argument("template")
@click.option("--serial", required=True, help="The whole number that fixes the values.")
@click.argument("answers", nargs=-1, metavar="name=answer…")
@as_json_option
@tells_errors
def mark(template: str, serial: str, answers: tuple[str, ...], as_json: bool) -> None:
    """Mark answers to a question."""
    from tutor.questions.draw import draw as draw_question
    from tutor.questions.lottery import read_serial
    from tutor.questions.marking import mark as mark_question

    compiled = compiled_template(template)
    question = draw_question(compiled, read_serial(serial, compiled.template.name))
    given = dict(_split(answer) for answer in answers)
    result = mark_question(question, given)
    if as_json:
        print_json({"marks": result.marks, "of": result.of, "asks": {n: _mark_data(m) for n, m in result.asks.items()}})
        return
    click.echo(f"{result.marks} of {result.of}")
    for name, ask_mark in result.asks.items():
        data = _mark_data(ask_mark)
        read = f", read as {ask_mark.read}" if ask_mark.read else ""
        click.echo(f"  {name}: {data['verdict']}{read}, {data['marks']} of {data['of']}. {data['says']}".rstrip())


def _split(answer: str) -> tuple[str, str]:
    name, equals, text = answer.partition("=")
    if not equals:
        raise click.UsageError(f"found {answer!r}; an answer is written name=answer, such as v_tap=68.2V")
    return name.strip(), text


def _mark_data(ask_mark: Any) -> dict[str, Any]:
    from tutor.questions.fragments import text_of

    read = None
    if ask_mark.value is not None:
        read = {"value": rounded(ask_mark.value), "unit": ask_mark.unit}
    return {
        "read": read,
        "verdict": ask_mark.verdict.value,
        "marks": ask_mark.marks,
        "of": ask_mark.of,
        "slip": ask_mark.slip or None,
        "says": text_of(ask_mark.says),
    }
