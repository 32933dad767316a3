"""Where officials are taught to stand: each place by name in words, as a point and the zone round it.

Knows the geometry of a place for a team attacking one end, an official on one sideline and, where it matters,
the thrower's spot; who is sent there, and when, is the book's business. Worked out in whole micrometres in a
frame turned to the official (``u`` from the end line attacked, ``v`` from his own sideline), given as feet.

Most places are common practice; ``PLACE_SOURCES`` says how firm each is. No place is claimed to be better.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

from msgspec import Struct

from tenbetween.court.markings import Court, CourtKind, court_of
from tenbetween.errors import Problem, TenbetweenError, one_of
from tenbetween.situation import Basket, Floor, PointFt, PointUm, Post, TableSide
from tenbetween.units import FOOT, INCH, METRE, feet

CENTIMETRE = METRE // 100
Box = tuple[int, int, int, int]
"""A zone: smallest and largest ``u``, smallest and largest ``v``."""
Standing = tuple[PointUm, Box]


class PlaceSource(Struct, frozen=True):
    """Where the geometry of a place was taken from, and how firm it is (``high``, ``medium``, ``low``)."""

    source: str
    confidence: str


@dataclass(frozen=True, slots=True)
class _View:
    """The court as the official sees it; ``spot`` is (u, v) of the thrower's spot, or None."""

    court: Court
    spot: PointUm | None
    name: str

    @property
    def middle(self) -> int:
        return self.court.length // 2

    def thrower(self) -> PointUm:
        if self.spot is None:
            raise TenbetweenError(
                Problem("spot", "none", f"the thrower's spot for the place {self.name!r}", "give the spot")
            )
        return self.spot

    def thrower_or_end_line(self) -> PointUm:
        """Return the spot, or without one (any point of the end line) a place at the thrower's end line."""
        return self.spot or (self.court.length, self.court.elbow - 3 * FOOT)


def _round(at: PointUm, along: int, across: int) -> Standing:
    """Return a point with a zone reaching ``along`` up and down the court and ``across`` to the sides."""
    u, v = at
    return at, (u - along, u + along, v - across, v + across)


# ---- play and throw-ins ----


def _lead_end_line(see: _View) -> Standing:
    court = see.court
    arc, lane = court.axis - court.corner, court.elbow
    if court.kind == "fiba":
        return (-2 * METRE, court.axis - 450 * CENTIMETRE), (-250 * CENTIMETRE, -150 * CENTIMETRE, arc, lane)
    return (-54 * INCH, court.axis - 15 * FOOT), (-6 * FOOT, -3 * FOOT, arc, lane)


def _trail_28(see: _View) -> Standing:
    out = see.court.mark_28 or see.court.throw_in_line or see.court.front
    return (out, 18 * INCH), (out - 3 * FOOT, out + 3 * FOOT, 0, 3 * FOOT)


def _trail_behind_ball(see: _View) -> Standing:
    u, v = see.thrower()
    behind = (u + 3 * METRE, u + 480 * CENTIMETRE, v - METRE, v + METRE)
    return (u + 380 * CENTIMETRE, v - 80 * CENTIMETRE), behind


def _behind_end_line(see: _View, outside: bool) -> Standing:
    """Return a place five feet along the end line from the thrower, towards or away from his sideline."""
    court = see.court
    spot_u, spot_v = see.thrower_or_end_line()
    on_far_side = spot_v > court.axis
    v = court.width - spot_v if on_far_side else spot_v
    # A thrower close to the corner leaves no room on the line: the official then stands past the corner.
    near, at, far = (
        (max(v - 7 * FOOT, -3 * FOOT), max(v - 5 * FOOT, -2 * FOOT), max(v - 3 * FOOT, -FOOT))
        if outside
        else (v + 3 * FOOT, v + 5 * FOOT, v + 7 * FOOT)
    )
    if on_far_side:
        near, at, far = court.width - far, court.width - at, court.width - near
    front = 2 * spot_u <= court.length
    deep, off, close = 42 * INCH, 30 * INCH, 18 * INCH
    if front:
        return (-off, at), (-deep, -close, near, far)
    return (court.length + off, at), (court.length + close, court.length + deep, near, far)


def _end_line_outside_thrower(see: _View) -> Standing:
    return _behind_end_line(see, outside=True)


def _end_line_inside_thrower(see: _View) -> Standing:
    return _behind_end_line(see, outside=False)


def _off_sideline(see: _View) -> tuple[int, int, int]:
    """Return the smallest ``v``, the point's and the largest just off the thrower's sideline."""
    court = see.court
    _, spot_v = see.thrower()
    deep, off, close = 3 * FOOT, 18 * INCH, 6 * INCH
    if spot_v > court.axis:
        return court.width + close, court.width + off, court.width + deep
    return -deep, -off, -close


def _sideline_back_court_side(see: _View) -> Standing:
    low, at, high = _off_sideline(see)
    u, end = see.thrower()[0], see.court.length
    box = (min(u + 3 * FOOT, end + FOOT), min(u + 8 * FOOT, end + 4 * FOOT), low, high)
    return (min(u + 6 * FOOT, end + 3 * FOOT), at), box


def _sideline_end_line_side(see: _View) -> Standing:
    low, at, high = _off_sideline(see)
    u = see.thrower()[0]
    box = (max(u - 8 * FOOT, -4 * FOOT), max(u - 3 * FOOT, -FOOT), low, high)
    return (max(u - 6 * FOOT, -3 * FOOT), at), box


def _division_line_holding(see: _View) -> Standing:
    return _round((see.court.front, 3 * FOOT), 6 * FOOT, 3 * FOOT)


def _near_basket_trail(see: _View) -> Standing:
    end = see.court.length
    return (end - 3 * FOOT, 8 * FOOT), (end - 8 * FOOT, end + 4 * FOOT, 2 * FOOT, 16 * FOOT)


# ---- jump ball and free throws ----


def _circle_tosser(see: _View) -> Standing:
    axis = see.court.axis
    box = (see.middle - 2 * FOOT, see.middle + 2 * FOOT, axis + FOOT, axis + see.court.circle)
    return (see.middle, axis + 30 * INCH), box


def _division_line_table(see: _View) -> Standing:
    return _round((see.middle, 2 * FOOT), 3 * FOOT, 2 * FOOT)


def _free_throw_lead(see: _View) -> Standing:
    v = see.court.elbow - 4 * FOOT
    return (-2 * FOOT, v), (-4 * FOOT, 0, v - 2 * FOOT, v + 2 * FOOT)


def _free_throw_trail(see: _View) -> Standing:
    line, v = see.court.free_throw, see.court.elbow // 2
    return (line + 9 * INCH, v), (line, line + 3 * FOOT, v - 3 * FOOT, v + 3 * FOOT)


def _free_throw_alone(see: _View) -> Standing:
    line, lane = see.court.free_throw, see.court.elbow
    box = (line - 5 * FOOT, line + 2 * FOOT, lane - 4 * FOOT, lane)
    return (line - FOOT, lane - 2 * FOOT), box


def _by_the_benches(see: _View) -> Standing:
    return (see.middle, 7 * FOOT), (
        see.middle - 8 * FOOT,
        see.middle + 8 * FOOT,
        3 * FOOT,
        12 * FOOT,
    )


# ---- time-outs and breaks ----


def _time_out_spot(see: _View) -> Standing:
    court = see.court
    u, v = see.thrower_or_end_line()
    inside, reach = 18 * INCH, 18 * INCH
    if v in (0, court.width):
        return _round((u, inside if v == 0 else court.width - inside), reach, inside)
    return _round((inside if 2 * u <= court.length else court.length - inside, v), inside, reach)


def _on_division(v_from_table: Callable[[Court], int]) -> Callable[[_View], Standing]:
    return lambda see: _round((see.middle, v_from_table(see.court)), 2 * FOOT, 2 * FOOT)


def _halfway_table(court: Court) -> int:
    return (court.axis - court.circle) // 2


def _between_periods_umpire(see: _View) -> Standing:
    first_mark = 8 * FOOT if see.court.kind == "us-hs" else 180 * CENTIMETRE
    at = (first_mark, see.court.width - see.court.elbow + 18 * INCH)
    return _round(at, 3 * FOOT, 18 * INCH)


def _time_out_free_throw_line(see: _View) -> Standing:
    return _round((see.court.free_throw, see.court.width - 2 * FOOT), 2 * FOOT, 2 * FOOT)


@dataclass(frozen=True, slots=True)
class _Place:
    stand: Callable[[_View], Standing]
    words: str
    source: str
    confidence: str
    by_table: bool = False
    """The place names the table or the opposite side and does not turn with the official."""
    by_spot: bool = False


_PAGES = "local association teaching pages for crews of two, 2004-2023"
_PRACTICE = "common practice, no source"
_MEMORY = "from memory, no source read"
_MANUAL = "U.S. high-school officials' manual, 2001-2003, as quoted"

_PLACES: dict[str, _Place] = {
    "lead_end_line": _Place(
        _lead_end_line,
        "behind the end line, between the lane line and the three-point line",
        f"{_PAGES}: 3 to 6 ft behind the end line; FIBA two-person referees' manual, 4.6: about 2 m",
        "high",
    ),
    "trail_28": _Place(
        _trail_28,
        "along the sideline by the 28-ft mark",
        "clinic slides for crews of two, undated: trail starts near the 28-ft line; on a FIBA floor "
        "the same, level with the throw-in line",
        "medium",
    ),
    "trail_behind_ball": _Place(
        _trail_behind_ball,
        "behind the ball and a little to his own side",
        "FIBA two-person referees' manual, c. 2008-2010, 4.3: 3 to 5 m behind the ball",
        "high",
        by_spot=True,
    ),
    "end_line_outside_thrower": _Place(
        _end_line_outside_thrower,
        "behind the end line, between the thrower and the nearer sideline",
        f"{_MANUAL}: outside the thrower; distances are common practice",
        "high",
        by_spot=True,
    ),
    "end_line_inside_thrower": _Place(
        _end_line_inside_thrower,
        "behind the end line, between the thrower and the lane",
        "a college trainer's page, undated: inside the thrower for a view of the lane",
        "medium",
        by_spot=True,
    ),
    "sideline_back_court_side": _Place(
        _sideline_back_court_side,
        "off the sideline, a few steps from the thrower towards the back court",
        _PRACTICE,
        "medium",
        by_spot=True,
    ),
    "sideline_end_line_side": _Place(
        _sideline_end_line_side,
        "off the sideline, between the thrower and the end line, from the corner",
        "U.S. high-school officials' manual, 2003-2005, as quoted: from the corner; distance from practice",
        "medium",
        by_spot=True,
    ),
    "division_line_holding": _Place(
        _division_line_holding,
        "by the division line near the sideline, holding there against the press",
        f"{_PRACTICE}; FIBA two-person referees' manual, 4.8: near the sideline until the ball crosses",
        "medium",
    ),
    "near_basket_trail": _Place(
        _near_basket_trail,
        "near the end line where the goal was scored, on his own side",
        f"{_PRACTICE}; U.S. high-school rules, 2019-20, 7-6-1: the ball is not handed",
        "medium",
    ),
    "circle_tosser": _Place(
        _circle_tosser,
        "at the centre circle, facing the table",
        "a state association's sheet, undated: tosser at the circle facing the table",
        "medium",
        by_table=True,
    ),
    "division_line_table": _Place(
        _division_line_table, "at the division line, table side", _MEMORY, "medium", by_table=True
    ),
    "free_throw_lead": _Place(
        _free_throw_lead,
        "off the end line, about 4 ft outside the nearer lane line",
        f"{_PAGES}; the distance from memory",
        "medium",
    ),
    "free_throw_trail": _Place(
        _free_throw_trail,
        "just behind the free-throw line extended, halfway between lane line and sideline",
        "U.S. high-school officials' manual, c. 2015-2020, as quoted",
        "high",
    ),
    "free_throw_alone": _Place(
        _free_throw_alone, "alone at the free-throw line, beside the empty lane", _MEMORY, "low"
    ),
    "by_the_benches": _Place(
        _by_the_benches,
        "by the division line on the table side, facing the benches",
        "U.S. high-school case plays, 8.1.3, as quoted: partner with the players; the place from memory",
        "low",
        by_table=True,
    ),
    "time_out_spot": _Place(
        _time_out_spot,
        "on the spot with the ball",
        f"{_PAGES}: on the restart spot, the ball shows the direction",
        "high",
        by_spot=True,
    ),
    "time_out_opposite_circle": _Place(
        _on_division(lambda court: court.axis + court.circle),
        "on the division line at the circle, opposite the table",
        f"{_PAGES}; three readings differ",
        "medium",
        by_table=True,
    ),
    "time_out_opposite_halfway": _Place(
        _on_division(lambda court: court.width - _halfway_table(court)),
        "on the division line halfway between circle and sideline, opposite the table",
        f"{_PAGES}; three readings differ",
        "medium",
        by_table=True,
    ),
    "time_out_opposite_quarter": _Place(
        _on_division(lambda court: court.width - court.width // 4),
        "on the division line three quarters across, opposite the table",
        f"{_PAGES}; three readings differ",
        "medium",
        by_table=True,
    ),
    "time_out_table_circle": _Place(
        _on_division(lambda court: court.axis - court.circle),
        "on the division line at the circle, table side",
        f"{_PAGES}; three readings differ",
        "medium",
        by_table=True,
    ),
    "time_out_table_halfway": _Place(
        _on_division(_halfway_table),
        "on the division line halfway between circle and sideline, table side",
        f"{_PAGES}; three readings differ",
        "medium",
        by_table=True,
    ),
    "time_out_table_quarter": _Place(
        _on_division(lambda court: court.width // 4),
        "on the division line a quarter across, table side",
        f"{_PAGES}; three readings differ",
        "medium",
        by_table=True,
    ),
    "time_out_opposite_division_line": _Place(
        _on_division(lambda court: court.width - 2 * FOOT),
        "by the opposite sideline at the division line",
        "a Canadian regional board's FIBA time-out positions, 2018: opposite side, centre line",
        "high",
        by_table=True,
    ),
    "time_out_opposite_free_throw_line": _Place(
        _time_out_free_throw_line,
        "by the opposite sideline at the free-throw line extended",
        "a Canadian regional board's FIBA time-out positions, 2018: opposite side, either free-throw line",
        "high",
        by_table=True,
    ),
    "between_periods_referee": _Place(
        _on_division(lambda court: court.width - 2 * FOOT),
        "at the division line opposite the table, with the ball",
        "pages for crews of three, undated: Referee at the division line; for a crew of two from memory",
        "medium",
        by_table=True,
    ),
    "between_periods_umpire": _Place(
        _between_periods_umpire, "at the lane mark opposite the table", _MEMORY, "low", by_table=True
    ),
}

PLACE_NAMES: tuple[str, ...] = tuple(_PLACES)
PLACE_WORDS: dict[str, str] = {name: place.words for name, place in _PLACES.items()}
PLACE_SOURCES: dict[str, PlaceSource] = {
    name: PlaceSource(place.source, place.confidence) for name, place in _PLACES.items()
}
NAMES_THE_TABLE: frozenset[str] = frozenset(name for name, place in _PLACES.items() if place.by_table)
"""Places fixed to the table or to the side opposite it: they turn with the ends only."""


def post(court: Court, name: str, end: Basket, side: TableSide, spot: PointUm | None) -> Post:
    """Return the taught point and zone, in feet, of a place for a team attacking ``end``.

    ``side`` is the official's own sideline; ``spot`` the thrower's, None when there is none (or when any
    point of the end line will do).

    >>> post(court_of("us-hs"), "lead_end_line", "left", "table", None).at
    (-4.5, 10.0)
    >>> post(court_of("us-hs"), "free_throw_trail", "right", "opposite", None).at
    (64.25, 40.5)

    Raises:
        TenbetweenError: no such place, or one beside the thrower without a spot.
    """
    place = _PLACES.get(name)
    if place is None:
        raise TenbetweenError(one_of("place", name, PLACE_NAMES))
    thrower = spot if place.by_spot else None
    facing: TableSide = "table" if place.by_table else side
    return _post((court.kind, Floor(court.length, court.width)), name, end, facing, thrower)


@lru_cache(maxsize=16_384)
def _post(
    floor: tuple[CourtKind, Floor], name: str, end: Basket, side: TableSide, spot: PointUm | None
) -> Post:
    court = court_of(*floor)
    at, zone = standing(court, name, end, side, spot)
    return Post(name, _in_feet(at), tuple(_in_feet(corner) for corner in zone))


def standing(
    court: Court, name: str, end: Basket, side: TableSide, spot: PointUm | None
) -> tuple[PointUm, tuple[PointUm, ...]]:
    """Return the same point and zone in whole micrometres in the court frame, for exact comparison.

    >>> standing(court_of("fiba"), "lead_end_line", "left", "table", None)[0]
    (-2000000, 3000000)
    """

    def turn(u: int, v: int) -> PointUm:
        return (u if end == "left" else court.length - u, v if side == "table" else court.width - v)

    view = _View(court, None if spot is None else turn(*spot), name)
    at, (near, far, low, high) = _PLACES[name].stand(view)
    corners = ((near, low), (far, low), (far, high), (near, high))
    return turn(*at), tuple(turn(*corner) for corner in corners)


def _in_feet(at: PointUm) -> PointFt:
    return (feet(at[0]), feet(at[1]))
