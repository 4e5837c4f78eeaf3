"""Reading a `fault` ask: its test points, its suspects, and what the healthy circuit must read."""

from __future__ import annotations

from tutor.circuits.errors import CircuitError, did_you_mean
from tutor.circuits.expressions import Expression
from tutor.circuits.faults.kinds import KINDS_OF_FAULT, Fault, KindOfFault, refuse_misfit
from tutor.circuits.network import Network
from tutor.circuits.source import Path_
from tutor.quantities import VOLT, read_quantity
from tutor.questions.desk import Desk
from tutor.questions.fault_finding import HEALTHY
from tutor.questions.schema import AskModel
from tutor.questions.template import Suspect


def points_of(desk: Desk, path: Path_, raw: AskModel, network: Network | None) -> dict[str, str]:
    """Return the test points, node → what members call it; a fault is noted for what is no node of the circuit."""
    for node in raw.readings or {}:
        if network is not None and node not in network.nodes:
            near = did_you_mean(node, network.nodes)
            desk.fault((*path, "readings", node), f"the circuit has no node {node!r}{near}")
    return dict(raw.readings or {})


def suspects_of(desk: Desk, path: Path_, raw: AskModel, network: Network | None) -> tuple[Suspect, ...]:
    """Return the suspects, each tried on the circuit; faults go to the desk."""
    found = []
    for name, model in (raw.suspects or {}).items():
        with desk.at((*path, "suspects", name)):
            if network is None:
                raise CircuitError("the template has no circuit; give one under `circuit:`")
            refuse_misfit(network.part(model.part), model.fault)
            fault = Fault(model.part, model.fault, _size(KINDS_OF_FAULT[model.fault], model.by))
            fault.applied(network)
            found.append(Suspect(name, fault))
    words = [(suspect.fault.part, suspect.fault.words) for suspect in found]
    for suspect in found:
        if words.count((suspect.fault.part, suspect.fault.words)) > 1:
            message = f"{suspect.fault.part} {suspect.fault.words} is a suspect twice; members could not tell which"
            desk.fault((*path, "suspects", suspect.name), message)
    return tuple(found)


def _size(kind: KindOfFault, by: str | None) -> float:
    """Return how large a fault is, in SI units; 0 for a kind that has no size."""
    if kind.by is None:
        if by is not None:
            raise ValueError(f"{kind.name} has no size; leave `by:` out")
        return 0.0
    if by is None:
        raise ValueError(f"{kind.name} wants {kind.wanted}")
    quantity = read_quantity(by).quantity
    if quantity.unit.dimension != kind.by.dimension or quantity.magnitude <= 0:
        raise ValueError(f"found {by!r}; {kind.name} wants {kind.wanted}")
    if kind.name == "drifted" and quantity.magnitude == 1:
        raise ValueError("a drift by a factor of 1 is none")
    return quantity.magnitude


def sound_of(desk: Desk, path: Path_, raw: AskModel) -> tuple[Expression, ...]:
    """Return what the healthy circuit must read; its readings are known in these conditions only."""
    before = dict(desk.texts)
    desk.texts.update({f"{HEALTHY}{node}": VOLT for node in raw.readings or {}})
    found = [desk.condition((*path, "sound", index), text) for index, text in enumerate(raw.sound)]
    desk.texts.clear()
    desk.texts.update(before)
    return tuple(condition for condition in found if condition is not None)
