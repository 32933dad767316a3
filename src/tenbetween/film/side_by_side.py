"""Two pieces of film beside each other, the same moment of both at the same time: disposal, as a rule.

Where one begins later or ends earlier, its first or last frame stands still beside the other. No sound.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from math import ceil
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from tenbetween.errors import FormatError, Problem
from tenbetween.film.clip_out import clip_out, even
from tenbetween.film.cut import Change, Counting, Overlay, fitted, laid_over, not_too_long, on_ground
from tenbetween.film.frame_index import FrameIndex, index
from tenbetween.film.frames_in import as_seen, decoded
from tenbetween.film.opened import refused
from tenbetween.film.write import Cancel, Progress

Dots = NDArray[np.uint8]
GAP = 8
"""Dots between the two pictures."""


@dataclass(frozen=True, slots=True)
class Side:
    """One of the two: from which frame to which, and the frame that stands beside the other's."""

    path: Path
    start_pts: int
    joined_pts: int
    end_pts: int
    overlay: Overlay | None = None
    """Drawn as large as ``side_size`` says."""
    change: Change | None = None


@dataclass(frozen=True, slots=True)
class Beside:
    """A finished comparison: at which second both stand at the joined moment, and how long it is."""

    joined_s: float
    duration_s: float
    frames: int
    size: int


def side_size(size: tuple[int, int]) -> tuple[int, int]:
    """Return width and height of each of the two pictures in a clip of a size.

    >>> side_size((1280, 360))
    (636, 360)
    """
    return (even(size)[0] - GAP) // 2, even(size)[1]


def side_by_side(
    left: Side, right: Side, out: Path, *, size: tuple[int, int] = (1280, 360), fps: int = 30,
    progress: Progress | None = None, cancel: Cancel | None = None,
) -> Beside:  # fmt: skip
    """Write two pieces beside each other, joined at one frame of each.

    Raises:
        FormatError: one cannot be read, the joined frame is outside its piece, or the disk is full.
        StoppedError: ``cancel`` said so.
    """
    size = even(size)
    sides = [(side, index(side.path)) for side in (left, right)]
    _joined_inside(sides)
    for side, frames in sides:
        not_too_long(side.path, frames, side.start_pts, side.end_pts)
    before = max(ceil((side.joined_pts - side.start_pts) * frames.base * fps) for side, frames in sides)
    after = max(ceil((side.end_pts - side.joined_pts) * frames.base * fps) for side, frames in sides)
    count = Counting(before + after + 1, progress, cancel)
    each = [_at_rate(side, frames, before, after, fps, side_size(size)) for side, frames in sides]
    with clip_out(out, size, Fraction(1, fps)) as clip:
        for number, (one, other) in enumerate(zip(*each, strict=True)):
            clip.picture(_together(one, other, size), number)
            count.one()
    return Beside(before / fps, (before + after + 1) / fps, clip.frames, out.stat().st_size)


def _at_rate(
    side: Side, frames: FrameIndex, before: int, after: int, fps: int, size: tuple[int, int]
) -> Iterator[Dots]:
    """Yield what of one side is on the screen at each tick, counted from the joined moment."""
    joined = int(frames.pts[frames.frame_at(side.joined_pts)])
    wanted = []
    for tick in range(-before, after + 1):
        # Whole ticks of the film, rounded down: at the joined moment exactly the joined frame.
        pts = joined + int(Fraction(tick, fps) // frames.base)
        inside = min(max(pts, side.start_pts), side.end_pts)
        wanted.append(int(frames.pts[frames.frame_at(inside)]))
    pictures = _pictures(side, wanted[0], wanted[-1], size)
    pts, picture = _next(side, pictures)
    for one in wanted:
        while pts < one:
            pts, picture = next(pictures, (2**62, picture))
        yield picture


def _next(side: Side, pictures: Iterator[tuple[int, Dots]]) -> tuple[int, Dots]:
    for one in pictures:
        return one
    raise refused(
        side.path, "no frame there that can be decoded", "choose another piece", "a frame of the film"
    )


def _pictures(side: Side, first: int, last: int, size: tuple[int, int]) -> Iterator[tuple[int, Dots]]:
    for frame, shape in decoded(side.path, first, last):
        seen = fitted(shape.picture, size)
        picture = as_seen(frame, shape, size=seen)
        if side.change is not None:
            picture = side.change(frame.pts, picture)
        picture = on_ground(picture, size)
        cover = side.overlay(frame.pts) if side.overlay is not None else None
        yield frame.pts, picture if cover is None else laid_over(picture, cover)


def _together(left: Dots, right: Dots, size: tuple[int, int]) -> Dots:
    made = np.zeros((size[1], size[0], 3), np.uint8)
    made[:, : left.shape[1]] = left
    made[:, size[0] - right.shape[1] :] = right
    return made


def _joined_inside(sides: list[tuple[Side, FrameIndex]]) -> None:
    bad = [
        Problem(
            side.path.name,
            f"a piece from {side.start_pts} to {side.end_pts} joined at {side.joined_pts}",
            f"the joined frame in the piece, all between {frames.pts[0]} and {frames.pts[-1]}",
            "mark the moment, then choose from before it to after it",
        )
        for side, frames in sides
        if not frames.pts[0] <= side.start_pts <= side.joined_pts <= side.end_pts <= frames.end_pts
    ]
    if bad:
        raise FormatError(bad)
