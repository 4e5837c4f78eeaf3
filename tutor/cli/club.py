"""`quiescent serve`, `demo` and `members`: a club's site and its people."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from tutor.cli.printing import as_json_option, print_json, tells_errors

if TYPE_CHECKING:
    from flask import Flask

data_option = click.option(
    "--data",
    required=True,
    type=click.Path(file_okay=False, path_type=Path),
    help="The club's data folder; made if it is not there.",
)


@click.command()
@data_option
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to listen on.")
@click.option("--port", default=8080, show_default=True, type=click.IntRange(1, 65535))
@click.option("--threads", default=8, show_default=True, type=click.IntRange(1, 256), help="Requests served at once.")
@tells_errors
def serve(data: Path, host: str, port: int, threads: int) -> None:
    """Serve a club from its data folder."""
    from tutor.bootstrap.post import start_postman
    from tutor.bootstrap.site import open_folder, site_of

    club, settings = open_folder(data)
    for fault in club.shelf.faults:
        click.echo(f"left out: {fault}", err=True)
    start_postman(club.rounds, settings.mail, data)
    _serve(site_of(club, settings, data), host, port, threads)


def _serve(site: Flask, host: str, port: int, threads: int) -> None:
    from waitress.server import create_server

    try:
        server = create_server(site, host=host, port=port, threads=threads, ident=None)
    except OSError as error:
        raise click.ClickException(
            f"port {port} of {host} cannot be opened ({error.strerror}); choose another"
        ) from error
    click.echo(f"Serving on http://{'localhost' if host == '127.0.0.1' else host}:{port}/   (Ctrl-C ends it)")
    sys.stdout.flush()
    try:
        server.run()
    finally:
        server.close()


@click.command()
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to listen on.")
@click.option("--port", default=8080, show_default=True, type=click.IntRange(1, 65535))
@click.option(
    "--folder", type=click.Path(file_okay=False, path_type=Path), help="Keep the club here, not in a temporary folder."
)
@click.option("--only-make", is_flag=True, help="Make the club and do not serve it.")
@tells_errors
def demo(host: str, port: int, folder: Path | None, only_make: bool) -> None:
    """Make a fictional club with members, lessons and history, and serve it."""
    with tempfile.TemporaryDirectory(prefix="quiescent-demo-") as temporary:
        place = folder or Path(temporary)
        site = _make_demo(place)
        if not only_make:
            _serve(site, host, port, 8)


def _make_demo(folder: Path) -> Flask:
    from tutor.bootstrap.demo import PASSWORD, make_demo
    from tutor.bootstrap.site import open_folder, site_of

    click.echo("Making the Harbour Lane Valve Society …")
    people = make_demo(folder)
    club, settings = open_folder(folder)
    click.echo(f"\nEverybody's password is: {PASSWORD}\n")
    for person in people:
        click.echo(f"  {person.sign_in:<14} {person.name:<22} {person.role.value}")
    click.echo()
    return site_of(club, settings, folder)


@click.group()
def members() -> None:
    """Keep a club's members."""


@members.command("add")
@click.argument("sign_in")
@click.option("--name", required=True, help="As they are called.")
@click.option("--role", default="member", show_default=True, type=click.Choice(["member", "trainer", "organiser"]))
@data_option
@tells_errors
def add(sign_in: str, name: str, role: str, data: Path) -> None:
    """Make an account; the password is asked for, or read from the first line of standard input."""
    from tutor.bootstrap.site import open_folder
    from tutor.learning.records import Role

    club, _ = open_folder(data)
    if sys.stdin.isatty():
        password = click.prompt("Password", hide_input=True, confirmation_prompt=True)
    else:
        password = sys.stdin.readline().rstrip("\n")
    member = club.membership.add(sign_in, name, password, Role(role))
    click.echo(f"{member.name} signs in as {member.sign_in} ({member.role.value})")


@members.command("code")
@click.option("--role", default="member", show_default=True, type=click.Choice(["member", "trainer", "organiser"]))
@click.option("--uses", default=1, show_default=True, type=click.IntRange(1, 1000), help="How many may join with it.")
@click.option(
    "--days", default=30, show_default=True, type=click.IntRange(1, 365), help="For how many days it is good."
)
@data_option
@tells_errors
def code(role: str, uses: int, days: int, data: Path) -> None:
    """Make a join code."""
    from tutor.bootstrap.site import open_folder
    from tutor.learning.records import Role

    club, _ = open_folder(data)
    made = club.membership.make_code(Role(role), uses, days)
    click.echo(f"{made.code}   {made.role.value}, {made.uses} uses, until {made.expires:%Y-%m-%d}")


@members.command("list")
@data_option
@as_json_option
@tells_errors
def list_members(data: Path, as_json: bool) -> None:
    """List everybody."""
    from tutor.bootstrap.site import open_folder

    club, _ = open_folder(data)
    with club.records.look() as work:
        everybody = list(work.people.everybody())
    rows: list[dict[str, Any]] = [
        {"sign_in": m.sign_in, "name": m.name, "role": m.role.value, "joined": m.joined.isoformat()} for m in everybody
    ]
    if as_json:
        print_json(rows)
        return
    for row in rows:
        click.echo(f"{row['sign_in']:<20} {row['name']:<30} {row['role']}")


@members.command("export")
@click.argument("sign_in")
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@data_option
@tells_errors
def export(sign_in: str, file: Path, data: Path) -> None:
    """Write everything that the records hold about a member to FILE, a ZIP of JSON."""
    from tutor.bootstrap.personal import export_member

    rows = export_member(data, sign_in, file)
    click.echo(f"{file}: {rows} rows.")


@members.command("erase")
@click.argument("sign_in")
@click.option("--yes", is_flag=True, help="Do not ask.")
@data_option
@tells_errors
def erase(sign_in: str, yes: bool, data: Path) -> None:
    """Delete a member and all that is theirs: account, answers, tests, standings, notes. Best with the site stopped."""
    from tutor.bootstrap.personal import erase_member

    if not yes:
        click.confirm(f"Delete {sign_in} and everything of theirs, for good?", abort=True)
    anew = erase_member(data, sign_in)
    click.echo(f"{sign_in} is erased. Backups made before still hold them; delete those when they are due.")
    if not anew:
        click.echo("The standings of others were left as they are, for they do not all follow from the evidence.")
