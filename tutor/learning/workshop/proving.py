"""Proofs in the background: one at a time, with progress, kept by the release that they prove."""

from __future__ import annotations

import logging
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import timedelta
from threading import Lock

from tutor.learning.drafts import KeptProof
from tutor.learning.ports import Clock, Records
from tutor.questions.authoring.proving import Proof, prove
from tutor.questions.template import Template

_log = logging.getLogger(__name__)

Runner = Callable[[Callable[[], None]], object]
"""Runs a job, now or in the background."""

LOST_AFTER = timedelta(minutes=10)
"""A proof that began so long ago was cut short, by a restart for instance."""


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a proof is.

    Attributes:
        done, of: Checks.
        now: The one that runs.
    """

    done: int
    of: int
    now: str


@dataclass(frozen=True, slots=True)
class Proving:
    """The use cases of proving."""

    records: Records
    clock: Clock
    run: Runner
    _progress: dict[str, Progress] = field(default_factory=dict)
    _lock: Lock = field(default_factory=Lock)

    def begin(self, template: Template) -> None:
        """Begin to prove a template, unless it is proved or being proved already."""
        with self._lock:
            kept = self.kept(template)
            if kept is not None and (kept.proof is not None or self.is_running(kept)):
                return
            with self.records.work() as work:
                work.workshop.begin_proof(template.release, self.clock.now())
            self._progress[template.release] = Progress(0, 1, "waiting for its turn")
        self.run(lambda: self._prove(template))

    def _prove(self, template: Template) -> None:
        release = template.release

        def told(done: int, of: int, what: str) -> None:
            self._progress[release] = Progress(done, of, what)

        try:
            proof = prove(template, told)
        except Exception as error:
            # A check that breaks proves nothing; who waits for it is told, and the log has the rest.
            _log.exception("the proof of %s broke", template.name)
            broken = ("check", "", f"the proof itself broke ({type(error).__name__}); tell whoever keeps the site")
            proof = Proof(
                release=release, passed=False, draws=0, refused=0.0, distinct=0, seconds=0.0, findings=(broken,)
            )
        with self.records.work() as work:
            work.workshop.end_proof(release, proof)
        self._progress.pop(release, None)

    def kept(self, template: Template) -> KeptProof | None:
        """Return what is known of the proof of a template's release, or None when none was begun."""
        with self.records.look() as work:
            return work.workshop.proof(template.release)

    def proof(self, template: Template) -> Proof | None:
        """Return the finished proof of a template's release, or None."""
        kept = self.kept(template)
        return kept.proof if kept is not None else None

    def is_running(self, kept: KeptProof) -> bool:
        """Tell whether a proof is under way, here or in another process."""
        return kept.proof is None and self.clock.now() - kept.begun < LOST_AFTER

    def progress(self, template: Template) -> Progress | None:
        """Return how far a proof is, where it runs in this process."""
        return self._progress.get(template.release)
