"""Quick pans over drawn gyms, and splices of them, with the truth: for tests of cuts and lulls only.

A wide wall of a gym is drawn once; a camera slides over it, sometimes as fast as one and a half pictures' width a second, with
motion blur, a drifting exposure, noise and people who run; all of it coded as H.264. Kinder than life: no score
graphics, no stabiliser, no zoom.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

WIDE, HIGH, FPS = 320, 180, 30


@dataclass(frozen=True)
class Shot:
    """One unbroken piece of film: which gym, how long, how fast the camera swings (widths a second at most)."""

    gym: int
    seconds: float
    fastest: float = 1.0
    lull: tuple[float, float] | None = None
    """From and to, in its own seconds: nobody runs, the camera rests."""
    flash_at: float | None = None


def wall(gym: int) -> np.ndarray:
    """The whole of a gym, seven pictures wide: wall, crowd, floor, lines, banners, in colours of its own."""
    dice = np.random.default_rng(7_000 + gym)
    wide = 7 * WIDE
    out = np.zeros((HIGH, wide, 3), dtype=np.float32)
    high = int(dice.integers(40, 90))
    out[:high] = dice.uniform(40, 230, 3)
    out[high:] = dice.uniform(60, 220, 3)
    for _ in range(900):
        x, y = int(dice.integers(0, wide - 6)), int(dice.integers(8, high))
        out[y : y + 5, x : x + 4] = dice.uniform(10, 240, 3)
    for _ in range(14):
        x, y, w = (
            int(dice.integers(0, wide - 80)),
            int(dice.integers(0, high // 2)),
            int(dice.integers(15, 80)),
        )
        out[y : y + 18, x : x + w] = dice.uniform(10, 240, 3)
    for x in range(30, wide, int(dice.integers(70, 160))):
        out[high:, x : x + 3] = dice.uniform(180, 255)
    out[high + 30 : high + 33] = out[HIGH - 14 : HIGH - 11] = 240
    left = int(dice.integers(0, wide - 400))
    out[high + 40 : HIGH - 20, left : left + 380] = dice.uniform(20, 230, 3)
    return out


def pictures(shot: Shot, seed: int) -> Iterator[np.ndarray]:
    """The pictures of one shot (red-green-blue, 180 x 320)."""
    dice, ground = np.random.default_rng(seed), wall(shot.gym)
    frames = round(shot.seconds * FPS)
    at = _swing(dice, shot, frames, ground.shape[1] - WIDE - 1)
    people = [
        (
            dice.uniform(0, ground.shape[1]),
            dice.uniform(90, HIGH - 30),
            dice.uniform(0, 6),
            dice.uniform(10, 240, 3),
        )
        for _ in range(60)
    ]
    exposure, noise = 1.0, dice.normal(0, 3, size=(HIGH + 8, WIDE + 8, 3)).astype(np.float32)
    run = 0.0
    for number in range(frames):
        resting = shot.lull is not None and shot.lull[0] <= number / FPS < shot.lull[1]
        run += 0.1 if resting else 2.0
        before, now = at[max(0, number - 1)], at[number]
        exposure = float(np.clip(exposure + dice.normal(0, 0.004), 0.85, 1.15))
        seen = [_view(ground, people, now + (before - now) * part, run) for part in (0.0, 0.25, 0.5)]
        dx, dy = (int(one) for one in dice.integers(0, 8, size=2))
        out = np.mean(seen, axis=0) * exposure + noise[dy : dy + HIGH, dx : dx + WIDE]
        if shot.flash_at is not None and 0 <= number - round(shot.flash_at * FPS) < 2:
            out = out * 0.4 + 150
        yield np.clip(out, 0, 255).astype(np.uint8)


def _swing(dice: np.random.Generator, shot: Shot, frames: int, room: int) -> np.ndarray:
    """Where the camera looks, picture by picture: rests and swings in turn, some of them as fast as asked."""
    out, place = np.zeros(frames), float(dice.uniform(0, room))
    number = 0
    while number < frames:
        rest, turn = int(dice.uniform(0.2, 1.5) * FPS), int(dice.uniform(0.4, 2.0) * FPS)
        goal = float(
            np.clip(
                place + dice.choice([-1, 1]) * turn / FPS * shot.fastest * WIDE * dice.uniform(0.2, 0.6),
                0,
                room,
            )
        )
        path = np.concatenate(
            (np.full(rest, place), place + (goal - place) * (1 - np.cos(np.linspace(0, np.pi, turn))) / 2)
        )
        part = path[: frames - number]
        out[number : number + len(part)] = part
        number, place = number + len(part), goal
    if shot.lull is not None:
        first, last = (round(one * FPS) for one in shot.lull)
        out[first:last] = out[first]
        out[last:] += out[first] - out[min(last, frames - 1)]
    return np.clip(out, 0, room)


def _view(ground: np.ndarray, people: Sequence[tuple], x: float, run: float) -> np.ndarray:
    left = int(x)
    out = ground[:, left : left + WIDE].copy()
    for number, (px, py, phase, shirt) in enumerate(people):
        col = int(px + 60 * np.sin(run * (0.02 + 0.002 * (number % 5)) + phase) - x)
        row = int(py + 8 * np.sin(run * 0.03 + 2 * phase))
        if 0 <= col < WIDE - 8:
            out[row - 24 : row - 8, col : col + 8] = shirt
            out[row - 8 : row, col + 1 : col + 7] = 50
    return out


@dataclass(frozen=True)
class Film:
    film: bytes
    cuts: tuple[float, ...]
    """Seconds of the first picture after each splice."""
    seconds: float


def spliced(shots: Sequence[Shot], seed: int, crf: int = 26) -> Film:
    """Shots one after the other in one MP4."""
    import av

    out, cuts, done = io.BytesIO(), [], 0
    with av.open(out, "w", format="mp4") as box:
        stream = box.add_stream("libx264", rate=FPS)
        stream.width, stream.height, stream.pix_fmt = WIDE, HIGH, "yuv420p"
        stream.codec_context.thread_count = 1
        stream.options = {"crf": str(crf), "preset": "veryfast", "sc_threshold": "0"}
        for number, shot in enumerate(shots):
            if number:
                cuts.append(done / FPS)
            for picture in pictures(shot, seed + number):
                frame = av.VideoFrame.from_ndarray(picture, format="rgb24")
                frame.pts, frame.time_base = done, Fraction(1, FPS)
                box.mux(stream.encode(frame))
                done += 1
        box.mux(stream.encode())
    return Film(out.getvalue(), tuple(cuts), done / FPS)
