"""The tables at the heart of an mp4 or mov: when each frame is shown, read without reading a single picture.

Knows the boxes of ISO/IEC 14496-12 that say so, and answers ``None`` wherever the file is anything but plain
(fragments, several edits, tables that do not agree): whoever asked then reads packet by packet.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from typing import BinaryIO

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]
MOST_BOXES = 4096
MOST_TABLE = 512 << 20
"""A table of contents larger than this (bytes) is not read: it is no game film's."""
MOST_FRAMES = 20_000_000


@dataclass(frozen=True, slots=True)
class Edit:
    """One line of an edit list: how long (movie ticks), from where (media ticks; -1: nothing), how fast."""

    length: int
    begins: int
    rate: float


@dataclass(frozen=True, slots=True)
class Table:
    """What one track says of its frames, in the order they are decoded.

    ``whole`` is how many of them lie inside the file: fewer than all when the file was cut short.
    """

    track: int
    ticks: int
    """Ticks a second of the media."""
    movie_ticks: int
    decoded: Ints
    shown: Ints
    lasting: int
    """How many ticks the last frame lasts."""
    key: NDArray[np.bool_]
    edits: tuple[Edit, ...]
    whole: int


def boxes_of(file: BinaryIO, begins: int, ends: int) -> Iterator[tuple[bytes, int, int]]:
    """Yield the boxes between two places of a file as name, first byte of what is in it, and its end."""
    at = begins
    for _ in range(MOST_BOXES):
        if at + 8 > ends:
            return
        file.seek(at)
        head = file.read(16)
        if len(head) < 8:
            return
        size, name = struct.unpack(">I4s", head[:8])
        body = at + 8
        if size == 1 and len(head) == 16:
            size, body = struct.unpack(">Q", head[8:])[0], at + 16
        elif size == 0:
            size = ends - at
        if size < body - at:
            return
        yield name, body, min(at + size, ends)
        at += size


def tables_of(file: BinaryIO, size: int) -> tuple[Table, ...] | None:
    """Return the tables of every picture track, or ``None`` if the file is not a plain mp4 or mov."""
    try:
        top = list(boxes_of(file, 0, size))
        moov = [(body, end) for name, body, end in top if name == b"moov"]
        if (
            len(moov) != 1
            or any(name == b"moof" for name, _, _ in top)
            or moov[0][1] - moov[0][0] > MOST_TABLE
        ):
            return None
        file.seek(moov[0][0])
        held = _Held(file.read(moov[0][1] - moov[0][0]))
        return held.tables(size)
    except (struct.error, ValueError, KeyError, IndexError, OverflowError, MemoryError):
        return None


class _Held:
    """The table of contents, held in memory."""

    def __init__(self, held: bytes) -> None:
        self._held = held

    def tables(self, size: int) -> tuple[Table, ...] | None:
        top = list(self._inside(0, len(self._held)))
        names = [name for name, _, _ in top]
        if b"mvex" in names or b"mvhd" not in names or b"cmov" in names:
            return None
        movie = self._ticks({name: body for name, body, _ in top}[b"mvhd"])
        tracks = [self._track(body, end, movie, size) for name, body, end in top if name == b"trak"]
        return tuple(one for one in tracks if one is not None)

    def _inside(self, at: int, end: int) -> Iterator[tuple[bytes, int, int]]:
        while at + 8 <= end:
            size, name = struct.unpack_from(">I4s", self._held, at)
            body = at + 8
            if size == 1:
                size, body = struct.unpack_from(">Q", self._held, at + 8)[0], at + 16
            elif size == 0:
                size = end - at
            if size < body - at or at + size > end:
                return
            yield name, body, at + size
            at += size

    def _find(self, at: int, end: int, *names: bytes) -> tuple[int, int] | None:
        for wanted in names:
            found = next(((b, e) for name, b, e in self._inside(at, end) if name == wanted), None)
            if found is None:
                return None
            at, end = found
        return at, end

    def _ticks(self, body: int) -> int:
        """Return the ticks a second of a ``mvhd`` or ``mdhd``."""
        skip = 20 if self._held[body] == 1 else 12
        return int(struct.unpack_from(">I", self._held, body + skip)[0])

    def _track(self, at: int, end: int, movie: int, size: int) -> Table | None:
        handler, header = self._find(at, end, b"mdia", b"hdlr"), self._find(at, end, b"tkhd")
        media, stbl = self._find(at, end, b"mdia", b"mdhd"), self._find(at, end, b"mdia", b"minf", b"stbl")
        if not (handler and header and media and stbl) or self._held[handler[0] + 8 :][:4] != b"vide":
            return None
        sizes = self._sizes(*stbl)
        decoded, lasting = self._decoded(stbl, len(sizes))
        return Table(
            track=struct.unpack_from(
                ">I", self._held, header[0] + (20 if self._held[header[0]] == 1 else 12)
            )[0],
            ticks=self._ticks(media[0]),
            movie_ticks=movie,
            decoded=decoded,
            shown=decoded + self._later(stbl, len(sizes)),
            lasting=lasting,
            key=self._key(stbl, len(sizes)),
            edits=self._edits(at, end),
            whole=self._whole(stbl, sizes, size),
        )

    def _rows(self, body: int, end: int, columns: str, skip: int = 4) -> NDArray[np.void]:
        """Return a table of big-endian columns whose count stands ``skip`` bytes in."""
        count = struct.unpack_from(">I", self._held, body + skip)[0]
        kind = np.dtype([(f"c{number}", f">{one}") for number, one in enumerate(columns.split())])
        if body + skip + 4 + count * kind.itemsize > end:
            raise ValueError(count)
        return np.frombuffer(self._held, kind, count, body + skip + 4)

    def _sizes(self, at: int, end: int) -> Ints:
        body, stop = self._find(at, end, b"stsz") or (0, 0)
        same, count = struct.unpack_from(">II", self._held, body + 4)
        if not body or count > MOST_FRAMES:
            raise ValueError(count)
        if same:
            return np.full(count, same, dtype=np.int64)
        return self._rows(body, stop, "u4", 8)["c0"].astype(np.int64)

    def _decoded(self, stbl: tuple[int, int], count: int) -> tuple[Ints, int]:
        rows = self._rows(*(self._find(*stbl, b"stts") or (0, 0)), "u4 i4")
        runs, lasting = rows["c0"].astype(np.int64), rows["c1"].astype(np.int64)
        if int(runs.sum()) != count or count == 0 or (lasting < 0).any():
            raise ValueError(count)
        steps = np.repeat(lasting, runs)
        return np.concatenate([[0], np.cumsum(steps)[:-1]]).astype(np.int64), int(steps[-1])

    def _later(self, stbl: tuple[int, int], count: int) -> Ints:
        """Return by how many ticks each frame is shown later than decoded."""
        found = self._find(*stbl, b"ctts")
        if found is None:
            return np.zeros(count, dtype=np.int64)
        rows = self._rows(*found, "u4 i4")
        runs = rows["c0"].astype(np.int64)
        if int(runs.sum()) != count:
            raise ValueError(count)
        return np.repeat(rows["c1"].astype(np.int64), runs)

    def _key(self, stbl: tuple[int, int], count: int) -> NDArray[np.bool_]:
        found = self._find(*stbl, b"stss")
        key = np.full(count, found is None)
        if found is not None:
            numbers = self._rows(*found, "u4")["c0"].astype(np.int64) - 1
            key[numbers[(numbers >= 0) & (numbers < count)]] = True
        return key

    def _edits(self, at: int, end: int) -> tuple[Edit, ...]:
        found = self._find(at, end, b"edts", b"elst")
        if found is None:
            return ()
        long = self._held[found[0]] == 1
        rows = self._rows(*found, "u8 i8 i4" if long else "u4 i4 i4")
        return tuple(Edit(int(r["c0"]), int(r["c1"]), int(r["c2"]) / 65536) for r in rows[:64])

    def _whole(self, stbl: tuple[int, int], sizes: Ints, size: int) -> int:
        """Return how many frames lie inside a file of this size before the first that does not."""
        far, near = self._find(*stbl, b"co64"), self._find(*stbl, b"stco")
        chunks = self._rows(*far, "u8") if far else self._rows(*(near or (0, 0)), "u4")
        places = chunks["c0"].astype(np.int64)
        held = self._per_chunk(stbl, len(places))
        if int(held.sum()) != len(sizes):
            raise ValueError(len(sizes))
        first = np.cumsum(held) - held
        before = np.cumsum(sizes) - sizes
        lies = np.repeat(places - before[np.minimum(first, len(sizes) - 1)], held) + before
        outside = (lies < 0) | (lies + sizes > size)
        return int(np.argmax(outside)) if outside.any() else len(sizes)

    def _per_chunk(self, stbl: tuple[int, int], count: int) -> Ints:
        rows = self._rows(*(self._find(*stbl, b"stsc") or (0, 0)), "u4 u4 u4")
        begins = rows["c0"].astype(np.int64) - 1
        if len(begins) == 0 or begins[0] != 0 or (np.diff(begins) <= 0).any() or count > MOST_FRAMES:
            raise ValueError(count)
        return np.repeat(rows["c1"].astype(np.int64), np.diff(np.append(begins, max(count, begins[-1])))[:])
