"""What can go wrong with numbers, units, codes and tolerances.

    QuantityError                        base of all of them; a QuiescentError
    ├── QuantityFormatError(ValueError)  a text that is no number with a unit
    ├── UnitError(ValueError)            a unit nobody here has heard of
    ├── DimensionError(ValueError)       a unit that does not fit where it stands
    ├── SeriesError(ValueError)          a series of preferred values that does not exist
    ├── PreferredValueError(ValueError)  a value or range that no series can serve
    ├── CodeError(ValueError)            colour bands, or a letter or figure code, that cannot be
    └── ToleranceError(ValueError)       a text that is no tolerance

Texts from outside are shortened before they are kept, so that no error carries a megabyte into a log.
"""

from collections.abc import Sequence

from tutor.errors import QuiescentError

LONGEST_KEPT = 100
"""Characters of a faulty text that an error keeps."""


def shortened(text: str) -> str:
    """Return the text, cut with an ellipsis where it is longer than an error keeps."""
    return text if len(text) <= LONGEST_KEPT else text[: LONGEST_KEPT - 1] + "…"


def one_of(names: Sequence[str]) -> str:
    """Return the names as a person lists a choice: ``a``, ``a or b``, ``a, b or c``."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} or {names[-1]}"


class QuantityError(QuiescentError):
    """Base of all errors of numbers, units, codes and tolerances."""

    def __reduce__(self) -> tuple[type["QuantityError"], tuple[object, ...]]:
        # Without this an error raised in a worker process could not be sent back: Exception would hand the
        # message to an __init__ that wants the facts. They are assigned in the order in which it takes them.
        facts = tuple(fact for name, fact in vars(self).items() if not name.startswith("__"))
        return type(self), facts or self.args


class QuantityFormatError(QuantityError, ValueError):
    """A text cannot be read as a number with a unit.

    Attributes:
        text: What was typed, shortened where it is very long.
        reason: What was not understood, for the person who typed it.
        example: A text that would be read in the same place.
    """

    def __init__(self, text: str, reason: str, example: str = "3.3 kΩ") -> None:
        self.text, self.reason, self.example = shortened(text), reason, example
        super().__init__(f"cannot read {self.text!r} as a quantity: {reason}; for example {example}")


class UnitError(QuantityError, ValueError):
    """A unit is not known.

    Attributes:
        text: The unit as written, shortened where it is very long.
        suggestions: Known units that look like it, nearest first; may be empty.
        reason: Why it cannot be read, where more is known than that it is not.
    """

    def __init__(self, text: str, suggestions: Sequence[str] = (), reason: str = "") -> None:
        self.text, self.suggestions, self.reason = shortened(text), tuple(suggestions), reason
        message = reason or f"{self.text!r} is not a unit known here"
        if self.suggestions:
            message += f"; did you mean {one_of(self.suggestions)}?"
        super().__init__(message)


class DimensionError(QuantityError, ValueError):
    """A unit does not fit where it stands.

    Attributes:
        found: The unit or dimension that was found, as text.
        wanted: The unit or dimension that would fit, as text.
        cure: What to write instead.
    """

    def __init__(self, found: str, wanted: str, cure: str) -> None:
        self.found, self.wanted, self.cure = found, wanted, cure
        super().__init__(f"{found} does not fit {wanted}; {cure}")


class SeriesError(QuantityError, ValueError):
    """A series of preferred values does not exist.

    Attributes:
        series: The name that was found, shortened where it is very long.
        known: The names of all series.
        near: The known name most like it.
    """

    def __init__(self, series: str, known: Sequence[str], near: str) -> None:
        self.series, self.known, self.near = shortened(series), tuple(known), near
        super().__init__(f"found {self.series!r}; known are {', '.join(self.known)}; did you mean {near}?")


class PreferredValueError(QuantityError, ValueError):
    """No series holds a value like this: preferred values are positive and finite.

    Attributes:
        value: The value or bound that was found.
        reason: What is the matter with it.
    """

    def __init__(self, value: float, reason: str) -> None:
        self.value, self.reason = value, reason
        super().__init__(f"no preferred value for {value!r}: {reason}")


class CodeError(QuantityError, ValueError):
    """Colour bands, or a letter or figure code, that cannot be read or written.

    Attributes:
        code: The code or value that was found, shortened where it is very long.
        reason: What is the matter with it and what would do.
    """

    def __init__(self, code: str, reason: str) -> None:
        self.code, self.reason = shortened(code), reason
        super().__init__(f"no marking code for {self.code!r}: {reason}")


class ToleranceError(QuantityError, ValueError):
    """A text is no tolerance.

    Attributes:
        text: What was found, shortened where it is very long.
        reason: What was not understood.
        cure: What to write instead.
    """

    def __init__(self, text: str, reason: str, cure: str) -> None:
        self.text, self.reason, self.cure = shortened(text), reason, cure
        super().__init__(f"cannot read {self.text!r} as a tolerance: {reason}; {cure}")
