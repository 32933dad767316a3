"""Films made for the tests: each frame carries its number as sixteen light and dark fields over the whole picture.

The numbers are read back from the pixels, so that which frame was shown is never believed but seen.
"""

from __future__ import annotations

import struct
from collections.abc import Callable, Iterable, Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import numpy as np

FIRST, LAST = 0, 1
"""The first field is always dark and the last always light, so that a picture on its head is not read."""


def numbered(number: int, size: tuple[int, int] = (320, 192)) -> np.ndarray[Any, Any]:
    """Return the picture of a number below 2**14: four rows of four fields, with a little grain."""
    bits = [FIRST, *((number >> bit) & 1 for bit in range(14)), LAST]
    wide, high = size
    fields = np.array(bits, dtype=np.uint8).reshape(4, 4) * 160 + 40
    rows = np.minimum(np.arange(high) * 4 // high, 3)
    columns = np.minimum(np.arange(wide) * 4 // wide, 3)
    grey = fields[np.ix_(rows, columns)]
    grain = np.random.default_rng(number % 7).integers(0, 12, size=(high, wide), dtype=np.uint8)
    return np.repeat((grey + grain)[:, :, None], 3, axis=2)


def number_of(picture: np.ndarray[Any, Any]) -> int:
    """Return the number read from a picture; fails when it is upside down, or no such picture."""
    high, wide = picture.shape[:2]
    grey = picture if picture.ndim == 2 else picture.mean(axis=2)
    bits = []
    for row in range(4):
        for column in range(4):
            top, left = int((row + 0.3) * high / 4), int((column + 0.3) * wide / 4)
            field = grey[
                top : max(top + 1, int((row + 0.7) * high / 4)),
                left : max(left + 1, int((column + 0.7) * wide / 4)),
            ]
            bits.append(int(field.mean() > 125))
    assert (bits[0], bits[15]) == (FIRST, LAST), f"not upright, or no numbered picture: {bits}"
    return sum(bit << place for place, bit in enumerate(bits[1:15]))


def film(
    path: Path,
    times: Sequence[int],
    base: Fraction,
    *,
    codec: str = "libx264",
    size: tuple[int, int] = (320, 192),
    gop: int = 12,
    b_frames: int = 2,
    rotation: int = 0,
    pixel: Fraction | None = None,
    sound: bool = False,
    sound_from: float = 0,
    begins: int = 0,
    metadata: dict[str, str] | None = None,
    options: dict[str, str] | None = None,
    box: dict[str, str] | None = None,
    pixels: str = "yuv420p",
    picture: Callable[[int, tuple[int, int]], np.ndarray[Any, Any]] = numbered,
) -> Path:
    """Write a film of numbered frames shown at the given ticks; returns its path."""
    with av.open(str(path), "w", options=box or {}) as out:
        out.metadata.update(metadata or {})
        stream = out.add_stream(codec, rate=Fraction(1) / base if 1 / base < 1000 else 30)
        stream.width, stream.height, stream.pix_fmt = *size, pixels
        stream.codec_context.time_base = base
        stream.codec_context.gop_size = gop
        if codec in {"libx264", "libx265", "mpeg2video"}:
            stream.codec_context.max_b_frames = b_frames
        if pixel:
            stream.codec_context.sample_aspect_ratio = pixel
        stream.options = {**_OPTIONS.get(codec, {}), **(options or {})}
        if rotation:
            stream.set_display_rotation(rotation)
        hum = _sound_stream(out) if sound else None
        for number, pts in enumerate(times):
            stored = np.ascontiguousarray(_stored(picture, begins + number, size, rotation))
            frame = av.VideoFrame.from_ndarray(stored, format="rgb24").reformat(format=pixels)
            frame.pts, frame.time_base = pts, base
            out.mux(stream.encode(frame))
            if hum is not None:
                out.mux(_hum_until(hum, float((pts + 1) * base), sound_from))
        out.mux(stream.encode())
        if hum is not None:
            out.mux(hum[0].encode())
    return path


def _stored(picture: Any, number: int, size: tuple[int, int], rotation: int) -> np.ndarray[Any, Any]:
    """Return the picture as a camera held sideways stores it: turned back by what the player is to turn it."""
    seen = size[::-1] if rotation % 180 else size
    return np.rot90(picture(number, seen), -rotation // 90)


_OPTIONS = {
    "libx264": {"preset": "veryfast", "crf": "28"},
    "libx265": {"preset": "ultrafast", "x265-params": "log-level=none"},
    "libvpx-vp9": {"cpu-used": "8", "deadline": "realtime"},
}


def _sound_stream(out: Any) -> list[Any]:
    stream = out.add_stream("aac", rate=48000)
    stream.codec_context.layout = "stereo"
    return [stream, 0]


def _hum_until(hum: list[Any], second: float, begins: float) -> Iterable[Any]:
    packets: list[Any] = []
    while hum[1] / 48000 < second:
        at = (np.arange(1024) + hum[1]) / 48000
        wave = (0.2 * np.sin(2 * np.pi * 880 * at) * (at >= begins)).astype(np.float32)
        frame = av.AudioFrame.from_ndarray(np.stack([wave, wave]), format="fltp", layout="stereo")
        frame.sample_rate, frame.pts, frame.time_base = 48000, hum[1], Fraction(1, 48000)
        packets += hum[0].encode(frame)
        hum[1] += 1024
    return packets


def steady(count: int, step: int = 1) -> list[int]:
    """Return the ticks of frames that all last equally long."""
    return [number * step for number in range(count)]


def uneven(count: int, seed: int = 4) -> list[int]:
    """Return ticks of a phone's film at 1/90000 s: mostly 30 a second, with halts and hurries."""
    steps = np.random.default_rng(seed).choice([1500, 3000, 3000, 3003, 4500, 9000], size=count)
    return [0, *np.cumsum(steps)[:-1].tolist()]


def sparse_mp4(source: Path, out: Path, gap: int = 6 << 30) -> Path:
    """Write an mp4 again with a free box of so many bytes, all hole, between its pictures and its table of contents."""
    held = source.read_bytes()
    (moov,) = (one for one in boxes(held) if one[0] == b"moov")
    assert all(one[1] < moov[1] for one in boxes(held) if one[0] == b"mdat"), (
        "write the source without faststart"
    )
    with out.open("wb") as file:
        file.write(held[: moov[1]])
        file.write(struct.pack(">I4sQ", 1, b"free", gap))
        file.seek(gap - 16, 1)
        file.write(held[moov[1] :])
    return out


def boxes(held: bytes) -> list[tuple[bytes, int, int]]:
    """Return the boxes of an mp4 as name, first byte and end."""
    found, at = [], 0
    while at + 8 <= len(held):
        size, name = struct.unpack(">I4s", held[at : at + 8])
        if size == 1:
            size = struct.unpack(">Q", held[at + 8 : at + 16])[0]
        found.append((name, at, at + size))
        at += max(8, size)
    return found


def sound_begins(path: Path) -> float:
    """Return when the first loud sample sounds, in seconds after the first picture; fails when there is none."""
    with av.open(str(path)) as box:
        first = min(packet.pts * packet.time_base for packet in box.demux(video=0) if packet.pts is not None)
    with av.open(str(path)) as box:
        for frame in box.decode(audio=0):
            loud = np.flatnonzero(np.abs(frame.to_ndarray()[0]) > 0.08)
            if len(loud):
                return float(frame.pts * frame.time_base - first) + float(loud[0]) / frame.sample_rate
    raise AssertionError("silence")
