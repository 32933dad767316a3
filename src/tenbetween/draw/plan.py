"""A diagram before it is painted: marks, labels and lines with their boxes, in points of the picture.

Knows no colours and decides no place; ``layout`` and ``lettering`` fill it in, ``diagram`` paints it.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from tenbetween.court import Court
from tenbetween.draw.frame import Frame, Rect
from tenbetween.draw.labels import Room
from tenbetween.draw.svg import Point
from tenbetween.situation import PointUm, Ruling
from tenbetween.units import feet

Curve = tuple[Point, Point, Point, Point]
DRAWN = ("restart", "spot", "administers", "roles_after", "lead_side_after", "places")
"""Parts that would be drawn on the court, and are a question mark while nobody entered them."""


@dataclass(frozen=True, slots=True)
class Label:
    """Lines of words in a box, each with a mark before it or none; ``tie`` is where a thin line leads."""

    kind: str
    lines: tuple[tuple[str, str], ...]
    box: Rect
    bold: bool = False
    tie: Point | None = None


@dataclass(frozen=True, slots=True)
class Mark:
    """Something that must stay uncovered: what it is, where, and its box."""

    kind: str
    at: Point
    box: Rect
    text: str = ""
    shape: str = ""


@dataclass(frozen=True, slots=True)
class Move:
    """A way from before to at disposal."""

    curve: Curve
    shape: str


@dataclass(frozen=True, slots=True)
class Measure:
    """A length between two points, with its words in a box."""

    first: Point
    last: Point
    box: Rect
    words: str


@dataclass(frozen=True, slots=True)
class Owned:
    """A stretch of boundary line with its owner, as a chain in the picture just outside the line."""

    role: str
    first: Point
    last: Point


@dataclass(slots=True)
class Layout:
    """A diagram with everything in its place."""

    ruling: Ruling
    court: Court
    frame: Frame
    room: Room
    marks: list[Mark] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)
    moves: list[Move] = field(default_factory=list)
    measures: list[Measure] = field(default_factory=list)
    owned: list[Owned] = field(default_factory=list)
    areas: list[tuple[Point, ...]] = field(default_factory=list)
    dividing: list[tuple[Point, ...]] = field(default_factory=list)
    spot_bar: tuple[Point, Point] | None = None
    other_bar: tuple[Point, Point] | None = None
    run_bar: tuple[Point, Point] | None = None
    given: tuple[Point, Point] | None = None
    arrow: tuple[Point, Point] | None = None
    table: Rect | None = None


def marks_of(plan: Layout, kind: str) -> list[Mark]:
    """Return the marks of one kind."""
    return [mark for mark in plan.marks if mark.kind == kind]


def out_of(plan: Layout, spot: PointUm) -> Point:
    """Return the unit step, in the picture, that leads off the court at a boundary spot."""
    x, y = feet(spot[0]), feet(spot[1])
    if y <= 0 or y >= plan.frame.width:
        return (0.0, plan.frame.outward(y))
    left = (x <= 0) != plan.frame.turned
    return (-1.0 if left else 1.0, 0.0)


def step_off(plan: Layout, x: float) -> Point:
    """Return the unit step off the court at the end line ``x`` feet."""
    left = (x <= 0) != plan.frame.turned
    return (-1.0 if left else 1.0, 0.0)


def thrower_radius(frame: Frame) -> float:
    """Return the half width of the thrower."""
    return 5.0 if frame.compact else max(7.0, 0.9 * frame.scale)


def between(a: Point, b: Point, pieces: int) -> list[Point]:
    """Return points along a straight line, its ends among them.

    >>> between((0, 0), (2, 0), 2)
    [(0.0, 0.0), (1.0, 0.0), (2.0, 0.0)]
    """
    return [(a[0] + (b[0] - a[0]) * i / pieces, a[1] + (b[1] - a[1]) * i / pieces) for i in range(pieces + 1)]


def at_part(a: Point, b: Point, t: float) -> Point:
    """Return the point a part of the way along a straight line.

    >>> at_part((0, 0), (4, 2), 0.5)
    (2.0, 1.0)
    """
    return (a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t)


# ---- words and numbers ----


def deciding_line(ruling: Ruling) -> str | None:
    """Return the dividing line to draw, or None: the near one, else the level that decides a sideline.

    >>> from tenbetween.situation import Situation
    >>> out = Situation(edition="us-hs-2025", attacking="left", stopped_by="out_of_bounds")
    >>> deciding_line(Ruling(situation=out, restart="throw_in", line="sideline", court_part="frontcourt"))
    'free_throw_line_extended'
    """
    if ruling.near is not None:
        return ruling.near.line
    if ruling.restart == "throw_in" and ruling.line == "sideline" and ruling.court_part == "frontcourt":
        return "free_throw_line_extended"
    return None
