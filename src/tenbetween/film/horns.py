"""The horn of the clock in spectra: low, long, steady, several partials that begin together and do not move.

Knows no whistle. A siren, a held note of a band or a lorry's horn is proposed as well: the trainer drops it.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from tenbetween.film.spectra import STEP_S, Page, Power

LOW, HIGH = 8, 136
"""Lines of the band its partials are looked for in: 125 to 2,125 Hz."""
AROUND = 8
"""Lines on either side a partial must stand out of."""
STANDS_OUT_DB = 8.0
SHORTEST_S, LONGEST_S = 0.7, 8.0
PARTIALS = 3
"""So many must hold at once."""
GAP = 6
"""Spectra it may be covered by something louder: 100 ms."""
LEAST = 0.3
"""Below this nothing is told."""
BEGINS_DB = 6.0
"""By how much its own lines must rise where it begins."""


class Horn(Struct, frozen=True):
    """A horn proposed: from, to (seconds after the first picture), and how likely (0 to 1)."""

    t: float
    t_end: float
    confidence: float


def horns(page: Page) -> Iterator[Horn]:
    """Yield what may be a horn anywhere on a page, in order of time; ``page.owns`` tells whose it is."""
    lines = 10 * np.log10(page.power[:, LOW - AROUND : HIGH + AROUND] + 1e-12)
    held = _held(_partials(lines))
    for first, last in _runs(held.sum(axis=1) >= PARTIALS):
        lasts = (last - first + 1) * STEP_S
        if SHORTEST_S <= lasts <= LONGEST_S:
            likely = _likely(lines, held, first, last)
            if likely >= LEAST:
                yield Horn(page.seconds(first), page.seconds(last), likely)


def _partials(lines: Power) -> NDArray[np.bool_]:
    """Tell of every line whether it stands out of those around and is the highest of its nearest."""
    inner = lines[:, AROUND:-AROUND]
    around = np.minimum(_mean(lines, 0, inner.shape[1]), _mean(lines, AROUND + 2, inner.shape[1]))
    highest = (inner >= lines[:, AROUND - 1 : -AROUND - 1]) & (inner >= lines[:, AROUND + 1 : 1 - AROUND])
    return np.asarray(highest & (inner > around + STANDS_OUT_DB))


def _mean(lines: Power, first: int, columns: int) -> Power:
    """Return the mean of six lines to one side of every line."""
    out = lines[:, first : first + columns].copy()
    for step in range(1, 6):
        out += lines[:, first + step : first + step + columns]
    out /= 6
    return out


def _held(partials: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Tell of every line and spectrum whether a partial holds there: present in 8 of 10 spectra for 0.7 s, give or take a line."""
    wide = partials.copy()
    wide[:, 1:] |= partials[:, :-1]
    span = round(SHORTEST_S / STEP_S)
    if len(wide) < span:
        return np.zeros_like(wide)
    heap = np.concatenate(
        (np.zeros((1, wide.shape[1]), dtype=np.int32), np.cumsum(wide, axis=0, dtype=np.int32))
    )
    full = heap[span:] - heap[:-span] >= 0.8 * span
    edge = np.concatenate((np.zeros((1, wide.shape[1]), np.int32), np.cumsum(full, axis=0, dtype=np.int32)))
    rows = np.arange(len(wide))
    low, high = np.clip(rows - span + 1, 0, len(full)), np.clip(rows + 1, 0, len(full))
    # One partial counts once, though it was widened over two lines.
    some = (edge[high] - edge[low] > 0) & wide
    some[:, 1:] &= ~some[:, :-1]
    return np.asarray(some)


def _runs(on: NDArray[np.bool_]) -> Iterator[tuple[int, int]]:
    """Yield first and last row of stretches that are on, joined over short gaps."""
    rows = np.flatnonzero(on)
    if not len(rows):
        return
    breaks = np.flatnonzero(np.diff(rows) > GAP)
    starts, ends = np.concatenate(([0], breaks + 1)), np.concatenate((breaks, [len(rows) - 1]))
    for start, end in zip(starts, ends, strict=True):
        yield int(rows[start]), int(rows[end])


def _likely(lines: Power, held: NDArray[np.bool_], first: int, last: int) -> float:
    """Return how likely a stretch is a horn: by how many partials hold, how long, and how suddenly they began."""
    share = held[first : last + 1].mean(axis=0)
    own = np.flatnonzero(share > 0.4) + AROUND
    if not len(own):
        return 0.0
    ahead = lines[max(0, first - 20) : max(1, first - 4), own].mean()
    rise = float(lines[first + 4 : first + 20, own].mean() - ahead)
    seconds = (last - first + 1) * STEP_S
    inside = lines[first : last + 1].mean(axis=0)
    strong = float(np.percentile(inside[own], 70) - np.percentile(inside, 50))
    inner = (
        -4.5
        + 0.12 * min(strong, 30.0)
        + 0.35 * min(len(own), 10)
        + 1.2 * (min(seconds, 2.0) - 0.7)
        + 0.12 * min(rise - BEGINS_DB, 15.0)
    )
    return float(1 / (1 + np.exp(-inner)))
