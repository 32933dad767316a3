"""When each frame of a film is shown: whole numbers in the film's own time base, found without decoding a picture.

A plain mp4 or mov says so in its tables, whatever its size; every other file is read packet by packet. Knows no
picture and no sound.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tenbetween.film.mp4_tables import Table, tables_of
from tenbetween.film.opened import opened, packets, picture_of, refused
from tenbetween.film.write import Cancel, StoppedError

Ints = NDArray[np.int64]
Progress = Callable[[int, int], object]
"""Told now and then how many bytes are read, and of how many."""
MOST = 2**62
MOST_LASTING_S = 60
JUMP_S = 5
"""Frames are decoded out of order, but never by so many seconds."""


@dataclass(frozen=True, slots=True, eq=False)
class FrameIndex:
    """Every frame of a film in the order it is shown.

    >>> index = FrameIndex(np.array([0, 1001, 2002]), np.array([True, False, False]), Fraction(1, 30000), 3003)
    >>> index.frame_at(1500), index.frame_at(-5), index.seconds().round(3).tolist()
    (1, 0, [0.0, 0.033, 0.067])
    """

    pts: Ints
    """When each frame is shown, rising, in ticks of ``base``."""
    key: NDArray[np.bool_]
    """Whether a frame can be decoded by itself."""
    base: Fraction
    """Seconds a tick."""
    end_pts: int
    """When the last frame ends."""
    odd: tuple[str, ...] = ()
    """What of the file's own times is unusual: ``edits``, ``negative``, ``cut short``, ``late key``, ``no time``,
    ``clock`` (it jumps back), ``early keys`` (a browser seeks them wrongly)."""
    how: str = "packets"
    """``tables`` or ``packets``: where the times were read."""
    early: int = 0
    """By how many ticks the frames must be decoded before they are shown, so that each is there in time."""

    def __len__(self) -> int:
        return len(self.pts)

    def seconds(self) -> NDArray[np.float64]:
        """Return when each frame is shown in seconds, as a browser counts."""
        return np.asarray(self.pts * float(self.base.numerator) / float(self.base.denominator), np.float64)

    def frame_at(self, pts: int) -> int:
        """Return the number of the frame on the screen at a time: the last that began by then, or the first."""
        return max(0, int(np.searchsorted(self.pts, pts, side="right")) - 1)

    def middle_s(self, frame: int) -> float:
        """Return the second in the middle of a frame: where a browser shows just this one."""
        ends = self.end_pts if frame + 1 >= len(self.pts) else int(self.pts[frame + 1])
        return float((int(self.pts[frame]) + ends) / 2 * self.base)

    def key_before(self, pts: int) -> int:
        """Return the time of the last frame by a time that can be decoded by itself."""
        keys = self.pts[self.key & (self.pts <= pts)]
        return int(keys[-1] if len(keys) else self.pts[0])

    @property
    def step(self) -> int:
        """How many ticks a frame usually lasts."""
        return max(1, int(np.median(np.diff(self.pts)))) if len(self.pts) > 1 else 1

    @property
    def steady(self) -> bool:
        """Whether every frame lasts equally long, but for the rounding of its time to whole ticks."""
        steps = np.diff(self.pts)
        return len(steps) < 2 or int(steps.max() - steps.min()) <= max(
            2, round(0.02 * float(np.median(steps)))
        )

    @property
    def rate(self) -> float:
        """Frames a second on the whole."""
        return float(len(self.pts) / max((self.end_pts - int(self.pts[0])) * self.base, Fraction(1, 1000)))


def index(path: Path, *, progress: Progress | None = None, cancel: Cancel | None = None) -> FrameIndex:
    """Return when each frame of a film is shown, without decoding one.

    Raises:
        FormatError: the file is no film, or has no frame that can be shown.
        StoppedError: ``cancel`` said so.
    """
    with opened(path) as box:
        stream = picture_of(box, path)
        found = _from_tables(path, box, stream)
    if found is None:
        # Opened once more: where a file can be read from its very beginning again differs from kind to kind.
        with opened(path) as box:
            found = _from_packets(path, box, picture_of(box, path), progress, cancel)
    if len(found) == 0:
        raise refused(path, "no frame that can be shown", "copy the file again from the camera")
    return found


# -- from the tables of an mp4 or mov ----------


def _from_tables(path: Path, box: Any, stream: Any) -> FrameIndex | None:
    if "mp4" not in box.format.name:
        return None
    size = path.stat().st_size
    with path.open("rb") as file:
        tables = tables_of(file, size)
    table = next((one for one in tables or () if one.track == stream.id), None)
    if table is None or not _plain(table, stream):
        return None
    shift = -sum(edit.begins for edit in table.edits)
    whole = table.shown[: table.whole] + shift
    order = np.argsort(whole, kind="stable")
    pts = whole[order]
    if not _first_packets_agree(box, stream, whole) or (np.diff(pts) <= 0).any() or pts[0] < 0:
        return None
    odd = {"cut short"} if table.whole < len(table.shown) else set()
    decoded = table.decoded[: table.whole] + max(0, -int((table.shown - table.decoded).min()))
    if _mistaken(pts, decoded[table.key[: table.whole]], whole[table.key[: table.whole]]):
        odd.add("early keys")
    key, ends = table.key[: table.whole][order], int(pts[-1]) + _lasting(pts, table.lasting, stream.time_base)
    return FrameIndex(pts, key, stream.time_base, ends, tuple(sorted(odd)), "tables", _early(whole))


def _plain(table: Table, stream: Any) -> bool:
    """Return whether every frame in the tables is shown, at its time less the beginning of the one edit."""
    if table.whole == 0 or Fraction(1, table.ticks or 1) != stream.time_base or not table.key[0]:
        return False
    if stream.frames != len(table.shown) or abs(int(table.shown.max())) > MOST:
        return False
    if table.shown[0] != table.shown.min():  # frames before the first key frame
        return False
    if not table.edits:
        return bool(table.shown.min() >= 0)
    if len(table.edits) != 1 or table.edits[0].rate != 1 or table.movie_ticks == 0:
        return False
    edit = table.edits[0]
    ends = edit.begins + edit.length * table.ticks // table.movie_ticks
    return 0 <= edit.begins <= int(table.shown.min()) and (edit.length == 0 or ends > int(table.shown.max()))


def _first_packets_agree(box: Any, stream: Any, shown: Ints) -> bool:
    """Return whether the reader gives the first packets the times the tables give: two ways must agree."""
    expected = shown[:8].tolist()
    seen: list[int | None] = []
    for packet in packets(box, [stream]):
        if packet.dts is None or len(seen) == len(expected):
            break
        if packet.is_discard:
            return False
        seen.append(packet.pts)
    return bool(seen == expected)


# -- packet by packet ----------


def _from_packets(
    path: Path, box: Any, stream: Any, progress: Progress | None, cancel: Cancel | None
) -> FrameIndex:
    size, odd = path.stat().st_size, set()
    rows: list[tuple[int, bool, int, bool]] = []
    decoded: list[int] = []
    for number, packet in enumerate(packets(box, [stream])):
        if number % 1000 == 0:
            if cancel is not None and cancel():
                raise StoppedError
            if progress is not None:
                progress(min(size, max(0, packet.pos or 0)), size)
        if packet.size == 0:
            continue
        if packet.pts is None or abs(packet.pts) > MOST:
            odd.add("no time")
        else:
            # A frame that is hidden is decoded all the same: others may hang on it.
            rows.append((packet.pts, packet.is_keyframe, packet.duration or 0, packet.is_discard))
            decoded.append(packet.pts if packet.dts is None else packet.dts)
    if progress is not None:
        progress(size, size)
    if "mp4" in box.format.name and rows:
        keys = np.array([number for number, row in enumerate(rows) if row[1]], dtype=np.int64)
        shown = np.array([row[0] for row in rows], dtype=np.int64)
        told = np.array(decoded, dtype=np.int64) + max(0, -decoded[0])
        if _mistaken(np.unique(shown), told[keys], shown[keys]):
            odd.add("early keys")
    return _sorted(path, rows, stream.time_base, odd | _edits(path, stream))


def _mistaken(pts: Ints, decoded: Ints, shown: Ints) -> bool:
    """Return whether a browser that looks for key frames by when they are decoded mistakes one.

    Chromium seeks an mp4 so: asked for the middle of the frame before a key frame, it shows the key frame if that is
    decoded by then (measured: 15 of 30 such seeks wrong in files with B-frames and no edit list, 0 where this is false).
    """
    before = np.searchsorted(pts, shown) - 1
    some = before >= 0
    middles = (pts[before[some]] + shown[some]) / 2
    return bool((middles >= decoded[some]).any())


def _early(shown: Ints) -> int:
    """Return by how many ticks frames in the order of decoding are late for the order of showing."""
    return max(0, int((np.sort(shown) - shown).max())) if len(shown) else 0


def _sorted(path: Path, rows: list[tuple[int, bool, int, bool]], base: Fraction, odd: set[str]) -> FrameIndex:
    begins = next((number for number, row in enumerate(rows) if row[1]), len(rows))
    if begins:
        odd.add("late key")
    decodable = [row for row in rows[begins:] if row[0] >= rows[begins][0]] if begins < len(rows) else []
    kept = [row for row in decodable if not row[3]]
    if len(kept) < len(decodable):
        odd.add("edits")
    if not kept:
        raise refused(path, "no frame that can be shown", "copy the file again from the camera")
    kept, jumped = _one_clock(kept, base)
    if jumped:
        odd.add("clock")
    shown = np.array([row[0] for row in kept], dtype=np.int64)
    pts, first = np.unique(shown, return_index=True)
    key = np.array([row[1] for row in kept])[first]
    if pts[0] < 0:
        odd.add("negative")
    ends = int(pts[-1]) + _lasting(pts, kept[int(first[-1])][2], base)
    return FrameIndex(pts, key, base, ends, tuple(sorted(odd)), early=_early(shown))


def _one_clock(
    rows: list[tuple[int, bool, int, bool]], base: Fraction
) -> tuple[list[tuple[int, bool, int, bool]], bool]:
    """Return the frames until the clock of the film jumps back, and whether it does: a stream that began anew."""
    pts = np.array([row[0] for row in rows], dtype=np.int64)
    back = np.flatnonzero(pts < np.maximum.accumulate(pts) - int(JUMP_S / base))
    return (rows[: int(back[0])], True) if len(back) else (rows, False)


def _lasting(pts: Ints, said: int, base: Fraction) -> int:
    """Return how long the last frame lasts: as the file says, unless that is far from what frames usually last."""
    most = max(1, int(MOST_LASTING_S / base))
    usual = max(1, int(np.median(np.diff(pts)))) if len(pts) > 1 else max(1, said)
    return min(most, said if usual / 2 < said < usual * 1.6 else usual)


def _edits(path: Path, stream: Any) -> set[str]:
    """Return whether an mp4 or mov has an edit list that is more than where its first frame begins."""
    with path.open("rb") as file:
        tables = tables_of(file, path.stat().st_size) or ()
    table = next((one for one in tables if one.track == stream.id), None)
    if table is None:
        return set()
    short = {"cut short"} if table.whole < len(table.shown) else set()
    edited = any(
        edit.rate != 1 or edit.begins < 0 or edit.begins > int(table.shown.min()) for edit in table.edits
    )
    return short | ({"edits"} if edited or len(table.edits) > 1 else set())
