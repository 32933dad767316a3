"""Which floor each official sees past the bodies, cell by cell: what the screen paints under a scene.

A cell counts by its middle. Floor under a body is nobody's to see and counts as hidden from nobody, as in the
hidden floor of the crew. Bodies are flat discs; a cell seen says nothing of what would be noticed there.
"""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from tenbetween.scene import ROLES, Official, Scene, known_part
from tenbetween.sight.bearings import Bools, Floats, wrapped
from tenbetween.sight.crew_sight import _behind_a_body, _cells
from tenbetween.sight.settings import SIGHT, Settings
from tenbetween.sight.stance import arrays_of, stance_of
from tenbetween.units import FOOT

LEAD_SEES, TRAIL_SEES, UNDER_A_BODY = 1, 2, 4


class Shade(Struct, frozen=True):
    """The floor in equal cells; cell ``[i, j]`` has its middle at ``(x0 + (i + 0.5) dx, y0 + (j + 0.5) dy)``, in feet."""

    cols: int
    rows: int
    x0: float
    y0: float
    cell: float
    """The side that was asked for."""
    dx: float
    dy: float
    """The sides as they fit the floor."""
    data: NDArray[np.uint8]
    """Shape (cols, rows): 1 the lead sees it, 2 the trail sees it, 4 under a body, where 1 and 2 stand too."""


def shade(scene: Scene, settings: Settings = SIGHT, cell: float = 1.0, *, field: bool = False) -> Shade:
    """Return which cells of about ``cell`` ft each official sees; with ``field`` only within his usable field of view.

    >>> from tenbetween.scene import Crew, Official, Player
    >>> crew = Crew(Official((0.0, 25.0), 0.0), Official((0.0, 25.0), 180.0))
    >>> found = shade(Scene((Player("a1", "a", (10.0, 25.0)),), (), (10.0, 25.0), crew))
    >>> found.data[5, 25].item(), found.data[9, 25].item(), found.data[20, 25].item()
    (3, 7, 0)
    """
    scene = known_part(scene)
    arrays = arrays_of(scene, settings)
    cells, _ = _cells(scene, cell)
    length, width = scene.court.length / FOOT, scene.court.width / FOOT
    cols, rows = max(1, round(length / cell)), max(1, round(width / cell))
    data = np.zeros(len(cells), dtype=np.uint8)
    for role, bit in zip(ROLES, (LEAD_SEES, TRAIL_SEES), strict=True):
        official = scene.crew.of(role)
        seen = ~_behind_a_body(np.array(official.at), cells, arrays.bodies, settings.radius)
        if field:
            seen &= _in_usable_field(
                official, cells, float(stance_of(official, arrays, settings).facing[0]), settings
            )
        data[seen] |= bit
    data[_under_a_body(cells, arrays.bodies, settings.radius)] = LEAD_SEES | TRAIL_SEES | UNDER_A_BODY
    return Shade(cols, rows, 0.0, 0.0, cell, length / cols, width / rows, data.reshape(cols, rows))


def _in_usable_field(official: Official, cells: Floats, facing: float, settings: Settings) -> Bools:
    ray = cells - np.array(official.at)
    off = np.degrees(np.abs(wrapped(np.arctan2(ray[:, 1], ray[:, 0]) - facing)))
    return np.asarray(off <= settings.usable / 2 + 1e-9, dtype=np.bool_)


def _under_a_body(cells: Floats, bodies: Floats, radius: float) -> Bools:
    apart = np.linalg.norm(cells[:, None, :] - bodies, axis=-1)
    return np.asarray((apart <= radius).any(-1), dtype=np.bool_)
