"""A camera that stays in its place and turns: pan, tilt, roll and zoom moved so that dots come to lie where they are.

Four numbers (``turned``): radians of pan, tilt and roll, and the logarithm of how much longer the lens became.
Robust: what fits badly counts little. Knows neither lines nor tracks; what it moves is handed in as places.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import exp

import numpy as np
from numpy.typing import ArrayLike

from tenbetween.film.camera import Camera, Floats

STEPS = np.array([1e-5, 1e-5, 1e-5, 1e-5])
Spread = Callable[[Camera], Floats]
"""What a camera makes of the things in question: (n, 2) dots."""


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


def slopes(camera: Camera, seen: Spread) -> Floats:
    """Return how dots move (n, 2, 4) with each of the four numbers."""
    columns = []
    for step in np.diag(STEPS):
        columns.append((seen(turned(camera, step)) - seen(turned(camera, -step))) / (2 * step.sum()))
    return np.stack(columns, axis=-1)


def trust_of(off: Floats, size: float) -> Floats:
    """Return how much each counts: 1 when it fits, next to nothing far beyond ``size`` dots."""
    return np.asarray(1 / (1 + (off / size) ** 2) ** 2)


def directions(rays: Floats) -> Spread:
    """Return what a camera makes of directions in the gym (n, 3): things far off, or a camera that only turns."""

    def seen(camera: Camera) -> Floats:
        return replace(camera, x=0.0, y=0.0, z=0.0).dots(rays)

    return seen


def places(at: Floats) -> Spread:
    """Return what a camera makes of places (n, 2 or 3, feet)."""

    def seen(camera: Camera) -> Floats:
        return camera.dots(at)

    return seen


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
