"""How far the floor comes out when a camera is carried through a clip, beside the plain way on the same frames.

The plain way: pieces of the picture followed from frame to frame (Lucas-Kanade), a homography fitted to each step
with RANSAC, the steps multiplied. Errors are those of the visible floor, in feet, its median for each frame.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import cv2
import numpy as np

from film.cameras import clicked, in_view, painted_points, spread_out, visible_floor
from film.gym import Clip
from tenbetween.court import court_of
from tenbetween.film.camera import Camera
from tenbetween.film.follow import Followed, follow
from tenbetween.film.locate import Located, locate

COURT = court_of("us-hs")


def floor_error(truth: Camera, found: Camera) -> float:
    """Median error of the visible floor, feet; a place that comes out nowhere is a thousand feet off."""
    grid = visible_floor(truth, 4.0)
    off = np.linalg.norm(found.floor(truth.dots(grid)) - grid, axis=1)
    return float(np.median(np.where(np.isfinite(off), off, 1e3)))


def anchored(picture: np.ndarray, truth: Camera, seed: int, clicks: int = 6) -> Located:
    """What a coached hand finds: landmarks clicked 2 dots off (of a picture 1280 wide), then snapped to the lines."""
    dice = np.random.default_rng([seed, clicks])
    names = spread_out(truth, in_view(truth, painted_points(COURT), margin=6.0), clicks, dice)
    return locate(clicked(truth, names, dice, sd=2.0 * truth.picture[0] / 1280), picture)


@dataclass(frozen=True)
class Run:
    errors: np.ndarray
    shares: np.ndarray
    frames: list[Followed]

    @property
    def green(self) -> np.ndarray:
        return np.array([one.state == "green" for one in self.frames])

    def says(self) -> str:
        told = {word: sum(one.by == word for one in self.frames) for word in ("still", "lines", "pieces")}
        return (
            f"median {np.median(self.errors):.3f} ft, end {self.errors[-1]:.3f}, worst {self.errors.max():.2f};"
            f" share {self.shares.min():.2f} to {self.shares.max():.2f}, {told}"
        )


def carried(clip: Clip, camera: Camera) -> Run:
    frames = list(follow(camera, clip.frames(grey=True), COURT))
    errors = [floor_error(truth, one.camera) for truth, one in zip(clip.cameras, frames, strict=True)]
    return Run(np.array(errors), np.array([one.share for one in frames]), frames)


def plain(clip: Clip, camera: Camera) -> np.ndarray:
    """The errors of the plain way, frame by frame."""
    found = []
    for truth, way in zip(clip.cameras, _ways(frame for _, frame in clip.frames(grey=True)), strict=True):
        grid = visible_floor(truth, 4.0)
        back = cv2.perspectiveTransform(truth.dots(grid)[None], np.linalg.inv(way))[0]
        off = np.linalg.norm(camera.floor(back) - grid, axis=1)
        found.append(float(np.median(np.where(np.isfinite(off), off, 1e3))))
    return np.array(found)


def _ways(frames: Iterable[np.ndarray], most: int = 500, apart: int = 10) -> Iterable[np.ndarray]:
    """From the first frame to each, as homographies."""
    before, way, dots = None, np.eye(3), np.zeros((0, 1, 2), np.float32)
    for frame in frames:
        if before is not None and len(dots) >= 4:
            moved, known, _ = cv2.calcOpticalFlowPyrLK(
                before, frame, dots, None, winSize=(17, 17), maxLevel=4
            )
            kept = known.ravel() == 1
            step, fits = cv2.findHomography(dots[kept], moved[kept], cv2.RANSAC, 2.0)
            if step is not None:
                way, dots = step @ way, moved[kept][fits.ravel() == 1]
        if len(dots) < 0.7 * most:
            free = np.full(frame.shape, 255, np.uint8)
            for u, v in dots.reshape(-1, 2):
                cv2.circle(free, (int(u), int(v)), apart, 0, -1)
            new = cv2.goodFeaturesToTrack(frame, most - len(dots), 0.001, apart, mask=free)
            dots = dots if new is None else np.concatenate([dots, new])
        before = frame
        yield way.copy()
