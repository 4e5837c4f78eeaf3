"""`quiescent check`: proves templates, and says what to mend in those that fail."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from tutor.cli.printing import as_json_option, print_json

if TYPE_CHECKING:
    from tutor.errors import Fault
    from tutor.questions.checking import TemplateReport
    from tutor.questions.template import Template


@click.command()
@click.argument("places", nargs=-1, type=click.Path(exists=True, path_type=Path), metavar="[BANK or FILE…]")
@click.option(
    "--draws", default=200, show_default=True, type=click.IntRange(10, 1_000_000), help="Serials per template."
)
@click.option("--solutions", is_flag=True, help="Look at the automatic solutions instead, over 50 serials each.")
@as_json_option
def check(places: tuple[Path, ...], draws: int, solutions: bool, as_json: bool) -> None:
    """Prove every template of banks or files; exit 1 when one fails."""
    from tutor.questions.checking import check_template

    templates, faults = _read(places)
    if solutions:
        _check_solutions(templates, faults, as_json)
    reports = []
    for template in templates:
        report = check_template(template, draws)
        reports.append((template, report))
        if not as_json:
            _print_report(template, report)
    failed = [report for _, report in reports if not report.passed]
    if as_json:
        print_json(_data(reports, faults, draws))
    else:
        for fault in faults:
            click.echo(str(fault), err=True)
        click.echo(f"{len(reports)} templates, {draws} draws each: {len(failed)} fail, {len(faults)} faults in files")
    sys.exit(1 if failed or faults or not reports else 0)


def _check_solutions(templates: list[Template], faults: list[Fault], as_json: bool) -> None:
    """Print a table of all automatic solutions, and end."""
    from dataclasses import asdict

    from tutor.questions.checking.solutions import check_solutions

    reports = [check_solutions(template) for template in templates]
    if as_json:
        print_json({"templates": [asdict(report) | {"passed": report.passed} for report in reports]})
    else:
        click.echo(f"{'':<6} {'template':<34} {'steps':>5} {'own':>4}   asks: reasoned, by formula, changes")
    for report in () if as_json else reports:
        click.echo(
            f"{'ok' if report.passed else 'FAILS':<6} {report.template:<34} {report.most:>5} {report.own or '-':>4}   "
            f"{report.asks:>4}: {report.reasoned:>8}, {report.by_formula:>10}, {report.changes:>7}"
        )
        for finding in report.findings:
            click.echo(f"        {finding}", err=True)
    failed = sum(not report.passed for report in reports)
    if not as_json:
        for fault in faults:
            click.echo(str(fault), err=True)
        asks, reasoned = sum(r.asks for r in reports), sum(r.reasoned for r in reports)
        click.echo(f"{len(reports)} templates, {asks} asks, {reasoned} reasoned from the circuit: {failed} fail")
    sys.exit(1 if failed or faults or not reports else 0)


def _read(places: tuple[Path, ...]) -> tuple[list[Template], list[Fault]]:
    from tutor.bootstrap.places import banks_folder
    from tutor.errors import FaultyFileError
    from tutor.questions.bank import read_library, read_template_file

    templates: list[Template] = []
    faults: list[Fault] = []
    for place in places or (banks_folder(),):
        if place.is_dir():
            library = read_library([place])
            templates.extend(library.templates.values())
            faults.extend(library.faults)
            continue
        try:
            templates.append(read_template_file(place))
        except FaultyFileError as error:
            faults.extend(error.faults)
    return templates, faults


def _print_report(template: Template, report: TemplateReport) -> None:
    verdict = "proved" if report.passed else "FAILS "
    worst = min(report.slips.values(), default=1.0)
    click.echo(
        f"{verdict}  {report.template:<32} {report.distinct:>6} questions, {report.refused:>4.0%} refused, "
        f"slips told {worst:>4.0%}, {report.seconds:5.2f} s"
    )
    for fault in report.faults(template.line_of):
        click.echo(f"        {fault}", err=True)


def _data(reports: list[tuple[Template, TemplateReport]], faults: list[Fault], draws: int) -> dict[str, Any]:
    return {
        "draws": draws,
        "templates": [
            {
                "template": report.template,
                "release": report.release,
                "file": report.file,
                "proved": report.passed,
                "questions": report.distinct,
                "refused": round(report.refused, 4),
                "slips": {name: round(share, 4) for name, share in report.slips.items()},
                "findings": [
                    {"check": f.check, "key": f.key, "line": template.line_of(f.key), "message": f.message}
                    for f in report.findings
                ],
            }
            for template, report in reports
        ],
        "faults": [{"file": f.file, "line": f.line, "key": f.key, "message": f.message} for f in faults],
    }
