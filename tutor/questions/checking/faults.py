"""Faults: exactly one suspect explains the readings, as a search of its own finds."""

from __future__ import annotations

from collections.abc import Iterator

from tutor.questions.checking.findings import Evidence, Finding
from tutor.questions.fault_finding import fault_asks


def check_faults(evidence: Evidence) -> Iterator[Finding]:
    """Yield a finding where a separate search does not find exactly the fault that is the key."""
    if fault_asks(evidence.template) and evidence.draws:
        from tutor.questions.checking.fault_search import findings_of_search

        yield from findings_of_search(evidence)
