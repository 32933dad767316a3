"""Ways round bodies: never through one while a free way exists, never shorter than straight, the same mirrored."""

from __future__ import annotations

import heapq
from itertools import pairwise
from math import acos, cos, dist, isclose, nan, pi, sin, sqrt

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Point, Polygon

from tenbetween.court import court_of, mirror_feet
from tenbetween.errors import TenbetweenError
from tenbetween.movement import BRISK, Legs, Manners, Path, on_the_way, path
from tenbetween.movement.plane import around, clear, length_in, nearest
from tenbetween.scene import Crew, Official, Player, Scene, mirrored

COURT = court_of("us-hs")
CREW = Crew(Official((-3.0, 34.0)), Official((28.0, 12.0)))
PLAIN = Manners(out_of_lane=False, out_of_passing_lines=False)
WIDE = PLAIN.radius + PLAIN.elbow_room
places = st.tuples(st.floats(-4, 88), st.floats(-4, 54))


def scene_of(*at: tuple[float, float], ball: tuple[float, float] = (20.0, 20.0)) -> Scene:
    players = tuple(
        Player(f"{'ab'[n % 2]}{n // 2 + 1}", "ab"[n % 2], place)  # type: ignore[arg-type]
        for n, place in enumerate(at)
    )
    return Scene(players, (), ball, CREW, COURT)


def clear_of(
    way: Path, scene: Scene, start: tuple[float, float], end: tuple[float, float], slack: float = 1e-6
) -> bool:
    """Whether shapely agrees that the way stays out of every disc that start and end leave him."""
    line = LineString(way.points) if way.points[0] != way.points[-1] else Point(way.points[0])
    return all(
        line.distance(Point(player.at)) >= min(WIDE, dist(player.at, start), dist(player.at, end)) - slack
        for player in scene.players
    )


@settings(max_examples=60, deadline=None)
@given(places, places, st.lists(places, max_size=10))
def test_clear_of_bodies_and_no_shorter_than_straight(
    start: tuple[float, float], end: tuple[float, float], at: list[tuple[float, float]]
) -> None:
    scene = scene_of(*at)
    way = path(start, end, scene, PLAIN)
    assert (way.points[0], way.points[-1]) == (start, end)
    assert way.feet >= dist(start, end) - 1e-9
    assert sum(leg.feet for leg in way.legs) == pytest.approx(way.feet)
    if way.free:
        assert clear_of(way, scene, start, end)
    if clear_of(Path((start, end), (), True, PLAIN), scene, start, end, slack=0):
        assert way.free
        assert way.feet == pytest.approx(dist(start, end), abs=1e-6)


@settings(max_examples=40, deadline=None)
@given(places, places, st.lists(places, min_size=1, max_size=10), st.booleans(), st.booleans(), st.booleans())
def test_the_same_way_in_the_mirror(
    start: tuple[float, float],
    end: tuple[float, float],
    at: list[tuple[float, float]],
    ends: bool,
    sides: bool,
    outside: bool,
) -> None:
    manners = Manners(outside=outside)
    scene = scene_of(*at)

    def turned(place: tuple[float, float]) -> tuple[float, float]:
        return mirror_feet(COURT, place, ends=ends, sides=sides)

    here = path(start, end, scene, manners)
    there = path(turned(start), turned(end), mirrored(scene, ends=ends, sides=sides), manners)
    assert here.free == there.free
    assert cost(here, scene, manners) == pytest.approx(
        cost(there, mirrored(scene, ends=ends, sides=sides), manners), abs=1e-6
    )


def test_turn_for_turn_in_the_mirror() -> None:
    scene = scene_of((50.0, 25.5), (46.0, 30.0), (55.0, 22.0))
    start, end = (40.0, 24.0), (62.0, 27.0)
    here = path(start, end, scene)
    turned = mirrored(scene, ends=True)
    there = path(mirror_feet(COURT, start, ends=True), mirror_feet(COURT, end, ends=True), turned)
    assert len(here.points) > 2
    assert [leg.gait for leg in here.legs] == [leg.gait for leg in there.legs]
    for a, b in zip(here.points, there.points, strict=True):
        assert mirror_feet(COURT, a, ends=True) == pytest.approx(b, abs=1e-9)


def cost(way: Path, scene: Scene, manners: Manners) -> float:
    """The way with what it counts more, added up by shapely from the manners as they are written."""
    length, width = COURT.length / 304_800, COURT.width / 304_800
    areas = [Polygon([(x, 19), (x + 19, 19), (x + 19, 31), (x, 31)]) for x in (0, length - 19)]
    if manners.outside:
        areas.append(Polygon([(0, 0), (length, 0), (length, width), (0, width)]))
    if scene.players:
        holder = min(scene.players, key=lambda p: (dist(p.at, scene.ball), p.id))
        mates = [
            p for p in scene.players if p.team == holder.team and p.id != holder.id and p.at != scene.ball
        ]
        areas += [
            LineString([scene.ball, p.at]).buffer(manners.passing_half, cap_style="flat") for p in mates
        ]
    lines = [LineString(pair) for pair in pairwise(way.points) if pair[0] != pair[1]]
    inside = sum(line.intersection(area.buffer(-1e-9)).length for line in lines for area in areas)
    return way.feet + manners.shun * inside


def by_grid(start: tuple[int, int], end: tuple[int, int], bodies: list[tuple[float, float]]) -> float:
    """The shortest way on a half-foot grid with sixteen directions: longer than the true one by at most 2.8 %."""
    steps = [(a, b) for a in range(-2, 3) for b in range(-2, 3) if (a, b) != (0, 0)]
    queue, seen = [(0.0, (2 * start[0], 2 * start[1]))], set()
    while queue:
        so_far, at = heapq.heappop(queue)
        if at == (2 * end[0], 2 * end[1]):
            return so_far
        if at in seen:
            continue
        seen.add(at)
        for a, b in steps:
            there = (at[0] + a, at[1] + b)
            p, q = (at[0] / 2, at[1] / 2), (there[0] / 2, there[1] / 2)
            if there in seen or not (-5 <= q[0] <= 89 and -5 <= q[1] <= 55):
                continue
            if all(nearest(p, q, body) >= WIDE for body in bodies):
                heapq.heappush(queue, (so_far + dist(p, q), there))
    return float("inf")


@settings(max_examples=6, deadline=None)
@given(st.lists(st.tuples(st.floats(24, 36), st.floats(19, 31)), min_size=1, max_size=8))
def test_no_longer_than_the_best_way_on_a_grid(bodies: list[tuple[float, float]]) -> None:
    start, end = (20, 25), (40, 26)
    way = path((20.0, 25.0), (40.0, 26.0), scene_of(*bodies), PLAIN)
    assume(way.free)
    grid = by_grid(start, end, bodies)
    assert way.feet <= grid + 1e-6
    # a polygon of sixteen corners is longer than its disc by 1.3 % of the arc, the grid's way by up to 2.8 %
    assert grid <= way.feet * 1.03 + 1.0


def test_round_one_body_it_is_close_to_the_taut_string() -> None:
    scene = scene_of((50.0, 25.0))
    way = path((40.0, 25.0), (60.0, 25.0), scene, PLAIN)
    taut = 2 * sqrt(100 - WIDE**2) + WIDE * (pi - 2 * acos(WIDE / 10))
    assert taut <= way.feet <= taut * 1.002


def test_standing_all_but_in_a_body_he_walks_off_as_if_beside_it() -> None:
    way = path((0.0, 0.0), (0.0, 1.0), scene_of((0.0, 1.2e-7)), PLAIN)
    assert way.free
    assert way.feet == pytest.approx(1.0, abs=1e-5)


def test_a_closed_ring_leaves_no_free_way() -> None:
    ring = [(40 + 4 * cos(n * pi / 5), 25 + 4 * sin(n * pi / 5)) for n in range(10)]
    way = path(
        (40.0, 25.0), (60.0, 25.0), scene_of(*ring), Manners(out_of_lane=False, out_of_passing_lines=False)
    )
    assert not way.free
    assert way.points == ((40.0, 25.0), (60.0, 25.0))


def test_out_of_the_lane_unless_he_must_be_in_it() -> None:
    scene = Scene((), (), (nan, nan), CREW, COURT)
    through = path((5.0, 10.0), (5.0, 40.0), scene, PLAIN)
    around_it = path((5.0, 10.0), (5.0, 40.0), scene, Manners())
    lane = ((0.0, 19.0), (19.0, 19.0), (19.0, 31.0), (0.0, 31.0))
    crossed = [sum(length_in(a, b, lane) for a, b in pairwise(way.points)) for way in (through, around_it)]
    assert crossed[0] == pytest.approx(12)
    assert crossed[1] == 0
    assert path((5.0, 25.0), (5.0, 40.0), scene, Manners()).points == ((5.0, 25.0), (5.0, 40.0))


def test_out_of_a_passing_line() -> None:
    scene = Scene(
        (Player("a1", "a", (40.0, 10.0)), Player("a2", "a", (40.0, 30.0))), (), (40.0, 10.0), CREW, COURT
    )
    line = ((38.5, 10.0), (41.5, 10.0), (41.5, 30.0), (38.5, 30.0))
    manners = Manners(shun=20.0)
    way = path((30.0, 20.0), (50.0, 20.0), scene, manners)
    assert sum(length_in(a, b, line) for a, b in pairwise(way.points)) < 1e-6
    assert way.feet > 20.5


def test_along_outside_the_lines() -> None:
    scene = Scene((), (), (nan, nan), CREW, COURT)
    way = path((10.0, -2.0), (70.0, -2.0), scene, Manners(outside=True))
    assert way.feet == pytest.approx(60)
    way = path((20.0, 2.0), (80.0, 2.0), scene, Manners(outside=True))
    assert all(y <= 2.0 for _, y in way.points)
    inside = sum(
        length_in(a, b, ((0.0, 0.0), (84.0, 0.0), (84.0, 50.0), (0.0, 50.0))) for a, b in pairwise(way.points)
    )
    assert inside < 6


# -- eyes and feet ----------


def test_gait_follows_from_where_he_looks() -> None:
    scene = scene_of((60.0, 25.0))
    towards = path((20.0, 25.0), (40.0, 25.0), scene, PLAIN)
    away = path((40.0, 25.0), (20.0, 25.0), scene, PLAIN)
    across = path((60.0, 5.0), (60.5, 5.0), scene, PLAIN)
    assert [{leg.gait for leg in way.legs} for way in (towards, away, across)] == [
        {"forward"},
        {"backwards"},
        {"sideways"},
    ]
    assert {leg.facing for leg in towards.legs} == {0.0}
    times = [on_the_way(way, BRISK).arrival.total for way in (towards, away)]
    assert times[0] < times[1]
    assert {on_the_way(way, BRISK).arrival.feet for way in (towards, away)} == {20.0}


def test_looking_where_he_runs_he_loses_the_players() -> None:
    scene = scene_of((60.0, 25.0), (62.0, 20.0))
    eyes = {
        which: on_the_way(path((40.0, 25.0), (20.0, 25.0), scene, Manners(eyes=which)), BRISK)  # type: ignore[arg-type]
        for which in ("players", "ball", "way")
    }
    assert eyes["players"].in_view == 1.0
    assert eyes["way"].in_view == 0.0
    assert eyes["way"].arrival.total < eyes["players"].arrival.total
    assert eyes["players"].all_in_view == 1.0


def test_share_of_time_counts_slow_pieces_longer() -> None:
    """Half the way before the player, half past him: the half run backwards takes more of the time."""
    slow = Legs("slow backwards", 20.0, 1.0, 0.0, backwards=0.25)
    scene = scene_of((30.0, 24.999))
    manners = Manners(elbow_room=0.0, radius=0.0, out_of_lane=False, out_of_passing_lines=False, piece=0.5)
    found = on_the_way(path((20.0, 25.0), (40.0, 25.0), scene, manners), slow)
    assert found.seconds["backwards"] == pytest.approx(4 * found.seconds["forward"], rel=0.12)
    assert found.arrival.moving == pytest.approx(sum(found.seconds.values()))


@settings(max_examples=30, deadline=None)
@given(places, places, st.lists(places, max_size=10), st.sampled_from(["players", "ball", "way"]))
def test_every_piece_has_a_facing_a_gait_and_a_share(
    start: tuple[float, float], end: tuple[float, float], at: list[tuple[float, float]], eyes: str
) -> None:
    scene = scene_of(*at)
    way = path(start, end, scene, Manners(eyes=eyes))  # type: ignore[arg-type]
    assert way.legs[0].start == start
    assert way.legs[-1].end == end
    assert all(a.end == b.start for a, b in pairwise(way.legs))
    assert all(0 <= leg.facing < 360 and leg.feet <= 3 + 1e-6 for leg in way.legs)
    assert all(leg.in_view is None if not at else 0 <= leg.in_view <= 1 for leg in way.legs)  # type: ignore[operator]
    found = on_the_way(way, BRISK)
    assert found.in_view is None or 0 <= found.in_view <= 1 + 1e-12
    assert isclose(sum(found.seconds.values()), found.arrival.moving, abs_tol=1e-9) or way.feet == 0


def test_the_polygon_round_a_disc_stays_outside_and_close() -> None:
    corners = around((3.0, 4.0), 2.5)
    assert Polygon(corners).contains(Point(3.0, 4.0).buffer(2.499))
    assert max(dist(one, (3.0, 4.0)) for one in corners) < 2.5 * 1.02


@given(places, places, places, st.floats(0, 20))
def test_clear_of_a_disc_as_its_nearest_point_tells(
    a: tuple[float, float], b: tuple[float, float], middle: tuple[float, float], radius: float
) -> None:
    assume(a == b or dist(a, b) > 1e-6)  # a shorter line has no length for the other library
    away = LineString([a, b]).distance(Point(middle)) if a != b else dist(a, middle)
    assert nearest(a, b, middle) == pytest.approx(away, abs=1e-9)
    assume(abs(away - radius) > 1e-6)
    assert clear(a, b, [(middle, radius)]) == (away > radius)


@given(places, places, st.lists(places, min_size=3, max_size=3))
def test_length_inside_an_area_as_shapely_has_it(
    a: tuple[float, float], b: tuple[float, float], corners: list[tuple[float, float]]
) -> None:
    area = Polygon(corners)
    assume(area.area > 1 and a != b)
    line = LineString([a, b])
    expected = line.intersection(area).length
    # along an edge the least rounding decides whether he is in it or beside it
    assume(abs(line.intersection(area.buffer(-1e-7, join_style="mitre")).length - expected) < 1e-3)
    assume(abs(line.intersection(area.buffer(1e-7, join_style="mitre")).length - expected) < 1e-3)
    assert length_in(a, b, tuple(corners)) == pytest.approx(expected, abs=1e-5)


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(TenbetweenError) as fault:
        path((nan, 0.0), (0.0, 400.0), scene_of())
    assert len(fault.value.problems) == 2
    with pytest.raises(TenbetweenError) as fault:
        Manners(radius=-1.0, piece=0.0, eyes="shut")  # type: ignore[arg-type]
    assert {one.where for one in fault.value.problems} == {"radius", "piece", "eyes"}


def test_a_player_whose_place_is_not_known_is_no_obstacle() -> None:
    scene = Scene((Player("a1", "a", (nan, 25.0)),), (), (50.0, 25.0), CREW, COURT)
    assert path((40.0, 25.0), (60.0, 25.0), scene, PLAIN).points == ((40.0, 25.0), (60.0, 25.0))
