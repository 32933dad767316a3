"""The plain look from every place of a grid by compiled loops: what ``many_looks`` finds, several times as fast.

Needs numba (the extra ``fast``), and to import this without it is an ImportError. Row by row of the grid the signs
are taken for all places at once, then only the places with something in the way or in line are reckoned out. Angles
come from a polynomial whose error is below 1e-14.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple, TypeVar, cast

import numba
import numpy as np
from numpy.typing import NDArray

from tenbetween.sight.bearings import Floats
from tenbetween.sight.looks import Pairs
from tenbetween.sight.many_looks import SLACK, lines_of
from tenbetween.sight.settings import Settings

Made = TypeVar("Made", bound=Callable[..., Any])
Masks = NDArray[np.int64]
MOST = 60
"""Bodies at most: each is one bit of a mask."""
SECOND = np.sqrt(2) - 1


def _compiled(plain: Made) -> Made:
    """Compile a function; numba has no types of its own, so the plain function's stand for it."""
    try:
        return cast("Made", numba.njit(cache=True, error_model="numpy")(plain))
    except RuntimeError:  # nowhere to keep what was compiled: compile it each time
        return cast("Made", numba.njit(error_model="numpy")(plain))


def _terms() -> tuple[float, ...]:
    """Return the polynomial in z^2 for atan(z) / z, z up to tan 22.5 deg, lowest term first."""
    span = [0.0, float(SECOND**2)]
    nodes = np.polynomial.chebyshev.chebpts1(12) * span[1] / 2 + span[1] / 2
    fit = np.polynomial.Chebyshev.fit(nodes, np.arctan(np.sqrt(nodes)) / np.sqrt(nodes), 11, domain=span)
    return tuple(float(one) for one in fit.convert(kind=np.polynomial.Polynomial).coef)


T0, T1, T2, T3, T4, T5, T6, T7, T8, T9, T10, T11 = _terms()


class Rules(NamedTuple):
    """The settings the loops need; radians for angles. No contact: two numbers that change nothing."""

    radius: float
    near_none: float
    near_full: float
    far_begins: float
    far_half: float
    contact_begins: float
    contact_half: float
    wide_full: float
    wide_none: float


@_compiled
def _angle(y: float, x: float) -> float:
    """Return atan2(y, x) for y not below zero."""
    long, short = max(abs(x), y), min(abs(x), y)
    bend = short > SECOND * long
    z = (short - long) / (short + long) if bend else short / max(long, 1e-300)
    u = z * z
    low = T0 + u * (T1 + u * (T2 + u * (T3 + u * (T4 + u * T5))))
    high = T6 + u * (T7 + u * (T8 + u * (T9 + u * (T10 + u * T11))))
    u3 = u * u * u
    found = z * (low + u3 * u3 * high)
    if bend:
        found += np.pi / 4
    if y > abs(x):
        found = np.pi / 2 - found
    return np.pi - found if x < 0 else found


@_compiled
def _centre(fx: float, fy: float, x: float, y: float) -> float:
    """Return the turn from one offset to another, from -90 up to 270 degrees."""
    cross, dot = fx * y - fy * x, fx * x + fy * y
    turn = _angle(abs(cross), dot)
    if cross >= 0:
        return turn
    return 2 * np.pi - turn if turn > np.pi / 2 else -turn


@_compiled
def _cut(
    start: float, end: float, x: float, y: float, fx: float, fy: float, lx: float, ly: float, over: float, r: float
) -> tuple[float, float]:  # fmt: skip
    """Return the ends of a body across the line, (lx, ly) being left along it for whoever looks at it."""
    tx, ty, middle = -ly, lx, (start + end) / 2
    crossing = np.sqrt(max(0.0, r * r - over * over))
    up = -(fx * tx + fy * ty)
    square = max(x * x + y * y, 1e-24)
    reach = np.sqrt(max(square - r * r, 0.0))
    scale = reach / square
    for sign in (-1.0, 1.0):
        px, py = scale * (x * reach - sign * y * r), scale * (y * reach + sign * x * r)
        if up + px * tx + py * ty < 0:
            turn = _centre(x, y, x - over * tx + sign * crossing * lx, y - over * ty + sign * crossing * ly)
            if sign < 0:
                start = middle + turn
            else:
                end = middle + turn
    return start, end


@_compiled
def _union(start: Floats, end: Floats) -> float:
    """Return the length of the union of intervals, putting them in order."""
    count = start.size
    for i in range(1, count):
        first, last, j = start[i], end[i], i - 1
        while j >= 0 and start[j] > first:
            start[j + 1], end[j + 1] = start[j], end[j]
            j -= 1
        start[j + 1], end[j + 1] = first, last
    total, reach = 0.0, 0.0
    for i in range(count):
        if end[i] > reach:
            total += end[i] - max(start[i], reach)
            reach = end[i]
    return total


@_compiled
def _row_closeness(x: float, ys: Floats, middle: Floats, rules: Rules, out: Floats) -> None:
    """Write the part of distance for a row of places."""
    beyond, contact = rules.far_half - rules.far_begins, rules.contact_half - rules.contact_begins
    for j in range(ys.size):
        distance = np.sqrt((middle[0] - x) ** 2 + (middle[1] - ys[j]) ** 2)
        near = min(1.0, max(0.0, (rules.near_full - distance) / (rules.near_full - rules.near_none)))
        far = max(0.0, (distance - rules.far_begins) / beyond)
        close = max(0.0, (distance - rules.contact_begins) / contact)
        out[j] = (1 - near) / ((1 + far * far) * (1 + close * close))


@_compiled
def _row_reach(x: float, ys: Floats, bodies: Floats, radius: float, reach: Floats, inside: Masks) -> None:
    """Write the distance of every body times the radius for a row of places, and which places lie in a body."""
    wider = radius + SLACK
    inside[:] = 0
    for k in range(len(bodies)):
        across = (bodies[k, 0] - x) ** 2
        for j in range(ys.size):
            distance = np.sqrt(across + (bodies[k, 1] - ys[j]) ** 2)
            reach[k, j] = wider * distance
            inside[j] |= np.int64(distance <= radius)


@_compiled
def _row_turns(
    x: float, ys: Floats, a: Floats, d: Floats, radius: float, turn: Floats, apart: Floats, both: Floats
) -> None:
    """Write for a row of places the cross product of the two, the angle between them, and their half widths added."""
    ax, dx = a[0] - x, d[0] - x
    for j in range(ys.size):
        ay, dy = a[1] - ys[j], d[1] - ys[j]
        turn[j] = ax * dy - ay * dx
        apart[j] = _angle(abs(turn[j]), ax * dx + ay * dy)
        long = np.sqrt(max(ax * ax + ay * ay - radius * radius, 0.0))
        other = np.sqrt(max(dx * dx + dy * dy - radius * radius, 0.0))
        both[j] = _angle(radius * (long + other), long * other - radius * radius)


@_compiled
def _row_before(
    x: float, ys: Floats, a: Floats, d: Floats, body: Floats, reach_a: Floats, reach_d: Floats, turn: Floats,
    farther: tuple[float, float], bit: int, mask: Masks,
) -> None:  # fmt: skip
    """Set the bit of a body where it may stand before the space between the two: signs as in ``many_looks``."""
    to_a, along_a = a[0] * body[1] - a[1] * body[0] + (a[1] - body[1]) * x, body[0] - a[0]
    to_d, along_d = d[0] * body[1] - d[1] * body[0] + (d[1] - body[1]) * x, body[0] - d[0]
    for j in range(ys.size):
        first, last = to_a + along_a * ys[j], to_d + along_d * ys[j]
        left = (turn[j] > farther[0]) & (first > -reach_a[j]) & (last < reach_d[j])
        right = (turn[j] < farther[1]) & (first < reach_a[j]) & (last > -reach_d[j])
        mask[j] |= np.int64(left | right) << bit


@_compiled
def _farther(over: float, length: float, radius: float) -> tuple[float, float]:
    """Return beyond which cross products, left and right of the line, a body can stand before it."""
    far = radius + SLACK
    left = length * max(0.0, over - far) - SLACK if over > -far else np.inf
    right = SLACK - length * max(0.0, -over - far) if over < far else -np.inf
    return left, right


@_compiled
def _row_live(mask: Masks, bodies: int, at: Masks, body: Masks) -> int:
    """Write which places of the row have which bodies to reckon out, those of one place together; return how many."""
    count = 0
    for j in range(mask.size):
        rest, k = mask[j], 0
        while rest:
            if rest & 1:
                at[count], body[count] = j, k
                count += 1
            rest >>= 1
            k += 1
    return count


@_compiled
def _row_intervals(
    x: float, ys: Floats, a: Floats, d: Floats, bodies: Floats, radius: float, turn: Floats, live: tuple[Masks, Masks],
    count: int, ends: Floats,
) -> None:  # fmt: skip
    """Write where each body to reckon out starts and ends, from the one of the two first met turning left."""
    at, body = live
    for i in range(count):
        y, to_x = ys[at[i]], bodies[body[i], 0] - x
        to_y, left = bodies[body[i], 1] - y, turn[at[i]] >= 0
        fx, fy = (a[0] if left else d[0]) - x, (a[1] if left else d[1]) - y
        centre = _centre(fx, fy, to_x, to_y)
        half = _angle(radius, np.sqrt(max(to_x * to_x + to_y * to_y - radius * radius, 0.0)))
        ends[0, i], ends[1, i] = centre - half, centre + half


@_compiled
def _cut_row(
    x: float, ys: Floats, a: Floats, d: Floats, bodies: Floats, unit: Floats, over: Floats, radius: float,
    turn: Floats, live: tuple[Masks, Masks], count: int, ends: Floats,
) -> None:  # fmt: skip
    """Cut the bodies that stand across the line."""
    at, body = live
    for i in range(count):
        k = body[i]
        if abs(over[k]) < radius:
            y, left = ys[at[i]], turn[at[i]] >= 0
            side, one = (1.0, a) if left else (-1.0, d)
            ends[0, i], ends[1, i] = _cut(
                ends[0, i], ends[1, i], bodies[k, 0] - x, bodies[k, 1] - y, one[0] - x, one[1] - y,
                side * unit[0], side * unit[1], side * over[k], radius,
            )  # fmt: skip


@_compiled
def _row_hidden(at: Masks, count: int, apart: Floats, ends: Floats) -> None:
    """Take from each angle of the row what its bodies hide."""
    i = 0
    while i < count:
        j, first, kept = at[i], i, i
        while i < count and at[i] == j:
            start, end = max(ends[0, i], 0.0), min(ends[1, i], apart[j])
            if end > start:
                ends[0, kept], ends[1, kept] = start, end
                kept += 1
            i += 1
        if kept > first:
            apart[j] -= _union(ends[0, first:kept], ends[1, first:kept])


@_compiled
def _all_rows(
    xs: Floats, ys: Floats, bodies: Floats, pairs: Pairs, unit: Floats, length: Floats, over: Floats,
    rules: Rules, out: Floats,
) -> None:  # fmt: skip
    n, size = len(bodies), ys.size
    # Each an array of its own: rows of one array are slower.
    turn, apart, both, seen = np.empty(size), np.empty(size), np.empty(size), np.empty(size)
    reach, ends = np.empty((n, size)), np.empty((2, n * size + 1))
    inside, mask = np.empty(size, np.int64), np.empty(size, np.int64)
    live = np.empty(n * size + 1, np.int64), np.empty(n * size + 1, np.int64)
    for i in range(xs.size):
        x, r = xs[i], rules.radius
        _row_reach(x, ys, bodies, r, reach, inside)
        for m in range(len(pairs)):
            a, d = pairs[m]
            one, other = bodies[a], bodies[d]
            _row_turns(x, ys, one, other, r, turn, apart, both)
            mask[:] = 0
            for k in range(n):
                if k not in (a, d):
                    least = _farther(over[m, k], length[m], r)
                    _row_before(x, ys, one, other, bodies[k], reach[a], reach[d], turn, least, k, mask)
            seen[:] = apart
            count = _row_live(mask, n, live[0], live[1])
            if count:
                _row_intervals(x, ys, one, other, bodies, r, turn, live, count, ends)
                _cut_row(x, ys, one, other, bodies, unit[m], over[m], r, turn, live, count, ends)
                _row_hidden(live[0], count, seen, ends)
            _row_closeness(x, ys, (one + other) / 2, rules, out[m, i])
            _row_value(seen, apart, both, inside, length[m] > 0, rules, out[m, i])


@_compiled
def _row_value(
    seen: Floats, apart: Floats, both: Floats, inside: Masks, two: bool, rules: Rules, out: Floats
) -> None:
    """Put the parts together; the row holds the part of distance."""
    fading = rules.wide_none - rules.wide_full
    for j in range(apart.size):
        width = min(1.0, max(0.0, (rules.wide_none - apart[j]) / fading))
        ok = two & (inside[j] == 0) & (apart[j] < np.pi - 1e-9)
        out[j] *= max(0.0, seen[j]) / max(apart[j], both[j], 1e-30) * width if ok else 0.0


@_compiled
def _all_frames(bodies: Floats, officials: Floats, pairs: Pairs, rules: Rules, out: Floats) -> None:
    """Write the looks of both officials in every frame, each where he stands then."""
    n, many = bodies.shape[1], len(pairs)
    unit, length, over = np.empty((many, 2)), np.empty(many), np.empty((many, n))
    xs, ys, one = np.empty(1), np.empty(1), np.empty((many, 1, 1))
    for f in range(len(bodies)):
        for m in range(many):
            a, d = bodies[f, pairs[m, 0]], bodies[f, pairs[m, 1]]
            length[m] = np.hypot(d[0] - a[0], d[1] - a[1])
            long = length[m] if length[m] > 0 else 1.0
            unit[m, 0], unit[m, 1] = (d[0] - a[0]) / long, (d[1] - a[1]) / long
            for k in range(n):
                x, y = bodies[f, k, 0] - a[0], bodies[f, k, 1] - a[1]
                over[m, k] = unit[m, 0] * y - unit[m, 1] * x
        for who in range(2):
            xs[0], ys[0] = officials[f, who, 0], officials[f, who, 1]
            _all_rows(xs, ys, bodies[f], pairs, unit, length, over, rules, one)
            for m in range(many):
                out[f, who, m] = one[m, 0, 0]


def plain_through(bodies: Floats, officials: Floats, pairs: Pairs, settings: Settings) -> Floats:
    """Return the plain look of lead and trail at each matchup in every frame, shape (F, 2, M); feet.

    >>> bodies = np.array([[[20.0, 23.0], [20.0, 27.0]], [[20.0, 23.0], [23.0, 23.0]]])
    >>> officials = np.array([[[0.0, 25.0], [40.0, 25.0]]] * 2)
    >>> plain_through(bodies, officials, np.array([[0, 1]]), Settings()).round(2).tolist()
    [[[1.0], [1.0]], [[0.15], [0.18]]]

    Raises:
        ValueError: more than sixty bodies.
    """
    if bodies.shape[1] > MOST:
        raise ValueError(f"{bodies.shape[1]} bodies; at most {MOST}")
    out = np.empty((len(bodies), 2, len(pairs)))
    whole = np.ascontiguousarray(bodies, dtype=np.float64)
    _all_frames(whole, np.ascontiguousarray(officials, dtype=np.float64), pairs, _rules(settings), out)
    return out


def _rules(settings: Settings) -> Rules:
    none = settings.contact_begins is None or settings.contact_half is None
    return Rules(
        settings.radius,
        settings.near_none,
        settings.near_full,
        settings.far_begins,
        settings.far_half,
        1e300 if none else float(settings.contact_begins or 0.0),
        2e300 if none else float(settings.contact_half or 0.0),
        float(np.radians(settings.wide_full)),
        float(np.radians(settings.wide_none)),
    )


def plain_on_grid(xs: Floats, ys: Floats, bodies: Floats, pairs: Pairs, settings: Settings) -> Floats:
    """Return the look at each matchup with the eyes turned at it, from the grid xs by ys, shape (M, X, Y).

    >>> bodies = np.array([[20.0, 23.0], [20.0, 27.0], [10.0, 25.0]])
    >>> grid = np.array([0.0, 1.0]), np.array([25.0])
    >>> plain_on_grid(*grid, bodies, np.array([[0, 1]]), Settings()).round(3).tolist()
    [[[0.096], [0.045]]]

    Raises:
        ValueError: more than sixty bodies.
    """
    if len(bodies) > MOST:
        raise ValueError(f"{len(bodies)} bodies; at most {MOST}")
    lines = lines_of(bodies, pairs)
    out = np.empty((len(pairs), xs.size, ys.size))
    _all_rows(xs, ys, bodies, pairs, lines.unit, lines.length, lines.over, _rules(settings), out)
    return out
