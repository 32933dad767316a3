"""A scene as arrays, and what one official has from any place: the bridge between scenes and the kernel.

Where no facing is given the best facing of the place is taken; whoever shows the result says so.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from tenbetween.scene import ROLES, Official, Scene
from tenbetween.sight.bearings import Floats
from tenbetween.sight.facing import best_facing
from tenbetween.sight.looks import Looks, Pairs, in_field, looks_from
from tenbetween.sight.settings import Settings
from tenbetween.situation import Role


class Arrays(NamedTuple):
    """Bodies (N, 2), pairs (M, 2) of bodies, weights (M), the ball (2)."""

    bodies: Floats
    pairs: Pairs
    weights: Floats
    ball: Floats


class Stances(NamedTuple):
    """From each place (P): the looks before facing, the facing in radians, the open looks (P, M)."""

    looks: Looks
    facing: Floats
    values: Floats


def arrays_of(scene: Scene, settings: Settings) -> Arrays:
    """Return a scene, all of whose players are known, as arrays."""
    place = {player.id: number for number, player in enumerate(scene.players)}
    pairs = [(place[one.attacker], place[one.defender]) for one in scene.matchups]
    return Arrays(
        np.array([player.at for player in scene.players], dtype=np.float64).reshape(-1, 2),
        np.array(pairs, dtype=np.intp).reshape(-1, 2),
        np.array([getattr(settings.weights, one.act) for one in scene.matchups], dtype=np.float64),
        np.array(scene.ball, dtype=np.float64),
    )


def stances(places: Floats, facing: float | None, arrays: Arrays, settings: Settings) -> Stances:
    """Return what an official has from each place, facing as given (degrees) or best where None."""
    looks = looks_from(places, arrays.bodies, arrays.pairs, settings)
    if facing is not None:
        turned = np.full(len(places), np.radians(facing))
        field = in_field(looks.middle, looks.apart, turned[:, None], settings)
        return Stances(looks, turned, looks.plain * field)
    to_ball = arrays.ball - places
    direction = np.arctan2(to_ball[:, 1], to_ball[:, 0])
    return Stances(looks, *best_facing(looks, arrays.weights, direction, settings))


def stance_of(official: Official, arrays: Arrays, settings: Settings) -> Stances:
    """Return what one official has where he stands (P = 1)."""
    return stances(np.array([official.at], dtype=np.float64), official.facing, arrays, settings)


def crew_stances(scene: Scene, arrays: Arrays, settings: Settings) -> dict[Role, Stances]:
    """Return what each of the two has where he stands (P = 1 each), found for both at once."""
    crew = [scene.crew.of(role) for role in ROLES]
    places = np.array([one.at for one in crew], dtype=np.float64)
    looks, facing, values = stances(places, None, arrays, settings)
    found: dict[Role, Stances] = {}
    for row, (role, one) in enumerate(zip(ROLES, crew, strict=True)):
        mine = Looks(*(part[row : row + 1] for part in looks))
        turned, seen = facing[row : row + 1], values[row : row + 1]
        if one.facing is not None:
            turned = np.array([np.radians(one.facing)])
            seen = mine.plain * in_field(mine.middle, mine.apart, turned[:, None], settings)
        found[role] = Stances(mine, turned, seen)
    return found


def crew_values(scene: Scene, arrays: Arrays, settings: Settings) -> Floats:
    """Return the open looks of lead and trail, shape (2, M)."""
    return np.concatenate([one.values for one in crew_stances(scene, arrays, settings).values()])
