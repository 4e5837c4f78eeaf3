"""The workshop's use cases, put together."""

from __future__ import annotations

from dataclasses import dataclass

from tutor.learning.courses import Shelf
from tutor.learning.ports import Chance, Clock, Records
from tutor.learning.workshop.drafting import Drafting
from tutor.learning.workshop.proving import Proving, Runner
from tutor.learning.workshop.publishing import Publishing
from tutor.learning.workshop.remarking import Remarking


@dataclass(frozen=True, slots=True)
class Workbench:
    """Everything that trainers do in the workshop."""

    drafting: Drafting
    proving: Proving
    publishing: Publishing
    remarking: Remarking


def workbench(records: Records, clock: Clock, chance: Chance, shelf: Shelf, run: Runner) -> Workbench:
    """Return the workshop of a club; what it published stands on the shelf from then on.

    Args:
        records: The club's records.
        clock: Tells the time.
        chance: Gives handles.
        shelf: Where releases are put.
        run: Runs proofs.
    """
    drafting = Drafting(records, clock, chance, shelf)
    proving = Proving(records, clock, run)
    publishing = Publishing(records, clock, shelf, drafting, proving)
    publishing.keep_up()
    return Workbench(drafting, proving, publishing, Remarking(records, clock, shelf, publishing))
