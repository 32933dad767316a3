"""What a step would change: plain arithmetic over the places one step away.

It is no place to teach: the highest number flips within a step and knows nothing of lines, getting back, or the
partner's eyes. Shown to be talked about, beside boxing in.
"""

from __future__ import annotations

import numpy as np
from msgspec import Struct

from tenbetween.scene import Scene, known_part
from tenbetween.sight.bearings import Floats
from tenbetween.sight.boxing import JUST
from tenbetween.sight.crew_sight import crew_coverage
from tenbetween.sight.settings import SIGHT, Settings
from tenbetween.sight.stance import Arrays, arrays_of, crew_values, stance_of, stances
from tenbetween.situation import PointFt, Role, other_role
from tenbetween.units import FOOT

RINGS, TURNS = 4, 16
NOTICED = 0.005


class Step(Struct, frozen=True):
    """The step of one official that adds most to the crew's coverage, his partner standing still."""

    to: PointFt
    """Where he stands already when no step adds anything."""
    gain: float
    why: str


def best_step(scene: Scene, role: Role, settings: Settings = SIGHT) -> Step:
    """Return the step of up to 4 ft (a setting) that adds most to coverage, keeping a facing that was given.

    Tried: four lengths in sixteen directions, not onto a player, not farther than 5 ft off the floor. Of equal
    steps the shortest.

    >>> from tenbetween.scene import Crew, Matchup, Official, Player
    >>> players = (Player("a1", "a", (10.0, 20.0)), Player("b1", "b", (13.0, 20.0)))
    >>> crew = Crew(Official((-4.0, 20.0)), Official((70.0, 20.0)))
    >>> best_step(Scene(players, (Matchup("a1", "b1"),), (10.0, 20.0), crew), "lead").gain > 0.3
    True
    """
    scene = known_part(scene)
    arrays = arrays_of(scene, settings)
    at = np.array(scene.crew.of(role).at, dtype=np.float64)
    places = np.concatenate([at[None], _steps_from(at, scene, arrays, settings)])
    if not len(arrays.weights):
        return Step(scene.crew.of(role).at, 0.0, "No matchup is named: there is nothing to compare.")
    mine = stances(places, scene.crew.of(role).facing, arrays, settings).values
    partner = stance_of(scene.crew.of(other_role(role)), arrays, settings).values
    held = np.maximum(mine, partner)
    total = (held * arrays.weights).sum(-1) / arrays.weights.sum()
    long = np.hypot(*(places - at).T).round(6)
    order = (held / (np.arange(held.shape[1]) + np.sqrt(2))).sum(-1).round(9)
    best = int(np.lexsort((-order, long, -total.round(9)))[0])
    gain = max(0.0, float(total[best] - total[0]))
    to = (float(places[best, 0]), float(places[best, 1]))
    return Step(to, gain, _why_step(scene, at, places[best], held[0], held[best], arrays.weights, settings))


def _steps_from(at: Floats, scene: Scene, arrays: Arrays, settings: Settings) -> Floats:
    """Return the places a step may lead to."""
    turn = np.arange(TURNS) * 2 * np.pi / TURNS
    unit = np.stack([np.cos(turn), np.sin(turn)], -1)
    lengths = settings.step * (np.arange(RINGS) + 1) / RINGS
    places = at + (lengths[:, None, None] * unit).reshape(-1, 2)
    far = np.array([scene.court.length, scene.court.width]) / FOOT + settings.border
    ok = ((places >= -settings.border - JUST) & (places <= far + JUST)).all(-1)
    if len(arrays.bodies):
        room = np.linalg.norm(places[:, None, :] - arrays.bodies, axis=-1).min(-1)
        ok &= room >= settings.elbow_room - JUST
    return np.asarray(places[ok], dtype=np.float64)


def _why_step(
    scene: Scene, at: Floats, to: Floats, before: Floats, after: Floats, weights: Floats, settings: Settings
) -> str:
    gained = (after - before) * weights
    if gained.sum() / weights.sum() < NOTICED:
        return f"No step of up to {settings.step:g} ft shows the crew noticeably more."
    most = int(gained.argmax())
    one = scene.matchups[most]
    step = float(np.hypot(*(to - at)))
    where = _towards(scene, at, to)
    looks = f"the crew's best look at {one.attacker} and {one.defender} goes from {before[most]:.2f} to {after[most]:.2f}"
    return f"{step:g} ft {where}: {looks}." if where else f"Standing still: {looks}."


def _towards(scene: Scene, at: Floats, to: Floats) -> str:
    """Return a move in words of the floor; a small part of it is not said."""
    x, y = to - at
    step = float(np.hypot(x, y))
    along = "the division line" if (scene.court.length / FOOT / 2 - at[0]) * x > 0 else "the end line"
    across = "the table side" if y < 0 else "the opposite side"
    parts = [name for name, part in ((along, x), (across, y)) if abs(part) > 0.3 * step]
    return "towards " + " and ".join(parts) if parts else ""


def coverage_of(scene: Scene, settings: Settings = SIGHT) -> float | None:
    """Return the crew's coverage of a scene as it stands; None without matchups.

    >>> from tenbetween.scene import Crew, Official
    >>> crew = Crew(Official((0.0, 35.0)), Official((30.0, 15.0)))
    >>> coverage_of(Scene((), (), (20.0, 20.0), crew)) is None
    True
    """
    scene = known_part(scene)
    arrays = arrays_of(scene, settings)
    return crew_coverage(crew_values(scene, arrays, settings), arrays.weights)
