"""How long a refusal takes tells nobody whether a sign-in name exists."""

from __future__ import annotations

import statistics
import time
from pathlib import Path

import pytest

from tutor.bootstrap.club import open_club
from tutor.learning.errors import SignInError
from tutor.learning.membership.passwords import NO_PASSWORD
from tutor.learning.records import Role

TRIES = 100


def test_known_unknown_closed_and_unopened_names_take_the_same_time(tmp_path: Path) -> None:
    # Real hashes, by the processor's clock: the machine's other work does not count. Median within 10 %.
    club = open_club(f"sqlite:///{tmp_path / 'club.sqlite'}", banks=[], cache=tmp_path)
    ada = club.membership.add("ada.quill", "Ada Quill", "copper anode lantern", Role.ORGANISER)
    club.membership.add("ann.baker", "Ann Baker", "copper anode lantern")
    club.office.close(ada, club.membership.add("cy.dunn", "Cy Dunn", "copper anode lantern").id)
    new, _ = club.office.add(ada, "new.one", "New One", Role.MEMBER)
    assert new.password == NO_PASSWORD
    taken: dict[str, list[float]] = {"ann.baker": [], "nobody.here": [], "cy.dunn": [], "new.one": []}
    for turn in range(TRIES):
        for name, times in taken.items():
            with club.records.work() as work:
                work.doors.clear_failures(name)  # the throttle is tested elsewhere
            begun = time.process_time()
            with pytest.raises(SignInError) as refused:
                club.sign_ins.sign_in(name, "a wrong one of some length", f"10.0.0.{turn}")
            times.append(time.process_time() - begun)
            assert refused.value.wait == 0
    known, *others = (statistics.median(times[3:]) for times in taken.values())  # the first makes nobody's hash
    assert known > 0.005
    for other in others:
        assert 0.9 < other / known < 1.1
