"""Errors of valves.

    CircuitError
    └── ValveError
        ├── UnknownValveError      a type, a system or a fit that the catalogue does not have
        ├── LawError               a law with parameters that no valve has
        └── PortError              a description of the circuit that does not fit its valves

A stage without an operating point is no error: draws that fail are told by their state (see `state`).
"""

from __future__ import annotations

from collections.abc import Iterable

from tutor.circuits.errors import CircuitError, did_you_mean, shortened


class ValveError(CircuitError):
    """Base of the errors of valves."""


class UnknownValveError(ValveError, LookupError):
    """A name that the catalogue does not have.

    Attributes:
        name: What was asked for.
        what: What it should have been: "valve type", "system of the ECL82" …
        known: What there is.
        relative: What the catalogue knows of it all the same, or "".
    """

    def __init__(self, name: str, what: str, known: Iterable[str], relative: str = "") -> None:
        self.name, self.what, self.known, self.relative = name, what, tuple(known), relative
        near = did_you_mean(name.upper(), self.known) or did_you_mean(name, self.known)
        said = f"; {relative}" if relative else near
        super().__init__(f"there is no {what} {shortened(name)!r}{said}; known are {', '.join(self.known)}")


class LawError(ValveError, ValueError):
    """A parameter of a law that no valve has.

    Attributes:
        law: The law's name.
        parameter: The parameter's name.
        reason: What was found and what would do.
    """

    def __init__(self, law: str, parameter: str, reason: str) -> None:
        self.law, self.parameter, self.reason = law, parameter, reason
        super().__init__(f"{law}: {parameter}: {reason}")


class PortError(ValveError, ValueError):
    """A description of the circuit around the valves that cannot be theirs.

    Attributes:
        reason: What was found and what would do.
    """

    def __init__(self, reason: str) -> None:
        self.reason = reason
        super().__init__(f"the circuit around the valves: {reason}")
