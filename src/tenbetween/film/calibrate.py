"""A camera found from clicks: the eight numbers that explain them best, and how sure each of them is.

Places, dots on straight lines and dots on round lines count alike, each by how many dots it is off, beside what is
known of cameras in a gym before any click: about where they stand, that they stand level, that lenses bend little.
Knows no names and no picture; needs the extra ``film``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from types import ModuleType

import numpy as np

from tenbetween.court import Court
from tenbetween.errors import Problem, UsageError
from tenbetween.film import pinhole
from tenbetween.film.camera import PARTS, Camera, Floats
from tenbetween.film.clicks import Measured
from tenbetween.units import FOOT

BEHIND = 45.0
"""Feet behind the nearer line at which a camera is looked for first."""
PLACE_SD = (25.0, 25.0, 8.0)
HEIGHT = 14.0
ROLL_SD = np.radians(2.0)
K1_SD = 0.05
ZOOMS = np.geomspace(0.5, 3.0, 7)
"""Lengths of the lens tried first, in widths of the picture."""
TRIES = 3
FREE = 7
"""Place, pan, tilt, roll and zoom; the bend of the lens is carried with what is known of it."""


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of a camera before the clicks: numbers, and how far off them it may be."""

    numbers: Floats
    root: Floats
    """(m, 8): what it is off the numbers, times this, has standard deviations of one; nothing is known across it."""

    def off(self, numbers: Floats) -> Floats:
        """Return how far cameras (k, 8) are off what is known (k, m), in standard deviations."""
        return np.asarray((numbers - self.numbers) @ self.root.T)


@dataclass(frozen=True, slots=True)
class Solved:
    """A camera, how sure its eight numbers are, and how well it explains what was clicked."""

    camera: Camera
    covariance: Floats
    """(8, 8), in the order of ``PARTS``: feet, radians, and the logarithm of the focal length."""
    off: Floats
    """How far each measured number is off (n), in dots: places as u, v, then straight lines, then rounds."""
    chi2: float
    """Sum of squares, of clicks and of what is known, in standard deviations."""
    freedom: int
    """How many more numbers were measured or known than solved for."""


def scipy_parts() -> ModuleType:
    """Return scipy's optimizer.

    Raises:
        UsageError: it is not installed.
    """
    try:
        import scipy.optimize
    except ImportError:
        do = 'in the program\'s folder: .venv/bin/pip install "scipy>=1.11"'
        raise UsageError(Problem("film", "no scipy on this machine", "the extra `film`", do)) from None
    found: ModuleType = scipy.optimize
    return found


def somewhere(court: Court) -> tuple[Known, ...]:
    """Return what is known of a camera nobody knows: behind one of the two sides or ends, level, hardly bent.

    >>> from tenbetween.court import court_of
    >>> [known.numbers[:3].tolist() for known in somewhere(court_of("us-hs"))][:2]
    [[42.0, -45.0, 14.0], [42.0, 95.0, 14.0]]
    """
    length, width = court.length / FOOT, court.width / FOOT
    stands = (
        (length / 2, -BEHIND),
        (length / 2, width + BEHIND),
        (-BEHIND, width / 2),
        (length + BEHIND, width / 2),
    )
    sure = np.array([*(1 / sd for sd in PLACE_SD), 0.0, 0.0, 1 / ROLL_SD, 0.0, 1 / K1_SD])
    root = np.diag(sure)[sure > 0]
    return tuple(Known(np.array([x, y, HEIGHT, 0, 0, 0, 0, 0], float), root) for x, y in stands)


def same_place(camera: Camera, covariance: Floats, *, widened: float = 0.4) -> Known:
    """Return what is known of a camera that stood there before: place, roll and bend; pan, tilt and zoom are free.

    ``widened`` is how far, in feet, it may have been moved since (a head on a tripod swings a little).
    """
    kept = [0, 1, 2, 5, 7]
    spread = covariance[np.ix_(kept, kept)] + np.diag([widened**2] * 3 + [np.radians(0.2) ** 2, 1e-8])
    root = np.zeros((5, len(PARTS)))
    root[:, kept] = np.linalg.inv(np.linalg.cholesky(spread))
    return Known(camera.numbers(), root)


def solve(
    picture: tuple[int, int], seen: Measured, sd: float, known: Sequence[Known], *, near: Camera | None = None
) -> Solved | None:
    """Return the camera that explains clicks best, or None when no camera can be tried at all.

    ``sd`` is how far off a click may be, in dots; ``known`` what may be known, the likeliest of which is found out;
    ``near`` a camera to begin at, beside those that are tried anyway.
    """
    straight = [
        (prior, _descend(picture, seen, sd, _hardly_bent(prior), numbers))
        for prior, numbers in _starts(picture, seen, sd, known)
    ]
    begun = _apart([(prior, one) for prior, one in straight if one is not None])
    begun += [(known[0], near.numbers())] if near is not None else []
    found = [_descend(picture, seen, sd, prior, numbers) for prior, numbers in begun]
    return min((one for one in found if one is not None), key=lambda one: one.chi2, default=None)


def _apart(found: list[tuple[Known, Solved]]) -> list[tuple[Known, Floats]]:
    """Return the best camera found and, if another is nearly as good and elsewhere, that one too."""
    found = sorted(found, key=lambda pair: pair[1].chi2)
    best: list[tuple[Known, Floats]] = []
    for prior, one in found:
        numbers = one.camera.numbers()
        near = any(np.abs(numbers - other)[:3].max() < 0.1 for _, other in best)
        if not near and one.chi2 < found[0][1].chi2 + 15 and len(best) < 2:
            best.append((prior, numbers))
    return best


def _hardly_bent(known: Known) -> Known:
    """Return what is known with the lens taken as straight: place and bend can be mistaken for each other at first."""
    root = known.root.copy()
    root[-1] = 0.0
    root[-1, -1] = 100 / K1_SD
    return Known(known.numbers, root)


def _starts(
    picture: tuple[int, int], seen: Measured, sd: float, known: Sequence[Known]
) -> list[tuple[Known, Floats]]:
    """Return the most hopeful cameras to begin at: of the two likeliest sides of the floor the best, and the rest."""
    tried = [
        (number, _aimed(picture, seen, place, zoom * picture[0]))
        for number, one in enumerate(known)
        for place in _places(one)
        for zoom in ZOOMS
    ]
    costs = np.concatenate(
        [
            (_rows(picture, seen, sd, one, np.stack([at for of, at in tried if of == number])) ** 2).sum(1)
            for number, one in enumerate(known)
        ]
    )
    order = [int(one) for one in np.argsort(costs, kind="stable")]
    sides = list(dict.fromkeys(tried[one][0] for one in order))[:2]
    firsts = [next(one for one in order if tried[one][0] == side) for side in sides]
    chosen = (firsts + [one for one in order if one not in firsts])[:TRIES]
    return [(known[tried[one][0]], tried[one][1]) for one in chosen]


def _places(known: Known) -> list[Floats]:
    """Return the place a camera most likely has and, where it is little known, places a step to each side of it."""
    across = known.root[:, :2]
    if np.linalg.norm(across) > 1:
        return [known.numbers]
    step = 1.0 / np.maximum(np.linalg.norm(across, axis=0), 1e-9)
    moves = np.zeros((5, len(PARTS)))
    moves[1:, :2] = np.array([[1, 0], [-1, 0], [0, 1], [0, -1]]) * step
    return list(known.numbers + moves)


def _aimed(picture: tuple[int, int], seen: Measured, numbers: Floats, focal: float) -> Floats:
    """Return a camera at its place, turned so that the middle of what was clicked lies where it was clicked."""
    aim, dot = seen.middles.mean(axis=0), seen.dots.mean(axis=0)
    away = aim - numbers[:3]
    across, down = (dot - (np.array(picture) - 1) / 2) / focal
    pan = np.arctan2(away[0], away[1]) - np.arctan(across)
    tilt = np.arctan2(-away[2], np.hypot(away[0], away[1])) - np.arctan(down)
    return np.array([*numbers[:3], pan, tilt, numbers[5], np.log(focal), numbers[7]])


def _rows(picture: tuple[int, int], seen: Measured, sd: float, known: Known, numbers: Floats) -> Floats:
    """Return all that is off for cameras (k, 8), in standard deviations (k, rows): clicks, then what is known."""
    return np.concatenate([off_clicks(picture, seen, numbers) / sd, known.off(numbers)], axis=1)


def off_clicks(picture: tuple[int, int], seen: Measured, numbers: Floats) -> Floats:
    """Return how far clicks are off for cameras (k, 8), in dots (k, n): places as u, v, straight lines, rounds."""
    middle = (np.array(picture) - 1) / 2
    parts = [pinhole.off_points(numbers, seen.places, seen.place_dots, middle).reshape(len(numbers), -1)]
    if len(seen.ends):
        parts.append(pinhole.off_lines(numbers, seen.ends, seen.end_dots, middle))
    if len(seen.rounds):
        parts.append(pinhole.off_curves(numbers, seen.rounds, seen.round_dots, middle))
    return np.concatenate(parts, axis=1)


def _descend(
    picture: tuple[int, int], seen: Measured, sd: float, known: Known, start: Floats
) -> Solved | None:
    def off(numbers: Floats) -> Floats:
        return np.asarray(_rows(picture, seen, sd, known, numbers[None])[0])

    def slope(numbers: Floats) -> Floats:
        return pinhole.slopes(_rows(picture, seen, sd, known, pinhole.around(numbers)))

    if not np.isfinite(off(start)).all() or len(off(start)) < len(PARTS):
        return None
    found = scipy_parts().least_squares(off, start, slope, method="lm", x_scale="jac", max_nfev=60)
    numbers = found.x
    if not np.isfinite(numbers).all() or numbers[2] <= 0:
        return None
    steep = slope(numbers)
    camera = Camera(0, 0, 1, 0, 0, 0, 1, 0, picture).with_numbers(numbers)
    clicked = off_clicks(picture, seen, numbers[None])[0]
    freedom = seen.count + len(known.root) - len(PARTS)
    return Solved(camera, covariance_of(steep.T @ steep), clicked, float(2 * found.cost), freedom)


def covariance_of(information: Floats) -> Floats:
    """Return the inverse of an information matrix; what nothing was measured of is said to be hardly known."""
    # Scaled to ones on the diagonal first: feet, radians and the bend of a lens differ by many powers of ten.
    size = 1 / np.sqrt(np.maximum(np.diag(information), 1e-12))
    values, vectors = np.linalg.eigh(information * np.outer(size, size))
    spread = (vectors / np.maximum(values, 1e-12)) @ vectors.T
    return np.asarray(spread * np.outer(size, size))
