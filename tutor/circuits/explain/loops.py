"""A loop through an amplifier: what is handed back, what is put in, and the gain of the closed loop.

The output u of an amplifier of gain A is taken for a source of its own. Its control voltage is then what the input
alone gives, less the share β of the output that comes back against it, so that u = A·(input)/(1 + A·β).

Source: H. S. Black, "Stabilized feedback amplifiers", Bell System Technical Journal 13 (1934) 1-18 (from memory).
"""

from __future__ import annotations

from collections.abc import Callable

from tutor.circuits.asked import Asked, Gain, Voltage
from tutor.circuits.equations import EARTH
from tutor.circuits.errors import CircuitError
from tutor.circuits.explain.arithmetic import ONE, ZERO, is_zero, minus, negative, over, plus, times
from tutor.circuits.explain.reasoner import Reasoner
from tutor.circuits.explain.setting import Controlled, Drive
from tutor.circuits.explain.step import Method
from tutor.circuits.expressions import Expression
from tutor.circuits.network import Network
from tutor.circuits.parts.probes import CurrentProbe, VoltageProbe

Remake = Callable[[Network, Drive, Asked, str], Reasoner]
"""Makes a reasoner for a changed circuit: network, drive, what its full solution is posed for, and a label."""


def close_loops(state: Reasoner, drive: Drive, remake: Remake) -> bool:
    """Close the loop through each amplifier whose output acts on its own input; return whether one was closed."""
    for one in state.setting.amplifiers:
        output = one.a if one.b == EARTH else one.b
        if EARTH not in (one.a, one.b) or state.voltage(output) is not None:
            continue
        try:
            if _close(state, drive, remake, one, output):
                return True
        except CircuitError:
            continue  # without the amplifier the circuit hangs in the air: no loop of this kind
    return False


def _close(state: Reasoner, drive: Drive, remake: Remake, one: Controlled, output: str) -> bool:
    factor = one.factor if one.b == EARTH else negative(one.factor)
    # Where the amplifier was, a gap keeps the nodes that it looks at.
    gap = CurrentProbe(reference=f"gap of {one.reference}", pins=dict(zip("ab", one.control, strict=True)))
    opened = state.setting.network.without(one.reference).with_part(gap)
    back_drive = Drive(alive=False, pair=(output, EARTH))
    quiet = opened
    if drive.pair is not None:  # what drives the circuit is at rest while one looks at what comes back
        pins = dict(zip("ab", drive.pair, strict=True))
        quiet = opened.with_part(VoltageProbe(reference=f"input of {one.reference}", pins=pins))
    back = remake(quiet, back_drive, Gain((output, EARTH), (output, EARTH)), f"back of {one.reference}")
    probe = VoltageProbe(reference=f"output of {one.reference}", pins={"a": output, "b": EARTH})
    asked: Asked = Voltage(output) if drive.pair is None else Gain(drive.pair, (output, EARTH))
    rest = remake(opened.with_part(probe), drive, asked, f"{one.reference} at rest")
    for inner, inner_drive in ((back, back_drive), (rest, drive)):
        if inner.setting.amplifiers:
            close_loops(inner, inner_drive, remake)
    put_in, handed_back = _control(rest, one), _control(back, one)
    if put_in is None or handed_back is None or is_zero(put_in) or is_zero(handed_back):
        return False
    around = times(factor, negative(handed_back))
    formula = over(times(factor, put_in), plus(ONE, around))
    says = f"Once round the loop of `{one.reference}`, the gain is divided by one plus the gain round the loop"
    idea = f"Which share of the output comes back to the input of {one.reference}?"
    return state.propose_voltage(output, EARTH, formula, Method.FEEDBACK, says, [one.reference], idea=idea)


def _control(inner: Reasoner, one: Controlled) -> Expression | None:
    first, second = (inner.voltage(inner.setting.node(node)) for node in one.control)
    if first is None or second is None:
        return None
    return minus(first, second) if first != second else ZERO
