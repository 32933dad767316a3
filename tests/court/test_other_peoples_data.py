"""Our drawn courts against the data of two general plotting libraries, written by people who never saw ours.

Their code is never run: one ships a JSON table, the other a Python table that is read as text. Where the two
disagree with each other the test says by how much and why, and holds ours to the one the rules agree with.
"""

from __future__ import annotations

import ast
import json
from importlib.metadata import files
from math import asin, cos, degrees, radians, sin
from typing import Any

import pytest

from tenbetween.court import Court, court_of, curves, landmarks, lane_spaces, lines
from tenbetween.situation import Floor
from tenbetween.units import FOOT

FT_PER_M = 1 / 0.3048
HAIR = 6e-4
"""Feet: their tables are rounded to three or four digits."""


def shipped_text(package: str, name: str) -> str:
    found = [path for path in files(package) or () if path.name == name]
    assert len(found) == 1, f"{package} ships one {name}; install requirements-oracles.txt"
    return found[0].read_text()


def value(node: ast.expr) -> Any:
    """Work out a number, a list of numbers or a sum such as ``18.0 + 5 / 6``, and nothing else."""
    if isinstance(node, ast.BinOp):
        left, right = value(node.left), value(node.right)
        if isinstance(node.op, ast.Add):
            return left + right
        if isinstance(node.op, ast.Sub):
            return left - right
        assert isinstance(node.op, ast.Div)
        return left / right
    if isinstance(node, ast.List):
        return [value(item) for item in node.elts]
    return ast.literal_eval(node)


def one_library(kind: str) -> dict[str, Any]:
    table = json.loads(shipped_text("sportypy", "surface_dimensions.json"))["basketball"]
    # The high-school table stands under initials; it is the only one on an 84-ft floor.
    if kind == "fiba":
        return dict(table["fiba"])
    (found,) = [court for court in table.values() if court["court_length"] == 84]
    return dict(found)


def other_library() -> dict[str, Any]:
    tree = ast.parse(shipped_text("mplbasketball", "court_params.py"))
    for node in tree.body:
        if isinstance(node, ast.Assign) and getattr(node.targets[0], "id", "") == "fiba_court_parameters":
            assert isinstance(node.value, ast.Dict)
            return {
                ast.literal_eval(k): value(v) for k, v in zip(node.value.keys, node.value.values, strict=True)
            }
    raise AssertionError("the library no longer ships a FIBA table")


def drawn(court: Court) -> dict[str, float]:
    """Measure the drawn court, in feet, under names both libraries can be held against."""
    at, line, curve = landmarks(court), lines(court), curves(court)
    basket = at["left_basket"]
    arc = curve["left_arc"]
    straight = line["left_table_arc_straight"]
    (board, low), (_, high) = line["left_backboard"]
    return {
        "length": line["table_sideline"][1][0] - line["table_sideline"][0][0],
        "width": line["left_end_line"][1][1] - line["left_end_line"][0][1],
        "centre circle": curve["centre_circle"]["radius"],
        "free-throw circle": curve["left_free_throw_semicircle"]["radius"],
        "basket from end line": basket[0],
        "arc": arc["radius"],
        "arc to axis in the corner": basket[1] - straight[0][1],
        "arc to sideline in the corner": straight[0][1],
        "straight part": straight[1][0],
        "backboard from end line": board,
        "backboard width": high - low,
        "lane length": at["left_table_elbow"][0],
        "lane width": at["left_opposite_elbow"][1] - at["left_table_elbow"][1],
        "free-throw line to board": at["left_table_elbow"][0] - board,
        "ring": curve["left_ring"]["radius"],
        "half opening of the arc": (arc["to_deg"] - arc["from_deg"]) / 2,
    }


def held(kind: str) -> dict[str, float]:
    """Return the first library's table under the same names, in feet."""
    data = one_library(kind)
    foot = FT_PER_M if data["court_units"] == "m" else 1.0

    def of(name: str) -> float:
        number = data[name]
        return (number[0] if isinstance(number, list) else number) * foot

    return {
        "length": of("court_length"),
        "width": of("court_width"),
        "centre circle": of("center_circle_radius"),
        "free-throw circle": of("free_throw_circle_radius"),
        "basket from end line": of("basket_center_to_baseline"),
        "arc": of("basket_center_to_three_point_arc"),
        "arc to axis in the corner": of("basket_center_to_corner_three"),
        "backboard from end line": of("backboard_face_to_baseline"),
        "backboard width": of("backboard_width"),
        "lane length": of("lane_length"),
        "lane width": of("lane_width"),
        "free-throw line to board": of("free_throw_line_to_backboard"),
        "ring": of("basket_ring_inner_radius"),
    }


@pytest.mark.parametrize("kind", ["us-hs", "fiba"])
def test_every_measure_of_the_first_library(kind: str) -> None:
    ours, theirs = drawn(court_of(kind)), held(kind)
    assert len(theirs) == 13
    assert {name: ours[name] for name in theirs} == pytest.approx(theirs, abs=HAIR)


@pytest.mark.parametrize("kind", ["us-hs", "fiba"])
def test_lane_spaces_of_the_first_library(kind: str) -> None:
    """It gives marks and gaps in turn, counted from the backboard face (U.S., FIBA alike)."""
    data = one_library(kind)
    foot = FT_PER_M if data["court_units"] == "m" else 1.0
    at, theirs = data["backboard_face_to_baseline"], []
    for apart, mark in zip(
        data["lane_space_mark_separations"][0], data["lane_space_mark_lengths"][0], strict=True
    ):
        theirs.append(((at) * foot, (at + apart) * foot))
        at += apart + mark
    ours = []
    for name in ("first", "second", "third"):
        xs = [x for x, _ in lane_spaces(court_of(kind))[f"left_table_{name}_lane_space"]]
        ours.append((min(xs), max(xs)))
    assert [end for space in ours for end in space] == pytest.approx(
        [end for space in theirs[1:] for end in space], abs=1e-3
    )


def test_what_only_fiba_marks_in_the_first_library() -> None:
    data, court = one_library("fiba"), court_of("fiba")
    width = lines(court)["left_end_line"][1][1]
    throw_in = lines(court)["left_throw_in_line"]
    assert throw_in[1][1] - width == pytest.approx(
        data["inbounding_line_out_of_bounds_ext"] * FT_PER_M, abs=HAIR
    )
    outer_edge = (data["inbounding_line_to_baseline"] + data["line_thickness"]) * FT_PER_M
    assert throw_in[0][0] == pytest.approx(outer_edge, abs=HAIR)
    past = lines(court)["division_line"][1][1] - width
    assert past == pytest.approx(data["division_line_extension"] * FT_PER_M, abs=HAIR)
    no_charge = curves(court)["left_no_charge_semicircle"]["radius"]
    assert no_charge == pytest.approx(data["restricted_arc_radius"] * FT_PER_M, abs=HAIR)
    (bench, _), (_, out) = lines(court)["left_bench_line"]
    assert -out == pytest.approx(data["team_bench_line_ext"] * FT_PER_M, abs=HAIR)
    assert bench < lines(court)["division_line"][0][0]
    mark = lines(court)["left_table_first_lane_mark_near_edge"]
    assert mark[0][1] - mark[1][1] == pytest.approx(data["lane_space_mark_widths"] * FT_PER_M, abs=HAIR)


def test_fiba_measures_on_which_the_second_library_agrees() -> None:
    data, ours = other_library(), drawn(court_of("fiba"))
    line = 0.05 * FT_PER_M
    theirs = {
        "length": data["court_dims"][0],
        "width": data["court_dims"][1],
        "centre circle": data["outer_circle_radius"],
        "basket from end line": data["hoop_distance_from_edge"],
        "backboard from end line": data["backboard_distance_from_edge"],
        "arc to sideline in the corner": data["three_point_side_width"],
        # It draws the lane's inside: a line's width less lengthwise, two of its own 2-inch lines across.
        "lane length": data["outer_paint_dims"][0] + line,
        "lane width": data["outer_paint_dims"][1] + 4 / 12,
    }
    assert {name: ours[name] for name in theirs} == pytest.approx(theirs, abs=6e-3)
    throw_in = lines(court_of("fiba"))["left_throw_in_line"][0][0]
    assert throw_in == pytest.approx(data["inbound_line_distance_from_edge"], abs=0.01)


def test_where_the_second_librarys_fiba_arc_is_off_and_by_how_much() -> None:
    """Its arc is drawn 1 cm small and its straight part is the college one: a known slip, and its size."""
    data, ours = other_library(), drawn(court_of("fiba"))
    radius = data["three_point_arc_diameter"] / 2
    assert 0 < ours["arc"] - radius < 0.05, "less than the width of the line, 0.164 ft"
    assert abs(ours["half opening of the arc"] - data["three_point_arc_angle"]) < 1.1
    assert abs(ours["straight part"] - data["three_point_line_length"]) == pytest.approx(0.41, abs=0.02)
    # Ours closes where theirs does not: the straight part meets the arc.
    court = court_of("fiba")
    start = curves(court)["left_arc"]
    centre_x, centre_y = start["centre"]
    turn = radians(start["from_deg"])
    joint = (centre_x + start["radius"] * cos(turn), centre_y + start["radius"] * sin(turn))
    assert joint == pytest.approx(landmarks(court)["left_table_arc_joint"], abs=1e-3)
    assert degrees(asin(6.6 / 6.75)) == pytest.approx(ours["half opening of the arc"], abs=1e-3)


def test_a_94_ft_floor_changes_nothing_near_a_basket() -> None:
    short, long = court_of("us-hs"), court_of("us-hs", Floor(94 * FOOT, 50 * FOOT))
    same = [name for name in drawn(short) if name != "length"]
    assert {n: drawn(short)[n] for n in same} == {n: drawn(long)[n] for n in same}
