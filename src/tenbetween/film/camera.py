"""A camera over a court: from a place in the gym to a dot of the picture, and from a dot down to the floor.

The court frame of the whole house in feet (x along the floor, y away from the table, z up); the picture in dots,
u to the right and v down, the middle of the first dot at (0, 0). Knows no click, no film and no line.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import cos, sin

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
PARTS = ("x", "y", "z", "pan", "tilt", "roll", "log_focal", "k1")
"""The order of the eight numbers of a camera wherever they are solved for or told how sure they are."""


@dataclass(frozen=True, slots=True)
class Camera:
    """Where a camera stands (feet), where it looks (radians), how long its lens is (dots) and how it bends.

    ``pan`` is measured from +y (away from the table) towards +x, ``tilt`` downwards, ``roll`` about the view.
    ``k1`` is the bend of the lens: u' = u (1 + k1 |u|^2) in units of the focal length.

    >>> camera = Camera(42.0, -60.0, 15.0, 0.0, 0.2, 0.0, 1545.0, 0.0, (1280, 720))
    >>> camera.dots([[42.0, 25.0, 0.0]]).round(1).tolist()
    [[639.5, 320.4]]
    >>> camera.floor(camera.dots([[30.0, 10.0, 0.0]])).round(9).tolist()
    [[30.0, 10.0]]
    """

    x: float
    y: float
    z: float
    pan: float
    tilt: float
    roll: float
    focal: float
    k1: float
    picture: tuple[int, int]
    """Width and height in dots."""

    def turn(self) -> Floats:
        """Return the 3 x 3 turn from the court's axes to the camera's (right, down, forward)."""
        forward = np.array([sin(self.pan) * cos(self.tilt), cos(self.pan) * cos(self.tilt), -sin(self.tilt)])
        right = np.array([cos(self.pan), -sin(self.pan), 0.0])
        down = np.cross(forward, right)
        c, s = cos(self.roll), sin(self.roll)
        return np.stack([c * right + s * down, c * down - s * right, forward])

    @property
    def middle(self) -> Floats:
        """The dot the camera looks at: the middle of the picture."""
        return np.array([(self.picture[0] - 1) / 2, (self.picture[1] - 1) / 2])

    def dots(self, places: ArrayLike) -> Floats:
        """Return where places (n, 2 or 3, feet) are in the picture (n, 2, dots); nan behind the camera."""
        given = np.asarray(places, float)
        if given.shape[1] == 2:
            given = np.column_stack([given, np.zeros(len(given))])
        seen = (given - [self.x, self.y, self.z]) @ self.turn().T
        ahead = seen[:, 2] > 0.1
        flat = seen[:, :2] / np.where(ahead, seen[:, 2], np.nan)[:, None]
        bent = flat * (1 + self.k1 * (flat**2).sum(1, keepdims=True))
        found: Floats = self.focal * bent + self.middle
        return found

    def rays(self, dots: ArrayLike) -> Floats:
        """Return the direction in the gym (n, 3) of each dot (n, 2); not of unit length."""
        bent = (np.asarray(dots, float) - self.middle) / self.focal
        flat = bent.copy()
        for _ in range(12):
            flat = bent / (1 + self.k1 * (flat**2).sum(1, keepdims=True))
        return np.column_stack([flat, np.ones(len(flat))]) @ self.turn()

    def floor(self, dots: ArrayLike) -> Floats:
        """Return the places on the floor (n, 2, feet) under dots (n, 2); nan at or above the horizon."""
        rays = self.rays(dots)
        down = np.where(rays[:, 2] < -1e-6, rays[:, 2], np.nan)
        return np.array([self.x, self.y]) + rays[:, :2] * (-self.z / down)[:, None]

    def numbers(self) -> Floats:
        """Return the eight numbers in the order of ``PARTS``."""
        bent = [self.x, self.y, self.z, self.pan, self.tilt, self.roll, np.log(self.focal), self.k1]
        return np.array(bent, float)

    def with_numbers(self, numbers: ArrayLike) -> Camera:
        """Return the camera of eight numbers in the order of ``PARTS``, with this one's picture."""
        x, y, z, pan, tilt, roll, log_focal, k1 = (float(one) for one in np.asarray(numbers, float))
        return Camera(x, y, z, pan, tilt, roll, float(np.exp(log_focal)), k1, self.picture)

    def at_scale(self, scale: float) -> Camera:
        """Return the same camera for a picture made smaller or larger (0.5: half as wide)."""
        wide, high = self.picture
        return replace(self, focal=self.focal * scale, picture=(round(wide * scale), round(high * scale)))
