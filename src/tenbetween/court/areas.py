"""Parts of the floor as polygons in feet, for drawing and for saying in words where something is.

Knows halves, the areas that lead to each of the four spots, taught coverage areas, lane spaces, the clear
space outside, and who a boundary point belongs to by name. Arcs are drawn as many short pieces: no rule is
decided here (see ``dividing``).
"""

from __future__ import annotations

from itertools import pairwise
from math import asin, cos, hypot, pi, sin
from typing import Literal

from tenbetween.court.dividing import DIVIDING_LINES
from tenbetween.court.drawing import LANE_MARKS
from tenbetween.court.markings import Court, depth_from
from tenbetween.errors import Problem, TenbetweenError, one_of
from tenbetween.situation import Basket, PointFt, PointUm, TableSide
from tenbetween.units import FOOT, METRE, feet, ft_text, um

Polygon = tuple[PointFt, ...]
BoundaryName = Literal[
    "frontcourt_end_line", "backcourt_end_line", "table_sideline", "opposite_sideline", "division_line"
]
_Path = list[tuple[float, float]]
"""Points as (u, v) in float micrometres: from the end line, from the table sideline."""

PIECES = 48
"""Pieces a half circle is drawn with."""


def boundary_name(court: Court, at: PointUm, attacking: Basket) -> BoundaryName:
    """Return which line a point is on, seen by the team attacking a basket; a corner is on the sideline.

    Points inside the court are on the team's division line or on none.

    >>> from tenbetween.court.markings import court_of
    >>> boundary_name(court_of("us-hs"), (0, um("10 ft")), "right")
    'backcourt_end_line'

    Raises:
        TenbetweenError: the point is on no line.
    """
    if 0 <= at[0] <= court.length and at[1] in (0, court.width):
        return "table_sideline" if at[1] == 0 else "opposite_sideline"
    u = depth_from(court, at, attacking)
    across: dict[int, BoundaryName] = {
        0: "frontcourt_end_line",
        court.front: "division_line",
        court.length: "backcourt_end_line",
    }
    if 0 < at[1] < court.width and u in across:
        return across[u]
    found = f"{ft_text(at[0])} from the left end line, {ft_text(at[1])} from the table sideline"
    raise TenbetweenError(
        Problem("at", found, "a point on a boundary line or the division line", "move it onto the line")
    )


def court_parts(court: Court, attacking: Basket) -> dict[str, Polygon]:
    """Return front court and back court of the team attacking a basket.

    >>> from tenbetween.court.markings import court_of
    >>> court_parts(court_of("us-hs"), "left")["frontcourt"]
    ((0.0, 0.0), (42.0, 0.0), (42.0, 50.0), (0.0, 50.0))
    """
    front = _box(0, court.front, 0, court.width)
    back = _box(court.front, court.length, 0, court.width)
    return {"frontcourt": _turned(court, front, attacking), "backcourt": _turned(court, back, attacking)}


def dividing_path(court: Court, end: Basket, line: str) -> Polygon:
    """Return a dividing line of an end as a chain of points, from the table side to the opposite side.

    >>> from tenbetween.court.markings import court_of
    >>> dividing_path(court_of("us-hs"), "left", "corner_to_elbow")
    ((0.0, 0.0), (19.0, 19.0), (19.0, 31.0), (0.0, 50.0))

    Raises:
        TenbetweenError: no such dividing line.
    """
    if line not in DIVIDING_LINES:
        raise TenbetweenError(one_of("line", line, DIVIDING_LINES))
    return _turned(court, _path(court, line), end)


def four_spot_areas(court: Court, end: Basket, line: str = "arc") -> dict[str, Polygon]:
    """Return the part of an end that leads to each of its four spots, by line and side.

    ``line`` is what divides end line from sideline: ``arc``, ``corner_to_elbow`` or
    ``corner_to_elbow_over_circle``. On the long axis itself the settings decide.

    >>> from tenbetween.court.markings import court_of
    >>> sorted(four_spot_areas(court_of("us-hs"), "left"))
    ['end_line_opposite', 'end_line_table', 'sideline_opposite', 'sideline_table']

    Raises:
        TenbetweenError: the court has no four spots, or the line does not divide them.
    """
    allowed = ("arc", "corner_to_elbow", "corner_to_elbow_over_circle")
    if line not in allowed:
        raise TenbetweenError(one_of("line", line, allowed))
    if court.end_spot is None:
        raise TenbetweenError(Problem("court", court.kind, "a court with four spots", "choose us-hs"))
    table_half = [at for at in _path(court, line) if at[1] <= court.axis]
    if line == "corner_to_elbow":
        table_half.append((court.free_throw, court.axis))
    inside = [(0.0, float(court.axis)), *table_half]
    corner = [] if table_half[0][1] == 0 else [(0, 0)]
    outside = [*corner, *table_half, (court.front, court.axis), (court.front, 0)]
    return {
        f"{name}_{side}": _turned(court, path, end, side)
        for name, path in (("end_line", inside), ("sideline", outside))
        for side in ("table", "opposite")
    }


def coverage(court: Court, end: Basket, lead_side: TableSide) -> dict[str, Polygon]:
    """Return the front court split into the lead's and the trail's primary coverage area, as often taught.

    Lead: from his sideline to the lane line farther from him, below the free-throw line extended; trail: the
    rest. Taught areas are not limits: whoever has the better look says what he saw.

    >>> from tenbetween.court.markings import court_of
    >>> coverage(court_of("us-hs"), "left", "opposite")["lead"]
    ((0.0, 50.0), (19.0, 50.0), (19.0, 19.0), (0.0, 19.0))
    """
    far = court.width - court.elbow
    front, line, width = court.front, court.free_throw, court.width
    lead = _box(0, line, 0, far)
    trail: _Path = [(0, far), (line, far), (line, 0), (front, 0), (front, width), (0, width)]
    return {
        "lead": _turned(court, lead, end, lead_side),
        "trail": _turned(court, trail, end, lead_side),
    }


def coverage_areas(court: Court, end: Basket, trail_side: TableSide) -> dict[str, tuple[str, Polygon]]:
    """Return FIBA's six areas of the front court in words: who is on the ball there, and the polygon.

    Above and below are parted by the free-throw line extended, the columns by the lane lines extended.
    ``both``: lead and trail look together; ``trail_then_lead``: the lead takes it towards the basket.

    >>> from tenbetween.court.markings import court_of
    >>> {name: who for name, (who, _) in coverage_areas(court_of("fiba"), "left", "table").items()}["lane"]
    'both'
    """
    lane, far, width = court.elbow, court.width - court.elbow, court.width
    line, front = court.free_throw, court.front
    areas = {
        "trail_side_high": ("trail", _box(line, front, 0, lane)),
        "middle_high": ("trail", _box(line, front, lane, far)),
        "far_side_high": ("trail", _box(line, front, far, width)),
        "far_side_low": ("lead", _box(0, line, far, width)),
        "lane": ("both", _box(0, line, lane, far)),
        "trail_side_low": ("trail_then_lead", _box(0, line, 0, lane)),
    }
    return {name: (who, _turned(court, path, end, trail_side)) for name, (who, path) in areas.items()}


COVERAGE_SOURCES = {
    "us-hs": "local association teaching pages for crews of two, 2004-2023; the lead's polygon from memory",
    "fiba": "FIBA two-person referees' manual, c. 2008-2010, 4.3; the columns from memory",
}


def lane_spaces(court: Court) -> dict[str, Polygon]:
    """Return the places along both lanes, outward from the end line, each its depth from the lane line.

    >>> from tenbetween.court.markings import court_of
    >>> lane_spaces(court_of("us-hs"))["left_table_first_lane_space"]
    ((8.0, 19.0), (11.0, 19.0), (11.0, 16.0), (8.0, 16.0))
    """
    marks = LANE_MARKS[court.kind]
    depth = um("36 in") if court.kind == "us-hs" else METRE
    found = {}
    for ((_, _, near), (_, far, _)), name in zip(pairwise(marks), ("first", "second", "third"), strict=True):
        path: _Path = [(u, v) for u, v in ((near, 0), (far, 0), (far, -depth), (near, -depth))]
        moved = [(u, court.elbow + v) for u, v in path]
        for end in ("left", "right"):
            for side in ("table", "opposite"):
                found[f"{end}_{side}_{name}_lane_space"] = _turned(court, moved, end, side)
    return found


def clear_space(court: Court) -> Polygon:
    """Return the outline of the least clear space outside the boundary: 3 ft (U.S.), 2 m (FIBA).

    >>> from tenbetween.court.markings import court_of
    >>> clear_space(court_of("us-hs"))[0]
    (-3.0, -3.0)
    """
    out = um("3 ft") if court.kind == "us-hs" else um("2 m")
    return _turned(court, _box(-out, court.length + out, -out, court.width + out), "left")


def restraining_lines(court: Court) -> Polygon:
    """Return the broken line 3 ft inside a boundary with too little space outside (U.S.).

    It acts as the boundary during a throw-in on that side, until the ball crosses it.

    >>> from tenbetween.court.markings import court_of
    >>> restraining_lines(court_of("us-hs"))[2]
    (81.0, 47.0)
    """
    inside = um("3 ft")
    return _turned(court, _box(inside, court.length - inside, inside, court.width - inside), "left")


def thrower_place(court: Court, spot: PointUm) -> tuple[PointFt, PointFt]:
    """Return the two ends, on the boundary line, of the place a thrower has at a designated spot.

    Three feet wide under U.S. rules; under FIBA's a metre in all. It has no depth limit.

    >>> from tenbetween.court.markings import court_of
    >>> thrower_place(court_of("us-hs"), (0, um("16 ft")))
    ((0.0, 14.5), (0.0, 17.5))
    """
    x, y = spot
    half = (um("3 ft") if court.kind == "us-hs" else METRE) // 2
    if y in (0, court.width):
        return (feet(x - half), feet(y)), (feet(x + half), feet(y))
    return (feet(x), feet(y - half)), (feet(x), feet(y + half))


# ---- paths in the half-court frame ----


def _box(near: int, far: int, low: int, high: int) -> _Path:
    return [(near, low), (far, low), (far, high), (near, high)]


def _turned(court: Court, path: _Path, end: Basket | str, side: TableSide | str = "table") -> Polygon:
    return tuple(
        (
            _feet(u if end == "left" else court.length - u),
            _feet(v if side == "table" else court.width - v),
        )
        for u, v in path
    )


def _feet(micrometres: float) -> float:
    return round(micrometres / FOOT, 4)


def _path(court: Court, line: str) -> _Path:
    width, axis, elbow, far = court.width, court.axis, court.elbow, court.free_throw
    if line == "arc":
        open_to = asin(court.corner / court.arc)
        bow = _bow(court.basket, axis, court.arc, open_to)
        return [(0, axis - court.corner), *bow, (0, axis + court.corner)]
    if line == "corner_to_elbow":
        return [(0, 0), (far, elbow), (far, width - elbow), (0, width)]
    if line == "corner_to_elbow_over_circle":
        bow = _bow(far, axis, court.circle, pi / 2)
        ends = [] if court.circle == court.lane_half else [(far, elbow), (far, width - elbow)]
        return [(0, 0), *ends[:1], *bow, *ends[1:], (0, width)]
    if line == "middle":
        return [(0, axis), (court.length, axis)]
    u = far if line == "free_throw_line_extended" else court.front
    return [(u, 0), (u, width)]


def _bow(centre_u: int, centre_v: int, radius: int, open_to: float) -> _Path:
    """Return points along an arc that opens away from the end line, symmetrical about the long axis."""
    first = [open_to * (1 - 2 * i / PIECES) for i in range(PIECES // 2)]
    table = [(centre_u + radius * cos(turn), centre_v - radius * sin(turn)) for turn in first]
    return [*table, (centre_u + radius, centre_v), *((u, 2 * centre_v - v) for u, v in reversed(table))]


def path_length_ft(path: Polygon) -> float:
    """Return the length in feet of a chain of points.

    >>> path_length_ft(((0.0, 0.0), (3.0, 4.0)))
    5.0
    """
    return sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(path))
