"""History and releases: who changed what, the file as text, withdrawing, marking anew."""

from __future__ import annotations

from flask import Response as FlaskResponse
from flask import flash, redirect, render_template, url_for

from tutor.circuits.source import parse_source
from tutor.errors import FaultyFileError
from tutor.learning.errors import ClosedError
from tutor.learning.workshop.errors import EditClashError
from tutor.questions.authoring.differences import differences
from tutor.questions.authoring.writing import write_template
from tutor.web.access import member, trainers_only
from tutor.web.club import the_club
from tutor.web.forms import ButtonForm
from tutor.web.views import mark_views
from tutor.web.workshop.blueprint import Answer, clash, names, pages, save, show, typed, version_seen

MOST_SHOWN = 200


@pages.get("/drafts/<draft>/history")
@trainers_only
def history(draft: str) -> Answer:
    """Show every version with what changed in it, the latest first."""
    drafting = the_club().workshop.drafting
    found = drafting.draft(draft)
    versions = list(drafting.history(draft))[:MOST_SHOWN]
    before = {version.version: version.data for version in versions}
    told = [(v, differences(before.get(v.version - 1, {}), v.data) if v.version > 1 else ()) for v in versions]
    return show("history.html", found, told=told, names=names())


@pages.post("/drafts/<draft>/history/<int:version>")
@trainers_only
def bring_back(draft: str, version: int) -> Answer:
    """Make a version of the history the present one."""
    try:
        the_club().workshop.drafting.bring_back(member(), draft, version_seen(), version)
    except EditClashError as error:
        return clash(error)
    flash(f"Version {version} is the present one again.")
    return redirect(url_for("workshop.history", draft=draft), 303)


# -- the file as text --------------------------------------------------------------------------------------------------
@pages.get("/drafts/<draft>/file")
@trainers_only
def file(draft: str) -> Answer:
    """Show the template's file as text, for what the forms do not reach."""
    found = the_club().workshop.drafting.draft(draft)
    return show("file.html", found, text=write_template(found.data), faults=())


@pages.post("/drafts/<draft>/file")
@trainers_only
def change_file(draft: str) -> Answer:
    """Keep the text, if it is a file at all; what it says may still be faulty."""
    found = the_club().workshop.drafting.draft(draft)
    text = typed("text", 300_000).replace("\r\n", "\n")
    try:
        source = parse_source(text, "the text")
    except FaultyFileError as error:
        return show("file.html", found, 422, text=text, faults=[str(fault) for fault in error.faults])
    if not isinstance(source.data, dict):
        return show(
            "file.html", found, 422, text=text, faults=["A template file begins with `template:` and its name."]
        )
    return save(draft, source.data, "the file's text changed", "workshop.file")


@pages.get("/drafts/<draft>/file.yaml")
@trainers_only
def export(draft: str) -> FlaskResponse:
    """Give the template's file."""
    found = the_club().workshop.drafting.draft(draft)
    return _file(write_template(found.data), found.name or "draft")


@pages.get("/releases/<int:number>/file.yaml")
@trainers_only
def release_file(number: int) -> FlaskResponse:
    """Give the file of a release, byte for byte as it was published."""
    release = the_club().workshop.publishing.release(number)
    return _file(release.file, release.name)


def _file(text: str, name: str) -> FlaskResponse:
    answer = FlaskResponse(text.encode(), mimetype="application/yaml")
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}.yaml"'
    return answer


# -- releases ----------------------------------------------------------------------------------------------------------
@pages.get("/drafts/<draft>/releases")
@trainers_only
def releases(draft: str) -> Answer:
    """Show what was published of a draft."""
    workshop = the_club().workshop
    found = workshop.drafting.draft(draft)
    made = workshop.publishing.releases(found)
    live = {release.id for release in workshop.publishing.live()}
    return show("releases.html", found, releases=made, live=live, names=names())


@pages.post("/releases/<int:number>/withdraw")
@trainers_only
def withdraw(number: int) -> Answer:
    """Take a template off the shelf."""
    publishing = the_club().workshop.publishing
    release = publishing.release(number)
    publishing.withdraw(release.name)
    flash("Withdrawn: nobody is asked it any more. What was issued can still be answered.")
    return redirect(url_for("workshop.front"), 303)


# -- marking anew ------------------------------------------------------------------------------------------------------
@pages.get("/releases/<int:number>/marks")
@trainers_only
def remark_list(number: int) -> str:
    """Show every mark that this release would change, by member; nothing is changed."""
    return _remark_page(number)


def _remark_page(number: int, says: str = "") -> str:
    workshop = the_club().workshop
    release = workshop.publishing.release(number)
    plan = workshop.remarking.plan(release)
    people = names()
    lines = [
        (
            people.get(change.issue.member, "somebody"),
            change,
            mark_views(change.attempt.mark.asks),
            mark_views(change.mark.asks),
        )
        for change in plan.changes
    ]
    lines.sort(key=lambda line: line[0])
    return render_template(
        "workshop/remark.html", release=release, plan=plan, lines=lines, says=says, form=ButtonForm(), shown=MOST_SHOWN
    )


@pages.post("/releases/<int:number>/marks")
@trainers_only
def remark(number: int) -> Answer:
    """Change the marks that were listed."""
    workshop = the_club().workshop
    release = workshop.publishing.release(number)
    expected = typed("expected", 9)
    try:
        plan = workshop.remarking.apply(member(), release, int(expected) if expected.isdigit() else -1)
    except ClosedError as error:
        return _remark_page(number, str(error)), 409
    flash(f"Marks changed: {len(plan.changes)}, of {len(plan.members)} members. The old marks are kept.")
    return redirect(url_for("workshop.remark_list", number=number), 303)
