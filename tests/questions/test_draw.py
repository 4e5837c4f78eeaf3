from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.questions.templates import LOADED_DIVIDER, PINNED, STEPS, asking, compiled, question_of, with_values
from tutor.questions.draw import draw, given_names
from tutor.questions.errors import DrawError
from tutor.questions.fragments import text_of
from tutor.questions.lots import LARGEST_SERIAL

DIVIDER = "V1: 250 V\nR1: 22 kΩ\nR2: 47 kΩ\nRL: 100 kΩ"
QUESTION = question_of(with_values(STEPS, PINNED))


def plain(text: str) -> str:
    return text.replace("\N{NO-BREAK SPACE}", " ")


def shown(keys: str, values: str = DIVIDER, before: str = LOADED_DIVIDER, text: str = "A text.") -> str:
    return plain(question_of(asking(keys, values=values, before=before, text=text)).ask("x").shown)


# -- texts -----------------------------------------------------------------------------------------------------------
def test_values_stand_in_the_text() -> None:
    assert (
        plain(text_of(QUESTION.text)) == "V1 = 250 V feeds R1 = 22 kΩ over R2 = 47 kΩ, and the tap feeds RL = 100 kΩ."
    )


def test_steps_read_in_symbols_then_in_figures_then_the_value() -> None:
    assert [plain(text_of(step)) for step in QUESTION.solution] == [
        "The foot with its load is R2 ∥ RL = 47 kΩ ∥ 100 kΩ = 32.0 kΩ.",
        "v_tap = V1·(R2 ∥ RL)/(R1 + (R2 ∥ RL)) = 250 V × (47 kΩ ∥ 100 kΩ) / (22 kΩ + (47 kΩ ∥ 100 kΩ)) = 148 V",
        "i_load = v_tap/RL = 148 V / 100 kΩ = 1.48 mA",
        "p_load = v_tap·i_load = 148 V × 1.48 mA = 0.219 W",
    ]


def test_hints_are_not_read_in_figures() -> None:
    text = asking("{formula: V1*R2/(R1 + R2)}", DIVIDER) + 'hints: ["Look at `R2/(R1 + R2)=` first."]\n'
    assert plain(text_of(question_of(text).hints[0])) == "Look at R2/(R1 + R2) = 0.681 first."


@pytest.mark.parametrize(
    ("span", "words"),
    [
        ("`R1`", "R1"),
        ("`R1=`", "R1 = 22 kΩ"),
        ("`=R1`", "22 kΩ"),
        ("`R1 + R2=`", "R1 + R2 = 22 kΩ + 47 kΩ = 69 kΩ"),
        ("`=R1 + R2`", "69 kΩ"),
        ("`V1/R1=`", "V1/R1 = 250 V / 22 kΩ = 11.4 mA"),
        ("`R1/R2=`", "R1/R2 = 22 kΩ / 47 kΩ = 0.468"),
        ("`R1/R2`", "R1/R2"),
        ("`voltage_tap=`", "voltage_tap = 148 V"),
        ("`a = R1/3 =`", "a = R1/3 = 22 kΩ / 3 = 7.33 kΩ"),
        ("`a = R1/3`", "a = R1/3"),
        # The value of a chain has the unit of the name in it; an expression alone knows no decibels.
        ("`level = 20*log10(R1/R2) =`", "level = 20·log10(R1/R2) = 20 × log10(22 kΩ / 47 kΩ) = −6.59 dB"),
        ("`level=` dB", "level = −6.59 dB"),
        ("`20*log10(R1/R2)=`", "20·log10(R1/R2) = 20 × log10(22 kΩ / 47 kΩ) = −6.59"),
    ],
)
def test_a_span_reads_as_its_author_meant(span: str, words: str) -> None:
    values = f"{DIVIDER}\na: {{formula: R1/3}}"
    text = asking("{formula: db(R1/R2)}", values, "level", LOADED_DIVIDER) + f'solution: ["{span}"]\n'
    assert plain(text_of(question_of(text).solution[0])) == words


def test_a_share_that_is_asked_in_per_cent_is_shown_in_per_cent() -> None:
    text = asking('{formula: R1/R2, unit: "%"}', DIVIDER) + 'solution: ["`x = R1/R2 =`, and `x=` % of it"]\n'
    question = question_of(text)
    assert plain(question.ask("x").shown) == "46.8 %"
    assert plain(text_of(question.solution[0])) == "x = R1/R2 = 22 kΩ / 47 kΩ = 46.8 %, and x = 46.8 % of it"


def test_a_label_stands_for_its_row() -> None:
    text = asking("{formula: mu}", values="valve: {rows: [{label: ECC83, mu: 100}]}", text='"The `=valve` has `mu=`."')
    assert plain(text_of(question_of(text).text)) == "The ECC83 has µ = 100."


# -- keys ------------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("keys", "key"),
    [
        ("{formula: V1*R2/(R1 + R2)}", "170 V"),
        ("{formula: V1/R1, unit: mA}", "11.4 mA"),
        ("{formula: R1/R2}", "0.468"),
        ("{kind: preferred, series: E12, formula: R1 + R2, unit: kΩ}", "68 kΩ"),
        ("{kind: change, of circuit: {voltage: tap}, when: {R2: open}}", "rises"),
        ("{kind: choice, options: {a: {text: The `R1`, right: R1 < R2}, b: {text: B, right: R1 >= R2}}}", "The R1"),
        ("{kind: choice, options: {a: {text: '`R1/R2=`', right: yes}, b: {text: B}}}", "R1/R2 = 0.468"),
    ],
)
def test_a_key_is_shown_as_people_read_it(keys: str, key: str) -> None:
    assert shown(keys) == key


def test_an_ask_carries_what_marking_needs() -> None:
    ask = QUESTION.ask("i_load")
    assert (ask.formula, ask.unit, ask.printed, ask.tolerance, ask.marks) == (
        "v_tap/RL", "A", "mA", "2\N{NO-BREAK SPACE}%", 2,
    )  # fmt: skip
    (slip,) = ask.slips
    assert (slip.name, slip.formula, slip.tells) == ("wrong-resistor", "v_tap/R2", True)
    assert slip.value == pytest.approx(148.0968 / 47e3)


@pytest.mark.parametrize("kind", ["change", "choice"])
def test_an_ask_without_a_number_prints_no_unit(kind: str) -> None:
    keys = {
        "change": "{kind: change, of circuit: {voltage: tap}, when: {R2: open}}",
        "choice": "{kind: choice, formula: V1, slips: {a: {formula: V1/2, says: A.}, b: {formula: V1/3, says: B.}}}",
    }[kind]
    ask = question_of(asking(keys, DIVIDER, before=LOADED_DIVIDER)).ask("x")
    assert (ask.unit, ask.printed, ask.marks) == ("", "", 1)


# -- slips -----------------------------------------------------------------------------------------------------------
def test_a_slip_tells_when_it_lies_apart() -> None:
    keys = """
    formula: V1
    slips:
      near: {formula: 1.03*V1, says: N.}
      apart: {formula: 1.1*V1, says: A.}
      twin: {formula: 1.5*V1, says: T.}
      other-twin: {formula: 1.51*V1, says: O.}
      endless: {formula: V1*R1/(R1 - R1), says: E.}
    """
    slips = question_of(asking(keys, DIVIDER)).ask("x").slips
    assert {slip.name: slip.tells for slip in slips} == {
        "near": False, "apart": True, "twin": False, "other-twin": False, "endless": False,
    }  # fmt: skip
    assert slips[-1].value is None


def test_a_slip_of_a_preferred_ask_ends_at_a_preferred_value_too() -> None:
    keys = "{kind: preferred, series: E12, formula: R1, slips: {sum: {formula: R1 + R2, says: S.}}}"
    (slip,) = question_of(asking(keys, DIVIDER)).ask("x").slips
    assert slip.value == 68e3


# -- givens ----------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("text", "values", "before", "names"),
    [
        ("'`V1=`'", DIVIDER, "", ("V1",)),
        ("'`=V1` and `R1 + R2=`'", DIVIDER, "", ("V1", "R1", "R2")),
        ("'`V1` alone'", DIVIDER, "", ()),
        ("A text.", DIVIDER, LOADED_DIVIDER, ("V1", "R1", "R2", "RL")),
        ("'`half=`'", f"{DIVIDER}\nhalf: {{formula: V1/2}}", "", ("half",)),
        ("'`V1/2 = half`'", f"{DIVIDER}\nhalf: {{formula: V1/2}}", "", ()),
        ("'`mu=`'", "valve: {rows: [{label: A, mu: 3, ra: 1 kΩ}]}\nV1: 2 V", "", ("mu",)),
    ],
)
def test_given_is_what_the_text_or_the_drawing_shows(
    text: str, values: str, before: str, names: tuple[str, ...]
) -> None:
    template = compiled(asking("{formula: V1}", values, before=before, text=text)).template
    assert given_names(template) == names


def test_given_values_are_exact_and_worked_out_ones_rounded() -> None:
    values = "V1: 237.5 V\nR1: 62.5 kΩ\nthird: {formula: V1/3}"
    question = question_of(asking("{formula: V1/R1}", values, text="'`V1=`, `R1=`, `third=`'"))
    assert [(given.name, plain(given.shown), given.unit) for given in question.givens] == [
        ("V1", "237.5 V", "V"), ("R1", "62.5 kΩ", "Ω"), ("third", "79.2 V", "V"),
    ]  # fmt: skip


# -- choices ---------------------------------------------------------------------------------------------------------
CHOICE = "{kind: choice, options: {a: {text: A, right: yes}, b: {text: B}, c: {text: C}, d: {text: D}}}"


def test_options_come_in_an_order_that_the_serial_fixes() -> None:
    made = compiled(asking(CHOICE))
    orders = [tuple(option.name for option in draw(made, serial).asks[0].options) for serial in range(400)]
    assert orders == [tuple(option.name for option in draw(made, serial).asks[0].options) for serial in range(400)]
    assert len(set(orders)) == 24
    firsts = [order.index("a") for order in orders]
    assert all(70 <= firsts.count(place) <= 130 for place in range(4))


@pytest.mark.parametrize(("right", "count"), [("V1 > 1 kV", 0), ("V1 < 1 kV", 2)])
def test_a_choice_without_exactly_one_right_option_cannot_be_drawn(right: str, count: int) -> None:
    made = compiled(
        asking(f"{{kind: choice, options: {{a: {{text: A, right: {right}}}, b: {{text: B, right: {right}}}}}}}")
    )
    with pytest.raises(DrawError) as caught:
        draw(made, 7)
    assert str(caught.value) == f"sample, serial 7: {count} options of x are right; exactly one must be"


def test_numbers_to_choose_from_are_the_key_and_the_slips_that_tell() -> None:
    keys = """
    kind: choice
    formula: V1
    slips: {half: {formula: V1/2, says: H.}, near: {formula: 1.01*V1, says: N.}, twice: {formula: 2*V1, says: T.}}
    """
    options = question_of(asking(keys)).asks[0].options
    assert sorted((plain(text_of(option.text)), option.right) for option in options) == [
        ("125 V", False), ("250 V", True), ("500 V", False),
    ]  # fmt: skip


# -- limits ----------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("circuit", "limit"),
    [
        ("{voltage: tap}", 250.0), ("{voltage: [in, tap]}", 250.0), ("{current: R1}", 250 / 22e3),
        ("{power: RL}", 250**2 / 100e3), ("{current: V1}", None), ("{impedance: tap}", None),
        ("{gain: {from: in, to: tap}}", None),
    ],
)  # fmt: skip
def test_a_resistive_circuit_sets_a_limit_to_its_quantities(circuit: str, limit: float | None) -> None:
    ask = question_of(asking(f"{{of circuit: {circuit}}}", DIVIDER, before=LOADED_DIVIDER)).ask("x")
    assert ask.limit == (None if limit is None else pytest.approx(limit))


def test_with_a_valve_in_it_the_circuit_sets_no_limit() -> None:
    circuit = LOADED_DIVIDER + "  I1: {kind: current source, nodes: [tap, '0'], value: 1 mA}\n"
    assert question_of(asking("{of circuit: {voltage: tap}}", DIVIDER, before=circuit)).ask("x").limit is None


# -- serials ---------------------------------------------------------------------------------------------------------
@given(st.integers(0, LARGEST_SERIAL))
def test_a_serial_draws_the_same_question_every_time(serial: int) -> None:
    made = compiled(STEPS)
    assert draw(made, serial) == draw(compiled(STEPS), serial)


@pytest.mark.parametrize("serial", [-1, 2**63, 1.5])
def test_what_is_no_serial_draws_nothing(serial: int) -> None:
    with pytest.raises(DrawError, match="a serial is a whole number from 0 to 9223372036854775807, such as 7"):
        draw(compiled(STEPS), serial)


def test_a_text_without_a_value_cannot_be_drawn() -> None:
    made = compiled(asking("{formula: V1}", text="'`1/(V1 - 250 V)=`'"))
    with pytest.raises(DrawError) as caught:
        draw(made, 3)
    assert str(caught.value) == ("sample, serial 3: cannot read '1/(V1 - 250 V)' as an expression: it divides by zero")


def test_another_release_draws_other_values() -> None:
    questions = [
        draw(compiled(text), serial) for text in (STEPS, STEPS.replace("feeds", "drives")) for serial in range(30)
    ]
    assert [q.values for q in questions[:30]] != [q.values for q in questions[30:]]
