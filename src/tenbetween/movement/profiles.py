"""How officials and the ball move: every number a setting, handed on beside each result.

No paper we read gives top speed and time constant of a basketball official, so the three profiles are round
figures of ours inside published ranges: bursts above 6 m/s (19.7 ft/s) in officials (Allegretti Mercadante 2015), a
time constant near 1 s across sports (Clark & Ryan 2022). Reaction, turn, set, braking, gaits and all ball speeds are
from memory. They describe a way of running, never a person, and nobody is measured against them.
"""

from __future__ import annotations

from math import isfinite

from msgspec import Struct, structs

from tenbetween.errors import Problem, TenbetweenError, one_of


class Legs(Struct, frozen=True):
    """How an official runs: feet, seconds, feet per second.

    >>> Legs("somebody", 21.0, 1.1, 0.4).braking
    11.0

    Raises:
        TenbetweenError: every number that cannot be.
    """

    name: str
    speed: float
    """Speed he nears when he runs on."""
    tau: float
    """Time constant: after so many seconds from standing he has 63.2 % of that speed."""
    reaction_s: float
    """From what is to be seen to the first movement."""
    turn_s: float = 0.5
    """For half a turn; less turn takes its share."""
    braking: float = 11.0
    """ft/s² when he stops."""
    set_s: float = 0.3
    """From standing still to ready to look."""
    wrong_way_s: float = 0.25
    """Lost, beside the braking, when he first moves the wrong way."""
    sideways: float = 0.55
    backwards: float = 0.6
    """Share of his speed when he moves so."""

    def __post_init__(self) -> None:
        _refuse(self, above_zero=("speed", "tau", "braking", "sideways", "backwards"))


class BallPace(Struct, frozen=True):
    """How the ball comes up the floor, by hand and by pass; all from memory.

    The totals we start from (rebound and dribble 6.2 s, rebound, 60 ft pass and dribble 5.0 s, steal at 30 ft and
    dribble 4.4 s to the far rim of a 94 ft floor) do not say how they divide; the division here is ours.

    >>> BallPace().pass_speed, BallPace().dribble_speed
    (40.0, 19.0)
    """

    rebound_s: float = 0.8
    """From the rebound to the first dribble or pass."""
    steal_s: float = 0.3
    """From the steal to the first dribble or pass."""
    pass_speed: float = 40.0
    """ft/s; 35 to 45 is usual."""
    catch_s: float = 0.58
    """From the catch to the first dribble or the next pass."""
    dribble_speed: float = 19.0
    """ft/s that a fast dribble nears; 18 to 20 is usual."""
    dribble_tau: float = 1.0
    """Time constant of the dribbler, who starts from standing."""

    def __post_init__(self) -> None:
        _refuse(self, above_zero=("pass_speed", "dribble_speed", "dribble_tau"))


def _refuse(value: Legs | BallPace, above_zero: tuple[str, ...]) -> None:
    numbers = {name: one for name, one in structs.asdict(value).items() if not isinstance(one, str)}
    problems = []
    for name, one in numbers.items():
        least = "more than nothing" if name in above_zero else "not negative"
        if not isfinite(one) or one < 0 or (one == 0 and name in above_zero) or one > 1000:
            problems.append(
                Problem(name, repr(one), f"a number, {least}, at most 1000", "write such a number")
            )
    if problems:
        raise TenbetweenError(problems)


BRISK = Legs("brisk adult", 21.0, 1.1, 0.40)
JOGGER = Legs("jogger", 14.0, 0.9, 0.40)
SPRINTER = Legs("sprinter", 25.0, 1.2, 0.35)
PROFILES: dict[str, Legs] = {legs.name: legs for legs in (BRISK, JOGGER, SPRINTER)}
PACE = BallPace()


def legs_of(name: str) -> Legs:
    """Return the profile of that name.

    >>> legs_of("jogger").speed
    14.0

    Raises:
        TenbetweenError: there is none of that name.
    """
    found = PROFILES.get(" ".join(name.lower().replace("-", " ").replace("_", " ").split()))
    if found is None:
        raise TenbetweenError(one_of("profile", name[:60], tuple(PROFILES)))
    return found
