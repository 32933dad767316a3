"""Turning the court, twice, and everything drawn on it."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tenbetween.court import (
    curves,
    fixed_to_table,
    heights,
    landmarks,
    lines,
    mirror_basket,
    mirror_ends,
    mirror_feet,
    mirror_point,
    mirror_side,
    mirror_sides,
    not_painted,
    sources,
)

from .floors import ENDS, FLOORS, SIDES, TURNS

whole = st.integers(-40_000_000, 40_000_000)
EXCHANGE = {"left": "right", "right": "left", "table": "opposite", "opposite": "table"}


@given(whole, whole, st.booleans(), st.booleans())
@pytest.mark.parametrize("name", sorted(FLOORS))
def test_turning_twice_is_not_turning(name: str, x: int, y: int, ends: bool, sides: bool) -> None:
    court = FLOORS[name]
    once = mirror_point(court, (x, y), ends=ends, sides=sides)
    assert mirror_point(court, once, ends=ends, sides=sides) == (x, y)
    assert mirror_ends(court, mirror_ends(court, (x, y))) == (x, y)
    assert mirror_sides(court, mirror_sides(court, (x, y))) == (x, y)
    assert mirror_ends(court, mirror_sides(court, (x, y))) == mirror_point(
        court, (x, y), ends=True, sides=True
    )


@pytest.mark.parametrize("flag", [False, True])
def test_turning_names_twice_is_not_turning(flag: bool) -> None:
    for end in ENDS:
        assert mirror_basket(mirror_basket(end, ends=flag), ends=flag) == end
        assert (mirror_basket(end, ends=flag) != end) == flag
    for side in SIDES:
        assert mirror_side(mirror_side(side, sides=flag), sides=flag) == side
        assert (mirror_side(side, sides=flag) != side) == flag


def turned_name(name: str, ends: bool, sides: bool) -> str:
    swap = {w for w, on in (("left", ends), ("right", ends), ("table", sides), ("opposite", sides)) if on}
    return "_".join(EXCHANGE[word] if word in swap else word for word in name.split("_"))


def near(one, other) -> bool:
    """Feet are given to a ten-thousandth, so turned ones may differ by two of them."""
    return all(abs(a - b) < 2.1e-4 for a, b in zip(one, other, strict=True))


@pytest.mark.parametrize(("ends", "sides"), TURNS)
@pytest.mark.parametrize("name", sorted(FLOORS))
def test_names_and_places_turn_into_each_other(name: str, ends: bool, sides: bool) -> None:
    court = FLOORS[name]
    fixed = fixed_to_table(court) if sides else frozenset()
    for table in (landmarks(court), lines(court)):
        for mark, at in table.items():
            if mark in fixed:
                continue
            points = [at] if isinstance(at[0], float) else at
            other = table[turned_name(mark, ends, sides)]
            others = [other] if isinstance(other[0], float) else other
            mine = [mirror_feet(court, point, ends=ends, sides=sides) for point in points]
            assert len(mine) == len(others)
            assert all(any(near(point, there) for there in others) for point in mine), mark
            assert all(any(near(point, there) for point in mine) for there in others), mark


@pytest.mark.parametrize(("ends", "sides"), TURNS)
@pytest.mark.parametrize("name", sorted(FLOORS))
def test_curves_turn_into_each_other(name: str, ends: bool, sides: bool) -> None:
    court = FLOORS[name]
    for mark, curve in curves(court).items():
        other = curves(court)[turned_name(mark, ends, sides)]
        assert other["radius"] == curve["radius"]
        assert near(mirror_feet(court, curve["centre"], ends=ends, sides=sides), other["centre"])
        low, high = curve["from_deg"], curve["to_deg"]
        if ends:
            low, high = 180 - high, 180 - low
        if sides:
            low, high = -high, -low
        assert high - low == pytest.approx(other["to_deg"] - other["from_deg"])
        if high - low < 360:
            assert (low - other["from_deg"] + 180) % 360 == pytest.approx(180, abs=1e-6)


def test_only_marks_that_name_one_side_of_the_floor_do_not_turn_with_the_sides() -> None:
    assert fixed_to_table(FLOORS["84 ft"]) == {"left_coaching_box", "right_coaching_box"}
    kinds = {name.split("_", 1)[1] for name in fixed_to_table(FLOORS["fiba"])}
    assert kinds == {"throw_in_line", "throw_in_line_spot", "bench_line", "bench_end"}


@pytest.mark.parametrize("name", sorted(FLOORS))
def test_every_name_has_one_source_and_every_source_a_name(name: str) -> None:
    court = FLOORS[name]
    names = [*landmarks(court), *lines(court), *curves(court)]
    assert len(names) == len(set(names))
    assert set(names) == set(sources(court))
    assert all(len(text) > 20 for text in sources(court).values())
    assert not_painted(court) <= set(landmarks(court))
    assert all(source for _, source in heights(court).values())


@pytest.mark.parametrize("name", sorted(FLOORS))
def test_the_data_are_plain_json(name: str) -> None:
    court = FLOORS[name]
    for table in (landmarks(court), lines(court), curves(court), sources(court)):
        assert json.loads(json.dumps(table)).keys() == table.keys()


@pytest.mark.parametrize("name", sorted(FLOORS))
def test_what_is_given_out_cannot_spoil_the_court(name: str) -> None:
    court = FLOORS[name]
    landmarks(court).clear()
    curves(court)["left_arc"]["radius"] = 0.0
    assert landmarks(court)
    assert curves(court)["left_arc"]["radius"] > 19


@pytest.mark.parametrize("name", sorted(FLOORS))
def test_every_marking_of_the_kind_of_court_is_there(name: str) -> None:
    court = FLOORS[name]
    here = {mark.replace("left_", "").replace("table_", "") for mark in sources(court)}
    wanted = {
        "sideline", "end_line", "corner", "lane_line", "lane_corner", "elbow", "free_throw_line",
        "free_throw_semicircle", "first_lane_mark_near_edge", "fourth_lane_mark_far_edge", "arc", "arc_top",
        "arc_straight", "arc_joint", "arc_corner", "backboard", "ring", "basket", "centre_circle", "centre",
    }  # fmt: skip
    of_kind = {
        "us-hs": {"28_ft_mark", "end_line_spot", "coaching_box"},
        "fiba": {
            "throw_in_line",
            "no_charge_semicircle",
            "no_charge_straight",
            "bench_line",
            "division_line",
        },
    }
    assert wanted | of_kind[court.kind] <= here
