"""A name for a film that stays with it: copied, moved or renamed, it is the same film.

Reads 48 blocks spread over the file and its size, so that six gigabytes on a slow disk take no longer than one.
"""

from __future__ import annotations

import hashlib
from pathlib import Path

from tenbetween.film.opened import gone, refused, telling

BLOCK = 64 * 1024
BLOCKS = 48
"""The first is the head, the last the tail, where an mp4 keeps its table of contents."""


def fingerprint(path: Path) -> str:
    """Return 32 signs that name a film by what is in it, not by where it is or how it is called.

    Raises:
        FormatError: the file is missing, empty or cannot be read.
    """
    if not path.exists():
        raise gone(path)
    with telling(path):
        size = path.stat().st_size
        if size == 0:
            raise refused(path, "an empty file", "copy it again from the camera")
        told = hashlib.sha256(f"film 1 {size} ".encode())
        with path.open("rb") as file:
            for place in places(size):
                file.seek(place)
                told.update(file.read(BLOCK))
    return told.hexdigest()[:32]


def places(size: int) -> tuple[int, ...]:
    """Return where the blocks begin in a file of so many bytes; a small file is read whole.

    >>> len(places(6_000_000_000)), places(6_000_000_000)[-1] + BLOCK, places(100_000)
    (48, 6000000000, (0, 65536))
    """
    if size <= BLOCK * BLOCKS:
        return tuple(range(0, size, BLOCK))
    return tuple((size - BLOCK) * number // (BLOCKS - 1) for number in range(BLOCKS))
