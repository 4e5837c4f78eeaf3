"""Releases: what is proved is frozen and put on the shelf; withdrawn, it is taken off again."""

from __future__ import annotations

import logging
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

from tutor.learning.courses import Shelf
from tutor.learning.drafts import Draft, Release
from tutor.learning.errors import UnknownError
from tutor.learning.ports import Clock, Records
from tutor.learning.records import Member
from tutor.learning.workshop.drafting import Drafting
from tutor.learning.workshop.errors import NameTakenError, NotProvedError
from tutor.learning.workshop.proving import Proving
from tutor.questions.authoring.differences import differences
from tutor.questions.authoring.reading_drafts import read_draft
from tutor.questions.authoring.writing import in_order, write_template
from tutor.questions.template import Template

_log = logging.getLogger(__name__)


@dataclass(slots=True)
class _Stamp:
    """What of the records stands on the shelf."""

    seen: str = ""
    looked: datetime | None = None


@dataclass(frozen=True, slots=True)
class Publishing:
    """The use cases of releases."""

    records: Records
    clock: Clock
    shelf: Shelf
    drafting: Drafting
    proving: Proving
    _stamp: _Stamp = field(default_factory=_Stamp)

    def obstacles(self, draft: Draft) -> tuple[str, ...]:
        """Return what stands in the way of publishing, one line each; empty when nothing does."""
        reading = self.drafting.reading(draft)
        if reading.template is None:
            return tuple(f"{fault.key}: {fault.message}" if fault.key else fault.message for fault in reading.faults)
        kept = self.proving.kept(reading.template)
        if kept is None:
            return ("It was not proved yet.",)
        if kept.proof is None:
            return ("The proof is not finished.",)
        if not kept.proof.passed:
            return tuple(f"{key}: {says}" if key else says for _, key, says in kept.proof.findings)
        return ()

    def publish(self, member: Member, draft: str, version: int) -> Release:
        """Freeze a draft as a release and put it on the shelf.

        Args:
            member: Who publishes.
            draft: The draft.
            version: The version that was looked at; another one is not published unseen.
        Raises:
            NotProvedError: If its very release is not proved; says what to mend.
            NameTakenError: If its key is another template's.
        """
        found = self.drafting.draft(draft)
        if found.version != version:
            raise NotProvedError(["The draft has changed since this page was made; look at it again."])
        obstacles = self.obstacles(found)
        template = self.drafting.reading(found).template
        if obstacles or template is None:
            raise NotProvedError(obstacles)
        proof = self.proving.proof(template)
        assert proof is not None
        with self.records.work() as work:
            earlier = work.workshop.releases(template.name)
            self._refuse_taken_name(found, template, earlier)
            release = Release(
                id=0,
                draft=found.id,
                name=template.name,
                release=template.release,
                data=in_order(found.data),
                file=write_template(found.data),
                by=member.id,
                at=self.clock.now(),
                says=self._says(found, template, earlier),
                proof=proof,
            )
            work.workshop.publish(release)
            stored = work.workshop.releases(template.name)[0]
        self.put_on_shelf()
        return stored

    def _refuse_taken_name(self, draft: Draft, template: Template, earlier: Sequence[Release]) -> None:
        own = any(release.draft == draft.id for release in earlier) or draft.origin == template.name
        if not own and (template.name in self.shelf.library.templates or earlier):
            raise NameTakenError(template.name, self.drafting.free_name(f"{template.name}-2"))

    def _says(self, draft: Draft, template: Template, earlier: Sequence[Release]) -> tuple[str, ...]:
        if earlier:
            return differences(earlier[0].data, draft.data) or ("Nothing changed.",)
        before = self.shelf.library.templates.get(template.name)
        if before is not None:
            return differences(in_order(Drafting.data_of(before)), draft.data) or ("Nothing changed.",)
        return ("The first release.",)

    def releases(self, draft: Draft) -> Sequence[Release]:
        """Return the releases made of a draft, the latest first."""
        with self.records.look() as work:
            return work.workshop.releases(draft=draft.id)

    def release(self, number: int) -> Release:
        """Return a release by its number; raises UnknownError."""
        with self.records.look() as work:
            found = next((release for release in work.workshop.releases() if release.id == number), None)
        if found is None:
            raise UnknownError("release", str(number))
        return found

    def live(self) -> Sequence[Release]:
        """Return what of the workshop stands on the shelf."""
        with self.records.look() as work:
            return work.workshop.live()

    def withdraw(self, name: str) -> None:
        """Take a template's releases off the shelf; what was issued of them can be answered and marked for ever."""
        with self.records.work() as work:
            work.workshop.withdraw(name, self.clock.now())
        self.put_on_shelf()

    def template_of(self, release: Release) -> Template | None:
        """Return a release as a template; None, with a line in the log, where this program can no longer read it."""
        reading = read_draft(release.data, self.drafting.circuit, "workshop")
        if reading.template is None:
            _log.error("release %s of %s cannot be read: %s", release.release, release.name, reading.faults)
            return None
        return replace(reading.template, file=f"workshop/{release.name}")

    def put_on_shelf(self) -> None:
        """Put every release on the shelf, in the place of bank templates of the same name."""
        with self.records.look() as work:
            self._stamp.seen = work.workshop.stamp()
            live = work.workshop.live()
        templates = {release.name: self.template_of(release) for release in live}
        self.shelf.arrange({name: template for name, template in templates.items() if template is not None})

    def keep_up(self, patience: timedelta = timedelta()) -> None:
        """Put the releases on the shelf if another process changed them.

        Args:
            patience: Do not look again before so much time has passed since the last look.
        """
        now = self.clock.now()
        if self._stamp.looked is not None and timedelta() <= now - self._stamp.looked < patience:
            return
        self._stamp.looked = now
        with self.records.look() as work:
            stamp = work.workshop.stamp()
        if stamp != self._stamp.seen:
            self.put_on_shelf()
