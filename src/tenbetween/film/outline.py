"""The court's lines as a camera sees them: to be drawn over a picture, or looked for in it.

Where the paint lies: beside the edge a rule measures to, not on it. Knows no click and no picture.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import cast

import numpy as np
from numpy.typing import NDArray

from tenbetween.court import Court, curves, lines
from tenbetween.film.camera import Camera, Floats
from tenbetween.situation import PointFt
from tenbetween.units import FOOT

LOOKED_FOR = (
    "_end_line", "_sideline", "division_line", "_lane_line", "_free_throw_line", "_lane_top", "_arc_straight",
)  # fmt: skip
"""Straight lines long enough, and painted surely enough, to be looked for in a picture."""
STEP_FT = 0.5


@dataclass(frozen=True, slots=True)
class Outline:
    """A run of one line of the court in the picture, as fractions of its width and height."""

    name: str
    points: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Paint:
    """Samples along the middle of what is painted, with the way across it."""

    names: tuple[str, ...]
    of: NDArray[np.int64]
    """(n) which name each sample is of."""
    at: Floats
    """(n, 2) feet."""
    along: Floats
    """(n, 2) unit way along the line."""
    width: float
    """Feet."""


def outline(camera: Camera, court: Court, *, step: float = 1.0) -> tuple[Outline, ...]:
    """Return the painted lines of the court as runs of points in the picture, those in view only."""
    found = []
    for name, at in _edges(court, step):
        dots = camera.dots(at)
        seen = in_sight(camera, dots, margin=-0.05 * camera.picture[0])
        for run in _runs(seen):
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


def _edges(court: Court, step: float) -> Iterator[tuple[str, Floats]]:
    for name, (first, last) in lines(court).items():
        if not name.endswith(("_backboard", "_coaching_box")):
            yield name, _between(first, last, step)
    for name, bow in curves(court).items():
        if not name.endswith("_ring"):
            yield name, _bow(bow, float(cast("float", bow["radius"])), step)


def _between(first: PointFt, last: PointFt, step: float) -> Floats:
    away = np.subtract(last, first)
    count = max(2, int(np.ceil(np.hypot(*away) / step)) + 1)
    return np.asarray(first + np.linspace(0, 1, count)[:, None] * away)


def _bow(bow: dict[str, PointFt | float], radius: float, step: float) -> Floats:
    first, last = np.radians([cast("float", bow["from_deg"]), cast("float", bow["to_deg"])])
    count = max(3, int(np.ceil((last - first) * radius / step)) + 1)
    turn = np.linspace(first, last, count)
    return np.asarray(np.asarray(bow["centre"]) + radius * np.column_stack([np.cos(turn), np.sin(turn)]))


# -- paint to look for ----


@lru_cache(maxsize=16)
def paint(court: Court, without: tuple[str, ...] = ()) -> Paint:
    """Return samples every half foot along the middle of the painted lines; ``without`` names lines not to look for.

    Left out are places within half a foot of another line: what is seen there may be either.
    """
    width = court.line_width / FOOT
    runs = [(name, at) for name, at in _middles(court, width / 2) if name not in without]
    at = np.concatenate([one for _, one in runs])
    of = np.concatenate([np.full(len(one), number) for number, (_, one) in enumerate(runs)])
    along = np.concatenate([_ways(one) for _, one in runs])
    apart = np.linalg.norm(at[:, None] - at[None], axis=-1) + 1e3 * (of[:, None] == of[None])
    kept = apart.min(axis=1) > 1.1 * STEP_FT
    return Paint(tuple(name for name, _ in runs), of[kept], at[kept], along[kept], width)


def _ways(at: Floats) -> Floats:
    way = np.gradient(at, axis=0)
    return np.asarray(way / np.linalg.norm(way, axis=1, keepdims=True))


def _middles(court: Court, half: float) -> Iterator[tuple[str, Floats]]:
    for name, (first, last) in lines(court).items():
        if name.endswith(LOOKED_FOR):
            shift = _inward(court, name, first, half)
            yield name, _between(first, last, STEP_FT) + shift
    for name, bow in curves(court).items():
        if name.endswith(("_arc", "centre_circle", "_free_throw_semicircle")):
            yield name, _bow(bow, float(cast("float", bow["radius"])) - half, STEP_FT)


def _inward(court: Court, name: str, first: PointFt, half: float) -> Floats:
    """Return the way from the edge a rule measures to, to the middle of the paint."""
    low = first[1] < court.width / FOOT / 2
    left = first[0] < court.length / FOOT / 2
    if name.endswith("_sideline"):
        return np.array([0.0, -half if low else half])
    if name.endswith("_end_line"):
        return np.array([-half if left else half, 0.0])
    if name.endswith(("_lane_line", "_arc_straight")):
        return np.array([0.0, half if low else -half])
    if name.endswith(("_free_throw_line", "_lane_top")):
        return np.array([-half if left else half, 0.0])
    return np.zeros(2)
