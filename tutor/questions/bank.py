"""Banks: folders of templates, with shared circuits. One bad file never hides the others.

question_banks/<bank>/<topic>/<template>.yaml
question_banks/<bank>/circuits/<circuit>.yaml
question_banks/<bank>/topics.yaml            titles of the topics, and what each needs first
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from tutor.circuits.errors import CircuitError, did_you_mean
from tutor.circuits.source import read_source
from tutor.errors import Fault, FaultyFileError
from tutor.questions.errors import UnknownTemplateError
from tutor.questions.reading import read_template
from tutor.questions.template import Template

CIRCUITS = "circuits"
COURSES = "courses"
TOPICS = "topics.yaml"


@dataclass(frozen=True, slots=True)
class Topic:
    """A topic of a bank.

    Attributes:
        name: Its key.
        title: For people.
        needs: Topics to know first.
    """

    name: str
    title: str
    needs: tuple[str, ...] = ()


@dataclass(slots=True)
class Library:
    """Every template of some banks.

    Attributes:
        templates: By name.
        topics: By name.
        faults: What could not be read.
    """

    templates: dict[str, Template] = field(default_factory=dict)
    topics: dict[str, Topic] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)

    def template(self, name: str) -> Template:
        """Return a template by name, or by `bank/topic/name`.

        Raises:
            UnknownTemplateError: If there is none; names near ones.
        """
        found = self.templates.get(name) or self.templates.get(name.rsplit("/", 1)[-1])
        if found is None:
            raise UnknownTemplateError(name, self.templates)
        return found


class Circuits:
    """The shared circuits of one bank, read when first asked for."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._read: dict[str, Mapping[str, Any]] = {}

    def __call__(self, name: str) -> Mapping[str, Any]:
        """Return the parts of a circuit.

        Raises:
            CircuitError: If there is no such circuit or it cannot be read.
        """
        if name not in self._read:
            self._read[name] = self._parts(name)
        return self._read[name]

    def names(self) -> tuple[str, ...]:
        """Return the names of all circuits, sorted."""
        return tuple(sorted(path.stem for path in self._folder.glob("*.yaml")))

    def _parts(self, name: str) -> Mapping[str, Any]:
        if name not in self.names():
            listed = ", ".join(self.names()) or "none"
            raise CircuitError(f"there is no circuit {name!r}{did_you_mean(name, self.names())}; there are {listed}")
        path = self._folder / f"{name}.yaml"
        try:
            source = read_source(path, f"{CIRCUITS}/{path.name}")
        except FaultyFileError as error:
            raise CircuitError(str(error)) from error
        parts = source.data.get("parts") if isinstance(source.data, dict) else None
        if not isinstance(parts, dict):
            raise CircuitError(f"{CIRCUITS}/{path.name}: it has no `parts:`")
        return parts


def read_library(folders: Iterable[Path]) -> Library:
    """Read every bank below some folders; a folder may itself be a bank.

    Args:
        folders: Folders of banks, or banks.

    Returns:
        The templates that could be read, and the faults of those that could not.
    """
    library = Library()
    banks = [bank for folder in folders for bank in _banks(folder)]
    # All topics first: a template may belong to a topic that another bank defines.
    for bank in banks:
        _read_topics(library, bank)
    for bank in banks:
        _read_bank(library, bank)
    return library


def _banks(folder: Path) -> list[Path]:
    if _is_bank(folder):
        return [folder]
    return sorted(path for path in folder.iterdir() if path.is_dir() and _is_bank(path)) if folder.is_dir() else []


def _is_bank(folder: Path) -> bool:
    if not folder.is_dir():
        return False
    if (folder / TOPICS).exists() or (folder / CIRCUITS).is_dir():
        return True
    # Without either it is a bank when its topics' folders hold templates, and a folder of banks when they hold banks.
    return any(path.name != TOPICS and not (path.parent / CIRCUITS).is_dir() for path in folder.glob("*/*.yaml"))


def _read_bank(library: Library, bank: Path) -> None:
    circuits = Circuits(bank / CIRCUITS)
    for path in sorted(bank.glob("*/*.yaml")):
        if path.parent.name in (CIRCUITS, COURSES):
            continue
        shown = f"{bank.name}/{path.parent.name}/{path.name}"
        try:
            template = read_template(read_source(path, shown), circuits, bank.name)
        except FaultyFileError as error:
            library.faults.extend(error.faults)
            continue
        _add(library, template, path, shown)


def _add(library: Library, template: Template, path: Path, shown: str) -> None:
    other = library.templates.get(template.name)
    if other is not None:
        message = f"the name {template.name!r} is taken by {other.file}; give one of them another"
        library.faults.append(Fault(shown, 1, "template", message))
        return
    if template.name != path.stem:
        library.faults.append(Fault(shown, 1, "template", f"found {template.name!r}; the file is called {path.stem!r}"))
    library.faults.extend(_unknown_topics(library, template, shown))
    library.templates[template.name] = template


def _unknown_topics(library: Library, template: Template, shown: str) -> Iterator[Fault]:
    """Yield a fault for every topic of a template that no bank defines; where none is defined, all will do."""
    topics = {"topic": template.topic}
    topics |= {f"ask.{ask.name}.topic": ask.topic for ask in template.asks if ask.topic != template.topic}
    for key, topic in topics.items():
        if library.topics and topic not in library.topics:
            near = did_you_mean(topic, library.topics)
            message = f"nobody defined the topic {topic!r}{near}; there are {', '.join(library.topics)}"
            yield Fault(shown, template.line_of(key), key, message)


def _read_topics(library: Library, bank: Path) -> None:
    path = bank / TOPICS
    if not path.exists():
        return
    shown = f"{bank.name}/{TOPICS}"
    try:
        source = read_source(path, shown)
    except FaultyFileError as error:
        library.faults.extend(error.faults)
        return
    if not isinstance(source.data or {}, dict):
        library.faults.append(source.fault((), "topics are listed by name, each with a `title:`"))
        return
    for name, raw in (source.data or {}).items():
        if not isinstance(raw, dict) or not isinstance(raw.get("title"), str):
            library.faults.append(source.fault((name,), "a topic has a `title:`, and perhaps `needs:`"))
            continue
        # Whether what it needs is defined shows only with all banks together.
        needs = raw.get("needs") or []
        library.topics[name] = Topic(name, raw["title"], tuple(needs if isinstance(needs, list) else [needs]))


def read_template_file(path: Path) -> Template:
    """Read one template file; shared circuits are looked for in the bank around it.

    Raises:
        FaultyFileError: With every fault.
    """
    bank = path.resolve().parent.parent
    return read_template(read_source(path, path.name), Circuits(bank / CIRCUITS), bank.name)
