"""Where the film of a workbench lies on this machine: ``media.toml``, read and written, and the folders it names.

Knows paths, names and sizes of files; opens no film and knows nothing of what is on one. What the database keeps
never holds a path, so that a workbench copied to another machine needs only this file to be told anew.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from msgspec import Struct

from tenbetween.errors import Problem, StoreError
from tenbetween.store.faults import directions

NAME = "media.toml"
HEAD = (
    "# Where the film of this workbench lies: one [[film]] for each file, one [[folder]] for each folder.\n"
)
ENDINGS = frozenset((".mp4", ".m4v", ".mov", ".mkv", ".ts", ".mts", ".m2ts", ".webm", ".avi"))
"""Endings of the files a folder page lists."""
ID_SIGNS = 16
DEEPEST, MOST_FOLDERS = 3, 2000
"""How far below a listed folder a film that was moved is looked for, and in how many folders at most."""


class MediaFile(Struct, frozen=True, kw_only=True):
    """One file in a folder the page may list; ``id`` stands for the path, which never leaves this machine."""

    id: str
    name: str
    size: int
    path: Path


class Media(Struct, frozen=True, kw_only=True):
    """What ``media.toml`` says: files by fingerprint, folders, and the fingerprints of withdrawn film."""

    films: Mapping[str, Path] = {}
    folders: tuple[Path, ...] = ()
    withdrawn: Mapping[str, str] = {}
    """Day of withdrawal by fingerprint: these are never opened again, whatever a restored copy says."""


def read_media(folder: Path) -> Media:
    """Return what the ``media.toml`` of a workbench folder says; nothing where there is none.

    Raises:
        StoreError: every entry that is not as it should be, or a file that is no TOML.
    """
    try:
        given = tomllib.loads((folder / NAME).read_text("utf-8"))
    except FileNotFoundError:
        return Media()
    except (OSError, ValueError) as fault:
        do = "mend it by hand, or put it aside: films are asked for again"
        raise StoreError(Problem(NAME, str(fault)[:120], "a TOML file that can be read", do)) from None
    faults = list(_faults(given))
    if faults:
        raise StoreError(faults)
    return Media(
        films={one["fingerprint"]: Path(one["path"]) for one in given.get("film", ())},
        folders=tuple(Path(one["path"]) for one in given.get("folder", ())),
        withdrawn={one["fingerprint"]: one["on"] for one in given.get("withdrawn", ())},
    )


_WANTED = {"film": ("fingerprint", "path"), "folder": ("path",), "withdrawn": ("fingerprint", "on")}


def _faults(given: Mapping[str, Any]) -> Iterator[Problem]:
    for name, value in given.items():
        if name not in _WANTED or not isinstance(value, list):
            found = f"{name} in {NAME}"
            yield Problem(NAME, found, "[[film]], [[folder]] and [[withdrawn]] only", "take it out")
            continue
        for number, one in enumerate(value):
            lacking = [n for n in _WANTED[name] if not (isinstance(one.get(n), str) and one[n])]
            if lacking:
                where = f"{NAME}, {name} {number + 1}"
                yield Problem(where, f"no {' and no '.join(lacking)}", "text in quotes", "write it in")


def write_media(folder: Path, media: Media) -> None:
    """Write ``media.toml``: whole or not at all.

    Raises:
        StoreError: a path that no text can hold, or the disk refuses; the file is as it was then.
    """
    target = folder / NAME
    part = target.with_name(NAME + ".part")
    with directions(str(target)):
        try:
            with part.open("w", encoding="utf-8", newline="\n") as file:
                file.write(text_of(media))
                file.flush()
                os.fsync(file.fileno())
            part.replace(target)
        finally:
            part.unlink(missing_ok=True)


def text_of(media: Media) -> str:
    r"""Return the text of ``media.toml``.

    >>> print(text_of(Media(folders=(Path("film"),))).splitlines()[-1])
    path = "film"
    """
    tables = [("film", {"fingerprint": f, "path": str(p)}) for f, p in sorted(media.films.items())]
    tables += [("folder", {"path": str(p)}) for p in media.folders]
    tables += [("withdrawn", {"fingerprint": f, "on": d}) for f, d in sorted(media.withdrawn.items())]
    return HEAD + "".join(_table(name, fields) for name, fields in tables)


def _table(name: str, fields: Mapping[str, str]) -> str:
    lines = [f"{key} = {_quoted(value)}" for key, value in fields.items()]
    return "\n".join(("", f"[[{name}]]", *lines, ""))


def _quoted(text: str) -> str:
    """Return a text in TOML quotes, which are those of JSON but for one sign."""
    try:
        text.encode()
    except UnicodeEncodeError:
        do = "rename the file or folder with plain letters"
        raise StoreError(
            Problem(ascii(text)[:120], "a name that is no text", "a name that can be written", do)
        ) from None
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def file_id(path: Path) -> str:
    """Return the short name that stands for a path on the page.

    >>> len(file_id(Path("/films/a.mp4")))
    16
    """
    return hashlib.sha256(os.fsencode(path.absolute())).hexdigest()[:ID_SIGNS]


def files_in(folder: Path) -> tuple[MediaFile, ...]:
    """Return the film files of a folder by name, not those of folders inside it; none if it is not there now."""
    try:
        found = [entry for entry in os.scandir(folder) if Path(entry.name).suffix.lower() in ENDINGS]
        return tuple(
            MediaFile(id=file_id(Path(e.path)), name=e.name, size=e.stat().st_size, path=Path(e.path))
            for e in sorted(found, key=lambda e: e.name)
            if e.is_file()
        )
    except OSError:
        return ()


def files_below(folder: Path, deep: int = DEEPEST) -> Iterator[MediaFile]:
    """Yield the film files of a folder and of folders inside it, ``deep`` folders deep; no link is followed."""
    level, seen = [folder], 0
    for _ in range(deep + 1):
        inside: list[Path] = []
        for place in level:
            yield from files_in(place)
            seen += 1
            if seen >= MOST_FOLDERS:
                return
            inside += _folders_in(place)
        level = inside


def _folders_in(folder: Path) -> list[Path]:
    try:
        return sorted(
            Path(one.path)
            for one in os.scandir(folder)
            if one.is_dir(follow_symlinks=False) and not one.name.startswith(".")
        )
    except OSError:
        return []


def size_of(path: Path) -> int | None:
    """Return the size of a file in bytes, or None where none can be looked at."""
    try:
        return path.stat().st_size if path.is_file() else None
    except OSError:
        return None


def free_bytes(folder: Path) -> int:
    """Return how much room is left on the disk of a folder, in bytes; 0 where nobody knows."""
    try:
        return shutil.disk_usage(folder).free
    except OSError:
        return 0
