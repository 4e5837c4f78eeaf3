"""Compiled templates on disk, by content hash: quick to load, and safe against anything that happens to the files.

An entry is one text file: a first line with the hash of the rest, then JSON. It is written beside and moved into
place, so that two processes may write at once; an entry that does not match its hash, or cannot be read, is made
again. A folder that cannot be written only costs time.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import tempfile
from pathlib import Path

from tutor.questions.compiling import Compiled, compile_template, generator_version
from tutor.questions.template import Template


class CompiledCache:
    """Compiled templates, kept in memory and, given a folder, on disk.

    Args:
        folder: Where entries are kept; None keeps them in memory only.
    """

    def __init__(self, folder: Path | None = None) -> None:
        self._folder = folder
        self._memory: dict[str, Compiled] = {}

    def compiled(self, template: Template) -> Compiled:
        """Return the compiled template, from memory, from disk, or made anew.

        Raises:
            CircuitError: If the circuit cannot be solved as asked.
        """
        found = self._memory.get(template.release)
        if found is None:
            found = self._from_disk(template) or self._made(template)
            self._memory[template.release] = found
        return found

    def _path(self, template: Template) -> Path | None:
        if self._folder is None:
            return None
        return self._folder / f"{template.name}-{template.release}-{generator_version()}.program"

    def _from_disk(self, template: Template) -> Compiled | None:
        path = self._path(template)
        if path is None:
            return None
        try:
            head, _, body = path.read_text(encoding="utf-8").partition("\n")
            if head != hashlib.sha256(body.encode()).hexdigest():
                return None
            entry = json.loads(body)
            return Compiled(
                template,
                tuple(entry["base"]),
                entry["source"],
                tuple(entry["outputs"]),
                tuple((ask, slip) for ask, slip in entry["slips"]),
            )
        except (OSError, ValueError, KeyError, TypeError):
            return None

    def _made(self, template: Template) -> Compiled:
        made = compile_template(template)
        path = self._path(template)
        if path is not None:
            body = json.dumps(
                {"base": made.base, "source": made.source, "outputs": made.outputs, "slips": made.slips}, indent=1
            )
            with contextlib.suppress(OSError):
                _write_beside_and_move(path, f"{hashlib.sha256(body.encode()).hexdigest()}\n{body}")
        return made


def _write_beside_and_move(path: Path, text: str) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=path.stem, suffix=".part")
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
        Path(name).replace(path)
    except OSError:
        Path(name).unlink(missing_ok=True)
        raise
