"""The floor and its markings in whole micrometres, for each kind of court.

Knows the measures a rule can turn on (how far the basket, the free-throw line, the arc, the marks are from
the end line) and nothing of who may throw in where; drawing data with sources are in ``drawing``.
Frame: ``x`` from the left end line, ``y`` from the table sideline. ``u`` is the distance from the end line of
the basket in question: ``x`` for the left one, ``length - x`` for the right one.
"""

from __future__ import annotations

from functools import lru_cache
from math import isqrt
from typing import Literal, TypedDict, Unpack

from msgspec import Struct

from tenbetween.errors import Problem, TenbetweenError, one_of
from tenbetween.situation import Basket, Floor, PointUm
from tenbetween.units import ft_text, um

CourtKind = Literal["us-hs", "fiba"]
KINDS: tuple[CourtKind, ...] = ("us-hs", "fiba")

SHORT_FLOOR = um("74 ft")
"""U.S. floors shorter than this have two division lines."""
SHORT_FLOOR_FRONT = um("40 ft")
"""On such a floor each division line is this far from the farther end line."""


class Court(Struct, frozen=True, kw_only=True):
    """One floor with its markings; every length in micrometres, None where the rules have no such marking.

    ``axis`` is the ``y`` of the court's long axis, which runs through both baskets.
    """

    kind: CourtKind
    length: int
    width: int
    axis: int
    basket: int
    """Basket centre from the end line."""
    backboard: int
    """Backboard face from the end line."""
    backboard_half: int
    free_throw: int
    """Far edge of the free-throw line from the end line."""
    lane_half: int
    """Half the lane's width, lines included."""
    circle: int
    """Radius of the centre circle and of the free-throw circles."""
    arc: int
    """Radius of the three-point line's outer edge."""
    corner: int
    """Outer edge of its straight parts from the long axis."""
    straight_end: int
    """Where straight part and arc meet, from the end line, to the nearest micrometre."""
    front: int
    """Division line of the team attacking an end, from that end line."""
    division_lines: tuple[int, ...]
    """The ``x`` of the one or two division lines."""
    mark_28: int | None
    end_spot: int | None
    """End-line spot of the four from the long axis: three feet outside the lane line."""
    throw_in_line: int | None
    """Outer edge of the short throw-in line from the end line."""
    no_charge: int | None
    """Radius of the no-charge semicircle's inner edge."""
    line_width: int
    circle2: int
    """``circle`` squared, for comparing without a root."""
    arc2: int
    elbow: int
    """The ``y`` of the elbow on the table side."""


_Limits = tuple[int, int, int, int]
_LIMITS: dict[str, _Limits] = {
    # The arc and the two free-throw circles must fit; the upper limits are the largest legal floor.
    "us-hs": (um("60 ft"), um("94 ft"), um("40 ft"), um("50 ft")),
    "fiba": (um("24 m"), um("94 ft"), um("14 m"), um("50 ft")),
}
_USUAL: dict[str, Floor] = {
    "us-hs": Floor(um("84 ft"), um("50 ft")),
    "fiba": Floor(um("28 m"), um("15 m")),
}


@lru_cache(maxsize=64)
def court_of(kind: str, floor: Floor | None = None) -> Court:
    """Return the court of a kind (``us-hs`` or ``fiba``) on a floor, its usual floor when none is given.

    >>> court = court_of("us-hs")
    >>> [ft_text(n) for n in (court.length, court.width, court.free_throw, court.division_lines[0])]
    ['84 ft', '50 ft', '19 ft', '42 ft']
    >>> court_of("us-hs", Floor(um("70 ft"), um("50 ft"))).division_lines == (um("30 ft"), um("40 ft"))
    True

    A floor is taken to the even micrometre below, so that the long axis is a whole number.

    Raises:
        TenbetweenError: an unknown kind, or a floor on which the markings do not fit.
    """
    if kind not in KINDS:
        raise TenbetweenError(one_of("court", kind, KINDS))
    asked = floor or _USUAL[kind]
    problems = _floor_problems(kind, asked)
    if problems:
        raise TenbetweenError(problems)
    size = Floor(asked.length & ~1, asked.width & ~1)
    return _high_school(size) if kind == "us-hs" else _fiba(size)


def _floor_problems(kind: str, floor: Floor) -> list[Problem]:
    shortest, longest, narrowest, widest = _LIMITS[kind]
    checks = (("length", floor.length, shortest, longest), ("width", floor.width, narrowest, widest))
    return [
        Problem(
            f"court.{name}",
            ft_text(found),
            f"{ft_text(low)} to {ft_text(high)}",
            f"measure the floor's {name} from inside edge to inside edge, in feet",
        )
        for name, found, low, high in checks
        if not low <= found <= high
    ]


def _high_school(floor: Floor) -> Court:
    short = floor.length < SHORT_FLOOR
    front = SHORT_FLOOR_FRONT if short else floor.length // 2
    lane_half = um("6 ft")
    return _court(
        "us-hs",
        floor,
        front,
        basket=um("5 ft 3 in"),
        backboard=um("4 ft"),
        backboard_half=um("3 ft"),
        free_throw=um("19 ft"),
        circle=um("6 ft"),
        arc=um("19 ft 9 in"),
        corner=um("19 ft 9 in"),
        lane_half=lane_half,
        mark_28=um("28 ft"),
        end_spot=lane_half + um("3 ft"),
        throw_in_line=None,
        no_charge=None,
        line_width=um("2 in"),
    )


def _fiba(floor: Floor) -> Court:
    return _court(
        "fiba",
        floor,
        floor.length // 2,
        lane_half=um("2.45 m"),
        basket=um("1.575 m"),
        backboard=um("1.2 m"),
        backboard_half=um("0.9 m"),
        free_throw=um("5.8 m"),
        circle=um("1.8 m"),
        arc=um("6.75 m"),
        corner=um("6.6 m"),
        mark_28=None,
        end_spot=None,
        throw_in_line=um("8.325 m"),
        no_charge=um("1.25 m"),
        line_width=um("5 cm"),
    )


class _Printed(TypedDict):
    """The measures a book prints, from which the rest is worked out."""

    basket: int
    backboard: int
    backboard_half: int
    free_throw: int
    lane_half: int
    circle: int
    arc: int
    corner: int
    mark_28: int | None
    end_spot: int | None
    throw_in_line: int | None
    no_charge: int | None
    line_width: int


def _court(kind: CourtKind, floor: Floor, front: int, **printed: Unpack[_Printed]) -> Court:
    axis, arc, circle = floor.width // 2, printed["arc"], printed["circle"]
    return Court(
        kind=kind,
        length=floor.length,
        width=floor.width,
        axis=axis,
        front=front,
        division_lines=tuple(sorted({floor.length - front, front})),
        straight_end=printed["basket"] + _root(arc**2 - printed["corner"] ** 2),
        circle2=circle**2,
        arc2=arc**2,
        elbow=axis - printed["lane_half"],
        **printed,
    )


def _root(square: int) -> int:
    """Return the square root to the nearest whole number."""
    return (isqrt(4 * square) + 1) // 2


def depth_from(court: Court, at: PointUm, end: Basket) -> int:
    """Return how far a point is from the end line of a basket, in micrometres (negative behind it).

    >>> depth_from(court_of("us-hs"), (um("80 ft"), 0), "right") == um("4 ft")
    True
    """
    return at[0] if end == "left" else court.length - at[0]


def at_depth(court: Court, end: Basket, depth: int, y: int) -> PointUm:
    """Return the point that far from the end line of a basket, at ``y`` from the table sideline.

    >>> at_depth(court_of("us-hs"), "right", um("4 ft"), 0) == (um("80 ft"), 0)
    True
    """
    return (depth, y) if end == "left" else (court.length - depth, y)
