"""Running from one place to another: speed, way and time in closed form, and arriving set.

    v(t) = V - (V - v0) e^(-t / tau)          d(t) = V t - (V - v0) tau (1 - e^(-t / tau))
    t(d) = tau (x + k + W0(-k e^-(x + k)))    with x = d / (V tau), k = (V - v0) / V, W0 the Lambert function

Knows one straight way and how somebody runs; no floor, no players, no ball. Units: feet and seconds.
"""

from __future__ import annotations

from math import e, exp, expm1, isfinite, log, log1p, sqrt

from msgspec import Struct

from tenbetween.errors import Problem, TenbetweenError
from tenbetween.movement.profiles import Legs

ENOUGH = 60
"""Rounds after which no double comes nearer."""


class Arrival(Struct, frozen=True):
    """The parts of getting there, in seconds; ``total`` is their sum."""

    reaction: float
    wrong_way: float
    """Braking and pushing off again when he first moved the wrong way."""
    turn: float
    run: float
    brake: float
    """From full run to standing on the spot; nothing when he runs on."""
    settle: float
    """From standing to set; nothing when he runs on."""
    feet: float
    """What he ran, with any detour of a wrong way."""
    speed_there: float
    """ft/s with which he passes the spot, or the fastest he ran when he stops there."""

    @property
    def total(self) -> float:
        """Seconds from what was to be seen to being there (set, when he stops)."""
        return self.reaction + self.wrong_way + self.turn + self.moving + self.settle

    @property
    def moving(self) -> float:
        """Seconds on the way itself."""
        return self.run + self.brake


def lambert_w0(z: float) -> float:
    """Return the W >= -1 with W e^W = z, by Halley's steps from a close start.

    >>> lambert_w0(e), lambert_w0(0.0), round(lambert_w0(-exp(-2.0)), 12)
    (1.0, 0.0, -0.158594339563)

    Raises:
        ValueError: ``z`` below -1/e, or not finite.
    """
    if not isfinite(z) or z < -exp(-1):
        raise ValueError(f"W0 has no value at {z!r}")
    w = _first_w(z)
    for _ in range(ENOUGH):
        miss = w * exp(w) - z
        if miss == 0 or w <= -1:
            break
        step = miss / (exp(w) * (w + 1) - (w + 2) * miss / (2 * w + 2))
        w -= step
        if abs(step) <= 4e-16 * (1 + abs(w)):
            break
    return w


def _first_w(z: float) -> float:
    if z < -0.25:
        p = sqrt(max(0.0, 2 * (e * z + 1)))
        return -1 + p - p * p / 3 + 11 * p**3 / 72
    if z < e:
        return log1p(z) * (1 - log1p(log1p(z)) / (2 + log1p(z))) if z > -0.2 else z * (1 - z)
    big = log(z)
    return big - log(big)


def speed_at(t: float, legs: Legs, start_speed: float = 0.0) -> float:
    """Return the speed in ft/s, ``t`` seconds after the first step.

    >>> from tenbetween.movement import BRISK
    >>> round(speed_at(BRISK.tau, BRISK) / BRISK.speed, 3)
    0.632
    """
    return legs.speed - (legs.speed - start_speed) * exp(-t / legs.tau)


def feet_at(t: float, legs: Legs, start_speed: float = 0.0) -> float:
    """Return the feet run, ``t`` seconds after the first step.

    >>> from tenbetween.movement import BRISK
    >>> round(feet_at(3.0, BRISK), 2)
    41.41
    """
    return legs.speed * t + (legs.speed - start_speed) * legs.tau * expm1(-t / legs.tau)


def seconds_for(feet: float, legs: Legs, start_speed: float = 0.0) -> float:
    """Return the seconds from the first step to ``feet``, running on.

    Lambert's W0 in closed form, then Newton on d(t) = feet: for a very short way the closed form alone loses half
    of its digits next to the branch point.

    >>> from tenbetween.movement import BRISK
    >>> round(seconds_for(51.5, BRISK), 3)
    3.507

    Raises:
        TenbetweenError: a way or a speed that cannot be.
    """
    _refuse(feet, start_speed)
    if start_speed < 0:
        raise TenbetweenError(
            Problem("start speed", repr(start_speed), "not negative here", "use time_to for the wrong way")
        )
    x, k = feet / (legs.speed * legs.tau), (legs.speed - start_speed) / legs.speed
    s = max(0.0, x + k + lambert_w0(max(-k * exp(-(x + k)), -exp(-1))))
    for _ in range(ENOUGH):
        slope = 1 - k * exp(-s)
        miss = s + k * expm1(-s) - x
        if miss == 0 or slope <= 0:
            break
        step = miss / slope
        s = max(0.0, s - step)
        if abs(step) <= 4e-16 * s:
            break
    return s * legs.tau


def _refuse(feet: float, start_speed: float) -> None:
    problems = []
    if not isfinite(feet) or not 0 <= feet <= 10_000:
        problems.append(Problem("distance", repr(feet), "feet, from 0 to 10000", "write such a number"))
    if not isfinite(start_speed) or abs(start_speed) > 100:
        problems.append(
            Problem("start speed", repr(start_speed), "ft/s, from -100 to 100", "write such a number")
        )
    if problems:
        raise TenbetweenError(problems)


def time_to(
    distance: float, legs: Legs, start_speed: float = 0.0, turn_deg: float = 0.0, *, stop: bool = True
) -> Arrival:
    """Return the parts of getting ``distance`` feet away, in seconds.

    ``start_speed`` is his speed along the way he is to go, in ft/s; negative when he moves the wrong way at u: then he
    loses u / b + 0.25 s (a setting) and runs u² / (2 b) ft more. ``turn_deg`` takes its share of half a turn. During
    reaction and turn no way is counted. With ``stop`` he brakes evenly to stand on the spot and gets set: when to
    begin braking is found as the root of d(t) + v(t)² / (2 b) = distance, which grows with t. One who is too fast to
    stop in time passes the spot, brakes, turns and comes back.

    >>> from tenbetween.movement import BRISK
    >>> round(time_to(51.5, BRISK, stop=False).total, 2), round(time_to(51.5, BRISK).total, 2)
    (3.91, 5.1)

    Raises:
        TenbetweenError: a number that cannot be.
    """
    _refuse(distance, start_speed)
    if not isfinite(turn_deg) or abs(turn_deg) > 360:
        raise TenbetweenError(
            Problem("turn", repr(turn_deg), "degrees, from -360 to 360", "write such a number")
        )
    turn = legs.turn_s * abs(turn_deg) / 180
    wrong, feet = 0.0, distance
    if start_speed < 0:
        wrong = -start_speed / legs.braking + legs.wrong_way_s
        feet += start_speed**2 / (2 * legs.braking)
    first = max(0.0, start_speed)
    if not stop:
        run = seconds_for(feet, legs, first)
        return Arrival(legs.reaction_s, wrong, turn, run, 0.0, 0.0, feet, speed_at(run, legs, first))
    too_far = first**2 / (2 * legs.braking) - feet
    if too_far > 0:
        return _past_and_back(too_far, feet, legs, first, wrong, turn)
    run = _brake_from(feet, legs, first)
    fastest = speed_at(run, legs, first)
    brake = fastest / legs.braking if feet or first else 0.0
    return Arrival(legs.reaction_s, wrong, turn, run, brake, legs.set_s, feet, fastest)


def _past_and_back(
    too_far: float, feet: float, legs: Legs, first: float, wrong: float, turn: float
) -> Arrival:
    """He brakes at once, passes the spot all the same, turns and comes back to it."""
    back = time_to(too_far, legs, 0.0, 180.0)
    turned, brake = turn + back.turn, first / legs.braking + back.brake
    ran = feet + 2 * too_far
    return Arrival(legs.reaction_s, wrong, turned, back.run, brake, legs.set_s, ran, first)


def _brake_from(feet: float, legs: Legs, first: float) -> float:
    """Return the seconds of running after which even braking ends on the spot, by halving."""

    def ends(t: float) -> float:
        return feet_at(t, legs, first) + speed_at(t, legs, first) ** 2 / (2 * legs.braking)

    low, high = 0.0, seconds_for(feet, legs, first)
    for _ in range(200):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        low, high = (middle, high) if ends(middle) < feet else (low, middle)
    return (low + high) / 2


def feet_within(seconds: float, legs: Legs) -> float:
    """Return how far he gets from standing in ``seconds`` after the reaction, running on.

    >>> from tenbetween.movement import BRISK
    >>> round(feet_within(0.4, BRISK), 6), round(feet_within(BRISK.reaction_s + 3.0, BRISK), 2)
    (0.0, 41.41)
    """
    return feet_at(max(0.0, seconds - legs.reaction_s), legs)
