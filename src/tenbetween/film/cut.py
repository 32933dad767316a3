"""A piece cut out of a film: quickly with the pictures as they are, or exactly, with what was drawn on it.

The quick way begins at the key frame before and says so. The exact way goes from one frame to another, can stop at a
frame for some seconds, and is silent unless sound was asked for. Neither tells a place, a device, a day or a name.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import chain
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tenbetween.errors import FormatError, Problem
from tenbetween.film.clip_out import FIRST, Caption, ClipOut, clip_out, even, mp4_out
from tenbetween.film.frame_index import FrameIndex, index
from tenbetween.film.frames_in import Shape, as_seen, decoded
from tenbetween.film.opened import opened, packets, picture_of, refused
from tenbetween.film.signatures import Cleaner, clean_head
from tenbetween.film.sound_along import SoundAlong, heard, later, silence
from tenbetween.film.write import Cancel, Progress, StoppedError, film_parts

Dots = NDArray[np.uint8]
Overlay = Callable[[int], Dots | None]
"""Told the time of a frame, returns what is laid over it: height, width, red-green-blue-cover, or nothing."""
Change = Callable[[int, Dots], Dots]
"""Told the time and picture of a frame, returns the picture to be shown (faces blurred, for one)."""
Hold = tuple[int, float]
"""The time of a frame, and for how many seconds more it stays on the screen."""
Words = tuple[int, int, str]
"""From which frame time to which, and the words of a caption."""
MOST_HOLD_S = 120.0
MOST_S = 4 * 3600
"""No piece is longer, in seconds."""
MOST_HOLE_S = 600
"""Nor has it a longer time without a frame."""
BEYOND = 600
"""So many packets after the last picture wanted, the sound is over too."""


@dataclass(frozen=True, slots=True)
class Cut:
    """A finished clip: the times of its first and last frame in the film, how it was made, its captions."""

    begins_pts: int
    ends_pts: int
    frames: int
    how: str
    """``same pictures`` or ``new pictures``."""
    size: int
    captions: tuple[Caption, ...] = ()
    """As they stand in the clip, in its own seconds."""


# -- the quick way ----------


def fast_cut(
    path: Path,
    out: Path,
    start_pts: int,
    end_pts: int,
    *,
    sound: bool = False,
    times: FrameIndex | None = None,
    cancel: Cancel | None = None,
) -> Cut:
    """Cut from the key frame before one time to another, pictures as they are; the result says where it begins.

    Raises:
        FormatError: no film, no frame there, or the disk is full.
        StoppedError: ``cancel`` said so.
    """
    frames = times if times is not None else index(path)
    _inside(path, frames, start_pts, end_pts)
    key = frames.key_before(start_pts)
    with mp4_out(out, options=FIRST) as box:
        written = _copy_packets(path, box, key, end_pts, sound, frames, cancel)
    return Cut(key, max(written), len(written), "same pictures", out.stat().st_size)


def _copy_packets(
    path: Path, box: Any, key: int, end: int, sound: bool, times: FrameIndex, cancel: Cancel | None
) -> list[int]:
    shift, back = key * times.base, _way_to(path, key)
    with opened(path) as given:
        stream = picture_of(given, path)
        _go_back(given, stream, key, back)
        same = SamePictures(box, stream, times.early * times.base)
        same.coming(times, times.frame_at(key), -shift)
        # Written anew, for encoders of sound sign their work inside it.
        along = SoundAlong(given, box, shift, as_it_is=False) if sound else None
        wanted = _Wanted(key, end)
        for number, packet in enumerate(_packets(given, stream, along, wanted)):
            if number % 100 == 0 and cancel is not None and cancel():
                raise StoppedError
            if packet.stream_index == stream.index:
                for one in wanted.of(packet):
                    same.put(one, -shift)
            elif along is not None and not wanted.sound_over(packet, times):
                along.put(packet)
        if along is not None:
            along.close()
    if not wanted.written:
        raise refused(
            path, "no frame that can be cut out there", "cut exactly, with new pictures", "a key frame"
        )
    return wanted.written


class SamePictures:
    """A stream of pictures as they are, without the signatures of encoders and cameras.

    When each is decoded is told anew, from when the frames are shown: always equally early. Kinds of file differ in
    whether they tell it, and browsers look for a key frame by it.
    """

    def __init__(self, box: Any, stream: Any, early: Fraction) -> None:
        about = stream.codec_context
        self._box, self._clean, self._early = box, Cleaner(about.name, about.extradata), early
        self._copy = box.add_stream_from_template(stream, opaque=about.name.startswith("lib"))
        head = clean_head(about.name, about.extradata)
        if head is not None:
            self._copy.codec_context.extradata = head
        self._shown: Iterator[Fraction] = iter(())

    def coming(self, frames: FrameIndex, first: int, by: Fraction) -> None:
        """Tell of the frames from number ``first`` on, which come next, moved by so many seconds."""
        self._shown = chain(self._shown, (int(pts) * frames.base + by for pts in frames.pts[first:]))

    def put(self, packet: Any, by: Fraction) -> None:
        """Write a packet, shown so many seconds later than it was."""
        later(packet, by)
        shown = next(self._shown, packet.pts * packet.time_base)
        packet.dts = min(packet.pts, round((shown - self._early) / packet.time_base))
        one = self._clean.packet(packet)
        one.stream = self._copy
        self._box.mux(one)


def _packets(given: Any, stream: Any, along: SoundAlong | None, wanted: _Wanted) -> Iterator[Any]:
    """Yield packets until the pictures are over, and the sound that may lie a little behind them in the file."""
    heard_too = along is not None and along.given is not None
    past = 0
    for packet in packets(given, [stream, along.given] if along is not None and heard_too else [stream]):
        if packet.size and packet.pts is not None:
            yield packet
        past += wanted.over
        if past > (BEYOND if heard_too else 0):
            return


def _way_to(path: Path, key: int) -> int | None:
    """Return how many seconds before a key frame to begin looking for it; nothing: from the very beginning."""
    for back in (0, 2, 20):
        with opened(path) as given:
            stream = picture_of(given, path)
            if _go_back(given, stream, key, back):
                for packet in packets(given, [stream]):
                    if packet.pts == key and packet.is_keyframe:
                        return back
                    if packet.dts is None or packet.dts > key:
                        break
    return None


def _go_back(given: Any, stream: Any, key: int, back: int | None) -> bool:
    if back is None:
        return True
    try:
        given.seek(key - int(back / stream.time_base), stream=stream, backward=True)
    except film_parts().error.FFmpegError:
        return False
    return True


class _Wanted:
    """Picks packets in the order of decoding: from the key frame until every frame by the end is there.

    A frame after the end comes along only if one before it hangs on it.
    """

    def __init__(self, key: int, end: int) -> None:
        self._key, self._limit, self._kept = key, end, []  # type: int, int, list[Any]
        self._begun = self.over = False
        self.written: list[int] = []

    def of(self, packet: Any) -> Iterator[Any]:
        """Yield the packets that can be written now."""
        if packet.size == 0 or packet.pts is None or self.over:
            return
        self._begun = self._begun or (packet.is_keyframe and packet.pts == self._key)
        if not self._begun or packet.pts < self._key:
            return
        if (packet.pts if packet.dts is None else packet.dts) > self._limit:
            self.over = True
        elif packet.pts > self._limit:
            self._kept.append(packet)
        else:
            self._limit = max([self._limit, *(one.pts for one in self._kept)])
            for one in (*self._kept, packet):
                self.written.append(one.pts)
                yield one
            self._kept = []

    def sound_over(self, packet: Any, times: FrameIndex) -> bool:
        """Return whether a packet of sound begins after the last picture."""
        last = times.frame_at(self._limit)
        ends = times.end_pts if last + 1 >= len(times) else int(times.pts[last + 1])
        return bool(packet.pts * packet.time_base >= ends * times.base)


# -- the exact way ----------


class Timeline:
    """Where each frame of a film stands in a clip that stops at some frames.

    >>> line = Timeline(100, [(130, 2.0)], Fraction(1, 30))
    >>> float(line.seconds(100)), float(line.seconds(130)), float(line.seconds(160))
    (0.0, 1.0, 4.0)
    """

    def __init__(self, start: int, holds: Iterable[Hold], base: Fraction) -> None:
        self._start, self._base = start, base
        self._holds = sorted((pts, Fraction(held).limit_denominator(1000)) for pts, held in holds)

    def seconds(self, pts: int) -> Fraction:
        """Return when in the clip a frame appears, in seconds."""
        held = sum((seconds for at, seconds in self._holds if at < pts), Fraction(0))
        return (pts - self._start) * self._base + held

    def held(self, pts: int) -> Fraction:
        """Return for how many seconds more a frame stays."""
        return sum((seconds for at, seconds in self._holds if at == pts), Fraction(0))


def exact_cut(
    path: Path, out: Path, start_pts: int, end_pts: int, *, height: int | None = None,
    overlay: Overlay | None = None, change: Change | None = None, holds: Sequence[Hold] = (), sound: bool = False,
    captions: Sequence[Words] = (), times: FrameIndex | None = None, progress: Progress | None = None,
    cancel: Cancel | None = None,
) -> Cut:  # fmt: skip
    """Cut from one frame to another, both in it, with what is laid over it, its stops and its captions.

    ``height`` in dots, none: as the film; ``overlay`` is as large as ``clip_size`` says. Silent unless ``sound``.

    Raises:
        FormatError: no film, no frame there, the film was pulled away, or the disk is full.
        StoppedError: ``cancel`` said so.
    """
    frames = times if times is not None else index(path)
    _inside(path, frames, start_pts, end_pts)
    begin, end = int(frames.pts[frames.frame_at(start_pts)]), int(frames.pts[frames.frame_at(end_pts)])
    stops = [(int(frames.pts[frames.frame_at(pts)]), held) for pts, held in holds]
    _holds_fit(path, begin, end, stops)
    line = Timeline(begin, stops, frames.base)
    count = frames.frame_at(end) - frames.frame_at(begin) + 1
    told = tuple((float(line.seconds(a)), float(line.seconds(b)), words) for a, b, words in captions)
    piece = Piece(path, begin, end, overlay, change, sound)
    size = clip_size(path, height)
    with clip_out(out, size, _base(frames), sound=sound, captions=told) as clip:
        put_piece(clip, piece, frames, line, Fraction(0), size, Counting(count, progress, cancel))
    return Cut(begin, end, clip.frames, "new pictures", out.stat().st_size, told)


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of a film that goes into a clip."""

    path: Path
    begin: int
    end: int
    overlay: Overlay | None = None
    change: Change | None = None
    sound: bool = False
    edges: bool = False
    """Keep the shape of the picture, with dark edges, where the clip has another."""


def clip_size(path: Path, height: int | None = None) -> tuple[int, int]:
    """Return width and height of a clip of a film at a height: even numbers, as overlays must be."""
    for _, shape in decoded(path, None, None):
        return even(shape.at_height(None if height is None else min(height, 2160)))
    raise refused(path, "pictures that cannot be decoded", "copy the film again from the camera")


class Counting:
    """Counts frames written, tells of them, and ends when asked."""

    def __init__(self, count: int, progress: Progress | None, cancel: Cancel | None) -> None:
        self._of, self._progress, self._cancel, self.done = count, progress, cancel, 0

    def one(self) -> None:
        """Tell that one more frame is written."""
        if self._cancel is not None and self._cancel():
            raise StoppedError
        self.done += 1
        if self._progress is not None:
            self._progress(self.done, self._of)


def put_piece(
    clip: ClipOut, piece: Piece, frames: FrameIndex, line: Timeline, offset: Fraction, size: tuple[int, int],
    count: Counting,
) -> Fraction:  # fmt: skip
    """Write a stretch of a film into a clip from ``offset`` seconds on; returns the second at which it ends."""
    tick = clip.base
    step = frames.step * frames.base
    heard_along = _Along(clip, _sound_of(piece, frames, line)) if clip.hears else None
    wanted = frames.pts[frames.frame_at(piece.begin) : frames.frame_at(piece.end) + 1].tolist()
    ends = offset
    for pts, picture in _shown(piece, wanted, size):
        at = offset + line.seconds(pts)
        for more in _repeats(line.held(pts), step):
            clip.picture(picture, round((at + more) / tick))
        count.one()
        after = frames.frame_at(pts) + 1
        lasts = (frames.end_pts if after >= len(frames) else int(frames.pts[after])) - pts
        ends = at + line.held(pts) + lasts * frames.base
        if heard_along is not None:
            heard_along.until(ends - offset)
    if heard_along is not None:
        heard_along.rest()
    return ends


def _repeats(held: Fraction, step: Fraction) -> Iterator[Fraction]:
    """Yield after how many seconds a frame is written once more, so that a stop is no gap."""
    yield Fraction(0)
    for number in range(1, max(0, int(held / step) + 1)):
        if number * step <= held:
            yield number * step


def _shown(piece: Piece, wanted: list[int], size: tuple[int, int]) -> Iterator[tuple[int, Dots]]:
    """Yield time and finished picture of each frame wanted; one that cannot be decoded is the one before."""
    at, last = 0, None
    for frame, shape in decoded(piece.path, piece.begin, piece.end):
        while at < len(wanted) and wanted[at] < frame.pts:
            yield _finished(piece, wanted[at], last or (frame, shape), size)
            at += 1
        if at < len(wanted) and wanted[at] == frame.pts:
            last = frame, shape
            yield _finished(piece, frame.pts, last, size)
            at += 1
    if last is None or at < len(wanted) - 3:
        raise refused(
            piece.path,
            "an end before its end: the disk was taken away, or the film is damaged there",
            "plug the disk in again and start once more",
            "the whole piece",
        )
    for pts in wanted[at:]:
        yield _finished(piece, pts, last, size)


def _finished(piece: Piece, pts: int, given: tuple[Any, Shape], size: tuple[int, int]) -> tuple[int, Dots]:
    seen = fitted(given[1].picture, size) if piece.edges else size
    picture = as_seen(*given, size=seen)
    if piece.change is not None:
        picture = piece.change(pts, picture)
    picture = on_ground(picture, size)
    cover = piece.overlay(pts) if piece.overlay is not None else None
    return pts, picture if cover is None else laid_over(picture, cover)


def fitted(picture: tuple[int, int], size: tuple[int, int]) -> tuple[int, int]:
    """Return how large a picture is inside a size when it keeps its shape.

    >>> fitted((1920, 1080), (1280, 720)), fitted((640, 480), (1280, 720)), fitted((1080, 1920), (640, 360))
    ((1280, 720), (960, 720), (202, 360))
    """
    scale = min(Fraction(size[0], picture[0]), Fraction(size[1], picture[1]))
    return max(1, round(picture[0] * scale)), max(1, round(picture[1] * scale))


def on_ground(picture: Dots, size: tuple[int, int]) -> Dots:
    """Return a picture in the middle of a dark ground of a size (width, height)."""
    high, wide = picture.shape[:2]
    if (wide, high) == size:
        return picture
    made = np.zeros((size[1], size[0], 3), np.uint8)
    top, left = (size[1] - high) // 2, (size[0] - wide) // 2
    made[top : top + high, left : left + wide] = picture
    return made


def laid_over(picture: Dots, cover: Dots) -> Dots:
    """Return a picture with another laid over it, as much of each dot as its cover (0 to 255) says.

    >>> under, over = np.zeros((1, 2, 3), np.uint8), np.array([[[200, 200, 200, 0], [200, 200, 200, 255]]], np.uint8)
    >>> laid_over(under, over)[..., 0].tolist()
    [[0, 200]]
    """
    if cover.shape[:2] != picture.shape[:2]:
        found, size = f"{cover.shape[1]} x {cover.shape[0]}", f"{picture.shape[1]} x {picture.shape[0]} dots"
        raise FormatError(Problem("overlay", found, size, "draw it as large as the clip"))
    rows, columns = np.flatnonzero(cover[..., 3].any(axis=1)), np.flatnonzero(cover[..., 3].any(axis=0))
    if len(rows) == 0:
        return picture
    part = (slice(rows[0], rows[-1] + 1), slice(columns[0], columns[-1] + 1))
    made, over = np.array(picture), cover[part].astype(np.uint16)
    much = over[..., 3:]
    made[part] = (over[..., :3] * much + made[part] * (255 - much) + 127) // 255
    return made


# -- sound beside the pictures ----------


class _Along:
    """Hands over sound as far as the pictures are."""

    def __init__(self, clip: ClipOut, blocks: Iterator[NDArray[np.float32]]) -> None:
        self._clip, self._blocks, self._done = clip, blocks, 0

    def until(self, second: Fraction) -> None:
        while self._done < second * 48_000:
            block = next(self._blocks, None)
            if block is None:
                return
            self._clip.sound(block)
            self._done += block.shape[1]

    def rest(self) -> None:
        for block in self._blocks:
            self._clip.sound(block)


def _sound_of(piece: Piece, frames: FrameIndex, line: Timeline) -> Iterator[NDArray[np.float32]]:
    """Yield the sound of a piece: what is heard between its stops, silence in them or if none was asked for."""
    begins, last = piece.begin * frames.base, frames.frame_at(piece.end)
    ends = (frames.end_pts if last + 1 >= len(frames) else int(frames.pts[last + 1])) * frames.base
    stops = [int(pts) for pts in frames.pts[frames.frame_at(piece.begin) : last + 1] if line.held(int(pts))]
    for pts in stops:
        # The frame is heard to its end; then it stands in silence.
        after = frames.frame_at(pts) + 1
        until = (frames.end_pts if after >= len(frames) else int(frames.pts[after])) * frames.base
        yield from _stretch(piece, begins, until)
        yield from silence(round(line.held(pts) * 48_000))
        begins = until
    yield from _stretch(piece, begins, ends)


def _stretch(piece: Piece, begins: Fraction, ends: Fraction) -> Iterator[NDArray[np.float32]]:
    return heard(piece.path, begins, ends) if piece.sound else silence(round((ends - begins) * 48_000))


# -- what may be asked ----------


def _inside(path: Path, frames: FrameIndex, start: int, end: int) -> None:
    first, last = int(frames.pts[0]), int(frames.pts[-1])
    if not first <= start <= end <= max(last, frames.end_pts):
        found = f"a piece from {start} to {end}"
        expected = f"times from {first} to {last}"
        raise refused(path, found, "choose a beginning before the end, both in the film", expected)
    not_too_long(path, frames, start, end)


def not_too_long(path: Path, frames: FrameIndex, start: int, end: int) -> None:
    """Refuse a piece longer than any game, or with a hole no game has: films whose clock jumps have them.

    Raises:
        FormatError: it is too long.
    """
    inside = frames.pts[frames.frame_at(start) : frames.frame_at(end) + 1]
    hole = int(np.diff(inside).max()) * frames.base if len(inside) > 1 else Fraction(0)
    length = (end - start) * frames.base
    if length > MOST_S or hole > MOST_HOLE_S:
        found = (
            f"a piece of {float(length) / 60:.0f} minutes with {float(hole) / 60:.0f} minutes without a frame"
        )
        expected = f"at most {MOST_S // 60} minutes, and {MOST_HOLE_S // 60} without a frame"
        raise refused(path, found, "choose a shorter piece; the clock of this film may jump", expected)


def _holds_fit(path: Path, begin: int, end: int, holds: Sequence[Hold]) -> None:
    bad = [
        Problem(
            path.name,
            f"a stop of {held} s at {pts}",
            f"up to {MOST_HOLD_S:.0f} s at a frame of the piece",
            "change it",
        )
        for pts, held in holds
        if not (begin <= pts <= end and 0 < held <= MOST_HOLD_S)
    ]
    if bad:
        raise FormatError(bad)


def _base(frames: FrameIndex) -> Fraction:
    return Fraction(1, frames.base.denominator)
