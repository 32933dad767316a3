"""Small real films whose every frame carries its own number as a row of black and white fields.

For measuring and testing only: what a player paints can be read back and compared with what it names.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np

BITS = 16
SIZE = (320, 176)
BASE = 90_000
"""Ticks a second."""


def even(frames: int, rate: Fraction) -> list[int]:
    """Return time stamps of an even frame rate."""
    return [round(n * BASE / rate) for n in range(frames)]


def uneven(frames: int, seed: int = 7) -> list[int]:
    """Return time stamps as a phone gives them: between 1/60 and 1/12 s apart."""
    steps = np.random.default_rng(seed).integers(BASE // 60, BASE // 12, frames - 1)
    return [0, *np.cumsum(steps).tolist()]


def picture(number: int, size: tuple[int, int] = SIZE) -> Any:
    """Return a frame: its number as fields in the middle band, the most significant to the left."""
    width, height = size
    shown = np.full((height, width), 96, np.uint8)
    field = width // BITS
    for bit in range(BITS):
        value = 235 if number >> (BITS - 1 - bit) & 1 else 16
        shown[height // 3 : 2 * height // 3, bit * field : (bit + 1) * field] = value
    return np.repeat(shown[:, :, None], 3, axis=2)


def write_film(
    path: Path,
    pts: Sequence[int],
    *,
    size: tuple[int, int] = SIZE,
    first: int = 0,
    gop: int = 30,
    codec: str = "libx264",
) -> Path:
    """Write a film with a frame at each time stamp (in ticks of 1/90000 s); ``first`` is its first number."""
    import av

    with av.open(str(path), "w") as made:
        stream: Any = made.add_stream(codec, rate=30)
        stream.width, stream.height, stream.pix_fmt = *size, "yuv420p"
        stream.codec_context.time_base = stream.time_base = Fraction(1, BASE)
        quick = {"preset": "ultrafast", "crf": "28"}
        more = {"bf": "2", "g": str(gop), "tune": "fastdecode"} if codec == "libx264" else {}
        stream.options = {**quick, **more}
        for number, at in enumerate(pts):
            frame = av.VideoFrame.from_ndarray(picture(first + number, size), "rgb24")
            frame.pts, frame.time_base = at, Fraction(1, BASE)
            made.mux(stream.encode(frame))
        made.mux(stream.encode(None))
    return path


def pts_of(path: Path) -> tuple[Any, Fraction]:
    """Return the time stamps of a film's packets in order, and their base."""
    import av

    with av.open(str(path)) as film:
        stream = film.streams.video[0]
        found = sorted(p.pts for p in film.demux(stream) if p.pts is not None)
        return np.array(found, np.int64), stream.time_base or Fraction(1, BASE)


def numbers(path: Path) -> Iterator[int]:
    """Yield the number each decoded frame carries."""
    import av

    with av.open(str(path)) as film:
        for frame in film.decode(video=0):
            yield read_number(frame.to_ndarray(format="gray"))


def read_number(grey: Any) -> int:
    """Return the number a picture carries."""
    height, width = grey.shape
    row = grey[height // 2]
    field = width / BITS
    return sum(int(row[int((bit + 0.5) * field)] > 127) << (BITS - 1 - bit) for bit in range(BITS))


READ_IN_PAGE = """
() => {
  const video = document.getElementById('film');
  const canvas = document.createElement('canvas');
  canvas.width = video.videoWidth; canvas.height = video.videoHeight;
  const pen = canvas.getContext('2d', { willReadFrequently: true });
  pen.drawImage(video, 0, 0);
  const row = pen.getImageData(0, canvas.height >> 1, canvas.width, 1).data;
  let number = 0;
  for (let bit = 0; bit < 16; bit++) {
    const x = Math.floor((bit + 0.5) * canvas.width / 16);
    number = number * 2 + (row[4 * x] > 127 ? 1 : 0);
  }
  return number;
}
"""
"""Reads the number of the frame that is really painted in the player."""
