"""A plain second opinion about one look and one body, in scalars, written from the definitions.

Intervals are cut at every end and each piece is decided in its middle by shooting a ray: no unions, no tangents.
"""

from __future__ import annotations

from itertools import pairwise
from math import acos, asin, atan2, cos, degrees, hypot, inf, pi, sin, sqrt

Point = tuple[float, float]


def wrap(angle: float) -> float:
    return (angle + pi) % (2 * pi) - pi


def enters(at: Point, turn: float, body: Point, r: float) -> float:
    """Return the distance at which a ray meets a body, infinite when it does not."""
    dx, dy = body[0] - at[0], body[1] - at[1]
    along, across = dx * cos(turn) + dy * sin(turn), dx * sin(turn) - dy * cos(turn)
    if abs(across) >= r or along <= 0:
        return inf
    return along - sqrt(r * r - across * across)


def ends(at: Point, body: Point, r: float) -> tuple[float, float]:
    d = hypot(body[0] - at[0], body[1] - at[1])
    phi, alpha = atan2(body[1] - at[1], body[0] - at[0]), asin(r / d)
    return phi - alpha, phi + alpha


def crossings(a: Point, b: Point, r: float) -> list[Point]:
    gap = hypot(b[0] - a[0], b[1] - a[1])
    if not 0 < gap < 2 * r:
        return []
    base, half = atan2(b[1] - a[1], b[0] - a[0]), acos(gap / 2 / r)
    return [(a[0] + r * cos(base + s * half), a[1] + r * sin(base + s * half)) for s in (1, -1)]


def pieces(low: float, high: float, cuts: list[float]) -> list[tuple[float, float]]:
    inner = sorted(low + (cut - low) % (2 * pi) for cut in cuts)
    marks = [low, *(cut for cut in inner if low < cut < high), high]
    return list(pairwise(marks))


def share(at: Point, i: int, bodies: list[Point], r: float) -> float:
    """Return the visible share of body i; a place within a body sees only that."""
    within = [hypot(x - at[0], y - at[1]) <= r for x, y in bodies]
    if any(within):
        return 1.0 if within[i] else 0.0
    low, high = ends(at, bodies[i], r)
    others = [body for j, body in enumerate(bodies) if j != i]
    cuts = [end for body in others for end in ends(at, body, r)]
    cuts += [atan2(y - at[1], x - at[0]) for body in others for x, y in crossings(bodies[i], body, r)]
    seen = 0.0
    for start, end in pieces(low, high, cuts):
        turn = (start + end) / 2
        mine = enters(at, turn, bodies[i], r)
        seen += (end - start) * all(mine <= enters(at, turn, body, r) for body in others)
    return seen / (high - low)


def window(at: Point, a: Point, d: Point, others: list[Point], r: float) -> tuple[float, float]:
    """Return clear, and the gap in radians, of the space between two bodies."""
    phi_a, phi_d = (atan2(p[1] - at[1], p[0] - at[0]) for p in (a, d))
    turn = wrap(phi_d - phi_a)
    first, last = (phi_a, a) if turn >= 0 else (phi_d, d), (phi_d, d) if turn >= 0 else (phi_a, a)
    low, w = first[0], abs(turn)
    if any(hypot(x - at[0], y - at[1]) <= r for x, y in others):
        return 0.0, 0.0
    cuts = [end for body in others for end in ends(at, body, r)]
    cuts += [atan2(y - at[1], x - at[0]) for body in others for x, y in on_line(a, d, body, r)]
    halves = [asin(min(1.0, r / hypot(p[0] - at[0], p[1] - at[1]))) for p in (first[1], last[1])]
    cuts += [low + halves[0], low + w - halves[1]]
    free = gap = 0.0
    for start, end in pieces(low, low + w, cuts):
        middle = (start + end) / 2
        wall = to_line(at, middle, a, d)
        if all(enters(at, middle, body, r) >= wall for body in others):
            free += end - start
            gap += (end - start) * (low + halves[0] < middle < low + w - halves[1])
    return free / w, gap


def on_line(a: Point, d: Point, body: Point, r: float) -> list[Point]:
    long = hypot(d[0] - a[0], d[1] - a[1])
    ux, uy = (d[0] - a[0]) / long, (d[1] - a[1]) / long
    along = (body[0] - a[0]) * ux + (body[1] - a[1]) * uy
    height = (body[1] - a[1]) * ux - (body[0] - a[0]) * uy
    if abs(height) >= r:
        return []
    half = sqrt(r * r - height * height)
    return [(a[0] + (along + s * half) * ux, a[1] + (along + s * half) * uy) for s in (1, -1)]


def to_line(at: Point, turn: float, a: Point, d: Point) -> float:
    ex, ey = d[0] - a[0], d[1] - a[1]
    return (ex * (a[1] - at[1]) - ey * (a[0] - at[0])) / (ex * sin(turn) - ey * cos(turn))


def look(
    at: Point, facing: float, a: Point, d: Point, others: list[Point], r: float = 0.9
) -> dict[str, float]:
    """Return every part of one look by the definitions, with the usual settings; facing in radians."""
    da, dd = (hypot(p[0] - at[0], p[1] - at[1]) for p in (a, d))
    phi = atan2(a[1] - at[1], a[0] - at[0])
    s = wrap(atan2(d[1] - at[1], d[0] - at[0]) - phi)
    w, far = abs(s), hypot((a[0] + d[0]) / 2 - at[0], (a[1] + d[1]) / 2 - at[1])
    rho = 0.0 if min(da, dd) <= r else min(1.0, w / (asin(r / da) + asin(r / dd)))
    clear, gap = window(at, a, d, others, r)
    f = min(1.0, max(0.0, (far - 2) / 4)) / (1 + max(0.0, (far - 25) / 25) ** 2)
    sigma = min(1.0, max(0.0, (120 - degrees(w)) / 60))
    e = degrees(abs(wrap(phi + s / 2 - facing)) + w / 2)
    # The best facing often puts a body exactly on the edge, which is still within.
    field = 1.0 if e <= 30 else 1 - 0.65 * (e - 30) / 30 if e <= 60 + 1e-9 else 0.0
    return {
        "openness": rho, "clear": clear, "gap_deg": 0.0 if min(da, dd) <= r else degrees(gap), "distance": far,
        "in_field": field, "value": rho * clear * f * sigma * field,
    }  # fmt: skip
