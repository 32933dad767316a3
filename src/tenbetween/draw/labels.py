"""Finds room for labels: boxes never meet each other, an official or a spot, and stay in the picture.

Knows boxes only. What must not be touched is given first; lines one would rather not cover are given as
soft. A label that finds no room near its mark goes to the nearest free room, with a thin line back to it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from itertools import islice
from math import hypot, inf

from tenbetween.draw.frame import Rect
from tenbetween.draw.svg import Point

GAP = 3.0
NEAR = (4.0, 10.0, 18.0, 28.0)
STEP = 9.0
CHOICE = 24
"""How many of the nearest free places a label far from its mark may choose from."""
LEADER_FROM = 26.0
"""A label farther from its mark than this is tied to it by a line."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A label that found room, and whether it needs a line back to its mark."""

    box: Rect
    tied: bool


@dataclass(slots=True)
class Room:
    """The picture with what stands in it already."""

    bounds: Rect
    hard: list[Rect] = field(default_factory=list)
    soft: list[Rect] = field(default_factory=list)

    def free(self, box: Rect) -> bool:
        """True when a box lies in the picture and touches nothing that must not be touched."""
        return box.inside(self.bounds) and not _met(box, self.hard)

    def block(self, *boxes: Rect) -> None:
        """Keep boxes free of everything placed later."""
        self.hard.extend(boxes)

    def avoid(self, boxes: Iterable[Rect]) -> None:
        """Keep boxes free where there is a choice."""
        self.soft.extend(boxes)

    def cost(self, box: Rect) -> float:
        """Return how much of what one would rather see a box covers."""
        return 7.0 * _met(box, self.soft)

    def place(self, size: Point, anchor: Rect, *, near_only: bool = False) -> Placed | None:
        """Put a box of a size beside an anchor and block it; None when ``near_only`` finds no room.

        >>> room = Room(Rect(0, 0, 100, 40))
        >>> room.place((20, 10), Rect(40, 10, 60, 30)).box.meets(Rect(40, 10, 60, 30))
        False
        """
        best = self._cheapest((_off(anchor, box) + turn, box) for turn, box in _beside(anchor, size))
        if best is None and near_only:
            return None
        box = best or self._anywhere(size, anchor)
        if box is None:
            return None
        self.hard.append(box.wider(GAP / 2))
        return Placed(box, _off(anchor, box) > LEADER_FROM)

    def at_one_of(self, boxes: Iterable[Rect]) -> Rect | None:
        """Block and return the first free box, the one over least that is soft; None when none is free."""
        box = self._cheapest((0.0, box) for box in boxes)
        if box is not None:
            self.hard.append(box.wider(GAP / 2))
        return box

    def _cheapest(self, boxes: Iterable[tuple[float, Rect]]) -> Rect | None:
        """The free box with least to pay, the first of equals; what cannot be cheaper is not looked at."""
        best, least = None, inf
        for pay, box in boxes:
            if pay < least and self.free(box) and (whole := pay + self.cost(box)) < least:
                best, least = box, whole
        return best

    def _anywhere(self, size: Point, anchor: Rect) -> Rect | None:
        near = sorted(self._grid(size), key=lambda box: _off(anchor, box))
        found = islice((box for box in near if self.free(box)), CHOICE)
        return min(found, key=lambda box: _off(anchor, box) + self.cost(box), default=None)

    def _grid(self, size: Point) -> Iterator[Rect]:
        across = int((self.bounds.x1 - self.bounds.x0 - size[0]) / STEP)
        down = int((self.bounds.y1 - self.bounds.y0 - size[1]) / STEP)
        for i in range(max(across, 0) + 1):
            for j in range(max(down, 0) + 1):
                x, y = self.bounds.x0 + i * STEP, self.bounds.y0 + j * STEP
                yield Rect(x, y, x + size[0], y + size[1])


def _met(box: Rect, others: list[Rect]) -> int:
    """How many boxes one box meets; spelt out here, since a picture asks it tens of thousands of times."""
    x0, y0, x1, y1 = box.x0, box.y0, box.x1, box.y1
    return sum([1 for o in others if x0 < o.x1 and o.x0 < x1 and y0 < o.y1 and o.y0 < y1])


def _beside(anchor: Rect, size: Point) -> Iterator[tuple[float, Rect]]:
    """Yield boxes round an anchor, the better sides first with less to pay."""
    wide, high = size
    (mx, my) = anchor.middle
    for gap in NEAR:
        for slide in (0.0, -0.5, 0.5, -0.85, 0.85):
            pay = abs(slide) * 4
            x, y = mx - wide / 2 + slide * wide / 2 * 1.1, my - high / 2 + slide * high
            yield pay, _box(anchor.x1 + gap, y, size)
            yield pay, _box(anchor.x0 - gap - wide, y, size)
            yield pay + 1, _box(x, anchor.y0 - gap - high, size)
            yield pay + 1, _box(x, anchor.y1 + gap, size)


def _box(x: float, y: float, size: Point) -> Rect:
    return Rect(x, y, x + size[0], y + size[1])


def _off(anchor: Rect, box: Rect) -> float:
    """Return the distance between two boxes."""
    dx = max(anchor.x0 - box.x1, box.x0 - anchor.x1, 0.0)
    dy = max(anchor.y0 - box.y1, box.y0 - anchor.y1, 0.0)
    return hypot(dx, dy)


def along(points: Iterable[Point], half: float) -> list[Rect]:
    """Return small boxes along a chain of points, to be kept free of labels.

    >>> len(along([(0, 0), (5, 0)], 2))
    2
    """
    return [Rect(x - half, y - half, x + half, y + half) for x, y in points]
