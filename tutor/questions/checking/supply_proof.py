"""A formula of the trade lies within its stated model error of the solved supply, on every draw."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any

from tutor.circuits.supply.description import (
    Ideal,
    Load,
    Rectifier,
    Section,
    Silicon,
    Supply,
    Topology,
    Vacuum,
    Winding,
)
from tutor.questions.arrays import array_value
from tutor.questions.checking.findings import Evidence, Finding, finding
from tutor.questions.supply_plan import SupplyAsk, SupplyPlan

if TYPE_CHECKING:
    from tutor.circuits.supply.steady_state import SteadyState

Number = Callable[..., Any]


def check_supply(evidence: Evidence) -> Iterator[Finding]:
    """Yield a finding for every ask whose formula is further from the solved supply than it says."""
    plan = evidence.template.supply
    if plan is None:
        return
    solved: dict[str, SteadyState] = {}
    for ask in evidence.template.asks:
        if ask.supply is None:
            continue
        topology = ask.supply.topology
        if topology not in solved:
            solved[topology] = _solved(evidence, plan, topology)
        message = _differs(evidence, ask.name, ask.supply, solved[topology])
        if message:
            yield finding("supply", ("ask", ask.name, "formula"), message)


def _solved(evidence: Evidence, plan: SupplyPlan, topology: str) -> SteadyState:
    from tutor.circuits.supply.steady_state import steady_state

    values = evidence.all_values()
    numbers = {key: array_value(expression, values, evidence.draws) for key, expression in plan.numbers.items()}
    return steady_state(supply_of(plan, topology, numbers), keep_waveforms=False)


def supply_of(plan: SupplyPlan, topology: str, numbers: dict[str, Any]) -> Supply:
    """Return the supply of a plan.

    Args:
        plan: The plan.
        topology: How it is rectified.
        numbers: Its numbers by path, each of shape (draws,).

    Raises:
        SupplyError: If the numbers make no supply; names the key and the draw.
    """

    def number(path: str, otherwise: float = 0.0) -> Any:
        return numbers.get(path, otherwise)

    sections = tuple(
        Section(
            resistance=number(f"sections[{index}].resistance"),
            inductance=number(f"sections[{index}].inductance"),
            capacitance=number(f"sections[{index}].capacitance"),
        )
        for index in range(plan.sections)
    )
    return Supply(
        winding=Winding(
            emf=number("winding.emf"), resistance=number("winding.resistance"), frequency=number("winding.frequency")
        ),
        topology=Topology(topology),
        rectifier=_rectifier(plan.rectifier, number),
        reservoir=number("reservoir"),
        sections=sections,
        load=Load(resistance=number("load.resistance", float("inf")), current=number("load.current")),
        bleeder=number("bleeder", float("inf")),
    )


def _rectifier(kind: str, number: Number) -> Rectifier:
    if kind == "silicon":
        return Silicon(drop=number("rectifier.drop"), slope=number("rectifier.slope"))
    if kind == "valve":  # by one point of its sheet, through the three-halves law
        return Vacuum(perveance=number("rectifier.current") / number("rectifier.drop") ** 1.5)
    return Ideal(resistance=number("rectifier.resistance"))


def _differs(evidence: Evidence, name: str, wanted: SupplyAsk, state: SteadyState) -> str:
    """Return how a formula's values differ from the supply's by more than is stated, or ""."""
    import numpy as np

    from tutor.circuits.supply.steady_state import State

    serials = evidence.serials[evidence.admitted]
    spoilt = np.isin(state.states, [State.RESONANT, State.OVERLOADED, State.NOT_SETTLED])
    if spoilt.any():
        first = int(spoilt.argmax())
        return f"the supply has no figure to compare it with (serial {int(serials[first])}): {state.says(first)}"
    authored, true = evidence.values(name), _figure(wanted, state)
    error = np.abs(authored - true) / np.abs(true)
    too_far = ~(error <= wanted.model_error)
    if not too_far.any():
        return ""
    worst = int(np.where(np.isfinite(error), error, np.inf).argmax())
    return (
        f"it gives {authored[worst]:.6g} where the supply's {wanted.quantity} is {true[worst]:.6g}: {error[worst]:.1%} "
        f"off, and {wanted.model_error:.3g} of it is the model error stated (serial {int(serials[worst])}; "
        f"{int(too_far.sum())} of {len(error)} draws)"
    )


def _figure(wanted: SupplyAsk, state: SteadyState) -> Any:
    """Return what is wanted of the solved supply, shape (draws,)."""
    found, node = state.figures, 0 if wanted.at == "reservoir" else -1
    match wanted.quantity:
        case "mean voltage":
            return found.mean[node]
        case "rms voltage":
            return (found.mean[node] ** 2 + found.ripple_rms[node] ** 2) ** 0.5
        case "ripple":
            return found.ripple_peak_to_peak[node]
        case "rms ripple":
            return found.ripple_rms[node]
        case "ripple factor":
            return found.ripple_rms[node] / found.mean[node]
        case "ripple frequency":
            return found.ripple_frequency
        case "peak inverse voltage":
            return found.peak_inverse_voltage
        case "peak diode current":
            return found.peak_diode_current
        case "rms winding current":
            return found.rms_winding_current
    raise AssertionError(wanted.quantity)
