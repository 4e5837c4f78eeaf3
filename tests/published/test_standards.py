"""Preferred values, marking codes and prefixes against the standards, as tabulated in ``standards.yaml``.

The source of each table stands beside it in that file: IEC 60063, IEC 60062 and the SI Brochure.
"""

from pathlib import Path
from typing import Any

import pytest
import yaml

from tutor.quantities import codes
from tutor.quantities.codes import read_bands, read_letter_code, write_bands, write_letter_code
from tutor.quantities.preferred import SERIES, usual_tolerance, values_between
from tutor.quantities.reading import read_quantity
from tutor.quantities.tolerance import Tolerance
from tutor.quantities.units import FARAD, OHM, read_unit

STANDARDS: dict[str, Any] = yaml.safe_load(Path(__file__).with_name("standards.yaml").read_text("utf-8"))
PREFERRED = STANDARDS["preferred_values"]
COLOURS = STANDARDS["resistor_colour_code"]
RKM = STANDARDS["rkm_code"]
PREFIXES = STANDARDS["si_prefixes"]["prefixes"]
SYMBOLS = {"ohm": OHM, "F": FARAD}


@pytest.mark.parametrize("series", ["E6", "E12", "E24", "E48", "E96"])
def test_a_series_holds_the_values_of_iec_60063(series: str) -> None:
    assert list(SERIES[series]) == PREFERRED[series]["values"]
    assert usual_tolerance(series) == PREFERRED[series]["usual_tolerance_percent"] / 100


def test_the_series_nest_as_the_standard_notes() -> None:
    assert SERIES["E12"] == SERIES["E24"][::2]
    assert SERIES["E6"] == SERIES["E24"][::4]
    assert SERIES["E3"] == SERIES["E24"][::8] == (10, 22, 47)
    assert SERIES["E48"] == SERIES["E96"][::2]
    assert not set(SERIES["E24"]) <= {value / 10 for value in SERIES["E96"]}
    # IEC 60063: E192 leaves the formula once, 9.20 in place of 9.19; E96 is every second of its values.
    assert SERIES["E192"][::2] == SERIES["E96"]
    formula = tuple(round(100 * 10 ** (place / 192)) for place in range(192))
    assert [pair for pair in zip(formula, SERIES["E192"], strict=True) if pair[0] != pair[1]] == [(919, 920)]


@pytest.mark.parametrize("series", ["E6", "E12", "E24", "E48", "E96"])
def test_a_decade_from_a_bank_is_a_decade_of_the_standard(series: str) -> None:
    values = PREFERRED[series]["values"]
    shift = 3 if values[0] == 10 else 2
    assert values_between(series, 1e4, 9.99e4) == tuple(float(f"{value}e{shift}") for value in values)


@pytest.mark.parametrize("row", COLOURS["colours"], ids=lambda row: row["colour"])
def test_a_colour_means_what_iec_60062_says(row: dict[str, Any]) -> None:
    colour, percent, letter = row["colour"], row["tolerance_percent"], row["tolerance_letter"]
    assert codes.DIGITS.get(colour) == row["digit"]
    assert codes.MULTIPLIERS.get(colour) == row["multiplier_exponent"]
    assert codes.TOLERANCE_COLOURS.get(colour) == (None if percent is None else pytest.approx(percent / 100))
    if letter is not None:
        assert codes.TOLERANCE_LETTERS[letter] == pytest.approx(percent / 100)


@pytest.mark.parametrize("row", COLOURS["examples"], ids=lambda row: " ".join(row["bands"]))
def test_a_worked_example_of_bands_is_read_and_written(row: dict[str, Any]) -> None:
    marking = read_bands(row["bands"])
    assert marking.value == row["ohm"]
    assert marking.unit == OHM
    assert marking.tolerance == Tolerance(relative=row["tolerance_percent"] / 100)
    written = write_bands(row["ohm"], row["tolerance_percent"] / 100, count=len(row["bands"]))
    assert list(written) == row["bands"]


@pytest.mark.parametrize(("code", "meaning"), RKM["examples"].items())
def test_a_letter_code_means_what_iec_60062_says(code: str, meaning: list[Any]) -> None:
    value, symbol = meaning
    marking = read_letter_code(code)
    assert (marking.value, marking.unit) == (value, SYMBOLS[symbol])
    assert write_letter_code(value, SYMBOLS[symbol]) == code
    answer = read_quantity(code).quantity
    assert (answer.magnitude, answer.unit) == (value, SYMBOLS[symbol])


def test_the_multiplier_letters_are_those_of_iec_60062() -> None:
    assert {letter: 10.0**power for letter, power in codes.RESISTANCE_LETTERS.items()} == pytest.approx(
        RKM["resistance"]
    )
    ours = {("u" if letter == "µ" else letter): power for letter, power in codes.CAPACITANCE_LETTERS.items()}
    assert {letter: 10.0**power for letter, power in ours.items()} == pytest.approx(RKM["capacitance"])


def test_the_tolerance_letters_are_those_of_iec_60062() -> None:
    table = RKM["tolerance_letters_percent"]
    percents = {**table["seen"], **table["from_memory"]}
    assert {letter: 100 * ratio for letter, ratio in codes.TOLERANCE_LETTERS.items()} == pytest.approx(percents)


@pytest.mark.parametrize("row", PREFIXES, ids=lambda row: row["name"])
def test_a_prefix_has_the_power_of_the_si_brochure(row: dict[str, Any]) -> None:
    factor = float(f"1e{row['exponent']}")
    assert read_unit(f"{row['symbol']}V").factor == factor
    assert read_unit(f"{row['name']}volts").factor == factor
    assert read_quantity(f"1 {row['symbol']}V").quantity.magnitude == factor


def test_all_twenty_four_prefixes_are_there() -> None:
    assert len(PREFIXES) == 24
