"""Frames out of a film file as they are seen: upright, in their true shape, each with its own time.

Both ends of a stretch belong to it. A frame is decoded from a key frame before it, never from the middle of a group.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tenbetween.film.opened import opened, packets, picture_of, refused
from tenbetween.film.write import film_parts

Dots = NDArray[np.uint8]
BACK_S = (0, 2, 10, 60)
"""How far before a frame to look for the key frame it hangs on, in seconds; then the beginning of the film."""
MOST_BAD = 200
"""So many packets in a row that cannot be decoded, and the film is given up there."""


@dataclass(frozen=True, slots=True)
class Shape:
    """How a stored picture becomes the seen one: its size as seen, quarter turns against the clock."""

    picture: tuple[int, int]
    turns: int

    def at_height(self, height: int | None) -> tuple[int, int]:
        """Return width and height as seen at a height in dots.

        >>> Shape((1920, 1080), 0).at_height(720), Shape((1920, 1080), 0).at_height(None)
        ((1280, 720), (1920, 1080))
        """
        wide, high = self.picture
        return (wide, high) if height is None else (max(1, round(wide * height / high)), height)


def shape_of(frame: Any, pixel: Fraction | None) -> Shape:
    """Return how a decoded frame is seen, with the shape of its pixels (width over height; none: square)."""
    turns = round((frame.rotation or 0) / 90) % 4
    wide, high = frame.width, frame.height
    if pixel and Fraction(1, 10) < pixel < 10 and pixel != 1:
        wide = max(1, round(wide * pixel))
    return Shape((high, wide) if turns % 2 else (wide, high), turns)


def as_seen(
    frame: Any, shape: Shape, height: int | None = None, *, grey: bool = False,
    size: tuple[int, int] | None = None,
) -> Dots:  # fmt: skip
    """Return a decoded frame as height, width and red-green-blue (or one grey), upright, in its true shape.

    ``size`` (width and height) is for whoever needs exactly so many dots.
    """
    wide, high = size or shape.at_height(height)
    if shape.turns % 2:
        wide, high = high, wide
    smaller = high < frame.height
    made = frame.reformat(
        width=wide,
        height=high,
        format="gray" if grey else "rgb24",
        interpolation="AREA" if smaller else "BICUBIC",
        dst_color_range="JPEG" if grey else None,
    )
    dots = made.to_ndarray()
    return np.ascontiguousarray(np.rot90(dots, shape.turns)) if shape.turns else np.asarray(dots, np.uint8)


def decoded(
    path: Path, start_pts: int | None, end_pts: int | None, *, before: bool = False
) -> Iterator[tuple[Any, Shape]]:
    """Yield the decoded frames from one time to another, both included, with how each is seen.

    ``before`` gives those too that are decoded on the way to the first.

    Raises:
        FormatError: no film, or it cannot be decoded there.
    """
    for back in (*BACK_S, None) if start_pts is not None else (None,):
        begun = False
        with opened(path) as box:
            stream = picture_of(box, path)
            stream.thread_type = "AUTO"
            if start_pts is None or back is None or _seek(box, stream, start_pts, back):
                for frame in _from(box, stream, path, start_pts if back is not None else None):
                    if end_pts is not None and frame.pts > end_pts:
                        return
                    if before or start_pts is None or frame.pts >= start_pts:
                        begun = True
                        yield frame, shape_of(frame, stream.sample_aspect_ratio)
        if begun:
            return


def frames(
    path: Path, start_pts: int | None = None, end_pts: int | None = None, *, height: int | None = None,
    grey: bool = False,
) -> Iterator[tuple[int, Dots]]:  # fmt: skip
    """Yield time and picture of each frame from one time to another, both included (none: from or to the end).

    Times are in the film's own time base; the picture is upright, in its true shape, at ``height`` dots if given.

    Raises:
        FormatError: no film, or it cannot be decoded there.
    """
    for frame, shape in decoded(path, start_pts, end_pts):
        yield frame.pts, as_seen(frame, shape, height, grey=grey)


def still(path: Path, pts: int, height: int | None = None) -> Dots:
    """Return the picture on the screen at a time: the last frame that began by then.

    Raises:
        FormatError: no film, or no frame there.
    """
    last: tuple[Any, Shape] | None = None
    for frame, shape in decoded(path, pts, None, before=True):
        if frame.pts > pts and last is not None:
            break
        last = frame, shape
        if frame.pts >= pts:
            break
    if last is None:
        raise refused(path, f"no frame at {pts}", "choose a time inside the film", "a time of the film")
    return as_seen(last[0], last[1], height)


def jpeg(picture: Dots, quality: int = 88) -> bytes:
    """Return a picture as JPEG with nothing written along.

    >>> jpeg(np.zeros((8, 8, 3), dtype=np.uint8))[:2].hex()
    'ffd8'
    """
    film_parts()
    import cv2

    turned = picture if picture.ndim == 2 else picture[:, :, ::-1]
    done, packed = cv2.imencode(".jpg", np.ascontiguousarray(turned), [cv2.IMWRITE_JPEG_QUALITY, quality])
    assert done, "a picture of at least one dot"  # noqa: S101
    return bytes(packed)


# -- finding the first one ----------


def _from(box: Any, stream: Any, path: Path, start: int | None) -> Iterator[Any]:
    """Yield decoded frames, unless the first one wanted would come before a key frame that is early enough."""
    sure = start is None
    for frame in decoded_all(box, stream, path):
        sure = sure or (frame.key_frame and frame.pts <= start)
        if not sure and frame.pts >= start:
            return
        if sure:
            yield frame


def _seek(box: Any, stream: Any, start: int, back: int) -> bool:
    av = film_parts()
    try:
        box.seek(start - int(back / stream.time_base), stream=stream, backward=True)
    except (av.error.FFmpegError, OverflowError):
        return False  # no table to find the place by, or before the beginning
    return True


def decoded_all(
    box: Any, stream: Any, path: Path, beside: Any = None, put: Callable[[Any], object] | None = None
) -> Iterator[Any]:
    """Yield every frame that can be decoded from here on; packets of ``beside`` go to ``put`` on the way.

    A packet that cannot be decoded is passed over; too many in a row end it.

    Raises:
        FormatError: nothing can be decoded any more.
    """
    av = film_parts()
    bad = 0
    for packet in packets(box, [stream] if beside is None else [stream, beside]):
        if packet.stream_index != stream.index:
            if put is not None and packet.size:
                put(packet)
            continue
        try:
            made = packet.decode()
        except av.error.FFmpegError:
            bad += 1
            if bad > MOST_BAD:
                raise refused(
                    path, "pictures that cannot be decoded", "copy the film again from the camera"
                ) from None
            continue
        for frame in made:
            if frame.pts is not None:
                bad = 0
                yield frame
    yield from _left(stream)


def _left(stream: Any) -> list[Any]:
    """Return the frames a decoder still holds when no packet told it that there are no more."""
    try:
        return [frame for frame in stream.codec_context.decode(None) if frame.pts is not None]
    except film_parts().error.FFmpegError:
        return []
