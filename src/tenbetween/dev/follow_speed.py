"""Measures how fast a camera is carried through a pan, decoding included, against decoding alone in the same run."""

from __future__ import annotations

import io
from collections.abc import Iterator
from importlib.util import find_spec
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tenbetween.dev.figures import Figure, Measured, in_turn, processor_seconds

FRAMES = 300
FROM_S = 6.0
"""Seconds into the drawn film: past its opening, in the middle of a pan."""
AT_FULL, AT_HALF = 30.0, 50.0
"""Frames a second that are aimed at, on one core, for 1280 x 720 dots and for half of that."""


def following() -> Measured:
    """Measure ten seconds of the drawn film, followed at full and at half size."""
    if find_spec("av") is None or find_spec("cv2") is None:
        return Measured(
            skipped="Cameras carried along: PyAV or OpenCV is not installed; dev/install dev brings them."
        )
    import cv2

    from tenbetween.court import court_of
    from tenbetween.film.follow import follow

    cv2.setNumThreads(1)
    film, camera = _filmed()
    court = court_of("us-hs")
    alone, whole, half = (
        FRAMES / took
        for took in in_turn(
            3,
            lambda: processor_seconds(lambda: sum(1 for _ in _frames(film))),
            lambda: processor_seconds(lambda: list(follow(camera, _frames(film), court))),
            lambda: processor_seconds(lambda: list(follow(camera, _frames(film, 360), court))),
        )
    )
    floor = "decoding alone"
    unit = "frames a second"
    return Measured(
        (
            Figure("a camera followed at 1280 x 720", whole, unit, AT_FULL, True, floor, alone),
            Figure("a camera followed at 640 x 360", half, unit, AT_HALF, True, floor, alone),
        )
    )


def _filmed() -> tuple[bytes, Any]:
    """Return ten seconds of the drawn film as MP4, and the camera of its first frame."""
    import av

    from tenbetween.desk.demo_story import demo_story
    from tenbetween.film.drawn import Drawn

    drawn = Drawn(demo_story(), picture=(1280, 720))
    first = round(FROM_S * drawn.fps)
    kept = io.BytesIO()
    with av.open(kept, "w", format="mp4") as box:
        stream: Any = box.add_stream("libx264", rate=drawn.fps, options={"crf": "26", "preset": "veryfast"})
        stream.width, stream.height, stream.pix_fmt = *drawn.picture, "yuv420p"
        for number in range(first, first + FRAMES):
            box.mux(stream.encode(av.VideoFrame.from_ndarray(drawn.planes(number), format="yuv420p")))
        box.mux(stream.encode())
    return kept.getvalue(), drawn.cameras[first]


def _frames(film: bytes, height: int | None = None) -> Iterator[tuple[int, NDArray[np.uint8]]]:
    """Decode on one core: (pts, shades of grey), at another height if one is given."""
    import av

    box: Any
    with av.open(io.BytesIO(film)) as box:
        stream = box.streams.video[0]
        stream.thread_type = "NONE"
        for one in box.decode(stream):
            small = one if height is None else one.reformat(one.width * height // one.height, height, "gray")
            yield int(one.pts or 0), small.to_ndarray(format="gray")
