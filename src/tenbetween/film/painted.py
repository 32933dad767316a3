"""Where the paint of a floor lies: the middle of each painted line, and dots along it to look for in a picture.

``court.drawing`` names the edge a rule measures to; a picture shows paint, two inches wide, to one side of it:
boundary lines lie outside the floor; lane lines and the arc with its straight parts towards the long axis; the
free-throw line towards the end line; centre circle and free-throw semicircle inside their radius; the division line
half on each side; the no-charge semicircle outside its radius. Marks shorter than a foot are left out.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from tenbetween.court import Court, curves, lines
from tenbetween.film.camera import Floats
from tenbetween.units import feet

STEP = 0.5
"""Feet between two dots along a line."""
SHORT = ("_edge", "_mark", "_box", "backboard", "throw_in_line", "bench_line", "bench_end", "ring")
"""Endings of names that are no line to look for."""


@dataclass(frozen=True, slots=True, eq=False)
class Paint:
    """Dots along the middle of the paint: place, the way along the line, and of which line each is."""

    places: Floats
    """(n, 2), feet."""
    along: Floats
    """(n, 2), of length one."""
    line: np.ndarray
    """(n): number of the line in ``names``."""
    names: tuple[str, ...]
    width: float
    """Of the paint, feet."""


@lru_cache(maxsize=32)
def paint_of(court: Court, without: frozenset[str] = frozenset(), step: float = STEP) -> Paint:
    """Return the dots of all painted lines of a court, ``step`` feet apart, but for the lines named ``without``.

    >>> from tenbetween.court import court_of
    >>> paint = paint_of(court_of("us-hs"))
    >>> round(float(paint.places[:, 0].min()), 4), paint.names[0]
    (-0.0833, 'left_end_line')
    """
    kept = [one for one in _middles(court, step) if one[0] not in without]
    if not kept:
        none = np.zeros((0, 2))
        return Paint(none, none, np.zeros(0, int), (), feet(court.line_width))
    number = np.repeat(np.arange(len(kept)), [len(places) for _, places, _ in kept])
    places = np.concatenate([places for _, places, _ in kept])
    along = np.concatenate([along for _, _, along in kept])
    return Paint(places, along, number, tuple(name for name, _, _ in kept), feet(court.line_width))


def _middles(court: Court, step: float) -> Iterator[tuple[str, Floats, Floats]]:
    half = feet(court.line_width) / 2
    middle = np.array([feet(court.length), feet(court.width)]) / 2
    for name, (start, end) in lines(court).items():
        if not name.endswith(SHORT):
            shift = _shift(name, np.array([start, end]), middle, half)
            yield name, *_straight(np.array(start) + shift, np.array(end) + shift, step)
    for name, bow in curves(court).items():
        if not name.endswith(SHORT):
            radius, outward = float(bow["radius"]), "no_charge" in name  # type: ignore[arg-type]
            turn = float(bow["from_deg"]), float(bow["to_deg"])  # type: ignore[arg-type]
            yield name, *_round(np.array(bow["centre"]), radius + (half if outward else -half), turn, step)


def _shift(name: str, ends: Floats, middle: Floats, half: float) -> Floats:
    """Return how far the middle of the paint lies from the edge a name means (feet)."""
    from_middle = np.sign(ends.mean(axis=0) - middle)
    if name.endswith("end_line"):
        return np.array([from_middle[0] * half, 0.0])
    if name.endswith("sideline"):
        return np.array([0.0, from_middle[1] * half])
    if name.endswith(("free_throw_line", "lane_top")):
        return np.array([from_middle[0] * half, 0.0])
    if name.endswith(("lane_line", "arc_straight")):
        return np.array([0.0, -from_middle[1] * half])
    if name.endswith("no_charge_straight"):
        return np.array([0.0, from_middle[1] * half])
    return np.zeros(2)


def _straight(start: Floats, end: Floats, step: float) -> tuple[Floats, Floats]:
    length = float(np.hypot(*(end - start)))
    count = max(1, round(length / step))
    parts = (np.arange(count) + 0.5) / count
    return start + parts[:, None] * (end - start), np.tile((end - start) / length, (count, 1))


def _round(middle: Floats, radius: float, turn: tuple[float, float], step: float) -> tuple[Floats, Floats]:
    low, high = np.radians(turn)
    count = max(1, round(radius * (high - low) / step))
    angle = low + (np.arange(count) + 0.5) / count * (high - low)
    out = np.column_stack([np.cos(angle), np.sin(angle)])
    return middle + radius * out, np.column_stack([-out[:, 1], out[:, 0]])
