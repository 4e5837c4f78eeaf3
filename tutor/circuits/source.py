"""YAML files as plain text scalars with the line of every key.

Every scalar is text: `no`, `010` and `12:30` stay what was typed, and numbers are read by `quantities`. Duplicate keys,
anchors, tags, huge and deeply nested files are refused, before anything is built from them.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeAlias

from tutor.errors import Fault, FaultyFileError

LARGEST = 256 * 1024  # bytes
DEEPEST = 30  # mappings and lists within one another
MOST_FAULTS = 20  # of one file that are told

Path_: TypeAlias = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Source:
    """What a file says, and where.

    Attributes:
        name: The file's name for messages.
        data: Mappings, lists and text.
        lines: Line of each key, by path.
    """

    name: str
    data: Any
    lines: dict[Path_, int]

    def line(self, path: Path_) -> int:
        """Return the line of a path, or of the nearest key above it."""
        while path and path not in self.lines:
            path = path[:-1]
        return self.lines.get(path, 0)

    def fault(self, path: Path_, message: str) -> Fault:
        """Return a fault at a path; empty pieces of the path are left out."""
        path = tuple(piece for piece in path if piece != "")
        return Fault(self.name, self.line(path), dotted(path), message)


def dotted(path: Iterable[str | int]) -> str:
    """Return a path as people read it: `ask.v_tap.slips`, with list places counted from 1.

    >>> dotted(("hints", 0))
    'hints[1]'
    """
    text = ""
    for piece in path:
        text += f"[{piece + 1}]" if isinstance(piece, int) else f".{piece}" if text else piece
    return text


def read_source(path: Path, shown: str | None = None) -> Source:
    """Read a YAML file.

    Args:
        path: The file.
        shown: Its name for messages; the bare file name when left out.

    Returns:
        What it says, with the line of every key.

    Raises:
        FaultyFileError: If it cannot be read as text or as YAML, is larger than 256 KiB, nests deeper than 30, gives a
            key twice, or uses anchors, aliases or tags.
    """
    name = shown or path.name
    try:
        with path.open("rb") as file:
            raw = file.read(LARGEST + 1)
    except OSError as error:
        raise FaultyFileError([Fault(name, 0, "", f"the file cannot be read ({error.strerror})")]) from error
    if len(raw) > LARGEST:
        raise FaultyFileError([Fault(name, 0, "", f"the file is larger than {LARGEST} bytes, the most that is read")])
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise FaultyFileError([Fault(name, line, "", "the file is no UTF-8 text; save it as UTF-8")]) from error
    return parse_source(text, name)


def parse_source(text: str, name: str) -> Source:
    """Read YAML text; see `read_source`."""
    import yaml

    if len(text) > LARGEST:
        raise FaultyFileError([Fault(name, 0, "", f"{len(text)} characters; {LARGEST} are the most that is read")])
    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    try:
        _refuse_what_is_not_used(yaml.parse(text, Loader=loader), name)
        node = yaml.compose(text, Loader=loader)
    except yaml.YAMLError as error:
        raise FaultyFileError([_yaml_fault(error, text, name)]) from error
    except UnicodeError as error:
        raise FaultyFileError([Fault(name, 0, "", "it holds half a character; save it as UTF-8")]) from error
    walker = _Walker(name)
    data = None if node is None else walker.walk(node, ())
    if walker.faults:
        raise FaultyFileError(walker.faults)
    return Source(name, data, walker.lines)


def _yaml_fault(error: Any, text: str, name: str) -> Fault:
    """Return what the YAML reader found, with its line."""
    mark = getattr(error, "problem_mark", None)
    position = getattr(error, "position", None)  # of a character that no YAML may hold
    line = mark.line + 1 if mark is not None else text[:position].count("\n") + 1 if position is not None else 0
    problem = getattr(error, "problem", None) or getattr(error, "reason", None) or "it cannot be read as YAML"
    hint = "check the indentation and quote texts that hold ': ' or begin with a bracket"
    return Fault(name, line, "", f"{problem}; {hint}")


def _refuse_what_is_not_used(events: Iterable[Any], name: str) -> None:
    """Raise FaultyFileError for deep nesting, anchors, aliases and tags, before anything is built from them.

    Works on the stream of events, so that neither depth nor aliases of aliases cost anything.
    """
    depth, faults = 0, []
    for event in events:
        kind = type(event).__name__
        line = event.start_mark.line + 1
        if kind in ("MappingStartEvent", "SequenceStartEvent"):
            depth += 1
            if depth > DEEPEST:
                raise FaultyFileError([Fault(name, line, "", f"it is nested deeper than {DEEPEST}")])
        elif kind in ("MappingEndEvent", "SequenceEndEvent"):
            depth -= 1
        if getattr(event, "anchor", None) is not None:
            faults.append(Fault(name, line, "", "anchors and aliases are not used here; write the value out"))
        elif getattr(event, "tag", None) is not None:
            faults.append(Fault(name, line, "", f"the tag {event.tag[:40]!r} is not used here; leave it out"))
        if len(faults) == MOST_FAULTS:
            break
    if faults:
        raise FaultyFileError(faults)


class _Walker:
    """Turns nodes into plain data and notes the lines."""

    def __init__(self, name: str) -> None:
        self._name = name
        self.lines: dict[Path_, int] = {}
        self.faults: list[Fault] = []

    def _fault(self, node: Any, path: Path_, message: str) -> None:
        if len(self.faults) < MOST_FAULTS:
            self.faults.append(Fault(self._name, node.start_mark.line + 1, dotted(path), message))

    def walk(self, node: Any, path: Path_) -> Any:
        import yaml

        self.lines.setdefault(path, node.start_mark.line + 1)
        if isinstance(node, yaml.MappingNode):
            return self._mapping(node, path)
        if isinstance(node, yaml.SequenceNode):
            return [self.walk(child, (*path, index)) for index, child in enumerate(node.value)]
        if not node.style and node.value in ("", "~", "null"):  # plain, not quoted
            return None
        return node.value

    def _mapping(self, node: Any, path: Path_) -> dict[str, Any]:
        import yaml

        found: dict[str, Any] = {}
        for key, value in node.value:
            if not isinstance(key, yaml.ScalarNode):
                self._fault(key, path, "a key must be a word")
                continue
            if key.value in found:
                self._fault(key, (*path, key.value), "this key is given twice; keep one")
                continue
            self.lines[*path, key.value] = key.start_mark.line + 1
            found[key.value] = self.walk(value, (*path, key.value))
        return found
