"""Pydantic's findings in the project's own words: what was found, where, and what would do."""

from __future__ import annotations

from difflib import get_close_matches
from typing import Any

from pydantic import BaseModel, ValidationError

from tutor.circuits.errors import did_you_mean
from tutor.circuits.source import Path_, Source
from tutor.errors import Fault
from tutor.quantities import SERIES, SeriesError, is_preferred

_TAGS = ("fixed", "pick", "series", "range", "rows", "formula")
_SOLUTION_TAGS = ("whole", "steps", "own", "automatic")
_KEYS_OF_VALUES = ("pick", "series", "from", "to", "step", "rows", "formula", "unit")


def faults_of(error: ValidationError, source: Source, model: type[BaseModel]) -> list[Fault]:
    """Return one fault for each finding, with its line."""
    findings = [
        (_file_path(finding["loc"]), finding) for finding in error.errors(include_url=False, include_context=True)
    ]
    meant = {path[:-1]: _near(path, model) for path, finding in findings if finding["type"] == "extra_forbidden"}
    found: dict[tuple[Path_, str], Fault] = {}
    for path, finding in findings:
        if finding["type"] == "missing" and _is_misspelt(path, meant.get(path[:-1], "")):
            continue
        found.setdefault((path, finding["type"]), source.fault(path, _words(finding, path, model)))
    return list(found.values())


def _is_misspelt(path: Path_, meant: str) -> bool:
    """Tell whether a missing key is there under a misspelt name, or is missed because of one."""
    return meant == path[-1] or (path[0] == "values" and meant in _TAGS)


def _file_path(location: tuple[str | int, ...]) -> Path_:
    """Return pydantic's location without the tags of its unions, which are not in the file."""
    pieces = [piece for piece in location if piece != "[key]"]
    if len(pieces) > 2 and pieces[0] == "values" and pieces[2] in _TAGS:
        del pieces[2]
    if pieces and pieces[0] == "solution":
        pieces = [piece for piece in pieces if piece not in _SOLUTION_TAGS]
    return tuple(pieces)


def _near(path: Path_, model: type[BaseModel]) -> str:
    near = get_close_matches(str(path[-1]), _known_keys(path, model), n=1)
    return near[0] if near else ""


def _words(finding: Any, path: Path_, model: type[BaseModel]) -> str:
    kind, found, context = finding["type"], finding.get("input"), finding.get("ctx", {})
    if kind == "extra_forbidden":
        known = _known_keys(path, model)
        near = did_you_mean(str(path[-1]), known)
        listed = f"; known are {', '.join(known)}" if known else ""
        return f"unknown key{near}{listed}"
    if kind == "missing":
        return "it is missing; give it"
    if kind == "literal_error":
        known = [piece.strip("' ") for piece in context["expected"].replace(" or ", ", ").split(",")]
        near = _near_series(str(found)) if set(known) == set(SERIES) else did_you_mean(str(found), known)
        return f'found "{found}"; known are {", ".join(known)}{near}'
    if kind == "string_pattern_mismatch":
        slug = "_" not in context["pattern"]
        wanted = "small letters, figures and hyphens" if slug else "a letter, then letters, figures or _"
        return f'found "{found}"; a name here is {wanted}'
    if kind in ("string_type", "list_type", "dict_type", "model_type", "model_attributes_type"):
        wanted = {"string": "one text", "list": "a list", "dict": "a mapping", "model": "a mapping"}[kind.split("_")[0]]
        return f"found {_short(found)}; {wanted} is wanted here"
    if kind in ("string_too_short", "too_short"):
        return "it is empty; give at least one"
    if kind in ("string_too_long", "too_long"):
        limit = context.get("max_length")
        return f"it is too long; {limit} are the most that is read here"
    if kind == "value_error":
        return f"found {_short(found)}; {context['error']}"
    message: str = finding["msg"]
    return f"found {_short(found)}; {message}"


def _near_series(found: str) -> str:
    """Return the series whose number is nearest: E12 for E13."""
    try:
        is_preferred(found, 1.0)
    except SeriesError as error:
        return f"; did you mean {error.near}?"
    return ""


def _short(found: Any) -> str:
    text = "nothing" if found is None else repr(found)
    return text if len(text) <= 60 else text[:57] + "…"


def _known_keys(path: Path_, model: type[BaseModel]) -> list[str]:
    """Return the keys that the mapping around a path may have."""
    from tutor.questions import schema

    if len(path) == 1:
        chosen: type[BaseModel] = model
    elif path[0] == "values":
        return list(_KEYS_OF_VALUES)
    elif path[0] == "supply":
        inner: dict[str, type[BaseModel]] = {
            "winding": schema.WindingModel,
            "rectifier": schema.RectifierModel,
            "sections": schema.SectionModel,
            "load": schema.LoadModel,
        }
        chosen = inner.get(str(path[1]), schema.SupplyModel) if len(path) > 2 else schema.SupplyModel
    elif path[0] == "solution":
        chosen = schema.AutomaticModel
    elif path[0] == "ask":
        chosen = schema.OfSupplyModel if len(path) == 4 and path[2] == "of supply" else schema.AskModel
        if len(path) == 5:
            chosen = schema.OptionModel if path[2] == "options" else schema.SlipModel
    else:
        chosen = schema.ExampleModel
    return [field.alias or name for name, field in chosen.model_fields.items()]
