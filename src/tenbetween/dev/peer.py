"""Openness, and the share of each window no third body hides, by polygons of an independent library: plain and slow.

The triangle from a place to the two players is cut with every other body, what is left of each is turned into an
angle, and the angles are united; all of it in arrays, as that library does it fastest. Only the bench uses it.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
ROUND = 128
"""Pieces of a quarter circle: with so many it is as exact as 100,000 rays (3e-5); with 16 it errs by a thousandth."""


def clear_by_polygons(
    places: Floats, bodies: Floats, pairs: Sequence[tuple[int, int]], radius: float
) -> Floats:
    """Return clear (0 to 1) from each place (P, 2) for each pair of bodies, shape (P, M); feet.

    >>> places, bodies = np.array([[0.0, 0.0]]), np.array([[20.0, -3.0], [20.0, 3.0], [10.0, 0.0]])
    >>> float(clear_by_polygons(places, bodies, [(0, 1)], 0.9).round(2)[0, 0])
    0.39
    """
    import shapely

    a, d = bodies[[one for one, _ in pairs]], bodies[[one for _, one in pairs]]
    corners = np.empty((len(places), len(pairs), 4, 2))
    corners[:, :, 0] = corners[:, :, 3] = places[:, None]
    corners[:, :, 1], corners[:, :, 2] = a[None], d[None]
    triangles = shapely.polygons(corners)
    discs = shapely.buffer(shapely.points(bodies), radius, quad_segs=ROUND)
    others = np.array([[k for k in range(len(bodies)) if k not in pair] for pair in pairs])
    near = shapely.intersection(triangles[:, :, None], discs[others][None])
    low = np.arctan2(a[None, :, 1] - places[:, None, 1], a[None, :, 0] - places[:, None, 0])
    high = np.arctan2(d[None, :, 1] - places[:, None, 1], d[None, :, 0] - places[:, None, 0])
    turn = _wrapped(high - low)
    spans = _spans(near, places, low, np.sign(turn))
    hidden = shapely.length(shapely.union_all(spans, axis=-1))
    return np.asarray(1 - hidden / np.maximum(np.abs(turn), 1e-12), dtype=np.float64)


def openness_by_polygons(
    places: Floats, bodies: Floats, pairs: Sequence[tuple[int, int]], radius: float
) -> Floats:
    """Return openness (0 to 1) from each place (P, 2) for each pair of bodies, shape (P, M); feet.

    The width of a body is the angle between its outermost corners.

    >>> places, bodies = np.array([[0.0, 0.0]]), np.array([[20.0, 0.0], [20.0, 0.9]])
    >>> float(openness_by_polygons(places, bodies, [(0, 1)], 0.9).round(2)[0, 0])
    0.5
    """
    import shapely

    discs = shapely.buffer(shapely.points(bodies), radius, quad_segs=ROUND)
    corners, index = shapely.get_coordinates(discs, return_index=True)
    middle = np.arctan2(bodies[None, :, 1] - places[:, None, 1], bodies[None, :, 0] - places[:, None, 0])
    seen = np.arctan2(corners[None, :, 1] - places[:, None, 1], corners[None, :, 0] - places[:, None, 0])
    off = _wrapped(seen - middle[:, index])
    begins = np.searchsorted(index, np.arange(len(bodies)))
    wide = np.maximum.reduceat(off, begins, axis=1) - np.minimum.reduceat(off, begins, axis=1)
    a, d = [one for one, _ in pairs], [one for _, one in pairs]
    turn = np.abs(_wrapped(middle[:, d] - middle[:, a]))
    return np.asarray(np.minimum(1.0, 2 * turn / (wide[:, a] + wide[:, d])), dtype=np.float64)


def _wrapped(angle: Floats) -> Floats:
    return np.asarray(angle - 2 * np.pi * np.rint(angle / (2 * np.pi)), dtype=np.float64)


def _spans(near: NDArray[np.object_], places: Floats, low: Floats, sign: Floats) -> NDArray[np.object_]:
    """Return the angles of each cut body as a line from its least to its greatest, empty where nothing is cut."""
    import shapely

    points, index = shapely.get_coordinates(near.ravel(), return_index=True)
    place, pair, _ = np.unravel_index(index, near.shape)
    seen = np.arctan2(points[:, 1] - places[place, 1], points[:, 0] - places[place, 0])
    turned = _wrapped(seen - low[place, pair]) * sign[place, pair]
    first, last = np.full(near.size, np.inf), np.full(near.size, -np.inf)
    np.minimum.at(first, index, turned)
    np.maximum.at(last, index, turned)
    spans = np.full(near.size, shapely.LineString(), dtype=object)
    there = last > first
    ends = np.zeros((int(there.sum()), 2, 2))
    ends[:, 0, 0], ends[:, 1, 0] = first[there], last[there]
    spans[there] = shapely.linestrings(ends)
    return spans.reshape(near.shape)
