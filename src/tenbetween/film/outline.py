"""The court's lines as a camera sees them: runs of points to be drawn over a picture, samples to be looked for in it.

Where the paint lies is said in ``painted``. Knows no click and no picture.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from tenbetween.court import Court
from tenbetween.film.camera import Camera, Floats
from tenbetween.film.painted import Paint, paint_of

ALONE_FT = 0.55
"""Nearer to another line than this, what is seen may be either."""


@dataclass(frozen=True, slots=True)
class Outline:
    """A run of one line of the court in the picture, as fractions of its width and height."""

    name: str
    points: tuple[tuple[float, float], ...]


def outline(camera: Camera, court: Court, *, step: float = 1.0) -> tuple[Outline, ...]:
    """Return the painted lines of the court as runs of points in the picture, those in view only."""
    paint = paint_of(court, step=step)
    found = []
    for number, name in enumerate(paint.names):
        dots = camera.dots(paint.places[paint.line == number])
        for run in _runs(in_sight(camera, dots, margin=-0.05 * camera.picture[0])):
            shown = (dots[run] + 0.5) / np.asarray(camera.picture, float)
            found.append(Outline(name, tuple((float(u), float(v)) for u, v in shown)))
    return tuple(found)


def in_sight(camera: Camera, dots: Floats, margin: float = 0.0) -> NDArray[np.bool_]:
    """Tell which dots lie in the picture, ``margin`` dots within its edges (or outside, when negative)."""
    wide, high = camera.picture
    with np.errstate(invalid="ignore"):
        return (
            (dots >= margin).all(axis=1)
            & (dots[:, 0] <= wide - 1 - margin)
            & (dots[:, 1] <= high - 1 - margin)
        )


def _runs(seen: NDArray[np.bool_]) -> Iterator[slice]:
    """Yield the runs of samples that follow one another in view, of two at least."""
    ends = np.flatnonzero(np.diff(np.concatenate([[False], seen, [False]]).astype(int)))
    for first, last in zip(ends[::2], ends[1::2], strict=True):
        if last - first > 1:
            yield slice(int(first), int(last))


@lru_cache(maxsize=16)
def paint_alone(court: Court, without: frozenset[str] = frozenset()) -> Paint:
    """Return the samples of paint that no other line runs close to; ``without`` names lines not to look for.

    >>> from tenbetween.court import court_of
    >>> court = court_of("us-hs")
    >>> len(paint_alone(court).places) < len(paint_of(court).places)
    True
    """
    every = paint_of(court, without)
    if not len(every.places):
        return every
    apart = np.linalg.norm(every.places[:, None] - every.places[None], axis=-1)
    other = np.where(every.line[:, None] == every.line[None], np.inf, apart)
    kept = other.min(axis=1) > ALONE_FT
    return Paint(every.places[kept], every.along[kept], every.line[kept], every.names, every.width)
