"""A play as the ways of its marks through the picture: where each is at which second, and when it is there at all.

Knows points of the picture and seconds. A person keeps his shape through the whole play; his letter changes with
the step that gives him the other place.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import hypot, isfinite
from typing import NamedTuple

from msgspec.structs import replace

from tenbetween.draw import marks, scene_marks
from tenbetween.draw.frame import Frame
from tenbetween.draw.ink import Ink
from tenbetween.draw.scene_svg import View, ball_shift
from tenbetween.draw.svg import Point
from tenbetween.scene import BALL, Play, PlayStep, Scene, known_part, person_in, scene_at
from tenbetween.situation import Basket, Person, PointFt, Role
from tenbetween.units import feet

PERSONS: tuple[Person, ...] = ("referee", "umpire")
SHAPES: dict[str, str] = {"referee": "square", "umpire": "circle"}
_HIP = 8
"""Pieces into which a way of the ball is cut, so that it leaves and comes to a hip smoothly."""


class Moment(NamedTuple):
    """At a second a mark is here; shown or not from now on."""

    t: float
    at: Point
    shown: bool


class Track(NamedTuple):
    """One mark through a play: its name, kind, drawing about its own origin, and its moments in order."""

    id: str
    kind: str
    mark: str
    moments: tuple[Moment, ...]

    @property
    def moves(self) -> bool:
        """Whether it is ever anywhere else."""
        return len({one.at for one in self.moments}) > 1


def known_play(play: Play) -> Play:
    """Return the play without players whose place is not known."""
    return replace(play, steps=tuple(replace(step, scene=known_part(step.scene)) for step in play.steps))


def half_of(play: Play) -> Basket | None:
    """Return which half of the court holds every place of a play, or None when neither does.

    >>> from tenbetween.scene import Crew, Official
    >>> crew = Crew(Official((-3.0, 34.0)), Official((28.0, 12.0)))
    >>> half_of(Play(title="", steps=(PlayStep(says="", scene=Scene((), (), (20.0, 20.0), crew)),)))
    'left'
    """
    places = [at for step in play.steps for at in _places(step)]
    length = feet(play.steps[0].scene.court.length) if play.steps else 0.0
    if places and all(x <= length / 2 + 5 for x, _ in places):
        return "left"
    return "right" if places and all(x >= length / 2 - 5 for x, _ in places) else None


def _places(step: PlayStep) -> Iterator[PointFt]:
    scene = known_part(step.scene)
    yield from (player.at for player in scene.players)
    yield from (scene.crew.lead.at, scene.crew.trail.at)
    yield from (point for _, bends in step.via for point in bends)
    if all(isfinite(one) for one in scene.ball):
        yield scene.ball


def beginnings(play: Play) -> tuple[float, ...]:
    """Return the second at which each step begins.

    >>> from tenbetween.scene import Crew, Official
    >>> scene = Scene((), (), (20.0, 20.0), Crew(Official((-3.0, 34.0)), Official((28.0, 12.0))))
    >>> step = PlayStep(says="", scene=scene, seconds=2.0)
    >>> beginnings(Play(title="", steps=(step, step)))
    (0.0, 3.0)
    """
    found, t = [], 0.0
    for step in play.steps:
        found.append(t)
        t += step.seconds + step.hold
    return tuple(found)


def tracks(play: Play, view: View) -> tuple[Track, ...]:
    """Return every mark of a play, players first, then officials, the ball last.

    >>> from tenbetween.scene import Crew, Official
    >>> scene = Scene((), (), (20.0, 20.0), Crew(Official((-3.0, 34.0)), Official((28.0, 12.0))))
    >>> [one.id for one in tracks(Play(title="", steps=(PlayStep(says="", scene=scene),)), View())]
    ['referee', 'referee', 'umpire', 'umpire', 'ball']
    """
    play = known_play(play)
    if not play.steps:
        return ()
    frame, ink = view.frame(play.steps[0].scene), view.ink
    return (*_players(play, frame, ink), *_officials(play, frame, ink), *_ball(play, frame, ink))


def _players(play: Play, frame: Frame, ink: Ink) -> Iterator[Track]:
    everybody = {player.id: player.team for step in play.steps for player in step.scene.players}
    body = scene_marks.body_size(frame.scale)
    for name, team in everybody.items():
        places = [_place_of(step.scene, name) for step in play.steps]
        moments = _moments(play, name, places, frame)
        yield Track(name, f"player {team}", scene_marks.player(body, team, name, ink), moments)


def _place_of(scene: Scene, name: str) -> PointFt | None:
    return next((player.at for player in scene.players if player.id == name), None)


def _officials(play: Play, frame: Frame, ink: Ink) -> Iterator[Track]:
    """Yield each person twice, once with each letter; only one of the two is shown at a time."""
    for person in PERSONS:
        places = [step.scene.crew.of(_role(step, person)).at for step in play.steps]
        for letter, role in (("L", "lead"), ("T", "trail")):
            mark = marks.official((0.0, 0.0), frame.official, SHAPES[person], letter, ink, before=False)
            shown = [_role(step, person) == role for step in play.steps]
            yield Track(person, f"official {role}", mark, _moments(play, person, places, frame, shown))


def _role(step: PlayStep, person: Person) -> Role:
    return "lead" if person_in(step, "lead") == person else "trail"


def _moments(
    play: Play, name: str, places: Sequence[PointFt | None], frame: Frame, shown: Sequence[bool] | None = None
) -> tuple[Moment, ...]:
    """Return the moments of one mark; whoever is only in the later of two steps stands there already."""
    found: list[Moment] = []
    for number, (begins, step) in enumerate(zip(beginnings(play), play.steps, strict=True)):
        here = places[number]
        there = here is not None and (shown is None or shown[number])
        at = here or next((one for one in (*places[number:], *places[::-1]) if one is not None), (0.0, 0.0))
        was = places[number - 1] if number else None
        bends = dict(step.via).get(name, ()) if was is not None and here is not None else ()
        chain = (was, *bends, at) if was is not None and here is not None else (at,)
        found += [Moment(begins + step.seconds * part, frame.at(p), there) for part, p in _paced(chain)]
        found += [
            Moment(begins + step.seconds, frame.at(at), there),
            Moment(begins + step.seconds + step.hold, frame.at(at), there),
        ]
    return tuple(found)


def _paced(chain: Sequence[PointFt]) -> Iterator[tuple[float, PointFt]]:
    """Yield the points of a way with the part of its length at which each lies."""
    lengths = [hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(chain)]
    total, so_far = sum(lengths), 0.0
    yield 0.0, chain[0]
    for length, point in zip(lengths, chain[1:], strict=True):
        so_far += length
        yield (so_far / total if total else 1.0), point


def _ball(play: Play, frame: Frame, ink: Ink) -> Iterator[Track]:
    if not all(isfinite(one) for step in play.steps for one in step.scene.ball):
        return
    moments = []
    for begins, step in zip(beginnings(play), play.steps, strict=True):
        bends = len(dict(step.via).get(BALL, ())) + 1
        pieces = _HIP * bends if step.seconds else 1
        times = [begins + step.seconds * i / pieces for i in range(pieces)]
        for t in times:
            moments.append(
                Moment(t, ball_point(scene_at(play, t) if step.seconds else step.scene, frame), True)
            )
        at = ball_point(step.scene, frame)
        moments += [Moment(begins + step.seconds + by, at, True) for by in (0.0, step.hold)]
    yield Track(BALL, "ball", scene_marks.ball((0.0, 0.0), ink), tuple(moments))


def ball_point(scene: Scene, frame: Frame) -> Point:
    """Return where the ball is drawn: its place, or the hip of whoever holds it."""
    (x, y), (dx, dy) = frame.at(scene.ball), ball_shift(scene, frame)
    return (x + dx, y + dy)
