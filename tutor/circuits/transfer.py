"""The transfer function between two pairs of nodes: a quotient of polynomials in s with symbolic coefficients.

From it come poles, zeros and the response against frequency, for one set of values or for arrays of draws. A circuit
too large for a formula is treated in numbers by `transfer_numeric`, with the same methods.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

from tutor.circuits.analysis import AC, S
from tutor.circuits.asked import Gain
from tutor.circuits.errors import FormulaTooLongError
from tutor.circuits.formula import READABLE, Formula, formula_of
from tutor.circuits.formula_algebra import by_powers, factored_text, in_brackets
from tutor.circuits.network import Network
from tutor.circuits.problem import pose
from tutor.circuits.roots import LOST, roots_of

LONGEST_TRANSFER = 5000
"""Terms beyond which a transfer function is treated in numbers only."""


class Response(Protocol):
    """A transfer function of either kind, for given values."""

    @property
    def is_exact(self) -> bool:
        """Whether poles and zeros come from the formula; otherwise from the equations in numbers."""

    def poles(self, values: Mapping[str, Any]) -> Any:
        """Return the poles [rad/s], complex, shape (draws, poles), the smallest first."""

    def zeros(self, values: Mapping[str, Any]) -> Any:
        """Return the zeros [rad/s], complex, shape (draws, zeros), the smallest first."""

    def at(self, values: Mapping[str, Any], s: Any) -> Any:
        """Return the gain at complex frequencies s [rad/s], shape (draws, frequencies)."""


@dataclass(frozen=True, slots=True)
class Transfer:
    """A transfer function as a formula.

    Attributes:
        formula: The quotient in lowest terms, `s` among its symbols.
        numerator: Its coefficients by powers of s, that of the power 0 first.
        denominator: The same below the line.
    """

    formula: Formula
    numerator: tuple[Formula, ...]
    denominator: tuple[Formula, ...]

    @property
    def is_exact(self) -> bool:
        """Poles and zeros come from the formula."""
        return True

    @property
    def is_readable(self) -> bool:
        """Whether it is short enough to be shown."""
        return self.formula.terms <= READABLE

    def text(self) -> str:
        """Return the quotient as text in s: `1/(1 + s*R1*C1)`."""
        above, below = _in_s(self.numerator), _in_s(self.denominator)
        if below == "1":
            return above
        if sum(bool(coefficient.numerator) for coefficient in self.numerator) > 1 or " " in above.split("(")[0]:
            above = f"({above})"
        return f"{above}/{in_brackets(below)}"

    def coefficients(self, values: Mapping[str, Any]) -> tuple[Any, Any]:
        """Return the values of the coefficients above and below the line.

        Args:
            values: Every symbol's value in SI units, numbers or arrays of shape (draws,).

        Returns:
            Two arrays of shape (draws, degree + 1), that of the power 0 first. A leading coefficient that is nothing
            but rounding counts as 0.
        """
        return _values(self.numerator, values), _values(self.denominator, values)

    def poles(self, values: Mapping[str, Any]) -> Any:
        """Return the poles [rad/s], complex, shape (draws, poles), the smallest first; infinite where one is lost."""
        return roots_of(self.coefficients(values)[1])

    def zeros(self, values: Mapping[str, Any]) -> Any:
        """Return the zeros [rad/s], complex, shape (draws, zeros), the smallest first."""
        return roots_of(self.coefficients(values)[0])

    def at(self, values: Mapping[str, Any], s: Any) -> Any:
        """Return the gain at complex frequencies s [rad/s], shape (draws, frequencies); infinite on a pole."""
        import numpy as np

        above, below = self.coefficients(values)
        points = np.atleast_1d(np.asarray(s, dtype=complex))
        return _quotient(above, below, points)


def transfer_of(network: Network, start: tuple[str, str], end: tuple[str, str]) -> Transfer:
    """Return the transfer function from one pair of nodes to another, as a formula.

    Args:
        network: The circuit; its values need not be known.
        start: The pair that is driven, first node against second; all other sources are dead.
        end: The pair where the voltage is read.

    Raises:
        FormulaTooLongError: If it is too long; `transfer_numeric` takes it then.
        CircuitError: If the circuit cannot be solved so; its subclasses name the part or node.
    """
    formula = formula_of(pose(network, Gain(start, end), AC), LONGEST_TRANSFER)
    above, below = (by_powers(side, formula.symbols, S) for side in (formula.numerator, formula.denominator))
    return Transfer(formula, above, below)


def response_of(network: Network, start: tuple[str, str], end: tuple[str, str]) -> Response:
    """Return the transfer function as a formula, or in numbers where that grows too long; see `transfer_of`."""
    from tutor.circuits.transfer_numeric import NumericTransfer

    try:
        return transfer_of(network, start, end)
    except FormulaTooLongError:
        return NumericTransfer.of(network, start, end)


def gain_and_phase(response: Response, values: Mapping[str, Any], frequencies: Sequence[float]) -> tuple[Any, Any]:
    """Return the response against frequency.

    Args:
        response: The transfer function.
        values: Every symbol's value in SI units, numbers or arrays of shape (draws,).
        frequencies: In Hz, rising, shape (frequencies,).

    Returns:
        Gain [dB] and phase [°], each of shape (draws, frequencies); the phase runs on without jumps.
    """
    import numpy as np

    gains = response.at(values, 2j * math.pi * np.asarray(frequencies, dtype=float))
    with np.errstate(divide="ignore"):
        level = 20 * np.log10(np.abs(gains))
    return level, np.degrees(np.unwrap(np.angle(gains), axis=-1))


def _in_s(coefficients: tuple[Formula, ...]) -> str:
    """Return a polynomial in s as text, the lowest power first."""
    pieces: list[str] = []
    for power, coefficient in enumerate(coefficients):
        if not coefficient.numerator:
            continue
        text = factored_text(coefficient)[0]
        raised = "" if power == 0 else S if power == 1 else f"{S}**{power}"
        if not raised:
            pieces.append(text)
        elif text in ("1", "-1"):
            pieces.append(text.removesuffix("1") + raised)
        elif len(coefficient.numerator) > 1 and not text.endswith(")"):
            pieces.append(f"{raised}*({text})")
        else:
            sign = "-" if text.startswith("-") else ""
            pieces.append(f"{sign}{raised}*{text.removeprefix('-')}")
    text = pieces[0] if pieces else "0"
    for piece in pieces[1:]:
        text += f" - {piece[1:]}" if piece.startswith("-") else f" + {piece}"
    return text


def _values(coefficients: tuple[Formula, ...], values: Mapping[str, Any]) -> Any:
    import numpy as np

    draws = max((np.size(value) for value in values.values()), default=1)
    found = np.zeros((draws, len(coefficients)))
    for power, coefficient in enumerate(coefficients):
        total, size = 0.0, 0.0
        for exponents, whole in coefficient.numerator:
            product: Any = float(whole)
            for name, exponent in zip(coefficient.symbols, exponents, strict=True):
                if exponent:
                    product = product * values[name] ** exponent
            total, size = total + product, size + np.abs(product)
        found[:, power] = np.where(np.abs(total) <= LOST * size, 0.0, total)
    return found


def _quotient(above: Any, below: Any, points: Any) -> Any:
    """Return the quotient at every point, by Horner's rule."""
    import numpy as np

    sides = []
    with np.errstate(all="ignore"):
        for coefficients in (above, below):
            total = np.zeros((len(coefficients), len(points)), dtype=complex)
            for column in coefficients[:, ::-1].T:
                total = total * points + column[:, None]
            sides.append(total)
        return np.where(sides[1] == 0, np.where(sides[0] == 0, np.nan, np.inf), sides[0] / sides[1])
