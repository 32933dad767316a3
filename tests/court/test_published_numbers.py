"""The published numbers, read off the drawn court or out of its decisions; each test names its source.

Row numbers are those of the facts table, section 6. Nothing here compares a constant with itself: a length is
measured between two drawn things, or found as the place where a decision changes.
"""

from __future__ import annotations

from itertools import pairwise
from math import atan2, cos, degrees, hypot, radians, sin

import pytest

from tenbetween.court import (
    Court,
    clear_space,
    court_of,
    curves,
    dividing_path,
    division_spot,
    four_spot,
    half,
    heights,
    inside_arc,
    inside_corner_to_elbow,
    landmarks,
    lane_spaces,
    lines,
    nearest_spot,
    post,
    restraining_lines,
    throw_in_line_spot,
    thrower_place,
)
from tenbetween.errors import TenbetweenError
from tenbetween.situation import Floor, PointFt
from tenbetween.units import FOOT, um

HS = court_of("us-hs")
LONG = court_of("us-hs", Floor(94 * FOOT, 50 * FOOT))
FIBA = court_of("fiba")
FT_PER_M = 1 / 0.3048
ENDS = ("left", "right")
SIDES = ("table", "opposite")


def gap(a: PointFt, b: PointFt) -> float:
    return hypot(a[0] - b[0], a[1] - b[1])


def length_of(court: Court, line: str) -> float:
    return gap(*lines(court)[line])


def between(court: Court, one: str, other: str) -> float:
    """Distance between two parallel drawn lines, measured at right angles."""
    (ax, ay), (bx, by) = lines(court)[one]
    (cx, cy), _ = lines(court)[other]
    return abs((bx - ax) * (cy - ay) - (by - ay) * (cx - ax)) / gap((ax, ay), (bx, by))


def point_to_line(court: Court, point: str, line: str) -> float:
    (ax, ay), (bx, by) = lines(court)[line]
    cx, cy = landmarks(court)[point]
    return abs((bx - ax) * (cy - ay) - (by - ay) * (cx - ax)) / gap((ax, ay), (bx, by))


def on_curve(court: Court, name: str, turn: float) -> PointFt:
    curve = curves(court)[name]
    x, y = curve["centre"]
    return (x + curve["radius"] * cos(radians(turn)), y + curve["radius"] * sin(radians(turn)))


def last_true(decide, low: int, high: int) -> int:
    """Return the last micrometre at which a decision that changes once is still yes."""
    assert decide(low)
    assert not decide(high)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if decide(middle) else (low, middle)
    return low


# ---- U.S. high school ----


def test_row_1_ideal_length_84_ft_us_high_school_rules_2019_20_1_1() -> None:
    assert length_of(HS, "table_sideline") == length_of(HS, "opposite_sideline") == 84
    assert between(HS, "left_end_line", "right_end_line") == 84


def test_row_2_longest_floor_94_ft_us_high_school_rules_2019_20_1_1() -> None:
    assert length_of(LONG, "table_sideline") == 94
    with pytest.raises(TenbetweenError, match=r"court\.length"):
        court_of("us-hs", Floor(94 * FOOT + 1, 50 * FOOT))


def test_row_3_width_50_ft_us_high_school_rules_2019_20_1_1() -> None:
    assert length_of(HS, "left_end_line") == between(HS, "table_sideline", "opposite_sideline") == 50


@pytest.mark.parametrize(("court", "expected"), [(HS, 42), (LONG, 47)])
def test_rows_4_and_5_division_line_from_each_end_line_calculated(court: Court, expected: int) -> None:
    assert between(court, "left_end_line", "division_line") == expected
    assert between(court, "right_end_line", "division_line") == expected
    front = last_true(lambda x: half(court, (x, 0), "left") == "frontcourt", 0, court.length)
    assert front + 1 == expected * FOOT
    assert division_spot(court, "opposite")[0] == (expected * FOOT, 50 * FOOT)


def test_rows_6_and_7_lane_12_ft_wide_us_high_school_rules_2019_20_1_5_1() -> None:
    for end in ENDS:
        assert between(HS, f"{end}_table_lane_line", f"{end}_opposite_lane_line") == 12
        assert point_to_line(HS, f"{end}_basket", f"{end}_table_lane_line") == 6
        assert length_of(HS, f"{end}_free_throw_line") == 12


def test_rows_8_to_10_free_throw_line_backboard_end_line_rule_1_6_as_quoted() -> None:
    for end in ENDS:
        assert between(HS, f"{end}_free_throw_line", f"{end}_backboard") == 15
        assert between(HS, f"{end}_backboard", f"{end}_end_line") == 4
        assert between(HS, f"{end}_free_throw_line", f"{end}_end_line") == 19
        assert length_of(HS, f"{end}_table_lane_line") == 19


def test_rows_11_and_12_basket_63_in_from_end_line_15_in_from_backboard() -> None:
    for end in ENDS:
        assert point_to_line(HS, f"{end}_basket", f"{end}_end_line") == pytest.approx(63 / 12)
        assert point_to_line(HS, f"{end}_basket", f"{end}_backboard") == pytest.approx(15 / 12)


def test_rows_13_to_15_ring_18_in_wide_6_in_from_the_board_10_ft_high() -> None:
    for end, turn in (("left", 180), ("right", 0)):
        nearest = on_curve(HS, f"{end}_ring", turn)
        (board, _), _ = lines(HS)[f"{end}_backboard"]
        assert abs(nearest[0] - board) == pytest.approx(6 / 12)
        assert gap(on_curve(HS, f"{end}_ring", 0), on_curve(HS, f"{end}_ring", 180)) == pytest.approx(18 / 12)
    assert heights(HS)["ring"][0] == 10


def test_rows_16_and_17_free_throw_line_to_basket_13_75_and_to_the_ring_13_ft() -> None:
    assert point_to_line(HS, "left_basket", "left_free_throw_line") == 13.75
    front_of_ring = on_curve(HS, "left_ring", 0)
    assert lines(HS)["left_free_throw_line"][0][0] - front_of_ring[0] == 13


def test_row_18_arc_19_ft_9_in_by_where_the_decision_changes_rule_1_4_1() -> None:
    for end, x0, way in (("left", um("63 in"), 1), ("right", HS.length - um("63 in"), -1)):
        reach = last_true(lambda d, e=end, x=x0, w=way: inside_arc(HS, (x + w * d, HS.axis), e), 0, 30 * FOOT)
        assert reach == um("19 ft 9 in")
        wide = last_true(lambda d, e=end, x=x0: inside_arc(HS, (x, HS.axis - d), e), 0, 25 * FOOT)
        assert wide == um("19 ft 9 in")
        assert gap(curves(HS)[f"{end}_arc"]["centre"], landmarks(HS)[f"{end}_arc_top"]) == 19.75


def test_row_19_straight_part_63_in_rule_1_4_1() -> None:
    for end in ENDS:
        for side in SIDES:
            assert length_of(HS, f"{end}_{side}_arc_straight") == pytest.approx(63 / 12)


def test_row_20_line_to_sideline_in_the_corner_5_ft_3_in_calculated() -> None:
    assert between(HS, "left_table_arc_straight", "table_sideline") == 5.25
    outside = last_true(lambda y: not inside_arc(HS, (0, y), "left"), 0, 25 * FOOT)
    assert outside + 1 == um("5 ft 3 in")


def test_row_21_top_of_arc_25_ft_from_the_end_line_calculated() -> None:
    assert on_curve(HS, "left_arc", 0)[0] == pytest.approx(25)
    assert point_to_line(HS, "right_arc_top", "right_end_line") == 25


def test_row_23_centre_circle_6_ft_rule_1_3_1() -> None:
    assert gap(on_curve(HS, "centre_circle", 0), on_curve(HS, "centre_circle", 180)) == pytest.approx(12)
    assert gap(landmarks(HS)["centre"], landmarks(HS)["centre_circle_table"]) == 6


def test_rows_24_and_25_three_lane_spaces_a_side_36_in_deep_rule_1_5_2() -> None:
    spaces = lane_spaces(HS)
    for end in ENDS:
        for side in SIDES:
            mine = [area for name, area in spaces.items() if name.startswith(f"{end}_{side}_")]
            assert len(mine) == 3
            for area in mine:
                ys = [y for _, y in area]
                assert max(ys) - min(ys) == 3
                assert (19 if side == "table" else 31) in ys


def test_row_26_lane_marks_2_by_8_in_rule_1_5_2() -> None:
    for name in ("first", "second", "third", "fourth"):
        near, far = (f"left_table_{name}_lane_mark_{edge}_edge" for edge in ("near", "far"))
        assert between(HS, near, far) == pytest.approx(2 / 12, abs=1e-4)
        assert length_of(HS, near) == length_of(HS, far) == pytest.approx(8 / 12, abs=1e-4)


def test_row_27_first_lane_space_8_to_11_ft_general_plotting_library() -> None:
    xs = [x for x, _ in lane_spaces(HS)["left_table_first_lane_space"]]
    assert (min(xs), max(xs)) == (8, 11)
    xs = [x for x, _ in lane_spaces(HS)["left_table_third_lane_space"]]
    assert min(xs) == pytest.approx(14 + 4 / 12, abs=1e-4)
    assert max(xs) == pytest.approx(17 + 4 / 12, abs=1e-4)


def test_rows_28_and_29_clear_space_and_restraining_line_3_ft_rules_1_2_1_and_1_2_2() -> None:
    outside, inside = clear_space(HS), restraining_lines(HS)
    for corner, (x, y) in (("left_table_corner", (-1, -1)), ("right_opposite_corner", (1, 1))):
        at = landmarks(HS)[corner]
        assert (at[0] + 3 * x, at[1] + 3 * y) in outside
        assert (at[0] - 3 * x, at[1] - 3 * y) in inside


def test_row_30_two_division_lines_below_74_ft_40_ft_from_the_farther_end_line_rule_1_3_2() -> None:
    for length in (60, 68, 73):
        court = court_of("us-hs", Floor(length * FOOT, 50 * FOOT))
        assert between(court, "left_division_line", "right_end_line") == 40
        assert between(court, "right_division_line", "left_end_line") == 40
        assert between(court, "left_division_line", "left_end_line") == length - 40
    assert "division_line" in lines(court_of("us-hs", Floor(74 * FOOT, 50 * FOOT)))


def test_row_31_28_ft_mark_from_the_nearer_end_line_local_association_note_2023() -> None:
    for end in ENDS:
        for side in SIDES:
            assert between(HS, f"{end}_{side}_28_ft_mark", f"{end}_end_line") == 28


@pytest.mark.parametrize(("court", "expected"), [(HS, 28), (LONG, 38)])
def test_rows_32_and_33_between_the_28_ft_marks_calculated(court: Court, expected: int) -> None:
    assert between(court, "left_table_28_ft_mark", "right_table_28_ft_mark") == expected


def test_row_22_28_ft_mark_is_3_ft_beyond_the_top_of_the_arc_calculated() -> None:
    assert lines(HS)["left_table_28_ft_mark"][0][0] - on_curve(HS, "left_arc", 0)[0] == pytest.approx(3)


def test_rows_34_and_35_end_line_spots_3_ft_outside_the_lane_calculated() -> None:
    for end in ENDS:
        assert point_to_line(HS, f"{end}_table_end_line_spot", f"{end}_table_lane_line") == 3
        assert landmarks(HS)[f"{end}_table_end_line_spot"][1] == 16
        assert landmarks(HS)[f"{end}_opposite_end_line_spot"][1] == 34
        for side in SIDES:
            (x, y), _ = four_spot(HS, end, True, side)
            assert landmarks(HS)[f"{end}_{side}_end_line_spot"] == (x / FOOT, y / FOOT)


def test_rows_36_to_38_corner_to_elbow_45_degrees_elbows_and_length_calculated() -> None:
    marks = landmarks(HS)
    for end in ENDS:
        for side in SIDES:
            (cx, cy), (ex, ey) = marks[f"{end}_{side}_corner"], marks[f"{end}_{side}_elbow"]
            assert degrees(atan2(abs(ey - cy), abs(ex - cx))) == pytest.approx(45)
            assert gap((cx, cy), (ex, ey)) == pytest.approx(26.870, abs=5e-4)
    assert marks["left_table_elbow"] == (19, 19)
    assert marks["left_opposite_elbow"] == (19, 31)
    path = dividing_path(HS, "left", "corner_to_elbow")
    assert gap(path[0], path[1]) == pytest.approx(26.870, abs=5e-4)


@pytest.mark.parametrize(("x", "y", "before", "after"), [(14, 10, 0, 1), (20, 22, 0, 1), (2, 4, 1, 0)])
def test_rows_39_to_41_three_points_on_which_2024_25_and_2025_26_differ(x, y, before, after) -> None:
    at = (x * FOOT, y * FOOT)
    assert inside_corner_to_elbow(HS, at, "left") == bool(before)
    assert inside_arc(HS, at, "left") == bool(after)
    lines_named = {0: "sideline", 1: "end_line"}
    assert four_spot(HS, "left", inside_corner_to_elbow(HS, at, "left"), "table")[1] == lines_named[before]
    assert four_spot(HS, "left", inside_arc(HS, at, "left"), "table")[1] == lines_named[after]


def test_row_42_throwers_place_3_ft_wide_us_high_school_rules_4_42_6_as_quoted() -> None:
    for end in ENDS:
        for inside in (True, False):
            place = thrower_place(HS, four_spot(HS, end, inside, "table")[0])
            assert gap(*place) == 3
            x, y = four_spot(HS, end, inside, "table")[0]
            assert ((place[0][0] + place[1][0]) / 2, (place[0][1] + place[1][1]) / 2) == (x / FOOT, y / FOOT)


# ---- FIBA ----


def metres(feet: float) -> float:
    return feet / FT_PER_M


TENTH_MM = 1e-4


def test_row_54_court_28_by_15_m_fiba_article_2_1() -> None:
    assert metres(length_of(FIBA, "table_sideline")) == pytest.approx(28, abs=TENTH_MM)
    assert metres(length_of(FIBA, "left_end_line")) == pytest.approx(15, abs=TENTH_MM)


def test_row_55_lane_4_90_m_plotting_library() -> None:
    wide = between(FIBA, "left_table_lane_line", "left_opposite_lane_line")
    assert metres(wide) == pytest.approx(4.9, abs=TENTH_MM)


def test_rows_56_and_57_free_throw_line_5_80_m_from_end_line_4_60_m_from_board() -> None:
    for end in ENDS:
        line = f"{end}_free_throw_line"
        assert metres(between(FIBA, line, f"{end}_end_line")) == pytest.approx(5.8, abs=TENTH_MM)
        assert metres(between(FIBA, line, f"{end}_backboard")) == pytest.approx(4.6, abs=TENTH_MM)
        assert metres(length_of(FIBA, line)) == pytest.approx(3.6, abs=TENTH_MM)


def test_row_58_basket_1_575_m_from_end_line_plotting_library() -> None:
    assert metres(point_to_line(FIBA, "left_basket", "left_end_line")) == pytest.approx(1.575, abs=TENTH_MM)


def test_row_59_arc_6_75_m_by_where_the_decision_changes_plotting_library() -> None:
    basket = um("1.575 m")
    assert last_true(lambda d: inside_arc(FIBA, (basket + d, FIBA.axis), "left"), 0, um("9 m")) == um(
        "6.75 m"
    )


def test_row_60_corner_6_60_m_from_the_axis_0_90_m_from_the_sideline() -> None:
    outside = last_true(lambda y: not inside_arc(FIBA, (um("1 m"), y), "left"), 0, um("7 m"))
    assert outside + 1 == um("0.9 m")
    straight = between(FIBA, "left_table_arc_straight", "table_sideline")
    assert metres(straight) == pytest.approx(0.9, abs=TENTH_MM)
    assert metres(point_to_line(FIBA, "left_basket", "left_table_arc_straight")) == pytest.approx(
        6.6, abs=TENTH_MM
    )


def test_row_61_straight_part_2_99_m_calculated() -> None:
    assert metres(length_of(FIBA, "left_table_arc_straight")) == pytest.approx(2.99, abs=0.005)
    # where the drawn arc begins, the drawn straight part ends
    start = on_curve(FIBA, "left_arc", curves(FIBA)["left_arc"]["from_deg"])
    assert gap(start, landmarks(FIBA)["left_table_arc_joint"]) < 1e-3


def test_rows_62_and_63_throw_in_line_level_with_the_top_of_the_arc_8_325_m() -> None:
    top = last_true(lambda x: inside_arc(FIBA, (x, FIBA.axis), "left"), 0, um("10 m"))
    assert top == throw_in_line_spot(FIBA, "left", "opposite")[0][0] == um("8.325 m")
    assert metres(between(FIBA, "left_throw_in_line", "left_end_line")) == pytest.approx(8.325, abs=TENTH_MM)


def test_row_64_throw_in_line_27_313_ft_calculated() -> None:
    assert between(FIBA, "left_throw_in_line", "left_end_line") == pytest.approx(27.313, abs=5e-4)


def test_row_65_throw_in_line_0_15_m_outside_the_opposite_sideline() -> None:
    assert metres(length_of(FIBA, "right_throw_in_line")) == pytest.approx(0.15, abs=TENTH_MM)
    width = length_of(FIBA, "left_end_line")
    assert all(y >= width for _, y in lines(FIBA)["right_throw_in_line"])


def test_row_66_no_charge_semicircle_1_25_m() -> None:
    top = on_curve(FIBA, "left_no_charge_semicircle", 0)
    assert metres(top[0] - landmarks(FIBA)["left_basket"][0]) == pytest.approx(1.25, abs=TENTH_MM)
    assert metres(length_of(FIBA, "left_table_no_charge_straight")) == pytest.approx(0.375, abs=TENTH_MM)
    assert not [name for name in curves(HS) if "no_charge" in name], "there is none in the high-school game"


def test_row_67_centre_circle_1_80_m() -> None:
    across = gap(landmarks(FIBA)["centre_circle_left"], landmarks(FIBA)["centre_circle_right"])
    assert metres(across) == pytest.approx(3.6, abs=TENTH_MM)


def test_row_68_ring_3_05_m_high() -> None:
    assert metres(heights(FIBA)["ring"][0]) == pytest.approx(3.05, abs=TENTH_MM)


def test_row_69_centre_line_0_15_m_past_each_sideline() -> None:
    (_, low), (_, high) = lines(FIBA)["division_line"]
    width = length_of(FIBA, "left_end_line")
    assert metres(-low) == pytest.approx(0.15, abs=TENTH_MM)
    assert metres(high - width) == pytest.approx(0.15, abs=TENTH_MM)


def test_row_70_thrower_may_move_1_m_in_all_fiba_17_3_1() -> None:
    place = thrower_place(FIBA, throw_in_line_spot(FIBA, "left", "opposite")[0])
    assert metres(gap(*place)) == pytest.approx(1, abs=TENTH_MM)


@pytest.mark.parametrize("end", ENDS)
@pytest.mark.parametrize("side", SIDES)
def test_row_71_trail_3_to_5_m_behind_the_ball_fiba_two_person_manual_4_3(end, side) -> None:
    for ball in ((um("10 m"), um("5 m")), (um("14 m"), um("7.5 m")), (um("20 m"), um("12 m"))):
        x, y = post(FIBA, "trail_behind_ball", end, side, ball).at
        assert 3 <= metres(gap((x, y), (ball[0] / FOOT, ball[1] / FOOT))) <= 5
        assert (x > ball[0] / FOOT) == (end == "left"), "on the side away from the basket attacked"


@pytest.mark.parametrize("end", ENDS)
def test_row_72_lead_2_m_behind_the_end_line_fiba_two_person_manual_4_6(end) -> None:
    x, _ = post(FIBA, "lead_end_line", end, "table", None).at
    (line, _), _ = lines(FIBA)[f"{end}_end_line"]
    assert metres(abs(x - line)) == pytest.approx(2, abs=TENTH_MM)
    assert (x < 0) == (end == "left")


def test_fiba_lane_marks_spaces_and_neutral_zone_facts_1_1() -> None:
    spaces = lane_spaces(FIBA)
    found = []
    for name in ("first", "second", "third"):
        xs = [metres(x) for x, _ in spaces[f"left_table_{name}_lane_space"]]
        found.append((round(min(xs), 3), round(max(xs), 3)))
    assert found == [(1.8, 2.65), (3.05, 3.9), (3.95, 4.8)]
    zone = between(FIBA, "left_table_neutral_lane_mark_near_edge", "left_table_neutral_lane_mark_far_edge")
    assert metres(zone) == pytest.approx(0.4, abs=TENTH_MM)
    assert [round(b[0] - a[1], 3) for a, b in pairwise(found)] == [0.4, 0.05]


def test_fiba_spot_is_clear_of_the_backboard_as_drawn_article_22_2() -> None:
    (_, low), (_, high) = lines(FIBA)["left_backboard"]
    for y in range(um("6 m"), um("9 m"), 50_000):
        (_, spot), _ = nearest_spot(FIBA, (um("0.5 m"), y), "table")
        assert spot / FOOT <= low + 1e-4 or spot / FOOT >= high - 1e-4
