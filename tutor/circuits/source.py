"""YAML files as plain text scalars with the line of every key.

Every scalar is text: `no`, `010` and `12:30` stay what was typed, and numbers are read by `quantities`. Duplicate keys,
anchors, tags, huge and deeply nested files are refused.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeAlias

from tutor.errors import Fault, FaultyFileError

LARGEST = 256 * 1024  # bytes
DEEPEST = 30

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
        """Return a fault at a path."""
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

    Raises:
        FaultyFileError: If it cannot be read as text or as YAML, or is larger than 256 KiB.
    """
    name = shown or path.name
    try:
        raw = path.read_bytes()
    except OSError as error:
        raise FaultyFileError([Fault(name, 0, "", f"the file cannot be read ({error.strerror})")]) from error
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise FaultyFileError([Fault(name, line, "", "the file is no UTF-8 text; save it as UTF-8")]) from error
    return parse_source(text, name)


def parse_source(text: str, name: str) -> Source:
    """Read YAML text; see `read_source`."""
    import yaml

    if len(text) > LARGEST:
        raise FaultyFileError([Fault(name, 0, "", f"{len(text)} characters; {LARGEST} are the most that is read")])
    _refuse_depth(text, name)
    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    try:
        node = yaml.compose(text, Loader=loader)
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        line = mark.line + 1 if mark is not None else 0
        problem = getattr(error, "problem", None) or "it cannot be read as YAML"
        hint = "check the indentation and quote texts that hold ': ' or begin with a bracket"
        raise FaultyFileError([Fault(name, line, "", f"{problem}; {hint}")]) from error
    walker = _Walker(name)
    data = None if node is None else walker.walk(node, ())
    if walker.faults:
        raise FaultyFileError(walker.faults)
    return Source(name, data, walker.lines)


def _refuse_depth(text: str, name: str) -> None:
    """Refuse files nested far deeper than any template, before the composer recurses into them."""
    depth = 0
    for number, line in enumerate(text.splitlines(), 1):
        depth = max(0, depth + line.count("[") + line.count("{") - line.count("]") - line.count("}"))
        indent = len(line) - len(line.lstrip(" -"))
        if depth > 4 * DEEPEST or (indent > 8 * DEEPEST and line.strip()):
            raise FaultyFileError([Fault(name, number, "", f"brackets or indents nested deeper than {DEEPEST}")])


class _Walker:
    """Turns nodes into plain data and notes the lines."""

    def __init__(self, name: str) -> None:
        self._name = name
        self._seen: set[int] = set()
        self.lines: dict[Path_, int] = {}
        self.faults: list[Fault] = []

    def _fault(self, node: Any, path: Path_, message: str) -> None:
        self.faults.append(Fault(self._name, node.start_mark.line + 1, dotted(path), message))

    def walk(self, node: Any, path: Path_) -> Any:
        import yaml

        self.lines.setdefault(path, node.start_mark.line + 1)
        if id(node) in self._seen:
            self._fault(node, path, "anchors and aliases are not used here; write the value out")
            return None
        if not isinstance(node, yaml.ScalarNode):
            self._seen.add(id(node))
        if len(path) > DEEPEST:
            self._fault(node, path[:3], f"nested deeper than {DEEPEST}")
            return None
        if isinstance(node, yaml.MappingNode):
            return self._mapping(node, path)
        if isinstance(node, yaml.SequenceNode):
            return [self.walk(child, (*path, index)) for index, child in enumerate(node.value)]
        if node.style is None and node.value in ("", "~", "null"):
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
