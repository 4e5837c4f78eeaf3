"""Drafts: begun, changed by one trainer at a time, undone, put into the trash."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from tutor.circuits.errors import CircuitError, did_you_mean
from tutor.circuits.source import LARGEST, parse_source
from tutor.errors import Fault, FaultyFileError
from tutor.learning.courses import Shelf
from tutor.learning.drafts import Draft, DraftVersion
from tutor.learning.errors import ClosedError, UnknownError
from tutor.learning.ports import Chance, Clock, Records, Work
from tutor.learning.records import Member, Role
from tutor.learning.workshop.errors import EditClashError, ImportRefusedError, RoleError
from tutor.questions.authoring.differences import differences
from tutor.questions.authoring.reading_drafts import Bench, Reading, read_bench, read_draft
from tutor.questions.authoring.writing import in_order, write_template
from tutor.questions.template import Template


@dataclass(frozen=True, slots=True)
class Drafting:
    """The use cases of making a template."""

    records: Records
    clock: Clock
    chance: Chance
    shelf: Shelf

    # -- beginning -----------------------------------------------------------------------------------------------------
    def begin(self, member: Member, title: str = "") -> Draft:
        """Begin a draft with nothing in it but a title."""
        return self._add(member, {"title": title, "level": "1"} if title else {"level": "1"}, "", "begun")

    def begin_with_circuit(self, member: Member, template: str, title: str = "") -> Draft:
        """Begin a draft with the circuit of a template on the shelf, and the values of its parts."""
        found = self.shelf.template(template)
        bound = {str(value) for part in found.parts.values() for value in part.values() if isinstance(value, str)}
        rules = found.data.get("values", {})
        data: dict[str, Any] = {"level": "1", "circuit": _plain(found.parts)}
        data["values"] = {name: rule for name, rule in rules.items() if name in found.parts or name in bound}
        data |= {key: found.data[key] for key in ("analysis", "frequency", "caution") if key in found.data}
        return self._add(
            member, data | ({"title": title} if title else {}), "", f"begun with the circuit of {found.title}"
        )

    def begin_from(self, member: Member, template: str) -> Draft:
        """Begin a draft as a copy of a template on the shelf; published, it takes that template's place."""
        found = self.shelf.template(template)
        return self._add(member, self.data_of(found), found.name, f"begun as a copy of {found.title}")

    @staticmethod
    def data_of(template: Template) -> dict[str, Any]:
        """Return a template's data with its circuit written out, as a draft holds it."""
        data = {key: _plain(value) for key, value in template.data.items() if key != "parts"}
        if isinstance(data.get("circuit"), str):
            data["circuit"] = _plain(template.parts)
        return data

    def take_in(self, member: Member, text: str, name: str = "the file") -> tuple[Draft, str]:
        """Take in a template file, whole or not at all.

        Returns:
            The draft, and a sentence when its key had to be changed, or "".
        Raises:
            ImportRefusedError: With every fault of the file.
        """
        try:
            source = parse_source(text, name)
        except FaultyFileError as error:
            raise ImportRefusedError(error.faults) from error
        reading = self._read_whole(source.data, name)
        if reading.template is None:
            raise ImportRefusedError(
                [Fault(name, source.lines.get(_path(f.key), 0), f.key, f.message) for f in reading.faults]
            )
        data = self.data_of(reading.template)
        wanted = reading.template.name
        data["template"] = self.free_name(wanted)
        says = ""
        if data["template"] != wanted:
            says = f"The key {wanted!r} is taken here, so this one is called {data['template']!r}."
        return self._add(member, data, "", f"taken in from {name}"), says

    def _read_whole(self, data: Any, name: str) -> Reading:
        if not isinstance(data, Mapping):
            return Reading(None, (Fault(name, 1, "", "a template file begins with `template:` and its name"),))
        return read_draft(data, self.circuit)

    def free_name(self, name: str) -> str:
        """Return a key that no template and no draft has: this one, or it with a number."""
        with self.records.look() as work:
            taken = {draft.name for draft in work.workshop.drafts()} | set(self.shelf.library.templates)
        tries = (name, *(f"{name[:56]}-{n}" for n in range(2, 1000)))
        return next(found for found in tries if found not in taken)

    def _add(self, member: Member, data: Mapping[str, Any], origin: str, says: str) -> Draft:
        now = self.clock.now()
        draft = Draft(
            id=self.chance.handle(),
            data=in_order(data),
            version=1,
            origin=origin,
            owner=member.id,
            made=now,
            changed=now,
            changed_by=member.id,
        )
        with self.records.work() as work:
            work.workshop.add(draft, says)
        return draft

    # -- looking -------------------------------------------------------------------------------------------------------
    def drafts(self) -> Sequence[Draft]:
        """Return the drafts in hand, the latest changed first."""
        with self.records.look() as work:
            return work.workshop.drafts()

    def draft(self, draft: str) -> Draft:
        """Return a draft; raises UnknownError for none, and for one in the trash."""
        with self.records.look() as work:
            found = work.workshop.draft(draft)
        if found is None or found.trashed is not None:
            raise UnknownError("draft", draft)
        return found

    def reading(self, draft: Draft) -> Reading:
        """Return the draft as its file would be read; its topic must be one of the shelf's."""
        reading = read_draft(draft.data, self.circuit, "workshop")
        topic = str(draft.data.get("topic") or "")
        topics = self.shelf.library.topics
        if topic and topic not in topics:
            near = did_you_mean(topic, topics)
            fault = Fault("", 0, "topic", f"nobody defined the topic {topic!r}{near}; there are {', '.join(topics)}")
            return Reading(None, (*reading.faults, fault))
        return reading

    def bench(self, draft: Draft) -> Bench:
        """Return the draft's circuit as it was read, with what is wrong at each row."""
        return read_bench(draft.data, self.circuit)

    def circuit(self, name: str) -> Mapping[str, Any]:
        """Return the parts of a circuit that a template on the shelf shares; raises CircuitError."""
        for template in self.shelf.library.templates.values():
            if template.data.get("circuit") == name:
                return template.parts
        raise CircuitError(f"there is no circuit {name!r} here; the file has to hold the parts themselves")

    def history(self, draft: str) -> Sequence[DraftVersion]:
        """Return a draft's versions, the latest first."""
        with self.records.look() as work:
            return work.workshop.versions(draft)

    # -- changing ------------------------------------------------------------------------------------------------------
    def save(self, member: Member, draft: str, version: int, data: Mapping[str, Any], says: str) -> Draft:
        """Store a change; nothing is stored where nothing changed.

        Args:
            member: Who makes it.
            draft: The draft.
            version: The version that the change was made on.
            data: The draft's data from now on.
            says: What was done, in a few words.
        Raises:
            EditClashError: If somebody has changed the draft since that version.
            ClosedError: If it grew beyond what a file may hold.
        """
        plain = in_order(data)
        if len(write_template(plain)) > LARGEST:
            raise ClosedError(f"A template holds {LARGEST // 1024} KiB at the most; this one is larger.")
        with self.records.work() as work:
            now = self._now(work, draft)
            if now.version == version and _same(now.data, plain):
                return now
            return self._change(work, member, now, version, plain, says, version)

    def _now(self, work: Work, draft: str) -> Draft:
        found = work.workshop.draft(draft)
        if found is None or found.trashed is not None:
            raise UnknownError("draft", draft)
        return found

    def _change(
        self, work: Work, member: Member, now: Draft, version: int, data: Mapping[str, Any], says: str, parent: int
    ) -> Draft:
        at = self.clock.now()
        if not work.workshop.change(now.id, version, data, by=member.id, at=at, says=says, parent=parent):
            before = work.workshop.version(now.id, version)
            raise EditClashError(now, differences(before.data if before else {}, now.data))
        return self._now(work, now.id)

    def undo(self, member: Member, draft: str, version: int) -> Draft:
        """Take back the last change; again, the one before it. What was taken back stays in the history."""
        with self.records.work() as work:
            now = self._now(work, draft)
            current = work.workshop.version(draft, now.version)
            target = work.workshop.version(draft, current.parent) if current is not None else None
            if target is None:
                raise ClosedError("There is nothing left to undo.")
            return self._change(
                work, member, now, version, target.data, f"undone: {_undone(work, draft, now)}", target.parent
            )

    def bring_back(self, member: Member, draft: str, version: int, wanted: int) -> Draft:
        """Make a version of the history the present one."""
        with self.records.work() as work:
            now = self._now(work, draft)
            target = work.workshop.version(draft, wanted)
            if target is None:
                raise UnknownError("version", str(wanted))
            return self._change(work, member, now, version, target.data, f"brought back version {wanted}", version)

    # -- trash ---------------------------------------------------------------------------------------------------------
    def trash(self) -> Sequence[Draft]:
        """Return the drafts in the trash."""
        with self.records.look() as work:
            return work.workshop.drafts(trashed=True)

    def put_into_trash(self, draft: str) -> None:
        """Put a draft into the trash; releases made of it stay."""
        self.draft(draft)
        with self.records.work() as work:
            work.workshop.put_into_trash(draft, self.clock.now())

    def take_out_of_trash(self, draft: str) -> None:
        """Take a draft out of the trash."""
        with self.records.work() as work:
            work.workshop.put_into_trash(draft, None)

    def empty_trash(self, member: Member) -> int:
        """Delete what is in the trash for good; only the organiser may.

        Raises:
            RoleError: For anybody else.
        """
        if member.role is not Role.ORGANISER:
            raise RoleError("Only the organiser empties the trash.")
        with self.records.work() as work:
            return work.workshop.empty_trash()


def _undone(work: Work, draft: str, now: Draft) -> str:
    current = work.workshop.version(draft, now.version)
    return current.says.removeprefix("undone: ") if current is not None else ""


def _same(a: Mapping[str, Any], b: Mapping[str, Any]) -> bool:
    # The order of asks and values counts, and mappings do not compare it.
    return write_template(a) == write_template(b)


def _path(key: str) -> tuple[str | int, ...]:
    return tuple(key.split("."))


def _plain(data: Any) -> Any:
    if isinstance(data, Mapping):
        return {str(key): _plain(value) for key, value in data.items()}
    return [_plain(item) for item in data] if isinstance(data, list | tuple) else str(data)
