"""A drawn film of a told game: floor, crew and players, frame by frame, with the exact truth of each.

The picture is only what the story and the camera say: a line is painted under the dots its places project to, feet
stand on their places. No real person, no texture. Needs OpenCV to paint; knows no rule.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import hypot
from types import ModuleType
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tenbetween.errors import Problem, UsageError
from tenbetween.film.camera import Camera
from tenbetween.film.drawn_camera import cameras
from tenbetween.film.drawn_floor import (
    WALL,
    Colour,
    Shape,
    basket_shapes,
    compass,
    crowd,
    floor_shapes,
    table_shapes,
    wall_shapes,
)
from tenbetween.film.drawn_people import TALL_FT, Stance, figure
from tenbetween.film.story import Figure, Sign, Story
from tenbetween.units import FOOT

Dots = NDArray[np.uint8]
Floats = NDArray[np.float64]
FPS = 30
PICTURE = (640, 360)
FARTHEST = 30_000 // 16
"""No corner is handed to the painter farther out than this many dots."""


def painter() -> ModuleType:
    """Return OpenCV, with one thread.

    Raises:
        UsageError: it is not installed.
    """
    try:
        import cv2
    except ImportError:
        do = "in the program's folder: .venv/bin/pip install opencv-python-headless"
        raise UsageError(Problem("film", "no OpenCV on this machine", "the extra `film`", do)) from None
    cv2.setNumThreads(1)
    return cv2


@dataclass(frozen=True, slots=True)
class _Corners:
    """Shapes laid out so that one camera call finds the dots of all of them."""

    places: Floats
    parts: tuple[tuple[tuple[slice, ...], Colour], ...]


def _laid_out(shapes: Sequence[Shape]) -> _Corners:
    rows: list[Floats] = []
    parts, count = [], 0
    for shape in shapes:
        slices = []
        for ring in shape.rings:
            rows.append(ring)
            slices.append(slice(count, count + len(ring)))
            count += len(ring)
        parts.append((tuple(slices), shape.colour))
    return _Corners(np.vstack(rows), tuple(parts))


class Drawn:
    """A story with the camera of each frame, ready to be painted frame by frame."""

    def __init__(
        self, story: Story, *, picture: tuple[int, int] = PICTURE, fps: int = FPS, seed: int = 4
    ) -> None:
        self.story, self.picture, self.fps = story, picture, fps
        self.frames = int(story.seconds * fps)
        self.times = np.arange(self.frames) / fps
        self.cameras: tuple[Camera, ...] = cameras(story, self.frames, fps, picture)
        self.places = story.places(self.times)
        self.ball = story.ball_at(self.times)
        self._cv2 = painter()
        self._blank = np.full((picture[1], picture[0], 3), WALL, np.uint8)
        self._still = _laid_out((*wall_shapes(story.court), *floor_shapes(story.court)))
        self._stands = [(_far(shapes), _laid_out(shapes)) for shapes in self._standing()]
        self._crowd, self._crowd_colours = crowd(story.court, np.random.default_rng(seed))
        self._walked = {one: _walked(places) for one, places in self.places.items()}

    def _standing(self) -> tuple[tuple[Shape, ...], ...]:
        court = self.story.court
        return (basket_shapes(court, "left"), basket_shapes(court, "right"), table_shapes(court))

    def planes(self, number: int) -> Dots:
        """Return one frame as brightness and colour in half size, as an encoder takes it (ITU-R BT.601)."""
        found: Dots = self._cv2.cvtColor(self.frame(number), self._cv2.COLOR_RGB2YUV_I420)
        return found

    def pictures(self) -> Iterator[Dots]:
        """Yield every frame (height, width, red-green-blue)."""
        for number in range(self.frames):
            yield self.frame(number)

    def frame(self, number: int) -> Dots:
        """Return one frame (height, width, red-green-blue)."""
        camera = self.cameras[number]
        picture = self._blank.copy()
        self._shapes(picture, camera, self._still)
        self._heads(picture, camera)
        for _, draw in sorted(self._upright(picture, camera, number), key=lambda one: -one[0]):
            draw()
        return picture

    def _shapes(self, picture: Dots, camera: Camera, corners: _Corners) -> None:
        dots = camera.dots(corners.places)
        given = np.round(np.clip(np.nan_to_num(dots, nan=-FARTHEST), -FARTHEST, FARTHEST) * 16).astype(
            np.int32
        )
        wide, high = self.picture[0] * 16, self.picture[1] * 16
        for slices, colour in corners.parts:
            outer = given[slices[0]]
            low, top = outer.min(0), outer.max(0)
            if top[0] >= 0 and top[1] >= 0 and low[0] <= wide and low[1] <= high:
                rings = [given[one] for one in slices]
                self._cv2.fillPoly(picture, rings, colour, self._cv2.LINE_AA, 4)

    def _heads(self, picture: Dots, camera: Camera) -> None:
        dots = camera.dots(self._crowd)
        size = round(0.55 * camera.focal / 125 * 16)
        for (u, v), colour in zip(dots, self._crowd_colours, strict=True):
            if -5 < u < self.picture[0] + 5 and -5 < v < self.picture[1] + 5:
                at = (round(u * 16), round(v * 16))
                self._cv2.circle(picture, at, size, colour, -1, self._cv2.LINE_AA, 4)

    def _upright(self, picture: Dots, camera: Camera, number: int) -> Iterator[tuple[float, Any]]:
        """Yield what stands on the floor: how far away it is, and what paints it."""
        for far, corners in self._stands:
            yield far, lambda corners=corners: self._shapes(picture, camera, corners)
        figures = self.story.figures
        feet = np.array([self.places[one.id][number] for one in figures])
        both = np.vstack([np.column_stack([feet, np.full(len(feet), high)]) for high in (0.0, TALL_FT)])
        dots = camera.dots(both).reshape(2, len(feet), 2)
        for order, one in enumerate(figures):
            stance = self._stance(one, order, number, dots[:, order])
            yield float(feet[order, 1]), lambda stance=stance: figure(self._cv2, picture, stance)
        yield float(self.ball[number, 1]) - 0.3, lambda: self._ball(picture, camera, number)

    def _stance(self, one: Figure, order: int, number: int, dots: Floats) -> Stance:
        place = self.places[one.id][number]
        feet, head = dots
        speed = self._speed(one.id, number)
        to_ball = self.ball[number, 0] - place[0]
        sign = self._sign(one, number)
        return Stance(
            kind=one.kind, number=order, at=(float(feet[0]), float(feet[1])),
            scale=float(feet[1] - head[1]) / TALL_FT, walked=float(self._walked[one.id][number]),
            moving=min(1.0, speed / 8.0), ahead=1.0 if to_ball >= 0 else -1.0,
            arm=None if sign is None else sign.arm, reach=0.0 if sign is None else compass(sign.towards)[0],
        )  # fmt: skip

    def _speed(self, who: str, number: int) -> float:
        walked = self._walked[who]
        before = max(0, number - 1)
        return float(walked[number] - walked[before]) * self.fps

    def _sign(self, one: Figure, number: int) -> Sign | None:
        now = number / self.fps
        found = [sign for sign in self.story.signs if sign.who == one.kind and sign.begins <= now < sign.ends]
        return found[-1] if found else None

    def _ball(self, picture: Dots, camera: Camera, number: int) -> None:
        x, y, z = self.ball[number]
        dots = camera.dots([[x, y, z], [x, y, z + 1.0], [x, y, 0.0]])
        scale = float(dots[0, 1] - dots[1, 1])
        radius = max(1.6, 0.42 * scale)
        at = (round(dots[0, 0] * 16), round(dots[0, 1] * 16))
        self._cv2.circle(picture, at, round(radius * 16), (120, 56, 20), -1, self._cv2.LINE_AA, 4)
        self._cv2.circle(picture, at, round(radius * 13), (226, 120, 48), -1, self._cv2.LINE_AA, 4)


def _far(shapes: Sequence[Shape]) -> float:
    return float(np.mean([ring[:, 1].mean() for shape in shapes for ring in shape.rings]))


def _walked(places: Floats) -> Floats:
    steps = np.hypot(*np.diff(places, axis=0).T)
    return np.concatenate([[0.0], np.cumsum(steps)])


def farthest_apart(drawn: Drawn) -> float:
    """Return the fastest anybody of the story moves (ft/s), to see that it can be."""
    steps = (np.diff(places, axis=0) for places in drawn.places.values())
    return max(hypot(*one) for step in steps for one in step) * drawn.fps


def half_width(story: Story) -> float:
    """Return half the width of a painted line (feet)."""
    return story.court.line_width / FOOT / 2
