"""Everything about rounds in one hand, as the site and the command line hold it."""

from __future__ import annotations

from dataclasses import dataclass

from tutor.learning.ports.post import Reader, Writer
from tutor.learning.practice import Practice
from tutor.learning.rounds.addresses import Addresses
from tutor.learning.rounds.answering import Answering
from tutor.learning.rounds.making import RoundMaking
from tutor.learning.rounds.overview import Overviews
from tutor.learning.rounds.receiving import Receiving
from tutor.learning.rounds.sending import Outbox


@dataclass(frozen=True, slots=True)
class Rounds:
    """The use cases of rounds.

    Attributes:
        writer: Puts papers and marks into words, letters and sheets.
        addresses, making, outbox, answering, receiving, overviews: The use cases.
    """

    writer: Writer
    addresses: Addresses
    making: RoundMaking
    outbox: Outbox
    answering: Answering
    receiving: Receiving
    overviews: Overviews


def rounds_of(practice: Practice, writer: Writer, reader: Reader, domain: str) -> Rounds:
    """Put the use cases together.

    Args:
        practice: Records, clock, chance and shelf.
        writer: Writes.
        reader: Reads.
        domain: The part after the @ of new Message-IDs.
    """
    outbox = Outbox(practice, writer, domain)
    answering = Answering(practice, outbox)
    return Rounds(
        writer=writer,
        addresses=Addresses(practice.records),
        making=RoundMaking(practice),
        outbox=outbox,
        answering=answering,
        receiving=Receiving(practice, reader, answering),
        overviews=Overviews(practice),
    )
