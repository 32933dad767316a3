"""Hard scenes and many scenes: finite, symmetrical, no crash; the edges are what the definitions say."""

from __future__ import annotations

import random
from math import atan2, degrees, isfinite, nan
from typing import Any

import pytest
from msgspec import structs, to_builtins

from sight.scenes import random_scene, scene_of
from tenbetween.errors import TenbetweenError
from tenbetween.scene import Scene, mirrored
from tenbetween.sight import (
    CONTACT,
    Facing,
    Settings,
    Sight,
    best_pair,
    best_step,
    boxed_in,
    hidden_floor,
    see,
)

ONE = (("a1", "b1"),)
FAR = (60.0, 25.0)


def numbers(value: Any) -> list[float]:
    if isinstance(value, dict):
        return [number for one in value.values() for number in numbers(one)]
    if isinstance(value, list):
        return [number for one in value for number in numbers(one)]
    return [value] if isinstance(value, float) else []


def told(sight: Sight) -> list[Any]:
    """Return what must not change when the court is turned over."""
    looks = [
        [look.value, look.openness, look.clear, look.gap_deg, look.distance, look.in_field, look.screened_by]
        for look in sight.looks
    ]
    box, load = sight.boxed_in, sight.load
    shares = [load.by_best_split.lead, load.by_primary_area.lead if load.by_primary_area else None]
    steps = [sight.best_step[role].gain for role in ("lead", "trail")]
    flat = [one for look in looks for one in look] + [
        share for seen in sight.visible.values() for share in seen.values()
    ]
    return [*flat, sight.coverage, sight.double_coverage, box.opposition_deg, box.share_between, box.behind, *shares,
            *steps, sight.blind_spots, box.ok]  # fmt: skip


@pytest.mark.parametrize("seed", range(4))
def test_five_hundred_scenes_are_finite_within_bounds_and_the_same_in_the_mirror(seed: int) -> None:
    dice = random.Random(1000 + seed)
    for number in range(125):
        scene = random_scene(dice)
        sight = see(scene)
        assert all(isfinite(one) for one in numbers(to_builtins(sight)))
        for look in sight.looks:
            parts = (look.openness, look.clear, look.closeness, look.width, look.in_field, look.value)
            assert all(0 <= part <= 1 for part in parts)
            assert look.value == pytest.approx(
                look.openness * look.clear * look.closeness * look.width * look.in_field
            )
        assert all(0 <= share <= 1 for seen in sight.visible.values() for share in seen.values())
        assert all(step.gain >= 0 for step in sight.best_step.values())
        turned = see(mirrored(scene, ends=number % 2 == 0, sides=number % 3 > 0))
        for mine, theirs in zip(told(sight), told(turned), strict=True):
            assert theirs == (pytest.approx(mine, abs=1e-7) if isinstance(mine, float) else mine)


def only(scene: Scene, role: str = "lead") -> Any:
    return next(look for look in see(scene).looks if look.official == role)


def test_a_body_in_line_is_straight_lined_and_said_so() -> None:
    look = only(scene_of({"a1": (10, 20), "b1": (13, 20)}, (-4, 20), FAR, ONE))
    assert (look.openness, look.straight_lined, look.cause) == (0, True, "straight-lined")


def test_a_screener_in_the_gap_is_named() -> None:
    places = {"a1": (20, 23), "b1": (20, 27), "a2": (20, 25), "b2": (50, 5)}
    look = only(scene_of(places, (0, 25), FAR, ONE))
    assert look.clear == pytest.approx(1 - look.hidden_by["a2"])
    assert 0.4 < look.clear < 0.6
    assert look.hidden_by.keys() == {"a2"}
    closer = only(scene_of({**places, "a2": (12, 25)}, (0, 25), FAR, ONE))
    assert closer.screened_by == "a2"
    assert closer.why.startswith("a2 screens a1 and b1: ")
    behind = only(scene_of({**places, "a2": (24, 25)}, (0, 25), FAR, ONE))
    assert (behind.clear, behind.screened_by, behind.hidden_by) == (1, None, {})


def test_two_on_one_spot_and_an_official_within_a_body_have_no_look() -> None:
    together = only(scene_of({"a1": (20, 23), "b1": (20, 23)}, (0, 25), FAR, ONE))
    assert (together.value, together.gap_deg, together.cause) == (0, 0, "no room")
    within = scene_of({"a1": (20, 23), "b1": (20, 27), "a2": (0.5, 25)}, (0, 25), FAR, ONE)
    assert (only(within).value, only(within).screened_by) == (0, "a2")
    assert "where a2 stands" in only(within).why
    assert see(within).visible["lead"] == {"a1": 0, "b1": 0, "a2": 1}
    upon = only(scene_of({"a1": (0, 25), "b1": (4, 27)}, (0, 25), FAR, ONE))
    assert (upon.value, upon.openness) == (0, 0)


def test_an_official_between_the_two_has_no_look_at_both() -> None:
    look = only(scene_of({"a1": (20, 20), "b1": (20, 30)}, (20, 25), FAR, ONE))
    assert (look.value, look.width, look.cause) == (0, 0, "between them")


def test_behind_the_back_and_out_of_the_field_are_told_apart() -> None:
    places = {"a1": (20, 23), "b1": (20, 27)}
    assert only(scene_of(places, (0, 25, 180), FAR, ONE)).cause == "behind the back"
    assert only(scene_of(places, (0, 25, 80), FAR, ONE)).cause == "out of the field of view"
    best = scene_of(places, (0, 25), FAR, ONE)
    # Many facings hold both bodies; of equal ones the eyes are on the ball, which a1 has.
    assert see(best).facing["lead"] == Facing(deg=pytest.approx(degrees(atan2(-2, 20)) % 360), given=False)
    assert see(scene_of(places, (0, 25, 10), FAR, ONE)).facing["lead"].given


def test_of_two_overlapping_bodies_each_hides_what_it_is_before() -> None:
    """Their outlines cross straight ahead: each hides nothing on its own side and all beyond the crossing."""
    from tenbetween.sight import visible

    shares = visible(scene_of({"a1": (10, 24.7), "b1": (10, 25.3)}, (0, 25), FAR, ONE), "lead")
    assert shares["a1"] == pytest.approx(shares["b1"])
    assert 0.6 < shares["a1"] < 0.7


def test_players_without_a_place_are_left_out_with_their_matchups_and_said() -> None:
    whole = {"a1": (20.0, 23.0), "b1": (20.0, 27.0)}
    lost = scene_of({**whole, "a2": (nan, 3.0), "b2": (30.0, 30.0)}, (0, 25), FAR)
    without = scene_of({**whole, "b2": (30.0, 30.0)}, (0, 25), FAR)
    assert see(lost).dropped == ("a2",)
    assert not see(lost).complete
    assert structs.replace(see(lost), dropped=()) == see(without)


def test_an_empty_floor_is_told_too() -> None:
    sight = see(scene_of({}, (0, 25), FAR))
    assert (sight.coverage, sight.looks, sight.boxed_in.ok, sight.hidden_floor_sqft) == (None, (), False, 0)
    assert sight.best_step["lead"].gain == 0


RING = {"a1": (10, 20), "b1": (12, 22), "a2": (18, 30), "b2": (16, 28), "a3": (20, 15), "b3": (18, 17)}


def test_a_diagonal_boxes_in_and_the_same_side_does_not() -> None:
    assert boxed_in(scene_of(RING, (-3, 34), (30, 14))).ok
    same = boxed_in(scene_of(RING, (-3, 44), (24, 46)))
    assert not same.ok
    assert same.opposition_deg is not None
    assert same.opposition_deg < 130


def test_an_official_inside_the_play_has_somebody_behind_him() -> None:
    inside = boxed_in(scene_of(RING, (-3, 34), (16, 22)))
    assert inside.behind_of["lead"] == ()
    assert inside.behind == inside.behind_of["trail"] != ()
    assert not inside.ok


def test_the_floor_behind_one_body_is_hidden_from_both_only_where_shadows_meet() -> None:
    one = {"a1": (40.0, 25.0)}
    apart = hidden_floor(scene_of(one, (0, 25), (80, 25)))
    alike = hidden_floor(scene_of(one, (0, 25), (1, 25)))
    assert apart < 3
    assert alike > 60
    # The shadow of the lead's view: a strip that widens from 1.8 ft to the far end line.
    assert alike == pytest.approx(0.5 * (84**2 - 40.9**2) * 2 * 0.9 / 40, rel=0.1)


def test_load_differs_where_the_taught_area_and_the_better_look_differ() -> None:
    places = {"a1": (8, 40), "b1": (10, 42), "a2": (30, 10), "b2": (32, 14)}
    load = see(scene_of(places, (-3, 36), (44, 12))).load
    assert load.by_primary_area is not None
    assert load.by_primary_area.split == {"lead": (0,), "trail": (1,)}
    assert load.by_primary_area.lead is not None
    assert load.by_primary_area.trail is not None
    assert load.by_primary_area.lead + load.by_primary_area.trail == pytest.approx(1)
    assert see(scene_of(places, (42, 36), (44, 12))).load.by_primary_area is None


def test_a_step_opens_what_was_in_line_and_none_is_taken_onto_a_player() -> None:
    scene = scene_of({"a1": (10, 20), "b1": (13, 20), "a2": (-4, 23)}, (-4, 20), (90, 20), ONE)
    step = best_step(scene, "lead")
    assert step.gain > 0.2
    assert ((step.to[0] + 4) ** 2 + (step.to[1] - 23) ** 2) ** 0.5 >= 2.5 - 1e-9
    assert "a1 and b1 goes from" in step.why
    kept = best_step(scene_of({"a1": (20, 23), "b1": (20, 27)}, (0, 25), FAR, ONE), "lead")
    assert (kept.to, kept.gain) == ((0, 25), 0)


def test_settings_are_saved_beside_the_result_and_matter() -> None:
    scene = scene_of({"a1": (20, 23), "b1": (20, 27)}, (0, 25), FAR, ONE)
    assert see(scene).settings == Settings()
    near = see(scene, CONTACT)
    assert near.settings == CONTACT
    assert near.looks[0].value < see(scene).looks[0].value
    with pytest.raises(TenbetweenError) as fault:
        Settings(radius=-1.0, sharp=130.0, contact_half=3.0)
    assert [one.where for one in fault.value.problems] == ["radius", "usable", "contact_half"]


def test_a_pair_without_places_is_refused_with_directions() -> None:
    with pytest.raises(TenbetweenError) as fault:
        best_pair(scene_of({}, (0, 25), FAR), [], [(1.0, 1.0)])
    assert [one.where for one in fault.value.problems] == ["lead_places", "matchups"]
