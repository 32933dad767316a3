"""Where new officials often stand instead, so that it can be shown beside the taught places.

Common practice, no source: names of the trade for places, worked out on the floor plan for the end where the ball
is and the sideline the lead is on. Says nothing of how often they happen, and judges nobody.
"""

from __future__ import annotations

from collections.abc import Callable

from msgspec import Struct

from tenbetween.court import post
from tenbetween.scene.moment import Crew, Official, Scene
from tenbetween.situation import Basket, PointFt, TableSide, other_side
from tenbetween.units import FOOT

NEAR_DIVISION = 6.0
"""Feet from the division line within which the lead's own place does not tell his end."""


class Elsewhere(Struct, frozen=True):
    """Two places to compare with: what they are called, and the crew standing there."""

    name: str
    crew: Crew


class _Floor(Struct, frozen=True):
    """One end as its officials see it: ``u`` from the end line, ``v`` from the axis, + towards the lead."""

    scene: Scene
    end: Basket
    side: TableSide

    @property
    def length(self) -> float:
        return self.scene.court.length / FOOT

    @property
    def width(self) -> float:
        return self.scene.court.width / FOOT

    def point(self, u: float, v: float) -> PointFt:
        """Return a place of the end in feet of the court frame."""
        x = u if self.end == "left" else self.length - u
        sign = -1.0 if self.side == "table" else 1.0
        return (x, self.width / 2 + sign * v)

    def ball(self) -> PointFt:
        """Return the ball as ``u`` and ``v``."""
        x, y = self.scene.ball
        sign = -1.0 if self.side == "table" else 1.0
        return (x if self.end == "left" else self.length - x, sign * (y - self.width / 2))


def end_and_side(scene: Scene) -> tuple[Basket, TableSide]:
    """Return the end where the lead works and the sideline he is nearer to; in the middle, away from the trail.

    Near the division line, as under pressure, his end is the one away from the trail.

    >>> end_and_side(Scene((), (), (60.0, 20.0), Crew(Official((87.0, 40.0)), Official((56.0, 2.0)))))
    ('right', 'opposite')
    """
    length, width = scene.court.length / FOOT, scene.court.width / FOOT
    along = scene.crew.lead.at[0] - length / 2
    if abs(along) < NEAR_DIVISION:
        along = (length / 2 - scene.crew.trail.at[0]) or (scene.ball[0] - length / 2)
    end: Basket = "left" if along < 0 else "right"
    away = (scene.crew.lead.at[1] - width / 2) or (width / 2 - scene.crew.trail.at[1])
    return end, "table" if away < 0 else "opposite"


def taught(scene: Scene) -> Crew:
    """Return both where the book's places for live play are, for the lead's end and side; eyes not said.

    >>> crew = Crew(Official((87.0, 40.0)), Official((56.0, 2.0)))
    >>> taught(Scene((), (), (60.0, 20.0), crew)).trail.at
    (56.0, 1.5)
    """
    end, side = end_and_side(scene)
    lead = post(scene.court, "lead_end_line", end, side, None)
    trail = post(scene.court, "trail_28", end, other_side(side), None)
    return Crew(Official(lead.at), Official(trail.at))


def _lead(u: float, v: float) -> Callable[[_Floor, Crew], Crew]:
    return lambda floor, crew: Crew(Official(floor.point(u, v)), crew.trail)


def _trail(u: float, v: float) -> Callable[[_Floor, Crew], Crew]:
    return lambda floor, crew: Crew(crew.lead, Official(floor.point(u, v)))


def _at_the_division_line(floor: _Floor, crew: Crew) -> Crew:
    return Crew(crew.lead, Official(floor.point(floor.length / 2, 1.5 - floor.width / 2)))


def _behind_the_ball(floor: _Floor, crew: Crew) -> Crew:
    u, v = floor.ball()
    return Crew(crew.lead, Official(floor.point(min(u + 7, floor.length - 5), v)))


def _away_from_the_ball(floor: _Floor, crew: Crew) -> Crew:
    _, v = floor.ball()
    sign = -1.0 if v > 0 else 1.0
    return Crew(
        Official(floor.point(-4.5, sign * 15)), Official(floor.point(28, -sign * (floor.width / 2 - 1.5)))
    )


_ERRORS: dict[str, Callable[[_Floor, Crew], Crew]] = {
    "Lead under the basket": _lead(-3.0, 0.0),
    "Lead in the corner": _lead(-2.0, 23.0),
    "Lead across from the ball": _away_from_the_ball,
    "Lead late, still coming": _lead(30.0, 21.0),
    "Both on one side": _trail(28.0, 23.0),
    "Trail at the division line": _at_the_division_line,
    "Trail below the play": _trail(10.0, -23.0),
    "Trail straight behind the ball": _behind_the_ball,
    "Both in the middle": lambda floor, _: Crew(Official(floor.point(-3, 2)), Official(floor.point(32, 0))),
}


def common_errors(scene: Scene) -> tuple[Elsewhere, ...]:
    """Return the common errors for a scene, each with the other official where the book has him.

    >>> crew = Crew(Official((87.0, 40.0)), Official((56.0, 2.0)))
    >>> [one.name for one in common_errors(Scene((), (), (60.0, 20.0), crew))][:2]
    ['Lead under the basket', 'Lead in the corner']
    """
    end, side = end_and_side(scene)
    floor, crew = _Floor(scene, end, side), taught(scene)
    return tuple(Elsewhere(name, error(floor, crew)) for name, error in _ERRORS.items())
