"""Files of a workbench that were made of film, and copies of its database: found, looked into, removed.

Looks through the whole workbench folder, copies somebody put aside there too, and knows what a file holds byte for
byte; what belongs to which film is told to it. Nothing outside the workbench folder is ever touched.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator
from pathlib import Path

from msgspec import Struct

KEPT_AS_IT_IS = frozenset(("media.toml", ".tenbetween.json"))
"""Files of a workbench that are never looked at here; its own database and what stands beside it are none either."""
DATABASE = "tenbetween.db"
LAYERS = "layers"
COPIES_OF_THE_DATABASE = frozenset((".db", ".jsonl", ".sqlite"))
PACKED = frozenset((".zip", ".tar", ".gz", ".tgz", ".bz2", ".xz", ".zst", ".7z", ".rar"))
"""Endings of files in which others are packed: nobody looks into them here."""
BLOCK = 1 << 20
SQLITE = b"SQLite format 3\x00"


class Made(Struct, frozen=True, kw_only=True):
    """One file the workbench made: its name below the folder, and its size."""

    name: str
    size: int
    path: Path

    @property
    def is_copy_of_database(self) -> bool:
        """Whether it is a copy of the database, by its ending or by how it begins."""
        return self.path.suffix.lower() in COPIES_OF_THE_DATABASE or _begins(self.path, SQLITE)

    @property
    def is_packed(self) -> bool:
        """Whether other files are packed in it, by its ending."""
        return self.path.suffix.lower() in PACKED


def made_files(folder: Path) -> tuple[Made, ...]:
    """Return every file of a workbench folder but its database, books and lists, by name; no link is followed."""
    return tuple(sorted(_walk(folder), key=lambda one: one.name))


def _walk(folder: Path) -> Iterator[Made]:
    for place, inside, names in os.walk(folder):
        at_top = Path(place) == folder
        if at_top and LAYERS in inside:
            inside.remove(LAYERS)
        for name in names:
            path = Path(place, name)
            own = at_top and (name in KEPT_AS_IT_IS or name.startswith(DATABASE))
            if not own and not path.is_symlink() and path.is_file():
                yield Made(name=path.relative_to(folder).as_posix(), size=path.stat().st_size, path=path)


def _begins(path: Path, with_bytes: bytes) -> bool:
    try:
        with path.open("rb") as file:
            return file.read(len(with_bytes)) == with_bytes
    except OSError:
        return False


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
