"""A camera that stays in its place and turns: pan, tilt, roll and zoom moved so that dots come to lie where they are.

Four numbers (``turned``): radians of pan, tilt and roll, and the logarithm of how much longer the lens became.
Robust: what fits badly counts little. Knows neither lines nor tracks; what it moves is handed in as places.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import exp

import numpy as np
from numpy.typing import ArrayLike

from tenbetween.film import pinhole
from tenbetween.film.camera import Camera, Floats

STEP = 1e-5


@dataclass(frozen=True, slots=True, eq=False)
class Things:
    """Places in the gym (n, 3, feet), or directions in it when they are ``far``: a camera makes dots of them."""

    at: Floats
    far: bool

    def __call__(self, camera: Camera) -> Floats:
        """Return where a camera sees them (n, 2); nan behind it."""
        return (replace(camera, x=0.0, y=0.0, z=0.0) if self.far else camera).dots(self.at)


def turned(camera: Camera, by: ArrayLike) -> Camera:
    """Return a camera turned by pan, tilt, roll (radians) and zoomed by the logarithm of a factor.

    >>> turned(Camera(42, -50, 15, 0.1, 0.2, 0, 1000, 0, (640, 360)), [0.1, 0, 0, 0]).pan
    0.2
    """
    pan, tilt, roll, zoom = (float(one) for one in np.asarray(by, float))
    focal = camera.focal * exp(zoom)
    return replace(
        camera, pan=camera.pan + pan, tilt=camera.tilt + tilt, roll=camera.roll + roll, focal=focal
    )


def between(camera: Camera, other: Camera) -> Floats:
    """Return by how much ``camera`` must be turned to look as ``other`` does (four numbers).

    >>> camera = Camera(42, -50, 15, 0.1, 0.2, 0, 1000, 0, (640, 360))
    >>> between(camera, turned(camera, [0.1, 0.2, 0.0, 0.0])).round(9).tolist()
    [0.1, 0.2, 0.0, 0.0]
    """
    zoom = np.log(other.focal / camera.focal)
    return np.array([other.pan - camera.pan, other.tilt - camera.tilt, other.roll - camera.roll, zoom])


def slopes(camera: Camera, seen: Things) -> Floats:
    """Return how dots move (n, 2, 4) with each of the four numbers."""
    numbers = camera.numbers()
    if seen.far:
        numbers[:3] = 0.0
    tried = np.repeat(numbers[None], 8, axis=0)
    tried[range(4), range(3, 7)] += STEP
    tried[range(4, 8), range(3, 7)] -= STEP
    found = pinhole.dots(tried, seen.at, camera.middle)
    return np.moveaxis((found[:4] - found[4:]) / (2 * STEP), 0, -1)


def trust_of(off: Floats, size: float) -> Floats:
    """Return how much each counts: 1 when it fits, next to nothing far beyond ``size`` dots."""
    return np.asarray(1 / (1 + (off / size) ** 2) ** 2)


def directions(rays: Floats) -> Things:
    """Return directions in the gym (n, 3): things far off, or seen by a camera that only turns."""
    return Things(rays, far=True)


def places(at: Floats) -> Things:
    """Return places in the gym (n, 2 or 3, feet)."""
    return Things(at if at.shape[1] == 3 else np.column_stack([at, np.zeros(len(at))]), far=False)


def farthest(camera: Camera, other: Camera) -> float:
    """Return how far apart, in dots, two cameras in one place see things at most, over the picture of the first.

    >>> camera = Camera(42, -50, 15, 0.1, 0.2, 0, 1000, 0, (640, 360))
    >>> round(farthest(camera, turned(camera, [0.001, 0, 0, 0])), 1)
    1.1
    """
    wide, high = camera.picture
    rim = np.array([(u * (wide - 1), v * (high - 1)) for u in (0.0, 0.5, 1.0) for v in (0.0, 0.5, 1.0)])
    moved = directions(camera.rays(rim))(other) - rim
    return float(np.hypot(moved[:, 0], moved[:, 1]).max())
