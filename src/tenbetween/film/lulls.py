"""Lulls: where hardly anybody moves, as before a throw-in or a free throw. The swing of the camera is taken out first.

What remains is measured in grey steps a second and held against the film's own usual motion around. A guess for
skimming, nothing more. Knows small pictures only.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from tenbetween.film.pictures_small import Glance

Grey = NDArray[np.float32]
APART_S = 0.2
"""Seconds between two pictures that are compared."""
QUIET_SHARE, MEAN_SHARE = 0.68, 0.55
"""All through a lull there is less than the first part of the usual motion, in the mean less than the second."""
SHORTEST_S = 2.5
SMOOTH_S = 1.2
AROUND_S = 90.0
"""Seconds before and after that make what is usual."""
STEP_S = 0.2


class Lull(Struct, frozen=True):
    """A lull proposed: from, to (seconds after the first picture), and how likely (0 to 1)."""

    t: float
    t_end: float
    confidence: float


@dataclass(slots=True)
class Motion:
    """Gathers how much moves, picture by picture."""

    times: list[float]
    amounts: list[float]
    _last: tuple[float, Grey] | None = None

    @classmethod
    def empty(cls) -> Motion:
        """Return one that has seen nothing."""
        return cls([], [])

    def see(self, one: Glance) -> None:
        """Take the next small picture."""
        if self._last is not None and one.t - self._last[0] < APART_S - 0.01:
            return
        grey: Grey = np.dot(one.rgb.astype(np.float32), np.array([0.299, 0.587, 0.114], dtype=np.float32))
        if self._last is not None and one.t - self._last[0] < 1.0:
            seconds = one.t - self._last[0]
            self.times.append((one.t + self._last[0]) / 2)
            self.amounts.append(moved(self._last[1], grey) * APART_S / seconds)
        self._last = one.t, grey


def moved(before: Grey, after: Grey) -> float:
    """Return the mean change of grey (of 255) between two pictures once the swing of the camera is taken out.

    >>> wall = np.random.default_rng(1).uniform(0, 255, (72, 160)).astype(np.float32)
    >>> round(moved(wall[:, :128], wall[:, 12:140]), 3)
    0.0
    """
    still = float(np.abs(after - before).mean())
    down, right = swing(before, after)
    if not down and not right:
        return still
    high, wide = before.shape
    old = before[max(0, -down) : high - max(0, down), max(0, -right) : wide - max(0, right)]
    new = after[max(0, down) : high - max(0, -down), max(0, right) : wide - max(0, -right)]
    return min(still, float(np.abs(new - old).mean()))


def swing(before: Grey, after: Grey) -> tuple[int, int]:
    """Return by how many dots, down and right, most of the picture moved (by phase correlation)."""
    first, second = np.fft.rfft2(before - before.mean()), np.fft.rfft2(after - after.mean())
    both = second * np.conj(first)
    peak = np.fft.irfft2(both / np.maximum(np.abs(both), 1e-9), before.shape)
    high, wide = before.shape
    down, right = np.unravel_index(int(peak.argmax()), peak.shape)
    down, right = int(down) - high * (down > high // 2), int(right) - wide * (right > wide // 2)
    return (int(down), int(right)) if abs(down) < high // 3 and abs(right) < wide // 3 else (0, 0)


def lulls(motion: Motion) -> Iterator[Lull]:
    """Yield the lulls of a whole film in order of time."""
    if len(motion.times) < round(2 * SHORTEST_S / APART_S):
        return
    times = np.arange(motion.times[0], motion.times[-1], STEP_S)
    level = _smooth(np.interp(times, motion.times, motion.amounts), round(SMOOTH_S / STEP_S))
    usual = _usual(level)
    for first, last in _stretches(level < QUIET_SHARE * usual):
        seconds = float(times[last] - times[first])
        share = float(np.mean(level[first : last + 1] / usual[first : last + 1]))
        if seconds >= SHORTEST_S and share < MEAN_SHARE:
            depth = 1 - share / QUIET_SHARE
            yield Lull(float(times[first]), float(times[last]), _likely(depth, seconds))


def _smooth(values: NDArray[np.float64], n: int) -> NDArray[np.float64]:
    padded = np.pad(values, (n // 2, n - 1 - n // 2), mode="edge")
    return np.convolve(padded, np.ones(n) / n, mode="valid")


def _usual(level: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the usual motion around every moment: the median of what lies up to 90 s before and after."""
    reach, every = round(AROUND_S / STEP_S), round(5 / STEP_S)
    some = range(0, len(level), every)
    middle = [float(np.median(level[max(0, at - reach) : at + reach + 1])) for at in some]
    return np.interp(np.arange(len(level)), list(some), middle) + 1e-6


def _stretches(on: NDArray[np.bool_]) -> Sequence[tuple[int, int]]:
    edges = np.flatnonzero(np.diff(np.concatenate(([0], on.astype(np.int8), [0]))))
    return [(int(a), int(b) - 1) for a, b in edges.reshape(-1, 2)]


def _likely(depth: float, seconds: float) -> float:
    """Return at most 0.6: a lull alone says little."""
    return float(0.6 * np.clip(depth * 1.5, 0, 1) * np.clip(seconds / 5, 0, 1))
