"""What changed between two drafts or releases, in words: one line a change."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from tutor.questions.authoring.rows import parts_of
from tutor.questions.authoring.value_words import write_value_words

LONGEST = 90
_TOLD_APART = ("circuit", "values", "ask")


def differences(before: Mapping[str, Any], after: Mapping[str, Any]) -> tuple[str, ...]:
    """Return what changed, in words.

    >>> differences({"values": {"R1": "1 kΩ"}}, {"values": {"R1": {"pick": ["1 kΩ", "2 kΩ"]}}})
    ('Value R1: “1 kΩ” became “1 kΩ, 2 kΩ”.',)
    """
    return tuple(_differences(before, after))


def _differences(before: Mapping[str, Any], after: Mapping[str, Any]) -> Iterator[str]:
    parts = parts_of(before), parts_of(after)
    yield from _of_mapping("Part", *parts, _part_words)
    if not any(parts) and before.get("circuit") != after.get("circuit"):
        yield _changed("Circuit", str(before.get("circuit", "")), str(after.get("circuit", "")))
    yield from _of_mapping("Value", _mapping(before, "values"), _mapping(after, "values"), write_value_words)
    asks = _mapping(before, "ask"), _mapping(after, "ask")
    for name in dict.fromkeys([*asks[0], *asks[1]]):
        if name not in asks[0]:
            yield f"Ask {name} was added."
        elif name not in asks[1]:
            yield f"Ask {name} was taken out."
        elif isinstance(asks[0][name], Mapping) and isinstance(asks[1][name], Mapping):
            yield from _of_ask(name, asks[0][name], asks[1][name])
    if list(asks[0]) != list(asks[1]) and sorted(asks[0]) == sorted(asks[1]):
        yield "The asks stand in another order."
    for key in dict.fromkeys([*before, *after]):
        if key not in _TOLD_APART and before.get(key) != after.get(key):
            yield _changed(key.capitalize(), _words(before.get(key)), _words(after.get(key)))


def _of_ask(name: str, before: Mapping[str, Any], after: Mapping[str, Any]) -> Iterator[str]:
    yield from _of_mapping(f"Ask {name}, slip", _mapping(before, "slips"), _mapping(after, "slips"), _words)
    for key in dict.fromkeys([*before, *after]):
        if key != "slips" and before.get(key) != after.get(key):
            yield _changed(f"Ask {name}, {key}", _words(before.get(key)), _words(after.get(key)))


def _mapping(data: Mapping[str, Any], key: str) -> Mapping[str, Any]:
    found = data.get(key)
    return found if isinstance(found, Mapping) else {}


def _of_mapping(what: str, before: Mapping[str, Any], after: Mapping[str, Any], words: Any) -> Iterator[str]:
    for name in dict.fromkeys([*before, *after]):
        if name not in before:
            yield f"{what} {name} was added: “{_short(words(after[name]))}”."
        elif name not in after:
            yield f"{what} {name} was taken out."
        elif before[name] != after[name]:
            yield _changed(f"{what} {name}", words(before[name]), words(after[name]))


def _changed(what: str, before: str, after: str) -> str:
    if not before:
        return f"{what} was given: “{_short(after)}”."
    if not after:
        return f"{what} was emptied."
    return f"{what}: “{_short(before)}” became “{_short(after)}”."


def _part_words(raw: Any) -> str:
    if not isinstance(raw, Mapping):
        return _words(raw)
    nodes = raw.get("nodes")
    joined = nodes.values() if isinstance(nodes, Mapping) else nodes if isinstance(nodes, list) else []
    rest = ", ".join(f"{key} {_words(raw[key])}" for key in raw if key not in ("kind", "nodes"))
    return f"{raw.get('kind', '')}, {'-'.join(str(n) for n in joined)}" + (f", {rest}" if rest else "")


def _words(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, Mapping):
        return ", ".join(f"{key}: {_words(item)}" for key, item in value.items())
    if isinstance(value, list | tuple):
        return " / ".join(_words(item) for item in value)
    return " ".join(str(value).split())


def _short(text: str) -> str:
    return text if len(text) <= LONGEST else text[: LONGEST - 1] + "…"
