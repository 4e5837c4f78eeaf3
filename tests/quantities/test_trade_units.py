from fractions import Fraction

import pytest

from tutor.quantities import dimensions as dim
from tutor.quantities import trade_units as units
from tutor.quantities.trade_units import Unit, coherent_unit


@pytest.mark.parametrize(
    ("dimension", "symbol"),
    [
        (dim.VOLTAGE, "V"),
        (dim.RESISTANCE, "Ω"),
        (dim.CURRENT / dim.VOLTAGE, "S"),
        (dim.DIMENSIONLESS / dim.TIME, "Hz"),
        (dim.POWER, "W"),
        (dim.RESISTANCE * dim.CAPACITANCE, "s"),
        (dim.DIMENSIONLESS, ""),
        (dim.RESISTANCE**2, "Ω²"),
        (dim.VOLTAGE ** Fraction(1, 2), "V^0.5"),
        (dim.CURRENT / dim.VOLTAGE ** Fraction(3, 2), "A/V^1.5"),
        (dim.VOLTAGE / dim.TIME, "V/s"),
    ],
)
def test_a_dimension_has_the_unit_of_the_trade(dimension: dim.Dimension, symbol: str) -> None:
    assert coherent_unit(dimension) == Unit(symbol, dimension)


def test_units_of_one_dimension_keep_their_symbols_but_fit() -> None:
    assert units.VOLT_AMPERE != units.WATT
    assert units.VOLT_AMPERE.fits(units.WATT)
    assert units.AMPERE_PER_VOLT.fits(units.SIEMENS)
    assert (units.VOLT_AMPERE.symbol, units.AMPERE_PER_VOLT.symbol) == ("VA", "A/V")


def test_units_of_different_dimensions_do_not_fit() -> None:
    assert not units.VOLT.fits(units.AMPERE)


@pytest.mark.parametrize("unit", [units.DECIBEL, units.DEGREE, units.RADIAN])
def test_levels_and_angles_do_not_fit_plain_ratios(unit: Unit) -> None:
    assert unit.dimension == units.RATIO.dimension
    assert not unit.fits(units.RATIO)
    assert not units.RATIO.fits(unit)


def test_a_unit_says_what_it_measures() -> None:
    assert units.OHM.name == "resistance"
    assert units.DECIBEL.name == "level in decibels"
    assert units.DEGREE.name == "angle in degrees"
    assert units.RADIAN.name == "angle in radians"
    assert units.RADIAN_PER_SECOND.name == "angular frequency"
    assert units.CELSIUS.name == "temperature in degrees Celsius"
    assert units.RATIO.name == "plain ratio"
