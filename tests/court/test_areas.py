"""Areas against the decisions they draw, and boundary lines by name."""

from __future__ import annotations

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from tenbetween.court import (
    COVERAGE_SOURCES,
    DIVIDING_LINES,
    KINDS,
    boundary_cells,
    boundary_line,
    boundary_name,
    court_parts,
    coverage,
    coverage_areas,
    dividing_path,
    four_spot_areas,
    half,
    inside_arc,
    inside_corner_to_elbow,
    margin_ft,
    mirror_basket,
    mirror_point,
    mirror_side,
    side_of,
)
from tenbetween.court.areas import path_length_ft
from tenbetween.errors import TenbetweenError
from tenbetween.units import FOOT

from .floors import ENDS, FLOORS, SIDES, TURNS

HS, FIBA = FLOORS["84 ft"], FLOORS["fiba"]
US = sorted(name for name, court in FLOORS.items() if court.kind == "us-hs")
share = st.integers(0, 1_000_000)
INSIDE = {
    "arc": inside_arc,
    "corner_to_elbow": inside_corner_to_elbow,
    "corner_to_elbow_over_circle": lambda c, at, end: inside_corner_to_elbow(c, at, end, "over_circle"),
}


def area(path) -> float:
    shape = shapely.Polygon(path)
    assert shape.is_valid
    return shape.area


@pytest.mark.parametrize("name", sorted(FLOORS))
@pytest.mark.parametrize("end", ENDS)
def test_front_and_back_court_fill_the_floor_once(name: str, end) -> None:
    court = FLOORS[name]
    parts = court_parts(court, end)
    floor = court.length / FOOT * court.width / FOOT
    assert area(parts["frontcourt"]) + area(parts["backcourt"]) == pytest.approx(floor, rel=1e-5)
    assert half(court, (0, 0), end) == ("frontcourt" if end == "left" else "backcourt")
    assert shapely.Polygon(parts["frontcourt"]).covers(
        shapely.Point(1 if end == "left" else court.length / FOOT - 1, 1)
    )


@settings(max_examples=60)
@given(share, share, st.sampled_from(ENDS))
@pytest.mark.parametrize("line", sorted(INSIDE))
@pytest.mark.parametrize("name", US)
def test_four_spot_areas_are_where_the_decision_sends_a_place(name, line, along, across, end) -> None:
    court = FLOORS[name]
    at = (court.length * along // 1_000_000, court.width * across // 1_000_000)
    if (
        half(court, at, end) == "backcourt"
        or min(margin_ft(court, at, end, near) for near in (line, "middle", "division_line")) < 0.05
    ):
        return
    areas = four_spot_areas(court, end, line)
    where = shapely.Point(at[0] / FOOT, at[1] / FOOT)
    hit = [spot for spot, path in areas.items() if shapely.Polygon(path).contains(where)]
    decided = "end_line" if INSIDE[line](court, at, end) else "sideline"
    touching = [spot for spot, path in areas.items() if shapely.Polygon(path).covers(where)]
    assert touching == [f"{decided}_{side_of(court, at, 'table')}"]
    assert hit in (touching, [])


@pytest.mark.parametrize("line", sorted(INSIDE))
@pytest.mark.parametrize("name", US)
def test_four_spot_areas_fill_the_front_court_once(name: str, line: str) -> None:
    court = FLOORS[name]
    areas = four_spot_areas(court, "right", line)
    whole = area(court_parts(court, "right")["frontcourt"])
    assert sum(area(path) for path in areas.values()) == pytest.approx(whole, rel=1e-5)
    union = shapely.union_all([shapely.Polygon(path) for path in areas.values()])
    assert union.area == pytest.approx(whole, rel=1e-5)


def test_facts_3_1_leads_coverage_area_as_a_polygon() -> None:
    lead = shapely.Polygon(coverage(HS, "left", "opposite")["lead"])
    assert lead.equals(shapely.box(0, 19, 19, 50))
    trail = shapely.Polygon(coverage(HS, "left", "opposite")["trail"])
    assert trail.area + lead.area == 42 * 50
    assert not trail.overlaps(lead)


def test_facts_3_1_six_fiba_areas_with_who_is_on_the_ball() -> None:
    areas = coverage_areas(FIBA, "left", "table")
    assert {name: who for name, (who, _) in areas.items()} == {
        "trail_side_high": "trail", "middle_high": "trail", "far_side_high": "trail",
        "far_side_low": "lead", "lane": "both", "trail_side_low": "trail_then_lead",
    }  # fmt: skip
    whole = area(court_parts(FIBA, "left")["frontcourt"])
    assert sum(area(path) for _, path in areas.values()) == pytest.approx(whole, rel=1e-5)
    _, trail_low = areas["trail_side_low"]
    assert shapely.Polygon(trail_low).covers(shapely.Point(5, 5)), (
        "the trail's own side is the table side here"
    )
    assert set(COVERAGE_SOURCES) == set(KINDS)


@pytest.mark.parametrize("name", sorted(FLOORS))
@pytest.mark.parametrize("line", DIVIDING_LINES)
@pytest.mark.parametrize("end", ENDS)
def test_dividing_paths_lie_on_the_lines_they_draw(name: str, line: str, end) -> None:
    court = FLOORS[name]
    path = dividing_path(court, end, line)
    assert path_length_ft(path) > 15
    for x, y in path:
        assert margin_ft(court, (round(x * FOOT), round(y * FOOT)), end, line) < 2e-3
    if line != "middle":
        assert path[0][1] < path[-1][1]


@pytest.mark.parametrize("name", sorted(FLOORS))
def test_boundary_names_turn_with_the_court_and_agree_with_the_line(name: str) -> None:
    court = FLOORS[name]
    for place in boundary_cells(court):
        for end in ENDS:
            said = boundary_name(court, place, end)
            line = boundary_line(court, place)
            assert said.endswith("end_line") == (line == "end_line")
            for ends, sides in TURNS:
                turned = boundary_name(
                    court, mirror_point(court, place, ends=ends, sides=sides), mirror_basket(end, ends=ends)
                )
                if said.endswith("sideline"):
                    assert turned == f"{mirror_side(said.split('_')[0], sides=sides)}_sideline"
                else:
                    assert turned == said


def test_boundary_names_one_by_one() -> None:
    named = {
        (0, 10 * FOOT): "frontcourt_end_line",
        (84 * FOOT, 10 * FOOT): "backcourt_end_line",
        (0, 0): "table_sideline",
        (42 * FOOT, 50 * FOOT): "opposite_sideline",
        (42 * FOOT, 10 * FOOT): "division_line",
    }
    assert {place: boundary_name(HS, place, "left") for place in named} == named
    for nowhere in ((10, 10), (-1, 0), (0, -1), (41 * FOOT, 10 * FOOT)):
        with pytest.raises(TenbetweenError, match="move it onto the line"):
            boundary_name(HS, nowhere, "left")


def test_areas_that_a_court_does_not_have_are_refused() -> None:
    with pytest.raises(TenbetweenError, match="choose us-hs"):
        four_spot_areas(FIBA, "left")
    with pytest.raises(TenbetweenError, match="did you mean 'arc'"):
        four_spot_areas(HS, "left", "ark")
    with pytest.raises(TenbetweenError, match="line"):
        dividing_path(HS, "left", "slant")


@pytest.mark.parametrize("side", SIDES)
def test_coverage_turns_with_the_court(side) -> None:
    for ends in (False, True):
        turned = coverage(HS, "right" if ends else "left", side)["lead"]
        own = shapely.Polygon(turned)
        x = 83 if ends else 1
        y = 1 if side == "table" else 49
        assert own.covers(shapely.Point(x, y))
        assert own.area == 19 * 31
