r"""Numbers with units: reading and writing them, preferred values, codes of parts, tolerances.

The lowest layer but the errors. It needs the standard library only and may know no circuit, no template, no
database, no page, no locale and no clock; the same text gives the same value on every machine. Everything
inside is in coherent SI units: 4.7 kΩ is 4700.0, and a prefix exists only while reading or writing.

>>> found = read_quantity("4k7").quantity
>>> found == Quantity(4700.0, OHM)
True
>>> show(found.magnitude, found.unit)
'4.7\xa0kΩ'

`dimensions` and `trade_units` say what a unit is, `spellings` how it is written, `units` reads it; `numerals`
reads numbers and `reading` both together; `writing` is the way back.
"""

from tutor.quantities.codes import (
    Marking,
    read_bands,
    read_capacitor_figures,
    read_letter_code,
    write_bands,
    write_capacitor_figures,
    write_letter_code,
)
from tutor.quantities.errors import (
    CodeError,
    DimensionError,
    PreferredValueError,
    QuantityError,
    QuantityFormatError,
    SeriesError,
    ToleranceError,
    UnitError,
)
from tutor.quantities.preferred import (
    SERIES,
    is_preferred,
    nearest,
    neighbours,
    round_down,
    round_up,
    usual_tolerance,
    values_between,
)
from tutor.quantities.quantity import Quantity
from tutor.quantities.reading import Reading, read_number_with_unit, read_quantity
from tutor.quantities.tolerance import Tolerance, read_tolerance, rounding_interval
from tutor.quantities.units import (
    AMPERE,
    AMPERE_PER_VOLT,
    CELSIUS,
    COULOMB,
    DECIBEL,
    DEGREE,
    DIMENSIONLESS,
    FARAD,
    HENRY,
    HERTZ,
    JOULE,
    KELVIN,
    KILOGRAM,
    METRE,
    NEWTON,
    OHM,
    RADIAN,
    RADIAN_PER_SECOND,
    RATIO,
    SECOND,
    SIEMENS,
    TESLA,
    VOLT,
    VOLT_AMPERE,
    WATT,
    WEBER,
    Dimension,
    Unit,
    WrittenUnit,
    coherent_unit,
    read_unit,
)
from tutor.quantities.writing import best_prefix, number_in, show, show_exact, show_in

__all__ = [
    "AMPERE",
    "AMPERE_PER_VOLT",
    "CELSIUS",
    "COULOMB",
    "DECIBEL",
    "DEGREE",
    "DIMENSIONLESS",
    "FARAD",
    "HENRY",
    "HERTZ",
    "JOULE",
    "KELVIN",
    "KILOGRAM",
    "METRE",
    "NEWTON",
    "OHM",
    "RADIAN",
    "RADIAN_PER_SECOND",
    "RATIO",
    "SECOND",
    "SERIES",
    "SIEMENS",
    "TESLA",
    "VOLT",
    "VOLT_AMPERE",
    "WATT",
    "WEBER",
    "CodeError",
    "Dimension",
    "DimensionError",
    "Marking",
    "PreferredValueError",
    "Quantity",
    "QuantityError",
    "QuantityFormatError",
    "Reading",
    "SeriesError",
    "Tolerance",
    "ToleranceError",
    "Unit",
    "UnitError",
    "WrittenUnit",
    "best_prefix",
    "coherent_unit",
    "is_preferred",
    "nearest",
    "neighbours",
    "number_in",
    "read_bands",
    "read_capacitor_figures",
    "read_letter_code",
    "read_number_with_unit",
    "read_quantity",
    "read_tolerance",
    "read_unit",
    "round_down",
    "round_up",
    "rounding_interval",
    "show",
    "show_exact",
    "show_in",
    "usual_tolerance",
    "values_between",
    "write_bands",
    "write_capacitor_figures",
    "write_letter_code",
]
