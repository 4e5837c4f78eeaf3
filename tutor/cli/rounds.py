"""`quiescent round`: rounds by mail and paper from the command line."""

from __future__ import annotations

import time
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import click

from tutor.cli.club import data_option
from tutor.cli.printing import as_json_option, print_json, tells_errors


@click.group("round")
def round_() -> None:
    """Send rounds by mail and paper, and read what comes back."""


@round_.command("address")
@click.argument("sign_in")
@click.argument("email", default="")
@click.option("--by", default=None, type=click.Choice(["mail", "paper", "none"]), help="How rounds reach them.")
@data_option
@tells_errors
def address(sign_in: str, email: str, by: str | None, data: Path) -> None:
    """Note a member's mail address."""
    from tutor.bootstrap.site import open_folder
    from tutor.learning.errors import UnknownError
    from tutor.learning.round_records import By

    club, _ = open_folder(data)
    with club.records.look() as work:
        member = work.people.by_sign_in(sign_in)
    if member is None:
        raise UnknownError("member", sign_in)
    noted = club.rounds.addresses.put(member.id, email, By(by) if by else By.MAIL if email else By.PAPER)
    click.echo(f"{member.name}: {noted.email or 'no address'}, by {noted.by.value}")


@round_.command("make")
@click.argument("title")
@click.option("--lesson", default="", help="The lesson whose topics it is about.")
@click.option("--topic", "topics", multiple=True, help="A topic; may be given several times.")
@click.option("--questions", default=3, show_default=True, type=click.IntRange(1, 12))
@click.option(
    "--days", default=14, show_default=True, type=click.IntRange(0, 365), help="Until it closes; 0 for never."
)
@click.option("--common", is_flag=True, help="The same values for everybody.")
@click.option("--note", default="", help="A word for the head of the paper.")
@click.option("--member", "members", multiple=True, help="Sign-in name; everybody who gets rounds when left out.")
@click.option("--group", "groups", multiple=True, help="Name of a group.")
@data_option
@tells_errors
def make(
    title: str, lesson: str, topics: tuple[str, ...], questions: int, days: int, common: bool, note: str,
    members: tuple[str, ...], groups: tuple[str, ...], data: Path,
) -> None:  # fmt: skip
    """Make a round."""
    from tutor.bootstrap.site import open_folder
    from tutor.learning.rounds.making import RoundPlan

    club, _ = open_folder(data)
    made = club.rounds.making.make(
        RoundPlan(
            title=title,
            lesson=lesson,
            topics=topics,
            questions=questions,
            closes=club.clock.now() + timedelta(days=days) if days else None,
            common=common,
            note=note,
            members=_members(club, members, everybody=not groups),
            groups=_groups(club, groups),
        )
    )
    click.echo(f"{made.id}   {made.title}: {len(club.rounds.making.sheets(made.id))} papers")


def _members(club: Any, names: tuple[str, ...], *, everybody: bool) -> tuple[int, ...]:
    from tutor.learning.errors import UnknownError
    from tutor.learning.round_records import By

    if not names:
        reached = [member.id for member, found in club.rounds.addresses.everybody() if found.by is not By.NONE]
        return tuple(reached) if everybody else ()
    with club.records.look() as work:
        found = {name: work.people.by_sign_in(name) for name in names}
    for name, member in found.items():
        if member is None:
            raise UnknownError("member", name)
    return tuple(member.id for member in found.values())


def _groups(club: Any, names: tuple[str, ...]) -> tuple[int, ...]:
    from tutor.learning.errors import UnknownError

    with club.records.look() as work:
        known = {group.name: group.id for group in work.people.groups()}
    for name in names:
        if name not in known:
            raise UnknownError("group", name, tuple(known))
    return tuple(known[name] for name in names)


@round_.command("list")
@data_option
@as_json_option
@tells_errors
def list_rounds(data: Path, as_json: bool) -> None:
    """List the rounds."""
    from tutor.bootstrap.site import open_folder

    club, _ = open_folder(data)
    rows = [
        {"round": one.id, "title": one.title, "made": one.made.isoformat(), "closes": _iso(one.closes)}
        for one in club.rounds.making.all()
    ]
    if as_json:
        print_json(rows)
        return
    for row in rows:
        click.echo(f"{row['round']:<18} {(row['made'] or '')[:10]}  {row['title']}")


def _iso(time_: datetime | None) -> str | None:
    return time_.isoformat() if time_ else None


@round_.command("show")
@click.argument("round_id")
@data_option
@tells_errors
def show(round_id: str, data: Path) -> None:
    """Print the overview of a round as CSV."""
    from tutor.bootstrap.site import open_folder
    from tutor.learning.rounds.overview import as_csv

    club, _ = open_folder(data)
    click.echo(as_csv(club.rounds.overviews.of(round_id)), nl=False)


@round_.command("send")
@click.argument("round_id")
@click.option("--remind", is_flag=True, help="Reminders of open papers, not the papers themselves.")
@click.option("--marks", is_flag=True, help="Approve all drafts of letters with marks.")
@click.option("--eml", type=click.Path(file_okay=False, path_type=Path), help="Write files into this folder instead.")
@click.option("--mbox", type=click.Path(dir_okay=False, path_type=Path), help="Write one mbox file instead.")
@data_option
@tells_errors
def send(round_id: str, remind: bool, marks: bool, eml: Path | None, mbox: Path | None, data: Path) -> None:
    """Queue letters; the next turn of `round post` sends them."""
    from tutor.bootstrap.site import open_folder
    from tutor.learning.round_records import LetterKind
    from tutor.post.files import write_eml, write_mbox
    from tutor.post.writing import NOBODY

    club, settings = open_folder(data)
    rounds = club.rounds
    kind = LetterKind.REMINDER if remind else LetterKind.MARKS if marks else LetterKind.PAPER
    queue = {
        LetterKind.PAPER: rounds.outbox.queue_papers,
        LetterKind.REMINDER: rounds.outbox.queue_reminders,
        LetterKind.MARKS: rounds.answering.approve_all,
    }[kind]
    count = queue(round_id)
    if eml is None and mbox is None:
        click.echo(f"{count} queued")
        return
    messages = rounds.outbox.messages(round_id, kind)
    if eml is not None:
        write_eml(eml, messages)
    if mbox is not None:
        write_mbox(mbox, messages, settings.mail.address or NOBODY)
    click.echo(f"{len(messages)} written")


@round_.command("post")
@click.option("--watch", type=click.IntRange(5, 86400), help="Go on for ever, with this many seconds between turns.")
@data_option
@as_json_option
@tells_errors
def post(watch: int | None, data: Path, as_json: bool) -> None:
    """Send what is queued over SMTP, and take in what arrived over IMAP."""
    from dataclasses import asdict

    from tutor.bootstrap.post import post_turn
    from tutor.bootstrap.site import open_folder

    club, settings = open_folder(data)
    while True:
        sent, received = post_turn(club.rounds, settings.mail, data)
        if as_json:
            print_json({"sent": asdict(sent), "received": asdict(received)})
        else:
            click.echo(
                f"sent {sent.sent}, failed {sent.failed}, put off {sent.put_off}, unsure {sent.unsure}; "
                f"taken in {received.taken}: marked {received.marked}, for a person {received.queued}, "
                f"others {received.others}"
            )
        if sent.trouble:
            click.echo(sent.trouble, err=True)
        if watch is None:
            return
        time.sleep(watch)


@round_.command("read")
@click.argument("files", nargs=-1, required=True, type=click.Path(exists=True, path_type=Path))
@data_option
@tells_errors
def read(files: tuple[Path, ...], data: Path) -> None:
    """Take in replies from .eml files, mbox files, or Maildirs."""
    from tutor.bootstrap.post import at_work
    from tutor.bootstrap.site import open_folder
    from tutor.post.files import messages_in

    club, _ = open_folder(data)
    receiving = club.rounds.receiving
    with at_work(data):
        taken = sum(receiving.take(raw, f.name) is not None for f in files for raw in messages_in(f))
        done = receiving.process()
    click.echo(f"taken in {taken}: marked {done.marked}, for a person {done.queued}, others {done.others}")


@round_.command("sheets")
@click.argument("round_id")
@click.argument("out", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--kind", default="papers", show_default=True, type=click.Choice(["papers", "common", "key", "marks"]))
@click.option("--size", default="A4", show_default=True, type=click.Choice(["A4", "letter"]))
@click.option("--large", is_flag=True, help="Large print.")
@data_option
@tells_errors
def sheets(round_id: str, out: Path, kind: str, size: str, large: bool, data: Path) -> None:
    """Write sheets for printing: as PDF, or as HTML when the file is called so."""
    from tutor.bootstrap.site import open_folder
    from tutor.learning.ports.post import PageSize, SheetForm, SheetKind

    club, _ = open_folder(data)
    form = SheetForm(SheetKind(kind), PageSize(size), large)
    papers = club.rounds.making.sheets(round_id)
    if out.suffix.lower() in (".html", ".htm"):
        out.write_text(club.rounds.writer.sheets(papers, form), encoding="utf-8")
    else:
        out.write_bytes(club.rounds.writer.pdf(papers, form))
    click.echo(f"{out}: {len(papers)} papers")
