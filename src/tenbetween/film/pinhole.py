"""The sums of a camera for many cameras at once: how far clicks are from where they should be.

A camera is eight numbers in the order of ``camera.PARTS``; ``numbers`` (k, 8) are k cameras. Agrees with ``Camera``
and exists so that a solver gets its slopes in one go. Knows no name, no prior and no picture.
"""

from __future__ import annotations

import numpy as np

from tenbetween.film.camera import Floats

STEPS = np.array([1e-3, 1e-3, 1e-3, 1e-6, 1e-6, 1e-6, 1e-6, 1e-6])
"""How far each number is moved to measure a slope: thousandths of a foot, millionths of a radian."""
NEAREST = 0.5
"""Feet ahead of the camera: what is nearer or behind counts as this near, so that a search never divides by zero."""
LEAST_FALL = 1e-4
"""A ray that falls less than this is taken to fall so much: far away, but somewhere."""


def lens(numbers: Floats) -> Floats:
    """Return the lengths of the lenses (k, 1) in dots; a search that runs away stays among lenses there can be."""
    return np.exp(np.clip(numbers[:, 6:7], 2.0, 14.0))


def turns(numbers: Floats) -> Floats:
    """Return the turns (k, 3, 3) from the court's axes to each camera's right, down and forward."""
    pan, tilt, roll = numbers[:, 3], numbers[:, 4], numbers[:, 5]
    sp, cp, st, ct = np.sin(pan), np.cos(pan), np.sin(tilt), np.cos(tilt)
    forward = np.stack([sp * ct, cp * ct, -st], axis=1)
    right = np.stack([cp, -sp, np.zeros_like(pan)], axis=1)
    down = np.cross(forward, right)
    c, s = np.cos(roll)[:, None], np.sin(roll)[:, None]
    return np.stack([c * right + s * down, c * down - s * right, forward], axis=1)


def dots(numbers: Floats, places: Floats, middle: Floats) -> Floats:
    """Return where places (n, 3, feet) are in the picture of each camera (k, n, 2)."""
    away = places[None] - numbers[:, None, :3]
    seen = np.einsum("kij,knj->kni", turns(numbers), away)
    flat = seen[..., :2] / np.maximum(seen[..., 2:], NEAREST)
    bent = flat * (1 + numbers[:, None, 7:] * (flat**2).sum(-1, keepdims=True))
    return np.asarray(lens(numbers)[:, None] * bent + middle)


def flattened(numbers: Floats, clicked: Floats, middle: Floats) -> Floats:
    """Return clicked dots (n, 2) as directions without the lens's bend (k, n, 2), in units of the lens's length."""
    bent = (clicked[None] - middle) / lens(numbers)[:, None]
    flat = bent
    for _ in range(8):
        flat = bent / (1 + numbers[:, None, 7:] * (flat**2).sum(-1, keepdims=True))
    return np.asarray(flat)


def floors(numbers: Floats, clicked: Floats, middle: Floats) -> Floats:
    """Return the places on the floor (k, n, 2, feet) under clicked dots (n, 2); far off at or above the horizon."""
    flat = flattened(numbers, clicked, middle)
    rays = np.concatenate([flat, np.ones_like(flat[..., :1])], axis=-1) @ turns(numbers)
    reach = numbers[:, None, 2:3] / np.maximum(-rays[..., 2:], LEAST_FALL)
    return np.asarray(numbers[:, None, :2] + rays[..., :2] * reach)


def off_points(numbers: Floats, places: Floats, clicked: Floats, middle: Floats) -> Floats:
    """Return how far clicks are from the places they name (k, n, 2, dots)."""
    return np.asarray(dots(numbers, places, middle) - clicked[None])


def off_lines(numbers: Floats, ends: Floats, clicked: Floats, middle: Floats) -> Floats:
    """Return how far clicks are from the straight lines through two places each (n, 2, 3): (k, n), dots."""
    eye = numbers[:, None, :3]
    across = np.cross(ends[None, :, 0] - eye, ends[None, :, 1] - eye)
    image = np.einsum("kij,knj->kni", turns(numbers), across)
    flat = flattened(numbers, clicked, middle)
    apart = (image[..., :2] * flat).sum(-1) + image[..., 2]
    slope = np.maximum(np.linalg.norm(image[..., :2], axis=-1), 1e-12)
    return np.asarray(lens(numbers) * apart / slope)


def off_curves(numbers: Floats, rounds: Floats, clicked: Floats, middle: Floats) -> Floats:
    """Return how far clicks are from circles on the floor, given as x, y and radius (n, 3): (k, n), dots.

    To first order (Sampson): how far the place under the dot is from the circle, over how fast that changes by dot.
    """
    flat = flattened(numbers, clicked, middle)
    turn = turns(numbers)
    rays = np.concatenate([flat, np.ones_like(flat[..., :1])], axis=-1) @ turn
    fall = np.maximum(-rays[..., 2], LEAST_FALL)
    reach = numbers[:, None, 2] / fall
    out = numbers[:, None, :2] + rays[..., :2] * reach[..., None] - rounds[None, :, :2]
    far = np.maximum(np.linalg.norm(out, axis=-1), 1e-9)
    slopes = []
    for axis in (0, 1):
        by = turn[:, None, axis]
        moved = by[..., :2] * reach[..., None] + rays[..., :2] * (reach / fall * by[..., 2])[..., None]
        slopes.append((out * moved).sum(-1) / far)
    steep = np.maximum(np.hypot(*slopes), 1e-9)
    return np.asarray(lens(numbers) * (far - rounds[None, :, 2]) / steep)


def around(numbers: Floats) -> Floats:
    """Return the sixteen cameras one step to either side of one (8,), for slopes: all pluses, then all minuses."""
    return np.concatenate([numbers + np.diag(STEPS), numbers - np.diag(STEPS)])


def slopes(values: Floats) -> Floats:
    """Return the slopes (..., 8) of what was worked out for the sixteen cameras of ``around``."""
    by = values[:8] - values[8:]
    return np.moveaxis(by / (2 * STEPS.reshape(8, *(1,) * (by.ndim - 1))), 0, -1)
