"""Painted lines looked for in a grey picture, near where a camera says they should be.

A line is a ridge: a strip as wide as the paint, lighter (or darker) than the floor on both of its sides. Knows
dots and how far each is off across its line; neither solves for a camera nor names anything. Needs ``film``.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tenbetween.film.camera import Camera, Floats
from tenbetween.film.painted import Paint

Grey = NDArray[np.uint8]
FINE = 0.5
"""Dots between two places looked at across a line."""
ALONG = (-1.6, 0.0, 1.6)
"""Dots along the line over which a look is averaged."""
WIDEST = 21
"""Half dots: paint nearer than this needs is looked at as if it were this wide."""
FAINT = 3.0
"""Shades of 256 by which a ridge must stand out to count."""
RIVAL = 0.7
"""A second ridge at least this strong beside the first makes a dot doubtful."""


@dataclass(frozen=True, slots=True, eq=False)
class Aimed:
    """The dots of the paint that a camera sees: which they are, where, and the way across the line there."""

    which: NDArray[np.intp]
    """Numbers of the dots in ``Paint``."""
    at: Floats
    across: Floats
    """(n, 2), of length one, in the picture."""
    wide: Floats
    """Width of the paint across the line, dots."""


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """What stands near each aimed dot: how far off across the line (dots), how strong, how much to trust it."""

    off: Floats
    strength: Floats
    """Shades; negative when the line is darker than the floor. 0: nothing stands out."""
    trust: Floats
    """0 for nothing found, 1 for one clear ridge, less with a rival beside it."""


def aim(camera: Camera, paint: Paint, *, margin: float = 6.0, most: int = 500) -> Aimed:
    """Return the dots of the paint a camera sees, at most ``most`` of them, evenly left out."""
    tip = 0.05
    places = np.concatenate([paint.places, paint.places + tip * paint.along])
    side = np.column_stack([-paint.along[:, 1], paint.along[:, 0]]) * paint.width / 2
    seen = camera.dots(np.concatenate([places, paint.places + side]))
    at, ahead, beside = np.split(seen, 3)
    wide, high = camera.picture
    inside = (at > margin) & (at < np.array([wide, high]) - 1 - margin)
    # A dot beyond the fold of a strongly bent lens would come back into the picture: the ray must come back too.
    which = np.flatnonzero(inside.all(axis=1) & np.isfinite(seen).reshape(3, -1, 2).all(axis=(0, 2)))
    if len(which) > most:
        which = which[np.linspace(0, len(which) - 1, most).astype(int)]
    way = ahead[which] - at[which]
    way /= np.maximum(np.hypot(way[:, 0], way[:, 1]), 1e-9)[:, None]
    across = np.column_stack([-way[:, 1], way[:, 0]])
    thick = 2 * np.abs(((beside[which] - at[which]) * across).sum(axis=1))
    return Aimed(which, at[which], across, thick)


def look(grey: Grey, aimed: Aimed, reach: float, light: Floats | None = None) -> Found:
    """Return what stands within ``reach`` dots across the line of each aimed dot.

    ``light`` says of each whether its line is lighter (1) or darker (-1) than the floor, or not known (0).
    """
    count = len(aimed.which)
    if count == 0:
        none = np.zeros(0)
        return Found(none, none, none)
    answer = _answers(grey, aimed, reach)
    wanted = (
        np.abs(answer)
        if light is None
        else np.where(light[:, None] == 0, np.abs(answer), answer * light[:, None])
    )
    steps = answer.shape[1]
    offsets = (np.arange(steps) - steps // 2) * FINE
    near = wanted * (1 - 0.25 * (offsets / reach) ** 2)
    best = np.argmax(near[:, 1:-1], axis=1) + 1
    rows = np.arange(count)
    peak = wanted[rows, best]
    off = (best - steps // 2 + _parabola(wanted, rows, best)) * FINE
    close = np.abs(np.arange(steps)[None] - best[:, None]) * FINE < np.maximum(aimed.wide, 1.5)[:, None] + 1.0
    rival = np.where(close, 0.0, wanted).max(axis=1)
    trust = np.where(peak >= FAINT, np.where(rival > RIVAL * peak, 0.3, 1.0), 0.0)
    return Found(off, np.where(peak >= FAINT, answer[rows, best], 0.0), trust)


def _parabola(values: Floats, rows: NDArray[np.intp], best: NDArray[np.intp]) -> Floats:
    before, at, after = (values[rows, best + step] for step in (-1, 0, 1))
    bend = before - 2 * at + after
    return np.asarray(
        np.where(bend < -1e-9, np.clip(0.5 * (before - after) / np.minimum(bend, -1e-9), -0.5, 0.5), 0.0)
    )


def _answers(grey: Grey, aimed: Aimed, reach: float) -> Floats:
    """Return how much a strip of the paint's width stands out at each step across (n, steps); signed."""
    cells = np.clip(2 * np.rint((aimed.wide / FINE - 1) / 2).astype(int) + 1, 3, WIDEST)
    steps = 2 * int(np.ceil(reach / FINE)) + 1
    found = np.zeros((len(cells), steps))
    # Near and far lines differ much in width: one look for each width that occurs.
    for size in np.unique(cells):
        mine = np.flatnonzero(cells == size)
        side = max(3, min(int(size), 7))
        spare = size // 2 + 1 + side
        strips = _strips(grey, aimed.at[mine], aimed.across[mine], steps // 2 + spare)
        found[mine] = _stands_out(strips, int(size), side, steps)
    return found


def _strips(grey: Grey, at: Floats, across: Floats, half: int) -> Floats:
    """Return the shades across each line, a step apart, averaged a little along it (n, 2 half + 1)."""
    import cv2

    step = (np.arange(2 * half + 1) - half) * FINE
    along = np.column_stack([across[:, 1], -across[:, 0]])
    starts = (at[None] + np.array(ALONG)[:, None, None] * along[None]).reshape(-1, 2)
    ways = np.tile(across, (len(ALONG), 1))
    u = (starts[:, :1] + ways[:, :1] * step).astype(np.float32)
    v = (starts[:, 1:] + ways[:, 1:] * step).astype(np.float32)
    shades = cv2.remap(grey, u, v, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    averaged: Floats = shades.reshape(len(ALONG), len(at), -1).mean(axis=0)
    return averaged


def _stands_out(strips: Floats, size: int, side: int, steps: int) -> Floats:
    summed = np.concatenate([np.zeros((len(strips), 1)), np.cumsum(strips, axis=1)], axis=1)

    def mean(start: int, length: int) -> Floats:
        return np.asarray(
            (summed[:, start + length : start + length + steps] - summed[:, start : start + steps]) / length
        )

    # left side, a gap of one step for blur, the paint, a gap, right side
    left, middle, right = mean(0, side), mean(side + 1, size), mean(side + 1 + size + 1, side)
    lighter = np.minimum(middle - left, middle - right)
    darker = np.minimum(left - middle, right - middle)
    return np.asarray(np.where(lighter > 0, lighter, -np.maximum(darker, 0.0)))


def polarity(found: Found, lines: NDArray[np.intp], names: int, known: Floats | None = None) -> Floats:
    """Return for each line whether it is lighter (towards 1) or darker (towards -1) than the floor, by vote.

    ``lines`` tells of which line each dot is; all lines together break a tie, for most are of one colour.
    """
    sure = found.trust >= 1.0
    vote = np.clip(found.strength / 12.0, -1, 1) * sure
    each = np.bincount(lines, vote, names)
    total = np.tanh(each.sum() / 10.0)
    leaning = np.asarray(each + (0.0 if known is None else 6.0 * known))
    return np.asarray(np.tanh((leaning + 1.5 * total) / 4.0))
