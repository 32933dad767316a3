"""Sides of the dividing lines and distances to them, against shapely and at their exact edges."""

from __future__ import annotations

from itertools import product
from math import asin, cos, pi, sin

import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from tenbetween.court import (
    DIVIDING_LINES,
    depth,
    half,
    inside_arc,
    inside_corner_to_elbow,
    just_across,
    margin_ft,
    mirror_basket,
    mirror_point,
    mirror_side,
    move_to_boundary,
    nearest_spot,
    side_of,
    side_of_line,
)
from tenbetween.court.cells import whole_points
from tenbetween.errors import TenbetweenError
from tenbetween.units import FOOT

from .floors import ENDS, FLOORS, SIDES, TURNS

COURTS = list(FLOORS.values())
HS, FIBA = FLOORS["84 ft"], FLOORS["fiba"]
FINE = 720
"""Pieces of a half circle for shapely: the chord of the arc stays within 60 micrometres of it."""


def bow(centre_x: int, centre_y: int, radius: int, open_to: float) -> list[tuple[float, float]]:
    turns = [open_to * (2 * i / FINE - 1) for i in range(FINE + 1)]
    return [(centre_x + radius * cos(t), centre_y + radius * sin(t)) for t in turns]


def region_path(court, line: str) -> list[tuple[float, float]]:
    """The dividing line at the left end, written down a second time for shapely."""
    width, axis = court.width, court.axis
    if line == "arc":
        ends = (0, axis - court.corner), (0, axis + court.corner)
        return [ends[0], *bow(court.basket, axis, court.arc, asin(court.corner / court.arc)), ends[1]]
    low, high, far = axis - court.lane_half, axis + court.lane_half, court.free_throw
    top = bow(far, axis, court.circle, pi / 2) if line.endswith("over_circle") else []
    return [(0, 0), (far, low), *top, (far, high), (0, width)]


REGIONS = {
    (name, line): (shapely.Polygon(region_path(court, line)), shapely.LineString(region_path(court, line)))
    for name, court in FLOORS.items()
    for line in ("arc", "corner_to_elbow", "corner_to_elbow_over_circle")
}
DECIDE = {
    "arc": inside_arc,
    "corner_to_elbow": inside_corner_to_elbow,
    "corner_to_elbow_over_circle": lambda c, at, end: inside_corner_to_elbow(c, at, end, "over_circle"),
}
share = st.integers(0, 1_000_000)


@settings(max_examples=100)
@given(share, share)
@pytest.mark.parametrize("line", sorted(DECIDE))
@pytest.mark.parametrize("name", sorted(FLOORS))
def test_inside_and_margin_agree_with_shapely(name: str, line: str, along: int, across: int) -> None:
    court = FLOORS[name]
    at = (court.length // 2 * along // 1_000_000, court.width * across // 1_000_000)
    polygon, path = REGIONS[name, line]
    point = shapely.Point(at)
    away = path.distance(point)
    assert margin_ft(court, at, "left", line) == pytest.approx(away / FOOT, abs=0.001)
    if away > 100:  # nearer than a tenth of a millimetre shapely's short pieces cannot tell
        assert DECIDE[line](court, at, "left") == polygon.covers(point)


@settings(max_examples=150)
@given(share, share)
@pytest.mark.parametrize("name", sorted(FLOORS))
def test_nearest_spot_agrees_with_shapely(name: str, along: int, across: int) -> None:
    court = FLOORS[name]
    at = (court.length * along // 1_000_000, court.width * across // 1_000_000)
    edge = shapely.box(0, 0, court.length, court.width).exterior
    spot, line = nearest_spot(court, at, "table")
    away = edge.distance(shapely.Point(at))
    clear = court.lane_half if court.kind == "us-hs" else court.backboard_half
    if line == "end_line":
        # the spot may have been moved along the end line, never further out
        assert abs(at[0] - spot[0]) == pytest.approx(away, abs=0.01)
        assert abs(spot[1] - court.axis) >= clear
        assert spot[1] == at[1] or abs(at[1] - court.axis) < clear == abs(spot[1] - court.axis)
    else:
        assert shapely.Point(spot).distance(shapely.Point(at)) == pytest.approx(away, abs=0.01)
    assert edge.distance(shapely.Point(spot)) == 0


@settings(max_examples=150)
@given(st.integers(-700_000, 26_000_000), st.integers(-700_000, 16_000_000))
def test_move_to_boundary_agrees_with_shapely(x: int, y: int) -> None:
    edge = shapely.box(0, 0, HS.length, HS.width).exterior
    away = edge.distance(shapely.Point(x, y))
    found = move_to_boundary(HS, (x, y))
    if found is None:
        assert away > 1.5 * FOOT
    else:
        spot, moved = found
        assert moved == pytest.approx(away, abs=0.5)
        assert moved <= 1.5 * FOOT
        assert edge.distance(shapely.Point(spot)) == 0


@pytest.mark.parametrize("court", COURTS, ids=list(FLOORS))
def test_whole_points_of_the_arc_are_on_it_and_one_micrometre_outward_is_not(court) -> None:
    found = 0
    for ahead, away in whole_points(court.arc):
        if away > court.corner:
            continue
        found += 1
        assert ahead * ahead + away * away == court.arc2
        for y, out in ((court.axis - away, -1), (court.axis + away, 1)):
            on = (court.basket + ahead, y)
            assert inside_arc(court, on, "left")
            assert not inside_arc(court, (on[0] + 1, on[1]), "left")
            if away:
                assert not inside_arc(court, (on[0], on[1] + out), "left")
    assert found >= 5


@pytest.mark.parametrize("court", COURTS, ids=list(FLOORS))
def test_the_slanted_line_itself_is_inside_for_every_whole_point_tried(court) -> None:
    for part in range(1, 20):
        u = court.free_throw * part // 20
        on = court.elbow * u / court.free_throw
        first = int(on) if on == int(on) else int(on) + 1
        assert inside_corner_to_elbow(court, (u, first), "left")
        assert not inside_corner_to_elbow(court, (u, first - 1), "left")
        assert inside_corner_to_elbow(court, (u, court.width - first), "left")
        assert not inside_corner_to_elbow(court, (u, court.width - first + 1), "left")


def test_straight_or_over_the_circle_differ_only_above_the_free_throw_line() -> None:
    top = (HS.free_throw + HS.circle, HS.axis)
    assert inside_corner_to_elbow(HS, top, "left", "over_circle")
    assert not inside_corner_to_elbow(HS, (top[0] + 1, top[1]), "left", "over_circle")
    assert not inside_corner_to_elbow(HS, top, "left", "straight")
    beside = (HS.free_throw + 1, HS.elbow)
    assert not inside_corner_to_elbow(HS, beside, "left", "over_circle")
    assert inside_corner_to_elbow(HS, (HS.free_throw, HS.elbow), "left", "over_circle")


def test_front_court_ends_before_the_division_line_and_low_at_the_free_throw_line() -> None:
    for court in COURTS:
        for end, way in (("left", 1), ("right", -1)):
            start = 0 if end == "left" else court.length
            line = (start + way * court.front, 5)
            assert half(court, line, end) == "backcourt"
            assert half(court, (line[0] - way, 5), end) == "frontcourt"
            level = (start + way * court.free_throw, 5)
            assert depth(court, level, end) == "low"
            assert depth(court, (level[0] + way, 5), end) == "high"


@settings(max_examples=40)
@given(share, share, st.sampled_from(ENDS), st.sampled_from(SIDES))
@example(0, 0, "left", "table")
@example(500_000, 500_000, "right", "opposite")
@pytest.mark.parametrize("line", DIVIDING_LINES)
@pytest.mark.parametrize("name", sorted(FLOORS))
def test_just_across_is_on_the_other_side_and_a_millimetre_or_so_past_the_line(
    name: str, line: str, along: int, across: int, end, tie
) -> None:
    court = FLOORS[name]
    at = (court.length * along // 1_000_000, court.width * across // 1_000_000)
    other = just_across(court, at, end, line, tie)
    assert 0 <= other[0] <= court.length
    assert 0 <= other[1] <= court.width
    assert side_of_line(court, other, end, line, tie) != side_of_line(court, at, end, line, tie)
    assert margin_ft(court, other, end, line) * FOOT <= 3_010
    away = shapely.Point(other).distance(shapely.Point(at))
    assert away <= margin_ft(court, at, end, line) * FOOT + 3_010


@pytest.mark.parametrize("line", DIVIDING_LINES)
@pytest.mark.parametrize("end", ENDS)
def test_just_across_works_from_points_exactly_on_the_line(line: str, end) -> None:
    for court in COURTS:
        on = {
            "arc": [(court.basket + court.arc, court.axis), (0, court.axis - court.corner)],
            "free_throw_line_extended": [(court.free_throw, 0), (court.free_throw, court.axis)],
            "division_line": [(court.front, court.width)],
            "middle": [(0, court.axis), (court.free_throw, court.axis)],
        }.get(line, [(0, 0), (court.free_throw, court.elbow), (0, court.width)])
        for u, y in on:
            at = (u if end == "left" else court.length - u, y)
            assert margin_ft(court, at, end, line) == pytest.approx(0, abs=1e-9)
            for tie in SIDES:
                other = just_across(court, at, end, line, tie)
                assert side_of_line(court, other, end, line, tie) != side_of_line(court, at, end, line, tie)


@settings(max_examples=100)
@given(share, share, st.sampled_from(ENDS), st.sampled_from(SIDES))
@pytest.mark.parametrize("name", sorted(FLOORS))
def test_every_decision_turns_with_the_court(name: str, along: int, across: int, end, tie) -> None:
    court = FLOORS[name]
    at = (court.length * along // 1_000_000, court.width * across // 1_000_000)
    for (ends, sides), line in product(TURNS, DIVIDING_LINES):
        turned, turned_end = mirror_point(court, at, ends=ends, sides=sides), mirror_basket(end, ends=ends)
        turned_tie = mirror_side(tie, sides=sides)
        flipped = sides and line == "middle"
        before = side_of_line(court, at, end, line, tie)
        assert side_of_line(court, turned, turned_end, line, turned_tie) == (before != flipped)
        margin = margin_ft(court, at, end, line)
        assert margin_ft(court, turned, turned_end, line) == pytest.approx(margin, abs=1e-9)
        assert side_of(court, turned, turned_tie) == mirror_side(side_of(court, at, tie), sides=sides)


def test_margins_a_trainer_can_check_with_a_tape() -> None:
    # 19 ft 9 in less the distance from the basket centre; beside the straight part, from its line
    feet = {(14, 10): 2.3844, (20, 22): 4.6980, (26, 25): 1.0, (5, 6): 0.75}
    for (x, y), expected in feet.items():
        assert margin_ft(HS, (x * FOOT, y * FOOT), "left", "arc") == pytest.approx(expected, abs=1e-3)
    assert margin_ft(HS, (22 * FOOT, 0), "left", "free_throw_line_extended") == 3
    assert margin_ft(HS, (22 * FOOT, 0), "left", "division_line") == 20
    assert margin_ft(HS, (22 * FOOT, 20 * FOOT), "right", "middle") == 5


@pytest.mark.parametrize("ask", [margin_ft, just_across, side_of_line])
def test_a_line_of_no_such_name_is_refused_with_the_nearest_right_word(ask) -> None:
    with pytest.raises(TenbetweenError, match="did you mean 'corner_to_elbow'"):
        ask(HS, (0, 0), "left", "corner_to_elbo")
