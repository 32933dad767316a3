"""Files of a workbench that were made of film, and copies of its database: found, looked into, removed.

Knows the folders a workbench makes and what a file holds byte for byte; what belongs to which film is told to it.
Nothing outside the workbench folder is ever touched.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator
from pathlib import Path

from msgspec import Struct

MADE_IN = ("copies", "stills", "thumbnails", "exports")
"""Folders of a workbench in which something made of film may lie."""
COPIES_OF_THE_DATABASE = frozenset((".db", ".jsonl", ".sqlite"))
BLOCK = 1 << 20


class Made(Struct, frozen=True, kw_only=True):
    """One file the workbench made: its name below the folder, and its size."""

    name: str
    size: int
    path: Path

    @property
    def is_copy_of_database(self) -> bool:
        """Whether it is a copy of the database, by its ending."""
        return self.path.suffix.lower() in COPIES_OF_THE_DATABASE


def made_files(folder: Path) -> tuple[Made, ...]:
    """Return every file in the folders of things made, by name; links are not followed out of the workbench."""
    return tuple(sorted(_walk(folder), key=lambda one: one.name))


def _walk(folder: Path) -> Iterator[Made]:
    for top in MADE_IN:
        for place, _, names in os.walk(folder / top):
            for name in names:
                path = Path(place, name)
                if not path.is_symlink() and path.is_file():
                    yield Made(name=path.relative_to(folder).as_posix(), size=path.stat().st_size, path=path)


def digest_of(path: Path) -> str:
    """Return the SHA-256 of a file, or nothing where it cannot be read."""
    reckoned = hashlib.sha256()
    try:
        with path.open("rb") as file:
            while block := file.read(BLOCK):
                reckoned.update(block)
    except OSError:
        return ""
    return reckoned.hexdigest()


def mentions(path: Path, word: str) -> bool:
    """Return whether a file holds a word anywhere; a file that cannot be read is taken to hold it."""
    wanted, tail = word.encode(), b""
    try:
        with path.open("rb") as file:
            while block := file.read(BLOCK):
                if wanted in tail + block:
                    return True
                tail = block[-len(wanted) :]
    except OSError:
        return True
    return False


def remove(path: Path) -> str:
    """Remove a file; return nothing, or why it could not be done."""
    try:
        path.unlink(missing_ok=True)
    except OSError as fault:
        return fault.strerror or "the disk refuses"
    return ""
