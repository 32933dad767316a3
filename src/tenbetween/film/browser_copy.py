"""A copy of a film that every browser shows: H.264 in mp4, frame for frame the same as the film itself.

Frame number i of the copy is frame number i of the film, and its time is the film's less the time of its first frame.
Where the pictures are H.264 already and only the kind of file is in the way, they are put into another file as they
are. The sound is kept.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np

from tenbetween.film.clip_out import UnfitError, even, mp4_out, picture_stream
from tenbetween.film.cut import SamePictures
from tenbetween.film.frame_index import FrameIndex, Progress, index
from tenbetween.film.frames_in import Shape, decoded_all, shape_of
from tenbetween.film.opened import opened, packets, picture_of, refused
from tenbetween.film.probe import EVEN, Probe, probe
from tenbetween.film.sound_along import SoundAlong
from tenbetween.film.write import Cancel, StoppedError, film_parts

HEIGHT = 720
MOST_BITS = 4_000_000
"""Bits a second at 1280 x 720 and 30 pictures a second, at most."""
SOUND_BITS = 160_000
LOST_S = 2.0
"""A film that ends so much earlier than it should was pulled away, or is damaged there."""


@dataclass(frozen=True, slots=True)
class Copied:
    """A finished copy: how many frames, how it was made, and how many could not be decoded and repeat the last."""

    frames: int
    how: str
    """``new pictures`` or ``same pictures``."""
    held: int
    size: int


def copy_size(picture: tuple[int, int], height: int = HEIGHT) -> tuple[int, int]:
    """Return width and height of the copy of a picture of that size as seen; never larger than the film.

    >>> copy_size((1920, 1080)), copy_size((853, 480)), copy_size((1080, 1920))
    ((1280, 720), (854, 480), (406, 720))
    """
    high = min(height, picture[1])
    return even(Shape(picture, 0).at_height(high))


def space_needed(told: Probe, height: int = HEIGHT) -> int:
    """Return how many bytes the browser copy of a film will have at most.

    Raises: nothing; a film that needs no copy needs the same room if one is made all the same.
    """
    bits = _most_bits(copy_size(told.picture, height), told.rate) + (SOUND_BITS if told.sound else 0)
    # A picture more than the limit may stand at the beginning; each frame takes a line of the tables.
    new = int(told.duration_s * bits / 8 * 1.03) + told.frames * 32
    return max(new, told.size if can_keep_pictures(told) else 0) + (1 << 20)


def can_keep_pictures(told: Probe) -> bool:
    """Return whether only the kind of file keeps a browser from showing it, so that nothing is lost in the copy."""
    begins_well = not any("middle of a group" in one for one in told.warnings)
    return told.kind == "ts" and told.codec == "h264" and told.pixels in EVEN and begins_well


def browser_copy(
    path: Path, out: Path, *, height: int = HEIGHT, progress: Progress | None = None,
    cancel: Cancel | None = None,
) -> Copied:  # fmt: skip
    """Write a copy of a film that every browser shows; ``progress`` is told frames done, and of how many.

    A copy that was stopped or whose program died is begun again from its beginning; nothing half ever stands there.

    Raises:
        FormatError: no film, the film was pulled away, or the disk is full.
        StoppedError: ``cancel`` said so.
    """
    times = index(path, cancel=cancel)
    told = probe(path, times)
    needs, size = space_needed(told, height), copy_size(told.picture, height)
    if can_keep_pictures(told):
        # A stream with damage in it may not go into an mp4 as it is: then it gets new pictures like any other.
        with suppress(UnfitError):
            with mp4_out(out, needs) as box:
                _same_pictures(path, box, times, _Watch(len(times), progress, cancel))
            return Copied(len(times), "same pictures", 0, out.stat().st_size)
    with mp4_out(out, needs) as box:
        held = _new_pictures(path, box, times, size, told.rate, _Watch(len(times), progress, cancel))
    return Copied(len(times), "new pictures", held, out.stat().st_size)


class _Watch:
    """Counts frames, tells of them now and then, and ends when asked."""

    def __init__(self, count: int, progress: Progress | None, cancel: Cancel | None) -> None:
        self._count, self._progress, self._cancel, self.done = count, progress, cancel, 0

    def one(self) -> None:
        self.done += 1
        if self._cancel is not None and self.done % 8 == 1 and self._cancel():
            raise StoppedError
        if self._progress is not None and (self.done % 30 == 0 or self.done == self._count):
            self._progress(self.done, self._count)


# -- the same pictures in another file ----------


def _same_pictures(path: Path, box: Any, times: FrameIndex, watch: _Watch) -> None:
    shift = int(times.pts[0]) * times.base
    wanted = set(times.pts.tolist())
    with opened(path) as given:
        stream = picture_of(given, path)
        same = SamePictures(box, stream, times.early * times.base)
        same.coming(times, 0, -shift)
        sound = SoundAlong(given, box, shift)
        for packet in packets(given, [one for one in (stream, sound.given) if one is not None]):
            if packet.pts is None or packet.size == 0:
                continue
            if packet.stream_index != stream.index:
                sound.put(packet)
            elif packet.pts in wanted:
                same.put(packet, -shift)
                watch.one()
        sound.close()
    if watch.done != len(times):
        raise _pulled_away(path)


# -- new pictures ----------


def _new_pictures(
    path: Path, box: Any, times: FrameIndex, size: tuple[int, int], rate: float, watch: _Watch
) -> int:
    first = int(times.pts[0])
    base = Fraction(1, times.base.denominator)
    made = picture_stream(box, size, base, crf=23, gop=30, most_bits=_most_bits(size, rate))
    held = 0
    with opened(path) as given:
        stream = picture_of(given, path)
        stream.thread_type = "AUTO"
        sound = SoundAlong(given, box, first * times.base)
        for pts, frame, again in _each_frame(path, given, stream, sound, times):
            held += again
            picture = _upright(frame, shape_of(frame, stream.sample_aspect_ratio), size)
            _told_colours(made.codec_context, frame, watch.done)
            picture.pts, picture.time_base = (pts - first) * times.base.numerator, base
            picture.pict_type = 0
            box.mux(made.encode(picture))
            watch.one()
        box.mux(made.encode())
        sound.close()
    return held


def _each_frame(
    path: Path, given: Any, stream: Any, sound: SoundAlong, times: FrameIndex
) -> Iterator[tuple[int, Any, bool]]:
    """Yield every frame of the index; one that cannot be decoded is the one before it once more."""
    wanted, at = times.pts.tolist(), 0
    last: Any = None
    for frame in decoded_all(given, stream, path, sound.given, sound.put):
        while at < len(wanted) and wanted[at] < frame.pts:
            yield wanted[at], last if last is not None else frame, True
            at += 1
        if at < len(wanted) and wanted[at] == frame.pts:
            yield frame.pts, frame, False
            at += 1
            last = frame
    if last is None or (times.end_pts - wanted[at - 1]) * times.base > LOST_S + 1 / max(times.rate, 0.1):
        raise _pulled_away(path)
    for pts in wanted[at:]:
        yield pts, last, True


def _upright(frame: Any, shape: Shape, size: tuple[int, int]) -> Any:
    """Return a decoded frame upright in its true shape, as the encoder takes it."""
    av = film_parts()
    wide, high = size if shape.turns % 2 == 0 else size[::-1]
    made = frame.reformat(width=wide, height=high, format="yuv420p", dst_color_range="MPEG")
    if not shape.turns:
        return made
    planes = made.to_ndarray()
    light, rest = planes[:high], planes[high:].reshape(2, high // 2, wide // 2)
    turned = [np.rot90(one, shape.turns) for one in (light, *rest)]
    flat = np.concatenate([np.ascontiguousarray(one).reshape(-1) for one in turned])
    return av.VideoFrame.from_ndarray(flat.reshape(size[1] * 3 // 2, size[0]), format="yuv420p")


def _told_colours(about: Any, frame: Any, done: int) -> None:
    if done == 0:
        about.colorspace, about.color_primaries = int(frame.colorspace), int(frame.color_primaries)
        about.color_trc, about.color_range = int(frame.color_trc), 1


def _most_bits(size: tuple[int, int], rate: float) -> int:
    return int(MOST_BITS * max(0.05, size[0] * size[1] / (1280 * 720)) * (1.5 if rate > 45 else 1))


def _pulled_away(path: Path) -> Exception:
    return refused(
        path,
        "an end before its end: the disk was taken away, or the film is damaged there",
        "plug the disk in again and start once more; if it stays so, copy the film again from the camera",
        "the whole film",
    )
