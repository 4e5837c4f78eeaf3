"""Replay: standings, ledgers and difficulties made anew from the evidence, bit for bit.

The evidence is kept in the order in which it was credited; what follows from it is a pure function of that row. A mark
that was corrected changes its piece of evidence, and replaying gives what the needles would have been.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from tutor.learning.difficulty import Difficulties
from tutor.learning.facts import Fact
from tutor.learning.ports import Records, Work
from tutor.learning.standing import LedgerEntry, Standing, credited, other_means


@dataclass(slots=True)
class Replayed:
    """What follows from all evidence.

    Attributes:
        standings: Member → topic → standing.
        difficulties: Topic → difficulties.
        ledgers: (member, topic) → entries in order.
    """

    standings: dict[int, dict[str, Standing]] = field(default_factory=lambda: defaultdict(dict))
    difficulties: dict[str, Difficulties] = field(default_factory=lambda: defaultdict(Difficulties))
    ledgers: dict[tuple[int, str], list[LedgerEntry]] = field(default_factory=lambda: defaultdict(list))


def replayed(facts: Iterable[Fact]) -> Replayed:
    """Return what follows from evidence.

    Args:
        facts: All of it, in the order in which it was credited.
    """
    result = Replayed()
    for fact in facts:
        own, topic = result.standings[fact.member], fact.evidence.topic
        found = credited(
            own.get(topic),
            fact.evidence,
            result.difficulties[topic],
            fact.bank,
            lambda own=own, topic=topic, day=fact.evidence.day: other_means(  # type: ignore[misc]  # bound per fact
                [standing for name, standing in own.items() if name != topic], day
            ),
        )
        own[topic] = found.standing
        result.difficulties[topic] = found.difficulties
        result.ledgers[fact.member, topic].extend(found.entries)
    return result


@dataclass(frozen=True, slots=True)
class Difference:
    """A standing, ledger or difficulty in the records that does not follow from the evidence.

    Attributes:
        what: Which, in words.
    """

    what: str


def differences(work: Work, anew: Replayed, members: Iterable[int]) -> list[Difference]:
    """Compare what the records hold with what follows from the evidence, exactly."""
    stored = work.standings.all_difficulties()
    found = [
        Difference(f"the difficulties of topic {topic!r}")
        for topic in sorted({*anew.difficulties, *stored})
        if dict(_learnt(anew.difficulties, topic)) != dict(_learnt(stored, topic))
    ]
    for member in members:
        standings = work.standings.of_member(member)
        for topic in sorted({*standings, *anew.standings.get(member, {})}):
            if standings.get(topic) != anew.standings.get(member, {}).get(topic):
                found.append(Difference(f"the standing of member {member} in topic {topic!r}"))
            entries = list(reversed(work.standings.ledger(member, topic, limit=10**9)))
            if entries != anew.ledgers.get((member, topic), []):
                found.append(Difference(f"the ledger of member {member} in topic {topic!r}"))
    return found


def _learnt(stored: Mapping[str, Difficulties], topic: str) -> Mapping[str, object]:
    return stored.get(topic, Difficulties()).learnt


def replay(records: Records) -> Replayed:
    """Make every standing, ledger and difficulty anew from the evidence, in one transaction."""
    with records.work() as work:
        anew = replayed(work.standings.facts())
        work.standings.clear()
        for member, topics in anew.standings.items():
            for topic, standing in topics.items():
                work.standings.put(member, topic, standing)
                work.standings.enter(member, anew.ledgers[member, topic])
        for topic, difficulties in anew.difficulties.items():
            for template, difficulty in difficulties.learnt.items():
                work.standings.put_difficulty(topic, template, difficulty)
    return anew
