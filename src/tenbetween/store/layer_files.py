"""The files in ``layers/``: written whole or not at all, and never over what somebody typed into them.

The database holds the text that counts; a file is its copy for people and for the book. A small list
beside the files remembers what was last written, so that a file left behind by a crash is told from one
edited by hand. Knows no journal and no TOML.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Literal

from msgspec import Struct

from tenbetween.errors import Problem, StoreError
from tenbetween.store.faults import directions
from tenbetween.store.forms import LARGEST_TEXT, brief
from tenbetween.store.values import FILE_NAME

FileState = Literal["same", "waiting", "edited", "new", "gone"]
LIST = ".written.json"


class LayerFile(Struct, frozen=True):
    """One layer file: ``same`` as kept, ``waiting`` to be written, or ``edited``, ``new``, ``gone`` by
    hand.
    """

    id: str
    state: FileState
    path: str


def file_state(file: str | None, written: str | None, kept: str | None) -> FileState:
    """Return the state of a file from the digests of the file, of what was last written, and of what is kept.

    >>> file_state("a", "a", "b"), file_state("x", "a", "a")
    ('waiting', 'edited')
    >>> file_state(None, "a", "a"), file_state("x", None, None)
    ('gone', 'new')
    """
    if file == kept:
        return "same"
    if file == written:
        return "waiting"
    if file is None:
        return "gone"
    return "new" if kept is None and written is None else "edited"


def _digest(content: bytes | None) -> str | None:
    return None if content is None else hashlib.sha256(content).hexdigest()


def _encoded(text: str | None) -> bytes | None:
    return None if text is None else text.encode()


class LayerFiles:
    """The ``layers/`` folder of one workbench."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def path(self, layer: str) -> Path:
        """Return where the file of a layer lies.

        Raises:
            StoreError: the id is a path, or no name a file can have everywhere.
        """
        if not re.match(FILE_NAME, layer):
            raise StoreError(
                Problem(
                    "layer id",
                    brief(layer),
                    "a plain name of small letters, digits, - _ .",
                    "give it such a name",
                )
            )
        return self.folder / f"{layer}.toml"

    def content(self, layer: str) -> bytes | None:
        """Return what stands in the file of a layer, or None where there is no file.

        Raises:
            StoreError: it is a link, a folder or larger than any layer.
        """
        path = self.path(layer)
        with directions(str(path)):
            if not path.is_symlink() and not path.exists():
                return None
            if path.is_symlink() or not path.is_file():
                raise StoreError(
                    Problem(str(path), "a link or a folder", "a plain file", "put the file itself there")
                )
            if path.stat().st_size > 4 * LARGEST_TEXT:
                raise StoreError(
                    Problem(
                        str(path), f"{path.stat().st_size} bytes", "a layer file", "take it out of layers/"
                    )
                )
            return path.read_bytes()

    def state(self, layer: str, kept: str | None) -> FileState:
        """Return the state of the file of a layer whose kept text is given."""
        return file_state(_digest(self.content(layer)), self._written().get(layer), _digest(_encoded(kept)))

    def states(self, kept: Mapping[str, str]) -> tuple[LayerFile, ...]:
        """Return every layer file that is or should be there, by name."""
        names = {path.stem for path in self.folder.glob("[!.]*.toml")} | set(kept) | set(self._written())
        return tuple(
            LayerFile(name, self.state(name, kept.get(name)), str(self.path(name))) for name in sorted(names)
        )

    def leftovers(self) -> tuple[Path, ...]:
        """Return half-written files that a crash left behind."""
        return tuple(sorted(self.folder.glob(".*.part")))

    def refuse_if_edited(self, layer: str, kept: str | None, new: str | None) -> None:
        """Refuse to write new text over what somebody typed into the file, unless it is the same text.

        Raises:
            StoreError: the file was changed by hand since the store last wrote it.
        """
        typed = self.state(layer, kept) in ("edited", "new")
        if typed and (new is None or self.content(layer) != new.encode()):
            raise StoreError(
                Problem(
                    str(self.path(layer)),
                    "text that was typed into the file by hand",
                    "the text the store last wrote there",
                    "take the edited file into the journal first, then make the change again",
                )
            )

    def prepare(self, layer: str, text: str) -> None:
        """Write the new text beside the file, so that a full or locked disk is found before anything is
        kept.
        """
        path = self._part(layer)
        with directions(str(path)):
            _write_safely(path, text.encode())

    def settle(self, kept: Mapping[str, str | None]) -> None:
        """Bring the files of these layers to the kept text (None: no file); one typed into meanwhile is
        left alone.
        """
        written = self._written()
        for layer, text in kept.items():
            if self.state(layer, text) != "edited":
                self._bring(layer, text)
                written[layer] = _digest(_encoded(text)) or ""
            self._part(layer).unlink(missing_ok=True)
        part = self.folder / f"{LIST}.part"
        with directions(str(self.folder)):
            _write_safely(
                part, json.dumps({name: mark for name, mark in written.items() if mark}, indent=1).encode()
            )
            _move(part, self.folder / LIST)

    def forget(self, layers: Mapping[str, str | None]) -> None:
        """Drop what ``prepare`` wrote for changes that were not kept."""
        for layer in layers:
            self._part(layer).unlink(missing_ok=True)

    def _part(self, layer: str) -> Path:
        return self.path(layer).with_name(f".{layer}.toml.part")

    def _bring(self, layer: str, text: str | None) -> None:
        path, part = self.path(layer), self._part(layer)
        with directions(str(path)):
            if text is None:
                path.unlink(missing_ok=True)
            elif self.content(layer) != text.encode():
                _write_safely(part, text.encode())
                _move(part, path)

    def _written(self) -> dict[str, str]:
        with directions(str(self.folder / LIST)):
            try:
                marks = json.loads((self.folder / LIST).read_text("utf-8"))
            except (FileNotFoundError, ValueError):
                return {}
        pairs = marks.items() if isinstance(marks, dict) else ()
        return {name: mark for name, mark in pairs if isinstance(mark, str) and re.match(FILE_NAME, name)}


def _write_safely(path: Path, content: bytes) -> None:
    with path.open("wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def _move(part: Path, path: Path) -> None:
    part.replace(path)
    if os.name == "posix":
        handle = os.open(path.parent, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
