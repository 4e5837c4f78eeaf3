from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.questions.templates import BENCH, STEPS, asking, compiled, with_values
from tutor.questions.bank import read_library
from tutor.questions.cache import CompiledCache
from tutor.questions.compiling import ADMITTED
from tutor.questions.errors import DrawError
from tutor.questions.lots import LARGEST_SERIAL
from tutor.questions.lottery import MOST_TRIES, draw_batch, draw_values, read_serial

LIBRARY = read_library([BENCH])
TEMPLATES = {name: CompiledCache().compiled(template) for name, template in LIBRARY.templates.items()}
TEMPLATES["steps"] = compiled(STEPS)
TEMPLATES["rows"] = compiled(
    asking(
        "{formula: mu*Ra/(ra + Ra)}",
        values="""
        valve: {rows: [{label: ECC83, mu: 100, ra: 62.5 kΩ}, {label: ECC82, mu: 17, ra: 7.7 kΩ}]}
        Ra: {from: 50 kΩ, to: 200 kΩ, step: 10 kΩ}
        stated: {formula: Ra/2}
        """,
        before="require: [mu > 20 or Ra > 100 kΩ]\n",
    )
)


# -- serials ---------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("typed", "serial"),
    [("7", 7), (" 007 ", 7), (0, 0), (LARGEST_SERIAL, LARGEST_SERIAL), ("9223372036854775807", LARGEST_SERIAL)],
)
def test_a_serial_is_a_whole_number(typed: object, serial: int) -> None:
    assert read_serial(typed, "sample") == serial


@pytest.mark.parametrize(
    "typed", ["", "-1", "1.0", "1e3", "seven", "٧", "9223372036854775808", "1" * 30, -1, 2.5, None, "7 8", "²"]
)
def test_what_is_no_serial_says_what_would_do(typed: object) -> None:
    with pytest.raises(DrawError) as caught:
        read_serial(typed, "sample")
    shown = str(typed).strip()
    assert str(caught.value) == (
        f"sample, serial {shown}: a serial is a whole number from 0 to 9223372036854775807, such as 7"
    )


def test_a_serial_of_a_megabyte_is_shortened() -> None:
    with pytest.raises(DrawError) as caught:
        read_serial("1" * 10**6, "sample")
    assert len(str(caught.value)) < 200


# -- one and many ----------------------------------------------------------------------------------------------------
@pytest.mark.parametrize("name", sorted(TEMPLATES))
def test_a_serial_drawn_alone_is_as_among_many(name: str) -> None:
    template = TEMPLATES[name]
    serials = np.array([*range(300), 10**6, 2**40 + 1, LARGEST_SERIAL], dtype=np.uint64)
    batch = draw_batch(template, serials)
    for place, serial in enumerate(serials):
        alone = draw_values(template, int(serial))
        assert alone.tries == batch.tries[place]
        for base in template.base:
            assert alone.values[base] == batch.values[base][place]
        assert set(alone.values) == set(batch.values)
        for key, value in alone.values.items():
            assert value == pytest.approx(float(batch.values[key][place]), rel=1e-12, abs=1e-15)


@given(st.integers(0, LARGEST_SERIAL))
def test_a_serial_gives_the_same_values_every_time(serial: int) -> None:
    for template in TEMPLATES.values():
        assert draw_values(template, serial) == draw_values(template, serial)


def test_rows_are_drawn_together_with_their_word() -> None:
    for serial in range(50):
        drawn = draw_values(TEMPLATES["rows"], serial)
        assert (drawn.labels["valve"], drawn.values["mu"], drawn.values["ra"]) in (
            ("ECC83", 100.0, 62500.0),
            ("ECC82", 17.0, 7700.0),
        )


def test_every_admitted_draw_meets_the_conditions() -> None:
    for serial in range(200):
        values = draw_values(TEMPLATES["rows"], serial).values
        assert values["mu"] > 20 or values["Ra"] > 100e3


def test_derived_values_and_keys_are_among_the_values_and_admission_is_not() -> None:
    values = draw_values(TEMPLATES["rows"], 1).values
    assert set(values) == {"mu", "ra", "Ra", "stated", "x"}
    assert ADMITTED not in values


def test_refused_draws_are_counted() -> None:
    batch = draw_batch(TEMPLATES["rows"], np.arange(2000))
    # Half of the rows are ECC82, of which 6 of 16 anode loads are refused: 3 in 16 of all draws.
    assert batch.refused_share == pytest.approx(3 / 16, abs=0.02)
    assert batch.valueless == 0
    assert (batch.tries >= 1).all()


# -- what cannot be drawn --------------------------------------------------------------------------------------------
def test_conditions_that_nothing_meets_are_named() -> None:
    never = compiled(asking("{formula: V1}", before="require: [V1 > 300 V, V1 < 200 V and V1 > 10 V, V1 > 5 V]\n"))
    with pytest.raises(DrawError) as caught:
        draw_values(never, 7)
    assert str(caught.value) == (
        "sample, serial 7: none of 200 draws meets the conditions; most often fails: V1 > 300 V; widen the values or the "
        "condition"
    )
    batch = draw_batch(never, np.arange(5))
    assert (batch.tries == 0).all()
    assert batch.refused_share == 1.0


def test_the_condition_that_fails_most_is_named() -> None:
    never = compiled(
        asking(
            "{formula: V1}",
            values="V1: {from: 1 V, to: 100 V, step: 1 V}",
            before="require: [V1 > 50 V, V1 < 10 V]\n",
        )
    )
    with pytest.raises(DrawError, match="most often fails: V1 < 10 V;"):
        draw_values(never, 3)


@pytest.mark.parametrize(
    ("formula", "reason"),
    [
        ("1/(V1 - 250 V)", "a value could not be worked out (float division by zero)"),
        ("sqrt(V1/(1 V) - 251)", "a value could not be worked out (math domain error)"),
        ("log(V1/(1 V) - 250)", "a value could not be worked out (math domain error)"),
        ("(V1/(1 V) - 251)**0.5", "a value is not finite"),
    ],
)
def test_values_that_are_none_are_drawn_again_and_named_in_the_end(formula: str, reason: str) -> None:
    never = compiled(asking(f"{{formula: {formula}}}"))
    with pytest.raises(DrawError) as caught:
        draw_values(never, 0)
    assert f"most often fails: {reason};" in str(caught.value)
    batch = draw_batch(never, np.arange(3))
    assert (batch.tries == 0).all()
    assert batch.valueless == 3 * MOST_TRIES


def test_a_draw_without_a_value_is_passed_over_alone_and_among_many() -> None:
    now_and_then = compiled(asking("{formula: V1/(V1 - 3 V)}", values="V1: {from: 1 V, to: 6 V, step: 1 V}"))
    batch = draw_batch(now_and_then, np.arange(200))
    assert batch.valueless > 0
    for serial in range(200):
        alone = draw_values(now_and_then, serial)
        assert alone.values["V1"] != 3.0
        assert alone.tries == batch.tries[serial]


def test_a_preferred_value_that_is_none_is_drawn_again_alone_and_among_many() -> None:
    preferred = "{kind: preferred, series: E12, formula: R1 - 3 kΩ}"
    now_and_then = compiled(asking(preferred, values="R1: {from: 1 kΩ, to: 6 kΩ, step: 1 kΩ}"))
    batch = draw_batch(now_and_then, np.arange(100))
    for serial in range(100):
        assert draw_values(now_and_then, serial).tries == batch.tries[serial]


def test_an_ask_may_be_called_admitted_or_wanted() -> None:
    text = with_values(STEPS, {"V1": "250 V", "R1": "22 kΩ", "R2": "47 kΩ", "RL": "100 kΩ"})
    for name in ("admitted", "wanted"):
        drawn = draw_values(compiled(text.replace("v_tap", name)), 1)
        assert drawn.values[name] == pytest.approx(148.0968, rel=1e-6)
