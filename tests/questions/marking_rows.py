"""The table of marking: for one ask after another, what is typed, and what a good trainer would make of it.

Each row is (typed, verdict, marks, slip, what the sentence must say); the key of every ask stands in its formula.
"""

from __future__ import annotations

from tests.questions.templates import HEAD, asking

ASKS: dict[str, str] = {
    "voltage": asking("{formula: 68.2 V, slips: {load-forgotten: {formula: 91 V, says: The load was left out.}}}"),
    "resistance": asking("{formula: 4.7 kΩ, unit: kΩ}"),
    "megohms": asking("{formula: 1.5 MΩ, unit: MΩ}"),
    "ohms": asking("{formula: 0.47 Ω, unit: Ω}"),
    "current": asking("{formula: 1.85 mA, unit: mA}"),
    "capacitance": asking("{formula: 22 nF, unit: nF}"),
    "small capacitance": asking("{formula: 100 pF, unit: pF}"),
    "reservoir": asking("{formula: 50 µF, unit: µF}"),
    "inductance": asking("{formula: 10 H, unit: H}"),
    "frequency": asking("{formula: 1.5 kHz, unit: Hz}"),
    "slope": asking("{formula: 1.6 mS, unit: mA/V}"),
    "time": asking("{formula: 22 ms, unit: ms}"),
    "power": asking("{formula: 0.5 W, unit: W}"),
    "bias": asking("{formula: -3.4 V, unit: V}"),
    "gain": asking("{formula: 61.5}"),
    "small ratio": asking("{formula: 0.46}"),
    "two": asking("{formula: 2.0}"),
    "per cent": asking('{formula: 0.46, unit: "%"}'),
    "level": asking("{formula: -12 dB, unit: dB}"),
    "angle": asking("{formula: 30 °, unit: °}"),
    "tight": asking("{formula: 100 V, unit: V, tolerance: 0.5 V}"),
    "nought": asking("{formula: V1 - 250 V, unit: V, tolerance: 0.1 V}"),
    "shadowed": asking(
        """
        formula: 100 V
        unit: V
        slips:
          near: {formula: 103 V, says: Too near to tell.}
          doubled: {formula: 200 V, says: Counted twice.}
          alike: {formula: 150 V, says: One of two.}
          alike-too: {formula: 151 V, says: The other of two.}
        """
    ),
    "nearest": asking("{kind: preferred, series: E12, round: nearest, formula: 4.6 kΩ, unit: kΩ}"),
    "upwards": asking("{kind: preferred, series: E12, round: up, formula: 4.8 kΩ, unit: kΩ}"),
    "downwards": asking("{kind: preferred, series: E6, round: down, formula: 14 µF, unit: µF}"),
    "preferred slip": asking(
        """
        kind: preferred
        series: E12
        round: nearest
        formula: 4.6 kΩ
        unit: kΩ
        slips:
          twice: {formula: 9.2 kΩ, says: The one resistor was counted twice.}
        """
    ),
    "change": asking(
        """
        kind: change
        formula: V1*R2/(R1 + R2)
        when: {R2: 2*R2}
        slips:
          falls: {says: More foot takes a larger share.}
        """,
        values="V1: 250 V\nR1: 10 kΩ\nR2: 10 kΩ",
    ),
    "no change": asking("{kind: change, formula: V1, when: {R2: 2*R2}}", values="V1: 250 V\nR2: 10 kΩ"),
    "choice": asking(
        """
        kind: choice
        options:
          top: {text: The top resistor, right: R1 > R2}
          foot: {text: The foot resistor, right: R2 >= R1, says: Look which one is larger.}
          neither: {text: Neither of them}
        """,
        values="R1: 22 kΩ\nR2: 10 kΩ",
    ),
    "numbers to choose": asking(
        """
        kind: choice
        formula: 100 V
        unit: V
        slips:
          half: {formula: 50 V, says: Only half of it was counted.}
          twice: {formula: 200 V, says: It was counted twice.}
        """
    ),
}
assert all(text.startswith(HEAD) for text in ASKS.values())

R, UNIT, SLIP, WRONG, LOST, BLANK = "right", "right-unit-wrong", "slip", "wrong", "unreadable", "blank"
PREFIX = "The figure is right, the prefix is not"
THOUSAND_LARGE, THOUSAND_SMALL = "a thousand times too large", "a thousand times too small"
Row = tuple[str, str, int, str, str]

ROWS: dict[str, list[Row]] = {
    "voltage": [
        *((typed, R, 2, "", "") for typed in (
            "68.2 V", "68.2", "68.2V", " 68.2  V ", "68,2 V", "68.2 volts", "68.2 volt", "0.0682 kV", "68200 mV",
            "6.82e1 V", "6.82 × 10^1 V", "6.82x10^1", "+68.2 V", "= 68.2 V", "about 68.2 V", "68.2 V dc", "68.20 V",
            "68.2 V.", "68.2 v", "6.82E+1", "68.2 W/A", "68.2 mA·kΩ",
        )),
        # The bound itself is right: 2 % of 68.2 is 1.364.
        ("69.564", R, 2, "", ""),
        ("66.836", R, 2, "", ""),
        ("69.57", WRONG, 0, "", "A little too high."),
        ("66.83", WRONG, 0, "", "A little too low."),
        ("68", R, 2, "", ""),
        ("70", WRONG, 0, "", "A little too high."),
        ("80", WRONG, 0, "", "Too high, by less than a factor of two."),
        ("30", WRONG, 0, "", "Too low, by a factor of about two."),
        ("14", WRONG, 0, "", "Too low, by a factor of about five."),
        ("700", WRONG, 0, "", "Too high, by a factor of about ten."),
        ("1", WRONG, 0, "", "Too low, by a factor of about fifty."),
        ("1400", WRONG, 0, "", "Too high, by a factor of about twenty."),
        ("6000", WRONG, 0, "", "Too high, by a factor of about a hundred."),
        ("20000", WRONG, 0, "", "Too high, by a factor of some hundreds."),
        ("62000", WRONG, 0, "", "Too high, by a factor of about a thousand."),
        ("300000", WRONG, 0, "", "Too high, by a factor of some thousands."),
        ("5e6", WRONG, 0, "", "Far too high, by more than ten thousand times."),
        ("1e-9", WRONG, 0, "", "Far too low, by more than ten thousand times."),
        ("0", WRONG, 0, "", "Too low."),
        ("68.2 mV", UNIT, 1, "prefix", PREFIX),
        ("68.2 kV", UNIT, 1, "prefix", PREFIX),
        ("68.2 MV", UNIT, 1, "prefix", PREFIX),
        ("68.2 A", UNIT, 1, "unit", "The figure is right, the unit is not: a voltage is wanted."),
        ("68.2 mA", UNIT, 1, "unit", "a voltage is wanted."),
        ("68.2 W", UNIT, 1, "unit", "a voltage is wanted."),
        ("68.2 ohms", UNIT, 1, "unit", "a voltage is wanted."),
        ("68.2 dB", UNIT, 1, "unit", "a voltage is wanted."),
        ("12 A", WRONG, 0, "", "A voltage is wanted here, and this reads as a current."),
        ("3 %", WRONG, 0, "", "A voltage is wanted here, and this reads as a plain ratio."),
        ("-68.2", SLIP, 0, "sign", "The size is right, the sign is not"),
        ("−68.2 V", SLIP, 0, "sign", "The size is right"),
        ("minus 68.2 V", SLIP, 0, "sign", "The size is right"),
        ("68200", SLIP, 0, "thousand-large", THOUSAND_LARGE),
        ("68200 V", SLIP, 0, "thousand-large", THOUSAND_LARGE),
        ("0.0682", SLIP, 0, "thousand-small", THOUSAND_SMALL),
        ("68.2e6", SLIP, 0, "million-large", "a million times too large"),
        ("68.2e-6 V", SLIP, 0, "million-small", "a million times too small"),
        ("96.45", SLIP, 0, "peak-for-rms", "Too large by √2"),
        ("48.22", SLIP, 0, "rms-for-peak", "Too small by √2"),
        ("136.4", SLIP, 0, "twice", "Twice too large"),
        ("34.1", SLIP, 0, "half", "Half of what it should be"),
        ("428.5", SLIP, 0, "two-pi-missing", "Too large by 2π"),
        ("10.85", SLIP, 0, "two-pi-extra", "Too small by 2π"),
        ("91 V", SLIP, 0, "load-forgotten", "The load was left out."),
        ("91", SLIP, 0, "load-forgotten", "The load was left out."),
        ("0.0917 kV", SLIP, 0, "load-forgotten", "The load was left out."),
        ("", BLANK, 0, "", ""),
        ("   ", BLANK, 0, "", ""),
        ("\t\n", BLANK, 0, "", ""),
        ("lots", LOST, 0, "", "Expected a number, then a unit. An answer reads, for example, 3.3 V."),
        ("?", LOST, 0, "", "An answer reads, for example, 3.3 V."),
        ("68.2 vlts", LOST, 0, "", "is not a unit known here"),
        ("68.2 68.2", LOST, 0, "", "There is more than one number in it."),
        ("68 ± 2 V", LOST, 0, "", "A spread is no value; type one number."),
        ("1,000", LOST, 0, "", "1,000"),
        ("682/10", LOST, 0, "", "A fraction is not worked out here"),
        ("6" * 101, LOST, 0, "", "It is longer than 100 characters."),
        ("6" * 5000, LOST, 0, "", "It is longer than 100 characters."),
        ("1e999", LOST, 0, "", "No value in a circuit is that large or that small."),
        ("<b>68.2</b>", LOST, 0, "", "Expected a number, then a unit."),
        ("__import__('os')", LOST, 0, "", "Expected a number, then a unit."),
    ],
    "resistance": [
        *((typed, R, 2, "", "") for typed in (
            "4.7", "4.7 kΩ", "4k7", "4K7", "4.7k", "4.7 K", "4700 Ω", "4700 ohm", "4.7 kohm", "4.7 kilohms", "4,7 k",
            "0.0047 MΩ", "0.0047 meg", "4.7 kilo-ohms", "4k70", "4.7 kR", "4.7 kV/A", "4.7 V/mA", "4.7e0", "4.7e3 Ω",
        )),
        ("4.7 Ω", UNIT, 1, "prefix", PREFIX),
        ("4.7 ohms", UNIT, 1, "prefix", PREFIX),
        ("4.7 MΩ", UNIT, 1, "prefix", PREFIX),
        ("4M7", UNIT, 1, "prefix", PREFIX),
        ("4R7", UNIT, 1, "prefix", PREFIX),
        ("4700", UNIT, 1, "prefix", PREFIX),
        ("4700 kΩ", UNIT, 1, "prefix", PREFIX),
        ("0.0047", SLIP, 0, "thousand-small", THOUSAND_SMALL),
        ("4.7 kV", UNIT, 1, "unit", "a resistance is wanted."),
        ("4.7 mS", UNIT, 1, "unit", "a resistance is wanted."),
        ("5k6", WRONG, 0, "", "Too high, by less than a factor of two."),
        ("47k", WRONG, 0, "", "Too high, by a factor of about ten."),
    ],
    "megohms": [
        *((typed, R, 2, "", "") for typed in ("1.5", "1M5", "1.5 M", "1.5 meg", "1.5 megohms", "1500k", "1500 kΩ")),
        ("1.5 mΩ", UNIT, 1, "prefix", PREFIX),
        ("1m5", UNIT, 1, "prefix", PREFIX),
        ("1.5 Ω", UNIT, 1, "prefix", PREFIX),
    ],
    "ohms": [
        *((typed, R, 2, "", "") for typed in ("R47", "0R47", "0.47", ".47", "0.47 Ω", "470 mΩ", "0,47")),
        ("47", WRONG, 0, "", "by a factor of about a hundred."),
    ],
    "current": [
        *((typed, R, 2, "", "") for typed in ("1.85", "1.85 mA", "1m85", "0.00185 A", "1850 µA", "1850 uA", "1.85 milliamps")),
        ("1.85 MA", UNIT, 1, "prefix", PREFIX),
        ("1.85 A", UNIT, 1, "prefix", PREFIX),
        ("1.85 µA", UNIT, 1, "prefix", PREFIX),
        ("1.85 mV", UNIT, 1, "unit", "a current is wanted."),
        ("0.00185", UNIT, 1, "prefix", PREFIX),
        ("0.00000185", SLIP, 0, "million-small", "a million times too small"),
        ("1850", SLIP, 0, "thousand-large", THOUSAND_LARGE),
    ],
    "capacitance": [
        *((typed, R, 2, "", "") for typed in (
            "22", "22n", "22 nF", "0.022 µF", "0.022 uF", "0.022 mfd", ".022 MFD", "22000 pF", "22000 mmfd",
            "22000 µµF", "22 nanofarads", "22e-9 F", "0µ022",
        )),
        ("22 µF", UNIT, 1, "prefix", PREFIX),
        ("22 pF", UNIT, 1, "prefix", PREFIX),
        ("22 F", UNIT, 1, "prefix", PREFIX),
        ("22 nH", UNIT, 1, "unit", "a capacitance is wanted."),
    ],
    "small capacitance": [
        *((typed, R, 2, "", "") for typed in ("100 pF", "100p", "0n1", "0.1 nF", "100 mmf", "100 µµF", "0.0001 mfd")),
        ("100 µF", UNIT, 1, "prefix", PREFIX),
    ],
    "reservoir": [
        *((typed, R, 2, "", "") for typed in ("50 mfd", "50 µF", "50 μF", "50 uF", "50", "0.05 mF", "50 microfarads")),
    ],
    "inductance": [*((typed, R, 2, "", "") for typed in ("10 H", "10", "10 henries", "10 henry", "10000 mH"))],
    "frequency": [
        *((typed, R, 2, "", "") for typed in (
            "1500", "1.5 kHz", "1.5k", "1k5", "1500 Hz", "1500 c/s", "1.5 kc/s", "1500 cycles", "1.5 kc", "1500 cps",
        )),
        ("1.5", SLIP, 0, "thousand-small", THOUSAND_SMALL),
        ("1.5 Hz", UNIT, 1, "prefix", PREFIX),
        ("1500 rad/s", UNIT, 1, "unit", "a frequency is wanted."),
        ("9425 rad/s", WRONG, 0, "", "A frequency is wanted here, and this reads as an angular frequency."),
        ("9425", SLIP, 0, "two-pi-missing", "ω = 2πf"),
        ("239", SLIP, 0, "two-pi-extra", "Too small by 2π"),
    ],
    "slope": [
        *((typed, R, 2, "", "") for typed in ("1.6", "1.6 mA/V", "1.6 mS", "0.0016 S", "1600 µmho", "0.0016 mho", "1.6 mmho")),
        ("1.6 mA", UNIT, 1, "unit", "a conductance is wanted."),
        ("625 Ω", WRONG, 0, "", "A conductance is wanted here, and this reads as a resistance."),
    ],
    "time": [*((typed, R, 2, "", "") for typed in ("22", "22 ms", "0.022 s", "22 msec", "22 kΩ·µF", "22000 µs"))],
    "power": [
        *((typed, R, 2, "", "") for typed in ("0.5", ".5 W", "500 mW", "0.5 watts", "0.5 VA", "0.5 V·A")),
        ("1", SLIP, 0, "twice", "Twice too large"),
        ("250 mW", SLIP, 0, "half", "Half of what it should be"),
    ],
    "bias": [
        *((typed, R, 2, "", "") for typed in ("-3.4", "−3.4 V", "minus 3.4 V", "- 3.4", "–3.4 V", "-3400 mV")),
        ("3.4 V", SLIP, 0, "sign", "The size is right, the sign is not"),
        ("-4.2", WRONG, 0, "", "Too large in size, by less than a factor of two."),
        ("-0.3", WRONG, 0, "", "Too small in size, by a factor of about ten."),
        ("12", WRONG, 0, "", "Too high."),
        ("-3.4 mV", UNIT, 1, "prefix", PREFIX),
    ],
    "gain": [
        *((typed, R, 1, "", "") for typed in ("61.5", "61", "62", "6150 %", "61.5:1", "61.5 to 1", "61.5 times")),
        ("-61.5", SLIP, 0, "sign", "The size is right"),
        ("0.01626", SLIP, 0, "upside-down", "upside down"),
        ("3782", SLIP, 0, "squared", "That is the square of what is wanted."),
        ("7.842", SLIP, 0, "root", "That is the root of what is wanted."),
        ("6150", SLIP, 0, "per-cent", "The figures are those of per cent"),
        ("61.5 dB", UNIT, 1, "unit", "a plain ratio is wanted."),
        ("61.5 V", UNIT, 1, "unit", "a plain ratio is wanted."),
        ("35.8 dB", WRONG, 0, "", "A plain ratio is wanted here, and this reads as a level in decibels."),
    ],
    "small ratio": [
        ("0.46", R, 1, "", ""),
        ("46 %", R, 1, "", ""),
        ("46", SLIP, 0, "per-cent", "The figures are those of per cent"),
        ("0.46 %", SLIP, 0, "per-cent-twice", "look at where per cent come into it"),
        ("2.17", SLIP, 0, "upside-down", "upside down"),
    ],
    # Twice 2 is also its square, half of it also upside down twice over: what could be either is not named.
    "two": [
        ("4", WRONG, 0, "", "Too high, by a factor of about two."),
        ("0.5", SLIP, 0, "upside-down", "upside down"),
        ("1.414", WRONG, 0, "", "Too low, by less than a factor of two."),
    ],
    "per cent": [
        *((typed, R, 1, "", "") for typed in ("46", "46 %", "46 per cent", "46 percent")),
        ("0.46", UNIT, 1, "prefix", "The figure is right as a plain ratio; per cent are wanted."),
        ("92 %", SLIP, 0, "twice", "Twice too large"),
    ],
    "level": [
        *((typed, R, 2, "", "") for typed in ("-12", "−12 dB", "-12 db", "-12.2", "-11.8", "minus 12 dB", "-12 decibels")),
        ("-12.25", WRONG, 0, "", "Too low."),
        ("-11.75", WRONG, 0, "", "Too high."),
        ("12", SLIP, 0, "sign", "The size is right"),
        ("-6", SLIP, 0, "ten-log", "for voltages it is 20 log"),
        ("-24", SLIP, 0, "twenty-log", "for powers it is 10 log"),
        ("-12 V", UNIT, 1, "unit", "a level in decibels is wanted."),
        ("-12000", WRONG, 0, "", "Too low."),
    ],
    "angle": [
        *((typed, R, 2, "", "") for typed in ("30", "30°", "30 degrees", "30 deg", "33", "27", "0.5236 rad")),
        ("0.5236", SLIP, 0, "radians", "That is the angle in radians; degrees are wanted."),
        ("-30", SLIP, 0, "sign", "The size is right"),
        ("34", WRONG, 0, "", "Too high."),
        ("30 Hz", UNIT, 1, "unit", "an angle in degrees is wanted."),
    ],
    "tight": [
        ("100.5", R, 2, "", ""),
        ("99.5 V", R, 2, "", ""),
        ("100.6", WRONG, 0, "", "A little too high."),
    ],
    "nought": [
        ("0", R, 2, "", ""),
        ("0.1 V", R, 2, "", ""),
        ("-100 mV", R, 2, "", ""),
        ("0.2", WRONG, 0, "", "Too high."),
        ("-0.2", WRONG, 0, "", "Too low."),
        ("0 A", WRONG, 0, "", "A voltage is wanted here, and this reads as a current."),
    ],
    # An own slip goes before a generic one; what cannot be told from the key or from another slip is not named.
    "shadowed": [
        ("200", SLIP, 0, "doubled", "Counted twice."),
        ("103", WRONG, 0, "", "A little too high."),
        ("150", WRONG, 0, "", "Too high, by less than a factor of two."),
        ("151", WRONG, 0, "", "Too high, by less than a factor of two."),
        ("50", SLIP, 0, "half", "Half of what it should be"),
    ],
    "nearest": [
        *((typed, R, 2, "", "") for typed in ("4.7", "4k7", "4.7 kΩ", "4700 Ω", "4.70k")),
        ("3.9k", WRONG, 0, "", "Too low, by less than a factor of two."),
        ("5k6", WRONG, 0, "", "Too high, by less than a factor of two."),
        ("4.6k", SLIP, 0, "not-preferred", "4.6 kΩ is no value of the E12 series; choose one that is."),
        ("4.8k", SLIP, 0, "not-preferred", "4.8 kΩ is no value of the E12 series"),
        ("4.7 Ω", UNIT, 1, "prefix", PREFIX),
        ("47k", WRONG, 0, "", "Too high, by a factor of about ten."),
        ("-4.7k", SLIP, 0, "not-preferred", "is no value of the E12 series"),
        ("0", SLIP, 0, "not-preferred", "0 Ω is no value of the E12 series"),
        ("1e-285", SLIP, 0, "not-preferred", "is no value of the E12 series"),
    ],
    "upwards": [
        ("5k6", R, 2, "", ""),
        ("4k7", SLIP, 0, "rounded-wrong-way", "That is on the wrong side: go up to the next value of the series."),
        ("6k8", WRONG, 0, "", "Too high, by less than a factor of two."),
    ],
    "downwards": [
        ("10 µF", R, 2, "", ""),
        ("15 µF", SLIP, 0, "rounded-wrong-way", "That is on the wrong side: go down to the next value of the series."),
    ],
    "preferred slip": [
        ("4k7", R, 2, "", ""),
        ("10k", SLIP, 0, "twice", "The one resistor was counted twice."),
        ("9.2k", SLIP, 0, "not-preferred", "9.2 kΩ is no value of the E12 series"),
    ],
    "change": [
        *((typed, R, 1, "", "") for typed in (
            "rises", "Rises", "RISES", "it rises", "It goes up.", "up", "increases", "higher", "+", "↑", "will rise",
            "gets larger", "the value rises", "is increased", "becomes larger",
        )),
        *((typed, SLIP, 0, "falls", "More foot takes a larger share.") for typed in ("falls", "down", "-", "−", "drops")),
        *((typed, WRONG, 0, "", "It does not: follow the currents once more.") for typed in (
            "unchanged", "same", "stays the same", "no change", "0", "it stays", "does not change", "remains constant",
        )),
        ("perhaps", LOST, 0, "", "Answer with rises, falls or unchanged."),
        ("68.2 V", LOST, 0, "", "Answer with rises, falls or unchanged."),
        ("", BLANK, 0, "", ""),
    ],
    "no change": [
        ("unchanged", R, 1, "", ""),
        ("=", R, 1, "", ""),
        ("rises", WRONG, 0, "", "It does not: follow the currents once more."),
    ],
}  # fmt: skip
"""By the ask's name in `ASKS`; choices, whose letters hang on the serial, stand in the tests."""
