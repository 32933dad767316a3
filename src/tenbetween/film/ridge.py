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
WIDEST = 41
"""Half dots: what is wider is looked at as if it were this wide."""
SHUTTER = 0.5
"""Of the time of a frame, how long the shutter stands open (180 degrees, as is usual)."""
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
    line: NDArray[np.intp]
    """Of which line each is; the dots of one line follow one another."""
    swept: Floats
    """Dots by which it was swept across while the shutter stood open: it is smeared over so many more."""


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """What stands near each aimed dot: how far off across the line (dots), how strong, how much to trust it."""

    off: Floats
    strength: Floats
    """Shades; negative when the line is darker than the floor. 0: nothing stands out."""
    trust: Floats
    """0 for nothing found, 1 for one clear ridge, less with a rival beside it."""


def aim(
    camera: Camera, paint: Paint, *, margin: float = 6.0, most: int = 500, before: Camera | None = None
) -> Aimed:
    """Return the dots of the paint a camera sees, at most ``most`` of them, evenly left out.

    ``before`` is the camera a frame earlier, if known: from it follows how far lines are smeared.
    """
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
    swept = np.zeros(len(which))
    if before is not None:
        moved = np.nan_to_num(at[which] - before.dots(paint.places[which]), nan=1e3)
        swept = SHUTTER * np.abs((moved * across).sum(axis=1))
    return Aimed(which, at[which], across, thick, paint.line[which], swept)


def look(grey: Grey, aimed: Aimed, reach: float, light: Floats | None = None) -> Found:
    """Return what stands within ``reach`` dots across the line of each aimed dot.

    ``light`` says of each whether its line is lighter (1) or darker (-1) than the floor, or not known (0).
    """
    count = len(aimed.which)
    if count == 0:
        none = np.zeros(0)
        return Found(none, none, none)
    bands = _bands(grey, aimed, reach)
    answer = np.zeros((count, 2 * int(np.ceil(reach / FINE)) + 1))
    for band in bands:
        answer[band.mine] = _stands_out(band, answer.shape[1])
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
    peak, signed = wanted[rows, best], answer[rows, best]
    off = (best - steps // 2 + _parabola(wanted, rows, best)) * FINE
    close = (
        np.abs(np.arange(steps)[None] - best[:, None]) * FINE
        < np.maximum(aimed.wide + aimed.swept, 1.5)[:, None] + 1.0
    )
    rival = np.where(close, 0.0, wanted).max(axis=1)
    trust = np.where(peak >= FAINT, np.where(rival > RIVAL * peak, 0.3, 1.0), 0.0)
    off, trust = _balanced(bands, aimed, off, trust, signed)
    return Found(off, np.where(peak >= FAINT, signed, 0.0), trust)


def _balanced(
    bands: list[_Band], aimed: Aimed, off: Floats, trust: Floats, signed: Floats
) -> tuple[Floats, Floats]:
    """Return offsets and trust put right where the floor is lighter on one side of a line than on the other.

    There the ridge of a thin, blurred line leans to the lighter side, by up to a dot. But blur keeps the sum of the
    shades: from that sum, the two sides' shades, the known width and the shade of the paint (learnt from lines with
    one shade on both sides) it follows where the middle of the line lies.
    """
    count = len(off)
    left, right, inner, half = np.zeros(count), np.zeros(count), np.zeros(count), np.zeros(count)
    for band in bands:
        mine = band.mine
        left[mine], right[mine], inner[mine], half[mine] = _sides(band, off[mine])
    sides = (left + right) / 2
    excess = inner - 2 * half * sides
    step = _along(right - left, aimed.line, trust > 0)
    lean = np.abs(step) / np.maximum(_along(np.abs(signed), aimed.line, trust > 0) + 0.5 * np.abs(step), 1.0)
    shade = _paint_shade(sides + excess / np.maximum(aimed.wide, 0.3), aimed.wide, lean, trust, signed)
    leaning = (lean > 0.35) & (trust > 0)
    expected = aimed.wide * (np.where(signed > 0, shade[0], shade[1]) - sides)
    with np.errstate(divide="ignore", invalid="ignore"):
        moved = (expected - excess) / step
    usable = leaning & np.isfinite(moved) & (np.abs(moved) < 2.0)
    off = np.where(usable, off + np.nan_to_num(moved), off)
    # A far strip of bare floor beside painted floor is a ridge too, but no line: it holds too much light.
    line = np.abs(_along(excess, aimed.line, trust > 0) - expected) < 20.0 + 0.8 * np.abs(expected)
    trust = trust * np.where(np.isfinite(expected), np.where(line, 1.0, 0.1), 0.3)
    return off, np.where(leaning, trust * np.where(usable, 0.5, 0.2), trust)


def _along(values: Floats, line: NDArray[np.intp], told: NDArray[np.bool_], reach: int = 5) -> Floats:
    """Return each value averaged with its told neighbours on the same line."""
    kept, weight = np.where(told, values, 0.0), told.astype(float)
    summed, counted = kept.copy(), weight.copy()
    for step in range(1, reach + 1):
        same = line[step:] == line[:-step]
        for total, one in ((summed, kept), (counted, weight)):
            total[step:] += np.where(same, one[:-step], 0.0)
            total[:-step] += np.where(same, one[step:], 0.0)
    return np.asarray(summed / np.maximum(counted, 1.0))


def _paint_shade(
    each: Floats, wide: Floats, lean: Floats, trust: Floats, signed: Floats
) -> tuple[float, float]:
    """Return the shade of light paint and of dark paint; nan where no line tells."""
    told = (trust >= 1.0) & (lean < 0.25) & (wide > 0.6)
    found = []
    for lighter in (True, False):
        shades = each[told & ((signed > 0) == lighter)]
        found.append(float(np.median(shades)) if len(shades) >= 8 else float("nan"))
    return found[0], found[1]


def _sides(band: _Band, off: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """Return the shades left and right of the line at ``off``, the sum between them, and half that stretch (dots)."""
    gap, side = 4, 4
    half = band.size // 2 + gap
    at = np.rint(off / FINE).astype(int) + band.half
    rows = np.arange(len(off))
    low, high = at - half, at + half + 1

    def total(start: NDArray[np.intp], end: NDArray[np.intp]) -> Floats:
        limit = band.summed.shape[1] - 1
        return np.asarray(
            band.summed[rows, np.clip(end, 0, limit)] - band.summed[rows, np.clip(start, 0, limit)]
        )

    left, right = total(low - side, low) / side, total(high, high + side) / side
    inner = total(low, high) * FINE
    # the stretch is centred on a whole step: put the sum as if it were centred on the offset itself
    shift = off - (at - band.half) * FINE
    return left, right, inner + shift * (right - left), np.full(len(off), (2 * half + 1) * FINE / 2)


def _parabola(values: Floats, rows: NDArray[np.intp], best: NDArray[np.intp]) -> Floats:
    before, at, after = (values[rows, best + step] for step in (-1, 0, 1))
    bend = before - 2 * at + after
    return np.asarray(
        np.where(bend < -1e-9, np.clip(0.5 * (before - after) / np.minimum(bend, -1e-9), -0.5, 0.5), 0.0)
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Band:
    """The aimed dots whose lines are about equally wide, and the shades across each, summed up step by step."""

    mine: NDArray[np.intp]
    summed: Floats
    size: int
    """Steps the paint is wide, an odd number."""
    side: int
    half: int
    """The step that lies on the aimed dot."""


def _bands(grey: Grey, aimed: Aimed, reach: float) -> list[_Band]:
    seen = aimed.wide + 0.8 * np.where(aimed.swept > 1.5, aimed.swept, 0.0)
    cells = np.clip(2 * np.rint((seen / FINE - 1) / 2).astype(int) + 1, 3, WIDEST)
    cells = np.where(cells > 13, cells // 8 * 8 + 5, cells)
    found = []
    # Near and far lines differ much in width: one look for each width that occurs.
    for size in np.unique(cells):
        mine = np.flatnonzero(cells == size)
        side = max(3, min(int(size), 7))
        half = int(np.ceil(reach / FINE)) + int(size) // 2 + 9 + side
        strips = _strips(grey, aimed.at[mine], aimed.across[mine], half)
        summed = np.concatenate([np.zeros((len(mine), 1)), np.cumsum(strips, axis=1)], axis=1)
        found.append(_Band(mine, summed, int(size), side, half))
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


def _stands_out(band: _Band, steps: int) -> Floats:
    """Return how much a strip of the paint's width stands out at each step across (n, steps); signed."""
    size, side, summed = band.size, band.side, band.summed
    first = band.half - steps // 2 - size // 2

    def mean(start: int, length: int) -> Floats:
        start += first
        return np.asarray(
            (summed[:, start + length : start + length + steps] - summed[:, start : start + steps]) / length
        )

    # left side, a gap of one step for blur, the paint, a gap, right side
    left, middle, right = mean(-1 - side, side), mean(0, size), mean(size + 1, side)
    lighter = np.minimum(middle - left, middle - right)
    darker = np.minimum(left - middle, right - middle)
    return np.asarray(np.where(lighter > 0, lighter, -np.maximum(darker, 0.0)))


def polarity(found: Found, lines: NDArray[np.intp], names: int, known: Floats | None = None) -> Floats:
    """Return for each line whether it is lighter (towards 1) or darker (towards -1) than the floor, by vote.

    ``lines`` tells of which line each dot is; all lines together break a tie, for most are of one colour.
    """
    sure = found.trust >= 0.5
    vote = np.clip(found.strength / 12.0, -1, 1) * sure
    each = np.bincount(lines, vote, names)
    total = np.tanh(each.sum() / 10.0)
    leaning = np.asarray(each + (0.0 if known is None else 6.0 * known))
    return np.asarray(np.tanh((leaning + 1.5 * total) / 4.0))
