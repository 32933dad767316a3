"""Can he get there: how long a way takes an official, which way keeps his eyes on the players, and the ball beside him.

Closed-form running with reaction, turn, braking and set; ways round bodies; a race with the ball; what a game adds up
to. Every number is a setting that stands beside the result. It says what a way asks of the legs; it judges nobody,
and a race is no aim of training.
"""

from __future__ import annotations

from tenbetween.movement.distance import Kind, Legwork, Run, Runs, legwork, run_of
from tenbetween.movement.paths import EYES, MANNERS, Leg, Manners, OnTheWay, Path, on_the_way, path
from tenbetween.movement.profiles import BRISK, JOGGER, PACE, PROFILES, SPRINTER, BallPace, Legs, legs_of
from tenbetween.movement.race import BALL_ACTS, BallPart, BallStep, Race, ball_parts, race
from tenbetween.movement.run import Arrival, feet_at, lambert_w0, seconds_for, speed_at, time_to

__all__ = [
    "BALL_ACTS",
    "BRISK",
    "EYES",
    "JOGGER",
    "MANNERS",
    "PACE",
    "PROFILES",
    "SPRINTER",
    "Arrival",
    "BallPace",
    "BallPart",
    "BallStep",
    "Kind",
    "Leg",
    "Legs",
    "Legwork",
    "Manners",
    "OnTheWay",
    "Path",
    "Race",
    "Run",
    "Runs",
    "ball_parts",
    "feet_at",
    "lambert_w0",
    "legs_of",
    "legwork",
    "on_the_way",
    "path",
    "race",
    "run_of",
    "seconds_for",
    "speed_at",
    "time_to",
]
