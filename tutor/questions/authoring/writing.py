"""The file of a template from its data: always the same bytes, and reading it back gives the same data.

Parts, value rules and short lists stand on one line each, texts of several lines as blocks.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from tutor.circuits.source import Path_
from tutor.questions.schema import TemplateModel

WIDTH = 118
_AT_THE_TOP = [field.alias or name for name, field in TemplateModel.model_fields.items()]


def write_template(data: Mapping[str, Any]) -> str:
    """Return the YAML file of a template's data.

    Args:
        data: Mappings, lists and text, as `circuits.source` reads them. Keys that the schema does not know follow the
            others, so that nothing is lost on the way to the message about them.
    """
    import yaml

    node = _node(in_order(data), ())
    # The C writer breaks lines elsewhere; this one is the same wherever the library runs.
    return str(yaml.serialize(node, Dumper=yaml.SafeDumper, width=WIDTH, allow_unicode=True))


def in_order(data: Mapping[str, Any]) -> dict[str, Any]:
    """Return a template's data with its keys in the schema's order, and nothing that is empty.

    What stands deeper keeps its order: the release counts it.
    """
    keys = [key for key in _AT_THE_TOP if key in data] + [key for key in data if key not in _AT_THE_TOP]
    return {key: data[key] for key in keys if data[key] not in (None, "", [], {})}


def _node(data: Any, path: Path_) -> Any:
    import yaml

    if isinstance(data, Mapping):
        pairs = [(_scalar(str(key), plain=True), _node(value, (*path, str(key)))) for key, value in data.items()]
        return yaml.MappingNode("tag:yaml.org,2002:map", pairs, flow_style=_on_one_line(path) or not pairs)
    if isinstance(data, list | tuple):
        items = [_node(value, (*path, index)) for index, value in enumerate(data)]
        return yaml.SequenceNode("tag:yaml.org,2002:seq", items, flow_style=_on_one_line(path) or not items)
    return _scalar("" if data is None else str(data))


def _on_one_line(path: Path_) -> bool:
    """Tell whether what stands at a path is written in brackets: parts, value rules, and what a circuit is asked."""
    if len(path) >= 2 and path[0] in ("values", "circuit") and path[1] != "parts":
        return True
    return len(path) >= 3 and (path[:2] == ("circuit", "parts") or path[2] in ("of circuit", "when", "values"))


def _scalar(text: str, *, plain: bool = False) -> Any:
    import yaml

    block = "\n" in text and not plain
    # A tag of its own would be written out; text that reads as something else is quoted by its look alone.
    return yaml.ScalarNode("tag:yaml.org,2002:str", text, style="|" if block else _quotes(text))


def _quotes(text: str) -> str | None:
    import yaml

    loader: Any = yaml.SafeLoader("")
    resolved = loader.resolve(yaml.ScalarNode, text, (True, False))
    return None if resolved == "tag:yaml.org,2002:str" and text else "'"
