"""From feet on the court to points of the picture: one scale, seen from the table, turned but never mirrored.

The table lies at the bottom and ``y`` runs upwards; this is the only place where that happens. ``turned`` is
a half turn, for a gym whose table stands the other way: left and right change with top and bottom.
"""

from __future__ import annotations

from dataclasses import dataclass

from tenbetween.court import Court
from tenbetween.draw.svg import Point
from tenbetween.situation import Basket, PointFt
from tenbetween.units import feet

LABEL = 14.0
"""Size of every text in a picture, in its own unit: 14 pt when the sheet prints it one to one."""
THIN = 1.5
"""Width of the thinnest mark."""
OFFICIAL = 12.5
"""Least half width of an official, so that his letter has room."""
SMALL_OFFICIAL = 10.5
"""The same in a small picture on a page of many."""
TABLE_MARGIN, FAR_MARGIN, END_MARGIN = 80.0, 50.0, 46.0
"""Room outside the lines: table side (table, measure, direction), opposite side, least beyond an end line."""


@dataclass(frozen=True, slots=True)
class Rect:
    """An upright box in the picture."""

    x0: float
    y0: float
    x1: float
    y1: float

    def meets(self, other: Rect) -> bool:
        """True when two boxes share more than an edge.

        >>> Rect(0, 0, 2, 2).meets(Rect(1, 1, 3, 3)), Rect(0, 0, 2, 2).meets(Rect(2, 0, 3, 2))
        (True, False)
        """
        return self.x0 < other.x1 and other.x0 < self.x1 and self.y0 < other.y1 and other.y0 < self.y1

    def inside(self, other: Rect) -> bool:
        """True when this box lies wholly in the other.

        >>> Rect(1, 1, 2, 2).inside(Rect(0, 0, 3, 3))
        True
        """
        return self.x0 >= other.x0 and self.y0 >= other.y0 and self.x1 <= other.x1 and self.y1 <= other.y1

    def wider(self, by: float) -> Rect:
        """The same box with a margin all round.

        >>> Rect(1, 1, 2, 2).wider(1)
        Rect(x0=0, y0=0, x1=3, y1=3)
        """
        return Rect(self.x0 - by, self.y0 - by, self.x1 + by, self.y1 + by)

    @property
    def middle(self) -> Point:
        """Its middle."""
        return ((self.x0 + self.x1) / 2, (self.y0 + self.y1) / 2)


def around(at: Point, half: float) -> Rect:
    """Return the square box round a point.

    >>> around((1, 1), 1)
    Rect(x0=0, y0=0, x1=2, y1=2)
    """
    return Rect(at[0] - half, at[1] - half, at[0] + half, at[1] + half)


def official_size(scale: float) -> float:
    """Return half the width of an official at a scale.

    >>> official_size(5), official_size(10)
    (12.5, 19.0)
    """
    return max(OFFICIAL, 1.9 * scale)


def end_margin(scale: float) -> float:
    """Return the room beyond an end line: a lead who stands 4.5 ft behind it is never cut off.

    >>> end_margin(5), end_margin(10)
    (46.0, 69.0)
    """
    return max(END_MARGIN, 4.5 * scale + official_size(scale) + 5.0)


@dataclass(frozen=True, slots=True)
class Frame:
    """Which part of the court is shown, how large, and from which side."""

    length: float
    width: float
    x0: float
    x1: float
    """Part of the court shown, in feet, as seen (after turning)."""
    scale: float
    """Points of the picture per foot."""
    turned: bool
    left: float
    """Room left of ``x0``."""
    right: float
    near: float = TABLE_MARGIN
    """Room on the table side."""
    far: float = FAR_MARGIN
    compact: bool = False
    """A small picture on a page of many: marks and letters, no words beside them."""

    @property
    def size(self) -> Point:
        """Width and height of the picture."""
        across = (self.x1 - self.x0) * self.scale + self.left + self.right
        return (across, self.width * self.scale + self.near + self.far)

    @property
    def bounds(self) -> Rect:
        """The whole picture as a box."""
        return Rect(0, 0, *self.size)

    @property
    def official(self) -> float:
        """Half the width of an official as drawn."""
        return SMALL_OFFICIAL if self.compact else official_size(self.scale)

    def at(self, point: PointFt) -> Point:
        """Return where a place on the court lies in the picture.

        >>> from tenbetween.court import court_of
        >>> frame = frame_of(court_of("us-hs"), half=None, scale=10)
        >>> frame.at((0, 50)), frame.at((84, 0))
        ((69.0, 50.0), (909.0, 550.0))
        """
        x, y = point
        if self.turned:
            x, y = self.length - x, self.width - y
        top = self.near if self.turned else self.far
        return (self.left + (x - self.x0) * self.scale, top + (self.width - y) * self.scale)

    def feet(self, point: Point) -> PointFt:
        """Return the place on the court of a point in the picture: the way back of ``at``.

        >>> from tenbetween.court import court_of
        >>> frame_of(court_of("us-hs"), half=None, scale=10, turned=True).feet((69.0, 80.0))
        (84.0, 0.0)
        """
        top = self.near if self.turned else self.far
        x = self.x0 + (point[0] - self.left) / self.scale
        y = self.width - (point[1] - top) / self.scale
        return (self.length - x, self.width - y) if self.turned else (x, y)

    def outward(self, side_y: float) -> float:
        """Return -1 (up) or 1 (down): which way off the court is at the sideline ``side_y`` feet."""
        up = (side_y > self.width / 2) != self.turned
        return -1.0 if up else 1.0


BEYOND = 9.0
"""How far a half court is shown past the division line, in feet: the table and the circle stay whole."""


def frame_of(
    court: Court, *, half: Basket | None, scale: float, turned: bool = False, compact: bool = False
) -> Frame:
    """Return the frame of a whole court, or of the half with one basket.

    >>> from tenbetween.court import court_of
    >>> frame_of(court_of("us-hs"), half="right", scale=6).size
    (356.0, 430.0)
    """
    length, width = feet(court.length), feet(court.width)
    x0, x1, left, right = _shown(length, half, turned, _beyond(scale, compact))
    near, far = (50.0, 28.0) if compact else (TABLE_MARGIN, FAR_MARGIN)
    return Frame(length, width, x0, x1, scale, turned, left, right, near, far, compact)


def _beyond(scale: float, compact: bool) -> float:
    return 4.5 * scale + SMALL_OFFICIAL + 5.0 if compact else end_margin(scale)


def _shown(
    length: float, half: Basket | None, turned: bool, margin: float
) -> tuple[float, float, float, float]:
    if half is None:
        return 0.0, length, margin, margin
    on_the_right = (half == "right") != turned
    if on_the_right:
        return length / 2 - BEYOND, length, 4.0, margin
    return 0.0, length / 2 + BEYOND, margin, 4.0


def scale_to_fit(court: Court, *, half: bool, across: float) -> float:
    """Return the scale at which a picture is as wide as asked.

    >>> from tenbetween.court import court_of
    >>> round(scale_to_fit(court_of("us-hs"), half=False, across=540), 2)
    5.33
    """
    length = feet(court.length)
    shown, ends, rest = (length / 2 + BEYOND, 1, 4.0) if half else (length, 2, 0.0)
    scale = (across - rest - ends * END_MARGIN) / shown
    for _ in range(30):  # the margin grows with the scale; this settles in a few rounds
        scale = (across - rest - ends * end_margin(scale)) / shown
    return scale


def affine(frame: Frame) -> tuple[float, float, float, float, float, float]:
    """Return how court feet become units of the picture, as (a, b, c, d, e, f).

    >>> from tenbetween.court import court_of
    >>> affine(frame_of(court_of("us-hs"), half=None, scale=8.0))[:4]
    (8.0, 0.0, 0.0, -8.0)
    """
    (x0, y0), (x1, y1), (x2, y2) = frame.at((0, 0)), frame.at((1, 0)), frame.at((0, 1))
    return (
        round(x1 - x0, 6),
        round(y1 - y0, 6),
        round(x2 - x0, 6),
        round(y2 - y0, 6),
        round(x0, 6),
        round(y0, 6),
    )
