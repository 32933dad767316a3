"""Maps of what each place sees: the sparse way, the compiled way and 32 bits tell what one look at a time tells."""

from __future__ import annotations

import random
import sys
from math import hypot, radians

import numpy as np
import pytest
from hypothesis import given
from hypothesis import settings as runs
from hypothesis import strategies as st

from sight import plain
from sight.scenes import random_scene, scene_of
from tenbetween.court import court_of
from tenbetween.court.markings import Floor
from tenbetween.errors import TenbetweenError
from tenbetween.scene import Scene, mirrored
from tenbetween.sight import (
    CONTACT,
    SIGHT,
    Settings,
    crew_coverage,
    floor_shading,
    hidden_floor,
    look_map,
    looks_from,
    partner_looks,
    seen_most,
)
from tenbetween.sight import fast as compiled
from tenbetween.sight.many_looks import plain_from, plain_on_grid
from tenbetween.sight.maps import cells
from tenbetween.sight.shading import behind_a_body
from tenbetween.sight.stance import arrays_of, crew_values, stances
from tenbetween.situation import PointFt
from tenbetween.units import um

PAIRS = np.array([[2 * n, 2 * n + 1] for n in range(5)])
ODD = Settings(radius=1.6, near_none=0.5, near_full=1.0, wide_full=150.0, wide_none=230.0)


def hard_scenes() -> list[Scene]:
    """Return random scenes, then bodies in one place, screeners in every gap, a heap, a row, and few players."""
    dice = random.Random(21)
    scenes = [random_scene(dice) for _ in range(4)]
    gap = {"a1": (20.0, 20.0), "b1": (20.0, 26.0), "a2": (20.2, 23.0), "b2": (19.0, 22.0), "a3": (20.9, 24.4)}
    heap = {f"{team}{n}": (20 + n / 3, 25 + (team == "b") / 4) for n in range(1, 6) for team in "ab"}
    row = {f"{team}{n}": (10.0 + 4 * n + 2 * (team == "b"), 25.0) for n in range(1, 6) for team in "ab"}
    one_place = {"a1": (20.0, 20.0), "b1": (20.0, 20.0), "a2": (30.0, 20.0), "b2": (33.0, 20.0)}
    return [*scenes, *(scene_of(places, (0, 25), (40, 25)) for places in (gap, heap, row, one_place))]


SCENES = hard_scenes()
NAMES = ("0", "1", "2", "3", "gap", "heap", "row", "one place")


def one_by_one(scene: Scene, xs: np.ndarray, ys: np.ndarray, settings: Settings = SIGHT) -> np.ndarray:
    """Return the looks from a grid by the kernel that leaves nothing out, (M, X, Y)."""
    arrays = arrays_of(scene, settings)
    places = np.stack(np.meshgrid(xs, ys, indexing="ij"), -1).reshape(-1, 2)
    found = looks_from(places, arrays.bodies, arrays.pairs, settings).plain
    return found.T.reshape(-1, xs.size, ys.size)


@pytest.mark.parametrize("scene", SCENES, ids=NAMES)
@pytest.mark.parametrize("settings", [SIGHT, CONTACT, ODD], ids=["sight", "contact", "odd"])
def test_a_map_is_what_one_look_at_a_time_is(scene: Scene, settings: Settings) -> None:
    """Over 28,000 looks of the whole floor for each scene of five matchups, inside and outside the play."""
    found = look_map(scene, settings=settings)
    assert found.looks.shape == (len(scene.matchups), 94, 60)
    said = one_by_one(scene, found.xs, found.ys, settings)
    assert np.abs(found.looks - said).max(initial=0) <= 4e-12
    small = look_map(scene, settings=settings, dtype=np.float32)
    assert small.looks.dtype == np.float32
    assert np.abs(small.looks - said).max(initial=0) <= 3e-5
    sooner = look_map(scene, settings=settings, kernel="fast")
    assert (found.kernel, sooner.kernel) == ("numpy", "fast")
    assert np.abs(sooner.looks - found.looks).max(initial=0) <= 4e-11


def test_ten_thousand_looks_of_a_map_are_what_the_definitions_say() -> None:
    dice, worst, count = random.Random(31), 0.0, 0
    while count < 10_000:
        scene = random_scene(dice)
        found = look_map(scene, step=dice.choice((3.0, 5.0)))
        at_of = {player.id: player.at for player in scene.players}
        for _ in range(100):
            m, i, j = dice.randrange(5), dice.randrange(len(found.xs)), dice.randrange(len(found.ys))
            two = scene.matchups[m].attacker, scene.matchups[m].defender
            others = [at for name, at in at_of.items() if name not in two]
            said = plain.look(
                (float(found.xs[i]), float(found.ys[j])), 0.0, *(at_of[one] for one in two), others
            )
            field = said["in_field"]
            # The field of view is left out of a map: look straight at the two instead.
            if field == 0:
                continue
            worst = max(worst, abs(float(found.looks[m, i, j]) - said["value"] / field))
            count += 1
    assert worst <= 1e-11


RAYS = 100_000


def test_three_hundred_looks_agree_with_a_hundred_thousand_rays_each() -> None:
    """A ray in the middle of each of 100,000 parts of the window; what it meets first decides."""
    dice, compared = random.Random(41), 0
    while compared < 300:
        scene = random_scene(dice)
        arrays = arrays_of(scene, SIGHT)
        at = np.array([dice.uniform(-5, 89), dice.uniform(-5, 55)])
        found = plain_from(at[None], arrays.bodies, arrays.pairs, SIGHT)[:, 0]
        whole = looks_from(at[None], arrays.bodies, arrays.pairs, SIGHT)
        if np.hypot(*(arrays.bodies - at).T).min() <= SIGHT.radius:
            assert (found == 0).all()
            continue
        for m, (a, d) in enumerate(arrays.pairs.tolist()):
            if found[m] == 0 and whole.width[0, m] == 0:
                continue
            clear = clear_by_rays(at, arrays.bodies, a, d)
            assert whole.clear[0, m] == pytest.approx(clear, abs=2e-5)
            rest = whole.openness[0, m] * whole.closeness[0, m] * whole.width[0, m]
            assert found[m] == pytest.approx(clear * rest, abs=2e-5)
            compared += 1


def clear_by_rays(at: np.ndarray, bodies: np.ndarray, a: int, d: int) -> float:
    offset = bodies - at
    low = np.arctan2(offset[a, 1], offset[a, 0])
    apart = plain.wrap(float(np.arctan2(offset[d, 1], offset[d, 0]) - low))
    turns = low + (np.arange(RAYS) + 0.5) / RAYS * apart
    ray = np.stack([np.cos(turns), np.sin(turns)])
    along_line = offset[d] - offset[a]
    wall = (along_line[0] * offset[a, 1] - along_line[1] * offset[a, 0]) / (
        along_line[0] * ray[1] - along_line[1] * ray[0]
    )
    free = np.ones(RAYS, dtype=bool)
    for k in set(range(len(bodies))) - {a, d}:
        along = offset[k] @ ray
        across = offset[k, 0] * ray[1] - offset[k, 1] * ray[0]
        met = (np.abs(across) < SIGHT.radius) & (along > 0)
        enters = along - np.sqrt(np.maximum(0, SIGHT.radius**2 - across**2))
        free &= ~(met & (enters < wall))
    return float(free.mean())


feet = st.floats(-5, 60, allow_nan=False, width=32).map(float)
points = st.tuples(feet, feet)


@runs(max_examples=150, deadline=None)
@given(st.lists(points, min_size=4, max_size=10), points)
def test_any_bodies_from_any_place_are_seen_alike(bodies: list[PointFt], at: PointFt) -> None:
    some = np.array(bodies)
    pairs = PAIRS[: len(bodies) // 2]
    said = looks_from(np.array([at]), some, pairs, SIGHT).plain[0]
    found = plain_from(np.array([at]), some, pairs, SIGHT)[:, 0]
    lines = np.array([at[0]]), np.array([at[1]])
    sooner = compiled.plain_on_grid(*lines, some, pairs, SIGHT)[:, 0, 0]
    # On the edge of a body, or on the line of two, rounding decides which side of a jump the place is on.
    near = np.abs(np.hypot(*(some - at).T) - SIGHT.radius).min()
    if near > 1e-6 and not any(on_line(at, bodies[a], bodies[d]) for a, d in pairs.tolist()):
        assert found == pytest.approx(said, abs=1e-9)
        assert sooner == pytest.approx(said, abs=1e-9)
    assert ((found >= 0) & (found <= 1) & (sooner >= 0) & (sooner <= 1)).all()


def on_line(at: PointFt, a: PointFt, d: PointFt) -> bool:
    cross = (a[0] - at[0]) * (d[1] - at[1]) - (a[1] - at[1]) * (d[0] - at[0])
    return abs(cross) < 1e-6 or hypot(a[0] - d[0], a[1] - d[1]) < 1e-6


def test_a_map_covers_the_floor_and_its_border_in_equal_cells() -> None:
    scene = Scene((), (), (20.0, 20.0), SCENES[0].crew, court_of("us-hs", Floor(um("94 ft"), um("50 ft"))))
    found = look_map(scene)
    assert (found.xs.size * found.ys.size, found.looks.shape) == (6240, (0, 104, 60))
    assert (found.xs[0], found.xs[-1], found.ys[0], found.ys[-1]) == (-4.5, 98.5, -4.5, 54.5)
    assert look_map(scene, step=2.0).xs.size == 52
    wide, _ = cells(court_of("fiba"), 1.0, SIGHT.border)
    assert np.diff(wide) == pytest.approx(np.full(101, 101.8635170 / 102), abs=1e-4)
    assert np.isnan(seen_most(found)).all()


def test_a_map_is_the_same_in_the_mirror() -> None:
    for scene in SCENES[:3]:
        found = look_map(scene).looks
        assert look_map(mirrored(scene, ends=True)).looks[:, ::-1, :] == pytest.approx(found, abs=1e-9)
        assert look_map(mirrored(scene, sides=True)).looks[:, :, ::-1] == pytest.approx(found, abs=1e-9)


@pytest.mark.parametrize("facing", [0.0, 140.0, 275.5])
def test_a_facing_puts_the_field_of_view_into_the_map(facing: float) -> None:
    scene = SCENES[1]
    found = look_map(scene, step=2.0, facing=facing)
    places = np.stack(np.meshgrid(found.xs, found.ys, indexing="ij"), -1).reshape(-1, 2)
    said = stances(places, facing, arrays_of(scene, SIGHT), SIGHT).values
    assert pytest.approx(said, abs=4e-12) == found.looks.reshape(5, -1).T
    assert (found.looks <= look_map(scene, step=2.0).looks).all()


def test_seen_most_is_the_coverage_of_one_or_with_a_partner_who_stands_still() -> None:
    scene = SCENES[2]
    found = look_map(scene)
    partner = partner_looks(scene, "lead")
    alone, together = seen_most(found), seen_most(found, partner)
    blank = np.isnan(alone)
    assert (blank == found.near).all()
    assert 0 < blank.sum() < 10 * 16
    for i, j in [(40, 3), (12, 50), (70, 30)]:
        mine = found.looks[:, i, j]
        assert alone[i, j] == pytest.approx(crew_coverage(np.stack([mine, 0 * mine]), found.weights))
        assert together[i, j] == pytest.approx(crew_coverage(np.stack([mine, partner]), found.weights))
    assert partner == pytest.approx(crew_values(scene, arrays_of(scene, SIGHT), SIGHT)[0])


def test_what_was_found_cannot_be_written_to() -> None:
    with pytest.raises(ValueError, match="read-only"):
        look_map(SCENES[0]).looks[0, 0, 0] = 1
    with pytest.raises(ValueError, match="read-only"):
        floor_shading(SCENES[0]).seen[0, 0] = 1


def test_without_numba_the_plain_way_is_taken_or_the_extra_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    import tenbetween.sight as room

    monkeypatch.delattr(room, "fast")
    monkeypatch.setitem(sys.modules, "tenbetween.sight.fast", None)
    assert look_map(SCENES[0], kernel="auto").kernel == "numpy"
    with pytest.raises(TenbetweenError) as fault:
        look_map(SCENES[0], kernel="fast")
    assert "numba" in fault.value.problems[0].do


@pytest.mark.parametrize("step", [0.0, -1.0, float("nan"), 1e9])
def test_a_step_that_is_no_length_is_refused(step: float) -> None:
    with pytest.raises(TenbetweenError) as fault:
        look_map(SCENES[0], step=step)
    assert fault.value.problems[0].where == "step"


def test_more_bodies_than_the_compiled_loops_can_count_are_refused() -> None:
    many = np.random.default_rng(1).uniform(0, 50, (61, 2))
    with pytest.raises(ValueError, match="61 bodies"):
        compiled.plain_on_grid(np.zeros(1), np.zeros(1), many, PAIRS, SIGHT)
    assert plain_on_grid(np.zeros(1), np.zeros(1), many, PAIRS, SIGHT).shape == (5, 1, 1)


# -- the floor ----------


def test_each_cell_of_the_floor_is_seen_by_whoever_no_body_stands_before() -> None:
    """Against the distance of each body from the line to the cell, found another way."""
    import shapely

    for scene in (SCENES[0], SCENES[5]):
        found = floor_shading(scene, cell=2.5)
        bodies = shapely.points([player.at for player in scene.players])
        for i, x in enumerate(found.xs):
            for j, y in enumerate(found.ys):
                here = shapely.Point(x, y)
                under = shapely.distance(bodies, here).min() <= SIGHT.radius
                lines = [shapely.LineString([scene.crew.of(role).at, (x, y)]) for role in ("lead", "trail")]
                free = [bool(shapely.distance(bodies, line).min() >= SIGHT.radius) for line in lines]
                assert found.under[i, j] == under
                assert found.seen[i, j] == (0 if under else free[0] + 2 * free[1])


def test_with_the_field_of_view_only_what_lies_before_an_official_is_seen() -> None:
    scene = scene_of({"a1": (40.0, 25.0)}, (0, 25, 0), (42, 0, 90))
    everywhere, before = floor_shading(scene), floor_shading(scene, field_of_view=True)
    assert ((before.seen & ~everywhere.seen) == 0).all()
    x, y = np.meshgrid(before.xs, before.ys, indexing="ij")
    off = np.abs(np.arctan2(y - 25, x))
    assert (before.seen[(off > radians(60.01))] & 1 == 0).all()
    assert (before.seen[off < radians(59.99)] & 1 == everywhere.seen[off < radians(59.99)] & 1).all()
    assert before.hidden_sqft > everywhere.hidden_sqft == hidden_floor(scene)


def test_an_official_within_a_body_sees_no_floor() -> None:
    scene = scene_of({"a1": (20.0, 25.0)}, (20, 25.5), (60, 25))
    found = floor_shading(scene)
    assert set(np.unique(found.seen)) == {0, 2}
    assert behind_a_body((20.0, 25.5), found.xs, found.ys, np.array([[20.0, 25.0]]), 0.9).all()
