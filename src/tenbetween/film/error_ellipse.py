"""Where clicked feet stood, and how sure: the 95 % ellipse on the floor.

From how sure the camera is and how far off a click on a foot may be. Knows no clicks on marks and no names.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tenbetween.film import pinhole
from tenbetween.film.camera import Camera, Floats

CHI2_95 = 5.991
"""Of two numbers: 95 of 100 lie within (chi-squared table)."""
CHI2_50 = 1.386


@dataclass(frozen=True, slots=True)
class Ellipse:
    """The half axes of a 95 % ellipse in feet, and how its long one lies, in degrees from +x towards +y."""

    major: float
    minor: float
    angle_deg: float


@dataclass(frozen=True, slots=True)
class Foothold:
    """A place on the floor in feet, how sure it is, and how far one dot of the click moves it."""

    at: tuple[float, float]
    spread: Floats
    """(2, 2), square feet."""
    ft_per_dot: float
    """Feet the place moves for one dot, the way that moves it most."""

    @property
    def ellipse(self) -> Ellipse:
        """The 95 % ellipse."""
        return ellipse_of(self.spread)


def ellipse_of(spread: Floats) -> Ellipse:
    """Return the 95 % ellipse of a spread (2, 2) in square feet.

    >>> found = ellipse_of(np.array([[1.0, 0.0], [0.0, 4.0]]))
    >>> round(found.major, 3), round(found.minor, 3), found.angle_deg
    (4.895, 2.448, 90.0)
    """
    values, vectors = np.linalg.eigh(spread)
    minor, major = np.sqrt(np.maximum(values, 0.0) * CHI2_95)
    angle = float(np.degrees(np.arctan2(vectors[1, 1], vectors[0, 1])) % 180.0)
    return Ellipse(float(major), float(minor), angle)


def footholds(camera: Camera, covariance: Floats, feet: Floats, sd: float) -> tuple[Foothold | None, ...]:
    """Return where clicked feet (n, 2, dots) stood; None for a click at or above the horizon.

    ``sd`` is how far off a click on a foot may be, in dots.
    """
    if not len(feet):
        return ()
    at = camera.floor(feet)
    by_dot = per_dot(camera, feet)
    by_camera = pinhole.slopes(pinhole.floors(pinhole.around(camera.numbers()), feet, camera.middle))
    spread = by_camera @ covariance @ by_camera.swapaxes(1, 2) + sd**2 * by_dot @ by_dot.swapaxes(1, 2)
    return tuple(
        Foothold((float(place[0]), float(place[1])), one, float(np.linalg.norm(step, ord=2)))
        if np.isfinite(one).all()
        else None
        for place, one, step in zip(at, spread, by_dot, strict=True)
    )


def per_dot(camera: Camera, feet: Floats, *, step: float = 0.05) -> Floats:
    """Return how the places under dots (n, 2) move with the dot (n, 2, 2): feet per dot, by u and by v."""
    moved = [camera.floor(feet + by) for by in np.array([[step, 0], [-step, 0], [0, step], [0, -step]])]
    return np.stack([(moved[0] - moved[1]) / (2 * step), (moved[2] - moved[3]) / (2 * step)], axis=-1)
