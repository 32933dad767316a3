"""What a step would change, and the pair of places that holds most: plain arithmetic over many places.

Neither is a place to teach: the highest number flips within a step and knows nothing of lines, getting back, or
the partner's eyes. Shown to be talked about, beside boxing in.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec import Struct

from tenbetween.errors import Problem, TenbetweenError
from tenbetween.scene import Crew, Matchup, Official, Scene, known_part
from tenbetween.sight.bearings import Floats
from tenbetween.sight.boxing import JUST, anyone_behind, between, opposition
from tenbetween.sight.crew_sight import crew_coverage
from tenbetween.sight.facing import facings_worth_trying, values_for
from tenbetween.sight.looks import looks_from
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

    >>> from tenbetween.scene import Player
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


# -- the best pair ----------


class BestPair(Struct, frozen=True):
    """Two places and facings that together hold most of the matchups, and who then has which."""

    crew: Crew
    coverage: float
    lead_has: tuple[Matchup, ...]
    trail_has: tuple[Matchup, ...]


def best_pair(
    scene: Scene,
    lead_places: Sequence[PointFt],
    trail_places: Sequence[PointFt],
    settings: Settings = SIGHT,
    *,
    boxed: bool = True,
) -> BestPair | None:
    """Return the exact best pair among places (ft) over every facing; None when no pair boxes the players in.

    The sum of the better of two looks is the highest, over all ways to divide the matchups, of what the lead
    holds of his part and the trail of his, so that 2^M divisions stand for all pairs of places and facings.

    >>> from tenbetween.scene import Player
    >>> players = (Player("a1", "a", (15.0, 20.0)), Player("b1", "b", (15.0, 24.0)))
    >>> crew = Crew(Official((0.0, 35.0)), Official((30.0, 15.0)))
    >>> scene = Scene(players, (Matchup("a1", "b1"),), (15.0, 20.0), crew)
    >>> best_pair(scene, [(0.0, 22.0)], [(30.0, 22.0), (15.0, 40.0)]).crew.trail.at
    (30.0, 22.0)

    Raises:
        TenbetweenError: no places, no matchups, or more than ten.
    """
    scene = known_part(scene)
    arrays = arrays_of(scene, settings)
    _check_pair(lead_places, trail_places, len(arrays.weights))
    lead, trail = (np.array(places, dtype=np.float64) for places in (lead_places, trail_places))
    count = len(arrays.weights)
    chosen = (np.arange(2**count)[:, None] >> np.arange(count) & 1).astype(np.float64)
    held_lead, facing_lead = _held_by_split(lead, chosen, arrays, settings)
    held_trail, facing_trail = _held_by_split(trail, 1 - chosen, arrays, settings)
    allowed = _boxing(lead, trail, arrays.bodies, settings) if boxed else None
    found = _highest(held_lead, held_trail, allowed)
    if found is None:
        return None
    i, j, split = found
    crew = Crew(
        Official(tuple(lead[i].tolist()), float(np.degrees(facing_lead[i, split])) % 360),
        Official(tuple(trail[j].tolist()), float(np.degrees(facing_trail[j, split])) % 360),
    )
    total = float(held_lead[i, split] + held_trail[j, split]) / float(arrays.weights.sum())
    has = [
        tuple(m for m, mine in zip(scene.matchups, row > 0, strict=True) if mine)
        for row in _both(chosen[split])
    ]
    return BestPair(crew, total, has[0], has[1])


def _both(row: Floats) -> tuple[Floats, Floats]:
    return row, 1 - row


def _check_pair(lead: Sequence[PointFt], trail: Sequence[PointFt], matchups: int) -> None:
    wrong = [
        Problem(name, "no place", "at least one", "say where this official may stand")
        for name, places in (("lead_places", lead), ("trail_places", trail))
        if not len(places)
    ]
    if not 1 <= matchups <= 10:
        wrong.append(Problem("matchups", f"{matchups}", "one to ten", "name the matchups to divide"))
    if wrong:
        raise TenbetweenError(wrong)


def _held_by_split(
    places: Floats, chosen: Floats, arrays: Arrays, settings: Settings
) -> tuple[Floats, Floats]:
    """Return for each place and division the most it holds over all facings, and the facing; (P, 2^M)."""
    looks = looks_from(places, arrays.bodies, arrays.pairs, settings)
    tried = facings_worth_trying(looks, settings)
    held = (values_for(looks, tried, settings) * arrays.weights) @ chosen.T
    best = held.argmax(1)
    return held.max(1), np.take_along_axis(tried, best, axis=1)


def _boxing(
    lead: Floats, trail: Floats, bodies: Floats, settings: Settings
) -> np.ndarray[tuple[int, int], np.dtype[np.bool_]]:
    """Return which pairs have the players between them, by all three parts."""
    free = ~anyone_behind(lead, bodies)[:, None] & ~anyone_behind(trail, bodies)[None, :]
    wide = opposition(lead, trail, bodies) >= settings.opposition_least - JUST
    share = between(lead, trail, bodies) >= settings.between_least - JUST
    return np.asarray(free & wide & share, dtype=bool)


def _highest(
    lead: Floats, trail: Floats, allowed: np.ndarray[tuple[int, int], np.dtype[np.bool_]] | None
) -> tuple[int, int, int] | None:
    """Return lead place, trail place and division with the highest sum; None when no pair is allowed."""
    if allowed is None:
        split = int((lead.max(0) + trail.max(0)).argmax())
        return int(lead[:, split].argmax()), int(trail[:, split].argmax()), split
    best, found = -1.0, None
    for split in range(lead.shape[1]):
        sums = np.where(allowed, lead[:, None, split] + trail[None, :, split], -1.0)
        spot = int(sums.argmax())
        if sums.flat[spot] > best:
            best, found = float(sums.flat[spot]), (*divmod(spot, sums.shape[1]), split)
    return found


def coverage_of(scene: Scene, settings: Settings = SIGHT) -> float | None:
    """Return the crew's coverage of a scene as it stands; None without matchups.

    >>> crew = Crew(Official((0.0, 35.0)), Official((30.0, 15.0)))
    >>> coverage_of(Scene((), (), (20.0, 20.0), crew)) is None
    True
    """
    scene = known_part(scene)
    arrays = arrays_of(scene, settings)
    return crew_coverage(crew_values(scene, arrays, settings), arrays.weights)
