"""Which side of a dividing line a point is on, how far from it, and a point just across.

The decisions compare whole micrometres and are exact on the line itself: the arc and the corner-to-elbow line
belong to the inside, the free-throw line extended to the part below it, the division line to the back court.
Distances are float feet and only say how close a place was. Knows no edition: which line matters when is the
book's business.
"""

from __future__ import annotations

from math import cos, hypot, pi, sin
from typing import Literal

from tenbetween.court.markings import Court, at_depth
from tenbetween.errors import TenbetweenError, one_of
from tenbetween.situation import Basket, CourtPart, PointFt, PointUm, TableSide
from tenbetween.units import FOOT

DividingLine = Literal[
    "arc",
    "corner_to_elbow",
    "corner_to_elbow_over_circle",
    "free_throw_line_extended",
    "division_line",
    "middle",
]
DIVIDING_LINES: tuple[DividingLine, ...] = (
    "arc",
    "corner_to_elbow",
    "corner_to_elbow_over_circle",
    "free_throw_line_extended",
    "division_line",
    "middle",
)
Top = Literal["straight", "over_circle"]

MILLIMETRE = 1_000
_Segment = tuple[float, float, float, float]


def side_of(court: Court, at: PointUm, tie_side: TableSide) -> TableSide:
    """Return the sideline a point is nearer to; ``tie_side`` on the long axis itself.

    >>> from tenbetween.court.markings import court_of
    >>> side_of(court_of("us-hs"), (0, 25 * FOOT), "opposite")
    'opposite'
    """
    y = at[1]
    axis = court.axis
    if y < axis:
        return "table"
    return "opposite" if y > axis else tie_side


def half(court: Court, at: PointUm, end: Basket) -> CourtPart:
    """Return front or back court for the team attacking ``end``; the division line is back court.

    >>> from tenbetween.court.markings import court_of
    >>> half(court_of("us-hs"), (42 * FOOT, 0), "right"), half(court_of("us-hs"), (42 * FOOT + 1, 0), "right")
    ('backcourt', 'frontcourt')
    """
    u = at[0] if end == "left" else court.length - at[0]
    return "frontcourt" if u < court.front else "backcourt"


def depth(court: Court, at: PointUm, end: Basket) -> Literal["low", "high"]:
    """Return ``low`` at or below the free-throw line extended of ``end``, ``high`` beyond it.

    >>> from tenbetween.court.markings import court_of
    >>> depth(court_of("us-hs"), (19 * FOOT, 0), "left"), depth(court_of("us-hs"), (19 * FOOT + 1, 0), "left")
    ('low', 'high')
    """
    u = at[0] if end == "left" else court.length - at[0]
    return "low" if u <= court.free_throw else "high"


def inside_arc(court: Court, at: PointUm, end: Basket) -> bool:
    """Return whether a point is inside or on the three-point line of ``end``.

    >>> from tenbetween.court.markings import court_of
    >>> court = court_of("us-hs")
    >>> [inside_arc(court, (25 * FOOT + beyond, court.axis), "left") for beyond in (0, 1)]
    [True, False]
    """
    away = at[1] - court.axis
    corner = court.corner
    if away > corner or -away > corner:
        return False
    ahead = (at[0] if end == "left" else court.length - at[0]) - court.basket
    # Beside the straight parts the corner distance already decides: the circle lies farther out there.
    return ahead <= 0 or ahead * ahead + away * away <= court.arc2


def inside_corner_to_elbow(court: Court, at: PointUm, end: Basket, top: str = "straight") -> bool:
    """Return whether a point is inside or on the lines from the corners of ``end`` to the elbows.

    ``top`` is ``straight`` (closed by the free-throw line) or ``over_circle`` (by the free-throw semicircle).

    >>> from tenbetween.court.markings import court_of
    >>> court = court_of("us-hs")
    >>> top_of_lane = (20 * FOOT, court.axis)
    >>> [inside_corner_to_elbow(court, top_of_lane, "left", top) for top in ("straight", "over_circle")]
    [False, True]
    """
    u = at[0] if end == "left" else court.length - at[0]
    y = at[1]
    if u <= court.free_throw:
        # The slanted edge runs from the corner to (free_throw, elbow); compare slopes without dividing.
        slope = u * court.elbow
        return slope <= y * court.free_throw and slope <= (court.width - y) * court.free_throw
    if top != "over_circle":
        return False
    ahead, away = u - court.free_throw, y - court.axis
    return ahead * ahead + away * away <= court.circle2


def margin_ft(court: Court, at: PointUm, end: Basket, line: str) -> float:
    """Return the distance in feet, never negative, from a point to a dividing line of ``end``.

    >>> from tenbetween.court.markings import court_of
    >>> margin_ft(court_of("us-hs"), (26 * FOOT, 25 * FOOT), "left", "arc")
    1.0

    Raises:
        TenbetweenError: no such dividing line.
    """
    foot = _foot_point(court, at, end, line)
    u = at[0] if end == "left" else court.length - at[0]
    return hypot(foot[0] - u, foot[1] - at[1]) / FOOT


def just_across(court: Court, at: PointUm, end: Basket, line: str, tie_side: TableSide = "table") -> PointUm:
    """Return a point on the other side of a dividing line of ``end``, a millimetre past its nearest point.

    ``tie_side`` says to which side a point on the long axis counts, for the line ``middle``.

    >>> from tenbetween.court.markings import court_of
    >>> court = court_of("us-hs")
    >>> just_across(court, (26 * FOOT, 25 * FOOT), "left", "arc") == (25 * FOOT - 1000, 25 * FOOT)
    True

    Raises:
        TenbetweenError: no such dividing line.
    """
    foot = _foot_point(court, at, end, line)
    u = at[0] if end == "left" else court.length - at[0]
    here = side_of_line(court, at, end, line, tie_side)
    for step_u, step_y in _ways_across(foot[0] - u, foot[1] - at[1]):
        other = _kept_inside(court, end, foot[0] + step_u, foot[1] + step_y)
        if side_of_line(court, other, end, line, tie_side) != here:
            return other
    raise AssertionError("a dividing line has two sides everywhere")


def side_of_line(court: Court, at: PointUm, end: Basket, line: str, tie_side: TableSide = "table") -> bool:
    """Return True on the side nearer the end line: inside, low, front court; for ``middle``, the table side.

    >>> from tenbetween.court.markings import court_of
    >>> side_of_line(court_of("us-hs"), (0, 0), "left", "division_line")
    True

    Raises:
        TenbetweenError: no such dividing line.
    """
    if line == "arc":
        return inside_arc(court, at, end)
    if line == "corner_to_elbow":
        return inside_corner_to_elbow(court, at, end)
    if line == "corner_to_elbow_over_circle":
        return inside_corner_to_elbow(court, at, end, "over_circle")
    if line == "free_throw_line_extended":
        return depth(court, at, end) == "low"
    if line == "division_line":
        return half(court, at, end) == "frontcourt"
    if line == "middle":
        return side_of(court, at, tie_side) == "table"
    raise TenbetweenError(one_of("line", line, DIVIDING_LINES))


def _kept_inside(court: Court, end: Basket, u: float, y: float) -> PointUm:
    return at_depth(court, end, min(max(round(u), 0), court.length), min(max(round(y), 0), court.width))


def _ways_across(to_u: float, to_y: float) -> list[PointFt]:
    """Return steps to try past the foot point: straight on first, then along and across, then round the compass.

    Along and across come first so that turning the court turns the step with it.
    """
    away = hypot(to_u, to_y)
    ahead = [(to_u / away * MILLIMETRE, to_y / away * MILLIMETRE)] if away > 2 else []
    turns = [i * pi / 8 for i in sorted(range(16), key=lambda i: (i % 4 != 0, i % 8 != 0, i))]
    return ahead + [(r * cos(t), r * sin(t)) for r in (MILLIMETRE, 3 * MILLIMETRE) for t in turns]


def _foot_point(court: Court, at: PointUm, end: Basket, line: str) -> PointFt:
    """Return the point of a dividing line nearest to ``at``, as (u, y) in float micrometres."""
    u = at[0] if end == "left" else court.length - at[0]
    y = at[1]
    if line == "free_throw_line_extended":
        return (court.free_throw, y)
    if line == "division_line":
        return (court.front, y)
    if line == "middle":
        return (u, court.axis)
    if line == "arc":
        return _nearest_of(u, y, _arc_candidates(court, u, y))
    if line in ("corner_to_elbow", "corner_to_elbow_over_circle"):
        return _nearest_of(u, y, _elbow_candidates(court, u, y, line == "corner_to_elbow_over_circle"))
    raise TenbetweenError(one_of("line", line, DIVIDING_LINES))


def _nearest_of(u: float, y: float, candidates: list[PointFt]) -> PointFt:
    return min(candidates, key=lambda c: hypot(c[0] - u, c[1] - y))


def _arc_candidates(court: Court, u: float, y: float) -> list[PointFt]:
    joint = court.straight_end
    table, opposite = court.axis - court.corner, court.axis + court.corner
    straight = [_on_segment(u, y, (0, side, joint, side)) for side in (table, opposite)]
    ahead, away = u - court.basket, y - court.axis
    # Within the arc's own angle, the nearest point lies on the ray from the basket centre.
    if ahead * court.corner >= abs(away) * (joint - court.basket):
        straight.append(_on_circle(court.basket, court.axis, court.arc, ahead, away))
    return straight


def _elbow_candidates(court: Court, u: float, y: float, over_circle: bool) -> list[PointFt]:
    far, low, high = court.free_throw, court.elbow, court.width - court.elbow
    found = [_on_segment(u, y, (0, 0, far, low)), _on_segment(u, y, (0, court.width, far, high))]
    if not over_circle:
        return [*found, _on_segment(u, y, (far, low, far, high))]
    start, stop = court.axis - court.circle, court.axis + court.circle
    found += [_on_segment(u, y, (far, low, far, start)), _on_segment(u, y, (far, high, far, stop))]
    if u >= far:
        found.append(_on_circle(far, court.axis, court.circle, u - far, y - court.axis))
    return found


def _on_segment(u: float, y: float, segment: _Segment) -> PointFt:
    u0, y0, u1, y1 = segment
    along_u, along_y = u1 - u0, y1 - y0
    square = along_u * along_u + along_y * along_y
    share = ((u - u0) * along_u + (y - y0) * along_y) / square if square else 0.0
    share = min(max(share, 0.0), 1.0)
    return (u0 + share * along_u, y0 + share * along_y)


def _on_circle(centre_u: float, centre_y: float, radius: float, ahead: float, away: float) -> PointFt:
    distance = hypot(ahead, away)
    if not distance:
        return (centre_u + radius, centre_y)
    return (centre_u + ahead / distance * radius, centre_y + away / distance * radius)
