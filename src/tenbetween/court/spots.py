"""Where a throw-in spot can be: on the boundary nearest, at a fixed mark, or level with the division line.

Every function turns a place into a point exactly on the boundary and the name of its line, in whole
micrometres. Knows the geometry of each way to choose a spot; which edition uses which is the book's.
"""

from __future__ import annotations

from math import isqrt

from tenbetween.court.dividing import inside_corner_to_elbow
from tenbetween.court.markings import Court
from tenbetween.errors import Problem, TenbetweenError
from tenbetween.situation import Basket, Line, PointUm, TableSide
from tenbetween.units import ft_text, um

Spot = tuple[PointUm, Line]

NEAR_BOUNDARY = um("1.5 ft")
"""A place this close to a boundary, inside or outside, is moved onto it."""
_NEAR_SQUARED = NEAR_BOUNDARY * NEAR_BOUNDARY
HALF_THROWER_PLACE = um("1.5 ft")
"""Half of the three-foot place a thrower has at a designated spot."""


def move_to_boundary(court: Court, at: PointUm) -> tuple[PointUm, int] | None:
    """Return the nearest boundary point and how far it is, in micrometres; None beyond 1.5 ft.

    Inside a corner, a place as near to the sideline as to the end line goes to the sideline.

    >>> from tenbetween.court.markings import court_of
    >>> move_to_boundary(court_of("us-hs"), (um("1 ft"), um("1 ft")))
    ((304800, 0), 304800)
    """
    x, y = at
    length, width = court.length, court.width
    if 0 <= x <= length and 0 <= y <= width:
        return _move_out(court, x, y)
    edge_x = 0 if x < 0 else min(x, length)
    edge_y = 0 if y < 0 else min(y, width)
    square = (x - edge_x) ** 2 + (y - edge_y) ** 2
    if square > _NEAR_SQUARED:
        return None
    return (edge_x, edge_y), (isqrt(4 * square) + 1) // 2


def _move_out(court: Court, x: int, y: int) -> tuple[PointUm, int] | None:
    to_side = min(y, court.width - y)
    to_end = min(x, court.length - x)
    if to_side <= to_end:
        if to_side > NEAR_BOUNDARY:
            return None
        return (x, 0 if y == to_side else court.width), to_side
    if to_end > NEAR_BOUNDARY:
        return None
    return (0 if x == to_end else court.length, y), to_end


def boundary_line(court: Court, at: PointUm, attacking: Basket | None = None) -> Line:
    """Return the line a boundary point is on; a corner is on the sideline.

    A sideline point level with a division line is on the ``division_line``; on a floor with two of them
    ``attacking`` leaves only that team's own.

    >>> from tenbetween.court.markings import court_of
    >>> court = court_of("us-hs")
    >>> boundary_line(court, (0, 0)), boundary_line(court, (0, 9)), boundary_line(court, (um("42 ft"), 0))
    ('sideline', 'end_line', 'division_line')

    Raises:
        TenbetweenError: the point is not on the boundary.
    """
    x, y = at
    if (y in (0, court.width)) and 0 <= x <= court.length:
        if x not in court.division_lines:
            return "sideline"
        if attacking is None or (x if attacking == "left" else court.length - x) == court.front:
            return "division_line"
        return "sideline"
    if (x in (0, court.length)) and 0 < y < court.width:
        return "end_line"
    raise TenbetweenError(_not_on_boundary(court, at))


def _not_on_boundary(court: Court, at: PointUm) -> Problem:
    return Problem(
        "at",
        f"{ft_text(at[0])} from the left end line, {ft_text(at[1])} from the table sideline",
        f"a point on the boundary of the {ft_text(court.length)} by {ft_text(court.width)} floor",
        "move the point onto the line where the ball crossed it",
    )


def nearest_spot(court: Court, at: PointUm, tie_side: TableSide) -> Spot:
    """Return the boundary point nearest to a place, kept clear of the lane or of the backboard.

    As near to two lines: the sideline; as near to both sidelines: ``tie_side``. On the end line a U.S. spot
    inside the lane moves to the nearer lane line extended, a FIBA spot straight behind the backboard to the
    backboard's nearer edge (``tie_side`` again from the exact middle).

    >>> from tenbetween.court.markings import court_of
    >>> nearest_spot(court_of("us-hs"), (um("10 ft"), um("24 ft")), "table") == ((0, um("19 ft")), "end_line")
    True
    """
    x, y = at
    length, width = court.length, court.width
    to_side = y if y + y <= width else width - y
    to_end = x if x + x <= length else length - x
    if to_side <= to_end:
        return _sideline_spot(court, x, y, tie_side)
    return _end_line_spot(court, 0 if x == to_end else length, y, tie_side)


def corner_to_elbow_spot(court: Court, at: PointUm, tie_side: TableSide) -> Spot:
    """Return the nearest point of the end line inside the corner-to-elbow lines, else of the nearer sideline.

    The other reading of "nearest" up to 2022: the drawing, not the tape measure, chooses the line.

    >>> from tenbetween.court.markings import court_of
    >>> court = court_of("us-hs")
    >>> corner_to_elbow_spot(court, (um("14 ft"), um("15 ft")), "table") == ((0, um("15 ft")), "end_line")
    True
    """
    x, y = at
    end: Basket = "left" if x + x <= court.length else "right"
    if inside_corner_to_elbow(court, at, end):
        return _end_line_spot(court, 0 if end == "left" else court.length, y, tie_side)
    return _sideline_spot(court, x, y, tie_side)


def out_of_bounds_spot(court: Court, at: PointUm, tie_side: TableSide) -> Spot:
    """Return the spot for a ball out of bounds: where it crossed, clear of the lane or of the backboard.

    >>> from tenbetween.court.markings import court_of
    >>> out_of_bounds_spot(court_of("us-hs"), (0, um("25 ft")), "opposite") == ((0, um("31 ft")), "end_line")
    True

    Raises:
        TenbetweenError: the point is not on the boundary (see ``move_to_boundary``).
    """
    line = boundary_line(court, at)
    if line != "end_line":
        return at, line
    return _end_line_spot(court, at[0], at[1], tie_side)


def _sideline_spot(court: Court, x: int, y: int, tie_side: TableSide) -> Spot:
    on_table_side = y < court.axis or (y == court.axis and tie_side == "table")
    length = court.length
    x = 0 if x < 0 else (x if x <= length else length)
    line: Line = "division_line" if x in court.division_lines else "sideline"
    return (x, 0 if on_table_side else court.width), line


def _end_line_spot(court: Court, x: int, y: int, tie_side: TableSide) -> Spot:
    away = y - court.axis
    clear = court.lane_half if court.kind == "us-hs" else court.backboard_half
    if -clear < away < clear:
        to_table = away < 0 or (away == 0 and tie_side == "table")
        y = court.axis - clear if to_table else court.axis + clear
    return (x, y), "end_line"


def four_spot(court: Court, end: Basket, inside: bool, side: TableSide, point: str = "middle") -> Spot:
    """Return one of the four spots of an end: on the end line when ``inside``, else the 28-foot mark.

    ``point`` says what is nine feet from the long axis on the end line: the ``middle`` of the thrower's
    three-foot place, or its ``near_edge`` (its middle is then 10.5 ft away).

    >>> from tenbetween.court.markings import court_of
    >>> four_spot(court_of("us-hs"), "left", True, "table") == ((0, um("16 ft")), "end_line")
    True
    >>> four_spot(court_of("us-hs"), "right", False, "opposite") == ((um("56 ft"), um("50 ft")), "sideline")
    True

    Raises:
        TenbetweenError: the court has no such marks.
    """
    if court.end_spot is None or court.mark_28 is None:
        raise TenbetweenError(_no_marks(court, "four spots", "throw_in_line_spot or nearest_spot"))
    if inside:
        away = court.end_spot if point == "middle" else court.end_spot + HALF_THROWER_PLACE
        y = court.axis - away if side == "table" else court.axis + away
        return (0 if end == "left" else court.length, y), "end_line"
    x = court.mark_28 if end == "left" else court.length - court.mark_28
    return (x, 0 if side == "table" else court.width), "sideline"


def throw_in_line_spot(court: Court, end: Basket, side: TableSide) -> Spot:
    """Return FIBA's throw-in line of an end, its outer edge, on the sideline named.

    The line is marked opposite the table; the table side is given for completeness of the mirror.

    >>> from tenbetween.court.markings import court_of
    >>> throw_in_line_spot(court_of("fiba"), "left", "opposite")
    ((8325000, 15000000), 'sideline')

    Raises:
        TenbetweenError: the court has no such line.
    """
    if court.throw_in_line is None:
        raise TenbetweenError(_no_marks(court, "a throw-in line", "four_spot or nearest_spot"))
    x = court.throw_in_line if end == "left" else court.length - court.throw_in_line
    return (x, 0 if side == "table" else court.width), "sideline"


def division_spot(court: Court, side: TableSide, attacking: Basket | None = None) -> Spot:
    """Return the sideline point level with the division line.

    On a short floor with two division lines it is the one of the team attacking ``attacking``; without it,
    the point halfway between the two.

    >>> from tenbetween.court.markings import court_of
    >>> division_spot(court_of("us-hs"), "opposite") == ((um("42 ft"), um("50 ft")), "division_line")
    True
    """
    if attacking is None:
        x = court.length // 2
    else:
        x = court.front if attacking == "left" else court.length - court.front
    return (x, 0 if side == "table" else court.width), "division_line"


def _no_marks(court: Court, wanted: str, instead: str) -> Problem:
    return Problem("court", court.kind, f"a court with {wanted}", f"use {instead} for this court")
