"""What a restart asks of an official's legs, and what a game adds up to: runs, feet, seconds, by kind of restart.

A run goes from where play left him to where he is at disposal, by way of where the play had taken him. Feet are the
least, between known places; seconds are those of one profile going all out, turn and set included, though much of
it is walked after a whistle. They are information and no aim: nobody gains by being there in less. Knows no walked
game and no rule.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby, pairwise
from math import dist, fsum
from statistics import median

from msgspec import Struct

from tenbetween.movement.profiles import Legs
from tenbetween.movement.run import Arrival, time_to
from tenbetween.situation import Person, PointFt


class Run(Struct, frozen=True):
    """One official's run for one restart."""

    row: int
    person: Person
    kind: str
    """What the restart is, in words: the runs of one kind are told together."""
    points: tuple[PointFt, ...]
    """From where he was to where he is at disposal; a point between is where the play had taken him."""
    feet: float
    parts: tuple[Arrival, ...]
    """One for each straight piece; he stops at the end of each."""

    @property
    def seconds(self) -> float:
        """Seconds he is moving, with this profile."""
        return fsum(part.moving for part in self.parts)

    @property
    def until_set(self) -> float:
        """Seconds from what was to be seen to being set, over all pieces."""
        return fsum(part.total for part in self.parts)


class Kind(Struct, frozen=True):
    """The runs for one kind of restart."""

    kind: str
    runs: int
    feet_median: float
    seconds_median: float


class Legwork(Struct, frozen=True):
    """What one official ran in a game."""

    person: Person
    runs: int
    """Times he had anywhere to go."""
    stays: int
    """Times he was where he had to be."""
    feet: float
    seconds: float
    longest: Run | None
    kinds: tuple[Kind, ...]


class Runs(Struct, frozen=True):
    """The runs of a game and what they add up to, with the profile the seconds rest on."""

    legs: Legs
    runs: tuple[Run, ...]
    """Also those of no feet at all."""
    not_known: int
    """Restarts of one official with no known place before or after; they are in no number."""
    by_official: tuple[Legwork, ...]


def run_of(row: int, person: Person, kind: str, points: Sequence[PointFt], legs: Legs) -> Run:
    """Return one run along known places, stopping at each.

    >>> from tenbetween.movement import JOGGER
    >>> found = run_of(3, "umpire", "throw-in", ((28.0, 10.0), (28.0, 40.0), (-4.0, 40.0)), JOGGER)
    >>> found.feet, round(found.seconds, 1), round(found.until_set, 1)
    (62.0, 7.4, 8.8)
    """
    pieces = tuple(time_to(dist(a, b), legs) for a, b in pairwise(points) if a != b)
    return Run(row, person, kind, tuple(points), fsum(dist(a, b) for a, b in pairwise(points)), pieces)


def legwork(person: Person, runs: Iterable[Run]) -> Legwork:
    """Return what the runs of one official add up to.

    >>> from tenbetween.movement import JOGGER
    >>> there = run_of(1, "referee", "throw-in", ((0.0, 0.0), (30.0, 0.0)), JOGGER)
    >>> found = legwork("referee", (there, run_of(2, "referee", "throw-in", ((30.0, 0.0), (30.0, 0.0)), JOGGER)))
    >>> found.runs, found.stays, found.feet, found.kinds[0].runs
    (1, 1, 30.0, 1)
    """
    mine = [run for run in runs if run.person == person]
    went = [run for run in mine if run.feet > 0]
    ordered = sorted(went, key=lambda run: run.kind)
    kinds = tuple(_kind(kind, list(ones)) for kind, ones in groupby(ordered, key=lambda run: run.kind))
    return Legwork(
        person,
        len(went),
        len(mine) - len(went),
        fsum(run.feet for run in went),
        fsum(run.seconds for run in went),
        max(went, key=lambda run: (run.feet, -run.row), default=None),
        tuple(sorted(kinds, key=lambda one: (-one.runs, one.kind))),
    )


def _kind(kind: str, runs: list[Run]) -> Kind:
    return Kind(kind, len(runs), median(run.feet for run in runs), median(run.seconds for run in runs))
