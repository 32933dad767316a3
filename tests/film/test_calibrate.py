"""The court found from clicks, held to a truth we chose, beside a homography of the same clicks from another library.

Targets and plain figures: section 6 of our film notes, C1 to C4. Cameras, clicks and hands are drawn with fixed dice.
Chi-squared limits 5.991 and 1.386 are those of any table (two numbers, 95 and 50 of 100).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import optimize, stats

from film.cameras import (
    COURT,
    PICTURE,
    Off,
    clicked,
    ground_error,
    in_view,
    painted_points,
    some_camera,
    spread_out,
    visible_floor,
)
from tenbetween.court import court_of, landmarks, mirror_feet
from tenbetween.film import pinhole
from tenbetween.film.calibrate import (
    Known,
    Solved,
    covariance_of,
    off_clicks,
    same_place,
    solve,
    somewhere,
)
from tenbetween.film.camera import Camera
from tenbetween.film.clicks import Click, Clicks, lines_of, measured, places_of, rounds_of
from tenbetween.film.error_ellipse import CHI2_50, CHI2_95, footholds
from tenbetween.film.landmark_check import fits, limit, suspect, too_little, why_not
from tenbetween.film.locate import locate

KNOWN = somewhere(COURT)
POINTS = painted_points(COURT)


def solved(clicks: Clicks, known: tuple[Known, ...] = KNOWN) -> Solved:
    found = solve(clicks.picture, measured(clicks), clicks.sd, known)
    assert found is not None
    return found


# -- the camera model, against another library ----------


def peer_dots(camera: Camera, places: np.ndarray) -> np.ndarray:
    """The same camera by OpenCV's own model of a lens."""
    turn = camera.turn()
    lens = np.array([[camera.focal, 0, camera.middle[0]], [0, camera.focal, camera.middle[1]], [0, 0, 1.0]])
    moved = -turn @ np.array([camera.x, camera.y, camera.z])
    bend = np.array([camera.k1, 0, 0, 0.0])
    return cv2.projectPoints(places, cv2.Rodrigues(turn)[0], moved, lens, bend)[0][:, 0]


@pytest.mark.parametrize("k1", [0.0, -0.08, 0.03])
def test_a_place_lies_where_another_library_sees_it(k1: float) -> None:
    dice = np.random.default_rng(1)
    for _ in range(20):
        camera = some_camera(dice, k1=k1)
        places = np.column_stack(
            [visible_floor(camera, 7.0), dice.uniform(0, 10, len(visible_floor(camera, 7.0)))]
        )
        assert camera.dots(places) == pytest.approx(peer_dots(camera, places), abs=1e-6)
        many = pinhole.dots(camera.numbers()[None], places, camera.middle)[0]
        assert many == pytest.approx(peer_dots(camera, places), abs=1e-6)


@settings(max_examples=150, deadline=None)
@given(st.integers(0, 10**6), st.floats(-0.08, 0.03), st.floats(0, 84), st.floats(0, 50))
def test_to_the_picture_and_back_to_the_floor(seed: int, k1: float, x: float, y: float) -> None:
    camera = some_camera(np.random.default_rng(seed), k1=k1)
    dot = camera.dots([[x, y]])
    inside = (dot >= 0).all() and (dot <= np.array(PICTURE) - 1).all()
    if inside:
        assert camera.floor(dot)[0] == pytest.approx([x, y], abs=1e-6)
        again = pinhole.floors(camera.numbers()[None], dot, camera.middle)[0]
        assert again[0] == pytest.approx([x, y], abs=1e-4)


def test_a_dot_on_a_line_is_as_far_off_it_as_it_was_moved_across() -> None:
    """Against the nearest of many points along the line, projected one by one."""
    dice = np.random.default_rng(2)
    for _ in range(20):
        camera = some_camera(dice, k1=-0.04)
        for ends in (lines_of(COURT)["division_line"], lines_of(COURT)["left_free_throw_line"]):
            run = np.linspace(ends[0], ends[1], 4001)
            dots = camera.dots(run)
            inside = np.flatnonzero((dots > 0).all(1) & (dots < np.array(PICTURE)).all(1))
            if len(inside) < 100:
                continue
            clicked_at = dots[inside[len(inside) // 2]] + dice.normal(0, 3, 2)
            nearest = np.linalg.norm(dots - clicked_at, axis=1).min()
            both = np.array([[[*ends[0], 0.0], [*ends[1], 0.0]]])
            told = pinhole.off_lines(camera.numbers()[None], both, clicked_at[None], camera.middle)[0, 0]
            assert abs(told) == pytest.approx(nearest, rel=0.05, abs=0.02)


def test_a_dot_on_an_arc_is_as_far_off_it_as_it_was_moved_across() -> None:
    dice = np.random.default_rng(3)
    turns = np.linspace(0, 2 * np.pi, 20001)
    for name in ("left_arc", "centre_circle"):
        x, y, radius = rounds_of(COURT)[name]
        for _ in range(20):
            camera = some_camera(dice, k1=-0.04)
            dots = camera.dots(np.column_stack([x + radius * np.cos(turns), y + radius * np.sin(turns)]))
            inside = np.flatnonzero((dots > 0).all(1) & (dots < np.array(PICTURE)).all(1))
            if len(inside) < 1000:
                continue
            clicked_at = dots[dice.choice(inside)] + dice.normal(0, 2, 2)
            nearest = np.linalg.norm(dots - clicked_at, axis=1).min()
            told = pinhole.off_curves(
                camera.numbers()[None], np.array([[x, y, radius]]), clicked_at[None], camera.middle
            )[0, 0]
            assert abs(told) == pytest.approx(nearest, rel=0.15, abs=0.25)


# -- C1 and C2: how far the floor comes out, beside a homography ----------


@dataclass(frozen=True)
class Trial:
    camera: Off
    plane: Off
    """The plain method: a homography of the same clicks by another library."""


def by_plane(clicks: Clicks, truth: Camera) -> Off:
    seen = measured(clicks)
    plane, _ = cv2.findHomography(seen.place_dots, seen.places[:, :2])
    if plane is None:
        return Off(1e3, 1e3)
    return ground_error(truth, lambda dots: cv2.perspectiveTransform(dots[None], plane)[0])


@lru_cache
def trials(count: int, marks: int, seed: int = 8) -> tuple[Trial, ...]:
    dice, found = np.random.default_rng(seed), []
    for _ in range(count):
        truth = some_camera(dice)
        clicks = clicked(truth, spread_out(truth, in_view(truth, POINTS), marks, dice), dice)
        found.append(Trial(ground_error(truth, solved(clicks).camera.floor), by_plane(clicks, truth)))
    return tuple(found)


def middle(of: list[float]) -> float:
    return float(np.median(of))


def unlucky(of: list[float]) -> float:
    """The trial at which the unlucky tenth begins."""
    return float(np.quantile(of, 0.9))


def held(count: int, marks: int, median: float, p90: float) -> None:
    some = trials(count, marks)
    assert middle([one.camera.median for one in some]) <= median
    assert middle([one.camera.p90 for one in some]) <= p90


def test_four_and_six_clicks_small() -> None:
    """C1 with forty cameras: a little room for so few; and never behind the plain method in its unlucky tenth."""
    held(40, 4, 0.50, 1.1)
    held(40, 6, 0.38, 0.80)
    some = trials(40, 4)
    ours, plain = (unlucky([getattr(one, way).median for one in some]) for way in ("camera", "plane"))
    assert ours < 0.75 * plain


@pytest.mark.full
def test_four_and_six_clicks() -> None:
    """C1: 4 spread clicks of 2 dots: 0.45 and 1.0 ft; 6 clicks: 0.35 and 0.75 ft."""
    held(600, 4, 0.45, 1.0)
    held(300, 6, 0.35, 0.75)


@pytest.mark.full
def test_the_unlucky_tenth() -> None:
    """C2: at most 0.9 ft with four clicks, where a homography of the same clicks has 1.6 ft or more."""
    some = trials(600, 4)
    assert unlucky([one.plane.median for one in some]) >= 1.6
    assert unlucky([one.camera.median for one in some]) <= 0.9


def test_many_exact_clicks_give_the_camera_again_as_the_plane_does() -> None:
    """Where nothing is to be gained both ways agree: exact clicks on every mark in view."""
    dice = np.random.default_rng(4)
    for _ in range(10):
        truth = some_camera(dice)
        clicks = clicked(truth, in_view(truth, POINTS), dice, sd=0.0)
        found = solved(replace(clicks, sd=0.01))
        assert ground_error(truth, found.camera.floor).p90 < 0.01
        assert by_plane(clicks, truth).p90 < 0.01
        assert found.camera.x == pytest.approx(truth.x, abs=0.1)


def test_the_answer_is_the_lowest_there_is() -> None:
    """Scipy from the true camera, with slopes of its own, finds nothing lower."""
    dice = np.random.default_rng(5)
    for marks in (4, 6):
        for _ in range(15):
            truth = some_camera(dice)
            clicks = clicked(truth, spread_out(truth, in_view(truth, POINTS), marks, dice), dice)
            seen, found = measured(clicks), solved(clicks)

            def off(numbers: np.ndarray, seen=seen, clicks=clicks) -> np.ndarray:
                rows = off_clicks(clicks.picture, seen, numbers[None])[0] / clicks.sd
                return np.concatenate([rows, KNOWN[0].off(numbers[None])[0]])

            peer = optimize.least_squares(
                off, truth.numbers(), x_scale=np.array([1, 1, 1, 0.01, 0.01, 0.01, 0.01, 0.01])
            )
            assert found.chi2 <= 2 * peer.cost + 0.02


# -- C3: ellipses ----------


def coverage(count: int, k1: bool) -> tuple[float, float]:
    """Return the share of feet within their 95 and their 50 % ellipse, as answered; four to eight marks and four feet."""
    dice, apart, refused = np.random.default_rng(11 + k1), [], 0
    for number in range(count):
        truth = some_camera(dice, k1=float(dice.uniform(-0.1, 0.02)) if k1 else 0.0)
        floor = visible_floor(truth)
        feet = floor[dice.integers(0, len(floor), 4)]
        names = spread_out(truth, in_view(truth, POINTS), (4, 6, 8)[number % 3], dice)
        found = locate(clicked(truth, names, dice, feet=feet))
        refused += not found.ok
        for foot, at in zip(found.feet, feet if found.ok else (), strict=True):
            if foot.hold is not None:
                away = np.array(foot.hold.at) - at
                apart.append(away @ np.linalg.inv(foot.hold.spread) @ away)
    assert refused <= 0.03 * count
    assert len(apart) > 3.8 * count
    return float((np.array(apart) < CHI2_95).mean()), float((np.array(apart) < CHI2_50).mean())


@pytest.mark.parametrize("k1", [False, True])
def test_ellipses_hold_what_they_say_small(k1: bool) -> None:
    """C3 with sixty cameras: 240 feet are known to about 1.5 and 3 of 100."""
    most, half = coverage(60, k1)
    assert 0.91 <= most <= 0.99
    assert 0.42 <= half <= 0.60


@pytest.mark.full
@pytest.mark.parametrize("k1", [False, True])
def test_ellipses_hold_what_they_say(k1: bool) -> None:
    """C3: the 95 % ellipse holds 93 to 97 of 100, the 50 % one 46 to 54, with and without a bent lens."""
    most, half = coverage(400, k1)
    assert 0.93 <= most <= 0.97
    assert 0.46 <= half <= 0.54


def test_an_ellipse_is_the_spread_of_many_hands() -> None:
    """Not by formula: the same foot clicked by a hundred and twenty hands, marks and all."""
    dice = np.random.default_rng(12)
    truth = some_camera(dice)
    names = spread_out(truth, in_view(truth, POINTS), 6, dice)
    foot = visible_floor(truth)[40:41]
    found = []
    for _ in range(120):
        clicks = clicked(truth, names, dice, feet=foot)
        one = solved(clicks)
        found.append(footholds(one.camera, one.covariance, np.array([clicks.feet[0].dot]), 2.0)[0])
    spread = np.cov(np.array([one.at for one in found if one]).T)
    said = np.mean([one.spread for one in found if one], axis=0)
    assert np.sqrt(np.linalg.eigvalsh(spread)) == pytest.approx(np.sqrt(np.linalg.eigvalsh(said)), rel=0.25)


# -- C4: a wrong name ----------


@dataclass(frozen=True)
class Named:
    false: float
    flagged: float
    named: float


def wrong_names(count: int, seed: int = 3) -> Named:
    dice, tally = np.random.default_rng(seed), np.zeros(3)
    for _ in range(count):
        truth = some_camera(dice)
        names = spread_out(truth, in_view(truth, POINTS), 6, dice)
        clicks = clicked(truth, names, dice)
        tally[0] += not fits(solved(clicks))
        spoilt = int(dice.integers(6))
        other = str(dice.choice([name for name in POINTS if name not in names]))
        marks = tuple(
            replace(one, name=other) if n == spoilt else one for n, one in enumerate(clicks.landmarks)
        )
        bad = replace(clicks, landmarks=marks)
        found = solve(bad.picture, measured(bad), bad.sd, KNOWN)
        if not fits(found):
            tally[1] += 1
            culprit = suspect(bad, found, KNOWN)
            tally[2] += culprit is not None and culprit.numbers == (spoilt,)
    return Named(*(tally / count).tolist())


def test_a_wrong_name_is_seen_and_named_small() -> None:
    found = wrong_names(12)
    assert found.false == 0
    assert found.flagged == 1
    assert found.named >= 0.9


@pytest.mark.full
@pytest.mark.parametrize("seed", [3, 4, 5])
def test_a_wrong_name_is_seen_and_named(seed: int) -> None:
    """C4, three times a hundred cameras: one misnamed mark of six flagged in 98, named in 95, false alarm in 1."""
    found = wrong_names(100, seed)
    assert found.flagged >= 0.98
    assert found.named >= 0.95
    assert found.false <= 0.01


@pytest.mark.parametrize("freedom", [1, 3, 5, 9, 30])
def test_limits_are_those_of_the_table(freedom: int) -> None:
    assert limit(freedom, 0.95) == pytest.approx(stats.chi2.ppf(0.95, freedom), rel=1e-9)


# -- what must not change the answer ----------


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 10**6), st.randoms(use_true_random=False))
def test_shuffled_clicks_give_the_same_answer(seed: int, hand: object) -> None:
    dice = np.random.default_rng(seed)
    truth = some_camera(dice)
    clicks = clicked(truth, spread_out(truth, in_view(truth, POINTS), 6, dice), dice)
    marks = list(clicks.landmarks)
    hand.shuffle(marks)  # type: ignore[attr-defined]
    one, other = solved(clicks), solved(replace(clicks, landmarks=tuple(marks)))
    assert other.chi2 == pytest.approx(one.chi2, abs=1e-4)
    dots = truth.dots(visible_floor(truth, 8.0))
    assert other.camera.floor(dots) == pytest.approx(one.camera.floor(dots), abs=0.02)


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 10**6), st.sampled_from(["ends", "turned"]))
def test_a_mirrored_court_gives_the_mirrored_answer(seed: int, way: str) -> None:
    """Ends exchanged is a mirrored picture; ends and sides exchanged is the same picture seen from across."""
    dice = np.random.default_rng(seed)
    truth = some_camera(dice)
    clicks = clicked(truth, spread_out(truth, in_view(truth, POINTS), 6, dice), dice)
    sides = way == "turned"
    by_place = {at: name for name, at in landmarks(COURT).items()}

    def turned(mark: Click) -> Click:
        name = by_place[mirror_feet(COURT, landmarks(COURT)[mark.name], ends=True, sides=sides)]
        u, v = mark.dot
        return Click(name, (u if sides else PICTURE[0] - 1 - u, v))

    other = solved(replace(clicks, landmarks=tuple(turned(mark) for mark in clicks.landmarks)))
    one = solved(clicks)
    dots = truth.dots(visible_floor(truth, 8.0))
    seen = dots if sides else np.column_stack([PICTURE[0] - 1 - dots[:, 0], dots[:, 1]])
    mirrored = [mirror_feet(COURT, (x, y), ends=True, sides=sides) for x, y in other.camera.floor(seen)]
    assert np.array(mirrored) == pytest.approx(one.camera.floor(dots), abs=0.02)


# -- lines, arcs, things in the air, other floors ----------


def test_two_marks_and_dots_on_lines_do_as_well_as_our_notes_say() -> None:
    """Two places and ten dots on lines: 0.35 ft in the notes; beside the same two places and four dots."""
    dice, many, few = np.random.default_rng(21), [], []
    for _ in range(14):
        truth = some_camera(dice)
        names = spread_out(truth, in_view(truth, POINTS), 4, dice)[:2]
        clicks = clicked(truth, names, dice)
        on_lines = dots_on_lines(truth, 10, dice)
        for store, some in ((many, on_lines), (few, on_lines[:6])):
            found = solved(replace(clicks, lines=some))
            store.append(ground_error(truth, found.camera.floor).median)
    assert middle(many) <= 0.5
    assert middle(many) < middle(few)


def dots_on_lines(camera: Camera, count: int, dice: np.random.Generator) -> tuple[Click, ...]:
    """Dots on straight and round lines in view, each line as often as the dice will."""
    found: list[Click] = []
    bows = {
        name: one
        for name, one in rounds_of(COURT).items()
        if name in ("left_arc", "right_arc", "centre_circle")
    }
    names = [name for name in lines_of(COURT) if name.endswith(("line", "straight"))] + list(bows)
    while len(found) < count:
        name = str(dice.choice(names))
        if name in bows:
            x, y, radius = bows[name]
            turn = dice.uniform(-1.5, 1.5) + (np.pi if x > 42 else 0)
            at = np.array([[x + radius * np.cos(turn), y + radius * np.sin(turn)]])
        else:
            first, last = lines_of(COURT)[name]
            at = np.array([first]) + dice.uniform() * (np.array([last]) - first)
        dot = camera.dots(at)[0]
        if (dot > 5).all() and (dot < np.array(PICTURE) - 6).all():
            u, v = dot + dice.normal(0, 2, 2)
            found.append(Click(name, (float(u), float(v))))
    return tuple(found)


def test_a_basket_counts_at_the_height_of_its_ring_and_a_backboard_edge_as_an_upright() -> None:
    truth = Camera(42.0, -40.0, 16.0, 0.15, 0.22, 0.01, 780.0, 0.0, PICTURE)
    names = [
        "division_line_table",
        "left_opposite_corner",
        "right_opposite_corner",
        "left_free_throw_line_middle",
    ]
    dice = np.random.default_rng(1)
    clicks = clicked(truth, names, dice, sd=0.0)
    ring = truth.dots([[78.75, 25.0, 10.0]])[0]
    edge = truth.dots([[80.0, 22.0, 11.7]])[0]
    more = (Click("right_basket", tuple(ring)), Click("right_table_backboard_edge", tuple(edge)))
    with_them = replace(clicks, landmarks=(*clicks.landmarks, *more), sd=0.5)
    found = solved(with_them)
    assert measured(with_them).count == 11
    assert np.abs(found.off).max() < 0.02
    assert ground_error(truth, found.camera.floor).p90 < 0.05
    wrong = replace(with_them, landmarks=(*clicks.landmarks, Click("right_basket", (ring[0], ring[1] + 60))))
    assert not fits(solve(PICTURE, measured(wrong), 0.5, KNOWN))


@pytest.mark.parametrize("kind", ["us-hs", "fiba"])
@pytest.mark.parametrize("place", [(42.0, -45.0), (42.0, 95.0), (-35.0, 25.0), (118.0, 20.0)])
def test_a_camera_is_found_on_whichever_side_it_stands(kind: str, place: tuple[float, float]) -> None:
    court = court_of(kind)
    away = np.array([42.0, 24.0]) - place
    truth = Camera(*place, 15.0, float(np.arctan2(*away)), 0.25, 0.0, 900.0, 0.0, PICTURE)
    at = {name: at for name, at in places_of(court).items() if at[2] == 0}
    dots = truth.dots(list(at.values()))
    seen = [
        Click(name, (float(u), float(v)))
        for name, (u, v) in zip(at, dots, strict=True)
        if 0 < u < PICTURE[0] and 0 < v < PICTURE[1]
    ]
    found = solve(PICTURE, measured(Clicks(PICTURE, court, tuple(seen[::3]))), 2.0, somewhere(court))
    assert found is not None
    assert ground_error(truth, found.camera.floor).p90 < 0.1
    assert (found.camera.x, found.camera.y) == pytest.approx(place, abs=3)


def test_a_known_place_makes_two_clicks_enough() -> None:
    """Two clicks at a place found before: 0.51 ft in our notes with the place known to half a foot."""
    dice, off, blind = np.random.default_rng(31), [], []
    for _ in range(25):
        truth = some_camera(dice)
        names = in_view(truth, POINTS)
        first = solved(clicked(truth, names, dice))
        turned = replace(
            truth, pan=truth.pan + 0.05, focal=truth.focal * 1.1, x=truth.x + dice.normal(0, 0.2)
        )
        seen = in_view(turned, POINTS)
        two = clicked(turned, spread_out(turned, seen, 4, dice)[:2], dice)
        known = (same_place(first.camera, first.covariance),)
        off.append(ground_error(turned, solved(two, known).camera.floor).median)
        blind.append(ground_error(turned, solved(two).camera.floor).median)
    assert middle(off) <= 0.6
    assert middle(blind) > 2 * middle(off)


# -- refusing ----------

MARKS = {name: (10.0 * n, 5.0 * n) for n, name in enumerate(POINTS)}


@pytest.mark.parametrize(
    ("names", "lines", "says"),
    [
        ((), (), "too few"),
        (("left_table_corner",), (), "too few marks: 1 landmark"),
        (
            ("left_table_corner", "left_opposite_corner", "division_line_table"),
            (),
            "too few marks: 3 landmarks",
        ),
        (("left_table_corner",), ("division_line",) * 9, "two of them landmarks"),
        (
            ("left_table_corner", "left_table_28_ft_spot", "division_line_table", "right_table_corner"),
            ("table_sideline",),
            "on one line",
        ),
    ],
)
def test_too_little_is_refused(names: tuple[str, ...], lines: tuple[str, ...], says: str) -> None:
    spread = [(100.0 + 200 * n, 300.0 + 37 * (n % 3)) for n in range(10)]
    marks = tuple(Click(name, at) for name, at in zip(names, spread, strict=False))
    dots = tuple(Click(name, at) for name, at in zip(lines, spread, strict=False))
    assert says in (too_little(Clicks(PICTURE, COURT, marks, dots)) or "")


def test_bunched_marks_are_refused() -> None:
    names = ("left_table_corner", "left_opposite_corner", "right_table_corner", "right_opposite_corner")
    marks = tuple(Click(name, (600.0 + 20 * n, 300.0 + 15 * (n % 2))) for n, name in enumerate(names))
    assert "bunched" in (too_little(Clicks(PICTURE, COURT, marks)) or "")


def test_left_and_right_exchanged_is_said() -> None:
    dice = np.random.default_rng(41)
    truth = some_camera(dice)
    clicks = clicked(truth, spread_out(truth, in_view(truth, POINTS), 6, dice), dice)
    by_place = {at: name for name, at in landmarks(COURT).items()}
    marks = tuple(
        replace(one, name=by_place[mirror_feet(COURT, landmarks(COURT)[one.name], ends=True)])
        for one in clicks.landmarks
    )
    bad = replace(clicks, landmarks=marks)
    found = solve(bad.picture, measured(bad), bad.sd, KNOWN)
    assert "left and right seem exchanged" in (why_not(bad, found, KNOWN)[0] or "")


def test_what_was_not_measured_is_said_to_be_hardly_known() -> None:
    information = np.diag([4.0, 0.0])
    spread = covariance_of(information)
    assert spread[0, 0] == pytest.approx(0.25)
    assert spread[1, 1] > 1e6
