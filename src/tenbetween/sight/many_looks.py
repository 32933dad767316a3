"""The plain look at each matchup from very many places: the same numbers as ``looks``, found sparsely.

Nearly all places see nearly all matchups with nothing in the way, and there neither an angle nor an interval is
needed: signs of cross products, which run straight along and across the floor, tell which places these are. Only
the others, where bodies stand in line, a third body may stand before the space between the two, or the two are
wide apart, are reckoned out. Arrays are (M, P), places of a grid in the order x, y; knows no scene.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import DTypeLike, NDArray

from tenbetween.sight.bearings import Bools, Floats
from tenbetween.sight.looks import Pairs, closeness, falling
from tenbetween.sight.settings import Settings

Reals = NDArray[np.floating[Any]]
Indices = NDArray[np.intp]
SLACK = 2e-3
"""Feet by which a sign test errs towards reckoning out; far above the rounding of 32-bit numbers on any floor."""


class Places(NamedTuple):
    """Places and the bodies as seen from them. A grid keeps its columns (X, 1) and rows (1, Y), P = X Y.

    Places that stand anywhere are one column (P, 1) with a row for each.
    """

    x: Floats
    y: Floats
    dx: Reals
    """Offsets of bodies from columns (N, X) ..."""
    dy: Reals
    """... and from rows (N, Y), exact before they are rounded."""
    distance: Reals
    """(N, P)"""
    within: Bools
    """Places within a body (P)."""

    def spots(self, place: Indices) -> tuple[Indices, Indices]:
        """Return columns and rows of places."""
        return divmod(place, self.y.size) if self.y.shape[0] == 1 else (place, place)


class Lines(NamedTuple):
    """The line of each matchup from attacker to defender: unit vector, length, heights of bodies over it."""

    unit: Floats
    length: Floats
    over: Floats
    """Positive to the left of the line, (M, N)."""


def places_of(x: Floats, y: Floats, bodies: Floats, settings: Settings, dtype: DTypeLike) -> Places:
    """Return the bodies as seen from every place: columns (X, 1) and rows (1, Y), or both (P, 1)."""
    dx = (bodies[:, :1, None] - x).astype(dtype)
    dy = (bodies[:, 1:, None] - y).astype(dtype)
    count = len(bodies)
    distance = np.sqrt(dx * dx + dy * dy).reshape(count, np.broadcast(x, y).size)
    within = (distance <= settings.radius).any(0)
    return Places(x, y, dx.reshape(count, x.size), dy.reshape(count, y.size), distance, within)


def plain_on_grid(
    xs: Floats, ys: Floats, bodies: Floats, pairs: Pairs, settings: Settings, dtype: DTypeLike = np.float64
) -> Reals:
    """Return the look at each matchup with the eyes turned at it, from the grid xs by ys, shape (M, X, Y).

    >>> bodies = np.array([[20.0, 23.0], [20.0, 27.0], [10.0, 25.0]])
    >>> grid = np.array([0.0, 1.0]), np.array([25.0])
    >>> plain_on_grid(*grid, bodies, np.array([[0, 1]]), Settings()).round(3).tolist()
    [[[0.096], [0.045]]]
    """
    places = places_of(xs[:, None], ys[None, :], bodies, settings, dtype)
    return _plain(places, bodies, pairs, settings).reshape(len(pairs), xs.size, ys.size)


def plain_from(places: Floats, bodies: Floats, pairs: Pairs, settings: Settings) -> Floats:
    """Return the look at each matchup with the eyes turned at it, from places (P, 2), shape (M, P).

    >>> bodies = np.array([[20.0, 23.0], [20.0, 27.0], [10.0, 25.0]])
    >>> plain_from(np.array([[0.0, 25.0]]), bodies, np.array([[0, 1]]), Settings()).round(3).tolist()
    [[0.096]]
    """
    stood = places_of(places[:, :1], places[:, 1:], bodies, settings, np.float64)
    return np.asarray(_plain(stood, bodies, pairs, settings), dtype=np.float64)


def _plain(places: Places, bodies: Floats, pairs: Pairs, settings: Settings) -> Reals:
    lines = lines_of(bodies, pairs)
    cross = _crosses(places, bodies, pairs)
    distance = _distances(places, bodies, pairs)
    value = closeness(distance, settings)
    live = _maybe_hidden(places, lines, cross, pairs, settings)
    near = _in_line(places, cross, pairs, settings)
    wide = distance < farthest_wide(lines, settings).astype(distance.dtype)[:, None]
    there = np.flatnonzero(live.any(1) | near | wide)
    value.reshape(-1)[there] *= _reckoned(there, live, places, lines, pairs, settings)
    value[:, places.within] = 0
    value[lines.length == 0] = 0
    return value


def lines_of(bodies: Floats, pairs: Pairs) -> Lines:
    """Return the line of each matchup; of two in one place it has no length and no direction."""
    along = bodies[pairs[:, 1]] - bodies[pairs[:, 0]]
    length = np.hypot(along[:, 0], along[:, 1])
    unit = along / np.where(length > 0, length, 1.0)[:, None]
    offset = bodies[None, :, :] - bodies[pairs[:, 0]][:, None, :]
    return Lines(unit, length, unit[:, :1] * offset[..., 1] - unit[:, 1:] * offset[..., 0])


# -- signs ----------


def _crosses(places: Places, bodies: Floats, pairs: Pairs) -> Reals:
    """Return the cross product of the offsets of the matched bodies (first axes) and of every body, (M, 2, N, P).

    As two offsets from one place it runs straight in x and in y, so that one addition gives it everywhere.
    """
    one, other = bodies[pairs][:, :, None, :, None, None], bodies[None, None, :, :, None, None]
    still = one[:, :, :, 0] * other[:, :, :, 1] - one[:, :, :, 1] * other[:, :, :, 0]
    along_x = still + (one - other)[:, :, :, 1] * places.x
    along_y = (other - one)[:, :, :, 0] * places.y
    dtype = places.dx.dtype
    return (along_x.astype(dtype) + along_y.astype(dtype)).reshape(*pairs.shape, len(bodies), -1)


def _distances(places: Places, bodies: Floats, pairs: Pairs) -> Reals:
    """Return how far the middle between the two of each matchup is, (M, P)."""
    middle = bodies[pairs].mean(1)
    dx = (middle[:, :1, None] - places.x).astype(places.dx.dtype)
    dy = (middle[:, 1:, None] - places.y).astype(places.dx.dtype)
    return np.asarray(np.sqrt(dx * dx + dy * dy).reshape(len(pairs), places.within.size))


def _maybe_hidden(places: Places, lines: Lines, cross: Reals, pairs: Pairs, settings: Settings) -> Bools:
    """Return which bodies may stand before the space between the two, (M, N, P): never too few.

    A disc meets the triangle of place, attacker and defender only if it reaches over each of the three sides.
    """
    live = np.zeros((len(pairs), len(places.dx), places.within.size), dtype=bool)
    reach = (settings.radius + SLACK) * places.distance
    for m, (a, d) in enumerate(pairs.tolist()):
        turn = cross[m, 0, d]
        for k in range(len(places.dx)):
            if k in (a, d):
                continue
            over, far = lines.over[m, k], settings.radius + SLACK
            to_first, to_last = cross[m, 0, k], cross[m, 1, k]
            if over > -far:
                farther = turn > lines.length[m] * max(0.0, over - far) - SLACK
                live[m, k] = farther & (to_first > -reach[a]) & (to_last < reach[d])
            if over < far:
                farther = turn < SLACK - lines.length[m] * max(0.0, -over - far)
                live[m, k] |= farther & (to_first < reach[a]) & (to_last > -reach[d])
    return live


def _in_line(places: Places, cross: Reals, pairs: Pairs, settings: Settings) -> Bools:
    """Return where the two bodies may overlap in view, (M, P): never too few.

    sin w < sin(alpha_a) + sin(alpha_d) wherever w < alpha_a + alpha_d.
    """
    near = np.empty((len(pairs), places.within.size), dtype=bool)
    reach = (settings.radius + SLACK) * places.distance
    for m, (a, d) in enumerate(pairs.tolist()):
        near[m] = np.abs(cross[m, 0, d]) < reach[a] + reach[d]
    return near


def farthest_wide(lines: Lines, settings: Settings) -> Floats:
    """Return how far from its middle each two can be too far apart to be taken in at one look, (M).

    An angle stands on its side along an arc, whose farthest point from the middle of the side is known.
    """
    half = np.radians(min(settings.wide_full, 180.0)) / 2
    return np.asarray(lines.length / 2 * max(1.0, 1 / np.tan(half) if half > 0 else np.inf) + SLACK)


# -- angles ----------


class _Windows(NamedTuple):
    """The space between the two of a matchup from one place each: the body met first turning left, the other."""

    first: tuple[Reals, Reals]
    side: Reals
    """1 where the attacker is the first, -1 where the defender is."""
    apart: Reals


def _reckoned(
    there: Indices, live: Bools, places: Places, lines: Lines, pairs: Pairs, settings: Settings
) -> Reals:
    """Return openness * clear * width at chosen entries (matchup, place), in one flat number each."""
    m, place = np.divmod(there, places.within.size)
    column, row = places.spots(place)
    windows, both = _windows(m, column, row, places, pairs, settings)
    hidden = _hidden(there, live, windows, column, row, places, lines, pairs, settings)
    apart = windows.apart
    width = falling(np.degrees(apart), settings.wide_full, settings.wide_none)
    seen = np.maximum(0.0, apart - hidden) / np.maximum(np.maximum(apart, both), 1e-30)
    return np.asarray(np.where(apart < np.pi - 1e-9, seen * width, 0.0), dtype=apart.dtype)


def _windows(
    m: Indices, column: Indices, row: Indices, places: Places, pairs: Pairs, settings: Settings
) -> tuple[_Windows, Reals]:
    a, d = pairs[m, 0], pairs[m, 1]
    ax, ay, bx, by = places.dx[a, column], places.dy[a, row], places.dx[d, column], places.dy[d, row]
    turn = ax * by - ay * bx
    left = turn >= 0
    apart = np.arctan2(np.abs(turn), ax * bx + ay * by)
    both = _half(ax * ax + ay * ay, settings.radius) + _half(bx * bx + by * by, settings.radius)
    first = np.where(left, ax, bx), np.where(left, ay, by)
    return _Windows(first, np.where(left, 1.0, -1.0).astype(ax.dtype), apart), both


def _half(square: Reals, radius: float) -> Reals:
    return np.asarray(np.arcsin(np.minimum(1.0, radius / np.sqrt(np.maximum(square, 1e-24)))))


def _hidden(
    there: Indices,
    live: Bools,
    windows: _Windows,
    column: Indices,
    row: Indices,
    places: Places,
    lines: Lines,
    pairs: Pairs,
    settings: Settings,
) -> Reals:
    """Return the angle of each window behind third bodies."""
    size = places.within.size
    # In the order of the entries, body after body within each, so that those of one window stand together.
    chosen = live.transpose(0, 2, 1).reshape(-1, live.shape[1])[there]
    entry, k = np.divmod(np.flatnonzero(chosen), live.shape[1])
    m = there[entry] // size
    x, y = places.dx[k, column[entry]], places.dy[k, row[entry]]
    fx, fy = windows.first[0][entry], windows.first[1][entry]
    centre = np.arctan2(fx * y - fy * x, fx * x + fy * y)
    centre = np.where(centre < -np.pi / 2, centre + 2 * np.pi, centre).astype(x.dtype)
    half = _half(x * x + y * y, settings.radius)
    start, end = centre - half, centre + half
    _cut_at_line(start, end, m, k, (x, y), (fx, fy), windows.side[entry], lines, settings.radius)
    start, end = np.maximum(start, 0), np.minimum(end, windows.apart[entry])
    kept = np.flatnonzero(end > start)
    return _union(entry[kept], start[kept], end[kept], len(there))


def _cut_at_line(
    start: Reals,
    end: Reals,
    m: Indices,
    k: Indices,
    offset: tuple[Reals, Reals],
    first: tuple[Reals, Reals],
    side: Reals,
    lines: Lines,
    radius: float,
) -> None:
    """Move the ends of bodies that stand across the line to the crossing, where their tangent touches beyond it."""
    over = lines.over[m, k]
    across = np.flatnonzero(np.abs(over) < radius)
    if not across.size:
        return
    m, side, over = m[across], side[across], over[across]
    (x, y), (fx, fy) = ((one[0][across], one[1][across]) for one in (offset, first))
    # Left along the line for whoever looks at it, and towards him.
    left_x, left_y = side * lines.unit[m, 0].astype(x.dtype), side * lines.unit[m, 1].astype(x.dtype)
    to_x, to_y = -left_y, left_x
    height, centre = (side * over).astype(x.dtype), (start[across] + end[across]) / 2
    crossing = np.sqrt(np.maximum(0.0, radius * radius - over * over)).astype(x.dtype)
    up = -(fx * to_x + fy * to_y)
    square = np.maximum(x * x + y * y, 1e-24)
    reach = np.sqrt(np.maximum(square - radius * radius, 0.0))
    scale = reach / square
    for sign, ends in ((-1, start), (1, end)):
        touch_x, touch_y = scale * (x * reach - sign * y * radius), scale * (y * reach + sign * x * radius)
        beyond = np.flatnonzero(up + touch_x * to_x + touch_y * to_y < 0)
        qx = (x - height * to_x + sign * crossing * left_x)[beyond]
        qy = (y - height * to_y + sign * crossing * left_y)[beyond]
        gx, gy = fx[beyond], fy[beyond]
        turned = np.arctan2(gx * qy - gy * qx, gx * qx + gy * qy)
        # Within a right angle of the middle of the body, whichever way round that was counted.
        ends[across[beyond]] = np.where(turned < centre[beyond] - np.pi, turned + 2 * np.pi, turned)


def _union(entry: Indices, start: Reals, end: Reals, count: int) -> Reals:
    """Return the length of the union of the intervals of each entry; those of one entry stand together."""
    many = np.bincount(entry, minlength=count)
    begins = np.cumsum(many) - many
    total = np.zeros(count, dtype=start.dtype)
    one = np.flatnonzero(many == 1)
    at = begins[one]
    total[one] = end[at] - start[at]
    two = np.flatnonzero(many == 2)
    at = begins[two]
    shared = np.minimum(end[at], end[at + 1]) - np.maximum(start[at], start[at + 1])
    total[two] = end[at] - start[at] + end[at + 1] - start[at + 1] - np.maximum(shared, 0)
    for size in range(3, int(many.max(initial=0)) + 1):
        more = np.flatnonzero(many == size)
        if more.size:
            at = begins[more][:, None] + np.arange(size)
            total[more] = _swept(start[at], end[at])
    return total


def _swept(start: Reals, end: Reals) -> Reals:
    order = np.argsort(start, axis=-1)
    start, end = np.take_along_axis(start, order, -1), np.take_along_axis(end, order, -1)
    reach = np.maximum.accumulate(end, axis=-1)
    rest = end[:, 1:] - np.maximum(start[:, 1:], reach[:, :-1])
    return np.asarray(end[:, 0] - start[:, 0] + np.maximum(rest, 0).sum(-1))
