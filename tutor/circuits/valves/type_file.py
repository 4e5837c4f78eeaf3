"""Reads the package's own files: facts of types, printed stages, and the laws fitted to them."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from tutor.circuits.source import read_source
from tutor.circuits.valves.errors import ValveError
from tutor.circuits.valves.limits import Limits
from tutor.circuits.valves.sheet import (
    Capacitances,
    Fit,
    FitError,
    Heater,
    Ratings,
    SheetPoint,
    SheetStage,
    System,
    ValveType,
)
from tutor.quantities import AMPERE, AMPERE_PER_VOLT, FARAD, OHM, RATIO, VOLT, WATT, Unit, read_number_with_unit

FOLDER = Path(__file__).parent

_RATINGS = {
    "anode voltage": VOLT,
    "cold anode voltage": VOLT,
    "anode dissipation": WATT,
    "screen voltage": VOLT,
    "screen dissipation": WATT,
    "cathode current": AMPERE,
    "heater-cathode voltage": VOLT,
    "grid leak": OHM,
    "grid leak fixed": OHM,
    "peak inverse voltage": VOLT,
    "direct current": AMPERE,
    "peak current": AMPERE,
    "reservoir": FARAD,
}
_CAPACITANCES = dict.fromkeys(("grid-anode", "grid-cathode", "anode-cathode", "input", "output"), FARAD)
_POINT = {
    "Va": ("anode_voltage", VOLT),
    "Ia": ("anode_current", AMPERE),
    "Vg": ("grid_voltage", VOLT),
    "Vs": ("screen_voltage", VOLT),
    "Is": ("screen_current", AMPERE),
    "gm": ("gm", AMPERE_PER_VOLT),
    "ra": ("ra", OHM),
    "mu": ("mu", RATIO),
    "inner mu": ("inner_mu", RATIO),
    "Rk": ("cathode_resistor", OHM),
}
_STAGE = {
    "HT": ("ht", VOLT),
    "Ra": ("anode_load", OHM),
    "Rk": ("cathode_resistor", OHM),
    "Rs": ("screen_resistor", OHM),
    "next leak": ("next_leak", OHM),
    "Ia": ("anode_current", AMPERE),
    "Is": ("screen_current", AMPERE),
    "Ik": ("cathode_current", AMPERE),
    "gain": ("gain", RATIO),
}


class _Entry:
    """A mapping of a file whose keys are taken one by one; what is left over at the end is a mistake."""

    def __init__(self, place: str, data: Mapping[str, Any]) -> None:
        self._place, self._left = place, dict(data)

    def inner(self, key: str) -> _Entry:
        return _Entry(f"{self._place}.{key}", self._left.pop(key, {}))

    def inners(self, key: str) -> dict[str, _Entry]:
        return {str(k): _Entry(f"{self._place}.{key}.{k}", v) for k, v in self._left.pop(key, {}).items()}

    def rows(self, key: str) -> list[_Entry]:
        return [_Entry(f"{self._place}.{key}[{i}]", v) for i, v in enumerate(self._left.pop(key, []), 1)]

    def word(self, key: str) -> str:
        return str(self._left.pop(key, ""))

    def said(self, *keys: str) -> dict[str, Any]:
        return {key: self.word(key) for key in keys}

    def words(self, key: str) -> tuple[str, ...]:
        return tuple(self._left.pop(key, ()))

    def pairs(self, key: str) -> dict[str, str]:
        return dict(self._left.pop(key, {}))

    def value(self, key: str, unit: Unit) -> float | None:
        text = self._left.pop(key, None)
        if text is None:
            return None
        quantity = read_number_with_unit(text)
        if quantity.unit != unit:
            raise ValveError(f"{self._place}: {key}: {text!r} is in the wrong unit")
        return quantity.magnitude

    def values(self, keys: Mapping[str, Unit]) -> dict[str, Any]:
        return {key.replace("-", "_").replace(" ", "_"): self.value(key, unit) for key, unit in keys.items()}

    def renamed(self, keys: Mapping[str, tuple[str, Unit]]) -> dict[str, Any]:
        found = {name: self.value(key, unit) for key, (name, unit) in keys.items()}
        return {name: value for name, value in found.items() if value is not None}

    def end(self) -> None:
        if self._left:
            raise ValveError(f"{self._place}: there is no such key: {', '.join(self._left)}")


def read_types(folder: Path = FOLDER, with_fits: bool = True) -> dict[str, ValveType]:
    """Return the types of `types.yaml` with their printed stages and, unless told otherwise, their fits.

    Args:
        folder: Where the three files are.
        with_fits: False reads the facts alone, as `fitting` wants them.

    Raises:
        FaultyFileError: If a file cannot be read.
        ValveError: If it says what no valve has, or a value in the wrong unit.
        QuantityFormatError: If a value cannot be read.
    """
    facts, stages = (read_source(folder / name).data for name in ("types.yaml", "stages.yaml"))
    fits = read_source(folder / "fits.yaml").data if with_fits else {}
    return {
        name: _read_type(name, _Entry(name, data), stages.get(name, {}), fits.get(name, {}))
        for name, data in facts.items()
    }


def _read_type(name: str, entry: _Entry, stages: Mapping[str, Any], fits: Mapping[str, Any]) -> ValveType:
    systems = {
        kind: _read_system(kind, system, _read_stages(name, stages.get(kind, [])), _read_fits(name, fits.get(kind, {})))
        for kind, system in entry.inners("systems").items()
    }
    valve_type = ValveType(
        name=name,
        aliases=entry.words("aliases"),
        relatives=entry.pairs("relatives"),
        description=entry.word("is"),
        base=entry.word("base"),
        pins={int(pin): what for pin, what in entry.pairs("pins").items()},
        pins_seen=entry.word("pins seen"),
        heater=_read_heater(entry.inner("heater")),
        systems=systems,
        remarks=entry.words("remarks"),
    )
    entry.end()
    return valve_type


def _read_heater(entry: _Entry) -> Heater:
    heater = Heater(
        voltage=entry.value("voltage", VOLT) or 0.0,
        current=entry.value("current", AMPERE) or 0.0,
        direct=entry.word("direct") == "yes",
        other=entry.word("other"),
        seen=entry.word("seen"),
    )
    entry.end()
    return heater


def _read_system(kind: str, entry: _Entry, stages: tuple[SheetStage, ...], fits: tuple[Fit, ...]) -> System:
    ratings, capacitances = entry.inner("ratings"), entry.inner("capacitances")
    system = System(
        kind=kind,
        beam=entry.word("beam") == "yes",
        alike=int(entry.word("alike") or 1),
        ratings=Ratings(
            **ratings.values(_RATINGS),
            **ratings.said("system", "source", "seen", "note"),
        ),
        capacitances=Capacitances(
            **capacitances.values(_CAPACITANCES),
            **capacitances.said("seen", "note"),
        ),
        points=tuple(_read_point(row) for row in entry.rows("points")),
        stages=stages,
        fits=fits,
    )
    for part in (ratings, capacitances, entry):
        part.end()
    return system


def _read_point(row: _Entry) -> SheetPoint:
    point = SheetPoint(**row.renamed(_POINT), **row.said("name", "source", "seen"), left_out=row.word("left out"))
    row.end()
    return point


def _read_stages(name: str, tables: list[Any]) -> tuple[SheetStage, ...]:
    found = []
    for data in tables:
        table = _Entry(name, data)
        words = table.said("table", "source", "seen", "note")
        left_out = table.word("left out")
        for row in table.rows("rows"):
            found.append(SheetStage(**row.renamed(_STAGE), **words, left_out=left_out))
            row.end()
        table.end()
    return tuple(found)


def _read_fits(name: str, fits: Mapping[str, Any]) -> tuple[Fit, ...]:
    found = []
    for fit_name, data in fits.items():
        entry = _Entry(f"{name}.{fit_name}", data)
        found.append(
            Fit(
                name=fit_name,
                law=entry.word("law"),
                parameters={key: float(value) for key, value in entry.pairs("parameters").items()},
                limits=_read_limits(entry.inner("limits")),
                errors=tuple(_read_error(row) for row in entry.rows("errors")),
                rms=float(entry.word("rms")),
            )
        )
        entry.end()
    return tuple(found)


def _read_limits(entry: _Entry) -> Limits:
    pairs: dict[str, Any] = {
        key: (float(low), float(high))
        for key in ("anode_voltage", "cathode_current", "screen_voltage")
        for low, high in (entry.words(key),)
    }
    singles: dict[str, Any] = {
        key: float(entry.word(key)) for key in ("grid_voltage", "cut_off", "anode_dissipation", "screen_dissipation")
    }
    entry.end()
    return Limits(**pairs, **singles)


def _read_error(row: _Entry) -> FitError:
    error = FitError(
        place=row.word("place"),
        figure=row.word("figure"),
        per_cent=float(row.word("per cent")),
        fitted=row.word("fitted") == "yes",
    )
    row.end()
    return error
