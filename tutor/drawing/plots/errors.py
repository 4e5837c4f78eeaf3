"""Errors of plots: asked for what no plot could show, by the program and not by a member."""

from __future__ import annotations

from tutor.errors import QuiescentError


class PlotError(QuiescentError, ValueError):
    """A plot that was described wrongly.

    Attributes:
        what: Which part of the description.
        found: What stood there.
        wanted: What would do.
    """

    def __init__(self, what: str, found: str, wanted: str) -> None:
        super().__init__(f"{what}: found {found}; {wanted} would do")
        self.what, self.found, self.wanted = what, found, wanted
