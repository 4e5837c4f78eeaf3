import decimal
import math
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tutor.quantities import units as u
from tutor.quantities.reading import read_quantity
from tutor.quantities.units import Unit, read_unit
from tutor.quantities.writing import best_prefix, number_in, show, show_exact, show_in

SHOWN = [
    # (magnitude, unit, three figures, exact); "_" stands for the no-break space
    (68.2, u.VOLT, "68.2_V", "68.2_V"),
    (68.1818, u.VOLT, "68.2_V", "68.1818_V"),
    (250.0, u.VOLT, "250_V", "250_V"),
    (253.0, u.VOLT, "253_V", "253_V"),
    (1234.0, u.VOLT, "1230_V", "1234_V"),
    (9994.0, u.VOLT, "9990_V", "9994_V"),
    (9996.0, u.VOLT, "10_kV", "9996_V"),
    (12_000.0, u.VOLT, "12_kV", "12_kV"),
    (0.9996, u.VOLT, "1_V", "999.6_mV"),
    (0.25, u.VOLT, "250_mV", "250_mV"),
    (3e-6, u.VOLT, "3_µV", "3_µV"),
    (4e-9, u.VOLT, "4_nV", "4_nV"),
    (-1.85, u.VOLT, "−1.85_V", "−1.85_V"),
    (0.47, u.OHM, "0.47_Ω", "0.47_Ω"),
    (0.047, u.OHM, "47_mΩ", "47_mΩ"),
    (470.0, u.OHM, "470_Ω", "470_Ω"),
    (4700.0, u.OHM, "4.7_kΩ", "4.7_kΩ"),
    (62_500.0, u.OHM, "62.5_kΩ", "62.5_kΩ"),
    (220e3, u.OHM, "220_kΩ", "220_kΩ"),
    (1e6, u.OHM, "1_MΩ", "1_MΩ"),
    (47e-6, u.FARAD, "47_µF", "47_µF"),
    (1000e-6, u.FARAD, "1000_µF", "1000_µF"),
    (10_000e-6, u.FARAD, "10000_µF", "10000_µF"),
    (22_000e-6, u.FARAD, "22_mF", "22_mF"),
    (22e-9, u.FARAD, "22_nF", "22_nF"),
    (1e-7, u.FARAD, "100_nF", "100_nF"),
    (1.6e-12, u.FARAD, "1.6_pF", "1.6_pF"),
    (1.85e-3, u.AMPERE, "1.85_mA", "1.85_mA"),
    (0.3, u.AMPERE, "300_mA", "300_mA"),
    (10.0, u.HENRY, "10_H", "10_H"),
    (50.0, u.HERTZ, "50_Hz", "50_Hz"),
    (15e3, u.HERTZ, "15_kHz", "15_kHz"),
    (1.5e6, u.HERTZ, "1.5_MHz", "1.5_MHz"),
    (3180e-6, u.SECOND, "3.18_ms", "3.18_ms"),
    (75e-6, u.SECOND, "75_µs", "75_µs"),
    (5000.0, u.SECOND, "5000_s", "5000_s"),
    (0.5, u.WATT, "0.5_W", "0.5_W"),
    (0.025, u.WATT, "25_mW", "25_mW"),
    (1500.0, u.WATT, "1.5_kW", "1.5_kW"),
    (60.0, u.VOLT_AMPERE, "60_VA", "60_VA"),
    (1.6e-3, u.AMPERE_PER_VOLT, "1.6_mA/V", "1.6_mA/V"),
    (1.6e-3, u.SIEMENS, "1.6_mS", "1.6_mS"),
    (16e-6, u.SIEMENS, "16_µS", "16_µS"),
    (-3.5, u.DECIBEL, "−3.5_dB", "−3.5_dB"),
    (45.0, u.DEGREE, "45°", "45°"),
    (300.0, u.KELVIN, "300_kelvin", "300_kelvin"),
    (25.0, u.CELSIUS, "25_°C", "25_°C"),
    (13e6, read_unit("V/µs").unit, "13_V/µs", "13_V/µs"),
    (2.3e-3, read_unit("A/V^1.5").unit, "0.0023_A/V^1.5", "0.0023_A/V^1.5"),
    (61.5385, u.RATIO, "61.5", "61.5385"),
    (0.02, u.RATIO, "0.02", "0.02"),
    (98_765.0, u.RATIO, "98800", "98765"),
    (1.2e6, u.RATIO, "1.2_×_10⁶", "1.2_×_10⁶"),
    (1e-5, u.RATIO, "10⁻⁵", "10⁻⁵"),
    (-1e-5, u.RATIO, "−10⁻⁵", "−10⁻⁵"),
    (1e20, u.VOLT, "10²⁰_V", "10²⁰_V"),
    (2.5e-20, u.FARAD, "2.5_×_10⁻²⁰_F", "2.5_×_10⁻²⁰_F"),
    # Where the ladder of prefixes ends, powers of ten begin.
    (9.9e7, u.VOLT, "99000_kV", "99000_kV"),
    (1e8, u.VOLT, "10⁸_V", "10⁸_V"),
    (1e-15, u.FARAD, "0.001_pF", "0.001_pF"),
    (9e-16, u.FARAD, "9_×_10⁻¹⁶_F", "9_×_10⁻¹⁶_F"),
    (1 / 3, u.VOLT, "333_mV", "333.333333333_mV"),
    (0.0001, u.RATIO, "0.0001", "0.0001"),
    (0.0, u.VOLT, "0_V", "0_V"),
    (-0.0, u.OHM, "0_Ω", "0_Ω"),
    (0.1 + 0.2, u.VOLT, "300_mV", "300_mV"),
    (math.nan, u.VOLT, "not a number", "not a number"),
    (math.inf, u.VOLT, "infinite", "infinite"),
    (-math.inf, u.RATIO, "−infinite", "−infinite"),
]


@pytest.mark.parametrize(("value", "unit", "rounded", "exact"), SHOWN)
def test_a_value_is_written_as_the_trade_writes_it(value: float, unit: Unit, rounded: str, exact: str) -> None:
    assert show(value, unit) == rounded.replace("_", "\u00a0")
    assert show_exact(value, unit) == exact.replace("_", "\u00a0")


def test_noughts_at_the_end_of_a_decimal_are_dropped_unless_wanted() -> None:
    assert show(61.5, u.VOLT, 4) == "61.5\u00a0V"
    assert show(61.5, u.VOLT, 4, trim=False) == "61.50\u00a0V"
    assert show(4.0, u.VOLT, trim=False) == "4.00\u00a0V"
    assert show(1230.0, u.VOLT, trim=False) == "1230\u00a0V"
    assert show(1.2e6, u.RATIO, trim=False) == "1.20\u00a0×\u00a010⁶"


def test_halves_are_rounded_away_from_nought_as_people_do() -> None:
    assert show(68.25, u.VOLT) == "68.3\u00a0V"
    assert show(-68.25, u.VOLT) == "−68.3\u00a0V"
    # One bit below 68.25, which another machine's arithmetic may give for the same thing.
    assert show(math.nextafter(68.25, 0), u.VOLT) == "68.3\u00a0V"


def test_a_value_is_written_in_the_printed_unit() -> None:
    assert show_in(68_200.0, read_unit("kΩ")) == "68.2\u00a0kΩ"
    assert show_in(0.02, read_unit("%")) == "2\u00a0%"
    assert show_in(90.0, read_unit("minutes")) == "1.5\u00a0minutes"
    assert show_in(45.0, read_unit("°")) == "45°"
    assert show_in(4.0, read_unit("V"), trim=False) == "4.00\u00a0V"
    assert show_in(math.nan, read_unit("V")) == "not a number"
    assert show_in(8e-6, read_unit("mfd")) == "8\u00a0mfd"


def test_the_number_alone_serves_a_field_beside_a_printed_unit() -> None:
    assert number_in(68_234.0, read_unit("kΩ")) == "68.2"
    assert number_in(-0.5, read_unit("")) == "−0.5"
    assert number_in(math.inf, read_unit("V")) == "infinite"


def test_the_best_prefix_is_the_one_in_which_the_value_is_shown() -> None:
    assert best_prefix(4700.0, u.OHM) == read_unit("kΩ")
    assert best_prefix(-0.002, u.AMPERE) == read_unit("mA")
    assert best_prefix(0.0, u.OHM).text == "Ω"
    assert best_prefix(math.nan, u.OHM).text == "Ω"
    assert best_prefix(1e30, u.OHM).text == "Ω"
    assert best_prefix(0.5, u.RATIO).text == ""


NAMED = [
    getattr(u, name)
    for name in u.__all__
    if isinstance(getattr(u, name), Unit)
]  # fmt: skip
UNITS = [
    *NAMED,
    *(read_unit(text).unit for text in ("V²", "A/V^1.5", "V/s", "V/A", "Ω·F", "°C/W", "V/(A·s)")),
]


def test_a_hundred_thousand_exact_values_are_read_back() -> None:
    lots = random.Random(20)
    for count in range(100_000):
        digits = lots.randrange(1, 10 ** lots.randrange(1, 13))
        value = float(f"{lots.choice((digits, -digits))}e{lots.randrange(-27, 13)}")
        unit = UNITS[count % len(UNITS)]
        found = read_quantity(show_exact(value, unit)).quantity
        assert found.magnitude == value
        assert found.unit.fits(unit)


@given(
    st.floats(min_value=1e-280, max_value=1e280) | st.floats(min_value=-1e280, max_value=-1e-280) | st.just(0.0),
    st.sampled_from(UNITS),
)
def test_any_float_is_read_back_to_twelve_figures(value: float, unit: Unit) -> None:
    found = read_quantity(show_exact(value, unit)).quantity
    assert found.magnitude == pytest.approx(value, rel=5.1e-12, abs=0)
    assert found.unit == unit


@given(st.floats(1e-15, 1e12), st.sampled_from(UNITS), st.integers(1, 8))
def test_rounding_moves_a_value_by_no_more_than_half_its_last_figure(value: float, unit: Unit, figures: int) -> None:
    found = read_quantity(show(value, unit, figures)).quantity
    assert found.magnitude == pytest.approx(value, rel=5 * 10.0**-figures * (1 + 1e-9))
    assert show(found.magnitude, unit, figures) == show(value, unit, figures)


@given(st.floats(1e-12, 1e9), st.sampled_from(["kΩ", "mV", "µF", "mA/V", "%", "Hz", "minutes", "dB"]))
def test_a_number_in_a_printed_unit_is_read_back_beside_it(value: float, text: str) -> None:
    written = read_unit(text)
    for shown in (number_in(value, written, 6), show_in(value, written, 6)):
        assert read_quantity(shown, written).quantity.magnitude == pytest.approx(value, rel=5.1e-6)


def test_no_decimal_context_set_elsewhere_changes_what_is_written() -> None:
    with decimal.localcontext() as context:
        context.prec, context.rounding = 2, decimal.ROUND_DOWN
        assert show_exact(62_512.5, u.OHM) == "62.5125\u00a0kΩ"
        assert show(68.25, u.VOLT, trim=False) == "68.3\u00a0V"
