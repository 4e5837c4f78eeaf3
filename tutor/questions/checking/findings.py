"""Findings, and what the checks of one template share."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from tutor.circuits.source import Path_, dotted
from tutor.questions.compiling import Compiled
from tutor.questions.lottery import Batch
from tutor.questions.template import Template


@dataclass(frozen=True, slots=True)
class Finding:
    """Something that a check found.

    Attributes:
        check: Which check: `draws`, `choices`, `circuit`, `supply`, `answers`, `tolerance`, `slips`, `solution`,
            `texts`, `givens`, `examples`, `drawing`, `caution`.
        key: Path of the key in the template's file.
        message: What was found and what would do.
    """

    check: str
    key: str
    message: str


@dataclass(frozen=True, slots=True)
class Evidence:
    """What the checks of one template look at.

    Attributes:
        compiled: The template.
        serials: The serials drawn, shape (draws,).
        batch: Their values.
        admitted: Which serials have values at all, shape (draws,).
    """

    compiled: Compiled
    serials: Any
    batch: Batch
    admitted: Any

    @property
    def template(self) -> Template:
        """The template."""
        return self.compiled.template

    def values(self, name: str) -> Any:
        """Return the values of a name over all admitted draws."""
        return self.batch.values[name][self.admitted]

    def all_values(self) -> dict[str, Any]:
        """Return every named number over all admitted draws."""
        return {name: value[self.admitted] for name, value in self.batch.values.items()}

    @property
    def draws(self) -> int:
        """How many admitted draws there are."""
        return int(self.admitted.sum())


def finding(check: str, path: Path_, message: str) -> Finding:
    """Return a finding at a path."""
    return Finding(check, dotted(path), message)
