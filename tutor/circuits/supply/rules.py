"""The formulas taught in the trade about supplies, each with its range and its source.

Every argument is in SI units, one number or an array of shape (draws,); every result likewise. "Measured here" marks
what the tests find by comparing a rule with the solved supply. Sources say whether the passage was seen or is told
from memory.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from tutor.circuits.supply.description import Numbers

ROOT_TWO = 2**0.5


def peak(emf: Numbers) -> Numbers:
    """Return the peak of a sine: V_p = √2·V_rms [V].

    Range: a sine; mains with a flattened top has a few per cent less.
    Source: definition of the rms value.
    """
    return ROOT_TWO * emf


def mean_full_wave(emf: Numbers) -> Numbers:
    """Return the mean of a full-wave rectified sine: V_dc = (2√2/π)·V_rms = 0.900·V_rms [V].

    Range: into a resistance, or into a choke above its critical inductance; drops not counted. With a reservoir the
    voltage stands between this and the peak.
    Source: integral of a sine; "0.9 × V_rms" seen at https://probsee.com/p/Choke-input_filter.
    """
    return 2 * ROOT_TWO / np.pi * emf


def mean_half_wave(emf: Numbers) -> Numbers:
    """Return the mean of a half-wave rectified sine: V_dc = (√2/π)·V_rms = 0.450·V_rms [V].

    Range: into a resistance; drops not counted.
    Source: integral of a sine.
    """
    return ROOT_TWO / np.pi * emf


def rms_half_wave(emf: Numbers) -> Numbers:
    """Return the rms value of a half-wave rectified sine: V_rms/√2 [V]; full-wave it stays V_rms.

    Range: into a resistance; drops not counted.
    Source: half the power of the sine.
    """
    return emf / ROOT_TWO


def ripple_frequency(mains: Numbers, refills: int) -> Numbers:
    """Return the lowest frequency of the ripple: f for half-wave (1 refill a cycle), 2f for full-wave (2) [Hz].

    Range: halves that are alike; unequal halves of a winding leave some ripple at f.
    Source: NEETS modules 6 and 7 (seen: https://armyengineer.tpub.com/TC-9-62/TC-9-620166.htm).
    """
    return mains * refills


def ripple_half_wave(current: Numbers, mains: Numbers, reservoir: Numbers) -> Numbers:
    """Return the ripple of a half-wave reservoir, peak to peak: V_r = I/(f·C) [V].

    Range: over-estimates always, as the refill takes part of the period. The true ripple is 0.86 to 0.93 of it behind a
    stiff source (1/1000 of the load), 0.84 to 0.86 behind 1/100, 0.76 behind 1/15, 0.73 to 0.74 behind 1/10, while ωCR
    is 15 to 120 (measured here).
    Source: charge balance; several pages seen, which also say 60 to 95 % of it is true.
    """
    return current / (mains * reservoir)


def ripple_full_wave(current: Numbers, mains: Numbers, reservoir: Numbers) -> Numbers:
    """Return the ripple of a full-wave reservoir, peak to peak: V_r = I/(2f·C), f the mains frequency [V].

    Range: over-estimates always. The true ripple is 0.80 to 0.89 of it behind a stiff source (1/1000 of the load),
    0.76 to 0.78 behind 1/100, 0.62 behind 1/15, 0.58 behind 1/10, while ωCR is 15 to 120 (measured here).
    Source: charge balance; seen on several pages as I/(2fC).
    """
    return current / (2 * mains * reservoir)


def sawtooth_rms(peak_to_peak: Numbers) -> Numbers:
    """Return the rms value of a sawtooth: V_r/(2√3) [V].

    Range: a ripple that falls in a straight line and jumps back; a real one has 1 to 12 % more for the same peak to
    peak, the more the softer the source, up to 1/10 of the load (measured here).
    Source: integral of a ramp (seen as V_pp/(2√3)).
    """
    return peak_to_peak / (2 * 3**0.5)


def ripple_factor(ripple_rms: Numbers, mean: Numbers) -> Numbers:
    """Return the ripple factor: rms of the ripple over the direct voltage, a ratio.

    Range: a definition. Some books put the peak-to-peak value on top: say which.
    Source: textbooks, from memory.
    """
    return ripple_rms / mean


def reservoir_mean(emf: Numbers, drop: Numbers, ripple: Numbers) -> Numbers:
    """Return the direct voltage of a reservoir: √2·V_rms − V_d − V_r/2, V_r peak to peak [V].

    Range: the winding's resistance is not in it. Behind 1/1000 of the load it is right within 3 %, behind 1/30 it is
    6 to 23 % too high (ωCR 15 to 120). With V_d taking in that resistance at the peak of the charging current (3 to
    22 times the direct one) it is up to 10 % too low, up to 1/15 of the load and from ωCR of 30 on (measured here).
    Source: NEETS module 6, from memory.
    """
    return ROOT_TWO * emf - drop - ripple / 2


def rc_ratio(frequency: Numbers, resistance: Numbers, capacitance: Numbers) -> Numbers:
    """Return what an R-C section leaves of a ripple: 1/√(1 + (2πf·R·C)²), a ratio.

    Range: one frequency; a load well above the reactance of C. Exact for each harmonic of the ripple.
    Source: Langford-Smith, Radiotron Designer's Handbook, 4th ed. 1953, ch. 31, from memory.
    """
    return 1 / np.sqrt(1 + (2 * np.pi * frequency * resistance * capacitance) ** 2)


def lc_ratio(frequency: Numbers, inductance: Numbers, capacitance: Numbers) -> Numbers:
    """Return what an L-C section leaves of a ripple: 1/((2πf)²·L·C − 1), a ratio.

    Range: well above the resonance, (2πf)²LC > 3; the choke's resistance and the load neglected. Below the resonance
    the formula turns negative: the section then magnifies.
    Source: Langford-Smith, Radiotron Designer's Handbook, 4th ed. 1953, ch. 31, from memory.
    """
    return 1 / ((2 * np.pi * frequency) ** 2 * inductance * capacitance - 1)


def lc_resonance(inductance: Numbers, capacitance: Numbers) -> Numbers:
    """Return the resonance of an L-C section: 1/(2π√(L·C)) [Hz]; it must lie well below the ripple.

    Range: light damping.
    Source: Langford-Smith, Radiotron Designer's Handbook, 4th ed. 1953; the relation seen in an excerpt of a valve
    handbook.
    """
    return 1 / (2 * np.pi * np.sqrt(inductance * capacitance))


def critical_inductance(load: Numbers, mains: Numbers) -> Numbers:
    """Return the least inductance of an input choke, full-wave: L = R/(6πf), f the mains frequency [H].

    Range: the ripple's lowest harmonic alone, 2/3 of the mean; choke and winding without resistance. The higher ones
    make the true limit 0.992 of it (integral of the rectified sine), so the rule errs on the safe side by a hair.
    Source: Langford-Smith, Radiotron Designer's Handbook, 4th ed. 1953, ch. 30 (R/942 at 50 Hz, R/1131 at 60 Hz),
    from memory.
    """
    return load / (6 * np.pi * mains)


def choke_input_mean(emf: Numbers) -> Numbers:
    """Return the direct voltage of a choke-input supply: (2√2/π)·V_rms = 0.9·V_rms [V].

    Range: full-wave, above the critical inductance; less what is lost in choke, winding and rectifier. Below it the
    voltage climbs towards the peak.
    Source: "0.9 × V_rms" seen at https://probsee.com/p/Choke-input_filter.
    """
    return mean_full_wave(emf)


def inverse_half_wave(emf: Numbers) -> Numbers:
    """Return the peak inverse voltage of a half-wave rectifier with reservoir: 2√2·V_rms [V].

    Range: no load, the worst case; into a resistance alone √2·V_rms. A mains 10 % high adds its 10 %.
    Source: textbooks, from memory.
    """
    return 2 * ROOT_TWO * emf


def inverse_bi_phase(emf: Numbers) -> Numbers:
    """Return the peak inverse voltage of a bi-phase rectifier: 2√2·V_rms of *each half* [V].

    Range: no load, the worst case; nearly the same without a reservoir.
    Source: seen at https://tubeofile.com/api/tubes/AZ1.
    """
    return 2 * ROOT_TWO * emf


def inverse_bridge(emf: Numbers) -> Numbers:
    """Return the peak inverse voltage of each diode of a bridge: √2·V_rms [V].

    Range: no load, the worst case.
    Source: textbooks, from memory.
    """
    return ROOT_TWO * emf


def vacuum_drop(current: Numbers, perveance: Numbers) -> Numbers:
    """Return the forward voltage of a vacuum diode: (I/P)^(2/3) [V].

    Range: space charge limits the current; the filament's own drop and contact potential (about a volt) left out.
    Source: Child and Langmuir's law; perveances seen in published model libraries.
    """
    return (current / perveance) ** (2 / 3)


def source_resistance(secondary: Numbers, ratio: Numbers, primary: Numbers) -> Numbers:
    """Return the resistance that a rectifier sees: R_sec + n²·R_pri, n secondary to primary turns [Ω].

    Range: leakage inductance neglected; for bi-phase the half winding and its own ratio.
    Source: rectifier valve data sheets, from memory.
    """
    return secondary + ratio**2 * primary


def transformer_rating(
    emf: Numbers, factor: Numbers, current: Numbers, heater_voltage: Numbers, heater_current: Numbers
) -> Numbers:
    """Return the rating of a valve set's mains transformer: V_rms·k·I_dc + V_h·I_h [VA], k the winding's rms current.

    Range: k in parts of the direct current, with a reservoir. The handbook's 1.5 to 1.8 of a bridge is true behind
    1/15 to 1/10 of the load (1.62 to 1.72 there); behind 1/30 it is 1.89 to 1.91 and behind 1/100 it is 2.21 to 2.30.
    Each half for bi-phase: 1.14 to 1.22 behind 1/15 to 1/10, 1.56 to 1.63 behind 1/100; ωCR 15 to 120 (measured here).
    Source: rule of thumb, "1.5 to 1.8", each half of a tapped winding "about 1.1", from memory.
    """
    return emf * factor * current + heater_voltage * heater_current


def surge_current(emf: Numbers, resistance: Numbers) -> Numbers:
    """Return the current into an empty reservoir switched on at the peak: √2·V_rms/R [A].

    Range: silicon; the worst instant; leakage inductance and drops neglected. A valve rectifier warms up and spares it.
    Source: Ohm's law.
    """
    return ROOT_TWO * emf / resistance


def regulation(off_load: Numbers, on_load: Numbers) -> Numbers:
    """Return the regulation: (V_off − V_on)/V_on, a ratio; times 100 in per cent.

    Range: a definition; some divide by the voltage off load: say which.
    Source: NEETS module 6, from memory.
    """
    return (off_load - on_load) / on_load


def discharge_time(resistance: Numbers, capacitance: Numbers, start: Numbers, end: Numbers) -> Numbers:
    """Return how long a capacitor takes from one voltage to a lower one through a resistor: R·C·ln(V_0/V) [s].

    Range: one capacitor; through smoothing resistors use `discharge`, which is exact. Dielectric absorption can bring a
    few per cent of the voltage back: measure before touching.
    Source: V = V_0·exp(−t/RC), seen at https://www.sdev.dk/2011/05/04/protection-against-residual-voltage/.
    """
    return resistance * capacitance * np.log(start / end)


def stored_energy(capacitance: Numbers, voltage: Numbers) -> Numbers:
    """Return the energy of a charged capacitor: C·V²/2 [J].

    Range: none. From a few tenths of a joule on a discharge hurts, from some joules on it can kill.
    Source: definition; the second sentence is common practice, no source.
    """
    return capacitance * voltage**2 / 2


def stored_charge(capacitance: Numbers, voltage: Numbers) -> Numbers:
    """Return the charge of a capacitor: C·V [C].

    Range: none.
    Source: definition.
    """
    return capacitance * voltage


def resistor_power(voltage: Numbers, resistance: Numbers) -> Numbers:
    """Return the heat in a bleeder: V²/R [W].

    Range: a steady voltage; fit a resistor of twice the power and of the voltage's rating (common practice, no source).
    Source: Ohm's law.
    """
    return voltage**2 / resistance


def dropper(before: Numbers, after: Numbers, current: Numbers) -> Numbers:
    """Return the resistor that drops a supply to a lower voltage: (V_1 − V_2)/I [Ω].

    Range: a steady current.
    Source: Ohm's law.
    """
    return (before - after) / current
