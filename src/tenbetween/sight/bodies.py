"""Which share of each body can be seen from a place past the other bodies, exact for flat discs.

Of two bodies on one ray the one entered first hides the other. For bodies apart the order of the powers of the
place decides; where two bodies overlap the order may change at a crossing of their outlines, so the shared
angle is cut there and each piece is decided by itself.
"""

from __future__ import annotations

import numpy as np

from tenbetween.sight.bearings import Bearings, Bools, Floats, bearings, covered, wrapped


def visible_shares(places: Floats, bodies: Floats, radius: float) -> Floats:
    """Return the visible share (0 to 1) of each body from each place, shape (P, N).

    A place within a body sees that body and no other.

    >>> row = np.array([[10.0, 0.0], [20.0, 0.0], [20.0, 9.0]])
    >>> visible_shares(np.array([[0.0, 0.0]]), row, 0.9).tolist()
    [[1.0, 0.0, 1.0]]
    """
    if not len(bodies):
        return np.zeros((len(places), 0))
    seen = bearings(places, bodies, radius)
    start, end, hides = _pieces(seen, bodies, radius)
    width = seen.half
    hidden = covered(np.where(hides, start, np.inf), np.where(hides, end, -np.inf), -width, width)
    share = np.clip(1 - hidden / (2 * width), 0.0, 1.0)
    inside = seen.within
    share = np.where(inside.any(-1, keepdims=True), 0.0, share)
    return np.asarray(np.where(inside, 1.0, share), dtype=np.float64)


def _pieces(seen: Bearings, bodies: Floats, radius: float) -> tuple[Floats, Floats, Bools]:
    """Return the pieces of body i's angle that body j shares, from i's middle, and whether j hides i there."""
    turn = wrapped(seen.direction[:, None, :] - seen.direction[:, :, None])
    own, other = seen.half[:, :, None], seen.half[:, None, :]
    low, high = np.maximum(-own, turn - other), np.minimum(own, turn + other)
    cuts, crossing = _crossings(seen, bodies, radius)
    inner = np.clip(np.sort(cuts, axis=-1), low[..., None], np.maximum(low, high)[..., None])
    start = np.concatenate([low[..., None], inner], axis=-1)
    end = np.concatenate([inner, high[..., None]], axis=-1)
    middle = (start + end) / 2
    entered = _entry(seen.distance[:, None, :, None], middle - turn[..., None], radius)
    sooner = entered < _entry(seen.distance[:, :, None, None], middle, radius)
    nearer = (seen.power[:, None, :] < seen.power[:, :, None])[..., None]
    others = ~np.eye(bodies.shape[0], dtype=bool)[None, :, :, None]
    hides = np.where(crossing[None, :, :, None], sooner, nearer) & (end > start) & others
    shape = (*turn.shape[:2], -1)
    return start.reshape(shape), end.reshape(shape), hides.reshape(shape)


def _entry(distance: Floats, off: Floats, radius: float) -> Floats:
    """Return the distance at which a ray, ``off`` from a body's middle, enters it."""
    across = distance * np.sin(off)
    root = np.sqrt(np.maximum(0.0, radius * radius - across * across))
    return np.asarray(distance * np.cos(off) - root, dtype=np.float64)


def _crossings(seen: Bearings, bodies: Floats, radius: float) -> tuple[Floats, Bools]:
    """Return the two directions, from i's middle, in which the outlines of i and j cross, and whether they do."""
    gap = bodies[None, :, :] - bodies[:, None, :]
    length = np.hypot(gap[..., 0], gap[..., 1])
    touching = (length < 2 * radius) & (length > 0)
    safe = np.where(touching, length, 1.0)
    rise = np.sqrt(np.maximum(0.0, radius * radius - safe * safe / 4)) / safe
    found = []
    for sign in (1.0, -1.0):
        x = seen.dx[:, :, None] + gap[..., 0] / 2 - sign * rise * gap[..., 1]
        y = seen.dy[:, :, None] + gap[..., 1] / 2 + sign * rise * gap[..., 0]
        found.append(np.where(touching, wrapped(np.arctan2(y, x) - seen.direction[:, :, None]), 0.0))
    return np.stack(found, axis=-1), touching
