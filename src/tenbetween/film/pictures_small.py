"""A film's pictures, very small and in passing: enough to tell a cut from a pan and standing about from running.

Pictures no other picture needs are not decoded, and no more than a dozen a second are looked at; where it matters every
picture of a short stretch is decoded after all. Knows files; tells nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tenbetween.errors import FormatError, Problem, UsageError
from tenbetween.film.sound_in import first_picture_s, frames_of, open_film
from tenbetween.film.write import StoppedError

Small = NDArray[np.uint8]
WIDE, HIGH = 128, 72
LONGEST_GAP_S = 3_600.0
"""Seconds; a picture farther on than this has a damaged time and is passed over."""
EVERY_S = 0.08
"""Seconds between two pictures that are looked at in passing."""


@dataclass(frozen=True, slots=True)
class Glance:
    """One small picture (72 x 128, red-green-blue) and when it is shown, in seconds after the first one."""

    t: float
    rgb: Small


def glances(path: str | Path, cancelled: Callable[[], bool] = lambda: False) -> Iterator[Glance]:
    """Yield small pictures of a whole film, about a dozen a second, in order of time.

    Raises:
        UsageError: the extra ``film`` is missing.
        FormatError: the film cannot be read, or has no picture.
        StoppedError: ``cancelled`` said so.
    """
    with open_film(path) as box:
        stream = _picture(box, path)
        stream.codec_context.skip_frame = "NONREF"
        begins, last = first_picture_s(box), -1.0
        for frame in frames_of(box, stream):
            if cancelled():
                raise StoppedError
            at = None if frame.pts is None else float(frame.pts * frame.time_base) - begins
            if at is not None and last + EVERY_S - 1e-3 <= at < max(last, 0.0) + LONGEST_GAP_S:
                last = at
                yield Glance(at, _small(frame))


def every_picture(path: str | Path, from_s: float, to_s: float) -> tuple[Glance, ...]:
    """Return every picture shown from one time to another, small, decoded from the key picture before.

    Raises:
        FormatError: the film cannot be read, or has no picture.
    """
    found = []
    with open_film(path) as box:
        stream = _picture(box, path)
        begins = first_picture_s(box)
        box.seek(int((from_s + begins) / stream.time_base), stream=stream, backward=True)
        for frame in frames_of(box, stream):
            at = None if frame.pts is None else float(frame.pts * frame.time_base) - begins
            if at is None or at < from_s - 1e-4:
                continue
            if at > to_s + 1e-4:
                break
            found.append(Glance(at, _small(frame)))
    return tuple(found)


def has_picture(path: str | Path) -> bool:
    """Tell whether a film carries moving pictures (a cover picture of a sound file is none).

    Raises:
        FormatError: the film cannot be read.
    """
    with open_film(path) as box:
        return any(_moving(stream) for stream in box.streams.video)


def _moving(stream: Any) -> bool:
    return not stream.disposition & type(stream.disposition).attached_pic


def _picture(box: Any, path: str | Path) -> Any:
    stream = next((one for one in box.streams.video if _moving(one)), None)
    if stream is None:
        raise FormatError(no_picture(path))
    stream.thread_type = "AUTO"
    return stream


def _small(frame: Any) -> Small:
    """Return a decoded picture 128 wide and 72 high, every dot the mean of what it covers."""
    plain = frame.reformat(width=WIDE, height=HIGH, format="rgb24", interpolation="AREA")
    return np.asarray(plain.to_ndarray(), dtype=np.uint8)


def open_cv() -> Any:
    """Return OpenCV.

    Raises:
        UsageError: it is not installed.
    """
    try:
        import cv2
    except ImportError:
        raise UsageError(
            Problem(
                "film",
                "no OpenCV on this machine",
                "the extra `film`",
                "in the program's folder: .venv/bin/pip install opencv-python-headless",
            )
        ) from None
    return cv2


def no_picture(path: str | Path) -> Problem:
    """Return what is said of a file without moving pictures."""
    return Problem(
        str(path),
        "no moving picture in it",
        "a film",
        "use the file as the camera made it, not its sound alone",
    )
