"""Work in the background: one job after the other, in a thread that is started when first needed."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field


@dataclass(slots=True)
class Background:
    """The adapter of `learning.workshop.proving.Runner`: proofs take turns, and pages are served meanwhile."""

    _executor: ThreadPoolExecutor = field(
        default_factory=lambda: ThreadPoolExecutor(max_workers=1, thread_name_prefix="proof")
    )

    def __call__(self, job: Callable[[], None]) -> Future[None]:
        """Queue a job."""
        return self._executor.submit(job)
