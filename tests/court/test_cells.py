"""Place cells: every reachable cell once, none missing, closed under turning the court."""

from __future__ import annotations

from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tenbetween.court import (
    CURVES,
    boundary_cells,
    boundary_line,
    cell_signature,
    depth,
    half,
    inside_arc,
    inside_corner_to_elbow,
    mirror_point,
    nearest_spot,
    place_cells,
    side_of,
)
from tenbetween.errors import TenbetweenError
from tenbetween.units import FOOT

from .floors import ENDS, FLOORS, TURNS

CHOICES = (
    ("arc",),
    ("corner_to_elbow",),
    ("corner_to_elbow_over_circle",),
    ("nearest",),
    ("arc", "nearest"),
    CURVES,
)
HS, FIBA = FLOORS["84 ft"], FLOORS["fiba"]
share = st.integers(0, 1_000_000)


@cache
def by_signature(name: str, curves: tuple[str, ...]) -> dict:
    court = FLOORS[name]
    return {cell_signature(court, at, curves): at for at in place_cells(court, curves)}


@pytest.mark.parametrize("curves", CHOICES)
@pytest.mark.parametrize("name", sorted(FLOORS))
def test_each_cell_has_one_point_on_the_floor_and_its_reflections(name: str, curves) -> None:
    court = FLOORS[name]
    cells = place_cells(court, curves)
    assert len({cell_signature(court, at, curves) for at in cells}) == len(cells)
    assert all(0 <= x <= court.length and 0 <= y <= court.width for x, y in cells)
    for ends, sides in TURNS:
        assert {mirror_point(court, at, ends=ends, sides=sides) for at in cells} == set(cells)


@settings(max_examples=150)
@given(share, share, share, st.sampled_from((0, 1, 2, 40, 3_000, 200_000)), st.data())
@pytest.mark.parametrize("curves", CHOICES)
@pytest.mark.parametrize("name", sorted(FLOORS))
def test_every_place_lies_in_a_cell_that_is_counted(name, curves, along, across, pick, reach, data) -> None:
    court = FLOORS[name]
    cells = place_cells(court, curves)
    known = by_signature(name, curves)
    anywhere = (court.length * along // 1_000_000, court.width * across // 1_000_000)
    near = cells[pick % len(cells)]
    step = st.integers(-reach, reach)
    beside = (near[0] + data.draw(step), near[1] + data.draw(step))
    kept = (min(max(beside[0], 0), court.length), min(max(beside[1], 0), court.width))
    assert cell_signature(court, anywhere, curves) in known
    assert cell_signature(court, kept, curves) in known


@settings(max_examples=150)
@given(share, share)
@pytest.mark.parametrize("name", sorted(FLOORS))
def test_two_places_in_one_cell_get_the_same_decisions(name: str, along: int, across: int) -> None:
    court = FLOORS[name]
    at = (court.length * along // 1_000_000, court.width * across // 1_000_000)
    twin = by_signature(name, CURVES)[cell_signature(court, at, CURVES)]

    def decisions(place):
        found = [(half(court, place, end), depth(court, place, end)) for end in ENDS]
        found += [inside_arc(court, place, end) for end in ENDS]
        found += [
            inside_corner_to_elbow(court, place, end, top)
            for end in ENDS
            for top in ("straight", "over_circle")
        ]
        return [*found, side_of(court, place, "table"), nearest_spot(court, place, "table")[1]]

    assert decisions(at) == decisions(twin)


def test_the_counts_of_the_usual_floors() -> None:
    """Kept here so that a change of the cutting shows; every number was counted, none was aimed at."""
    assert [len(place_cells(HS, curves)) for curves in CHOICES] == [177, 141, 153, 153, 201, 209]
    assert [len(place_cells(FIBA, curves)) for curves in CHOICES] == [241, 189, 217, 245, 333, 393]
    assert (len(boundary_cells(HS)), len(boundary_cells(FIBA))) == (48, 48)


def test_cells_include_the_exact_places_of_the_conventions() -> None:
    arc = set(place_cells(HS, ("arc",)))
    assert {(0, 0), (HS.length, HS.width), (HS.length // 2, HS.axis)} <= arc
    on_line = [at for at in arc if cell_signature(HS, at, ("arc",))[-2] == 0]
    # on the arc: both straight parts with their ends, the top, and pieces between the lines that cut it
    assert len(on_line) == 13
    assert all(inside_arc(HS, at, "left") for at in on_line)


def test_an_odd_curve_is_refused() -> None:
    with pytest.raises(TenbetweenError, match="curves"):
        place_cells(HS, ("bulge",))


@pytest.mark.parametrize("name", sorted(FLOORS))
def test_boundary_cells_are_on_the_boundary_and_turn_into_themselves(name: str) -> None:
    court = FLOORS[name]
    cells = set(boundary_cells(court))
    assert {boundary_line(court, at) for at in cells} == {"sideline", "end_line", "division_line"}
    for ends, sides in TURNS:
        assert {mirror_point(court, at, ends=ends, sides=sides) for at in cells} == cells


def test_boundary_cells_hold_each_mark_and_a_point_between_each_two() -> None:
    feet = [x / FOOT for x, y in boundary_cells(HS) if y == 0]
    assert feet == [0, 9.5, 19, 23.5, 28, 35, 42, 49, 56, 60.5, 65, 74.5, 84]
    feet = [y / FOOT for x, y in boundary_cells(HS) if x == 0]
    assert feet == [0, 8, 16, 17.5, 19, 22, 25, 28, 31, 32.5, 34, 42, 50]
    metres = [round(x / 1e6, 4) for x, y in boundary_cells(FIBA) if y == 0][:6]
    assert metres == [0, 2.9, 5.8, 7.0625, 8.325, 11.1625]
