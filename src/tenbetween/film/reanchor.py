"""Another play of the same film, from the same tripod: its camera found again from the anchor's picture.

Pieces of floor and wall that stand in both pictures tell how the camera turned and zoomed; the painted lines then
put it right. It is an offer for a person to look at, and it is refused when in doubt: two clicks do the rest.
Knows no click; needs the extra ``film``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tenbetween.court import Court
from tenbetween.film.camera import Camera, Floats
from tenbetween.film.follow import GREEN, grey_of
from tenbetween.film.refine import Lines, refine
from tenbetween.film.ridge import Grey
from tenbetween.film.turning import directions, farthest, slopes, trust_of, turned

WIDE = 1280
"""Dots: wider pictures are made smaller before pieces are sought in them."""
MOST = 4000
ALIKE = 0.75
"""The best match of a piece must be this much nearer than the second best."""
LEAST = 14
"""Matches that must agree on one turn."""
NEAR = 4.0
"""Dots within which a match agrees."""
SNAP = 14.0
"""Dots the lines may still be off when they are looked for."""


@dataclass(frozen=True, slots=True)
class Offer:
    """A camera for a person to look at, or none and why; ``matches`` agreed on it, ``share`` of the paint fits."""

    camera: Camera | None
    share: float
    matches: int
    why: str
    """Empty when there is a camera."""


@dataclass(frozen=True, slots=True, eq=False)
class Pieces:
    """What is kept of the anchor's picture to find its camera again: pieces, what they look like, where they lie."""

    camera: Camera
    rays: Floats
    looks: NDArray[np.float32]
    lines: Lines


def pieces_of(picture: NDArray[np.uint8], camera: Camera, court: Court, *, without: frozenset[str] = frozenset()) -> Pieces:
    """Return what can be found again of a picture whose camera is known.

    ``without`` names lines not to be looked for.
    """
    grey = grey_of(picture)
    scale = grey.shape[1] / camera.picture[0]
    here = camera if scale == 1.0 else camera.at_scale(scale)
    lines = Lines.of(court, without)
    lines.learn(grey, here)
    dots, looks = _sift(grey)
    return Pieces(camera, here.rays(dots) if len(dots) else np.zeros((0, 3)), looks, lines)


def reanchor(anchor: Pieces, picture: NDArray[np.uint8]) -> Offer:
    """Return the camera of another picture from the anchor's place, or why none is offered."""
    grey = grey_of(picture)
    scale = grey.shape[1] / anchor.camera.picture[0]
    here = anchor.camera if scale == 1.0 else anchor.camera.at_scale(scale)
    dots, looks = _sift(grey)
    first, second = _alike(anchor.looks, looks)
    camera, matches = _turn(here, anchor.rays[first], dots[second])
    if camera is None:
        return Offer(None, 0.0, matches, "too little of the anchor's picture was found again")
    offer = put_right(grey, camera, anchor.lines, matches)
    if offer.camera is None or scale == 1.0:
        return offer
    return Offer(offer.camera.at_scale(1 / scale), offer.share, matches, "")


def put_right(grey: Grey, camera: Camera, lines: Lines, matches: int = 0) -> Offer:
    """Return a camera that is nearly right put right by the lines, or why it is refused."""
    sd = np.array([8.0 / camera.focal, 8.0 / camera.focal, 0.003, 0.008])
    told = refine(grey, camera, lines, sd, (SNAP, 6.0, 3.0))
    if told.share < GREEN:
        return Offer(None, told.share, matches, "the painted lines do not lie where they should")
    if farthest(camera, told.camera) > 2 * SNAP:
        return Offer(None, told.share, matches, "the painted lines and the rest of the picture do not agree")
    return Offer(told.camera, told.share, matches, "")


def _sift(grey: Grey) -> tuple[Floats, NDArray[np.float32]]:
    """Return where pieces that can be told apart lie (dots of ``grey``), and what each looks like."""
    import cv2

    scale = min(1.0, WIDE / grey.shape[1])
    if scale < 1.0:
        size = (round(grey.shape[1] * scale), round(grey.shape[0] * scale))
        small = cv2.resize(grey, size, interpolation=cv2.INTER_AREA)
    else:
        small = grey
    finder: Any = cv2.SIFT_create(nfeatures=MOST, contrastThreshold=0.02)  # type: ignore[attr-defined]
    points, looks = finder.detectAndCompute(small, None)
    if looks is None:
        return np.zeros((0, 2)), np.zeros((0, 128), np.float32)
    dots = np.array([point.pt for point in points], float)
    # The middle of the first dot stays at (0, 0) when a picture is made larger again.
    return (dots + 0.5) / scale - 0.5, looks


def _alike(one: NDArray[np.float32], other: NDArray[np.float32]) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return pairs of pieces that look alike and like nothing else."""
    if len(one) < 2 or len(other) < 2:
        return np.zeros(0, np.intp), np.zeros(0, np.intp)
    import cv2

    pairs = cv2.BFMatcher(cv2.NORM_L2).knnMatch(one, other, k=2)
    kept = [(best.queryIdx, best.trainIdx) for best, second in pairs if best.distance < ALIKE * second.distance]
    found = np.array(kept, np.intp).reshape(-1, 2)
    return found[:, 0], found[:, 1]


def _turn(camera: Camera, rays: Floats, dots: Floats) -> tuple[Camera | None, int]:
    """Return the camera turned so that directions lie on their dots, and how many do; none when too few agree."""
    if len(rays) < LEAST:
        return None, len(rays)
    import cv2

    before = directions(rays)(camera)
    way, agree = cv2.findHomography(before, dots, cv2.USAC_MAGSAC, NEAR, maxIters=5000, confidence=0.9999)
    if way is None or int(agree.sum()) < LEAST:
        return None, 0 if way is None else int(agree.sum())
    kept = agree.ravel() == 1
    found, off = _solved(_aimed(camera, way), rays[kept], dots[kept])
    count = int((off < NEAR).sum())
    spread = np.ptp(dots[kept][off < NEAR], axis=0) if count else np.zeros(2)
    if count < LEAST or spread[0] < 0.12 * camera.picture[0]:
        return None, count
    return found, count


def _aimed(camera: Camera, way: Floats) -> Camera:
    """Return the camera turned to where a homography from its picture to the other puts the other's middle."""
    there = np.linalg.solve(way, np.array([*camera.middle, 1.0]))
    ray = camera.rays([there[:2] / there[2]])[0]
    tilt = -np.arctan2(ray[2], np.hypot(ray[0], ray[1]))
    return turned(camera, [np.arctan2(ray[0], ray[1]) - camera.pan, tilt - camera.tilt, 0.0, 0.0])


def _solved(camera: Camera, rays: Floats, dots: Floats) -> tuple[Camera, Floats]:
    seen = directions(rays)
    weak = np.diag([1e-3, 1e-3, 1e3, 1e2])
    for size in (80.0, 40.0, 20.0, 10.0, 5.0, 3.0, 2.0, 2.0):
        away = dots - seen(camera)
        weight = np.nan_to_num(trust_of(np.hypot(away[:, 0], away[:, 1]), size))
        steep = np.nan_to_num(slopes(camera, seen))
        heavy = (steep * weight[:, None, None]).reshape(-1, 4)
        step = np.linalg.solve(heavy.T @ steep.reshape(-1, 4) + weak, heavy.T @ np.nan_to_num(away).ravel())
        camera = turned(camera, np.clip(step, -0.5, 0.5))
    away = np.nan_to_num(dots - seen(camera), nan=1e6)
    return camera, np.hypot(away[:, 0], away[:, 1])
