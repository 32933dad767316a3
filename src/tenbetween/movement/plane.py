"""Plane geometry of ways: how near a segment comes to a point, how much of it lies in a convex area.

Points are feet in the court frame. Knows no floor, no player and no running.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, dist, hypot, pi, sin

from tenbetween.situation import PointFt

CORNERS = 16
"""Corners of the polygon laid round a disc; its sides touch the disc, its corners stand 2 % outside."""
JUST = 1e-9
Area = tuple[PointFt, ...]


def nearest(a: PointFt, b: PointFt, p: PointFt) -> float:
    """Return the distance of ``p`` from the segment a-b.

    >>> nearest((0.0, 0.0), (10.0, 0.0), (4.0, 3.0)), nearest((0.0, 0.0), (10.0, 0.0), (13.0, 4.0))
    (3.0, 5.0)
    """
    dx, dy = b[0] - a[0], b[1] - a[1]
    long2 = dx * dx + dy * dy
    if long2 == 0:
        return dist(a, p)
    t = min(1.0, max(0.0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / long2))
    return hypot(a[0] + t * dx - p[0], a[1] + t * dy - p[1])


def clear(a: PointFt, b: PointFt, discs: Sequence[tuple[PointFt, float]]) -> bool:
    """Return whether the segment a-b stays out of every disc; to touch one is to stay out.

    The same as asking ``nearest`` of each, without a root: this is asked thousands of times for one way.

    >>> clear((0.0, 0.0), (10.0, 0.0), [((4.0, 3.0), 3.0)]), clear((0.0, 0.0), (10.0, 0.0), [((4.0, 3.0), 3.1)])
    (True, False)
    """
    dx, dy = b[0] - a[0], b[1] - a[1]
    long2 = dx * dx + dy * dy
    for (x, y), radius in discs:
        if radius <= JUST:
            continue
        px, py = x - a[0], y - a[1]
        along = px * dx + py * dy
        if along <= 0:
            miss2 = px * px + py * py
        elif along >= long2:
            miss2 = (px - dx) ** 2 + (py - dy) ** 2
        else:
            miss2 = (px * dy - py * dx) ** 2 / long2
        if miss2 < (radius - JUST) ** 2:
            return False
    return True


def around(middle: PointFt, radius: float) -> Area:
    """Return the corners of a polygon whose sides touch the circle from outside; the same mirrored either way.

    >>> len(around((0.0, 0.0), 2.0)), round(around((0.0, 0.0), 2.0)[0][0], 3)
    (16, 2.0)
    """
    out = radius / cos(pi / CORNERS)
    turns = [(2 * number + 1) * pi / CORNERS for number in range(CORNERS)]
    return tuple((middle[0] + out * cos(turn), middle[1] + out * sin(turn)) for turn in turns)


def length_in(a: PointFt, b: PointFt, area: Sequence[PointFt]) -> float:
    """Return how many feet of the segment a-b lie inside a convex area, whichever way round it is named.

    >>> square = ((0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0))
    >>> length_in((-3.0, 2.0), (3.0, 2.0), square), length_in((-3.0, 0.0), (9.0, 0.0), square)
    (3.0, 0.0)
    """
    if _apart_in(a, b, area, 0) or _apart_in(a, b, area, 1):
        return 0.0
    sign = 1.0 if _signed(area) > 0 else -1.0
    low, high = 0.0, 1.0
    for p, q in zip(area, (*area[1:], area[0]), strict=True):
        begins, ends = sign * _side(p, q, a), sign * _side(p, q, b)
        if begins <= JUST and ends <= JUST:
            return 0.0
        cut = begins / (begins - ends) if begins != ends else 0.0
        if begins < 0:
            low = max(low, cut)
        elif ends < 0:
            high = min(high, cut)
    return max(0.0, high - low) * dist(a, b)


def _apart_in(a: PointFt, b: PointFt, area: Sequence[PointFt], axis: int) -> bool:
    """Return whether segment and area have nothing in common along an axis: most are told so."""
    marks = [corner[axis] for corner in area]
    return max(a[axis], b[axis]) <= min(marks) or min(a[axis], b[axis]) >= max(marks)


def _side(p: PointFt, q: PointFt, r: PointFt) -> float:
    return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])


def _signed(area: Sequence[PointFt]) -> float:
    return sum(_side((0.0, 0.0), p, q) for p, q in zip(area, (*area[1:], area[0]), strict=True))


def strip(a: PointFt, b: PointFt, half: float) -> Area:
    """Return the rectangle ``half`` feet to either side of the segment a-b; nothing when a is b.

    >>> strip((0.0, 0.0), (10.0, 0.0), 1.5)
    ((0.0, -1.5), (10.0, -1.5), (10.0, 1.5), (0.0, 1.5))
    """
    long = dist(a, b)
    if long == 0:
        return ()
    x, y = half * (b[1] - a[1]) / long, half * (b[0] - a[0]) / long
    return ((a[0] + x, a[1] - y), (b[0] + x, b[1] - y), (b[0] - x, b[1] + y), (a[0] - x, a[1] + y))
