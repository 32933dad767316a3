"""Where a camera of known place may be looking, from nothing but thin lines in the picture: coarse guesses.

Every pan, tilt and zoom in reach is tried, and how near the paint would lie to something thin and light (or dark).
A bare gym has little else to go by. Guesses only: the lines must bear them out afterwards. Needs the extra ``film``.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from tenbetween.film.camera import Camera, Floats
from tenbetween.film.painted import Paint
from tenbetween.film.ridge import Grey
from tenbetween.film.turning import farthest, turned

WIDE = 640
PANS = np.radians(np.arange(-42.0, 42.1, 0.6))
TILTS = np.radians(np.arange(-2.4, 2.5, 0.4))
ZOOMS = np.linspace(-0.1, 0.1, 5)
"""Logarithms of how much longer the lens may have become."""
THIN = 7
"""Dots of the small picture: what is wider is no line."""
SEEN = 60
"""Dots of paint that must lie in the picture."""
EVERY = 3


def guesses(grey: Grey, camera: Camera, paint: Paint, leaning: Floats, count: int) -> list[Camera]:
    """Return the likeliest cameras that ``camera`` may have become by turning and zooming, likeliest first.

    ``leaning`` tells for each line of the paint whether it is lighter (above 0) or darker than the floor.
    """
    scale = min(1.0, WIDE / camera.picture[0])
    small = camera.at_scale(scale)
    near = _nearness(grey, small.picture, float(np.sign(leaning.sum())))
    places = np.column_stack([paint.places[::EVERY], np.zeros(len(paint.places[::EVERY]))])
    found: list[tuple[float, Camera]] = []
    for pan in PANS:
        found += _tilted(near, turned(small, [pan, 0, 0, 0]), places)
    found.sort(key=lambda one: -one[0])
    kept: list[Camera] = []
    for _, one in found[: 40 * count]:
        if len(kept) < count and all(farthest(one, other) > 12 for other in kept):
            kept.append(one)
    return [replace(one, focal=one.focal / scale, picture=camera.picture) for one in kept]


def _nearness(grey: Grey, size: tuple[int, int], lighter: float) -> NDArray[np.float32]:
    """Return for each dot of the small picture how near something thin is: 1 on it, 0 some dots away."""
    import cv2

    small = cv2.resize(grey, size, interpolation=cv2.INTER_AREA)
    brush = np.ones((THIN, THIN), np.uint8)
    way = cv2.MORPH_TOPHAT if lighter >= 0 else cv2.MORPH_BLACKHAT
    thin = cv2.morphologyEx(small, way, brush)
    limit = max(8.0, float(np.percentile(thin, 90)))
    far = cv2.distanceTransform((thin < limit).astype(np.uint8), cv2.DIST_L2, 3)
    near = np.exp(-far / 2.5).astype(np.float32)
    # What is thin everywhere (a crowd, planks) tells nothing: each neighbourhood is measured against itself.
    return np.asarray(near - cv2.blur(near, (61, 61)), np.float32)


def _tilted(near: NDArray[np.float32], camera: Camera, places: Floats) -> list[tuple[float, Camera]]:
    """Return the best of the tilts for each zoom, with how well the paint lies."""
    tried = [turned(camera, [0, tilt, 0, 0]) for tilt in TILTS]
    away = (places - [camera.x, camera.y, camera.z]) @ np.stack([one.turn() for one in tried]).transpose(
        0, 2, 1
    )
    flat = away[..., :2] / np.maximum(away[..., 2:], 0.5)
    bent = flat * (1 + camera.k1 * np.minimum((flat**2).sum(-1, keepdims=True), 1.0))
    found = []
    for zoom in ZOOMS:
        marks = _marks(near, camera.focal * np.exp(zoom) * bent + camera.middle, away[..., 2] > 1)
        best = int(np.argmax(marks))
        found.append((float(marks[best]), turned(tried[best], [0, 0, 0, zoom])))
    return found


def _marks(near: NDArray[np.float32], dots: Floats, ahead: NDArray[np.bool_]) -> Floats:
    high, wide = near.shape
    at = np.rint(dots).astype(np.int32)
    inside = ahead & (at >= 0).all(-1) & (at[..., 0] < wide) & (at[..., 1] < high)
    value = near[np.clip(at[..., 1], 0, high - 1), np.clip(at[..., 0], 0, wide - 1)] * inside
    count = inside.sum(-1)
    # More paint in view that fits is better evidence than little that fits as well.
    return np.where(count >= SEEN, value.sum(-1) / np.sqrt(np.maximum(count, 1)), -1.0)
