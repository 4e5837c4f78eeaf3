"""How units are spelt: prefixes, symbols, names in words, and the old spellings of service sheets.

Data only; `units.read_unit` looks things up here. Exponents are powers of ten, so that "4.7 µF" is read as
the number 4.7e-6 itself and not as a product that is one bit out.

Source of the prefixes: SI Brochure, BIPM, 9th edition (2022), table of SI prefixes. Old spellings (mfd, mmfd,
kc/s, mho) are common practice of service sheets, no source.
"""

from tutor.quantities import trade_units as units
from tutor.quantities.trade_units import Unit

PREFIXES: dict[str, int] = {
    "Q": 30, "R": 27, "Y": 24, "Z": 21, "E": 18, "P": 15, "T": 12, "G": 9, "M": 6, "k": 3, "h": 2, "da": 1,
    "d": -1, "c": -2, "m": -3, "µ": -6, "n": -9, "p": -12, "f": -15, "a": -18, "z": -21, "y": -24, "r": -27,
    "q": -30,
}  # fmt: skip
"""SI prefix symbol to power of ten."""

PREFIX_STAND_INS: dict[str, int] = {"u": -6, "U": -6, "K": 3}
"""Letters typed for µ and k; none of them is an SI prefix itself, so nothing is guessed."""

WORKSHOP_PREFIXES = frozenset("pnuµUmkKMG")
"""Prefixes before which the case of the unit's letter is forgiven ("ma", "KHZ"); m and M stay apart."""

PREFIX_WORDS: dict[str, int] = {
    "quetta": 30, "ronna": 27, "yotta": 24, "zetta": 21, "exa": 18, "peta": 15, "tera": 12, "giga": 9,
    "mega": 6, "meg": 6, "kilo": 3, "hecto": 2, "deca": 1, "deci": -1, "centi": -2, "milli": -3,
    "micro": -6, "nano": -9, "pico": -12, "femto": -15, "atto": -18, "zepto": -21, "yocto": -24,
    "ronto": -27, "quecto": -30,
}  # fmt: skip

BARE_PREFIXES: dict[str, int] = {
    "p": -12, "n": -9, "µ": -6, "u": -6, "U": -6, "m": -3, "k": 3, "K": 3, "M": 6, "G": 9,
    "meg": 6, "megs": 6, "mega": 6, "giga": 9, "kilo": 3, "milli": -3, "micro": -6, "nano": -9, "pico": -12,
}  # fmt: skip
"""Prefixes that people write without a unit ("68k", "2.2 meg")."""

SYMBOLS: dict[str, tuple[int, Unit]] = {
    "V": (0, units.VOLT), "A": (0, units.AMPERE), "Ω": (0, units.OHM), "R": (0, units.OHM),
    "F": (0, units.FARAD), "H": (0, units.HENRY), "W": (0, units.WATT), "VA": (0, units.VOLT_AMPERE),
    "Hz": (0, units.HERTZ), "s": (0, units.SECOND), "S": (0, units.SIEMENS), "℧": (0, units.SIEMENS),
    "J": (0, units.JOULE), "C": (0, units.COULOMB), "m": (0, units.METRE), "g": (-3, units.KILOGRAM),
    "N": (0, units.NEWTON), "Wb": (0, units.WEBER), "T": (0, units.TESLA), "K": (0, units.KELVIN),
    "rad": (0, units.RADIAN), "c/s": (0, units.HERTZ),
}  # fmt: skip
"""Symbols that take a prefix: symbol to (power of ten, unit)."""

FORGIVEN: dict[str, str] = {
    "v": "V", "a": "A", "ω": "Ω", "f": "F", "h": "H", "w": "W", "va": "VA", "hz": "Hz", "j": "J", "wb": "Wb",
    "db": "dB",
}  # fmt: skip
"""Symbols by their small letters, where no other unit is meant by them (s and S, m and M stay apart)."""

UNPREFIXED: dict[str, tuple[int, Unit]] = {
    "": (0, units.RATIO), "%": (-2, units.RATIO), "‰": (-3, units.RATIO), "ppm": (-6, units.RATIO),
    "x": (0, units.RATIO), "×": (0, units.RATIO), "times": (0, units.RATIO), "percent": (-2, units.RATIO),
    "per cent": (-2, units.RATIO), "pct": (-2, units.RATIO),
    "dB": (0, units.DECIBEL), "decibel": (0, units.DECIBEL), "decibels": (0, units.DECIBEL),
    "°": (0, units.DEGREE), "deg": (0, units.DEGREE), "degs": (0, units.DEGREE), "degree": (0, units.DEGREE),
    "degrees": (0, units.DEGREE),
    "°C": (0, units.CELSIUS), "degC": (0, units.CELSIUS), "deg C": (0, units.CELSIUS),
    "degrees C": (0, units.CELSIUS), "celsius": (0, units.CELSIUS), "degrees celsius": (0, units.CELSIUS),
}  # fmt: skip
"""Texts that take no prefix."""

LONG_TIMES: dict[str, float] = {
    "min": 60.0, "mins": 60.0, "minute": 60.0, "minutes": 60.0,
    "hr": 3600.0, "hrs": 3600.0, "hour": 3600.0, "hours": 3600.0,
}  # fmt: skip
"""Times that are no power of ten of a second; a small h alone is rather a henry typed in haste."""

WORDS: dict[str, Unit] = {
    word: unit
    for unit, words in (
        (units.VOLT, "volt volts"),
        (units.AMPERE, "amp amps ampere amperes"),
        (units.OHM, "ohm ohms"),
        (units.FARAD, "farad farads"),
        (units.HENRY, "henry henries henrys"),
        (units.WATT, "watt watts"),
        (units.HERTZ, "hertz cycle cycles cps c.p.s"),
        (units.SECOND, "second seconds sec secs"),
        (units.SIEMENS, "siemens mho mhos"),
        (units.JOULE, "joule joules"),
        (units.COULOMB, "coulomb coulombs"),
        (units.METRE, "metre metres meter meters"),
        (units.NEWTON, "newton newtons"),
        (units.WEBER, "weber webers"),
        (units.TESLA, "tesla teslas"),
        (units.KELVIN, "kelvin kelvins"),
        (units.RADIAN, "radian radians"),
    )
    for word in words.split()
} | {f"volt{joint}amp{ending}": units.VOLT_AMPERE for joint in ("-", " ", "") for ending in ("", "s", "ere", "eres")}
"""Names in words, small letters; they take prefixes in words ("milliamps") and as symbols ("kohm")."""

ELIDED: dict[str, tuple[int, Unit]] = {
    "kilohm": (3, units.OHM), "kilohms": (3, units.OHM), "megohm": (6, units.OHM), "megohms": (6, units.OHM),
    "microhm": (-6, units.OHM), "microhms": (-6, units.OHM),
}  # fmt: skip
"""Words whose prefix has lost its last letter."""

OLD_SPELLINGS: dict[str, tuple[int, Unit]] = {
    spelling: (power, unit)
    for power, unit, spellings in (
        (-6, units.FARAD, "mfd mfds Mfd MFD MFDS µfd ufd µFd uFd UFD UF"),
        (-9, units.FARAD, "nfd NF"),
        # Nobody has met a petafarad: PF in capitals is a picofarad from a typewriter.
        (-12, units.FARAD, "mmfd mmfds MMFD MMfd µµfd uufd UUFD µµF uuF UUF mmF mmf MMF pfd PF"),
        (-12, units.FARAD, "micromicrofarad micromicrofarads micro-microfarad micro-microfarads"),
        (3, units.HERTZ, "kc Kc KC"),
        (6, units.HERTZ, "Mc"),
    )
    for spelling in spellings.split()
}
"""Spellings of old service sheets, exactly as written there."""

CYCLES: dict[str, int] = {
    "c": 0, "cycle": 0, "cycles": 0, "kc": 3, "Kc": 3, "kilocycle": 3, "kilocycles": 3, "Mc": 6,
    "megacycle": 6, "megacycles": 6,
}  # fmt: skip
"""What stands before "/s" or "per second" in an old frequency, to its power of ten."""

PER_SECOND = ("/s", "/sec", "/second", " per second", " per sec", " a second")

SAID_ASIDE = (
    (r"r\.?m\.?s\.?", "rms"),
    (r"d\.?c\.?", "dc"),
    (r"a\.?c\.?", "ac"),
    (r"peak[- ]to[- ]peak|pk[- ]pk|pp|p-p|pkpk", "peak to peak"),
    (r"peak|pk", "peak"),
)
"""What people add to a unit although it is none: pattern, and what it says."""
