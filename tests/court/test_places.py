"""Taught places: where they are, who is behind which line, and that they turn with the court."""

from __future__ import annotations

from math import hypot

import pytest
import shapely

from tenbetween.court import (
    NAMES_THE_TABLE,
    PLACE_NAMES,
    PLACE_SOURCES,
    PLACE_WORDS,
    boundary_cells,
    boundary_line,
    mirror_basket,
    mirror_point,
    mirror_side,
    post,
    side_of,
)
from tenbetween.court.places import standing
from tenbetween.errors import TenbetweenError
from tenbetween.units import FOOT

from .floors import ENDS, FLOORS, SIDES, TURNS

HS, FIBA = FLOORS["84 ft"], FLOORS["fiba"]
BY_SPOT = {
    "trail_behind_ball", "end_line_outside_thrower", "end_line_inside_thrower", "sideline_back_court_side",
    "sideline_end_line_side", "time_out_spot",
}  # fmt: skip
OFF_COURT = {
    "lead_end_line", "end_line_outside_thrower", "end_line_inside_thrower", "sideline_back_court_side",
    "sideline_end_line_side", "free_throw_lead",
}  # fmt: skip
END_LINE = {"end_line_outside_thrower", "end_line_inside_thrower"}
SIDELINE = {"sideline_back_court_side", "sideline_end_line_side"}


def spots_for(court, name: str):
    """Yield boundary points a place can be asked with."""
    if name not in BY_SPOT:
        return [None]
    cells = boundary_cells(court)
    if name in END_LINE:
        return [at for at in cells if boundary_line(court, at) == "end_line"]
    if name in SIDELINE:
        return [at for at in cells if boundary_line(court, at) != "end_line"]
    return list(cells)


def at(x: float, y: float) -> tuple[int, int]:
    return (round(x * FOOT), round(y * FOOT))


# places a trainer can check on the floor: name, end attacked, own sideline, spot -> feet on an 84-ft floor
KNOWN = [
    ("lead_end_line", "left", "table", None, (-4.5, 10)),
    ("lead_end_line", "right", "opposite", None, (88.5, 40)),
    ("trail_28", "left", "opposite", None, (28, 48.5)),
    ("end_line_outside_thrower", "left", "table", at(0, 16), (-2.5, 11)),
    ("end_line_outside_thrower", "left", "table", at(0, 34), (-2.5, 39)),
    ("end_line_outside_thrower", "left", "table", at(84, 16), (86.5, 11)),
    ("end_line_inside_thrower", "right", "table", at(84, 16), (86.5, 21)),
    ("sideline_back_court_side", "left", "table", at(28, 0), (34, -1.5)),
    ("sideline_back_court_side", "right", "table", at(56, 50), (50, 51.5)),
    ("sideline_end_line_side", "left", "table", at(10, 0), (4, -1.5)),
    ("division_line_holding", "right", "opposite", None, (42, 47)),
    ("near_basket_trail", "right", "table", None, (3, 8)),
    ("circle_tosser", "left", "opposite", None, (42, 27.5)),
    ("division_line_table", "left", "opposite", None, (42, 2)),
    ("free_throw_lead", "left", "table", None, (-2, 15)),
    ("free_throw_trail", "left", "table", None, (19.75, 9.5)),
    ("free_throw_trail", "left", "opposite", None, (19.75, 40.5)),
    ("time_out_opposite_circle", "left", "table", None, (42, 31)),
    ("time_out_opposite_halfway", "left", "table", None, (42, 40.5)),
    ("time_out_opposite_quarter", "left", "table", None, (42, 37.5)),
    ("time_out_table_circle", "left", "table", None, (42, 19)),
    ("time_out_table_halfway", "left", "table", None, (42, 9.5)),
    ("time_out_table_quarter", "left", "table", None, (42, 12.5)),
    ("time_out_spot", "left", "table", at(28, 0), (28, 1.5)),
    ("time_out_spot", "left", "table", at(84, 34), (82.5, 34)),
]


@pytest.mark.parametrize(("name", "end", "side", "spot", "feet"), KNOWN)
def test_places_in_feet(name, end, side, spot, feet) -> None:
    assert post(HS, name, end, side, spot).at == feet


def test_facts_3_0_lead_3_to_6_ft_deep_between_lane_line_and_arc_us() -> None:
    xs, ys = zip(*post(HS, "lead_end_line", "left", "table", None).zone, strict=True)
    assert (min(xs), max(xs), min(ys), max(ys)) == (-6, -3, 5.25, 19)
    xs, ys = zip(*post(HS, "lead_end_line", "left", "opposite", None).zone, strict=True)
    assert (min(ys), max(ys)) == (31, 44.75)


def test_rows_81_and_82_trail_at_the_28_ft_line_and_on_free_throws() -> None:
    xs, ys = zip(*post(HS, "trail_28", "left", "table", None).zone, strict=True)
    assert min(xs) >= 25
    assert (min(ys), max(ys)) == (0, 3)
    for side, y in (("table", 9.5), ("opposite", 40.5)):
        x, found = post(HS, "free_throw_trail", "left", side, None).at
        assert 19.5 <= x <= 20
        assert found == y


@pytest.mark.parametrize("name", PLACE_NAMES)
@pytest.mark.parametrize("floor", sorted(FLOORS))
def test_places_turn_with_the_court(floor: str, name: str) -> None:
    court = FLOORS[floor]
    for end in ENDS:
        for side in SIDES:
            for spot in spots_for(court, name):
                here, zone = standing(court, name, end, side, spot)
                for ends, sides in TURNS:
                    if sides and name in NAMES_THE_TABLE:
                        continue
                    turned_spot = spot and mirror_point(court, spot, ends=ends, sides=sides)
                    there, other = standing(
                        court,
                        name,
                        mirror_basket(end, ends=ends),
                        mirror_side(side, sides=sides),
                        turned_spot,
                    )
                    assert there == mirror_point(court, here, ends=ends, sides=sides)
                    assert set(other) == {mirror_point(court, p, ends=ends, sides=sides) for p in zone}


@pytest.mark.parametrize("name", sorted(NAMES_THE_TABLE))
def test_places_named_after_the_table_do_not_follow_the_official(name: str) -> None:
    for end in ENDS:
        assert post(HS, name, end, "table", None) == post(HS, name, end, "opposite", None)
    _, y = post(HS, name, "left", "table", None).at
    by_name = "table" if ("table" in name or "benches" in name) else "opposite"
    assert side_of(HS, (0, round(y * FOOT)), "table") == by_name


@pytest.mark.parametrize("name", PLACE_NAMES)
@pytest.mark.parametrize("floor", sorted(FLOORS))
def test_zones_hold_their_point_and_nobody_stands_on_the_spot(floor: str, name: str) -> None:
    court = FLOORS[floor]
    for side in SIDES:
        for spot in spots_for(court, name):
            found = post(court, name, "left", side, spot)
            zone = shapely.Polygon(found.zone)
            assert zone.is_valid
            assert zone.area > 3
            assert zone.covers(shapely.Point(found.at))
            for at_spot in boundary_cells(court):
                assert hypot(found.at[0] - at_spot[0] / FOOT, found.at[1] - at_spot[1] / FOOT) > 0.4
            if spot is not None:
                assert hypot(found.at[0] - spot[0] / FOOT, found.at[1] - spot[1] / FOOT) >= 1.4


@pytest.mark.parametrize("name", PLACE_NAMES)
@pytest.mark.parametrize("floor", sorted(FLOORS))
def test_on_or_off_the_court_as_the_place_says(floor: str, name: str) -> None:
    court = FLOORS[floor]
    inside = shapely.box(0, 0, court.length / FOOT, court.width / FOOT)
    deepest = 6.01 if court.kind == "us-hs" else 8.21  # the lead, 6 ft or 2.5 m
    reach = inside.buffer(deepest, join_style="mitre")
    for side in SIDES:
        for spot in spots_for(court, name):
            if name == "trail_behind_ball" and spot is not None and boundary_line(court, spot) == "end_line":
                continue
            found = post(court, name, "left", side, spot)
            where = shapely.Point(found.at)
            if name in OFF_COURT:
                assert not inside.contains(where)
            elif name != "trail_behind_ball":
                assert inside.covers(where)
            if name != "trail_behind_ball":
                assert reach.covers(shapely.Polygon(found.zone))


@pytest.mark.parametrize("court", [HS, FIBA], ids=["us-hs", "fiba"])
@pytest.mark.parametrize("end", ENDS)
def test_outside_the_thrower_is_between_him_and_the_nearer_sideline(court, end) -> None:
    for x, y in spots_for(court, "end_line_outside_thrower"):
        px, py = post(court, "end_line_outside_thrower", end, "table", (x, y)).at
        spot_y, width = y / FOOT, court.width / FOOT
        assert (px < 0) == (x == 0), "behind the end line of the spot"
        if y < court.axis:
            assert py < spot_y
            assert py >= 0 or spot_y < 5, "past the corner only when there is no room"
        elif y > court.axis:
            assert py > spot_y
            assert py <= width or width - spot_y < 5
        _, inside_y = post(court, "end_line_inside_thrower", end, "table", (x, y)).at
        assert (inside_y > spot_y) == (py < spot_y), "the other way"


@pytest.mark.parametrize("end", ENDS)
def test_beside_a_sideline_thrower_towards_the_back_court_or_the_end_line(end) -> None:
    for x, y in spots_for(HS, "sideline_back_court_side"):
        back, _ = post(HS, "sideline_back_court_side", end, "table", (x, y)).at
        front, _ = post(HS, "sideline_end_line_side", end, "table", (x, y)).at
        away = 1 if end == "left" else -1
        assert (back - x / FOOT) * away > 0
        assert (front - x / FOOT) * away < 0
        assert hypot(back - x / FOOT, 1.5) <= 6.2


def test_without_a_spot_the_thrower_is_somewhere_on_his_end_line() -> None:
    """After a goal any point will do; the drawing takes 3 ft outside the lane on the official's side."""
    found = post(HS, "end_line_outside_thrower", "left", "table", None)
    assert found == post(HS, "end_line_outside_thrower", "left", "table", at(84, 16))
    assert post(HS, "time_out_spot", "left", "opposite", None).at == (82.5, 34)


@pytest.mark.parametrize("name", sorted(SIDELINE | {"trail_behind_ball"}))
def test_a_place_beside_the_thrower_needs_his_spot(name: str) -> None:
    with pytest.raises(TenbetweenError, match="give the spot"):
        post(HS, name, "left", "table", None)


def test_an_unknown_place_is_refused_with_the_nearest_right_word() -> None:
    with pytest.raises(TenbetweenError, match="did you mean 'lead_end_line'"):
        post(HS, "lead_endline", "left", "table", None)


def test_every_place_has_words_a_source_and_a_confidence() -> None:
    assert set(PLACE_NAMES) == set(PLACE_SOURCES) == set(PLACE_WORDS)
    assert {found.confidence for found in PLACE_SOURCES.values()} <= {"high", "medium", "low"}
    assert all(found.source for found in PLACE_SOURCES.values())
    assert len(set(PLACE_WORDS.values())) == len(PLACE_WORDS)


def test_no_two_officials_are_sent_to_one_point() -> None:
    """Pairs that stand at the same time, on their two sides of the floor."""
    pairs = [
        ("lead_end_line", "trail_28"), ("end_line_outside_thrower", "trail_28"),
        ("lead_end_line", "sideline_back_court_side"), ("sideline_end_line_side", "trail_28"),
        ("division_line_holding", "end_line_outside_thrower"), ("lead_end_line", "near_basket_trail"),
        ("circle_tosser", "division_line_table"), ("free_throw_lead", "free_throw_trail"),
        ("free_throw_alone", "by_the_benches"), ("time_out_spot", "time_out_opposite_halfway"),
        ("time_out_spot", "time_out_table_circle"), ("between_periods_referee", "between_periods_umpire"),
    ]  # fmt: skip
    for one, other in pairs:
        for spot in boundary_cells(HS):
            if one in SIDELINE and spot[1] > HS.axis:
                continue  # this place is only taught on the official's own sideline
            a = post(HS, one, "left", "table", spot).at
            b = post(HS, other, "left", "opposite", spot).at
            assert hypot(a[0] - b[0], a[1] - b[1]) > 5, (one, other, spot)
