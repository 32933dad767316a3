"""The kernel is exact: against a plain second opinion, against rays, and against an independent library."""

from __future__ import annotations

import random
from math import atan2, cos, degrees, hypot, pi, radians, sin

import numpy as np
import pytest
import shapely

from sight import plain
from sight.scenes import PAIRS, random_scene, scene_of
from tenbetween.scene import ROLES
from tenbetween.sight import SIGHT, best_pair, looks_from, see
from tenbetween.sight.bodies import visible_shares
from tenbetween.sight.facing import values_for

R = SIGHT.radius
INDEX = np.array([[2 * n, 2 * n + 1] for n in range(5)])
SEEDS = range(4)


@pytest.mark.parametrize("seed", SEEDS)
def test_every_part_of_every_look_is_what_the_definitions_say(seed: int) -> None:
    """250 scenes of ten looks for each seed: 10,000 looks in all."""
    dice = random.Random(seed)
    worst = []
    for _ in range(250):
        scene = random_scene(dice)
        found = see_looks(scene)
        at_of = {player.id: player.at for player in scene.players}
        for look, facing in found:
            a, d = at_of[look.matchup.attacker], at_of[look.matchup.defender]
            others = [
                at for name, at in at_of.items() if name not in PAIRS[int(look.matchup.attacker[1]) - 1]
            ]
            said = plain.look(scene.crew.of(look.official).at, radians(facing), a, d, others)
            worst.append(max(abs(getattr(look, name) - value) for name, value in said.items()))
    assert len(worst) == 2500
    assert max(worst) < 1e-11


def see_looks(scene):  # type: ignore[no-untyped-def]
    from tenbetween.sight.stance import arrays_of, stance_of
    from tenbetween.sight.view import _looks

    arrays = arrays_of(scene, SIGHT)
    for role in ROLES:
        stood = stance_of(scene.crew.of(role), arrays, SIGHT)
        for look in _looks(scene, role, stood, arrays, SIGHT):
            yield look, degrees(float(stood.facing[0]))


@pytest.mark.parametrize("seed", SEEDS)
def test_visible_shares_are_what_the_definitions_say(seed: int) -> None:
    dice = random.Random(100 + seed)
    for _ in range(100):
        scene = random_scene(dice)
        bodies = [player.at for player in scene.players]
        at = scene.crew.of(dice.choice(ROLES)).at
        found = visible_shares(np.array([at]), np.array(bodies), R)[0]
        said = [plain.share(at, i, bodies, R) for i in range(10)]
        assert np.abs(found - said).max() < 1e-11


def test_visible_shares_agree_with_a_hundred_thousand_rays() -> None:
    dice = random.Random(7)
    turns = (np.arange(100_000) + 0.5) * 2 * pi / 100_000
    for _ in range(8):
        scene = random_scene(dice)
        at, bodies = np.array(scene.crew.lead.at), np.array([player.at for player in scene.players])
        offset = bodies - at
        if np.hypot(*offset.T).min() <= R:
            continue
        along = offset @ np.stack([np.cos(turns), np.sin(turns)])
        across = offset[:, :1] * np.sin(turns) - offset[:, 1:] * np.cos(turns)
        met = (np.abs(across) < R) & (along > 0)
        enters = np.where(met, along - np.sqrt(np.maximum(0, R * R - across**2)), np.inf)
        seen = met & (enters == enters.min(0))
        width = 2 * np.arcsin(R / np.hypot(*offset.T))
        rays = seen.sum(-1) * (2 * pi / 100_000) / width
        found = visible_shares(at[None], bodies, R)[0]
        assert (np.abs(found - rays) * width).max() < 10 * 2 * pi / 100_000


def shadow(at: tuple[float, float], low: float, high: float) -> shapely.Polygon:
    turns = np.linspace(low, high, 40)
    return shapely.Polygon([at, *((at[0] + 300 * cos(t), at[1] + 300 * sin(t)) for t in turns)])


def test_clear_agrees_with_polygons_cut_by_an_independent_library() -> None:
    """The triangle from the official to the line a-d, less every other body and what lies behind it."""
    dice, compared = random.Random(11), 0
    while compared < 60:
        scene = random_scene(dice)
        at = scene.crew.trail.at
        if min(hypot(p.at[0] - at[0], p.at[1] - at[1]) for p in scene.players) <= R + 0.1:
            continue
        bodies = [player.at for player in scene.players]
        found = looks_from(np.array([at]), np.array(bodies), INDEX, SIGHT)
        for m, (i, j) in enumerate(INDEX.tolist()):
            if not radians(3) < found.apart[0, m] < radians(150):
                continue
            said = clear_by_polygons(
                at, bodies[i], bodies[j], [b for k, b in enumerate(bodies) if k not in (i, j)]
            )
            assert found.clear[0, m] == pytest.approx(said, abs=2e-3)
            compared += 1


def clear_by_polygons(at, a, d, others) -> float:  # type: ignore[no-untyped-def]
    triangle = shapely.Polygon([at, a, d])
    low = atan2(a[1] - at[1], a[0] - at[0])
    turn = plain.wrap(atan2(d[1] - at[1], d[0] - at[0]) - low)
    hidden = []
    for body in others:
        near = triangle.intersection(shapely.Point(body).buffer(R, quad_segs=2000))
        if near.area < 1e-12:
            continue
        corners = shapely.get_coordinates(near)
        angles = [plain.wrap(atan2(y - at[1], x - at[0]) - low) * (1 if turn > 0 else -1) for x, y in corners]
        hidden.append(shapely.LineString([(min(angles), 0), (max(angles), 0)]))
    return 1 - (shapely.union_all(hidden).length if hidden else 0.0) / abs(turn)


def test_the_best_facing_is_not_beaten_by_any_of_many() -> None:
    dice = random.Random(3)
    for _ in range(40):
        scene = scene_without_facing(dice)
        looks = looks_from(
            np.array([scene.crew.lead.at]), np.array([p.at for p in scene.players]), INDEX, SIGHT
        )
        facings = np.linspace(-pi, pi, 3601)[None]
        tried = values_for(looks.plain, looks.middle, looks.apart, facings, SIGHT).sum(-1).max()
        taken = sum(look.value for look in see(scene).looks if look.official == "lead")
        assert taken >= tried - 1e-9


def scene_without_facing(dice: random.Random):  # type: ignore[no-untyped-def]
    scene = random_scene(dice)
    places = {player.id: player.at for player in scene.players}
    return scene_of(places, scene.crew.lead.at, scene.crew.trail.at)


@pytest.mark.parametrize("boxed", [False, True])
def test_the_best_pair_is_the_one_found_by_trying_every_pair(boxed: bool) -> None:
    dice = random.Random(5)
    for _ in range(6):
        scene = scene_without_facing(dice)
        leads = [(dice.uniform(-4, 6), dice.uniform(0, 50)) for _ in range(5)]
        trails = [(dice.uniform(25, 45), dice.uniform(0, 50)) for _ in range(5)]
        found = best_pair(scene, leads, trails, boxed=boxed)
        tried = [total for a in leads for b in trails if (total := by_hand(scene, a, b, boxed)) is not None]
        if not tried:
            assert found is None
            continue
        assert found is not None
        assert found.coverage == pytest.approx(max(tried), abs=1e-9)
        assert set(found.lead_has) | set(found.trail_has) == set(scene.matchups)


def by_hand(scene, lead, trail, boxed):  # type: ignore[no-untyped-def]
    """Return the most two places hold over every pair of facings worth trying, None when not boxed in."""
    from tenbetween.sight import boxed_in
    from tenbetween.sight.facing import facings_worth_trying

    here = scene_of({p.id: p.at for p in scene.players}, lead, trail)
    if boxed and not boxed_in(here).ok:
        return None
    both = []
    for at in (lead, trail):
        looks = looks_from(np.array([at]), np.array([p.at for p in scene.players]), INDEX, SIGHT)
        tried = facings_worth_trying(looks.middle, looks.apart, SIGHT)
        both.append(values_for(looks.plain, looks.middle, looks.apart, tried, SIGHT)[0])
    return float(np.maximum(both[0][:, None], both[1][None]).mean(-1).max())
