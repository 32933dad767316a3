"""The floor itself: which parts of it lead, trail, both or nobody can see past the bodies.

Flat discs hide what lies straight behind them. A cell counts by its middle; nothing is said of what happens there.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, radians

import numpy as np
from numpy.typing import NDArray

from tenbetween.scene import ROLES, Official, Scene, known_part
from tenbetween.sight.bearings import Bools, Floats, wrapped
from tenbetween.sight.maps import cells
from tenbetween.sight.settings import SIGHT, Settings
from tenbetween.sight.stance import arrays_of, stance_of
from tenbetween.units import FOOT

NOBODY, LEAD, TRAIL, BOTH = 0, 1, 2, 3


@dataclass(frozen=True, slots=True, eq=False)
class Shading:
    """Who sees each cell of the floor; arrays cannot be written to."""

    xs: Floats
    """Middles of the cells along (ft), X of them ..."""
    ys: Floats
    """... and across, Y."""
    seen: NDArray[np.uint8]
    """(X, Y): 0 nobody, 1 lead, 2 trail, 3 both; 0 under a body too."""
    under: Bools
    """(X, Y): the middle of the cell lies under a body."""
    hidden_sqft: float
    """Floor that nobody sees, square feet; floor under a body is left out."""
    settings: Settings


def floor_shading(
    scene: Scene, settings: Settings = SIGHT, *, cell: float | None = None, field_of_view: bool = False
) -> Shading:
    """Return who sees each cell of 1 ft (a setting) of the floor past the bodies.

    With ``field_of_view`` only what lies within the usable field counts, facing as given or else the way that shows
    an official most of the matchups.

    >>> from tenbetween.scene import Crew, Player
    >>> crew = Crew(Official((0.0, 25.0)), Official((84.0, 25.0)))
    >>> found = floor_shading(Scene((Player("a1", "a", (42.0, 25.0)),), (), (20.0, 20.0), crew))
    >>> found.seen[10, 25], found.seen[70, 25], found.seen[42, 5]
    (np.uint8(1), np.uint8(2), np.uint8(3))
    """
    scene = known_part(scene)
    arrays = arrays_of(scene, settings)
    xs, ys = cells(scene.court, settings.cell if cell is None else cell)
    seen = np.zeros((xs.size, ys.size), dtype=np.uint8)
    for bit, role in zip((LEAD, TRAIL), ROLES, strict=True):
        official = scene.crew.of(role)
        free = ~behind_a_body(official.at, xs, ys, arrays.bodies, settings.radius)
        if field_of_view:
            facing = stance_of(official, arrays, settings).facing[0]
            free &= _in_view(official, float(facing), xs, ys, settings)
        seen |= free.astype(np.uint8) * np.uint8(bit)
    under = _under(xs, ys, arrays.bodies, settings.radius)
    seen[under] = NOBODY
    for one in (xs, ys, seen, under):
        one.setflags(write=False)
    size = scene.court.length / FOOT * (scene.court.width / FOOT) / seen.size
    hidden = float(((seen == NOBODY) & ~under).sum() * size)
    return Shading(xs, ys, seen, under, hidden, settings)


def behind_a_body(at: tuple[float, float], xs: Floats, ys: Floats, bodies: Floats, radius: float) -> Bools:
    """Return which cells (X, Y) have a body across the line from a place to their middle (ft).

    >>> row = np.array([5.0, 15.0])
    >>> behind_a_body((0.0, 0.0), row, np.array([0.0]), np.array([[10.0, 0.0]]), 0.9).tolist()
    [[False], [True]]
    """
    dx, dy = (xs - at[0])[:, None], (ys - at[1])[None, :]
    square = np.maximum(dx * dx + dy * dy, 1e-12)
    hidden = np.zeros(square.shape, dtype=bool)
    for x, y in bodies - np.array(at):
        # The body comes nearest to the line at its foot, or at one end of the line.
        along, aside = dx * x + dy * y, dx * y - dy * x
        near = radius * radius
        across = (along > 0) & (along < square) & (aside * aside < near * square)
        from_end = (dx - x) ** 2 + (dy - y) ** 2 < near
        hidden |= across | from_end | bool(x * x + y * y < near)
    return hidden


def _in_view(official: Official, facing: float, xs: Floats, ys: Floats, settings: Settings) -> Bools:
    direction = np.arctan2((ys - official.at[1])[None, :], (xs - official.at[0])[:, None])
    off = np.abs(wrapped(direction - facing))
    return np.asarray(off <= min(pi, radians(settings.usable) / 2) + 1e-9, dtype=bool)


def _under(xs: Floats, ys: Floats, bodies: Floats, radius: float) -> Bools:
    under = np.zeros((xs.size, ys.size), dtype=bool)
    for x, y in bodies:
        under |= ((xs - x) ** 2)[:, None] + ((ys - y) ** 2)[None, :] <= radius * radius
    return under
