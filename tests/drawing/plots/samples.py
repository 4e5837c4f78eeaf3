"""A plot of every usual kind, with figures as they occur in the trade."""

from __future__ import annotations

import math
from datetime import date, timedelta
from functools import cache

from tutor.circuits.valves.catalogue import valve_type
from tutor.circuits.valves.load_line import LoadLine, along, anode_characteristics
from tutor.drawing.plots import Picture, Span
from tutor.drawing.plots.usual import Corner, characteristics, histogram, progress, response, trace

GRIDS = (0.0, -0.5, -1.0, -1.5, -2.0, -2.5, -3.0, -3.5, -4.0)
LINE = LoadLine(300.0, 100e3)


def grid_label(volts: float) -> str:
    return "V_g = 0 V" if not volts else f"−{-volts:g} V"


def anode_curves(uid: str = "anode") -> Picture:
    valve = valve_type("ECC83").valve()
    volts = [5.0 * n for n in range(81)]
    curves = []
    for grid, currents in zip(GRIDS, anode_characteristics(valve, GRIDS, volts), strict=True):
        points = [(v, float(i)) for v, i in zip(volts, currents, strict=True)]
        curves.append((grid_label(grid), points))
    rest = along(valve, LINE, [-1.5])
    return characteristics(
        curves,
        title="ECC83 with 100 kΩ at 300 V",
        uid=uid,
        load=[(0.0, 3e-3), (300.0, 0.0)],
        points=[("P", (float(rest[0][0]), float(rest[1][0])))],
        dissipation=1.0,
        highest=4e-3,
    )


def stage_response(uid: str = "response") -> Picture:
    low, high, middle = 31.8, 42e3, 34.0
    frequencies = [10 ** (n / 20) for n in range(20, 101)]
    ratios = [1 / (complex(1, -low / f) * complex(1, f / high)) for f in frequencies]
    gains = [(f, middle + 20 * math.log10(abs(h))) for f, h in zip(frequencies, ratios, strict=True)]
    phases = [(f, math.degrees(math.atan2(h.imag, h.real))) for f, h in zip(frequencies, ratios, strict=True)]
    return response(
        [("stage", gains)],
        title="A stage between two corners",
        uid=uid,
        phases=[("stage", phases)],
        corners=[Corner(frequency=low, bend=-20.0), Corner(frequency=high, bend=-20.0)],
        middle=(1000.0, middle),
    )


def two_responses(uid: str = "two") -> Picture:
    frequencies = [10 ** (n / 20) for n in range(20, 101)]
    curves = [
        (name, [(f, gain - 10 * math.log10((1 + (low / f) ** 2) * (1 + (f / high) ** 2))) for f in frequencies])
        for name, gain, low, high in (("loop open", 38.0, 60.0, 9e3), ("loop closed", 20.0, 8.0, 70e3))
    ]
    return response(curves, title="Gain with and without feedback", uid=uid)


def ripple(uid: str = "ripple") -> Picture:
    points = []
    for step in range(401):
        t = step * 1e-4
        fall = 310.0 - 2.4e3 * ((t - 0.005) % 0.01)
        points.append((t, max(310 * abs(math.sin(2 * math.pi * 50 * t)), fall)))
    low = min(v for _, v in points[60:])
    span = Span(start=(0.03, low), end=(0.03, 310.0), label="ripple")
    return trace([("reservoir", points)], title="A reservoir", uid=uid, levels=[("peak", 310.0)], marks=[span])


def member(uid: str = "progress") -> Picture:
    days = [date(2026, 9, 1) + timedelta(days=n) for n in (0, 3, 9, 15, 22, 30, 41, 55, 70)]
    shares = [0.3, 0.42, 0.4, 0.55, 0.62, 0.6, 0.7, 0.78, 0.84]
    band = [(share - 0.12, share + 0.1) for share in shares]
    return progress(days, shares, title="Dividers", uid=uid, band=band, goal=0.8)


def counts(uid: str = "counts") -> Picture:
    values = [10.0 + (n * n % 37) / 4 for n in range(90)]
    return histogram(values, title="Marks of a round", uid=uid, name="Marks")


def charge(uid: str = "charge") -> Picture:
    times = [n * 0.01 for n in range(101)]
    curves = [
        (name, [(t, 250 * (1 - math.exp(-t / tau))) for t in times]) for name, tau in (("22 µF", 0.1), ("47 µF", 0.21))
    ]
    return trace(curves, title="A reservoir charging", uid=uid, levels=[("63 %", 158.0)])


@cache
def samples() -> dict[str, Picture]:
    """Return a picture of every kind by its name."""
    makers = (anode_curves, stage_response, two_responses, ripple, member, counts, charge)
    return {maker.__name__: maker() for maker in makers}
