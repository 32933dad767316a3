"""What is marked on the floor, by name, in feet, each with its source, for all that draws or reads a floor.

Pure data, no drawing format. A line is given along the edge a rule measures to: the inner edge of a boundary,
the outer edge of lane lines and arc, the far edge of the free-throw line. Names say end (``left``, ``right``)
and side (``table``, ``opposite``). Points that are worked out and not painted are listed in ``not_painted``.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from math import atan2, degrees

from tenbetween.court.markings import Court
from tenbetween.situation import PointFt, PointUm
from tenbetween.units import FOOT, INCH, METRE, feet, ft_text, um

CENTIMETRE = METRE // 100
Segment = tuple[PointFt, PointFt]
Curve = dict[str, PointFt | float]
"""``centre``, ``radius`` in feet, ``from_deg`` to ``to_deg`` from +x towards +y."""

ENDS = ("left", "right")
SIDES = ("table", "opposite")


@dataclass(frozen=True, slots=True)
class _Mark:
    """A point or line in the half-court frame: u from the end line, v from the sideline of ``{side}``."""

    name: str
    points: tuple[PointUm, ...]
    source: str
    painted: bool = True
    one_side: bool = False
    """Marked on one side of the floor only; v is counted from the table sideline."""


@dataclass(frozen=True, slots=True)
class _Bow:
    name: str
    centre: PointUm
    radius: int
    half_angle: float
    source: str


@dataclass(slots=True)
class _Sheet:
    landmarks: dict[str, PointFt] = field(default_factory=dict)
    lines: dict[str, Segment] = field(default_factory=dict)
    curves: dict[str, Curve] = field(default_factory=dict)
    sources: dict[str, str] = field(default_factory=dict)
    unpainted: set[str] = field(default_factory=set)
    by_table: set[str] = field(default_factory=set)


def landmarks(court: Court) -> dict[str, PointFt]:
    """Return every named point of a court, in feet.

    >>> from tenbetween.court.markings import court_of
    >>> landmarks(court_of("us-hs"))["right_opposite_elbow"]
    (65.0, 31.0)
    """
    return dict(_sheet(court).landmarks)


def lines(court: Court) -> dict[str, Segment]:
    """Return every straight marking of a court by its two ends, in feet.

    >>> from tenbetween.court.markings import court_of
    >>> lines(court_of("us-hs"))["division_line"]
    ((42.0, 0.0), (42.0, 50.0))
    """
    return dict(_sheet(court).lines)


def curves(court: Court) -> dict[str, Curve]:
    """Return every round marking: centre and radius in feet, angles in degrees from +x towards +y.

    >>> from tenbetween.court.markings import court_of
    >>> curves(court_of("us-hs"))["left_arc"]
    {'centre': (5.25, 25.0), 'radius': 19.75, 'from_deg': -90.0, 'to_deg': 90.0}
    """
    return {name: dict(curve) for name, curve in _sheet(court).curves.items()}


def sources(court: Court) -> dict[str, str]:
    """Return the source of every landmark, line and curve.

    >>> from tenbetween.court.markings import court_of
    >>> sources(court_of("us-hs"))["left_arc"]
    'U.S. high-school rules, 2019-20, 1-4-1'
    """
    return dict(_sheet(court).sources)


def not_painted(court: Court) -> frozenset[str]:
    """Return the names of points that nobody can see on the floor: worked out, or hanging above it.

    >>> from tenbetween.court.markings import court_of
    >>> "left_basket" in not_painted(court_of("fiba"))
    True
    """
    return frozenset(_sheet(court).unpainted)


def fixed_to_table(court: Court) -> frozenset[str]:
    """Return the names of markings on one side only, which turn with the ends but not with the sides.

    >>> from tenbetween.court.markings import court_of
    >>> "left_throw_in_line" in fixed_to_table(court_of("fiba"))
    True
    """
    return frozenset(_sheet(court).by_table)


def heights(court: Court) -> dict[str, tuple[float, str]]:
    """Return heights above the floor in feet, with their source.

    >>> from tenbetween.court.markings import court_of
    >>> heights(court_of("us-hs"))["ring"][0]
    10.0
    """
    if court.kind == "us-hs":
        return {"ring": (10.0, "U.S. high-school rules, as quoted; article not read")}
    return {
        "ring": (feet(um("3.05 m")), "FIBA Official Basketball Rules, dimension guide, as quoted"),
        "lowest_obstruction": (feet(um("7 m")), "FIBA Official Basketball Rules, dimension guide, as quoted"),
    }


# ---- what is on the floor ----

_HS = "U.S. high-school rules, 2019-20, "
_FIBA = "FIBA Official Basketball Rules, Art. 2"
_HS_QUOTED = "U.S. high-school rules, as quoted; article not read"
_DATA = "two general plotting libraries' data"

_SOURCES: dict[str, dict[str, str]] = {
    "us-hs": {
        "boundary": _HS + "1-1 and 1-2-1",
        "division": _HS + "1-3-2",
        "centre": _HS + "1-3-1",
        "lane": _HS + "1-5-1",
        "marks": _HS + "1-5-2; the places along the lane from a general plotting library's data",
        "free_throw": "U.S. high-school rules, 1-6, as quoted: 15 ft from the backboard face",
        "circle": "a general plotting library's data (free-throw circle 6 ft)",
        "arc": _HS + "1-4-1",
        "backboard": "a general plotting library's data (4 ft from the end line, 6 ft wide)",
        "basket": "calculated from the backboard face: 6 in to the ring and its inner radius of 9 in",
        "ring": _HS_QUOTED,
    },
    "fiba": {
        "boundary": _FIBA,
        "division": _FIBA,
        "centre": _FIBA,
        "lane": _FIBA,
        "marks": f"{_FIBA}; the places along the lane from a general plotting library's data",
        "free_throw": _FIBA,
        "circle": _FIBA,
        "arc": _FIBA,
        "backboard": f"{_DATA} (1.20 m from the end line); 1.80 m wide from one of them",
        "basket": f"{_DATA} (1.575 m from the end line)",
        "ring": "a general plotting library's data (inner radius 0.225 m)",
    },
}


def _marks(court: Court) -> Iterator[_Mark]:
    said = _SOURCES[court.kind]
    yield from _boundary(court, said)
    yield from _lane(court, said)
    yield from _lane_marks(court, said)
    yield from _arc(court, said)
    yield from _basket(court, said)
    yield from _throw_in_marks(court)
    yield from _bench_marks(court)


def _boundary(court: Court, said: dict[str, str]) -> Iterator[_Mark]:
    length, width, axis = court.length, court.width, court.axis
    corner = "calculated: where sideline and end line meet"
    yield _Mark("{end}_{side}_corner", ((0, 0),), corner)
    yield _Mark("{end}_end_line", ((0, 0), (0, width)), said["boundary"])
    yield _Mark("{side}_sideline", ((0, 0), (length, 0)), said["boundary"])
    yield _Mark("centre", ((length // 2, axis),), "calculated: the middle of the floor", painted=False)
    past = 15 * CENTIMETRE if court.kind == "fiba" else 0
    two = len(court.division_lines) == 2
    x = min(court.division_lines)
    name = "{end}_division_line" if two else "division_line"
    yield _Mark(name, ((x, -past), (x, width + past)), said["division"])
    yield _Mark(name + "_{side}", ((x, 0),), "calculated: where division line and sideline meet")
    circle = (
        "calculated: centre circle, 6 ft" if court.kind == "us-hs" else "calculated: centre circle, 1.8 m"
    )
    yield _Mark("centre_circle_{side}", ((length // 2, axis - court.circle),), circle)
    yield _Mark("centre_circle_{end}", ((length // 2 - court.circle, axis),), circle)


def _lane(court: Court, said: dict[str, str]) -> Iterator[_Mark]:
    line, lane, axis = court.free_throw, court.elbow, court.axis
    shot = um("1.8 m") if court.kind == "fiba" else court.lane_half
    yield _Mark("{end}_{side}_lane_line", ((0, lane), (line, lane)), said["lane"])
    yield _Mark("{end}_free_throw_line", ((line, axis - shot), (line, axis + shot)), said["free_throw"])
    if court.kind == "fiba":
        yield _Mark("{end}_{side}_lane_top", ((line, lane), (line, axis - shot)), said["lane"])
    yield _Mark("{end}_{side}_lane_corner", ((0, lane),), "calculated: lane line and end line")
    yield _Mark("{end}_{side}_elbow", ((line, lane),), "calculated: lane line and free-throw line")
    yield _Mark("{end}_free_throw_line_middle", ((line, axis),), "calculated: free-throw line and long axis")
    yield _Mark(
        "{end}_free_throw_semicircle_top",
        ((line + court.circle, axis),),
        "calculated: free-throw line and the semicircle's radius",
    )
    yield _Mark(
        "{end}_{side}_free_throw_line_extended",
        ((line, 0),),
        "calculated: free-throw line extended to the sideline",
        painted=False,
    )


LANE_MARKS: dict[str, tuple[tuple[str, int, int], ...]] = {
    # name, near and far edge from the end line
    "us-hs": (
        ("first", 94 * INCH, 96 * INCH),
        ("second", 132 * INCH, 134 * INCH),
        ("third", 170 * INCH, 172 * INCH),
        ("fourth", 208 * INCH, 210 * INCH),
    ),
    "fiba": (
        ("first", 175 * CENTIMETRE, 180 * CENTIMETRE),
        ("neutral", 265 * CENTIMETRE, 305 * CENTIMETRE),
        ("third", 390 * CENTIMETRE, 395 * CENTIMETRE),
        ("fourth", 480 * CENTIMETRE, 485 * CENTIMETRE),
    ),
}
"""Lane-space marks outward from the end line; a place to stand lies between each two."""
LANE_MARK_LENGTH = {"us-hs": 8 * INCH, "fiba": 10 * CENTIMETRE}


def _lane_marks(court: Court, said: dict[str, str]) -> Iterator[_Mark]:
    lane, out = court.elbow, court.elbow - LANE_MARK_LENGTH[court.kind]
    for name, near, far in LANE_MARKS[court.kind]:
        for edge, u in (("near", near), ("far", far)):
            full = "{end}_{side}_" + f"{name}_lane_mark_{edge}_edge"
            yield _Mark(full, ((u, lane), (u, out)), said["marks"])


def _arc(court: Court, said: dict[str, str]) -> Iterator[_Mark]:
    v, joint = court.axis - court.corner, court.straight_end
    yield _Mark("{end}_{side}_arc_straight", ((0, v), (joint, v)), said["arc"])
    yield _Mark("{end}_{side}_arc_corner", ((0, v),), "calculated: straight part and end line")
    yield _Mark("{end}_{side}_arc_joint", ((joint, v),), "calculated: where straight part and arc meet")
    top = f"calculated: basket centre plus the radius, {ft_text(court.arc)}"
    yield _Mark("{end}_arc_top", ((court.basket + court.arc, court.axis),), top)


def _basket(court: Court, said: dict[str, str]) -> Iterator[_Mark]:
    face, edge = court.backboard, court.axis - court.backboard_half
    yield _Mark("{end}_backboard", ((face, edge), (face, court.width - edge)), said["backboard"])
    yield _Mark("{end}_{side}_backboard_edge", ((face, edge),), said["backboard"], painted=False)
    yield _Mark("{end}_basket", ((court.basket, court.axis),), said["basket"], painted=False)
    if court.no_charge is not None:
        v = court.axis - court.no_charge
        sides = "from memory: straight sides of 0.375 m to the point under the backboard face"
        yield _Mark("{end}_{side}_no_charge_straight", ((face, v), (court.basket, v)), sides)


def _throw_in_marks(court: Court) -> Iterator[_Mark]:
    if court.mark_28 is not None and court.end_spot is not None:
        note = "a local association's note on the 2023-24 throw-in rule; how long it is drawn is ours"
        yield _Mark("{end}_{side}_28_ft_mark", ((court.mark_28, 0), (court.mark_28, FOOT)), note)
        yield _Mark("{end}_{side}_28_ft_spot", ((court.mark_28, 0),), note)
        spot = "calculated: 3 ft outside the lane line (U.S. high-school rules, 2023-24, 7-5-3, as quoted)"
        at = (0, court.axis - court.end_spot)
        yield _Mark("{end}_{side}_end_line_spot", (at,), spot, painted=False)
    if court.throw_in_line is not None:
        u, v = court.throw_in_line, court.width
        note = "a general plotting library's data (8.275 m and the line's 0.05 m); opposite side from memory"
        yield _Mark("{end}_throw_in_line", ((u, v), (u, v + 15 * CENTIMETRE)), note, one_side=True)
        yield _Mark("{end}_throw_in_line_spot", ((u, v),), note, one_side=True)


def _bench_marks(court: Court) -> Iterator[_Mark]:
    if court.kind == "fiba":
        u = court.length // 2 - 5 * METRE
        note = "a general plotting library's data (2 m long); 5 m from the centre line from memory"
        yield _Mark("{end}_bench_line", ((u, 0), (u, -2 * METRE)), note, one_side=True)
        yield _Mark("{end}_bench_end", ((0, 0), (0, -2 * METRE)), note, one_side=True)
    elif court.mark_28 is not None:
        note = "from memory: up to 28 ft from the end line (older books 14 ft); a state may shorten it"
        yield _Mark("{end}_coaching_box", ((0, 0), (court.mark_28, 0)), note, one_side=True)


def _bows(court: Court) -> Iterator[_Bow]:
    said = _SOURCES[court.kind]
    basket = (court.basket, court.axis)
    open_to = degrees(atan2(court.corner, court.straight_end - court.basket))
    yield _Bow("centre_circle", (court.length // 2, court.axis), court.circle, 180.0, said["centre"])
    yield _Bow(
        "{end}_free_throw_semicircle", (court.free_throw, court.axis), court.circle, 90.0, said["circle"]
    )
    yield _Bow("{end}_arc", basket, court.arc, open_to, said["arc"])
    ring = 9 * INCH if court.kind == "us-hs" else 225 * METRE // 1000
    yield _Bow("{end}_ring", basket, ring, 180.0, said["ring"])
    if court.no_charge is not None:
        note = "a general plotting library's data (inner edge 1.25 m)"
        yield _Bow("{end}_no_charge_semicircle", basket, court.no_charge, 90.0, note)


# ---- turning the half court onto both ends and sides ----


@lru_cache(maxsize=16)
def _sheet(court: Court) -> _Sheet:
    sheet = _Sheet()
    for mark in _marks(court):
        for name, end, side in _named(mark.name):
            points = tuple(_turn(court, at, end, side) for at in mark.points)
            _note(sheet, name, points, mark)
    for bow in _bows(court):
        for name, end, _ in _named(bow.name):
            _note_bow(court, sheet, name, bow, end)
    return sheet


def _named(name: str) -> Iterator[tuple[str, str, str]]:
    for end in ENDS if "{end}" in name else ENDS[:1]:
        for side in SIDES if "{side}" in name else SIDES[:1]:
            yield name.format(end=end, side=side), end, side


def _turn(court: Court, at: PointUm, end: str, side: str) -> PointFt:
    u, v = at
    x = u if end == "left" else court.length - u
    y = v if side == "table" else court.width - v
    return (feet(x), feet(y))


def _note(sheet: _Sheet, name: str, points: tuple[PointFt, ...], mark: _Mark) -> None:
    if len(points) == 1:
        sheet.landmarks[name] = points[0]
    else:
        sheet.lines[name] = (points[0], points[1])
    sheet.sources[name] = mark.source
    if not mark.painted:
        sheet.unpainted.add(name)
    if mark.one_side:
        sheet.by_table.add(name)


def _note_bow(court: Court, sheet: _Sheet, name: str, bow: _Bow, end: str) -> None:
    half = round(bow.half_angle, 4)
    # A whole circle reads 0 to 360 at either end.
    facing = 0.0 if end == "left" and half < 180 else 180.0
    sheet.curves[name] = {
        "centre": _turn(court, bow.centre, end, "table"),
        "radius": feet(bow.radius),
        "from_deg": facing - half,
        "to_deg": facing + half,
    }
    sheet.sources[name] = bow.source
