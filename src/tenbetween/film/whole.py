"""A file written whole or not at all: under another name until it is finished, and nothing left of it otherwise.

Knows files and disks. A disk that fills up is said, with how much is needed.
"""

from __future__ import annotations

import errno
import os
import secrets
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from glob import escape
from pathlib import Path

from tenbetween.errors import FormatError, Problem

FULL = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EFBIG})
"""What a disk answers that has no room."""
SPARE = 64 << 20
"""Bytes of a disk that are left free: a disk filled to the brim harms more than our file."""
Free = Callable[[Path], int]
"""Told a folder, returns how many bytes are free there."""


def free_bytes(folder: Path) -> int:
    """Return how many bytes may be written in a folder."""
    return shutil.disk_usage(folder).free


@contextmanager
def whole(out: Path, needs: int = 0, free: Free = free_bytes) -> Iterator[Path]:
    """Give a name to write under; the file takes its own when all is written and on the disk, else nothing of it is left.

    ``needs`` is how many bytes it will have at most; with too little room nothing is begun. The name is one nobody else
    writes under: of two that write the same file the later begins anew and the earlier finds its own gone, so that
    what one has half written never gets its name from the other.

    Raises:
        FormatError: the disk is full, or the folder cannot be written to.
    """
    part = out.with_name(f"{out.name}.{secrets.token_hex(4)}.part")
    try:
        if needs and (room := free(out.parent)) < needs + SPARE:
            raise too_full(out, f"{megabytes(room)} free", f"{megabytes(needs + SPARE)} free")
        for left in out.parent.glob(f"{escape(out.name)}*.part"):  # of programs that were killed
            left.unlink(missing_ok=True)
        yield part
        with part.open("rb+") as file:
            os.fsync(file.fileno())
        part.replace(out)
        _settle(out.parent)
    except OSError as error:
        if error.errno in FULL:
            raise too_full(out, "a full disk", "room for the whole file") from None
        if error.errno == errno.ENOENT and out.parent.is_dir():
            found, do = "its half-written file gone", "let the other finish, or start this once more"
            raise FormatError(Problem(out.name, found, "nobody else writing the same file", do)) from None
        if error.errno in {errno.EACCES, errno.EPERM, errno.EROFS, errno.ENOENT, errno.ENOTDIR}:
            found, do = "a folder that cannot be written to", "choose another folder, or allow writing there"
            raise FormatError(Problem(out.name, found, "a folder to write in", do)) from None
        raise
    finally:
        with _quietly():
            part.unlink(missing_ok=True)


def too_full(out: Path, found: str, expected: str) -> FormatError:
    """Return the error of a disk without room; nothing half was left."""
    return FormatError(
        Problem(out.name, found, expected, "make room, then start it again; nothing half is left")
    )


def megabytes(count: int) -> str:
    """Return a number of bytes as people read it.

    >>> megabytes(2_400_000_000), megabytes(900_000)
    ('2.4 GB', '1 MB')
    """
    return f"{count / 1e9:.1f} GB" if count >= 1e9 else f"{max(1, round(count / 1e6))} MB"


def _settle(folder: Path) -> None:
    """Have the new name on the disk too, where the system knows how."""
    with _quietly():
        held = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(held)
        finally:
            os.close(held)


@contextmanager
def _quietly() -> Iterator[None]:
    try:
        yield
    except OSError:
        return
