"""Whistles in spectra: tones that stand out between 1.75 and 5.25 kHz, followed through time, each with its features.

What makes a whistle of a tone is weighed in ``whistle_score``; here are only the tones and what can be measured of them.
Knows nothing of pictures.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tenbetween.film.horns import Horn, horns
from tenbetween.film.spectra import HERTZ, STEP_S, Page, Power

LOW, HIGH = 112, 336
"""Lines of the band a whistle's pitch lies in: 1.75 to 5.25 kHz."""
BLOCK = 16
STANDS_OUT_DB = 10.0
"""A line stands out when it is so many decibels above the floor around it; smoothed noise seldom does."""
NEAR = 0.12
"""Two tones belong together when their pitches differ by no more than this part."""
JUMP = 0.09
FAINT_DB = 14.0
"""A tone fainter than this in the mean is not measured further."""
LOUD_TONE_DB = 18.0
"""What counts as a tone when asked whether there is music around."""
CALL, SHORT = 16, 16
"""Spectra between two blasts of a double call, and spectra such a blast lasts at most: a quarter of a second."""
AT_ONCE = 4
"""Tones followed in one spectrum."""
GAP = 5
"""Spectra a tone may be missing in between: 80 ms."""
SHORTEST_S, LONGEST_S = 0.09, 5.0
AROUND_S = 6.0
"""Seconds before and after within which other tones count as music."""
QUIET = 1e-12
UNKNOWN_DB = 12.0
"""How suddenly a tone is taken to begin that is there when the film begins."""
FEATURES = (
    "longer",
    "sudden",
    "prominent",
    "clear",
    "over_low",
    "narrow",
    "beside",
    "filled",
    "flat",
    "holding",
    "drift",
    "horn",
    "spread",
    "half",
    "third",
    "double",
    "uneven",
    "music",
    "outside",
)
"""What is measured of every candidate; the first ten speak for a whistle, the others against it."""
Features = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Candidate:
    """A tone that may be a whistle: when, how high, and what was measured of it."""

    t: float
    t_end: float
    hertz: float
    features: Features


@dataclass(frozen=True, slots=True)
class Tones:
    """Of every spectrum the lines that stand out most, in decibels and by pitch."""

    pitch: NDArray[np.float64]
    """Rows of four, in lines of the spectrum."""
    prominence: NDArray[np.float64]
    """Rows of four, in decibels above the floor around; the first stands out most."""


def candidates(page: Page, blasts: Iterable[Horn] | None = None) -> Iterator[Candidate]:
    """Yield what may be a whistle and begins in the page's middle part, in order of time.

    ``blasts`` are the horns of the page, when they are known already.
    """
    band = smoothed(page.power[:, LOW:HIGH]) + QUIET
    floor = floor_of(band)
    tones = tones_of(band, floor)
    music = np.concatenate(([0], np.cumsum(tones.prominence[:, 0] > LOUD_TONE_DB)))
    blown = tuple(page.rows(one.t, one.t_end) for one in (horns(page) if blasts is None else blasts))
    for track in sorted(tracks_of(tones), key=lambda one: one.rows[0]):
        yield from _candidates(page, track, music, blown)


def smoothed(band: Power) -> Power:
    """Return every spectrum as the mean of itself and its two neighbours: a steady tone stays, noise is evened out."""
    out = band.copy()
    out[1:] += band[:-1]
    out[:-1] += band[1:]
    return np.asarray(out / 3, dtype=np.float32)


def floor_of(band: Power) -> Power:
    """Return the floor under every line: the median of its 16 lines, never above the neighbours' larger one."""
    rows = len(band)
    middle = np.sort(band.reshape(rows, -1, BLOCK), axis=2)[:, :, BLOCK // 2]
    left = np.concatenate((middle[:, 1:2], middle[:, :-1]), axis=1)
    right = np.concatenate((middle[:, 1:], middle[:, -2:-1]), axis=1)
    return np.asarray(np.repeat(np.minimum(middle, np.maximum(left, right)), BLOCK, axis=1))


def tones_of(band: Power, floor: Power) -> Tones:
    """Return the line that stands out most in every spectrum and, away from it, the next three.

    What does not stand out is left at 0: most spectra of a film hold no tone, and their time is saved.
    """
    ratio = band / floor
    pitch, prominence = np.zeros((len(band), AT_ONCE)), np.zeros((len(band), AT_ONCE))
    rows, columns = np.arange(len(band)), np.arange(HIGH - LOW)
    for number in range(AT_ONCE):
        peak = ratio.argmax(axis=1)
        top = ratio[np.arange(len(rows)), peak]
        out = top > 10 ** (STANDS_OUT_DB / 10)
        rows, peak, ratio = rows[out], peak[out], ratio[out]
        low, high = _around(peak, NEAR)
        inside = (columns >= low[:, None]) & (columns < high[:, None])
        pitch[rows, number] = _centres(band[rows], floor[rows], inside, peak)
        prominence[rows, number] = 10 * np.log10(top[out] + QUIET)
        ratio[inside] = 0
    return Tones(pitch, prominence)


def _centres(
    band: Power, floor: Power, inside: NDArray[np.bool_], peak: NDArray[np.int64]
) -> NDArray[np.float64]:
    """Return where the power well over the floor lies, in lines; at the peak when there is none."""
    over = np.maximum(band - 4 * floor, 0) * inside
    mass = over.sum(axis=1, dtype=np.float64)
    centre = (over @ np.arange(LOW, HIGH, dtype=np.float32)) / np.maximum(mass, 1e-20)
    return np.where(mass > 1e-15, centre, peak + LOW)


def _around(peak: NDArray[np.int64], part: float) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return the lines of the band within a part of a pitch, from and up to but not with."""
    line = peak + LOW
    low = np.clip(np.floor(line * (1 - part)).astype(np.int64) - LOW, 0, HIGH - LOW)
    high = np.clip(np.ceil(line * (1 + part)).astype(np.int64) + 1 - LOW, 0, HIGH - LOW)
    return low, high


# -- following a tone ------------------------------------------------------------------------------------------


class Track:
    """A tone followed from spectrum to spectrum."""

    __slots__ = ("heights", "pitches", "rows")

    def __init__(self, row: int, pitch: float, height: float) -> None:
        self.rows, self.pitches, self.heights = [row], [pitch], [height]

    def add(self, row: int, pitch: float, height: float) -> None:
        """Take the next spectrum the tone is in."""
        self.rows.append(row)
        self.pitches.append(pitch)
        self.heights.append(height)


def tracks_of(tones: Tones) -> list[Track]:
    """Return the tones that last: joined over gaps of 80 ms and jumps of 9 % at most."""
    done: list[Track] = []
    live: list[Track] = []
    found_rows, which = np.nonzero(tones.prominence > STANDS_OUT_DB)
    pitches, heights = tones.pitch[found_rows, which].tolist(), tones.prominence[found_rows, which].tolist()
    now = -1
    for row, pitch, height in zip(found_rows.tolist(), pitches, heights, strict=True):
        if row > now:
            over = [track for track in live if row - track.rows[-1] > GAP]
            if over:
                done += over
                live = [track for track in live if row - track.rows[-1] <= GAP]
            now = row
        nearest = _nearest(live, row, pitch)
        if nearest:
            nearest.add(row, pitch, height)
        else:
            live.append(Track(row, pitch, height))
    return [track for track in done + live if len(track.rows) > 3]


def _nearest(live: list[Track], row: int, pitch: float) -> Track | None:
    """Return the tone that goes on at a pitch, if any: the one nearest to it, the older of two."""
    best, apart = None, JUMP * pitch
    for track in live:
        off = abs(track.pitches[-1] - pitch)
        if off <= apart and track.rows[-1] < row and (best is None or off < apart):
            best, apart = track, off
    return best


# -- what is measured of a tone --------------------------------------------------------------------------------


def _candidates(
    page: Page, track: Track, music: NDArray[np.int64], blown: Sequence[tuple[int, int]]
) -> Iterator[Candidate]:
    """Yield the loud stretches of one tone: a call of several blasts may ring on in between."""
    if sum(track.heights) < FAINT_DB * len(track.heights):
        return
    rows, pitches, heights = np.array(track.rows), np.array(track.pitches), np.array(track.heights)
    pitch = _percentile(pitches, 50)
    for first, last in _with_calls(list(_edges(page.power, rows, pitch))):
        inside = (rows >= first) & (rows <= last)
        lasts = (last - first + 1) * STEP_S
        if page.owns(first) and SHORTEST_S <= lasts <= LONGEST_S and np.count_nonzero(inside) > 3:
            found = _features(
                page.power, first, last, rows[inside], pitches[inside], heights[inside], music, blown
            )
            yield Candidate(page.seconds(first), page.seconds(last), pitch * HERTZ, found)


def _with_calls(stretches: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """Return stretches and, of those that follow each other closely as in a double call, the whole."""
    calls = []
    for one, two in pairwise(stretches):
        if two[0] - one[1] <= CALL and one[1] - one[0] < SHORT and two[1] - two[0] < SHORT:
            calls.append((one[0], two[1]))
    return stretches + calls


def _edges(power: Power, rows: NDArray[np.int64], pitch: float) -> Iterator[tuple[int, int]]:
    """Yield first and last spectrum of each stretch in which the tone's own band is loud.

    A stretch is what comes within 15 dB of the tone's loudest; of it is kept what is within 7 dB of its own loud part.
    """
    begin, end = max(0, int(rows[0]) - 3), min(len(power) - 1, int(rows[-1]) + 3)
    level = band_level(power[begin : end + 1], pitch)
    loud = np.flatnonzero(level > _percentile(level, 98) - 15)
    for stretch in np.split(loud, np.flatnonzero(np.diff(loud) > GAP) + 1):
        part = level[stretch[0] : stretch[-1] + 1]
        on = np.flatnonzero(part > _percentile(part, 80) - 7)
        for run in np.split(on, np.flatnonzero(np.diff(on) > GAP) + 1):
            yield begin + int(stretch[0] + run[0]), begin + int(stretch[0] + run[-1])


def band_level(power: Power, pitch: float) -> NDArray[np.float64]:
    """Return how loud a tone's own band is in each spectrum, in decibels."""
    low, high = int(pitch * 0.95), int(pitch * 1.05) + 2
    return np.asarray(10 * np.log10(power[:, low:high].sum(axis=1, dtype=np.float64) + QUIET))


def _features(
    power: Power,
    first: int,
    last: int,
    rows: NDArray[np.int64],
    pitches: NDArray[np.float64],
    heights: NDArray[np.float64],
    music: NDArray[np.int64],
    blown: Sequence[tuple[int, int]],
) -> Features:
    mean = power[first : last + 1].mean(axis=0, dtype=np.float64) + QUIET
    pitch, lasts = _percentile(pitches, 50), (last - first + 1) * STEP_S
    low, high = int(pitch * (1 - NEAR)), int(pitch * (1 + NEAR)) + 2
    lines = 10 * np.log10(mean)
    floor = _percentile(lines[max(LOW - 20, low - 24) : high + 24], 50)
    excess = np.maximum(mean - 2 * 10 ** (floor / 10), 0)
    own, peak = excess[low:high], float(lines[low:high].max())
    logs = np.log(pitches)
    over_low = _within(peak - _strongest_low(lines), -20, 20)
    main = low + int(np.argmax(lines[low:high]))
    level = band_level(power[first : last + 1], pitch)
    core = level[1:-1] if len(level) > 6 else level
    return np.array(
        (
            min(np.log(lasts / SHORTEST_S), 2.4),
            _sudden(power, first, pitch),
            min(float(np.mean(heights)), 35.0),
            min(peak - floor, 35.0),
            over_low,
            float(np.sort(own)[-8:].sum() / max(own.sum(), 1e-30)),
            min(_beside(part, low, high, floor) for part in _in_turn(power, first, last)),
            len(rows) / (rows[-1] - rows[0] + 1),
            float(np.mean(core > _percentile(core, 90) - 5)),
            _holding(power[first : last + 1, low:high], main - low),
            _drift(logs),
            _with_horn(blown, first, last) * _within(-over_low / 8, 0, 1),
            1 - float(own.sum() / max(excess[LOW:HIGH].sum(), own.sum(), 1e-30)),
            _partner(lines, pitch / 2, peak),
            _partner(lines, pitch / 3, peak),
            _partner(lines, pitch * 2, peak),
            min(float(np.std(core)), 10.0),
            _music(music, first, last),
            max(0.0, float(np.log(1_900 / (pitch * HERTZ))), float(np.log(pitch * HERTZ / 4_600))),
        )
    )


def _sudden(power: Power, first: int, pitch: float) -> float:
    """Return by how many decibels a tone's own band rises where it begins."""
    ahead, after = power[max(0, first - 12) : max(0, first - 3)], power[first + 2 : first + 8]
    if len(ahead) < 3 or not len(after):
        return UNKNOWN_DB
    rise = _percentile(band_level(after, pitch), 50) - _percentile(band_level(ahead, pitch), 50)
    return _within(rise, -10, 30)


def _drift(logs: NDArray[np.float64]) -> float:
    """Return how far the pitch moved from its first to its last third, as a part of it."""
    third = max(1, len(logs) // 3)
    return min(abs(float(np.mean(logs[-third:]) - np.mean(logs[:third]))), 0.25)


def _in_turn(power: Power, first: int, last: int) -> list[NDArray[np.float64]]:
    """Return the spectrum of each third of a tone (half, or all of it when it is short), in decibels."""
    rows = last - first + 1
    parts = np.array_split(power[first : last + 1], 3 if rows >= 12 else 2 if rows >= 8 else 1)
    return [10 * np.log10(part.mean(axis=0, dtype=np.float64) + QUIET) for part in parts]


def _holding(own: Power, main: int) -> float:
    """Return in which share of the spectra a tone's main line is still about its strongest."""
    there = own[:, max(0, main - 1) : main + 2].max(axis=1)
    return float(np.mean(there * 4 > own.max(axis=1)))


def _with_horn(blown: Sequence[tuple[int, int]], first: int, last: int) -> float:
    """Return which share of a tone lies within the horn of the clock."""
    shared = [min(last, end) - max(first, begin) for begin, end in blown]
    return max(0.0, max(shared, default=0) / max(1, last - first))


def _strongest_low(lines: NDArray[np.float64]) -> float:
    """Return the strongest partial below 1.7 kHz: a line that stands 6 dB out of the 32 around it."""
    part = lines[16:112]
    floor = np.repeat(np.median(part.reshape(-1, 32), axis=1), 32)
    return float(np.max(np.where(part > floor + 6, part, floor)))


def _beside(lines: NDArray[np.float64], low: int, high: int, floor: float) -> float:
    """Return how strong a second tone close beside the first is, 0 to 1: whistles sound two or three at once."""
    part = lines[low:high]
    top = int(part.argmax())
    # Whatever is not 6 dB over the floor, or 18 dB beneath the first, counts for nothing.
    heard = (part[1:-1] > max(floor + 6, float(part[top]) - 18)) & (part[1:-1] >= part[:-2])
    best = 0.0
    for line in (np.flatnonzero(heard & (part[1:-1] > part[2:])) + 1).tolist():
        if abs(line - top) < 4:
            continue
        height = float(part[line])
        dip = height - float(part[min(line, top) + 1 : max(line, top)].min())
        shares = (dip - 2) / 5, (height - floor - 6) / 8, (18 - float(part[top]) + height) / 12
        best = max(best, math.prod(_within(one, 0, 1) for one in shares))
    return best


def _within(value: float, least: float, most: float) -> float:
    return float(min(max(value, least), most))


def _percentile(values: NDArray[np.floating[Any]], percent: float) -> float:
    """Return what numpy's own gives, in a tenth of its time on a few numbers."""
    ordered = np.sort(values)
    place = (len(ordered) - 1) * percent / 100
    low = int(place)
    first, second = float(ordered[low]), float(ordered[min(low + 1, len(ordered) - 1)])
    return first + (second - first) * (place - low)


def _partner(lines: NDArray[np.float64], pitch: float, peak: float) -> float:
    """Return how strongly another pitch sounds along, 0 to 1: over its own floor, and beside the tone itself."""
    low, high = int(pitch * 0.985), int(pitch * 1.015) + 2
    if high >= len(lines) - 12:
        return 0.0
    top = float(lines[low:high].max())
    floor = _percentile(lines[max(0, low - 12) : high + 12], 50)
    return _within((top - floor - 4) / 14, 0, 1) * _within((top - peak + 25) / 25, 0, 1)


def _music(heap: NDArray[np.int64], first: int, last: int) -> float:
    """Return in which share of the seconds around, without the tone itself, some tone stands out."""
    rows, near = len(heap) - 1, round(0.3 / STEP_S)
    reach = round(AROUND_S / STEP_S)
    begin, end = max(0, first - reach), min(rows, last + 1 + reach)
    left, right = max(begin, first - near), min(end, last + 1 + near)
    heard = heap[end] - heap[begin] - (heap[right] - heap[left])
    # What lies before the film's beginning or after its end counts as quiet.
    return float(heard / (2 * reach - 2 * near))
