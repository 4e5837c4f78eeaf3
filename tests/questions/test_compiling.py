from __future__ import annotations

import math

import numpy as np
import pytest

from tests.questions.templates import HEAD, LOADED_DIVIDER, PINNED, STEPS, asking, compiled, read, with_values
from tutor.circuits.errors import CircuitError
from tutor.questions.compiling import (
    ADMITTED,
    base_names,
    compile_template,
    direction,
    implicit_names,
    number_names,
    preferred_array,
    written_out,
)
from tutor.questions.lottery import draw_values

DIVIDER = "V1: 250 V\nR1: 22 kΩ\nR2: 47 kΩ\nRL: 100 kΩ"


def values_of(keys: str, values: str = DIVIDER, before: str = LOADED_DIVIDER, name: str = "x") -> float:
    """Return the key of a template with one ask."""
    return draw_values(compiled(asking(keys, values=values, before=before, name=name)), 1).values[name]


# -- what is worked out ----------------------------------------------------------------------------------------------
def test_the_outputs_are_derived_values_the_circuits_own_and_the_keys() -> None:
    text = with_values(STEPS, PINNED).replace("RL: 100 kΩ", "RL: 100 kΩ\n  foot: {formula: 'parallel(R2, RL)'}")
    made = compiled(text.replace("\ntext: ", "\nrequire: [power_R1 < 1 W, voltage_tap > 1 V]\ntext: "))
    assert made.base == ("V1", "R1", "R2", "RL")
    assert made.outputs == ("foot", "power_R1", "voltage_tap", "v_tap", "i_load", "p_load", ADMITTED)
    assert made.slips == (("v_tap", "load-forgotten"), ("i_load", "wrong-resistor"), ("p_load", "not-the-tap"))


def test_slips_are_a_function_of_every_number() -> None:
    made = compiled(with_values(STEPS, PINNED))
    names = number_names(made.template)
    values = draw_values(made, 1).values
    load_forgotten, wrong_resistor, not_the_tap = made.function("slips")(*(values[name] for name in names))
    assert load_forgotten == pytest.approx(250 * 47 / 69)
    assert wrong_resistor == pytest.approx(values["v_tap"] / 47e3)
    assert not_the_tap == pytest.approx(250 * values["i_load"])


def test_a_condition_is_admitted_alone_and_among_many() -> None:
    made = compiled(asking("{formula: V1}", values="V1: {pick: [1 V, 2 V]}", before="require: [V1 > 1 V]\n"))
    assert [made.function("values")(1.0)[-1], made.function("values")(2.0)[-1]] == [False, True]
    assert made.function("values", arrays=True)(np.array([1.0, 2.0]))[-1].tolist() == [False, True]


@pytest.mark.parametrize(
    ("circuit", "value"),
    [
        ("{voltage: tap}", 250 * 31.9727891 / 53.9727891),
        ("{voltage: [in, tap]}", 250 * 22 / 53.9727891),
        ("{current: R1}", 250 / 53972.7891),
        ("{power: R1}", (250 / 53972.7891) ** 2 * 22e3),
        ("{impedance: tap}", 1 / (1 / 22e3 + 1 / 47e3 + 1 / 100e3)),
        ("{gain: {from: in, to: tap}}", 31.9727891 / 53.9727891),
    ],
)
def test_an_ask_without_formula_is_solved_by_the_circuit(circuit: str, value: float) -> None:
    assert values_of(f"{{of circuit: {circuit}}}") == pytest.approx(value, rel=1e-8)


AC = """\
analysis: ac
frequency: f
circuit:
  V1: {kind: voltage source, nodes: [in, 0], value: 1 V}
  R1: {kind: resistor, nodes: [in, out]}
  C1: {kind: capacitor, nodes: [out, 0]}
"""
LOWPASS = "R1: 10 kΩ\nC1: 10 nF\nf: 1 kHz"
X = 2 * math.pi * 1e3 * 10e3 * 10e-9


@pytest.mark.parametrize(
    ("keys", "value"),
    [
        ("{of circuit: {gain: {from: in, to: out}}}", 1 / math.hypot(1, X)),
        ("{of circuit: {gain: {from: in, to: out}}, unit: dB}", -20 * math.log10(math.hypot(1, X))),
        ("{of circuit: {gain: {from: in, to: out}}, unit: °}", -math.degrees(math.atan(X))),
        ("{of circuit: {gain: {from: in, to: out}, take: phase}}", -math.degrees(math.atan(X))),
        ("{of circuit: {gain: {from: in, to: out}, take: real}}", 1 / (1 + X * X)),
        ("{of circuit: {gain: {from: in, to: out}, frequency: 10*f}}", 1 / math.hypot(1, 10 * X)),
        ("{of circuit: {voltage: out}}", 1 / math.hypot(1, X)),
        ("{of circuit: {gain: {from: in, to: out}, analysis: dc}}", 1.0),
        ("{of circuit: {time constant: C1}}", 1e-4),
    ],
)
def test_at_ac_the_magnitude_is_taken_or_what_the_unit_says(keys: str, value: float) -> None:
    assert values_of(keys, LOWPASS, AC) == pytest.approx(value, rel=1e-9)


# -- changes ---------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("circuit", "when", "expected"),
    [
        ("{voltage: tap}", "{R2: open}", 1.0),
        ("{voltage: tap}", "{R2: short}", -1.0),
        ("{voltage: tap}", "{R1: 2*R1}", -1.0),
        ("{voltage: tap}", "{R1: 2*R1, R2: 2*R2, RL: 2*RL}", 0.0),
        ("{voltage: in}", "{R1: 2*R1}", 0.0),
        ("{voltage: tap}", "{R1: R2, R2: R1}", -1.0),
        ("{voltage: tap}", "{V1: 1.0005*V1}", 0.0),
        ("{voltage: tap}", "{V1: 1.002*V1}", 1.0),
        ("{voltage: tap}", "{R2: open, RL: R1 + R2}", 1.0),
    ],
)
def test_a_change_is_decided_by_solving_again(circuit: str, when: str, expected: float) -> None:
    assert values_of(f"{{kind: change, of circuit: {circuit}, when: {when}}}") == expected


def test_a_change_may_be_stated_by_a_derived_value() -> None:
    values = f"{DIVIDER}\nhalf: {{formula: R2/2}}\nquarter: {{formula: half/2}}"
    assert values_of("{kind: change, of circuit: {voltage: tap}, when: {R2: quarter}}", values) == -1.0


def test_derived_values_follow_a_change() -> None:
    values = f"{DIVIDER}\nsum: {{formula: R1 + R2}}"
    assert values_of("{kind: change, formula: V1/sum, when: {R2: 2*R2}}", values) == -1.0


def test_a_change_that_names_old_values_takes_all_of_them_before() -> None:
    # R1 and R2 exchanged: the divider is turned over, not made of two equal resistors.
    assert values_of("{kind: change, formula: R2/(R1 + R2), when: {R1: R2, R2: R1}}") == -1.0


def test_the_band_of_a_change_is_the_asks_tolerance() -> None:
    assert values_of("{kind: change, formula: V1, when: {V1: 1.04*V1}, tolerance: 5 %}") == 0.0
    assert values_of("{kind: change, formula: V1, when: {V1: 1.06*V1}, tolerance: 5 %}") == 1.0


@pytest.mark.parametrize(
    ("before", "after", "expected"),
    [(1.0, 2.0, 1.0), (2.0, 1.0, -1.0), (1.0, 1.0009, 0.0), (-1.0, -2.0, -1.0), (0.0, 0.0, 0.0), (0.0, 1e-9, 1.0)],
)
def test_a_direction_is_that_of_the_value(before: float, after: float, expected: float) -> None:
    assert direction(before, after, 1e-3, 0.0) == expected


# -- preferred values ------------------------------------------------------------------------------------------------
def test_preferred_values_of_an_array_are_none_where_there_is_none() -> None:
    found = preferred_array("E12", "up", np.array([4600.0, -1.0, 0.0, np.nan, 4.7e3]))
    assert found.tolist()[:1] == [4700.0]
    assert np.isnan(found[1:4]).all()
    assert found[4] == 4700.0


@pytest.mark.parametrize(("rounding", "value"), [("nearest", 4700.0), ("up", 5600.0), ("down", 4700.0)])
def test_a_preferred_value_is_rounded_as_the_ask_says(rounding: str, value: float) -> None:
    keys = f"{{kind: preferred, series: E12, round: {rounding}, formula: 4.8 kΩ}}"
    assert values_of(keys, before="") == value


# -- names -----------------------------------------------------------------------------------------------------------
def test_names_are_told_apart() -> None:
    text = (
        asking(
            "{formula: mu*half/ra}",
            values="valve: {rows: [{label: A, mu: 1, ra: 2 kΩ}]}\nR1: 3 kΩ\nhalf: {formula: R1/2}",
        )
        + "  y: {text: And?, kind: choice, options: {a: {text: A, right: R1 > ra}, b: {text: B, right: R1 <= ra}}}\n"
    )
    template = read(text)
    assert base_names(template) == ("mu", "ra", "R1")
    assert number_names(template) == ("mu", "ra", "R1", "half", "x")
    assert implicit_names(template) == ()
    assert set(written_out(template)) == {"half"}


@pytest.mark.parametrize(
    "place",
    [
        "require: [power_R1 < 9 W]", "text: \"`power_R1=`\"", "hints: [\"`power_R1=`\"]", "solution: [\"`power_R1=`\"]",
    ],
)  # fmt: skip
def test_the_circuits_own_quantities_are_found_where_texts_and_conditions_use_them(place: str) -> None:
    text = asking("{formula: V1}", values=DIVIDER, before=f"{LOADED_DIVIDER}")
    key = place.split(":")[0]
    lines = [line for line in text.splitlines() if not line.startswith(f"{key}:")]
    assert implicit_names(read("\n".join([*lines, place]) + "\n")) == ("power_R1",)


@pytest.mark.parametrize(
    "options",
    [
        "{a: {text: A, right: power_R1 > 1 W}, b: {text: B, right: power_R1 <= 1 W}}",
        "{a: {text: '`power_R1=`', right: yes}, b: {text: B}}",
        "{a: {text: A, right: yes}, b: {text: B, says: '`power_R1=`'}}",
    ],
)
def test_options_may_use_the_circuits_own_quantities(options: str) -> None:
    text = asking(f"{{kind: choice, options: {options}}}", values=DIVIDER, before=LOADED_DIVIDER)
    assert implicit_names(read(text)) == ("power_R1",)


# -- what cannot be compiled -----------------------------------------------------------------------------------------
def test_a_value_that_the_solution_needs_and_nothing_gives_is_named() -> None:
    text = asking("{of circuit: {voltage: tap}}", values="V1: 250 V\nR1: 22 kΩ\nR2: 47 kΩ", before=LOADED_DIVIDER)
    with pytest.raises(CircuitError) as caught:
        compile_template(read(text))
    assert str(caught.value) == "RL has no value; give one in the circuit, or a value RL under `values:`"


def test_a_value_that_no_solution_needs_may_be_left_open() -> None:
    circuit = LOADED_DIVIDER + "  C1: {kind: capacitor, nodes: [tap, 0]}\n"
    assert values_of("{of circuit: {voltage: tap}}", DIVIDER, circuit) == pytest.approx(148.0968, rel=1e-6)


def test_a_change_that_leaves_a_node_in_the_air_is_named() -> None:
    circuit = HEAD and LOADED_DIVIDER
    text = asking(
        "{kind: change, of circuit: {voltage: tap}, when: {R2: open, RL: open, R1: open}}", DIVIDER, before=circuit
    )
    with pytest.raises(CircuitError):
        compile_template(read(text))
