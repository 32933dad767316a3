"""Cuts: where one picture is followed by another that has nothing to do with it. A pan, however fast, is none.

A cut changes colours and brightness at once, stands out of the changes just before and after it, and does not go back
like the flash of a camera. Knows small pictures only.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from tenbetween.film.pictures_small import Glance, Small, open_cv

COLOURS_APART, GREY_APART = 0.22, 11.0
"""Two pictures on both sides of a cut are farther apart in both: colours (0 to 1), mean change of grey (of 255).

The usual 0.35 is for colours that are not shared out to their neighbours, as ours are."""
BESIDE = 4
"""Changes before and after that a cut is held against."""
STANDS_OUT, GREY_STANDS_OUT = 1.8, 1.3
"""A cut's change is so many times the largest beside it, in colours and in grey: a pan changes grey far more."""
IN_PASSING = 0.5
"""Pictures seen in passing are farther apart in time: so much of each measure is enough to look closer."""
BINS = (8, 4, 4)
"""Parts of hue, saturation and brightness."""


class Cut(Struct, frozen=True):
    """A cut proposed: when the first picture after it is shown, in seconds after the first one, and how likely (0 to 1)."""

    t: float
    confidence: float


@dataclass(frozen=True, slots=True)
class Look:
    """What is kept of a picture to compare it: when, its colours, its grey."""

    t: float
    colours: NDArray[np.float32]
    grey: NDArray[np.float32]

    def apart(self, other: Look) -> tuple[float, float]:
        """Return how far apart two pictures are: colours (0 to 1) and grey (of 255)."""
        shared = float(np.sqrt(self.colours * other.colours).sum())
        return float(np.sqrt(max(0.0, 1 - shared))), float(np.abs(self.grey - other.grey).mean())


def look(one: Glance) -> Look:
    """Return what is kept of a small picture, at 64 x 36 dots."""
    cv2 = open_cv()
    small: Small = cv2.resize(one.rgb, (64, 36), interpolation=cv2.INTER_AREA)
    hsv = cv2.cvtColor(small, cv2.COLOR_RGB2HSV)
    found = _shared_out(cv2.calcHist([hsv], [0, 1, 2], None, list(BINS), [0, 180, 0, 256, 0, 256])).ravel()
    grey = cv2.cvtColor(small, cv2.COLOR_RGB2GRAY).astype(np.float32)
    return Look(one.t, (found / max(1.0, float(found.sum()))).astype(np.float32), grey)


def _shared_out(counts: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return counts of which each gives a quarter to either neighbour: an even wall at the edge of a part counts alike."""
    hue = (np.roll(counts, 1, axis=0) + 2 * counts + np.roll(counts, -1, axis=0)) / 4
    for axis in (1, 2):
        wide = np.pad(hue, [(1, 1) if one == axis else (0, 0) for one in range(3)], mode="symmetric")
        low, mid, high = (np.take(wide, range(at, at + hue.shape[axis]), axis=axis) for at in range(3))
        hue = (low + 2 * mid + high) / 4
    return np.asarray(hue, dtype=np.float32)


def cuts(
    looks: Iterable[Look], between: Callable[[float, float], Sequence[Look]] | None = None
) -> Iterator[Cut]:
    """Yield the cuts among pictures in order of time.

    ``between`` returns every picture from one time to another; with it a cut seen in passing is looked at picture by
    picture, and told to the very picture or not at all.
    """
    held: list[Look] = []
    span = 2 * BESIDE + 2
    for one in looks:
        held.append(one)
        held = held[-span:]
        if len(held) == span:
            yield from _cut(held, BESIDE, between)
        elif len(held) > BESIDE + 1:
            yield from _cut(held, len(held) - BESIDE - 2, between)
    for middle in range(max(0, len(held) - BESIDE - 1), len(held) - 1):
        yield from _cut(held, middle, between)


def _cut(
    held: Sequence[Look], middle: int, between: Callable[[float, float], Sequence[Look]] | None
) -> Iterator[Cut]:
    """Yield the cut between two neighbours, if it is one."""
    if not is_cut(held, middle, 1.0 if between is None else IN_PASSING):
        return
    before, after = held[middle], held[middle + 1]
    if between is None:
        yield Cut(after.t, _likely(before, after))
        return
    reach = max(0.4, BESIDE * (after.t - before.t))
    close = between(before.t - reach, after.t + reach)
    for number in range(len(close) - 1):
        if before.t - 1e-3 <= close[number].t < after.t and is_cut(close, number):
            yield Cut(close[number + 1].t, _likely(close[number], close[number + 1]))
            return


def is_cut(looks: Sequence[Look], middle: int, part: float = 1.0) -> bool:
    """Tell whether there is a cut between picture ``middle`` and the next, given the pictures around.

    ``part`` below 1 asks for less of everything.
    """
    colours, grey = looks[middle].apart(looks[middle + 1])
    if colours <= part * COLOURS_APART or grey <= part * GREY_APART:
        return False
    beside = [
        looks[number].apart(looks[number + 1])
        for number in range(max(0, middle - BESIDE), min(len(looks) - 1, middle + BESIDE + 1))
        if number != middle
    ]
    times, grey_times = 1 + (STANDS_OUT - 1) * part, 1 + (GREY_STANDS_OUT - 1) * part
    if any(one[0] * times > colours or one[1] * grey_times > grey for one in beside):
        return False
    return not _goes_back(looks, middle)


def _goes_back(looks: Sequence[Look], middle: int) -> bool:
    """Tell whether soon after the picture is again as it was: the flash of a camera."""
    later = looks[middle + 2 : middle + 2 + BESIDE]
    return any(
        looks[middle].apart(one)[0] < COLOURS_APART and looks[middle].apart(one)[1] < GREY_APART
        for one in later
    )


def _likely(before: Look, after: Look) -> float:
    colours, grey = before.apart(after)
    inner = 1.0 + 6 * (colours - COLOURS_APART) + 0.06 * (grey - GREY_APART)
    return float(1 / (1 + np.exp(-inner)))
