"""The camera of a drawn film: on a tripod in the stands, following the ball a little late, as a hand does.

Gives one exact camera for every frame. Knows no picture and no sound.
"""

from __future__ import annotations

from math import atan2

import numpy as np
from numpy.typing import NDArray

from tenbetween.film.camera import Camera
from tenbetween.film.story import Story
from tenbetween.units import FOOT

Floats = NDArray[np.float64]
BACK_FT, HIGH_FT = 62.0, 17.0
"""How far behind the table sideline, and how high, the tripod stands."""
VIEW = 1.22
"""Focal length in widths of the picture: a view of about 45 degrees."""
BEND = -0.01
LATE_S = 0.7
MOST_PAN = 0.3


def cameras(story: Story, frames: int, fps: int, picture: tuple[int, int]) -> tuple[Camera, ...]:
    """Return the camera of each frame of a story: still in its place, turned after the ball."""
    times = np.arange(frames) / fps
    court = story.court
    middle, far = court.length / FOOT / 2, court.width / FOOT / 2 + BACK_FT
    aim = _late(story.ball_at(times)[:, 0], fps)
    wobble = _wobble(times)
    drift = 1 + 0.03 * np.sin(times * 2 * np.pi / 47)
    found = []
    for number in range(frames):
        pan = float(np.clip(atan2(aim[number] - middle, far), -MOST_PAN, MOST_PAN)) + wobble[number, 0]
        focal = VIEW * picture[0] * float(drift[number])
        tilt = 0.168 + wobble[number, 1]
        found.append(Camera(middle + 1.5, -BACK_FT, HIGH_FT, pan, tilt, 0.006, focal, BEND, picture))
    return tuple(found)


def _late(wanted: Floats, fps: int) -> Floats:
    """Return the values as a hand follows them: twice smoothed, a little late."""
    keep = np.exp(-1 / (LATE_S / 2 * fps))
    found = wanted.astype(float)
    for _ in range(2):
        value = found[0]
        smooth = np.empty_like(found)
        for number, one in enumerate(found):
            value = keep * value + (1 - keep) * one
            smooth[number] = value
        found = smooth
    return found


def _wobble(times: Floats) -> Floats:
    """Return what a hand on the tripod adds to pan and tilt (radians): under a tenth of a degree."""
    pan = 0.0006 * np.sin(times * 4.1) + 0.0004 * np.sin(times * 9.7 + 1)
    tilt = 0.0005 * np.sin(times * 3.3 + 2) + 0.0003 * np.sin(times * 11.3)
    return np.column_stack([pan, tilt])
