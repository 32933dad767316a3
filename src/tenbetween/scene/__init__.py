"""Scenes and plays: ten players, the ball and two officials at a moment, and moments with times.

Says who stands where and when, and stages a ruling with a formation; no rule, no sight, no running speed.
"""

from __future__ import annotations

from tenbetween.scene.common_errors import Elsewhere, common_errors, end_and_side, taught
from tenbetween.scene.formations import FORMATIONS, RESTART_KINDS, Formation, formations_of
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
from tenbetween.scene.posted import Staged, kind_of_restart
from tenbetween.scene.stage import formations_for, play_of, stage

__all__ = [
    "ACTS",
    "BALL",
    "FORMATIONS",
    "FULL",
    "HOLD",
    "RESTART_KINDS",
    "ROLES",
    "SQUADS",
    "Act",
    "Crew",
    "Elsewhere",
    "Formation",
    "Matchup",
    "Official",
    "Play",
    "PlayStep",
    "Player",
    "Scene",
    "Squad",
    "Staged",
    "along",
    "between",
    "common_errors",
    "end_and_side",
    "formations_for",
    "formations_of",
    "is_known",
    "kind_of_restart",
    "known_part",
    "mirrored",
    "moved",
    "person_in",
    "play_of",
    "scene_at",
    "stage",
    "step_at",
    "taught",
]
