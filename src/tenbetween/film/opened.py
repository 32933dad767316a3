"""A film file opened to be read: only the kinds we know, and every refusal said as directions.

Knows files and PyAV, no frame and no game. Nothing is ever written here, and no file but the one named is opened:
a text that names other files or addresses is no film.
"""

from __future__ import annotations

import errno
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from tenbetween.errors import FormatError, Problem
from tenbetween.film.whole import FULL
from tenbetween.film.write import film_parts

KINDS = ("mov", "mp4", "matroska", "webm", "mpegts")
"""The kinds of file that are read, by the names PyAV has for them."""
ENDINGS = (".mp4", ".m4v", ".mov", ".mkv", ".webm", ".ts", ".mts", ".m2ts")
EXPECTED = "a film in mp4, mov, mkv, webm or ts"
PATIENCE_S = 60.0
"""How long one reading of the disk may take before the film is given up."""


@contextmanager
def opened(path: Path) -> Iterator[Any]:
    """Open a film to be read (a PyAV container) and say in words whatever goes wrong until it is closed.

    Raises:
        FormatError: missing, empty, cut short, of another kind, unreadable, or pulled away while it was read.
        UsageError: the extra ``film`` is missing.
    """
    av = film_parts()
    _there(path)
    options = {"format_whitelist": ",".join(KINDS), "protocol_whitelist": "file"}
    patience = (PATIENCE_S, PATIENCE_S)
    with (
        telling(path),
        av.open(str(path.absolute()), options=options, metadata_errors="replace", timeout=patience) as box,
    ):
        yield box


def picture_of(box: Any, path: Path) -> Any:
    """Return the stream of pictures of an opened film: the first that is no cover picture.

    Raises:
        FormatError: there is none.
    """
    av = film_parts()
    cover = av.stream.Disposition.attached_pic
    for stream in box.streams.video:
        if not stream.disposition & cover and stream.codec_context is not None and stream.time_base:
            return stream
    if box.streams.audio:
        raise refused(path, "sound without a picture", "choose the file with the picture")
    raise refused(path, "no picture in it", "choose another file")


def seconds_long(path: Path) -> float:
    """Return how long a film runs, in seconds, as the file itself says.

    Raises:
        FormatError: no film.
    """
    with opened(path) as box:
        return round(float(box.duration or 0) / 1_000_000, 2)


def packets(box: Any, streams: list[Any]) -> Iterator[Any]:
    """Yield the packets of some streams of an opened film, as long as there are any.

    A stream that appears in the middle of a film makes PyAV stumble at the very end: by then all packets are told.
    """
    given = box.demux(streams)
    while True:
        try:
            packet = next(given)
        except (StopIteration, IndexError):
            return
        yield packet


@contextmanager
def telling(path: Path) -> Iterator[None]:
    """Turn whatever reading a film raises into a FormatError that names the file and what to do."""
    av = film_parts()
    try:
        yield
    except FileNotFoundError:
        raise gone(path) from None
    except OSError as error:
        if error.errno in FULL or str(error.filename).endswith(".part"):
            raise  # of the file that is written, not of the film
        raise _broken(path, error) from None
    except (av.error.FFmpegError, UnicodeError, OverflowError, MemoryError) as error:
        if str(getattr(error, "filename", "")).endswith(".part"):
            raise
        raise _broken(path, error) from None


def refused(path: Path, found: str, do: str, expected: str = EXPECTED) -> FormatError:
    """Return the error of a film file, named without its folder."""
    return FormatError(Problem(path.name, found, expected, do))


def gone(path: Path) -> FormatError:
    """Return the error of a film that is not where it was."""
    return refused(
        path, "no such file", "plug in the disk it is on, or say where the film is now", "the film"
    )


def _there(path: Path) -> None:
    """Refuse what cannot be a film before any reader sees it."""
    try:
        size = path.stat().st_size
        if path.is_dir():
            raise refused(path, "a folder", "choose a file in it")
        if not path.is_file():
            raise refused(path, "no ordinary file", "choose a film file")
        if size == 0:
            raise refused(path, "an empty file", "copy it again from the camera")
        with path.open("rb") as file:
            head = file.read(4096)
    except FileNotFoundError:
        raise gone(path) from None
    except OSError as error:
        raise _broken(path, error) from None
    if _is_text(head):
        raise refused(
            path, "text, not a film", "choose the film itself; the ending of the name does not matter"
        )


def _is_text(head: bytes) -> bool:
    if head.startswith(b"G") and head[188:189] in {b"G", b""}:
        return False
    return not any(byte < 9 or 13 < byte < 32 for byte in head)


def _broken(path: Path, error: Exception) -> FormatError:
    number = getattr(error, "errno", None)
    if number in {errno.EACCES, errno.EPERM}:
        return refused(path, "a file this program may not read", "allow reading it, or copy it elsewhere")
    if number in {errno.EIO, errno.ESTALE, errno.ENODEV, errno.ENXIO} or not path.exists():
        return refused(
            path, "a disk that does not answer", "plug the disk in again, then try once more", "the film"
        )
    if "timed out" in str(error).lower() or type(error).__name__ in {"TimeoutError", "ExitError"}:
        return refused(
            path, f"no answer within {PATIENCE_S:.0f} s", "copy the film to this machine's own disk"
        )
    if _never_closed(path):
        return refused(
            path,
            "a recording that was cut short before its table of contents was written",
            "copy it again from the camera; if the camera stopped early, let the camera repair it",
        )
    return refused(
        path, "what no reader of films understands", "copy it again from the camera, or write it again as mp4"
    )


def _never_closed(path: Path) -> bool:
    """Return whether an mp4 or mov has its pictures but no table of contents."""
    try:
        from tenbetween.film.mp4_tables import boxes_of

        with path.open("rb") as file:
            names = [name for name, _, _ in boxes_of(file, 0, path.stat().st_size)]
    except OSError:
        return False
    return b"moov" not in names and bool({b"ftyp", b"mdat", b"wide"} & set(names[:3]))
