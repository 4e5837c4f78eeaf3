"""Which faults explain a set of readings, as far as the meter can tell.

A suspect explains the readings when each of them is what it would make, within the meter's error. Two sets of readings
are told apart when some reading differs by more than both errors together and what parts differ anyhow.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from tutor.circuits.faults.instrument import Instrument

SPREAD = 0.04
"""Share of a reading by which sound parts and valves of one make move it; common practice, no source."""


def errors_of(instrument: Instrument, readings: Any, full_scale: Any) -> Any:
    """Return how far readings [V] may be from the truth [V], shape as they are; `full_scale` [V] goes with it."""
    sizes = np.abs(readings) * instrument.of_reading + full_scale * instrument.of_range
    return np.maximum(sizes, instrument.least)


def explain(predicted: Any, shown: Any, errors: Any) -> Any:
    """Tell which predictions explain what is shown.

    Args:
        predicted: Volts of every case, shape (cases, points, draws).
        shown: Volts as read, shape (points, draws).
        errors: Of the meter [V], shape (points, draws).

    Returns:
        Shape (cases, draws); a case without a prediction explains nothing.
    """
    with np.errstate(invalid="ignore"):
        near = np.abs(predicted - shown) <= errors * (1 + 1e-9)
    return near.all(axis=1)


def apart(predicted: Any, shown: Any, errors: Any) -> Any:
    """Tell which predictions no honest reading could be mistaken for; shapes as in `explain`.

    A case without a prediction is never told apart: what it would read is not known.
    """
    size = np.maximum(np.abs(predicted), np.abs(shown))
    with np.errstate(invalid="ignore"):
        far = np.abs(predicted - shown) > 2 * errors + SPREAD * size
    return far.any(axis=1) & np.isfinite(predicted).all(axis=1)


def unique(predicted: Any, shown: Any, errors: Any, truth: Any) -> Any:
    """Tell on which draws one suspect and no other explains the readings, and nobody could take it for another.

    Args:
        predicted: Case 0 is the healthy circuit, case n the n-th suspect; shape (cases, points, draws).
        shown: Volts as read, shape (points, draws).
        errors: Of the meter [V], shape (points, draws).
        truth: The case that was measured, shape (draws,).
    """
    draws = np.arange(len(truth))
    told = apart(predicted, shown, errors)
    told[truth, draws] = True
    found = explain(predicted, shown, errors)
    return told.all(axis=0) & found[truth, draws] & (found.sum(axis=0) == 1)
