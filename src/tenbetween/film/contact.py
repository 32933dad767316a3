"""A sheet of stills out of a finished clip, so that a person sees what leaves before it leaves.

Looks at the file that will be handed on, not at what it was meant to be.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import ceil
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from tenbetween.film.frame_index import FrameIndex, index
from tenbetween.film.frames_in import as_seen, decoded
from tenbetween.film.opened import refused
from tenbetween.film.probe import clock
from tenbetween.film.write import film_parts

Dots = NDArray[np.uint8]
MOST = 120
"""Stills on one sheet at most; a longer clip is looked at in wider steps."""
EDGE = 6
BAND = 16


@dataclass(frozen=True, slots=True)
class Contact:
    """A sheet: its picture (red-green-blue) and the second of each still on it, row by row."""

    picture: Dots
    seconds: tuple[float, ...]
    columns: int


def contact_sheet(path: Path, *, every_s: float = 2.0, columns: int = 4, wide: int = 320) -> Contact:
    """Return stills of a clip every so many seconds, the last frame too; ``wide`` is how many dots each is wide.

    Raises:
        FormatError: the clip cannot be read.
    """
    times = index(path)
    wanted = _wanted(times, every_s)
    stills: list[tuple[float, Dots]] = []
    left = iter(wanted)
    pts = next(left, None)
    for frame, shape in decoded(path, None, None):
        if pts is None:
            break
        if frame.pts >= pts:
            high = max(1, round(wide * shape.picture[1] / shape.picture[0]))
            stills.append((float(frame.pts * times.base), as_seen(frame, shape, size=(wide, high))))
            pts = next((one for one in left if one > frame.pts), None)
    if not stills:
        raise refused(path, "no picture that can be decoded", "make the clip again")
    return Contact(_laid_out(stills, columns), tuple(second for second, _ in stills), columns)


def _wanted(times: FrameIndex, every_s: float) -> list[int]:
    first, last = int(times.pts[0]), int(times.pts[-1])
    step = max(
        1, int(Fraction(every_s).limit_denominator(1000) / times.base), ceil((last - first) / (MOST - 1))
    )
    return sorted({*(int(times.pts[times.frame_at(at)]) for at in range(first, last + 1, step)), last})


def _laid_out(stills: list[tuple[float, Dots]], columns: int) -> Dots:
    film_parts()
    import cv2

    high, wide = stills[0][1].shape[:2]
    rows = ceil(len(stills) / columns)
    cell = (high + BAND + EDGE, wide + EDGE)
    sheet = np.full((rows * cell[0] + EDGE, columns * cell[1] + EDGE, 3), 255, np.uint8)
    for number, (second, still) in enumerate(stills):
        top, left = number // columns * cell[0] + EDGE, number % columns * cell[1] + EDGE
        sheet[top + BAND : top + BAND + high, left : left + wide] = still
        told = f"{clock(int(second))}.{int(second * 10) % 10}"
        cv2.putText(
            sheet, told, (left, top + BAND - 4), cv2.FONT_HERSHEY_SIMPLEX, 0.42, (20, 20, 20), 1, cv2.LINE_AA
        )
    return sheet
