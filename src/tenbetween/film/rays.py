"""How a camera turned from one frame to the next, from small pieces of the picture that keep their direction.

Each piece has the direction in the gym it had when it was first seen; many of them, most of the time, belong to
floor and walls. Those that move by themselves (players) are found out against the camera that was settled on, and
dropped. Works on a picture of half the size. Knows no line; needs the extra ``film``.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tenbetween.film.camera import Camera, Floats
from tenbetween.film.ridge import Grey
from tenbetween.film.turning import between, directions, slopes, trust_of, turned

Dots = NDArray[np.float32]
MOST = 320
WIDE = 640
"""Dots: pieces are followed in a picture about this wide."""
BLOCK = 12
"""Dots: one piece at most in a block of this size."""
WINDOW = (17, 17)
LEVELS = 4
SIZES = (4.0, 3.0, 2.0, 1.2, 0.8, 0.8)
"""Dots of the small picture: how much misfit still counts, step by step."""
STEADY = np.diag(2.5 / np.array([0.002, 0.002, 0.001, 0.0015]) ** 2)
"""What is expected of a hand or a tripod: from one frame to the next pan and tilt change their pace by two
thousandths of a radian, roll and zoom by less (weighed as if ten pieces were one witness, half a dot unsure)."""
FAST, EVEN = 0.016, 4.0
"""Dots a frame, of a picture one dot wide, from which a pan is fast: the gym is smeared then and players who run with
it are sharp, but nobody swings a camera back and forth at such a pace, and what is expected counts this much more."""
GROWS = 0.5
"""How much of the newest change of pace is believed to go on."""
FADES = np.array([0.9, 0.9, 0.7, 0.7])
"""What is left of the pace (pan, tilt, roll, zoom) a frame later when nothing bears it out."""
MOVES = 2.0
"""Dots by which a piece may be off the settled camera before it is dropped."""
RENEWED = 0.15
"""How much of its direction a piece takes anew from each settled camera."""


@dataclass(frozen=True, slots=True)
class Turned:
    """A camera as the pieces tell it, how many bore it out, and which share of them that is."""

    camera: Camera
    expected: Camera
    """Where it would look if its pace went on changing as it did; ``fast`` when that pace is."""
    fast: bool
    count: int
    share: float


class Rays:
    """The pieces followed; one frame after another goes in."""

    def __init__(self, grey: Grey, camera: Camera) -> None:
        self.scale = min(1.0, WIDE / camera.picture[0])
        self.before = self._small(grey)
        self.dots: Dots = np.zeros((0, 2), np.float32)
        self.rays = np.zeros((0, 3))
        self.last = camera.at_scale(self.scale)
        self.going, self.growing = np.zeros(4), np.zeros(4)
        self._add(self.last)

    def begin_again(self, camera: Camera) -> None:
        """Forget what was followed: the camera was found elsewhere, and how it got there is not known."""
        self.last = camera.at_scale(self.scale)
        self.going, self.growing = np.zeros(4), np.zeros(4)
        self.dots, self.rays = self.dots[:0], self.rays[:0]
        self._add(self.last)

    def _small(self, grey: Grey) -> Grey:
        import cv2

        if self.scale == 1.0:
            return grey
        size = (round(grey.shape[1] * self.scale), round(grey.shape[0] * self.scale))
        return np.asarray(cv2.resize(grey, size, interpolation=cv2.INTER_AREA), np.uint8)

    def turn(self, grey: Grey) -> Turned:
        """Return where the camera seems to look in the next frame."""
        now = self._small(grey)
        start = turned(self.last, self.going + self.growing)
        fast = abs(self.going[0]) * self.last.focal > FAST * self.last.picture[0]
        found, alive = self._flow(now, start)
        self.before = now
        self.dots, self.rays = found[alive], self.rays[alive]
        camera, off = self._solve(start, STEADY * (EVEN if fast else 1.0))
        fit = off < 1.0
        whole, expected = camera.at_scale(1 / self.scale), start.at_scale(1 / self.scale)
        return Turned(whole, expected, fast, int(fit.sum()), float(fit.mean()) if len(fit) else 0.0)

    def _flow(self, now: Grey, start: Camera) -> tuple[Dots, NDArray[np.bool_]]:
        import cv2

        if len(self.dots) == 0:
            return self.dots, np.zeros(0, bool)
        guess = np.nan_to_num(directions(self.rays)(start), nan=-1e4).astype(np.float32)
        ends = (cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_COUNT, 12, 0.02)
        found, known, _ = cv2.calcOpticalFlowPyrLK(
            self.before,
            now,
            self.dots,
            guess.copy(),
            winSize=WINDOW,
            maxLevel=LEVELS - 1,
            criteria=ends,
            flags=cv2.OPTFLOW_USE_INITIAL_FLOW,
            minEigThreshold=1e-4,
        )
        high, wide = now.shape
        inside = ((found > 2) & (found < np.array([wide - 3, high - 3]))).all(axis=1)
        return np.asarray(found, np.float32), (known.ravel() == 1) & inside

    def _solve(self, camera: Camera, steady: Floats) -> tuple[Camera, Floats]:
        if len(self.dots) < 6:
            return camera, np.zeros(0)
        seen, start = directions(self.rays), camera
        steep = slopes(camera, seen)
        away = self.dots - seen(camera)
        for size in SIZES:
            weight = trust_of(np.hypot(away[:, 0], away[:, 1]), size)
            weight[~np.isfinite(weight)] = 0.0
            heavy = (steep * weight[:, None, None]).reshape(-1, 4)
            normal = heavy.T @ steep.reshape(-1, 4) + steady
            pull = heavy.T @ np.nan_to_num(away).ravel() - steady @ between(start, camera)
            step = np.linalg.solve(normal, pull)
            camera = turned(camera, step)
            away = self.dots - seen(camera)
        return camera, np.hypot(away[:, 0], away[:, 1])

    def settle(self, camera: Camera, *, sure: bool) -> None:
        """Take the camera that was settled on: drop what moves by itself, add pieces where there are few.

        ``sure`` says that something better than the pieces bore the camera out; then their directions follow it.
        """
        small = camera.at_scale(self.scale)
        self._pace(between(self.last, small), sure)
        self.last = small
        away = self.dots - directions(self.rays)(small)
        off = np.hypot(away[:, 0], away[:, 1])
        kept = off < (MOVES if sure else 3 * MOVES)
        self.dots, self.rays = self.dots[kept], self.rays[kept]
        if sure and len(self.dots):
            rays = (1 - RENEWED) * self.rays + RENEWED * _unit(small.rays(self.dots))
            self.rays = _unit(rays)
        if len(self.dots) < 0.8 * MOST:
            self._add(small)

    def _pace(self, going: Floats, sure: bool) -> None:
        """Take the pace of the newest frame, and by how much it grows: of pan and tilt, where it is sure."""
        grown = GROWS * (going - self.going) + (1 - GROWS) * self.growing
        self.growing = np.where([sure, sure, False, False], grown, 0.0)
        self.going = going if sure else going * FADES

    def _add(self, small: Camera) -> None:
        """Take the best corner of each block of the picture that has none."""
        import cv2

        grey = self.before
        high, wide = (size // BLOCK * BLOCK for size in grey.shape)
        corner = cv2.cornerMinEigenVal(grey, 5)[:high, :wide]
        cut = corner.reshape(high // BLOCK, BLOCK, wide // BLOCK, BLOCK).transpose(0, 2, 1, 3)
        blocks = cut.reshape(high // BLOCK, wide // BLOCK, BLOCK * BLOCK)
        best, where = blocks.max(axis=2), blocks.argmax(axis=2)
        taken = (self.dots / BLOCK).astype(int)
        rows, columns = np.clip(taken[:, 1], 0, best.shape[0] - 1), np.clip(taken[:, 0], 0, best.shape[1] - 1)
        best[rows, columns] = 0
        best[0, :] = best[-1, :] = best[:, 0] = best[:, -1] = 0
        order = np.argsort(best, axis=None)[::-1][: MOST - len(self.dots)]
        order = order[best.ravel()[order] > 2e-5]
        row, column = np.unravel_index(order, best.shape)
        place = where[row, column]
        new = np.column_stack([column * BLOCK + place % BLOCK, row * BLOCK + place // BLOCK]).astype(
            np.float32
        )
        if len(new):
            self.dots = np.concatenate([self.dots, new])
            self.rays = np.concatenate([self.rays, _unit(small.rays(new))])


def _unit(rays: Floats) -> Floats:
    return np.asarray(rays / np.linalg.norm(rays, axis=1, keepdims=True))
