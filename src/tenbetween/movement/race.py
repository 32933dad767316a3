"""The official and the ball to the same end of the floor: who is there first, and from how deep he still is.

Answers "can the new lead get there before the ball?" for one way of running and one way the ball comes. It rests on
ball speeds from memory and says nothing of how anybody should run; knows no players and no rule.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import dist
from typing import Literal, get_args

from msgspec import Struct

from tenbetween.court import Court
from tenbetween.errors import Problem, TenbetweenError, one_of
from tenbetween.movement.profiles import PACE, BallPace, Legs
from tenbetween.movement.run import Arrival, feet_within, seconds_for, time_to
from tenbetween.situation import PointFt
from tenbetween.units import FOOT

BallAct = Literal["rebound", "steal", "pass", "dribble"]
BALL_ACTS: tuple[BallAct, ...] = get_args(BallAct)
SHORT_FT = 8.0
THERE = Arrival(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
"""Of one who has nowhere to go."""


class BallStep(Struct, frozen=True):
    """One thing that happens to the ball: a rebound or a steal where it is, a pass or a dribble to a place."""

    act: BallAct
    to: PointFt | None = None


class BallPart(Struct, frozen=True):
    """How long one step of the ball takes."""

    act: BallAct
    feet: float
    seconds: float


class Race(Struct, frozen=True):
    """Official and ball, part by part; seconds and feet."""

    official: Arrival
    """To ``short_ft`` before the spot, running on."""
    ball: tuple[BallPart, ...]
    ball_s: float
    margin_s: float
    """Seconds he is there before the ball; negative when the ball is."""
    wins: bool
    short_ft: float
    deepest_ft: float
    """From so many feet of the spot he would still be there with the ball."""
    deepest: PointFt | None
    """That place on the line from the spot through where he is, not behind the end line when the floor is known;
    None when he is on the spot already."""
    legs: Legs
    pace: BallPace


def race(
    official_at: PointFt,
    spot: PointFt,
    ball_at: PointFt,
    ball_route: Sequence[BallStep],
    legs: Legs,
    pace: BallPace = PACE,
    *,
    court: Court | None = None,
    short_ft: float = SHORT_FT,
    turn_deg: float = 0.0,
) -> Race:
    """Return whether the official is ``short_ft`` before the spot when the ball gets there, and by how much.

    Both start at the same moment, he from standing after his reaction, straight to the spot. One who stands near
    enough already is there at once.

    >>> from tenbetween.movement import BRISK
    >>> steal = (BallStep("steal"), BallStep("dribble", (88.75, 25.0)))
    >>> found = race((34.0, 25.0), (97.5, 25.0), (30.0, 25.0), steal, BRISK)
    >>> found.wins, round(found.ball_s, 1), round(found.deepest_ft)
    (True, 4.4, 69)

    Raises:
        TenbetweenError: a place or a step that cannot be; all of them.
    """
    _refuse({"official": official_at, "spot": spot, "ball": ball_at}, short_ft)
    parts = ball_parts(ball_at, ball_route, pace)
    ball_s = sum(part.seconds for part in parts)
    feet = max(0.0, dist(official_at, spot) - short_ft)
    official = time_to(feet, legs, 0.0, turn_deg, stop=False) if feet else THERE
    most = short_ft + feet_within(ball_s - legs.turn_s * abs(turn_deg) / 180, legs)
    margin = ball_s - official.total
    deepest = _beyond(spot, official_at, most, court)
    return Race(official, parts, ball_s, margin, margin >= 0, short_ft, most, deepest, legs, pace)


def _beyond(spot: PointFt, through: PointFt, feet: float, court: Court | None) -> PointFt | None:
    """Return the place ``feet`` from the spot on the line through another, held on the floor lengthwise."""
    long = dist(spot, through)
    if long == 0:
        return None
    share = feet / long
    if court is not None and through[0] != spot[0]:
        ends = [end for end in (0.0, court.length / FOOT) if (end - spot[0]) * (through[0] - spot[0]) > 0]
        far = max((abs(end - spot[0]) for end in ends), default=0.0) / abs(through[0] - spot[0])
        share = min(share, far)
    return (spot[0] + share * (through[0] - spot[0]), spot[1] + share * (through[1] - spot[1]))


def ball_parts(at: PointFt, route: Sequence[BallStep], pace: BallPace = PACE) -> tuple[BallPart, ...]:
    """Return how long each step of the ball takes; a pass counts until the catcher goes on.

    >>> steps = (BallStep("rebound"), BallStep("pass", (65.0, 25.0)))
    >>> [(part.act, part.feet, round(part.seconds, 2)) for part in ball_parts((5.0, 25.0), steps)]
    [('rebound', 0.0, 0.8), ('pass', 60.0, 2.08)]

    Raises:
        TenbetweenError: every step that cannot be.
    """
    _refuse({f"route[{n}]": step.to for n, step in enumerate(route) if step.to is not None}, 0.0)
    problems = [problem for n, step in enumerate(route) for problem in _step_faults(n, step)]
    if problems:
        raise TenbetweenError(problems)
    found = []
    for step in route:
        to = step.to or at
        found.append(_part(step.act, dist(at, to), pace))
        at = to
    return tuple(found)


def _step_faults(number: int, step: BallStep) -> list[Problem]:
    where = f"route[{number}]"
    if step.act not in BALL_ACTS:
        return [one_of(where, str(step.act)[:40], BALL_ACTS)]
    moves = step.act in ("pass", "dribble")
    if moves and step.to is None:
        return [Problem(where, f"a {step.act} to nowhere", "a place to go to", "name it, as x and y in feet")]
    if not moves and step.to is not None:
        return [
            Problem(where, f"a {step.act} with a place", "none: it happens where the ball is", "leave it out")
        ]
    return []


def _part(act: BallAct, feet: float, pace: BallPace) -> BallPart:
    if act == "pass":
        return BallPart(act, feet, feet / pace.pass_speed + pace.catch_s)
    if act == "dribble":
        hand = Legs("dribble", pace.dribble_speed, pace.dribble_tau, 0.0)
        return BallPart(act, feet, seconds_for(feet, hand))
    return BallPart(act, feet, pace.rebound_s if act == "rebound" else pace.steal_s)


def _refuse(places: dict[str, PointFt], short_ft: float) -> None:
    wrong = [
        Problem(name, repr(at)[:60], "x and y in feet, each within 300 of the corner", "write such a place")
        for name, at in places.items()
        if not all(abs(one) <= 300 for one in at)
    ]
    if not 0 <= short_ft <= 300:
        wrong.append(Problem("short_ft", repr(short_ft), "feet, from 0 to 300", "write such a number"))
    if wrong:
        raise TenbetweenError(wrong)
