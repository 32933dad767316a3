"""All that can be said of one scene's sight, as one frozen value with the settings it rests on.

Bodies are flat discs: heads, arms and height are not modelled, so this tells what stands in the way on the floor
plan and no more. It judges nobody.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from msgspec import Struct

from tenbetween.scene import ROLES, Matchup, Scene, is_known, known_part
from tenbetween.sight.bearings import wrapped
from tenbetween.sight.bodies import visible_shares
from tenbetween.sight.boxing import BoxedIn, boxed_in
from tenbetween.sight.crew_sight import Load, blind_spots, crew_coverage, double_coverage, hidden_floor, load
from tenbetween.sight.looks import in_field
from tenbetween.sight.reasons import Parts, cause, sentence
from tenbetween.sight.settings import SIGHT, Settings
from tenbetween.sight.stance import Arrays, Stances, arrays_of, crew_stances
from tenbetween.sight.steps import Step, best_step
from tenbetween.situation import Role

FLAT = "Bodies are flat discs: heads, arms and height are not modelled."


class Look(Struct, frozen=True):
    """One official's look at one matchup; parts 0 to 1, ``value`` their product."""

    official: Role
    matchup: Matchup
    openness: float
    clear: float
    gap_deg: float
    distance: float
    """Feet to the middle between the two."""
    closeness: float
    width: float
    in_field: float
    value: float
    apart_deg: float
    screened_by: str | None
    hidden_by: dict[str, float]
    """Share of the space between the two behind each other player, where there is any."""
    straight_lined: bool
    cause: str
    why: str


class Facing(Struct, frozen=True):
    """Which way an official's eyes are turned, degrees from +x towards +y, and whether that was given."""

    deg: float
    given: bool


class Sight(Struct, frozen=True):
    """The whole answer about one scene."""

    looks: tuple[Look, ...]
    visible: dict[Role, dict[str, float]]
    facing: dict[Role, Facing]
    coverage: float | None
    double_coverage: float | None
    blind_spots: tuple[Matchup, ...]
    hidden_floor_sqft: float
    boxed_in: BoxedIn
    load: Load
    best_step: dict[Role, Step]
    complete: bool
    dropped: tuple[str, ...]
    """Players left out because their place is not known."""
    settings: Settings
    note: str = FLAT


def see(scene: Scene, settings: Settings = SIGHT) -> Sight:
    """Return what the crew sees in a scene, with every part and reason.

    >>> from tenbetween.scene import Crew, Official, Player
    >>> players = (Player("a1", "a", (10.0, 20.0)), Player("b1", "b", (13.0, 20.0)))
    >>> crew = Crew(Official((-4.0, 20.0)), Official((30.0, 10.0)))
    >>> see(Scene(players, (Matchup("a1", "b1"),), (10.0, 20.0), crew)).looks[0].why
    'a1 and b1 are straight-lined: the near body hides part of the far one and the space between them.'
    """
    dropped = tuple(player.id for player in scene.players if not is_known(player))
    complete, scene = scene.complete, known_part(scene)
    arrays = arrays_of(scene, settings)
    stood = crew_stances(scene, arrays, settings)
    values = np.concatenate([stood[role].values for role in ROLES])
    distance = np.concatenate([stood[role].looks.distance for role in ROLES])
    looks = tuple(look for role in ROLES for look in _looks(scene, role, stood[role], arrays, settings))
    return Sight(
        looks=looks,
        visible={role: _visible(scene, role, arrays, settings) for role in ROLES},
        facing={role: _facing(scene, role, stood[role]) for role in ROLES},
        coverage=crew_coverage(values, arrays.weights),
        double_coverage=double_coverage(values, arrays.weights),
        blind_spots=tuple(scene.matchups[i] for i in blind_spots(values, settings)),
        hidden_floor_sqft=hidden_floor(scene, settings),
        boxed_in=boxed_in(scene, settings),
        load=load(scene, values, distance, arrays.weights, settings),
        best_step={role: best_step(scene, role, settings) for role in ROLES},
        complete=complete,
        dropped=dropped,
        settings=settings,
    )


def visible(scene: Scene, role: Role, settings: Settings = SIGHT) -> dict[str, float]:
    """Return the visible share (0 to 1) of each known player from where an official stands.

    >>> from tenbetween.scene import Crew, Official, Player
    >>> players = (Player("a1", "a", (10.0, 20.0)), Player("b1", "b", (20.0, 20.0)))
    >>> crew = Crew(Official((-4.0, 20.0)), Official((30.0, 10.0)))
    >>> visible(Scene(players, (), (10.0, 20.0), crew), "lead")
    {'a1': 1.0, 'b1': 0.0}
    """
    scene = known_part(scene)
    return _visible(scene, role, arrays_of(scene, settings), settings)


def _visible(scene: Scene, role: Role, arrays: Arrays, settings: Settings) -> dict[str, float]:
    at = np.array([scene.crew.of(role).at], dtype=np.float64)
    shares = visible_shares(at, arrays.bodies, settings.radius)[0].tolist()
    return {player.id: share for player, share in zip(scene.players, shares, strict=True)}


def _facing(scene: Scene, role: Role, stood: Stances) -> Facing:
    given = scene.crew.of(role).facing
    return Facing(float(np.degrees(stood.facing[0])) % 360 if given is None else given, given is not None)


def _looks(scene: Scene, role: Role, stood: Stances, arrays: Arrays, settings: Settings) -> list[Look]:
    found = stood.looks
    field = in_field(found.middle[0], found.apart[0], stood.facing[0], settings)
    off = np.degrees(np.abs(wrapped(found.middle[0] - stood.facing[0])))
    at = np.array(scene.crew.of(role).at)
    near = np.linalg.norm(arrays.bodies - at, axis=-1)
    within = next((p.id for p, d in zip(scene.players, near, strict=True) if d <= settings.radius), "")
    looks = []
    for number, one in enumerate(scene.matchups):
        numbers: dict[str, Any] = {
            "openness": float(found.openness[0, number]),
            "clear": float(found.clear[0, number]),
            "closeness": float(found.closeness[0, number]),
            "width": float(found.width[0, number]),
            "in_field": float(field[number]),
            "distance": float(found.distance[0, number]),
            "apart_deg": float(np.degrees(found.apart[0, number])),
        }
        hidden_by = _hidden_by(scene, found.hidden_by[0, number])
        most = max(hidden_by, key=lambda name: hidden_by[name], default="")
        same = scene.player(one.attacker).at == scene.player(one.defender).at
        parts = Parts(**numbers, off_deg=float(off[number]), coincident=same, within=within, hides_most=most)
        looks.append(
            Look(
                official=role,
                matchup=one,
                **numbers,
                gap_deg=float(np.degrees(found.gap[0, number])),
                value=float(stood.values[0, number]),
                screened_by=most or None if numbers["clear"] < settings.screened_below else None,
                hidden_by=hidden_by,
                straight_lined=numbers["openness"] < settings.straight_below,
                cause=cause(parts),
                why=sentence(one.attacker, one.defender, parts),
            )
        )
    return looks


def _hidden_by(scene: Scene, shares: Any) -> dict[str, float]:
    return {p.id: float(share) for p, share in zip(scene.players, shares, strict=True) if share > 1e-9}
