"""Spots on the boundary, checked at their exact edges and against the facts' vectors."""

from __future__ import annotations

import pytest

from tenbetween.court import (
    Court,
    at_depth,
    boundary_line,
    corner_to_elbow_spot,
    court_of,
    division_spot,
    four_spot,
    half,
    inside_arc,
    inside_corner_to_elbow,
    mirror_basket,
    mirror_point,
    mirror_side,
    move_to_boundary,
    nearest_spot,
    out_of_bounds_spot,
    side_of,
    throw_in_line_spot,
)
from tenbetween.errors import TenbetweenError
from tenbetween.situation import Floor
from tenbetween.units import FOOT, INCH, um

HS = court_of("us-hs")
LONG = court_of("us-hs", Floor(94 * FOOT, 50 * FOOT))
SHORT = court_of("us-hs", Floor(70 * FOOT, 50 * FOOT))
FIBA = court_of("fiba")


def at(x: float, y: float) -> tuple[int, int]:
    """A point written in feet that are whole sixteenths, so exact."""
    return (round(x * FOOT), round(y * FOOT))


# facts 2.3: (x, y) from the front-court end line -> line by the 2024-25 and by the 2025-26 reading
VECTORS = [
    ((10, 12), "end", "end"),
    ((14, 10), "side", "end"),
    ((20, 25), "side", "end"),
    ((20, 22), "side", "end"),
    ((18, 20), "end", "end"),
    ((3, 2), "side", "side"),
    ((5, 6), "end", "end"),
    ((26, 25), "side", "side"),
    ((2, 4), "end", "side"),
]


@pytest.mark.parametrize(("point", "by_elbow", "by_arc"), VECTORS)
@pytest.mark.parametrize("court", [HS, LONG], ids=["84 ft", "94 ft"])
@pytest.mark.parametrize("ends", [False, True])
@pytest.mark.parametrize("sides", [False, True])
def test_vectors_of_facts_2_3(court, ends, sides, point, by_elbow, by_arc) -> None:
    place = mirror_point(court, at(*point), ends=ends, sides=sides)
    end = mirror_basket("left", ends=ends)
    assert inside_corner_to_elbow(court, place, end) == (by_elbow == "end")
    assert inside_arc(court, place, end) == (by_arc == "end")


def test_row_40_the_spot_of_a_point_between_the_two_lines() -> None:
    """(20, 22): sideline 28-ft mark in 2024-25, end line (0, 16) in 2025-26."""
    place = at(20, 22)
    side = side_of(HS, place, "opposite")
    assert four_spot(HS, "left", inside_corner_to_elbow(HS, place, "left"), side) == (at(28, 0), "sideline")
    assert four_spot(HS, "left", inside_arc(HS, place, "left"), side) == (at(0, 16), "end_line")


def test_rows_34_and_35_end_line_spots_are_nine_feet_from_the_long_axis() -> None:
    for end, x in (("left", 0), ("right", 84)):
        assert four_spot(HS, end, True, "table") == (at(x, 16), "end_line")
        assert four_spot(HS, end, True, "opposite") == (at(x, 34), "end_line")


def test_end_line_spot_whose_near_edge_is_nine_feet_away() -> None:
    assert four_spot(HS, "left", True, "table", "near_edge") == (at(0, 14.5), "end_line")
    assert four_spot(HS, "right", True, "opposite", "near_edge") == (at(84, 35.5), "end_line")


@pytest.mark.parametrize(("court", "gap"), [(HS, 28), (LONG, 38)])
def test_rows_31_to_33_marks_28_ft_from_each_end_line_and_the_gap(court: Court, gap: int) -> None:
    (left, _), line = four_spot(court, "left", False, "table")
    (right, y), _ = four_spot(court, "right", False, "opposite")
    assert line == "sideline"
    assert y == court.width
    assert left == 28 * FOOT
    assert court.length - right == 28 * FOOT
    assert right - left == gap * FOOT


def test_row_22_mark_is_three_feet_beyond_the_top_of_the_arc() -> None:
    (mark, _), _ = four_spot(HS, "left", False, "table")
    top = mark - 3 * FOOT
    assert inside_arc(HS, (top, HS.axis), "left")
    assert not inside_arc(HS, (top + 1, HS.axis), "left")


def test_on_the_lines_counts_as_the_conventions_say() -> None:
    joint = HS.basket
    for y in (HS.axis - um("19 ft 9 in"), HS.axis + um("19 ft 9 in")):
        out = -1 if y < HS.axis else 1
        assert inside_arc(HS, (joint, y), "left")
        assert not inside_arc(HS, (joint, y + out), "left")
        assert inside_arc(HS, (0, y), "left")
        assert not inside_arc(HS, (0, y + out), "left")
        assert not inside_arc(HS, (joint + 1, y), "left")
    assert inside_corner_to_elbow(HS, (7 * FOOT, 7 * FOOT), "left")
    assert not inside_corner_to_elbow(HS, (7 * FOOT, 7 * FOOT - 1), "left")
    assert not inside_corner_to_elbow(HS, (7 * FOOT + 1, 7 * FOOT), "left")
    assert inside_corner_to_elbow(HS, at(19, 25), "left")
    assert not inside_corner_to_elbow(HS, (19 * FOOT + 1, HS.axis), "left")
    assert half(HS, (42 * FOOT, 0), "left") == half(HS, (42 * FOOT, 0), "right") == "backcourt"


def test_points_exactly_on_the_arc_by_whole_number_triangles() -> None:
    """19 ft 9 in is 237 in: 3-4-5 does not divide it into inches, but into whole micrometres."""
    radius = 237 * INCH
    for a, b, c in ((3, 4, 5), (7, 24, 25)):
        ahead, away = radius * a // c, radius * b // c
        assert ahead * c == radius * a
        assert away * c == radius * b
        on = (HS.basket + ahead, HS.axis + away)
        assert inside_arc(HS, on, "left")
        assert not inside_arc(HS, (on[0] + 1, on[1]), "left")
        assert not inside_arc(HS, (on[0], on[1] + 1), "left")


def test_nearest_spot_goes_to_the_nearest_line_and_ties_to_the_sideline() -> None:
    assert nearest_spot(HS, at(5, 12), "table") == (at(0, 12), "end_line")
    assert nearest_spot(HS, at(12, 12), "table") == (at(12, 0), "sideline")
    assert nearest_spot(HS, (12 * FOOT - 1, 12 * FOOT), "table") == ((0, 12 * FOOT), "end_line")
    assert nearest_spot(HS, at(40, 25), "table") == (at(40, 0), "sideline")
    assert nearest_spot(HS, at(40, 25), "opposite") == (at(40, 50), "sideline")
    assert nearest_spot(HS, at(42, 9), "opposite") == (at(42, 0), "division_line")


@pytest.mark.parametrize(
    ("y", "spot_y"), [(19, 19), (19.5, 19), (24.75, 19), (25.25, 31), (30, 31), (31, 31), (18, 18), (32, 32)]
)
def test_an_end_line_spot_is_never_inside_the_lane(y: float, spot_y: float) -> None:
    """Duty "never inside the lane lines extended", facts 3.5b."""
    assert nearest_spot(HS, at(4, y), "table") == (at(0, spot_y), "end_line")
    assert out_of_bounds_spot(HS, at(84, y), "table") == (at(84, spot_y), "end_line")


@pytest.mark.parametrize(("side", "y"), [("table", 19), ("opposite", 31)])
def test_from_the_exact_middle_the_tie_side_decides(side, y: int) -> None:
    assert out_of_bounds_spot(HS, at(0, 25), side) == (at(0, y), "end_line")


def test_fiba_spot_straight_behind_the_backboard_moves_to_its_edge() -> None:
    middle, edge = um("7.5 m"), um("0.9 m")
    assert nearest_spot(FIBA, (um("1 m"), middle - edge), "table") == ((0, middle - edge), "end_line")
    assert nearest_spot(FIBA, (um("1 m"), middle - edge + 1), "table") == ((0, middle - edge), "end_line")
    assert nearest_spot(FIBA, (um("1 m"), middle), "opposite") == ((0, middle + edge), "end_line")
    assert nearest_spot(FIBA, (um("1 m"), um("5.2 m")), "table") == ((0, um("5.2 m")), "end_line")


def test_the_drawing_and_the_tape_measure_differ_before_2023() -> None:
    assert nearest_spot(HS, at(17, 20), "table") == (at(0, 20 - 1), "end_line")
    assert corner_to_elbow_spot(HS, at(17, 20), "table") == (at(0, 19), "end_line")
    assert nearest_spot(HS, at(19.5, 22), "table") == (at(0, 19), "end_line")
    assert corner_to_elbow_spot(HS, at(19.5, 22), "table") == (at(19.5, 0), "sideline")
    assert corner_to_elbow_spot(HS, at(12, 12), "table") == (at(0, 12), "end_line")


def test_a_place_within_a_foot_and_a_half_is_moved_to_the_boundary() -> None:
    assert move_to_boundary(HS, at(30, 0)) == (at(30, 0), 0)
    assert move_to_boundary(HS, at(30, 1.5)) == (at(30, 0), um("1.5 ft"))
    assert move_to_boundary(HS, (30 * FOOT, um("1.5 ft") + 1)) is None
    assert move_to_boundary(HS, at(30, -1.5)) == (at(30, 0), um("1.5 ft"))
    assert move_to_boundary(HS, (30 * FOOT, -um("1.5 ft") - 1)) is None
    assert move_to_boundary(HS, at(-1, 20)) == (at(0, 20), FOOT)
    assert move_to_boundary(HS, at(83.5, 49.5)) == (at(83.5, 50), FOOT // 2)
    assert move_to_boundary(HS, at(83.75, 49.5)) == (at(84, 49.5), FOOT // 4)
    assert move_to_boundary(HS, at(-0.75, -1)) == (at(0, 0), round(1.25 * FOOT))
    assert move_to_boundary(HS, at(-1.25, -1.25)) is None
    assert move_to_boundary(HS, at(10, 10)) is None


def test_corners_belong_to_the_sideline() -> None:
    for x in (0, 84):
        for y in (0, 50):
            assert boundary_line(HS, at(x, y)) == "sideline"
            assert out_of_bounds_spot(HS, at(x, y), "table") == (at(x, y), "sideline")
    assert boundary_line(HS, (0, 1)) == "end_line"


@pytest.mark.parametrize("place", [(1, 1), (-1, 0), (0, -1), (84 * FOOT + 1, 0), (42 * FOOT, 25 * FOOT)])
def test_a_point_off_the_boundary_has_no_line(place) -> None:
    with pytest.raises(TenbetweenError, match="move the point onto the line"):
        boundary_line(HS, place)


def test_division_line_spots() -> None:
    assert division_spot(HS, "opposite") == (at(42, 50), "division_line")
    assert division_spot(FIBA, "table") == ((um("14 m"), 0), "division_line")
    assert boundary_line(HS, at(42, 50)) == "division_line"


def test_row_30_two_division_lines_forty_feet_from_the_farther_end_line() -> None:
    assert court_of("us-hs", Floor(74 * FOOT, 50 * FOOT)).division_lines == (37 * FOOT,)
    assert SHORT.division_lines == (30 * FOOT, 40 * FOOT)
    assert half(SHORT, (40 * FOOT - 1, 0), "left") == "frontcourt"
    assert half(SHORT, (40 * FOOT, 0), "left") == "backcourt"
    assert half(SHORT, (30 * FOOT, 0), "right") == "backcourt"
    assert half(SHORT, (30 * FOOT + 1, 0), "right") == "frontcourt"
    assert boundary_line(SHORT, (30 * FOOT, 0)) == "division_line"
    assert boundary_line(SHORT, (30 * FOOT, 0), "right") == "division_line"
    assert boundary_line(SHORT, (30 * FOOT, 0), "left") == "sideline"
    assert division_spot(SHORT, "table", "right") == ((30 * FOOT, 0), "division_line")


def test_rows_62_to_64_fiba_throw_in_line_is_level_with_the_top_of_the_arc() -> None:
    (x, y), line = throw_in_line_spot(FIBA, "left", "opposite")
    assert (x, y, line) == (um("8.325 m"), um("15 m"), "sideline")
    assert round(x / FOOT, 3) == 27.313
    assert round(y / FOOT, 4) == 49.2126
    assert inside_arc(FIBA, (x, FIBA.axis), "left")
    assert not inside_arc(FIBA, (x + 1, FIBA.axis), "left")
    (right, _), _ = throw_in_line_spot(FIBA, "right", "table")
    assert FIBA.length - right == x


def test_marks_a_court_does_not_have_are_refused_with_what_to_use() -> None:
    with pytest.raises(TenbetweenError, match="throw_in_line_spot"):
        four_spot(FIBA, "left", True, "table")
    with pytest.raises(TenbetweenError, match="four_spot"):
        throw_in_line_spot(HS, "left", "table")


@pytest.mark.parametrize(
    ("kind", "length", "width", "said"),
    [
        ("us-hs", 59, 50, "court.length"),
        ("us-hs", 95, 50, "court.length"),
        ("us-hs", 84, 51, "court.width"),
        ("us-hs", 84, 39, "court.width"),
        ("fiba", 70, 49, "court.length"),
        ("fiba", 90, 40, "court.width"),
    ],
)
def test_absurd_floors_are_refused_with_directions(kind, length, width, said) -> None:
    with pytest.raises(TenbetweenError, match="measure the floor") as caught:
        court_of(kind, Floor(length * FOOT, width * FOOT))
    assert [problem.where for problem in caught.value.problems] == [said]


def test_both_measures_wrong_are_both_named_and_an_unknown_kind_too() -> None:
    with pytest.raises(TenbetweenError) as caught:
        court_of("us-hs", Floor(0, -5))
    assert {problem.where for problem in caught.value.problems} == {"court.length", "court.width"}
    with pytest.raises(TenbetweenError, match="did you mean 'us-hs'"):
        court_of("us_hs")


POINTS = [at(x, y) for x in (0, 3, 12, 19, 20.5, 28, 37, 42, 60, 84) for y in (0, 7, 16, 19, 25, 31, 40, 50)]


@pytest.mark.parametrize("court", [HS, LONG, SHORT, FIBA], ids=["84 ft", "94 ft", "70 ft", "fiba"])
@pytest.mark.parametrize("tie", ["table", "opposite"])
@pytest.mark.parametrize("choose", [nearest_spot, corner_to_elbow_spot])
def test_spots_turn_with_the_court(court, tie, choose) -> None:
    for x, y in POINTS:
        place = (min(x, court.length), min(y, court.width))
        spot, line = choose(court, place, tie)
        for ends, sides in ((True, False), (False, True), (True, True)):
            turned = choose(
                court, mirror_point(court, place, ends=ends, sides=sides), mirror_side(tie, sides=sides)
            )
            assert turned == (mirror_point(court, spot, ends=ends, sides=sides), line)


def test_at_depth_counts_from_either_end_line() -> None:
    assert at_depth(HS, "left", FOOT, 3) == (FOOT, 3)
    assert at_depth(HS, "right", FOOT, 3) == (83 * FOOT, 3)
