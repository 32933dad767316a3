"""The pair with the most, found by dividing the matchups, is what trying every pair finds; boxing in alike."""

from __future__ import annotations

import random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import settings as runs
from hypothesis import strategies as st
from msgspec import structs

from sight.scenes import random_scene, scene_of
from tenbetween.errors import TenbetweenError
from tenbetween.scene import Scene
from tenbetween.sight import SIGHT, best_pair, best_split, boxed_in, coverage_of, looks_from, see, zone_places
from tenbetween.sight.boxing import _behind, allowed_pairs, anyone_behind
from tenbetween.sight.facing import facings_worth_trying, values_for
from tenbetween.sight.stance import arrays_of

share = st.floats(0, 1, allow_nan=False)


def looks(count: int) -> st.SearchStrategy[np.ndarray]:
    rows = st.lists(st.lists(share, min_size=count, max_size=count), min_size=1, max_size=6)
    return rows.map(lambda some: np.array(some).T)


@st.composite
def both_looks(draw: st.DrawFn) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    count = draw(st.integers(1, 6))
    weights = draw(st.lists(st.floats(0.5, 3), min_size=count, max_size=count))
    return draw(looks(count)), draw(looks(count)), np.array(weights)


@runs(max_examples=200, deadline=None)
@given(both_looks())
def test_dividing_the_matchups_is_trying_every_pair(some: tuple[np.ndarray, np.ndarray, np.ndarray]) -> None:
    lead, trail, weights = some
    every = np.maximum(lead[:, :, None], trail[:, None, :])
    total = (every * weights[:, None, None]).sum(0) / weights.sum()
    found = best_split(lead, trail, weights)
    assert found.coverage == pytest.approx(total.max(), abs=1e-12)
    assert total[found.lead, found.trail] == pytest.approx(total.max(), abs=1e-12)
    has = [m in found.lead_has for m in range(len(weights))]
    held = np.where(has, lead[:, found.lead], trail[:, found.trail])
    assert (held * weights).sum() / weights.sum() == pytest.approx(total.max(), abs=1e-12)


def test_all_places_of_the_floor_with_themselves() -> None:
    """One array for both is found by a shorter way: every one of 160,000 pairs says the same."""
    dice = np.random.default_rng(3)
    some, weights = dice.random((5, 400)) ** 4, np.array([3.0, 2.0, 1.5, 1.0, 1.0])
    total = (np.maximum(some[:, :, None], some[:, None, :]) * weights[:, None, None]).sum(0) / weights.sum()
    assert best_split(some, some, weights).coverage == pytest.approx(total.max(), abs=1e-12)
    assert best_split(some, some.copy(), weights).coverage == pytest.approx(total.max(), abs=1e-12)


@pytest.mark.parametrize("boxed", [False, True])
def test_the_best_pair_is_not_beaten_by_any_pair_of_places_and_facings(boxed: bool) -> None:
    dice = random.Random(6)
    for _ in range(5):
        scene = random_scene(dice)
        leads, trails = (
            [(dice.uniform(*x), dice.uniform(0, 50)) for _ in range(12)] for x in ((-4, 6), (25, 45))
        )
        total = every_pair(scene, leads, trails)
        if boxed:
            total[~boxes(scene, leads, trails)] = -1
        found = best_pair(scene, leads, trails, boxed=boxed)
        assert (found is None) == (total.max() < 0)
        if found is not None:
            assert found.coverage == pytest.approx(total.max(), abs=1e-12)
            i, j = leads.index(found.crew.lead.at), trails.index(found.crew.trail.at)
            assert total[i, j] == pytest.approx(total.max(), abs=1e-12)
            assert coverage_of(structs.replace(scene, crew=found.crew)) == pytest.approx(
                found.coverage, abs=1e-9
            )
            assert set(found.lead_has) | set(found.trail_has) == set(scene.matchups)
            assert not set(found.lead_has) & set(found.trail_has)


def every_pair(scene: Scene, leads: list, trails: list) -> np.ndarray:  # type: ignore[type-arg]
    """Return the most each pair of places holds over every pair of facings worth trying."""
    arrays, held = arrays_of(scene, SIGHT), []
    for places in (leads, trails):
        found = looks_from(np.array(places), arrays.bodies, arrays.pairs, SIGHT)
        tried = facings_worth_trying(found.middle, found.apart, SIGHT)
        held.append(values_for(found.plain, found.middle, found.apart, tried, SIGHT))
    both = np.maximum(held[0][:, None, :, None], held[1][None, :, None, :])
    return np.asarray((both * arrays.weights).sum(-1).max((2, 3)) / arrays.weights.sum())


def boxes(scene: Scene, leads: list, trails: list) -> np.ndarray:  # type: ignore[type-arg]
    places = {player.id: player.at for player in scene.players}
    return np.array([[boxed_in(scene_of(places, a, b)).ok for b in trails] for a in leads])


def test_pairs_that_box_in_are_those_that_box_in_one_at_a_time() -> None:
    dice = random.Random(8)
    for _ in range(8):
        scene = random_scene(dice)
        leads, trails = (
            [(dice.uniform(-5, 60), dice.uniform(-5, 55)) for _ in range(12)] + [(20.0, 25.0)] for _ in "ab"
        )
        bodies = arrays_of(scene, SIGHT).bodies
        found = allowed_pairs(np.array(leads), np.array(trails), bodies)
        assert (found == boxes(scene, leads, trails)).all()
    assert not allowed_pairs(np.zeros((1, 2)), np.ones((1, 2)), np.zeros((0, 2))).any()


whole = st.integers(-4, 4).map(float)


@runs(max_examples=300, deadline=None)
@given(st.lists(st.tuples(whole, whole), min_size=1, max_size=8), st.tuples(whole, whole))
def test_somebody_is_behind_many_places_as_behind_one(
    bodies: list[tuple[float, float]], at: tuple[float, float]
) -> None:
    """Whole feet: bodies in one place, on one line, exactly opposite, and in the very place of the official."""
    some, place = np.array(bodies), np.array(at)
    assert anyone_behind(place[None], some)[0] == bool(_behind(some - place))


def test_places_of_a_zone_lie_in_it_at_either_end_and_never_on_a_player() -> None:
    places = {"a1": (3.0, 25.0), "b1": (20.0, 25.0)}
    left = scene_of(places, (0, 20), (30, 20))
    right = scene_of(places, (84, 20), (50, 20))
    zones = (left, "lead", -5, 8), (left, "trail", 8, 42), (right, "lead", 76, 89), (right, "trail", 42, 76)
    for scene, role, low, high in zones:
        found = zone_places(scene, role)  # type: ignore[arg-type]
        assert all(low <= x <= high and -5 <= y <= 55 for x, y in found)
        assert all(
            min(((x - a) ** 2 + (y - b) ** 2) ** 0.5 for a, b in places.values()) >= 2.5 for x, y in found
        )
    assert {round(84 - x, 9) for x, _ in zone_places(right, "lead")} == {
        x for x, _ in zone_places(left, "lead")
    }
    assert best_pair(left, zone_places(left, "lead"), zone_places(left, "trail"), boxed=False) is not None


def test_no_places_or_no_matchups_are_refused_together() -> None:
    with pytest.raises(TenbetweenError) as fault:
        best_split(np.zeros((0, 0)), np.zeros((0, 3)), np.zeros(0))
    assert [one.where for one in fault.value.problems] == ["lead_places", "matchups"]


def test_a_step_is_worth_what_seeing_again_from_there_says() -> None:
    dice = random.Random(9)
    for _ in range(10):
        scene = random_scene(dice)
        step = see(scene).best_step["trail"]
        there = structs.replace(scene.crew.trail, at=step.to)
        again = structs.replace(scene, crew=structs.replace(scene.crew, trail=there))
        before, after = coverage_of(scene), coverage_of(again)
        assert before is not None
        assert after == pytest.approx(before + step.gain, abs=1e-9)
