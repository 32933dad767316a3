"""Frames written as MP4 (H.264) or GIF, into memory: whoever asked puts them into a file, whole or not at all.

No sound, nothing written along that names a machine, a person or a day. Knows no play.
"""

from __future__ import annotations

import io
import tempfile
from collections.abc import Callable, Iterable
from fractions import Fraction
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tenbetween.errors import Problem, TenbetweenError, UsageError

Picture = NDArray[np.uint8]
"""Height, width, red-green-blue."""
Progress = Callable[[int, int], object]
"""Told after each frame how many are done, and of how many."""
Cancel = Callable[[], bool]
GIF_FPS = 15


class StoppedError(TenbetweenError):
    """The film was not wanted any more; nothing is left of it."""

    def __init__(self) -> None:
        super().__init__(Problem("film", "stopped before its end", "the whole film", "start it again"))


def film_parts() -> ModuleType:
    """Return PyAV.

    Raises:
        UsageError: it is not installed.
    """
    try:
        import av
    except ImportError:
        raise UsageError(
            Problem(
                "film",
                "no PyAV on this machine",
                "the extra `film`",
                'in the program\'s folder: .venv/bin/pip install "av>=14"',
            )
        ) from None
    return av


def mp4(
    frames: Iterable[Picture], count: int, fps: int = 30, *, progress: Progress | None = None,
    cancel: Cancel | None = None,
) -> bytes:  # fmt: skip
    """Return frames as MP4: H.264, every player's colours (yuv420p), ready to play before it is loaded whole.

    Raises:
        UsageError: the extra is missing, no frame, or a side that is odd.
        StoppedError: ``cancel`` said so.
    """
    av = film_parts()
    # To begin with what a player needs first, the writer goes over its own file again: it needs a real one.
    with tempfile.TemporaryDirectory(prefix="tenbetween-film-") as folder:
        file = Path(folder, "play.mp4")
        with av.open(str(file), "w", format="mp4", options=dict(_BOX)) as box:
            _encode(av, box, _watched(frames, count, progress, cancel), fps)
        return file.read_bytes()


_BOX = {"movflags": "+faststart", "fflags": "+bitexact"}
"""What a player needs stands first; nothing says which program or day it was."""


def _encode(av: ModuleType, box: Any, frames: Iterable[Picture], fps: int) -> None:
    stream: Any = None
    for number, frame in enumerate(frames):
        stream = stream or _h264(box, frame, fps)
        given = av.VideoFrame.from_ndarray(frame, format="rgb24")
        picture = given.reformat(format="yuv420p", dst_colorspace="ITU709", dst_color_range="MPEG")
        picture.pts, picture.time_base = number, Fraction(1, fps)
        box.mux(stream.encode(picture))
    if stream is None:
        raise UsageError(_no_frames())
    box.mux(stream.encode())


def _h264(box: Any, frame: Picture, fps: int) -> Any:
    high, wide = frame.shape[:2]
    if high % 2 or wide % 2:
        raise UsageError(Problem("film", f"{wide} x {high} dots", "even sides", "make it one dot larger"))
    stream = box.add_stream("libx264", rate=fps)
    stream.width, stream.height, stream.pix_fmt = wide, high, "yuv420p"
    stream.time_base = Fraction(1, fps)
    # Said openly, so that every player shows the same colours: those of high-definition television.
    about = stream.codec_context
    about.colorspace, about.color_primaries, about.color_trc, about.color_range = 1, 1, 1, 1
    stream.options = {"crf": "20", "preset": "veryfast", "tune": "animation"}
    return stream


def gif(
    frames: Iterable[Picture], count: int, fps: int = GIF_FPS, *, loop: bool = True,
    progress: Progress | None = None, cancel: Cancel | None = None,
) -> bytes:  # fmt: skip
    """Return frames as GIF with the colours the first frames have; ``loop`` plays it again and again.

    Raises:
        UsageError: the extra is missing, or no frame.
        StoppedError: ``cancel`` said so.
    """
    av = film_parts()
    given = list(_watched(frames, count, progress, cancel))
    if not given:
        raise UsageError(_no_frames())
    out = io.BytesIO()
    options = {"loop": "0" if loop else "-1"}
    with av.open(out, "w", format="gif", options=options) as box:
        high, wide = given[0].shape[:2]
        stream = box.add_stream("gif", rate=fps)
        stream.width, stream.height, stream.pix_fmt = wide, high, "pal8"
        stream.time_base = Fraction(1, 100)
        for picture in _few_colours(av, given, fps):
            box.mux(stream.encode(picture))
        box.mux(stream.encode())
    return out.getvalue()


def _few_colours(av: ModuleType, given: list[Picture], fps: int) -> Iterable[Any]:
    """Yield the frames in 256 colours chosen for all of them."""
    high, wide = given[0].shape[:2]
    graph = av.filter.Graph()
    source = graph.add_buffer(width=wide, height=high, format="rgb24", time_base=Fraction(1, fps))
    split, chosen = graph.add("split"), graph.add("palettegen", "stats_mode=full:reserve_transparent=0")
    used, sink = graph.add("paletteuse", "dither=none:diff_mode=rectangle"), graph.add("buffersink")
    source.link_to(split)
    split.link_to(used, 0, 0)
    split.link_to(chosen, 1, 0)
    chosen.link_to(used, 0, 1)
    used.link_to(sink)
    graph.configure()
    for number, frame in enumerate(given):
        picture = av.VideoFrame.from_ndarray(frame, format="rgb24")
        picture.pts, picture.time_base = number, Fraction(1, fps)
        source.push(picture)
    source.push(None)
    while True:
        try:
            found = sink.pull()
        except (av.error.EOFError, av.error.BlockingIOError):
            return
        yield found


def _watched(
    frames: Iterable[Picture], count: int, progress: Progress | None, cancel: Cancel | None
) -> Iterable[Picture]:
    for number, frame in enumerate(frames, 1):
        if cancel is not None and cancel():
            raise StoppedError
        yield frame
        if progress is not None:
            progress(number, count)


def _no_frames() -> Problem:
    return Problem("film", "no frame", "at least one", "give the play a step")
