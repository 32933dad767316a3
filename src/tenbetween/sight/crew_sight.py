"""What both officials hold together: coverage, double coverage, blind spots, load, and floor hidden from both.

Numbers about places, with their parts; none of them says how well a person works.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import numpy as np
from msgspec import Struct

from tenbetween.court import coverage, coverage_areas
from tenbetween.scene import ROLES, Scene
from tenbetween.sight.bearings import Floats
from tenbetween.sight.settings import SIGHT, Settings
from tenbetween.sight.shading import floor_shading
from tenbetween.situation import Basket, PointFt, Role, TableSide
from tenbetween.units import FOOT


class Share(Struct, frozen=True):
    """How the load is shared by one way of dividing the matchups; the two shares add up to 1."""

    lead: float | None
    """None when no matchup is in anybody's hands."""
    trail: float | None
    split: dict[Role, tuple[int, ...]]
    """Which matchups (their place in the list) each has; one may stand with both."""


class Load(Struct, frozen=True):
    """The load by taught primary areas and by who has the better look: where they differ is worth a word."""

    by_primary_area: Share | None
    """None when the end or the lead's side cannot be told from where the lead stands."""
    by_best_split: Share


def crew_coverage(values: Floats, weights: Floats, mode: Literal["max", "either"] = "max") -> float | None:
    """Return sum of w max(lead, trail) / sum of w: somebody has it; ``values`` is (2, M). None without matchups.

    "either" takes two looks as two chances of their own, 1 - (1 - lead)(1 - trail), instead of the better one.

    >>> values = np.array([[1.0, 0.0], [0.5, 0.5]])
    >>> crew_coverage(values, np.array([3.0, 1.0])), crew_coverage(values, np.array([1.0, 1.0]), "either")
    (0.875, 0.75)
    """
    if not weights.sum() > 0:
        return None
    held = values.max(0) if mode == "max" else 1 - (1 - values).prod(0)
    return float((held * weights).sum() / weights.sum())


def double_coverage(values: Floats, weights: Floats) -> float | None:
    """Return sum of w min(lead, trail) / sum of w: both look at the same. None without matchups.

    >>> double_coverage(np.array([[1.0, 0.0], [0.5, 0.5]]), np.array([3.0, 1.0]))
    0.375
    """
    return float((values.min(0) * weights).sum() / weights.sum()) if weights.sum() > 0 else None


def blind_spots(values: Floats, settings: Settings = SIGHT) -> tuple[int, ...]:
    """Return which matchups neither official has an open look of a quarter (a setting) at.

    >>> blind_spots(np.array([[1.0, 0.1], [0.0, 0.2]]))
    (1,)
    """
    return tuple(np.flatnonzero(values.max(0) < settings.blind_below).tolist()) if values.size else ()


def hidden_floor(scene: Scene, settings: Settings = SIGHT) -> float:
    """Return the floor in square feet that bodies hide from both officials, wherever they face.

    Counted in cells of 1 ft (a setting) by their middles; floor under a body is left out.

    >>> from tenbetween.scene import Crew, Official
    >>> hidden_floor(Scene((), (), (20.0, 20.0), Crew(Official((0.0, 30.0)), Official((30.0, 10.0)))))
    0.0
    """
    return floor_shading(scene, settings).hidden_sqft


# -- load ----------


def load(scene: Scene, values: Floats, distance: Floats, weights: Floats, settings: Settings = SIGHT) -> Load:
    """Return the load of lead and trail, w (1 + D / 25) summed over what each has; arrays are (2, M)."""
    heavy = weights * (1 + distance / settings.load_distance)
    better = _better(values, distance)
    areas = primary_areas(scene)
    by_area = None if areas is None else _shared(heavy, _held(scene, areas))
    return Load(by_primary_area=by_area, by_best_split=_shared(heavy, better))


def _better(values: Floats, distance: Floats) -> Floats:
    """Return who has each matchup: the better look, of equal ones the nearer; exactly equal is both's."""
    ahead = np.where(np.abs(values[0] - values[1]) > 1e-9, values[0] - values[1], distance[1] - distance[0])
    lead = np.where(ahead > 1e-9, 1.0, np.where(ahead < -1e-9, 0.0, 0.5))
    return np.stack([lead, 1 - lead])


def _shared(heavy: Floats, held: Floats) -> Share:
    each = (heavy * held).sum(-1)
    total = float(each.sum())
    lead, trail = (each / total).tolist() if total > 0 else (None, None)
    split: dict[Role, tuple[int, ...]] = {
        role: tuple(np.flatnonzero(row > 0).tolist()) for role, row in zip(ROLES, held, strict=True)
    }
    return Share(lead, trail, split)


Area = tuple[tuple[Role, ...], tuple[PointFt, ...]]


def primary_areas(scene: Scene) -> tuple[Area, ...] | None:
    """Return the taught areas of the floor with who has each, for the end and side where the lead stands.

    None when the lead stands on the division line, or neither official tells the side.
    """
    court, (x, y) = scene.court, scene.crew.lead.at
    length, width = court.length / FOOT, court.width / FOOT
    away = y - width / 2 or width / 2 - scene.crew.trail.at[1]
    if x == length / 2 or away == 0:
        return None
    end: Basket = "left" if x < length / 2 else "right"
    side: TableSide = "table" if away < 0 else "opposite"
    if court.kind != "fiba":
        return tuple(
            ((role,), area) for role, area in zip(ROLES, coverage(court, end, side).values(), strict=True)
        )
    who: dict[str, tuple[Role, ...]] = {"both": ROLES, "lead": ("lead",)}
    trail_side: TableSide = "opposite" if side == "table" else "table"
    return tuple(
        (who.get(one, ("trail",)), area) for one, area in coverage_areas(court, end, trail_side).values()
    )


def _held(scene: Scene, areas: Sequence[Area]) -> Floats:
    """Return the share of each matchup each official has by areas; none where no area reaches."""
    held = np.zeros((2, len(scene.matchups)))
    for number, one in enumerate(scene.matchups):
        a, d = scene.player(one.attacker).at, scene.player(one.defender).at
        middle = ((a[0] + d[0]) / 2, (a[1] + d[1]) / 2)
        roles = {role for who, area in areas if _inside(middle, area) for role in who}
        for row, role in enumerate(ROLES):
            held[row, number] = (role in roles) / max(1, len(roles))
    return held


def _inside(at: PointFt, area: Sequence[PointFt]) -> bool:
    """Return whether a point is in a polygon or on its edge (within a millionth of a foot)."""
    x, y = at
    odd = False
    for (x1, y1), (x2, y2) in zip(area, (*area[1:], area[0]), strict=True):
        cross = (x2 - x1) * (y - y1) - (y2 - y1) * (x - x1)
        length2 = (x2 - x1) ** 2 + (y2 - y1) ** 2
        along = (x - x1) * (x2 - x1) + (y - y1) * (y2 - y1)
        if cross * cross <= 1e-12 * length2 and 0 <= along <= length2:
            return True
        if (y1 > y) != (y2 > y) and x < x1 + (y - y1) * (x2 - x1) / (y2 - y1):
            odd = not odd
    return odd
