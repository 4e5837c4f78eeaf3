"""The base of every error that Quiescent raises on purpose, and the faults of files.

    QuiescentError
    ├── FaultyFileError                      a file with one fault or more, each with its place
    ├── quantities.errors.QuantityError      a number, unit or code that cannot be read
    ├── circuits.errors.CircuitError         a circuit that cannot be built or solved
    ├── questions.errors.QuestionError       a template, bank or serial that cannot be used
    └── learning.errors.LearningError        a request that the club's rules refuse

A message says what was found, where, and what would do; the same facts stand in attributes.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


class QuiescentError(Exception):
    """Base of all errors meant to be read by a person."""


@dataclass(frozen=True, slots=True, order=True)
class Fault:
    """One fault in a file.

    Attributes:
        file: The file's name, as it should be shown.
        line: Line in the file, from 1; 0 when there is none.
        key: Path of the key, such as `values.R1.series`; "" for the whole file.
        message: What was found and what would do.
    """

    file: str
    line: int
    key: str
    message: str

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}" if self.line else self.file
        return f"{place}: {self.key}: {self.message}" if self.key else f"{place}: {self.message}"


class FaultyFileError(QuiescentError):
    """A file that cannot be used; all its faults are told at once.

    Attributes:
        faults: In order of their lines.
    """

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(sorted(faults))
        super().__init__("\n".join(str(fault) for fault in self.faults))
