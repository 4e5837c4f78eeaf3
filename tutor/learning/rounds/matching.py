"""Whose answers a mail holds: by the paper's code, by the letters that it replies to, by its sender.

The rule: a mail is matched without a person when its sender is a member at that address, and code, thread and sender
agree on one paper of theirs. Whatever is missing may be missing; whatever disagrees is decided by a person. So nobody
answers somebody else's paper, two members may share an address as long as the code says who it is, and a stranger's
mail is never marked unseen. (A sender can be forged; what is marked goes back to the member's own address, who would
see it.)
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from tutor.learning.round_records import RoundPaper
from tutor.learning.rounds.codes import shown


@dataclass(frozen=True, slots=True)
class Match:
    """The paper of a reply.

    Attributes:
        paper: Its code; the likeliest one where it is not certain, "" where there is none.
        why: Why a person has to decide; "" when it is certain.
    """

    paper: str
    why: str = ""


def match(
    coded: Sequence[RoundPaper], threaded: Sequence[RoundPaper], members: Collection[int], open_: Sequence[RoundPaper]
) -> Match:
    """Return the paper that a mail answers.

    Args:
        coded: Papers whose codes stand in the mail.
        threaded: Papers whose letters it replies to.
        members: Members at the sender's address.
        open_: Papers of these members that are not answered yet, the latest first.
    """
    codes = {paper.code: paper for paper in coded}
    threads = {paper.code: paper for paper in threaded}
    likely = next(iter([*codes, *threads, *(paper.code for paper in open_)]), "")
    if len(codes) > 1:
        return Match(likely, f"It names several papers: {', '.join(shown(code) for code in codes)}.")
    if codes and threads and likely not in threads:
        return Match(likely, f"It names paper {shown(likely)}, and replies to the letter of another.")
    if not members:
        says = (
            f"it names paper {shown(likely)}"
            if codes
            else "it replies to one of our letters"
            if threads
            else "it names no paper"
        )
        return Match(likely, f"Nobody here is known by its sender's address; {says}.")
    paper = next(iter([*codes.values(), *threads.values()]), None)
    if paper is not None and paper.member not in members:
        return Match(likely, f"Paper {shown(paper.code)} belongs to somebody with another address.")
    if not codes and len(threads) > 1:
        return Match(likely, "It replies to the letters of several papers.")
    if paper is not None:
        return Match(paper.code)
    if len(members) > 1:
        return Match(likely, "Several members share its sender's address, and it names no paper.")
    if len(open_) != 1:
        return Match(
            likely, "It names no paper, and its sender has several open." if open_ else "Its sender has no open paper."
        )
    return Match(open_[0].code)
