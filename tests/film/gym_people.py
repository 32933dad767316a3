"""Who runs on the floor of a rendered gym, for tests only: ten players and two officials, and how they wander."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import ceil, floor, pi

import cv2
import numpy as np

from tenbetween.film.camera import Camera


class Waves:
    """A smooth wandering: five sines, together at most ``size``."""

    def __init__(self, dice: np.random.Generator, size: float, slow: float, fast: float) -> None:
        part = dice.uniform(0.3, 1.0, 5)
        self.size = size * part / part.sum()
        self.rate, self.phase = 2 * pi * dice.uniform(slow, fast, 5), dice.uniform(0, 2 * pi, 5)

    def __call__(self, t: float) -> float:
        return float((self.size * np.sin(self.rate * t + self.phase)).sum())


@dataclass(slots=True)
class Person:
    home: tuple[float, float]
    """Place about the play when it stands: feet from the play's x, and y."""
    late: float
    """Seconds behind the pan; negative runs ahead."""
    wander: tuple[Waves, Waves]
    height: float
    pictures: list[np.ndarray]
    """Four steps of a run: height, width, red-green-blue and how much is covered."""

    def at(self, t: float, play_x: Callable[[float], float] | None) -> tuple[float, float]:
        play = play_x(t - self.late) if play_x else 42.0
        x = play + self.home[0] + self.wander[0](t)
        y = self.home[1] + self.wander[1](t)
        return min(max(x, -3.0), 87.0), min(max(y, 1.0), 49.5)

    def draw(self, picture: np.ndarray, camera: Camera, at: tuple[float, float], t: float) -> None:
        feet_, head = camera.dots([[*at, 0.0], [*at, self.height]])
        tall = feet_[1] - head[1]
        if not np.isfinite(tall) or tall < 4:
            return
        sprite = self.pictures[int(t * 7 + self.home[0]) % 4]
        scale = tall / len(sprite)
        wide = sprite.shape[1] * scale
        x0, y0 = floor(head[0] - wide / 2) - 1, floor(head[1]) - 1
        x1, y1 = ceil(head[0] + wide / 2) + 2, ceil(feet_[1]) + 2
        a0, b0, a1, b1 = max(0, x0), max(0, y0), min(picture.shape[1], x1), min(picture.shape[0], y1)
        if a1 <= a0 or b1 <= b0:
            return
        lean = (feet_[0] - head[0]) / len(sprite)
        way = np.array([[scale, lean, head[0] - wide / 2 - a0], [0, scale, head[1] - b0]])
        shown = cv2.warpAffine(sprite, way, (a1 - a0, b1 - b0), flags=cv2.INTER_AREA)
        part = picture[b0:b1, a0:a1]
        share = shown[..., 3:].astype(np.float32) / 255
        part[:] = (part * (1 - share) + shown[..., :3] * share).astype(np.uint8)


def people_of(dice: np.random.Generator) -> list[Person]:
    found = []
    teams = [dice.uniform(150, 250, 3), dice.uniform(10, 110, 3)]
    for number in range(12):
        official = number >= 10
        shirt = None if official else teams[number % 2]
        home = (dice.uniform(-17, 17), dice.uniform(5, 45))
        if official:
            home = ((-18.0, 3.0), (14.0, 47.0))[number - 10]
        wander = Waves(dice, 7.0, 0.05, 0.2), Waves(dice, 7.0, 0.05, 0.2)
        pictures = [_sprite(np.random.default_rng([number, 5]), shirt, step) for step in range(4)]
        found.append(Person(home, dice.uniform(-0.15, 0.5), wander, dice.uniform(5.8, 6.8), pictures))
    return found


def _sprite(dice: np.random.Generator, shirt: np.ndarray | None, step: int) -> np.ndarray:
    """A person seen from the stand, 56 x 144 dots, red-green-blue and cover."""
    made = np.zeros((144, 56, 4), np.float32)
    skin = (*(dice.uniform(70, 225) * np.array([1, 0.8, 0.66])).tolist(), 255.0)
    top = (*(shirt if shirt is not None else np.array([225.0, 225, 225])).tolist(), 255.0)
    low = (*(np.array(top[:3]) * 0.8).tolist(), 255.0) if shirt is not None else (25.0, 25.0, 30.0, 255.0)
    swing = (0, 7, 0, -7)[step]
    for side in (-1, 1):
        knee, foot = (28 + side * 5 + side * swing // 2, 112), (28 + side * 5 + side * swing, 139)
        cv2.line(made, (28 + side * 4, 84), knee, low if shirt is None else skin, 9, cv2.LINE_AA)
        cv2.line(made, knee, foot, low if shirt is None else skin, 7, cv2.LINE_AA)
        cv2.line(made, foot, (foot[0] + 4, 140), (240.0, 240.0, 240.0, 255.0), 6, cv2.LINE_AA)
        cv2.line(made, (28 + side * 12, 34), (28 + side * (17 - abs(swing) // 2), 66), skin, 6, cv2.LINE_AA)
    cv2.rectangle(made, (18, 72), (38, 96), low, -1)
    cv2.ellipse(made, (28, 50), (13, 27), 0, 0, 360, top, -1, cv2.LINE_AA)
    if shirt is None:
        for x in range(17, 40, 6):
            cv2.line(made, (x, 30), (x, 72), (20.0, 20.0, 20.0, 255.0), 3)
    else:
        for _ in range(3):
            x, y = dice.integers(21, 32), dice.integers(38, 60)
            cv2.rectangle(
                made,
                (int(x), int(y)),
                (int(x) + 5, int(y) + 8),
                (*(255 - np.array(top[:3])).tolist(), 255.0),
                -1,
            )
    cv2.ellipse(made, (28, 13), (8, 11), 0, 0, 360, skin, -1, cv2.LINE_AA)
    cv2.ellipse(made, (28, 8), (8, 7), 0, 180, 360, (40.0, 30.0, 25.0, 255.0), -1, cv2.LINE_AA)
    return np.clip(made, 0, 255).astype(np.uint8)


def shadow(picture: np.ndarray, camera: Camera, at: tuple[float, float]) -> None:
    turn = np.linspace(0, 2 * pi, 20, endpoint=False)
    ring = camera.dots(np.column_stack([at[0] + 0.5 + 1.6 * np.cos(turn), at[1] + 0.3 + 0.9 * np.sin(turn)]))
    if not np.isfinite(ring).all():
        return
    low, top = np.floor(ring.min(0)).astype(int) - 1, np.ceil(ring.max(0)).astype(int) + 2
    x0, y0, x1, y1 = (
        max(0, low[0]),
        max(0, low[1]),
        min(picture.shape[1], top[0]),
        min(picture.shape[0], top[1]),
    )
    if x1 <= x0 or y1 <= y0:
        return
    mask = np.zeros((y1 - y0, x1 - x0), np.uint8)
    cv2.fillPoly(mask, [np.round((ring - [x0, y0]) * 16).astype(np.int32)], 90, cv2.LINE_AA, 4)
    part = picture[y0:y1, x0:x1]
    part[:] = (part * (1 - mask[..., None].astype(np.float32) / 255)).astype(np.uint8)
