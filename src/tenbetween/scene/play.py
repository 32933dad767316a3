"""A play: scenes with times, played smoothly or step by step.

Knows who moves where and how long it takes; not why, not how fast anybody can run, and not what can be seen.
The letter of an official is his role, his shape the person: each step says which person is lead, so that a
switch moves the letter and not the man.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise
from math import hypot

from msgspec import Struct
from msgspec.structs import replace

from tenbetween.scene.moment import Crew, Official, Player, Scene
from tenbetween.situation import Person, PointFt, other_role

BALL = "ball"
HOLD = 1.0
"""Seconds a step stands before the next one begins, unless said."""


class PlayStep(Struct, frozen=True, kw_only=True):
    """One step: what happens, the scene it ends in, and the seconds the movement into it takes."""

    says: str
    """What happens, in one sentence of the trade."""
    scene: Scene
    seconds: float = 0.0
    """How long the movement into this step takes; 0 for the first."""
    hold: float = HOLD
    """How long it stands before the next step begins."""
    lead: Person = "referee"
    """Which person is lead in this step; the other one is trail."""
    via: tuple[tuple[str, tuple[PointFt, ...]], ...] = ()
    """Bends on the way into this step, by player id, person (``referee``, ``umpire``) or ``ball`` (ft)."""
    provisions: tuple[str, ...] = ()
    """Ids of the provisions this step shows."""


class Play(Struct, frozen=True, kw_only=True):
    """A titled play with what it rests on; a scene alone is a play of one step.

    >>> crew = Crew(Official((-3.0, 34.0)), Official((28.0, 12.0)))
    >>> still = Play(title="Still", steps=(PlayStep(says="Ready.", scene=Scene((), (), (20.0, 20.0), crew)),))
    >>> still.duration
    1.0
    """

    title: str
    steps: tuple[PlayStep, ...]
    line: str = ""
    """The situation it was staged from, in one line; empty for a play of the trainer's own."""
    formation: str = ""
    """Name of the formation it was staged with, else empty."""
    note: str = ""

    @property
    def duration(self) -> float:
        """Seconds from beginning to end, holds counted."""
        return sum(step.seconds + step.hold for step in self.steps)

    @property
    def provisions(self) -> tuple[str, ...]:
        """Ids of every provision shown, each once, in the order of the steps."""
        return tuple(dict.fromkeys(one for step in self.steps for one in step.provisions))


def step_at(play: Play, t: float) -> tuple[int, float]:
    """Return which step is under way t seconds after the beginning, and how far the movement into it is (0 to 1).

    >>> crew = Crew(Official((-3.0, 34.0)), Official((28.0, 12.0)))
    >>> one = PlayStep(says="Ready.", scene=Scene((), (), (20.0, 20.0), crew))
    >>> step_at(Play(title="Two", steps=(one, replace(one, seconds=2.0))), 2.0)
    (1, 0.5)
    """
    left = max(0.0, t)
    for number, step in enumerate(play.steps):
        if left < step.seconds:
            return number, left / step.seconds
        left -= step.seconds
        if left < step.hold or number == len(play.steps) - 1:
            return number, 1.0
        left -= step.hold
    return 0, 1.0


def scene_at(play: Play, t: float) -> Scene:
    """Return everybody t seconds after the beginning; persons move, and carry their new letter from the start.

    >>> crew = Crew(Official((-3.0, 34.0)), Official((28.0, 12.0)))
    >>> one = PlayStep(says="Ready.", scene=Scene((), (), (20.0, 20.0), crew), hold=0.0)
    >>> later = replace(one.scene, ball=(30.0, 20.0))
    >>> scene_at(Play(title="Pass", steps=(one, replace(one, scene=later, seconds=2.0))), 1.0).ball
    (25.0, 20.0)
    """
    number, part = step_at(play, t)
    step = play.steps[number]
    if part >= 1.0 or number == 0:
        return step.scene
    return between(play.steps[number - 1], step, part)


def between(before: PlayStep, after: PlayStep, part: float) -> Scene:
    """Return the scene at a part (0 to 1) of the way from one step into the next.

    Whoever is in both moves at an even pace along his bends; whoever is only in the later one stands there already.
    """
    via = dict(after.via)
    was = {player.id: player.at for player in before.scene.players}
    players = tuple(_on_the_way(player, was, via, part) for player in after.scene.players)
    ball = along((before.scene.ball, *via.get(BALL, ()), after.scene.ball), part)
    return replace(after.scene, players=players, ball=ball, crew=_crew_between(before, after, via, part))


def _on_the_way(
    player: Player, was: Mapping[str, PointFt], via: Mapping[str, tuple[PointFt, ...]], part: float
) -> Player:
    if player.id not in was:
        return player
    return replace(player, at=along((was[player.id], *via.get(player.id, ()), player.at), part))


def _crew_between(
    before: PlayStep, after: PlayStep, via: Mapping[str, tuple[PointFt, ...]], part: float
) -> Crew:
    moved = []
    for role in ("lead", "trail"):
        person = person_in(after, role)
        was = before.scene.crew.of(role if person_in(before, role) == person else other_role(role))
        now = after.scene.crew.of(role)
        moved.append(Official(along((was.at, *via.get(person, ()), now.at), part), now.facing))
    return Crew(*moved)


def person_in(step: PlayStep, role: str) -> Person:
    """Return which person has a role in a step.

    >>> crew = Crew(Official((-3.0, 34.0)), Official((28.0, 12.0)))
    >>> person_in(PlayStep(says="", scene=Scene((), (), (20.0, 20.0), crew), lead="umpire"), "trail")
    'referee'
    """
    if role == "lead":
        return step.lead
    return "umpire" if step.lead == "referee" else "referee"


def along(points: Sequence[PointFt], part: float) -> PointFt:
    """Return the point at a part (0 to 1) of the length of a line through points (ft).

    >>> along(((0.0, 0.0), (6.0, 0.0), (6.0, 2.0)), 0.5)
    (4.0, 0.0)
    """
    lengths = [hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(points)]
    left = max(0.0, min(1.0, part)) * sum(lengths)
    for (a, b), length in zip(pairwise(points), lengths, strict=True):
        if left <= length and length > 0:
            share = left / length
            return (a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share)
        left -= length
    return points[-1]
