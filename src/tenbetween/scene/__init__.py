"""Scenes and plays: ten players, the ball and two officials at a moment, and moments with times.

Says who stands where and when; no rule, no sight, no running speed.
"""

from __future__ import annotations

from tenbetween.scene.common_errors import Stand, common_errors, end_and_side, taught
from tenbetween.scene.moment import (
    ACTS,
    FULL,
    ROLES,
    SQUADS,
    Act,
    Crew,
    Matchup,
    Official,
    Player,
    Scene,
    Squad,
    is_known,
    known_part,
    mirrored,
    moved,
)
from tenbetween.scene.play import BALL, HOLD, Play, PlayStep, along, between, person_in, scene_at, step_at

__all__ = [
    "ACTS",
    "BALL",
    "FULL",
    "HOLD",
    "ROLES",
    "SQUADS",
    "Act",
    "Crew",
    "Matchup",
    "Official",
    "Play",
    "PlayStep",
    "Player",
    "Scene",
    "Squad",
    "Stand",
    "along",
    "between",
    "common_errors",
    "end_and_side",
    "is_known",
    "known_part",
    "mirrored",
    "moved",
    "person_in",
    "scene_at",
    "step_at",
    "taught",
]
