"""Directions, half widths and the length of a union of angles: the arithmetic of the sight room, in numpy.

Arrays run over places (P), players (N), matchups (M); radians inside, feet for lengths. Knows no scene.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
TAU = 2 * np.pi


class Bearings(NamedTuple):
    """How bodies stand in view of each place: offsets, distance, direction, half width, power (P, N)."""

    dx: Floats
    dy: Floats
    distance: Floats
    direction: Floats
    half: Floats
    """Half the angle a body takes up: asin(r / d); a right angle where the place lies within the body."""
    power: Floats
    """Squared distance less squared radius: not above zero within the body."""

    @property
    def within(self) -> Bools:
        """True where the place lies within the body."""
        return self.power <= 0


def wrapped(angle: Floats) -> Floats:
    """Return angles in [-pi, pi].

    >>> float(wrapped(np.array(4 * np.pi + 1)).round(9))
    1.0
    """
    return np.asarray(angle - TAU * np.rint(angle / TAU), dtype=np.float64)


def bearings(places: Floats, bodies: Floats, radius: float) -> Bearings:
    """Return how bodies of a radius (ft) stand in view of each place (ft).

    >>> float(np.degrees(bearings(np.array([[0.0, 0.0]]), np.array([[1.8, 0.0]]), 0.9).half[0, 0]).round(6))
    30.0
    """
    offset = bodies[None, :, :] - places[:, None, :]
    dx, dy = offset[..., 0], offset[..., 1]
    distance = np.hypot(dx, dy)
    half = np.arcsin(np.minimum(1.0, radius / np.maximum(distance, 1e-12)))
    return Bearings(dx, dy, distance, np.arctan2(dy, dx), half, (distance - radius) * (distance + radius))


def covered(start: Floats, end: Floats, low: Floats, high: Floats) -> Floats:
    """Return how much of [low, high] a union of intervals along the last axis covers; turned ones are empty.

    >>> ends = np.array([0.0, 1.0, 5.0]), np.array([2.0, 3.0, 4.0])
    >>> float(covered(*ends, np.array(0.5), np.array(9.0)))
    2.5
    """
    low, high = np.broadcast_arrays(low, high)
    total = np.zeros(np.broadcast_shapes(low.shape, start.shape[:-1]))
    # Most windows have nobody before them: only the others are sorted.
    live = ((end > low[..., None]) & (start < high[..., None]) & (end > start)).any(-1)
    if live.any():
        total[live] = _union(start[live], end[live], low[live][..., None], high[live][..., None])
    return total


def _union(start: Floats, end: Floats, low: Floats, high: Floats) -> Floats:
    first = np.clip(start, low, np.maximum(low, high))
    last = np.maximum(first, np.minimum(end, high))
    order = np.argsort(first, axis=-1)
    first, last = np.take_along_axis(first, order, -1), np.take_along_axis(last, order, -1)
    reach = np.maximum.accumulate(last, axis=-1)
    so_far = np.concatenate([low, reach[..., :-1]], axis=-1)
    return np.asarray(np.maximum(0.0, last - np.maximum(first, so_far)).sum(-1), dtype=np.float64)
