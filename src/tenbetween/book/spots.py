"""Puts a kind of spot on the floor: works out the place features a row may ask for, then the spot itself.

What each word of table ``spot`` means is here, once; which word applies is a row of the book.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from msgspec import Struct

from tenbetween.court import (
    Court,
    corner_to_elbow_spot,
    division_spot,
    four_spot,
    half,
    inside_arc,
    inside_corner_to_elbow,
    move_to_boundary,
    nearest_spot,
    out_of_bounds_spot,
    side_of,
    throw_in_line_spot,
)
from tenbetween.situation import Basket, Line, NotCovered, PointUm, other_basket
from tenbetween.units import FOOT

if TYPE_CHECKING:
    from tenbetween.book.decide import Case


class Placed(Struct, frozen=True):
    """A spot on the floor: the point, its line, which court part it is in, and the kind that put it there."""

    at: PointUm
    line: Line | None
    part: str
    kind: str
    moved_ft: float = 0.0


def place_spot(case: Case) -> Placed | None:
    """Return the spot of a throw-in, or None when the book or the situation does not give one."""
    s, court = case.s, case.court
    at, moved = s.at, 0
    if at is not None and (s.stopped_by == "out_of_bounds" or _outside(case.court, at)):
        found = move_to_boundary(court, at)
        if found is None:
            case.leave_open(
                "spot",
                "the place is farther than 1.5 ft from every boundary line: say where the ball crossed",
            )
            return None
        at, moved = found
    set_place_features(case, at)
    outcome = case.ask("spot")
    if outcome is None:
        if at is None:
            case.not_covered[-1] = NotCovered("spot", "the place where it happened was not given")
        return None
    return put(case, outcome["spot"], at, moved)


def _outside(court: Court, at: PointUm) -> bool:
    """A place a little off the floor is meant on the line; everything after it needs a point of the floor."""
    return not (0 <= at[0] <= court.length and 0 <= at[1] <= court.width)


def set_place_features(case: Case, at: PointUm | None) -> None:
    """Fill in where it happened, for the team that puts the ball in play."""
    f = case.f
    if at is None:
        return
    court, attacks = case.court, case.attacks
    on_division = at[0] in court.division_lines
    part = half(court, at, attacks)
    end = attacks if part == "frontcourt" else other_basket(attacks)
    f["place"] = "division_line" if on_division else part
    f["inside_arc"] = "yes" if inside_arc(court, at, end) else "no"
    f["inside_corner_to_elbow"] = "yes" if inside_corner_to_elbow(court, at, end) else "no"
    f["inside_over_semicircle"] = "yes" if inside_corner_to_elbow(court, at, end, "over_circle") else "no"


def put(case: Case, kind: str, at: PointUm | None, moved: int = 0) -> Placed | None:
    """Return the spot a kind means; a kind that needs a place gives None without one."""
    if kind == "own_end_line":
        return Placed((0, 0), "end_line", "backcourt", kind)
    point_line = _PUT[kind](case, at)
    if point_line is None:
        case.leave_open("spot", "the place where it happened was not given")
        return None
    point, line = point_line
    return Placed(point, line, half(case.court, point, case.attacks), kind, round(moved / FOOT, 4))


def end_of(case: Case, at: PointUm) -> Basket:
    """Return the end a place lies in; the division line counts as back court unless a row says otherwise."""
    if case.f["place"] == "division_line" and case.s.stopped_by == "violation" and case.s.ball_to == "other":
        return (
            case.attacks
        )  # the one who broke the rule stood in his own back court, the thrower's front court
    front = half(case.court, at, case.attacks) == "frontcourt"
    return case.attacks if front else other_basket(case.attacks)


def _as_crossed(case: Case, at: PointUm | None) -> Any:
    return _same_place(case, at)


def _nearest(case: Case, at: PointUm | None) -> Any:
    return None if at is None else nearest_spot(case.court, at, case.tie)


def _by_corner_to_elbow(case: Case, at: PointUm | None) -> Any:
    return None if at is None else corner_to_elbow_spot(case.court, at, case.tie)


def _end_line_spot(case: Case, at: PointUm | None) -> Any:
    return None if at is None else _four(case, at, True)


def _sideline_mark(case: Case, at: PointUm | None) -> Any:
    return None if at is None else _four(case, at, False)


def _four(case: Case, at: PointUm, inside: bool) -> Any:
    point = case.tables["spot"].settings["end_spot_point"].value
    return four_spot(case.court, end_of(case, at), inside, side_of(case.court, at, case.tie), point)


def _division_opposite(case: Case, at: PointUm | None) -> Any:
    return division_spot(case.court, "opposite")


def _front_throw_in_line(case: Case, at: PointUm | None) -> Any:
    return throw_in_line_spot(case.court, case.attacks, "opposite")


def _same_place(case: Case, at: PointUm | None) -> Any:
    if at is None:
        return None
    found = move_to_boundary(case.court, at)
    if found is None:
        return nearest_spot(case.court, at, case.tie)
    return out_of_bounds_spot(case.court, found[0], case.tie)


_PUT = {
    "as_crossed": _as_crossed,
    "nearest": _nearest,
    "nearest_by_corner_to_elbow": _by_corner_to_elbow,
    "end_line_spot": _end_line_spot,
    "sideline_mark": _sideline_mark,
    "division_line_opposite": _division_opposite,
    "front_throw_in_line": _front_throw_in_line,
    "same_place": _same_place,
}
