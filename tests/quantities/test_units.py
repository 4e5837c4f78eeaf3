import pickle
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tutor.quantities import units as u
from tutor.quantities.dimensions import Dimension
from tutor.quantities.errors import UnitError
from tutor.quantities.spellings import PREFIXES, SYMBOLS
from tutor.quantities.units import Unit, WrittenUnit, coherent_unit, power_of_ten, read_unit

VOLT, AMPERE, SECOND = u.VOLT.dimension, u.AMPERE.dimension, u.SECOND.dimension


@pytest.mark.parametrize("prefix", PREFIXES)
@pytest.mark.parametrize("symbol", ["V", "A", "Ω", "H", "W", "Hz", "s", "S", "VA"])
def test_every_si_prefix_goes_with_every_unit(prefix: str, symbol: str) -> None:
    written = read_unit(prefix + symbol)
    assert written == WrittenUnit(prefix + symbol, float(f"1e{PREFIXES[prefix]}"), SYMBOLS[symbol][1])
    assert written.prefixed


@pytest.mark.parametrize("prefix", PREFIXES)
def test_every_si_prefix_but_peta_goes_with_the_farad(prefix: str) -> None:
    # PF is the picofarad of a typewriter that has no small letters; see `spellings.OLD_SPELLINGS`.
    power = -12 if prefix == "P" else PREFIXES[prefix]
    assert read_unit(prefix + "F") == WrittenUnit(prefix + "F", float(f"1e{power}"), u.FARAD)


COMPOUND = [
    ("mA/V", 1e-3, Unit("A/V", AMPERE / VOLT)),
    ("mA / V", 1e-3, Unit("A/V", AMPERE / VOLT)),
    ("mA/mV", 1.0, Unit("A/V", AMPERE / VOLT)),
    ("V/µs", 1e6, Unit("V/s", VOLT / SECOND)),
    ("volts per microsecond", 1e6, Unit("V/s", VOLT / SECOND)),
    ("V/A", 1.0, Unit("V/A", VOLT / AMPERE)),
    ("Ω·F", 1.0, Unit("Ω·F", SECOND)),
    ("Ω*F", 1.0, Unit("Ω·F", SECOND)),
    ("kΩ·nF", 1e-6, Unit("Ω·F", SECOND)),
    ("1/s", 1.0, Unit("1/s", SECOND**-1)),
    ("1/ms", 1e3, Unit("1/s", SECOND**-1)),
    ("s⁻¹", 1.0, Unit("1/s", SECOND**-1)),
    ("V²", 1.0, Unit("V²", VOLT**2)),
    ("V^2", 1.0, Unit("V²", VOLT**2)),
    ("mV²", 1e-6, Unit("V²", VOLT**2)),
    ("V·V", 1.0, Unit("V²", VOLT**2)),
    ("cm²", 1e-4, Unit("m²", u.METRE.dimension**2)),
    ("A/V^1.5", 1.0, Unit("A/V^1.5", AMPERE / VOLT ** Fraction(3, 2))),
    ("A/V^(3/2)", 1.0, Unit("A/V^1.5", AMPERE / VOLT ** Fraction(3, 2))),
    ("V/(A·s)", 1.0, Unit("V/(A·s)", VOLT / AMPERE / SECOND)),
    ("mV/V", 1e-3, u.RATIO),
    ("V/V", 1.0, u.RATIO),
    ("rad/s", 1.0, u.RADIAN_PER_SECOND),
    ("°C/W", 1.0, Unit("°C/W", u.KELVIN.dimension / u.WATT.dimension)),
    ("ppm/K", 1e-6, Unit("1/K", u.KELVIN.dimension**-1)),
    ("%/V", 0.01, Unit("1/V", VOLT**-1)),
    ("V/minute", 1 / 60, Unit("V/s", VOLT / SECOND)),
]


@pytest.mark.parametrize(("text", "factor", "unit"), COMPOUND)
def test_products_and_quotients_are_read(text: str, factor: float, unit: Unit) -> None:
    assert read_unit(text) == WrittenUnit(text, factor, unit)


@pytest.mark.parametrize(
    ("text", "factor", "unit"),
    [
        ("", 1.0, u.RATIO),
        ("%", 0.01, u.RATIO),
        ("‰", 1e-3, u.RATIO),
        ("dB", 1.0, u.DECIBEL),
        ("DB", 1.0, u.DECIBEL),
        ("°", 1.0, u.DEGREE),
        ("rad", 1.0, u.RADIAN),
        ("K", 1.0, u.KELVIN),
        ("m", 1.0, u.METRE),
        ("kg", 1.0, u.KILOGRAM),
        ("g", 1e-3, u.KILOGRAM),
        ("ohm", 1.0, u.OHM),
        ("OHMS", 1.0, u.OHM),
        ("R", 1.0, u.OHM),
        ("MEGOHMS", 1e6, u.OHM),
        ("Mohm", 1e6, u.OHM),
        ("mohm", 1e-3, u.OHM),
        ("MA", 1e6, u.AMPERE),
        ("ma", 1e-3, u.AMPERE),
        ("mf", 1e-3, u.FARAD),
        ("MF", 1e6, u.FARAD),
        ("mfd", 1e-6, u.FARAD),
        ("µmho", 1e-6, u.SIEMENS),
        ("℧", 1.0, u.SIEMENS),
        ("kVA", 1e3, u.VOLT_AMPERE),
        ("milli volts", 1e-3, u.VOLT),
        ("k V", 1e3, u.VOLT),
        ("hours", 3600.0, u.SECOND),
        ("k g", 1.0, u.KILOGRAM),
        ("kilocycles per second", 1e3, u.HERTZ),
        ("h", 1.0, u.HENRY),
    ],
)
def test_single_units_are_read(text: str, factor: float, unit: Unit) -> None:
    assert read_unit(text) == WrittenUnit(text, factor, unit)


@pytest.mark.parametrize(
    ("text", "prefixed"),
    [
        ("kΩ", True),
        ("mfd", True),
        ("kc/s", True),
        ("cycles per second", False),
        ("kilocycles per second", True),
        ("k g", True),
        ("V/µs", True),
        ("V", False),
        ("%", False),
        ("min", False),
    ],
)
def test_it_is_known_whether_a_prefix_was_written(text: str, prefixed: bool) -> None:
    assert read_unit(text).prefixed is prefixed


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("voltz", "'voltz' is not a unit known here; did you mean volts?"),
        ("kilohmz", "'kilohmz' is not a unit known here; did you mean kilohm?"),
        ("kHzz", "'kHzz' is not a unit known here; did you mean kHz?"),
        ("apples", "'apples' is not a unit known here"),
        ("5 V", "'5 V' is not a unit known here"),
        # May be (A/V)·s or A/(V·s).
        ("A/V·s", "'A/V·s' is not a unit known here; did you mean mA/V?"),
        ("A/V/s", "'A/V/s' is not a unit known here; did you mean mA/V?"),
        # A decibel in a product would lose what it means.
        ("dB/V", "'dB/V' is not a unit known here; did you mean dB?"),
        ("pips/s", "'pips/s' is not a unit known here"),
        ("k kΩ", "'k kΩ' is not a unit known here; did you mean kΩ?"),
        ("k min", "'k min' is not a unit known here; did you mean min?"),
        ("k %", "'k %' is not a unit known here"),
        # The root of a kilo is no power of ten.
        ("kV^0.5", "'kV^0.5' is not a unit known here"),
        ("Qm^9", "'Qm^9' is not a unit known here"),
        ("V^(1/0)", "'V^(1/0)' is not a unit known here"),
        ("/", "'/' is not a unit known here"),
        ("V·", "'V·' is not a unit known here; did you mean V?"),
        ("x" * 41, f"'{'x' * 41}' is not a unit known here"),
        ("x" * 200, f"'{'x' * 99}…' is not a unit known here"),
    ],
)
def test_an_unknown_unit_is_refused_with_names_like_it(text: str, message: str) -> None:
    with pytest.raises(UnitError) as caught:
        read_unit(text)
    assert str(caught.value) == message
    assert caught.value.text == (text if len(text) <= 100 else text[:99] + "…")
    assert all(name in message for name in caught.value.suggestions)


powers = st.sampled_from([-2, -1, Fraction(-3, 2), 0, Fraction(1, 2), Fraction(1, 3), 1, 2, 3])
dimensions = st.builds(
    lambda a, b, c, d, e: VOLT**a * AMPERE**b * SECOND**c * u.METRE.dimension**d * u.KELVIN.dimension**e,
    *[powers] * 5,
)


@given(dimensions)
def test_the_symbol_of_any_coherent_unit_is_read_back(dimension: Dimension) -> None:
    unit = coherent_unit(dimension)
    if len(unit.symbol) <= 40:
        assert read_unit(unit.symbol) == WrittenUnit(unit.symbol, 1.0, unit)


@given(st.text(max_size=45))
def test_any_text_is_a_unit_or_a_unit_error(text: str) -> None:
    try:
        written = read_unit(text)
    except UnitError:
        return
    assert 0 < written.factor < float("inf")


@given(st.text(alphabet="VAΩFsmkµ/·*^²³()-1239. per%", max_size=20))
def test_text_made_of_the_signs_of_units_is_a_unit_or_a_unit_error(text: str) -> None:
    try:
        written = read_unit(text)
    except UnitError:
        return
    assert 0 < written.factor < float("inf")


def test_only_exact_powers_of_ten_are_taken_for_them() -> None:
    assert power_of_ten(1e-6) == -6
    assert power_of_ten(1.0) == 0
    assert power_of_ten(60.0) is None
    assert power_of_ten(2.2e-6 / 2.2) in (None, -6)


def test_units_survive_being_cached_on_disk() -> None:
    written = read_unit("mA/V")
    assert pickle.loads(pickle.dumps(written)) == written
