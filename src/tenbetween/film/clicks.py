"""What a person clicked on a picture: marks of the floor by name, dots on named lines, and feet.

Knows which name is a place, a straight line or a round one, and how high above the floor a place hangs.
Nothing of cameras; reads no file.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import cast

import numpy as np

from tenbetween.court import Court, curves, heights, landmarks, lines
from tenbetween.film.camera import Floats
from tenbetween.situation import PointFt

CLICK_SD = 2.0
"""Dots a careful hand is off, as a standard deviation, unless said."""


@dataclass(frozen=True, slots=True)
class Click:
    """A dot of the picture on what it names: a landmark, a line, or somebody's feet."""

    name: str
    dot: tuple[float, float]
    """u to the right and v down; the middle of the first dot is (0, 0)."""


@dataclass(frozen=True, slots=True)
class Clicks:
    """All clicks of one picture."""

    picture: tuple[int, int]
    """Width and height in dots, as displayed."""
    court: Court
    landmarks: tuple[Click, ...] = ()
    lines: tuple[Click, ...] = ()
    feet: tuple[Click, ...] = ()
    sd: float = CLICK_SD


@dataclass(frozen=True, slots=True)
class Measured:
    """Clicks as plain numbers for the solver: places, straight lines and rounds with their dots."""

    places: Floats
    place_dots: Floats
    ends: Floats
    end_dots: Floats
    rounds: Floats
    round_dots: Floats
    which: tuple[int, ...]
    """Of which click each is, counted through landmarks and then lines; places first, straight lines, rounds."""

    @property
    def count(self) -> int:
        """How many numbers are measured: two by a place, one by a dot on a line."""
        return 2 * len(self.places) + len(self.ends) + len(self.rounds)

    @property
    def dots(self) -> Floats:
        """Every clicked dot (n, 2)."""
        return np.concatenate([self.place_dots, self.end_dots, self.round_dots])

    @property
    def middles(self) -> Floats:
        """A place near each click (n, 3): itself, the middle of its line, the middle of its round."""
        level = np.column_stack([self.rounds[:, :2], np.zeros(len(self.rounds))])
        return np.concatenate([self.places, self.ends.mean(axis=1), level])


@lru_cache(maxsize=16)
def places_of(court: Court) -> dict[str, tuple[float, float, float]]:
    """Return every named place of a court with its height, in feet; baskets hang at the height of the ring.

    >>> from tenbetween.court import court_of
    >>> places_of(court_of("us-hs"))["left_basket"]
    (5.25, 25.0, 10.0)
    """
    ring = heights(court)["ring"][0]
    return {
        name: (x, y, ring if name.endswith("_basket") else 0.0)
        for name, (x, y) in landmarks(court).items()
        if not is_upright(name)
    }


def is_upright(name: str) -> bool:
    """Tell whether a landmark is the upright edge of a backboard: how high a board hangs is in none of our sources.

    >>> is_upright("left_table_backboard_edge"), is_upright("left_basket")
    (True, False)
    """
    return name.endswith("_backboard_edge")


@lru_cache(maxsize=16)
def lines_of(court: Court) -> dict[str, tuple[PointFt, PointFt]]:
    """Return every straight line of the floor that can be clicked, by its two ends; a backboard is not on the floor."""
    return {name: ends for name, ends in lines(court).items() if not name.endswith("_backboard")}


@lru_cache(maxsize=16)
def rounds_of(court: Court) -> dict[str, tuple[float, float, float]]:
    """Return every round line of the floor as x, y and radius; the rings hang above it and are left out.

    >>> from tenbetween.court import court_of
    >>> rounds_of(court_of("us-hs"))["left_arc"]
    (5.25, 25.0, 19.75)
    """
    return {
        name: (*cast("PointFt", one["centre"]), cast("float", one["radius"]))
        for name, one in curves(court).items()
        if not name.endswith("_ring")
    }


def measured(clicks: Clicks, *, without: int | None = None) -> Measured:
    """Return clicks as numbers; ``without`` leaves out one, counted through landmarks and then lines.

    Raises:
        KeyError: a name that is not on this court (readers check before).
    """
    places, rounds = places_of(clicks.court), rounds_of(clicks.court)
    kept = [one for one in enumerate((*clicks.landmarks, *clicks.lines)) if one[0] != without]
    points = [one for one in kept if one[1].name in places]
    curved = [one for one in kept if one[1].name in rounds]
    straight = [one for one in kept if one[1].name not in places and one[1].name not in rounds]
    return Measured(
        _table([places[one.name] for _, one in points], 3),
        _table([one.dot for _, one in points], 2),
        np.asarray([_ends(clicks.court, one.name) for _, one in straight], float).reshape(-1, 2, 3),
        _table([one.dot for _, one in straight], 2),
        _table([rounds[one.name] for _, one in curved], 3),
        _table([one.dot for _, one in curved], 2),
        tuple(number for number, _ in (*points, *straight, *curved)),
    )


def _ends(court: Court, name: str) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
    """Return two places a straight line goes through; the edge of a backboard goes straight up."""
    if is_upright(name):
        x, y = landmarks(court)[name]
        return (x, y, 0.0), (x, y, heights(court)["ring"][0])
    first, last = lines_of(court)[name]
    return (*first, 0.0), (*last, 0.0)


def _table(rows: list[tuple[float, float]] | list[tuple[float, float, float]], wide: int) -> Floats:
    return np.asarray(rows, float).reshape(-1, wide)
