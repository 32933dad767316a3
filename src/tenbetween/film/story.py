"""A told game as a film needs it: who is where when, what is signalled, where the ball is, what is heard.

Times are seconds from the film's beginning, places feet of the court frame. Knows no rule, no camera and no dot:
whoever tells the story has asked the book before.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from tenbetween.court import Court
from tenbetween.situation import Basket, Person, PointFt, TableSide

Floats = NDArray[np.float64]
Kind = Literal["white", "dark", "referee", "umpire"]
Arm = Literal["up", "fist", "point", "stroke", "chop"]
Heard = Literal["whistle", "horn", "bounce", "squeak"]


@dataclass(frozen=True, slots=True)
class Way:
    """Places by time; between two of them at a pace that begins and ends gently.

    >>> Way((0.0, 2.0), ((0.0, 0.0), (10.0, 0.0))).at([0.0, 1.0, 5.0]).tolist()
    [[0.0, 0.0], [5.0, 0.0], [10.0, 0.0]]
    """

    times: tuple[float, ...]
    places: tuple[PointFt, ...]

    def at(self, times: Sequence[float] | Floats) -> Floats:
        """Return the places (n, 2, feet) at times (seconds); still before the first and after the last."""
        keys, places, asked = np.array(self.times), np.array(self.places), np.asarray(times, float)
        if len(keys) == 1:
            return np.repeat(places, len(asked), axis=0)
        number = np.clip(np.searchsorted(keys, asked, side="right") - 1, 0, len(keys) - 2)
        long = np.maximum(keys[number + 1] - keys[number], 1e-9)
        part = np.clip((asked - keys[number]) / long, 0.0, 1.0)
        gentle = (part * part * (3 - 2 * part))[:, None]
        found: Floats = places[number] + (places[number + 1] - places[number]) * gentle
        return found


@dataclass(frozen=True, slots=True)
class Figure:
    """Somebody on the floor."""

    id: str
    kind: Kind
    way: Way


@dataclass(frozen=True, slots=True)
class Sign:
    """An arm of an official held so from one time to another; ``towards`` in degrees from +x towards +y."""

    who: Person
    begins: float
    ends: float
    arm: Arm
    towards: float = 0.0


@dataclass(frozen=True, slots=True)
class Held:
    """The ball with somebody; ``dribbled`` on the floor or in his hands."""

    begins: float
    ends: float
    who: str
    dribbled: bool = False


@dataclass(frozen=True, slots=True)
class Flight:
    """The ball on its way, from a height to a height (ft); ``bounced`` once on the floor, else in a bow."""

    begins: float
    ends: float
    start: PointFt
    end: PointFt
    heights: tuple[float, float] = (4.0, 4.0)
    bounced: bool = False


@dataclass(frozen=True, slots=True)
class Sound:
    """Something heard."""

    at: float
    kind: Heard
    seconds: float = 0.4
    loud: float = 1.0


@dataclass(frozen=True, slots=True)
class Restart:
    """One restart as it is drawn: the situation it answers, who has which role before, and when what happens."""

    line: str
    attacking: Basket
    lead: Person
    lead_side: TableSide
    administers: Person
    events: dict[str, float]
    """Seconds by name, ``e0`` to ``e11``; what does not happen is absent."""
    strokes: tuple[float, ...] = ()
    otherwise: tuple[str, ...] = ()
    """What is drawn on purpose not as the book says, in words."""


@dataclass(frozen=True, slots=True)
class Story:
    """Everything a film of a game is drawn and heard from."""

    court: Court
    seconds: float
    figures: tuple[Figure, ...]
    ball: tuple[Held | Flight, ...]
    signs: tuple[Sign, ...] = ()
    sounds: tuple[Sound, ...] = ()
    restarts: tuple[Restart, ...] = ()
    said: dict[str, str] = field(default_factory=dict)
    """How to tell the officials apart, by person."""

    def places(self, times: Sequence[float] | Floats) -> dict[str, Floats]:
        """Return the places of everybody (n, 2, feet) at times (seconds), by id."""
        return {one.id: one.way.at(times) for one in self.figures}

    def ball_at(self, times: Sequence[float] | Floats) -> Floats:
        """Return where the ball is (n, 3, feet) at times (seconds)."""
        asked = np.asarray(times, float)
        found = np.full((len(asked), 3), np.nan)
        ways = {one.id: one.way for one in self.figures}
        for stretch in self.ball:
            now = (asked >= stretch.begins) & (asked <= stretch.ends)
            if now.any():
                found[now] = (
                    _held(stretch, ways, asked[now])
                    if isinstance(stretch, Held)
                    else _flown(stretch, asked[now])
                )
        return _filled(found)


DRIBBLE_S = 0.62
"""Seconds from one touch of a dribble to the next; from memory."""
BESIDE_FT = 1.1


def _held(stretch: Held, ways: dict[str, Way], times: Floats) -> Floats:
    places = ways[stretch.who].at(times)
    if not stretch.dribbled:
        return np.column_stack([places + np.array([BESIDE_FT * 0.6, -0.4]), np.full(len(times), 3.8)])
    part = ((times - stretch.begins) / DRIBBLE_S) % 1.0
    high = 0.4 + 2.9 * np.abs(1 - 2 * part) ** 0.7
    return np.column_stack([places + np.array([BESIDE_FT, -0.5]), high])


def touches(stretch: Held) -> list[float]:
    """Return when a dribbled ball touches the floor (seconds)."""
    if not stretch.dribbled:
        return []
    count = int((stretch.ends - stretch.begins) / DRIBBLE_S)
    return [stretch.begins + (number + 0.5) * DRIBBLE_S for number in range(count)]


def _flown(stretch: Flight, times: Floats) -> Floats:
    part = (times - stretch.begins) / max(stretch.ends - stretch.begins, 1e-9)
    start, end = np.array(stretch.start), np.array(stretch.end)
    low, high = stretch.heights
    straight = low + (high - low) * part
    if stretch.bounced:
        down = np.where(part < 0.5, 1 - 2 * part, 2 * part - 1)
        height = 0.4 + (straight - 0.4) * down
    else:
        height = straight + 4 * min(3.0, 0.9 * (stretch.ends - stretch.begins) ** 2 * 16.0) * part * (
            1 - part
        )
    return np.column_stack([start + (end - start) * part[:, None], height])


def _filled(found: Floats) -> Floats:
    """Between two stretches the ball stays where it was last."""
    known = np.flatnonzero(~np.isnan(found[:, 0]))
    if not len(known):
        return np.zeros_like(found)
    last = known[np.clip(np.searchsorted(known, np.arange(len(found)), side="right") - 1, 0, None)]
    return found[last]
