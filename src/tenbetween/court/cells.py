"""The place cells of a court: one exact point for every area, edge and corner the dividing lines cut out.

Two places in one cell lie on the same side of every line a rule can ask about, so counting one point per cell
counts every place there is. Only whole micrometres exist; a corner where lines meet between them (an arc and
a straight line, mostly) has no such point and no place can lie on it, so it is no cell.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import lru_cache
from itertools import pairwise
from math import gcd, isqrt, sqrt

from tenbetween.court.markings import Court
from tenbetween.court.mirror import mirror_point
from tenbetween.errors import TenbetweenError, one_of
from tenbetween.situation import PointUm

CURVES: tuple[str, ...] = ("arc", "corner_to_elbow", "corner_to_elbow_over_circle", "nearest")
"""Dividing curves that can be asked for; ``nearest``: as near to a sideline as to an end line."""

Signature = tuple[int, ...]
Sign = Callable[[Court, int, int], int]
"""A curve's side at (u, y): 1 inside, 0 on it, -1 outside."""


@lru_cache(maxsize=64)
def place_cells(court: Court, curves: tuple[str, ...] = CURVES[:1]) -> tuple[PointUm, ...]:
    """Return one point for each cell of the court and its boundary, in order of x then y.

    The lines are end lines, sidelines, division lines, free-throw lines extended, lane lines extended, the
    long axis, the levels where arc and straight part meet and, on a FIBA court, the backboard's edges
    extended; ``curves`` adds dividing curves at both ends. Turning the court turns the set into itself.

    >>> from tenbetween.court.markings import court_of
    >>> (0, 0) in place_cells(court_of("us-hs"), ("arc",))
    True

    Raises:
        TenbetweenError: a curve of no such name.
    """
    _known(curves)
    kept: dict[Signature, PointUm] = {}
    for at in _candidates(court, curves):
        if cell_signature(court, at, curves) in kept:
            continue
        for turned in _turned(court, at):
            kept.setdefault(cell_signature(court, turned, curves), turned)
    return tuple(sorted(kept.values()))


def cell_signature(court: Court, at: PointUm, curves: tuple[str, ...] = CURVES[:1]) -> Signature:
    """Return the sides of a point against every line and curve: the name of its cell.

    >>> from tenbetween.court.markings import court_of
    >>> court = court_of("us-hs")
    >>> cell_signature(court, (1, 1)) == cell_signature(court, (2, 3)) != cell_signature(court, (1, 0))
    True
    """
    x, y = at
    signs = [_sign(x - line) for line in _upright_lines(court)]
    signs += [_sign(y - line) for line in _level_lines(court)]
    for name in curves:
        sign = _SIGNS[name]
        signs += (sign(court, x, y), sign(court, court.length - x, y))
    return tuple(signs)


@lru_cache(maxsize=64)
def boundary_cells(court: Court) -> tuple[PointUm, ...]:
    """Return one point for each marked point of the boundary and each piece between two of them.

    Marked are the corners, the division lines, free-throw lines and lane lines extended, the middle of the
    end line, the 28-foot marks and end-line spots, or FIBA's throw-in lines and backboard edges.

    >>> from tenbetween.court.markings import court_of
    >>> len(boundary_cells(court_of("us-hs")))
    48
    """
    along = [0, court.free_throw, court.length // 2, *court.division_lines]
    along += [mark for mark in (court.mark_28, court.throw_in_line) if mark is not None]
    across = [court.elbow, court.axis, *([court.axis - court.end_spot] if court.end_spot else [])]
    across += [court.axis - court.backboard_half] if court.kind == "fiba" else []
    xs = _with_middles([*along, *(court.length - x for x in along)])
    ys = _with_middles([0, *across, *(court.width - y for y in across), court.width])
    found = {(x, 0) for x in xs} | {(0, y) for y in ys if 0 < y < court.width}
    return tuple(sorted({turned for at in found for turned in _turned(court, at)}))


def _with_middles(marks: list[int]) -> list[int]:
    """Return the marks and a point in each piece of the first half; the other half is these turned."""
    ordered = sorted(set(marks))
    pieces = [(low + high) // 2 for low, high in pairwise(ordered)]
    return ordered + pieces[: (len(pieces) + 1) // 2]


def _turned(court: Court, at: PointUm) -> Iterator[PointUm]:
    for ends in (False, True):
        for sides in (False, True):
            yield mirror_point(court, at, ends=ends, sides=sides)


def _known(curves: tuple[str, ...]) -> None:
    problems = [one_of("curves", name, CURVES) for name in curves if name not in CURVES]
    if problems:
        raise TenbetweenError(problems)


# ---- which side of a line or curve ----


def _sign(number: int) -> int:
    return (number > 0) - (number < 0)


@lru_cache(maxsize=64)
def _upright_lines(court: Court) -> tuple[int, ...]:
    half = (0, court.straight_end, court.free_throw)
    return tuple(sorted({*half, *(court.length - x for x in half), *court.division_lines}))


@lru_cache(maxsize=64)
def _level_lines(court: Court) -> tuple[int, ...]:
    half = (0, court.elbow, *((court.axis - court.backboard_half,) if court.kind == "fiba" else ()))
    return tuple(sorted({*half, *(court.width - y for y in half), court.axis}))


def _arc_sign(court: Court, u: int, y: int) -> int:
    away, ahead = abs(y - court.axis), u - court.basket
    if away > court.corner:
        return -1
    side = _sign(court.corner - away)
    return side if ahead <= 0 else min(side, _sign(court.arc2 - ahead * ahead - away * away))


def _slant_sign(court: Court, u: int, y: int) -> int:
    nearer = min(y, court.width - y)
    return _sign(nearer * court.free_throw - u * court.elbow)


def _elbow_sign(court: Court, u: int, y: int) -> int:
    return min(_slant_sign(court, u, y), _sign(court.free_throw - u))


def _over_circle_sign(court: Court, u: int, y: int) -> int:
    ahead, away = u - court.free_throw, abs(y - court.axis)
    in_circle = _sign(court.circle2 - ahead * ahead - away * away)
    if ahead > 0:
        return in_circle
    slant = _slant_sign(court, u, y)
    return slant if ahead < 0 or in_circle > 0 else min(slant, 0)


def _nearest_sign(court: Court, u: int, y: int) -> int:
    return _sign(min(y, court.width - y) - u)


_SIGNS: dict[str, Sign] = {
    "arc": _arc_sign,
    "corner_to_elbow": _elbow_sign,
    "corner_to_elbow_over_circle": _over_circle_sign,
    "nearest": _nearest_sign,
}


# ---- points to try: every crossing, and between each two crossings, on a few upright cuts ----

_Straight = tuple[int, int, int, int]
_Round = tuple[int, int, int]


def _straights(court: Court, curves: tuple[str, ...]) -> list[_Straight]:
    """Return the slanted pieces of the left half as (u, y, step in u, step in y), table side."""
    found = []
    if "corner_to_elbow" in curves or "corner_to_elbow_over_circle" in curves:
        found.append((0, 0, court.free_throw, court.elbow))
    if "nearest" in curves:
        found.append((0, 0, court.axis, court.axis))
    return found


def _rounds(court: Court, curves: tuple[str, ...]) -> list[_Round]:
    found = [(court.basket, court.axis, court.arc)] if "arc" in curves else []
    if "corner_to_elbow_over_circle" in curves:
        found.append((court.free_throw, court.axis, court.circle))
    return found


def _candidates(court: Court, curves: tuple[str, ...]) -> Iterator[PointUm]:
    """Yield points of the table-side left quarter; the middle of the court first, so that it stays there."""
    straights, rounds = _straights(court, curves), _rounds(court, curves)
    levels = [y for y in (*_level_lines(court), court.axis - court.corner) if y <= court.axis]
    cuts = _cuts(court, levels, straights, rounds)
    for x in sorted(cuts, key=lambda x: (x != court.length // 2, x)):
        crossings = sorted({*levels, *_crossings(court, x, straights, rounds)})
        yield from ((x, y) for y in crossings)
        yield from ((x, (low + high) // 2) for low, high in pairwise(crossings) if high - low > 1)


def _crossings(court: Court, x: int, straights: list[_Straight], rounds: list[_Round]) -> Iterator[int]:
    """Yield the whole y at, or just either side of, each crossing of an upright cut with a curve."""
    for u0, y0, run, rise in straights:
        if run:
            exact, rest = divmod((x - u0) * rise, run)
            yield from _on_court(court, y0 + exact, rest)
    for u0, y0, radius in rounds:
        square = radius * radius - (x - u0) ** 2
        if square >= 0:
            root = isqrt(square)
            yield from _on_court(court, y0 - root - (root * root != square), root * root - square)


def _on_court(court: Court, y: int, rest: int) -> Iterator[int]:
    yield from (near for near in ((y, y + 1) if rest else (y,)) if 0 <= near <= court.axis)


def _cuts(court: Court, levels: list[int], straights: list[_Straight], rounds: list[_Round]) -> set[int]:
    """Return where to cut: at each line, crossing and whole point of a curve, and between each two."""
    middle = court.length // 2
    turning = {*(x for x in _upright_lines(court) if x <= middle), court.axis, middle}
    for level in levels:
        turning |= {u0 + (level - y0) * run // rise for u0, y0, run, rise in straights}
        turning |= set(_round_meets_level(level, rounds))
    for u0, y0, radius in rounds:
        turning |= {u0, u0 + radius}
        turning |= {round(u) for straight in straights for u in _round_meets(straight, (u0, y0, radius))}
    marks = sorted(x for x in turning if 0 <= x <= middle)
    between = {(low + high) // 2 for low, high in pairwise(marks)}
    on_slants = {_whole_point_near(x, straight) for x in between for straight in straights}
    on_rounds = {u0 + ahead for u0, _, radius in rounds for ahead, _ in whole_points(radius)}
    return {x for x in {*marks, *between, *on_slants, *on_rounds} if 0 <= x <= middle}


def _round_meets_level(level: int, rounds: list[_Round]) -> Iterator[int]:
    for u0, y0, radius in rounds:
        square = radius * radius - (level - y0) ** 2
        if square >= 0:
            yield u0 + isqrt(square)


def _round_meets(straight: _Straight, circle: _Round) -> Iterator[float]:
    u0, y0, run, rise = straight
    cu, cy, radius = circle
    a = run * run + rise * rise
    b = run * (u0 - cu) + rise * (y0 - cy)
    c = (u0 - cu) ** 2 + (y0 - cy) ** 2 - radius * radius
    inside = b * b - a * c
    if inside >= 0:
        yield from (u0 + run * (-b + way * sqrt(inside)) / a for way in (-1, 1))


def _whole_point_near(x: int, straight: _Straight) -> int:
    """Return the x nearest below ``x`` at which a slanted line passes through a whole point."""
    u0, _, run, rise = straight
    step = run // gcd(run, rise)
    return x - (x - u0) % step


@lru_cache(maxsize=16)
def whole_points(radius: int) -> tuple[PointUm, ...]:
    """Return points with whole coordinates exactly on a circle, its quarter with both not negative.

    Made from right-angled triangles with whole sides (3-4-5, 7-24-25, ...) whose longest divides the radius.

    >>> whole_points(25)
    ((0, 25), (7, 24), (15, 20), (20, 15), (24, 7), (25, 0))
    """
    found = {(0, radius), (radius, 0)}
    for m in range(2, 120):
        for n in range(1, m):
            longest = m * m + n * n
            if radius % longest == 0:
                one, other = radius // longest * (m * m - n * n), radius // longest * 2 * m * n
                found |= {(one, other), (other, one)}
    return tuple(sorted(found))
