"""Ports: what two nodes of a circuit look like from outside: Thévenin, Norton, the most power to be had."""

from __future__ import annotations

from dataclasses import dataclass

from tutor.circuits.analysis import Analysis
from tutor.circuits.asked import Impedance, ShortCircuitCurrent, Voltage
from tutor.circuits.errors import CircuitError
from tutor.circuits.formula import Formula
from tutor.circuits.formula_algebra import over, times, whole_number
from tutor.circuits.linear import Solved, solve
from tutor.circuits.network import Network


@dataclass(frozen=True, slots=True)
class Thevenin:
    """A port as a voltage behind an impedance.

    Attributes:
        voltage: Of the first node against the second, nothing connected; a phasor (rms) at ac.
        impedance: Between them, all independent sources dead.
    """

    voltage: Solved
    impedance: Solved

    def most_power(self) -> float:
        """Return the most power that a load can take [W]: |V|²/(4·Re Z).

        It goes to a load of the conjugate impedance; at dc, to one of the same resistance.

        Raises:
            CircuitError: If the port has no resistance to limit it.
        """
        resistance = complex(self.impedance.value).real
        if resistance <= 0:
            raise CircuitError(f"the port's resistance is {resistance:g} Ω; nothing limits the power that it gives")
        return abs(self.voltage.value) ** 2 / (4 * resistance)

    def most_power_into_resistance(self) -> tuple[float, float]:
        """Return the most power that a plain resistor can take [W] and that resistor, |Z| [Ω].

        Raises:
            CircuitError: If the port has no impedance to limit it.
        """
        impedance = complex(self.impedance.value)
        load = abs(impedance)
        if not load:
            raise CircuitError("the port's impedance is 0 Ω; nothing limits the power that it gives")
        return abs(self.voltage.value) ** 2 * load / abs(impedance + load) ** 2, load

    def most_power_formula(self) -> Formula:
        """Return V²/(4·R) of a port at dc as a formula.

        Raises:
            CircuitError: At ac, where it is no quotient of polynomials; its subclasses as in `formula_of`.
        """
        if self.voltage.problem.is_complex:
            raise CircuitError("the most power at ac is no quotient of polynomials; ask for the voltage and impedance")
        voltage, resistance = self.voltage.formula(), self.impedance.formula()
        assert isinstance(voltage, Formula)
        assert isinstance(resistance, Formula)
        return over(times(voltage, voltage), times(whole_number(4), resistance))


@dataclass(frozen=True, slots=True)
class Norton:
    """A port as a current beside an impedance.

    Attributes:
        current: From the first node to the second through a short; a phasor (rms) at ac.
        impedance: Between them, all independent sources dead.
    """

    current: Solved
    impedance: Solved


def thevenin(network: Network, a: str, b: str, analysis: Analysis, frequency: float | None = None) -> Thevenin:
    """Return the Thévenin equivalent of a port, in numbers and, by `Solved.formula()`, in symbols.

    Args:
        network: The circuit; every value a number.
        a: First node.
        b: Second node.
        analysis: Dc or ac.
        frequency: At ac [Hz].

    Raises:
        CircuitError: Its subclasses name the part or node at fault.
    """
    voltage = solve(network, Voltage(a, b), analysis, frequency)
    return Thevenin(voltage, solve(network, Impedance(a, b), analysis, frequency))


def norton(network: Network, a: str, b: str, analysis: Analysis, frequency: float | None = None) -> Norton:
    """Return the Norton equivalent of a port; see `thevenin`.

    Raises:
        CircuitError: If sources hold the port's voltage, so that no short can be put across it; otherwise as above.
    """
    impedance = solve(network, Impedance(a, b), analysis, frequency)
    return Norton(solve(network, ShortCircuitCurrent(a, b), analysis, frequency), impedance)
