import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tutor.quantities import codes
from tutor.quantities.codes import (
    Marking,
    read_bands,
    read_capacitor_figures,
    read_letter_code,
    write_bands,
    write_capacitor_figures,
    write_letter_code,
)
from tutor.quantities.errors import CodeError
from tutor.quantities.tolerance import Tolerance
from tutor.quantities.units import FARAD, OHM, VOLT


def test_bands_are_read_with_their_tolerance_and_temperature_coefficient() -> None:
    assert read_bands(["yellow", "violet", "red", "gold"]) == Marking(
        value=4700.0, unit=OHM, tolerance=Tolerance(relative=0.05)
    )
    assert read_bands(["Brown", "BLACK", "black", "red", "brown", "red"]) == Marking(
        value=10_000.0, unit=OHM, tolerance=Tolerance(relative=0.01), temperature_coefficient=50e-6
    )
    assert read_bands(["white", "gray", "gold", "none"]).value == 9.8


def test_bands_are_written_with_as_few_as_will_do() -> None:
    assert write_bands(4700.0, 0.2) == ("yellow", "violet", "red")
    assert write_bands(4700.0) == ("yellow", "violet", "red", "gold")
    assert write_bands(4750.0, 0.01) == ("yellow", "violet", "green", "brown", "brown")
    assert write_bands(4700.0, 0.01, count=5) == ("yellow", "violet", "black", "brown", "brown")
    assert write_bands(1e6, 0.1) == ("brown", "black", "green", "silver")
    assert write_bands(100.0, 0.01, temperature_coefficient=50e-6) == (
        "brown", "black", "black", "black", "brown", "red",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("bands", "message"),
    [
        (["red", "red"], "no marking code for 'red red': a resistor has three to six bands, not 2"),
        (
            ["gold", "red", "violet", "yellow"],
            "no marking code for 'gold red violet yellow': gold has no meaning as figure; "
            "perhaps begin at the other end",
        ),
        (
            ["black", "red", "red"],
            "no marking code for 'black red red': the first band is never black; begin at the other end",
        ),
        (["red", "mauve", "red"], "no marking code for 'red mauve red': 'mauve' is no colour of the code"),
        (
            ["red", "red", "red", "white"],
            "no marking code for 'red red red white': white has no meaning as tolerance; "
            "perhaps begin at the other end",
        ),
    ],
)
def test_impossible_bands_are_refused(bands: list[str], message: str) -> None:
    with pytest.raises(CodeError) as caught:
        read_bands(bands)
    assert str(caught.value) == message


def test_what_bands_cannot_say_is_refused() -> None:
    cases: list[tuple[Callable[[], tuple[str, ...]], str]] = [
        (lambda: write_bands(4753.0), "5 bands hold 3 figures, the value has 4"),
        (lambda: write_bands(4750.0, count=4), "4 bands hold 2 figures, the value has 3"),
        (lambda: write_bands(4700.0, 0.05, count=3), "three bands are always 20 %"),
        (lambda: write_bands(4700.0, count=7), "a resistor has three to six bands, not 7"),
        (lambda: write_bands(4700.0, count=6), "a sixth band needs a temperature coefficient"),
        (lambda: write_bands(0.0), "a part has a positive value"),
        (lambda: write_bands(math.nan), "a part has a positive value"),
        (
            lambda: write_bands(4700.0, 0.07),
            "no code for a tolerance of 0.07; known are "
            "0.0001, 0.0002, 0.0005, 0.001, 0.0025, 0.005, 0.01, 0.02, 0.05, 0.1 or 0.2",
        ),
        (
            lambda: write_bands(4.7e12),
            "no code for a multiplier of 11; known are -3, -2, -1, 0, 1, 2, 3, 4, 5, 6, 7, 8 or 9",
        ),
    ]
    for write, reason in cases:
        with pytest.raises(CodeError) as caught:
            write()
        assert caught.value.reason == reason


@given(
    st.integers(100, 999),
    st.integers(-3, 8),
    st.sampled_from([0.0001, 0.0002, 0.0005, 0.001, 0.0025, 0.005, 0.01, 0.02, 0.05, 0.1]),
)
def test_bands_written_are_read_back(digits: int, power: int, tolerance: float) -> None:
    value = float(f"{digits}e{power}")
    assert read_bands(write_bands(value, tolerance, count=5)) == Marking(
        value=value, unit=OHM, tolerance=Tolerance(relative=tolerance)
    )


@pytest.mark.parametrize(
    ("code", "value", "tolerance"),
    [
        ("47K", 47e3, None),
        ("47KK", 47e3, 0.1),
        ("4K7J", 4700.0, 0.05),
        ("4k7", 4700.0, None),
        ("2M2M", 2.2e6, 0.2),
        ("R47F", 0.47, 0.01),
        ("4L7", 4.7e-3, None),
        ("1G5", 1.5e9, None),
    ],
)
def test_letter_codes_of_resistors_are_read(code: str, value: float, tolerance: float | None) -> None:
    expected = None if tolerance is None else Tolerance(relative=tolerance)
    assert read_letter_code(code) == Marking(value=value, unit=OHM, tolerance=expected)


@pytest.mark.parametrize(
    ("code", "value", "tolerance"),
    [
        ("4n7", 4.7e-9, None),
        ("4n7K", 4.7e-9, Tolerance(relative=0.1)),
        ("p33", 0.33e-12, None),
        ("4p7C", 4.7e-12, Tolerance(absolute=0.25e-12, kind=FARAD)),
        ("9p9B", 9.9e-12, Tolerance(absolute=0.1e-12, kind=FARAD)),
        ("10pB", 10e-12, Tolerance(relative=0.001)),
        ("47pC", 47e-12, Tolerance(relative=0.0025)),
        ("2u2", 2.2e-6, None),
        ("2µ2M", 2.2e-6, Tolerance(relative=0.2)),
        ("1m5", 1.5e-3, None),
        ("4F7", 4.7, None),
    ],
)
def test_letter_codes_of_capacitors_are_read(code: str, value: float, tolerance: Tolerance | None) -> None:
    assert read_letter_code(code) == Marking(value=value, unit=FARAD, tolerance=tolerance)


@pytest.mark.parametrize("code", ["", "K", "47", "4K7K7", "4.7K", "4K7JJ", "1" * 30 + "K", "4X7"])
def test_what_is_no_letter_code_is_refused(code: str) -> None:
    with pytest.raises(CodeError) as caught:
        read_letter_code(code)
    assert caught.value.reason == "expected figures with one letter at the decimal point, for example 4K7 or 2n2"


def test_a_last_letter_of_two_meanings_or_none_is_refused() -> None:
    with pytest.raises(CodeError) as caught:
        read_letter_code("10pF")
    assert caught.value.reason == "F at the end may mean the farad or 1 %; leave it out"
    with pytest.raises(CodeError) as caught:
        read_letter_code("4K7Q")
    assert caught.value.reason.startswith("Q is no tolerance; known are A, B, C, ")


@pytest.mark.parametrize(
    ("value", "tolerance", "code"),
    [
        (4700.0, None, "4K7"),
        (0.47, None, "R47"),
        (0.05, None, "50L"),
        (470.0, None, "470R"),
        (47_300.0, 0.01, "47K3F"),
        (1e6, 0.2, "1MM"),
        (100e3, 0.05, "100KJ"),
    ],
)
def test_letter_codes_of_resistors_are_written(value: float, tolerance: float | None, code: str) -> None:
    assert write_letter_code(value, OHM, tolerance) == code


def test_letter_codes_of_capacitors_are_written() -> None:
    assert write_letter_code(2.2e-9, FARAD) == "2n2"
    assert write_letter_code(0.33e-12, FARAD) == "p33"
    assert write_letter_code(100e-6, FARAD, 0.2) == "100µM"
    assert write_letter_code(0.047e-12, FARAD) == "p047"
    # From 10 pF up the letters are shares; below they are picofarads, which a share cannot ask for.
    assert write_letter_code(10e-12, FARAD, 0.001) == "10pB"
    with pytest.raises(CodeError):
        write_letter_code(9.9e-12, FARAD, 0.001)


def test_what_the_letter_code_cannot_say_is_refused() -> None:
    for value, unit, tolerance in (
        (1.0, VOLT, None),
        (1e-6, OHM, None),
        (123_456.0, OHM, None),
        (1e16, OHM, None),
        (4.7e-12, FARAD, 0.0025),
        (47e-12, FARAD, 0.01),
        (-1.0, OHM, None),
        (1.0, OHM, 0.07),
    ):
        with pytest.raises(CodeError):
            write_letter_code(value, unit, tolerance)


@given(st.integers(1, 99_999), st.integers(-6, 9), st.sampled_from([None, 0.01, 0.05, 0.1, 0.2]))
def test_letter_codes_written_are_read_back(digits: int, power: int, tolerance: float | None) -> None:
    expected = None if tolerance is None else Tolerance(relative=tolerance)
    value = float(f"{digits}e{power}")
    if 1e-3 <= value < 1e15:
        code = write_letter_code(value, OHM, tolerance)
        assert read_letter_code(code) == Marking(value=value, unit=OHM, tolerance=expected)
    value = float(f"{digits}e{power - 9}")
    if 1e-11 <= value < 1e3 and tolerance != 0.01:
        code = write_letter_code(value, FARAD, tolerance)
        assert read_letter_code(code) == Marking(value=value, unit=FARAD, tolerance=expected)


@pytest.mark.parametrize(
    ("code", "value", "tolerance"),
    [
        ("104", 100e-9, None),
        ("473K", 47e-9, Tolerance(relative=0.1)),
        ("220", 22e-12, None),
        ("479", 4.7e-12, None),
        ("478", 0.47e-12, None),
        ("4R7", 4.7e-12, None),
        ("R47", 0.47e-12, None),
        ("4R7C", 4.7e-12, Tolerance(absolute=0.25e-12, kind=FARAD)),
        ("107", 100e-6, None),
    ],
)
def test_three_figures_of_a_capacitor_are_read(code: str, value: float, tolerance: Tolerance | None) -> None:
    assert read_capacitor_figures(code) == Marking(value=value, unit=FARAD, tolerance=tolerance)


@pytest.mark.parametrize("code", ["", "10", "1044", "1K4", "R", "104KK", "9" * 30])
def test_what_is_no_figure_code_is_refused(code: str) -> None:
    with pytest.raises(CodeError) as caught:
        read_capacitor_figures(code)
    assert caught.value.reason == "expected two figures and a power of ten, for example 104"


@given(st.integers(10, 99), st.integers(-2, 7))
def test_three_figures_written_are_read_back(digits: int, power: int) -> None:
    value = float(f"{digits}e{power - 12}")
    assert read_capacitor_figures(write_capacitor_figures(value)).value == value


def test_what_three_figures_cannot_say_is_refused() -> None:
    for value in (123e-12, 1e-14, 1.0, 0.0):
        with pytest.raises(CodeError):
            write_capacitor_figures(value)


def test_no_code_of_a_resistor_is_a_code_of_a_capacitor() -> None:
    assert not set(codes.RESISTANCE_LETTERS) & set(codes.CAPACITANCE_LETTERS)
