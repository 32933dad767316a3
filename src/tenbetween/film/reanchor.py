"""Another play of the same film, from the same tripod: its camera found again from the anchor's picture.

Pieces of floor and wall that stand in both pictures tell how the camera turned and zoomed; the painted lines then
put it right. It is an offer for a person to look at, and it is refused when in doubt: two clicks do the rest.
Knows no click; needs the extra ``film``.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tenbetween.court import Court
from tenbetween.film.camera import Camera, Floats
from tenbetween.film.follow import GREEN, grey_of
from tenbetween.film.refine import Lines, refine
from tenbetween.film.ridge import Grey
from tenbetween.film.sweep import guesses
from tenbetween.film.turning import directions, farthest, slopes, trust_of, turned

WIDE = 1280
"""Dots: wider pictures are made smaller before pieces are sought in them."""
MOST = 4000
ALIKE = 0.8
"""The best match of a piece must be this much nearer than the second best."""
LEAST = 14
"""Matches that must agree on one turn; fewer only when the lines are sure."""
FEWEST = 5
SURE = 0.6
"""Share of the paint that must fit when few matches agree."""
ROUNDS, AT_REST, RESTLESS = 6, 0.1, 0.6
"""How often the lines are asked again, and how little (dots) they may still move the camera to be done, to be taken."""
GUESSES = 6
PAIRS = 3000
ZOOMS = np.exp(np.linspace(-0.12, 0.12, 7))
TILTS, ROLLS = np.radians(8.0), np.radians(2.5)
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


def pieces_of(
    picture: NDArray[np.uint8], camera: Camera, court: Court, *, without: frozenset[str] = frozenset()
) -> Pieces:
    """Return what can be found again of a picture whose camera is known.

    ``without`` names lines not to be looked for.
    """
    grey = grey_of(picture)
    scale = grey.shape[1] / camera.picture[0]
    here = camera if scale == 1.0 else camera.at_scale(scale)
    lines = Lines.of(court, without)
    lines.learn(grey, here)
    dots, looks = _sift(grey)
    return Pieces(camera, _unit(here.rays(dots)) if len(dots) else np.zeros((0, 3)), looks, lines)


def reanchor(anchor: Pieces, picture: NDArray[np.uint8]) -> Offer:
    """Return the camera of another picture from the anchor's place, or why none is offered."""
    grey = grey_of(picture)
    scale = grey.shape[1] / anchor.camera.picture[0]
    here = anchor.camera if scale == 1.0 else anchor.camera.at_scale(scale)
    dots, looks = _sift(grey)
    first, second = _alike(anchor.looks, looks)
    offer = Offer(None, 0.0, 0, "too little of the anchor's picture was found again")
    for camera, matches in _turns(here, anchor.rays[first], dots[second]):
        one = put_right(grey, camera, anchor.lines, matches)
        offer = max(offer, one, key=lambda each: (each.camera is not None, each.share, each.matches))
    if offer.camera is None:
        lines = anchor.lines
        for camera in guesses(grey, here, lines.paint, lines.leaning, GUESSES):
            one = put_right(grey, camera, lines)
            offer = max(offer, one, key=lambda each: (each.camera is not None, each.share))
    if offer.camera is None or scale == 1.0:
        return offer
    whole = replace(offer.camera, focal=offer.camera.focal / scale, picture=anchor.camera.picture)
    return replace(offer, camera=whole)


def put_right(grey: Grey, camera: Camera, lines: Lines, matches: int = 0) -> Offer:
    """Return a camera that is nearly right put right by the lines, or why it is refused."""
    sd, moved = np.array([8.0 / camera.focal, 8.0 / camera.focal, 0.003, 0.008]), 0.0
    told = refine(grey, camera, lines, sd, (SNAP, 6.0, 3.0))
    # What was expected before holds the camera back: begun again from there, it comes to rest.
    for _ in range(ROUNDS):
        began = told.camera
        told = refine(grey, began, lines, sd / 2, (4.0, 3.0))
        moved = farthest(began, told.camera)
        if moved < AT_REST:
            break
    if told.share < (GREEN if matches >= LEAST else SURE):
        return Offer(None, told.share, matches, "the painted lines do not lie where they should")
    if moved > RESTLESS:
        return Offer(None, told.share, matches, "the painted lines do not settle on one place")
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
    kept = [
        (best.queryIdx, best.trainIdx) for best, second in pairs if best.distance < ALIKE * second.distance
    ]
    found = np.array(kept, np.intp).reshape(-1, 2)
    return found[:, 0], found[:, 1]


def _turns(camera: Camera, rays: Floats, dots: Floats) -> list[tuple[Camera, int]]:
    """Return the turns most matches agree on, each with how many do, most first."""
    if len(rays) < 3:
        return []
    tried, counts = _tried(camera, rays, dots)
    found: list[tuple[Camera, int]] = []
    for number in np.argsort(-counts, kind="stable")[:200]:
        if len(found) == GUESSES or counts[number] < FEWEST:
            break
        if all(farthest(one, tried[number]) > 2 * SNAP for one, _ in found):
            better, off = _solved(tried[number], rays, dots)
            found.append((better, int((off < NEAR).sum())))
    return sorted(found, key=lambda one: -one[1])


def _tried(camera: Camera, rays: Floats, dots: Floats) -> tuple[list[Camera], NDArray[np.intp]]:
    """Return cameras that two matches each would have, for a few zooms, and how many matches agree with each."""
    first, second = _pairs(len(rays))
    level = replace(camera, pan=0.0, tilt=0.0, roll=0.0)
    found: list[Camera] = []
    agreed: list[NDArray[np.intp]] = []
    for zoom in ZOOMS:
        here = replace(level, focal=camera.focal * zoom)
        ahead = _unit(here.rays(dots) @ here.turn().T)
        turns = _triads(ahead[first], ahead[second]).transpose(0, 2, 1) @ _triads(rays[first], rays[second])
        angle = np.abs((rays[first] * rays[second]).sum(1) - (ahead[first] * ahead[second]).sum(1))
        turns = turns[(angle < 0.01) & _likely(turns, camera)]
        seen = np.einsum("kij,nj->kni", turns, rays)
        off = seen[..., :2] / np.maximum(seen[..., 2:], 0.05) - ahead[None, :, :2] / ahead[None, :, 2:]
        agreed.append((np.hypot(off[..., 0], off[..., 1]) * here.focal < 2 * NEAR).sum(axis=1))
        found += [_camera_of(here, turn) for turn in turns]
    return found, np.concatenate(agreed)


def _pairs(count: int) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return pairs of matches to try, all of them or evenly chosen."""
    first, second = np.triu_indices(count, 1)
    if len(first) > PAIRS:
        chosen = np.linspace(0, len(first) - 1, PAIRS).astype(int)
        first, second = first[chosen], second[chosen]
    return first, second


def _triads(one: Floats, other: Floats) -> Floats:
    """Return for two directions each the three axes they span (k, 3, 3), as rows."""
    across = np.cross(one, other)
    across = across / np.maximum(np.linalg.norm(across, axis=1, keepdims=True), 1e-9)
    return np.stack([one, across, np.cross(one, across)], axis=1)


def _likely(turns: Floats, camera: Camera) -> NDArray[np.bool_]:
    """Tell which turns a tripod makes: hardly another roll, not much another tilt."""
    tilt = np.arcsin(np.clip(-turns[:, 2, 2], -1, 1))
    roll = np.arctan2(-turns[:, 0, 2], -turns[:, 1, 2])
    return np.asarray((np.abs(tilt - camera.tilt) < TILTS) & (np.abs(roll - camera.roll) < ROLLS))


def _camera_of(camera: Camera, turn: Floats) -> Camera:
    pan, tilt = np.arctan2(turn[2, 0], turn[2, 1]), np.arcsin(np.clip(-turn[2, 2], -1, 1))
    roll = np.arctan2(-turn[0, 2], -turn[1, 2])
    return replace(camera, pan=float(pan), tilt=float(tilt), roll=float(roll))


def _unit(rays: Floats) -> Floats:
    return np.asarray(rays / np.linalg.norm(rays, axis=1, keepdims=True))


def _solved(camera: Camera, rays: Floats, dots: Floats) -> tuple[Camera, Floats]:
    seen = directions(rays)
    weak = np.diag([1e-3, 1e-3, 1e3, 1e2])
    for size in (12.0, 8.0, 5.0, 3.0, 2.0, 2.0):
        away = dots - seen(camera)
        weight = np.nan_to_num(trust_of(np.hypot(away[:, 0], away[:, 1]), size))
        steep = np.nan_to_num(slopes(camera, seen))
        heavy = (steep * weight[:, None, None]).reshape(-1, 4)
        step = np.linalg.solve(heavy.T @ steep.reshape(-1, 4) + weak, heavy.T @ np.nan_to_num(away).ravel())
        camera = turned(camera, np.clip(step, -0.5, 0.5))
    away = np.nan_to_num(dots - seen(camera), nan=1e6)
    return camera, np.hypot(away[:, 0], away[:, 1])
