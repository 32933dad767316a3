"""A film's sound as spectra, page by page: 64 ms of sound every 16 ms, how much power at which pitch.

A page is about three minutes with a margin on both sides, so that whatever begins in its middle part can be judged with
what was heard around it, and ninety minutes never stand in memory at once. Knows no whistle.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from tenbetween.film.sound_in import RATE, Sound

WINDOW, HOP = 1_024, 256
STEP_S = HOP / RATE
"""Seconds from one spectrum to the next."""
HERTZ = RATE / WINDOW
"""Hertz from one line of a spectrum to the next."""
CORE = 12_288
"""Spectra in the middle part of a page: 197 s."""
MARGIN = 640
"""Spectra on either side of it: 10 s."""
BATCH = 2_048
FLOAT = np.float32
Power = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Page:
    """Spectra one after the other; row r stands ``(first + r) * STEP_S`` seconds after the first picture."""

    power: Power
    """Rows of 513 powers, from 0 to 8,000 Hz."""
    first: int
    core: tuple[int, int]
    """Rows this page answers for: from, and up to but not with."""

    def seconds(self, row: float) -> float:
        """Return when a row is heard, in seconds after the first picture; never before it."""
        return max(0.0, (self.first + row) * STEP_S)

    def rows(self, t: float, t_end: float) -> tuple[int, int]:
        """Return the rows of two times."""
        return round(t / STEP_S) - self.first, round(t_end / STEP_S) - self.first

    def owns(self, row: float) -> bool:
        """Tell whether what begins at a row is this page's to tell."""
        return self.core[0] <= row < self.core[1]


@cache
def _hann() -> Power:
    return np.hanning(WINDOW + 1)[:-1].astype(FLOAT)


def spectra(samples: Sound) -> Power:
    """Return the power spectra of sound, one row every 256 samples, without padding.

    >>> tone = np.sin(2 * np.pi * 1000 * np.arange(2048) / RATE).astype(np.float32)
    >>> power = spectra(tone)
    >>> power.shape, int(power[0].argmax()) * HERTZ
    ((5, 513), 1000.0)
    """
    rows = 1 + (len(samples) - WINDOW) // HOP
    if rows <= 0:
        return np.zeros((0, WINDOW // 2 + 1), dtype=FLOAT)
    out = np.empty((rows, WINDOW // 2 + 1), dtype=FLOAT)
    views = np.lib.stride_tricks.sliding_window_view(samples, WINDOW)[::HOP]
    for first in range(0, rows, BATCH):
        found = np.fft.rfft(views[first : first + BATCH] * _hann(), axis=1)
        np.add(
            np.square(found.real), np.square(found.imag), out=out[first : first + BATCH], casting="same_kind"
        )
    return out


def pages(blocks: Iterable[Sound], cancelled: Callable[[], bool] = lambda: False) -> Iterator[Page]:
    """Yield the pages of a sound given in blocks; ends early when ``cancelled`` says so.

    >>> quiet = (np.zeros(16000, dtype=np.float32) for _ in range(3))
    >>> [(page.first, len(page.power), page.core) for page in pages(quiet)]
    [(0, 188, (0, 188))]
    """
    kept, first, core = np.zeros((0, WINDOW // 2 + 1), dtype=FLOAT), 0, 0
    for fresh in _rows(blocks):
        if cancelled():
            return
        kept = np.concatenate((kept, fresh))
        while len(kept) >= core + CORE + MARGIN:
            page = kept[: core + CORE + MARGIN]
            yield Page(page, first, (core, core + CORE))
            cut = core + CORE - MARGIN
            kept, first, core = kept[cut:], first + cut, MARGIN
    if len(kept) > core:
        yield Page(kept, first, (core, len(kept)))


def _rows(blocks: Iterable[Sound]) -> Iterator[Power]:
    """Yield spectra in large pieces; row r of all of them is centred on sample ``r * HOP``."""
    waiting: list[Sound] = [np.zeros(WINDOW // 2, dtype=FLOAT)]
    held = WINDOW // 2
    for block in blocks:
        waiting.append(block)
        held += len(block)
        if held >= (BATCH + 4) * HOP:
            samples = np.concatenate(waiting)
            done = spectra(samples)
            yield done
            rest = samples[len(done) * HOP :]
            waiting, held = [rest], len(rest)
    yield spectra(np.concatenate((*waiting, np.zeros(WINDOW // 2, dtype=FLOAT))))
