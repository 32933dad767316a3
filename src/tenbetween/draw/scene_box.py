"""The box as what two pairs of eyes hold: the cone from each official round all players, and what both share.

Plain geometry in feet; knows no picture. Never a rectangle.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import asin, atan2, cos, hypot, pi, sin

from tenbetween.scene import Scene
from tenbetween.situation import PointFt, Role
from tenbetween.units import feet

_WIDEST = pi * 0.99
_PIECES = 32
MARGIN = 3.0
"""How far a cone is drawn beyond the farthest player, in feet."""


@dataclass(frozen=True, slots=True)
class Cone:
    """What an official takes in to have everybody in view: from one bearing to the other (radians), so far (ft)."""

    at: PointFt
    first: float
    last: float
    reach: float

    def edge(self, turn: float, far: float | None = None) -> PointFt:
        """Return a point of the cone in a direction, at its reach unless said."""
        away = self.reach if far is None else far
        return (self.at[0] + away * cos(turn), self.at[1] + away * sin(turn))

    def bow(self, far: float) -> tuple[PointFt, ...]:
        """Return points along the arc at a distance."""
        step = (self.last - self.first) / _PIECES
        return tuple(self.edge(self.first + step * i, far) for i in range(_PIECES + 1))

    @property
    def outline(self) -> tuple[PointFt, ...]:
        """The whole of it, counter-clockwise."""
        return (self.at, *self.bow(self.reach))


def cone(at: PointFt, bodies: Sequence[PointFt], radius: float) -> Cone | None:
    """Return the narrowest cone from a place round bodies; None without any.

    Never as wide as a half turn: whoever would make it so is behind, and to be left out by the caller.

    >>> found = cone((0.0, 0.0), [(10.0, 0.0), (0.0, 10.0)], 0.0)
    >>> round(found.first, 3), round(found.last, 3), found.reach
    (0.0, 1.571, 13.0)
    """
    spans = [_span(at, body, radius) for body in bodies if body != at]
    if not spans:
        return None
    first = min((middle for middle, _ in spans), key=lambda start: _sweep(start, spans))
    low = min(_ahead(first, middle) - half for middle, half in spans)
    high = max(_ahead(first, middle) + half for middle, half in spans)
    if high - low > _WIDEST:
        centre = (low + high) / 2
        low, high = centre - _WIDEST / 2, centre + _WIDEST / 2
    reach = max(hypot(x - at[0], y - at[1]) for x, y in bodies) + MARGIN
    return Cone(at, first + low, first + high, reach)


def _span(at: PointFt, body: PointFt, radius: float) -> tuple[float, float]:
    dx, dy = body[0] - at[0], body[1] - at[1]
    return atan2(dy, dx), asin(min(1.0, radius / hypot(dx, dy)))


def _ahead(start: float, turn: float) -> float:
    """Return how far to the left a direction lies; a hair to the right is the same direction."""
    found = (turn - start) % (2 * pi)
    return 0.0 if found > 2 * pi - 1e-9 else found


def _sweep(start: float, spans: Sequence[tuple[float, float]]) -> float:
    return max(_ahead(start, middle) for middle, _ in spans)


def shared(one: Cone, other: Cone) -> tuple[PointFt, ...]:
    """Return the outline of what lies in both cones; empty when nothing does.

    >>> a, b = cone((0.0, 0.0), [(10.0, 0.0)], 1.0), cone((20.0, 0.0), [(10.0, 0.0)], 1.0)
    >>> len(shared(a, b)) > 3
    True
    """
    points = list(one.outline)
    edges = other.outline
    for first, last in zip(edges, (*edges[1:], edges[0]), strict=True):
        points = _left_of(points, first, last)
    return tuple(points)


def _left_of(points: list[PointFt], first: PointFt, last: PointFt) -> list[PointFt]:
    """Return the part of a shape left of a line (one clip of a convex shape by another)."""

    def side(p: PointFt) -> float:
        return (last[0] - first[0]) * (p[1] - first[1]) - (last[1] - first[1]) * (p[0] - first[0])

    kept: list[PointFt] = []
    for number, here in enumerate(points):
        before = points[number - 1]
        now, was = side(here), side(before)
        if (now >= 0) != (was >= 0):
            share = was / (was - now)
            kept.append(
                (before[0] + (here[0] - before[0]) * share, before[1] + (here[1] - before[1]) * share)
            )
        if now >= 0:
            kept.append(here)
    return kept


@dataclass(frozen=True, slots=True)
class Box:
    """Both cones, what they share, and who is not held: outside (sees the two less than a right angle apart), behind."""

    cones: tuple[tuple[Role, Cone], ...]
    shared: tuple[PointFt, ...]
    outside: tuple[str, ...]
    behind: tuple[str, ...]


def box_of(scene: Scene, behind_of: dict[Role, tuple[str, ...]], radius: float) -> Box:
    """Return the box of a scene whose places are all known; ``behind_of`` is who is behind each official.

    >>> from tenbetween.scene import Crew, Official, Player
    >>> crew = Crew(Official((0.0, 35.0)), Official((30.0, 15.0)))
    >>> scene = Scene((Player("a1", "a", (15.0, 25.0)), Player("b1", "b", (40.0, 2.0))), (), (15.0, 25.0), crew)
    >>> box_of(scene, {}, 0.9).outside
    ('b1',)
    """
    roles: tuple[Role, ...] = ("lead", "trail")
    found: list[tuple[Role, Cone]] = []
    for role in roles:
        out = behind_of.get(role, ())
        ahead = [player.at for player in scene.players if player.id not in out]
        one = cone(scene.crew.of(role).at, ahead, radius)
        if one is not None:
            found.append((role, one))
    both = _on_floor(shared(found[0][1], found[1][1]), scene) if len(found) == 2 else ()
    names = {name for role in roles for name in behind_of.get(role, ())}
    behind = tuple(player.id for player in scene.players if player.id in names)
    outside = tuple(p.id for p in scene.players if p.id not in names and not _between(scene, p.at))
    return Box(tuple(found), both, outside, behind)


def _on_floor(shape: tuple[PointFt, ...], scene: Scene) -> tuple[PointFt, ...]:
    """Return the part of a shape on the floor or close beside it, where somebody may stand."""
    x, y = feet(scene.court.length) + MARGIN, feet(scene.court.width) + MARGIN
    corners = ((-MARGIN, -MARGIN), (x, -MARGIN), (x, y), (-MARGIN, y))
    points = list(shape)
    for first, last in zip(corners, (*corners[1:], corners[0]), strict=True):
        points = _left_of(points, first, last)
    return tuple(points)


def _between(scene: Scene, at: PointFt) -> bool:
    (lx, ly), (tx, ty) = scene.crew.lead.at, scene.crew.trail.at
    return (lx - at[0]) * (tx - at[0]) + (ly - at[1]) * (ty - at[1]) <= 1e-9
