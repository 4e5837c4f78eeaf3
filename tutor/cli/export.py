"""`quiescent export …`: what leaves the installation as files."""

from __future__ import annotations

from pathlib import Path

import click

from tutor.cli.printing import as_json_option, print_json, tells_errors


@click.group()
def export() -> None:
    """Write things out as files."""


@export.command()
@click.argument("folder", type=click.Path(file_okay=False, path_type=Path))
@click.option("--serial", default=3, show_default=True, help="The serial whose values the drawings show.")
@as_json_option
@tells_errors
def drawings(folder: Path, serial: int, as_json: bool) -> None:
    """Write contact sheets of every shipped circuit and plot: light, dark and print."""
    from tutor.bootstrap.contact_sheets import drawings as shipped
    from tutor.bootstrap.contact_sheets import write_contact_sheets
    from tutor.bootstrap.places import cache_folder
    from tutor.questions.cache import CompiledCache

    sheets = list(shipped(serial, CompiledCache(cache_folder())))
    try:
        pages = write_contact_sheets(folder, sheets)
    except OSError as error:
        raise click.ClickException(f"{folder}: it cannot be written to ({error.strerror}); give another") from error
    faulty = {f"{sheet.template}, {sheet.kind}": list(sheet.faults) for sheet in sheets if sheet.faults}
    if as_json:
        print_json({"drawings": len(sheets), "pages": [str(page) for page in pages], "faults": faulty})
        return
    for name, faults in faulty.items():
        click.echo(f"{name}: {'; '.join(faults)}")
    for page in pages:
        click.echo(page)
    click.echo(f"{len(sheets)} drawings, {len(faulty)} with a flaw")
