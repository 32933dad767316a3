"""Drawn figures: two officials and ten players, standing, running and signalling, flat and from no real person.

A figure stands with its feet exactly on its place. Everything is reckoned in dots of one frame; OpenCV paints.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, sin
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tenbetween.film.story import Arm, Kind

Dots = NDArray[np.uint8]
Colour = tuple[int, int, int]
TALL_FT = 6.0
SKIN: tuple[Colour, ...] = ((198, 152, 118), (142, 98, 70), (224, 182, 150), (110, 74, 54))
SHIRT: dict[Kind, Colour] = {
    "white": (244, 244, 240),
    "dark": (44, 52, 92),
    "referee": (246, 246, 246),
    "umpire": (246, 246, 246),
}
SHORTS: dict[Kind, Colour] = {
    "white": (226, 226, 224),
    "dark": (36, 42, 76),
    "referee": (28, 28, 30),
    "umpire": (28, 28, 30),
}
HAIR: dict[Kind, Colour] = {
    "white": (60, 44, 34),
    "dark": (50, 38, 30),
    "referee": (188, 188, 188),
    "umpire": (54, 36, 26),
}
SHIFT = 4
"""Places are handed to the painter in sixteenths of a dot."""


@dataclass(frozen=True, slots=True)
class Stance:
    """One figure in one frame: dots of its feet, dots a foot, how far it has walked, what its arms do."""

    kind: Kind
    number: int
    at: tuple[float, float]
    scale: float
    walked: float
    moving: float
    """0 standing, 1 running."""
    ahead: float
    """+1 faces to the right of the picture, -1 to the left."""
    arm: Arm | None = None
    reach: float = 0.0
    """How far to the right (+) or left (-) a pointing arm goes, -1 to 1."""


def figure(cv2: Any, picture: Dots, one: Stance) -> None:
    """Paint one figure onto a picture."""
    pen = _Pen(cv2, picture, one)
    official = one.kind in ("referee", "umpire")
    swing = sin(one.walked * pi / 2.6) * one.moving
    pen.shadow()
    for side in (-1, 1):
        pen.limb((0.28 * side, 2.9), (0.34 * side + 0.8 * swing * side, 0.0 if side * swing <= 0 else 0.25), 0.42,
                 SHORTS[one.kind] if official else pen.skin)  # fmt: skip
    if not official:
        pen.block(((-0.62, 3.1), (0.62, 3.1), (0.7, 2.1), (-0.7, 2.1)), SHORTS[one.kind])
    pen.arms(swing)
    pen.block(((-0.55, 2.9), (0.55, 2.9), (0.78, 5.0), (-0.78, 5.0)), SHIRT[one.kind])
    if official:
        for across in (-0.45, -0.15, 0.15, 0.45):
            pen.limb((across * 0.9, 2.95), (across * 1.25, 4.95), 0.13, (20, 20, 22))
    pen.round((0.08 * one.ahead, 5.55), 0.42, pen.skin)
    pen.round((-0.04 * one.ahead, 5.78), 0.36, HAIR[one.kind])


class _Pen:
    """Paints in feet beside (to the right of) and above one figure's feet."""

    def __init__(self, cv2: Any, picture: Dots, one: Stance) -> None:
        self.cv2, self.picture, self.one = cv2, picture, one
        self.skin = SKIN[one.number % len(SKIN)]

    def dot(self, at: tuple[float, float]) -> tuple[int, int]:
        """Return a place of the figure in sixteenths of a dot."""
        x = self.one.at[0] + at[0] * self.one.scale
        y = self.one.at[1] - at[1] * self.one.scale
        return round(x * 16), round(y * 16)

    def shadow(self) -> None:
        """Paint the shadow the feet stand on."""
        axes = (round(1.0 * self.one.scale * 16), round(0.22 * self.one.scale * 16))
        self.cv2.ellipse(
            self.picture, self.dot((0, 0)), axes, 0, 0, 360, (150, 118, 82), -1, self.cv2.LINE_AA, SHIFT
        )

    def limb(
        self, start: tuple[float, float], end: tuple[float, float], thick: float, colour: Colour
    ) -> None:
        """Paint a straight limb."""
        wide = max(1, round(thick * self.one.scale))
        self.cv2.line(self.picture, self.dot(start), self.dot(end), colour, wide, self.cv2.LINE_AA, SHIFT)

    def block(self, corners: tuple[tuple[float, float], ...], colour: Colour) -> None:
        """Paint a filled shape."""
        given = np.array([self.dot(one) for one in corners], np.int32)
        self.cv2.fillConvexPoly(self.picture, given, colour, self.cv2.LINE_AA, SHIFT)

    def round(self, at: tuple[float, float], radius: float, colour: Colour) -> None:
        """Paint a disc."""
        self.cv2.circle(
            self.picture,
            self.dot(at),
            max(16, round(radius * self.one.scale * 16)),
            colour,
            -1,
            self.cv2.LINE_AA,
            SHIFT,
        )

    def arms(self, swing: float) -> None:
        """Paint both arms: what is signalled with one, the other at rest or swinging."""
        sleeve = SHIRT[self.one.kind]
        raised = {"up": (0.95, 7.3), "fist": (0.95, 7.1), "stroke": (1.7, 4.3), "chop": (2.0, 4.9)}.get(
            self.one.arm or ""
        )
        if self.one.arm == "point":
            raised = (2.3 * self.one.reach, 4.9) if abs(self.one.reach) > 0.3 else (0.9, 3.9)
        rest = (-0.95 - 0.3 * swing, 3.0)
        for shoulder, hand in (((-0.7, 4.8), rest), ((0.7, 4.8), raised or (0.95 + 0.3 * swing, 3.0))):
            if hand[0] < 0 < shoulder[0]:
                shoulder = (-0.7, 4.8)
            elbow = ((shoulder[0] + hand[0]) / 2, (shoulder[1] + hand[1]) / 2)
            self.limb(shoulder, elbow, 0.36, sleeve)
            self.limb(elbow, hand, 0.3, self.skin)
            if self.one.arm == "fist" and hand is raised:
                self.round(hand, 0.25, self.skin)
