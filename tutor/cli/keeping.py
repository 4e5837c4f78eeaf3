"""`quiescent backup`, `restore` and `doctor`: keeping a club's records."""

from __future__ import annotations

from pathlib import Path

import click

from tutor.cli.club import data_option
from tutor.cli.printing import tells_errors


@click.command()
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@data_option
@tells_errors
def backup(file: Path, data: Path) -> None:
    """Write all records to FILE, while the site goes on."""
    from tutor.bootstrap.keeping import back_up

    manifest = back_up(data, file)
    rows = sum(manifest.counts.values())
    click.echo(f"{file}: {rows} rows in {len(manifest.counts)} tables, schema {manifest.revision}.")


@click.command()
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@data_option
@tells_errors
def restore(file: Path, data: Path) -> None:
    """Take the records of FILE back; the site must be stopped. The present records are kept under another name."""
    from tutor.bootstrap.keeping import take_back

    manifest, former = take_back(file, data)
    click.echo(f"Restored {sum(manifest.counts.values())} rows as of {manifest.made}.")
    if former is not None:
        click.echo(f"What was there before is kept as {former.name}.")


@click.command()
@data_option
@tells_errors
def doctor(data: Path) -> None:
    """Check the records against themselves: marks, standings, tests. Changes nothing; exit code 1 on any finding."""
    from tutor.bootstrap.keeping import look_over

    count = 0
    for finding in look_over(data):
        count += 1
        click.echo(f"{finding.about}: {finding.says}")
    if count:
        raise click.ClickException(f"{count} {'thing does' if count == 1 else 'things do'} not agree")
    click.echo("Everything agrees with everything.")
