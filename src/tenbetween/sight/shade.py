"""Which floor each official sees past the bodies, cell by cell: what the screen paints under a scene.

A cell counts by its middle. Floor under a body is nobody's to see and counts as hidden from nobody, as in the
hidden floor of the crew. Bodies are flat discs; a cell seen says nothing of what would be noticed there.
"""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from tenbetween.scene import Scene
from tenbetween.sight.settings import SIGHT, Settings
from tenbetween.sight.shading import floor_shading
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
    found = floor_shading(scene, settings, cell=cell, field_of_view=field)
    data = np.where(found.under, LEAD_SEES | TRAIL_SEES | UNDER_A_BODY, found.seen).astype(np.uint8)
    cols, rows = data.shape
    dx, dy = scene.court.length / FOOT / cols, scene.court.width / FOOT / rows
    return Shade(cols, rows, 0.0, 0.0, cell, dx, dy, data)
