"""The sound of a film as plain numbers: one channel, 16,000 a second, in blocks, laid on the time of the picture.

Sample number n is heard n / rate seconds after the first picture: sound before it is left out, a late beginning and a
hole in the middle are silence. Knows files and nothing of what is heard.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tenbetween.errors import FormatError, Problem
from tenbetween.film.write import film_parts

Sound = NDArray[np.float32]
RATE = 16_000
HOLE_S = 0.12
"""Seconds by which a sound's own time may stray before it is put right; players let less than this pass."""
MENDED = 50
"""Damaged places of a film behind which reading goes on."""
LONGEST_HOLE_S = 600
"""Seconds of silence put in at most, in all; a time farther off, or far back, is a damaged one and counts for nothing."""


def open_film(path: str | Path) -> Any:
    """Return an opened film of PyAV, to be used with ``with``.

    Raises:
        UsageError: the extra ``film`` is missing.
        FormatError: no such file, no rights, or nothing that can be read as a film.
    """
    av = film_parts()
    file = Path(path)
    if file.is_dir():
        raise FormatError(Problem(str(path), "a folder", "one film file", "name a file inside it"))
    try:
        return av.open(str(file), metadata_errors="ignore")
    except FileNotFoundError:
        raise FormatError(_missing(path)) from None
    except PermissionError:
        raise FormatError(
            Problem(str(path), "a file we may not read", "a film that can be read", "change its rights")
        ) from None
    except (av.error.FFmpegError, ValueError, OSError) as fault:
        raise FormatError(_unreadable(path, fault)) from None


def has_sound(path: str | Path) -> bool:
    """Tell whether a film carries sound.

    Raises:
        FormatError: the film cannot be read.
    """
    with open_film(path) as box:
        return bool(box.streams.audio)


def sound(path: str | Path, rate: int = RATE) -> Iterator[Sound]:
    """Yield a film's sound as blocks of float32, one channel, ``rate`` a second, from the first picture on.

    A damaged packet is passed over and stays silent.

    Raises:
        FormatError: the film cannot be read, or has no sound.
    """
    av = film_parts()
    with open_film(path) as box:
        if not box.streams.audio:
            raise FormatError(no_sound(path))
        begins = first_picture_s(box)
        yield from _in_place(_resampled(av, box, rate), begins, rate)


def first_picture_s(box: Any) -> float:
    """Return when the first picture of an opened film is shown, in seconds on its own clock; else its first sound."""
    for stream in (*box.streams.video, *box.streams.audio):
        if stream.start_time is not None and stream.time_base is not None:
            return float(stream.start_time * stream.time_base)
    return 0.0


def _resampled(av: ModuleType, box: Any, rate: int) -> Iterator[tuple[float | None, Sound]]:
    """Yield when a piece stands (seconds on the film's clock, or None for "right after the last") and the piece."""
    stream = box.streams.audio[0]
    change = av.AudioResampler(format="flt", layout="mono", rate=rate)
    for frame in frames_of(box, stream):
        at = None if frame.pts is None else float(frame.pts * frame.time_base)
        # The time is ours to keep (_in_place): the resampler would refuse a sound whose time jumps.
        frame.pts = None
        try:
            done = change.resample(frame)
        except (av.error.FFmpegError, ValueError):
            # Another number of channels or rate from here on, or a damaged piece: it is given up, the rest goes on.
            change = av.AudioResampler(format="flt", layout="mono", rate=rate)
            continue
        for piece in done:
            yield at, piece.to_ndarray()[0]
            at = None
    for piece in change.resample(None):
        yield None, piece.to_ndarray()[0]


def frames_of(box: Any, stream: Any) -> Iterator[Any]:
    """Yield decoded frames; what cannot be decoded is passed over, an end that is cut off is an end."""
    faults = film_parts().error.FFmpegError
    for packet in _packets(box, stream, faults):
        try:
            yield from packet.decode()
        except (faults, ValueError, IndexError):
            continue


def _packets(box: Any, stream: Any, faults: Any) -> Iterator[Any]:
    """Yield packets; after damage reading goes on behind it, but not for ever."""
    for _ in range(MENDED):
        packets = box.demux(stream)
        while True:
            try:
                packet = next(packets)
            except StopIteration:
                return
            except (faults, IndexError, ValueError):
                # A stream that was not there before, or bytes that are no packet: begin again behind them.
                break
            yield packet


def _in_place(pieces: Iterator[tuple[float | None, Sound]], begins: float, rate: int) -> Iterator[Sound]:
    """Lay pieces on the time that begins with the first picture: fill holes with silence, leave out what overlaps."""
    done, room = 0, LONGEST_HOLE_S * rate
    for at, piece in pieces:
        due = done if at is None else round((at - begins) * rate)
        if at is not None and (done == 0 or abs(due - done) > HOLE_S * rate):
            if 0 < due - done <= room:
                room -= due - done
                yield from _silence(due - done)
                done = due
            elif 0 < done - due <= 10 * rate:
                piece = piece[done - due :]
        if len(piece):
            yield piece
            done += len(piece)


def _silence(n: int) -> Iterator[Sound]:
    for first in range(0, n, 1 << 20):
        yield np.zeros(min(1 << 20, n - first), dtype=np.float32)


# -- directions -------------------------------------------------------------------------------------------------


def no_sound(path: str | Path) -> Problem:
    """Return what is said of a film without sound."""
    return Problem(
        str(path),
        "no sound in it",
        "a film with sound",
        "mark it by eye, or use the file as the camera made it",
    )


def _missing(path: str | Path) -> Problem:
    return Problem(
        str(path), "no such file", "a film", "check the name, or that the disk with the film is there"
    )


def _unreadable(path: str | Path, fault: Exception) -> Problem:
    why = getattr(fault, "strerror", None) or type(fault).__name__
    return Problem(
        str(path),
        f"nothing that can be read as a film ({why.lower()})",
        "a film such as mp4, mov, mkv or ts, whole",
        "copy it from the camera again, or play it once to see whether it is whole",
    )
