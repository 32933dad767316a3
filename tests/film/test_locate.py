"""One answer from clicks: the places of feet, or the reason there is none; and what the screen shows beside it."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest

from film.cameras import (
    COURT,
    PICTURE,
    clicked,
    in_view,
    painted_points,
    some_camera,
    spread_out,
    visible_floor,
)
from film.gym import anchor_frames
from tenbetween.film.calibrate import solve, somewhere
from tenbetween.film.camera import Camera
from tenbetween.film.clicks import Click, Clicks, measured, places_of
from tenbetween.film.error_ellipse import footholds, per_dot
from tenbetween.film.locate import clicks_of, depth_words, dots_of, fractions_of, locate

POINTS = painted_points(COURT)


def six(
    seed: int, *, sd: float = 2.0, marks: int = 6, said: float | None = None
) -> tuple[Camera, Clicks, np.ndarray]:
    dice = np.random.default_rng(seed)
    truth = some_camera(dice)
    floor = visible_floor(truth)
    feet = floor[dice.integers(0, len(floor), 4)]
    clicks = clicked(truth, spread_out(truth, in_view(truth, POINTS), marks, dice), dice, sd=sd, feet=feet)
    return truth, replace(clicks, sd=said or sd), feet


def test_feet_come_out_where_they_stood_within_their_ellipses() -> None:
    within = []
    for seed in range(25):
        _, clicks, feet = six(seed)
        found = locate(clicks)
        if not found.ok:
            assert found.why
            continue
        assert found.camera is not None
        for foot, at in zip(found.feet, feet, strict=True):
            assert foot.hold is not None
            away = np.array(foot.hold.at) - at
            within.append(away @ np.linalg.inv(foot.hold.spread) @ away < 5.991)
            ellipse = foot.hold.ellipse
            assert ellipse.major >= ellipse.minor > 0
            assert 0 <= ellipse.angle_deg < 180
    assert len(within) >= 4 * 22
    assert 0.88 <= np.mean(within) <= 1


def test_the_long_axis_points_away_from_the_camera() -> None:
    """Depth is the least sure: the long axis lies along the way from the camera to the foot."""
    close = []
    for seed in range(15):
        truth, clicks, feet = six(seed)
        found = locate(clicks)
        for foot, at in zip(found.feet, feet, strict=True):
            assert foot.hold is not None
            ellipse = foot.hold.ellipse
            if ellipse.major > 2 * ellipse.minor:
                way = np.degrees(np.arctan2(at[1] - truth.y, at[0] - truth.x)) % 180
                apart = abs(way - ellipse.angle_deg)
                close.append(min(apart, 180 - apart) < 12)
    assert len(close) > 20
    assert np.mean(close) > 0.9


def test_depth_of_a_dot_is_what_our_notes_work_out() -> None:
    """Notes, section 0: 15 ft high, 60 ft back, 45 degrees, 720p: d * d / (h f) is 0.16 ft near and 0.52 ft far."""
    camera = Camera(42.0, -60.0, 15.0, 0.0, 0.17, 0.0, 1280 / 2 / np.tan(np.radians(22.5)), 0.0, PICTURE)
    near, far = (np.linalg.norm(per_dot(camera, camera.dots([[42.0, y]]))[0], 2) for y in (0.0, 50.0))
    assert near == pytest.approx(0.16, abs=0.02)
    assert far == pytest.approx(0.52, abs=0.03)
    said = depth_words(camera, COURT)
    assert said.startswith("One dot of a click on feet moves the place by 0.1")


def test_a_foot_above_the_horizon_spoils_no_other() -> None:
    _, clicks, _ = six(1)
    sky = Click("sky", (640.0, -600.0))
    found = locate(replace(clicks, feet=(clicks.feet[0], sky)))
    assert found.ok
    assert found.feet[0].hold is not None
    assert found.feet[1].hold is None
    assert "horizon" in found.feet[1].why


def test_a_wrong_name_is_refused_and_named() -> None:
    named = 0
    for seed in range(5):
        _, clicks, _ = six(seed)
        used = {one.name for one in clicks.landmarks}
        other = next(name for name in reversed(POINTS) if name not in used)
        marks = (*clicks.landmarks[:3], replace(clicks.landmarks[3], name=other), *clicks.landmarks[4:])
        found = locate(replace(clicks, landmarks=marks))
        assert not found.ok
        assert found.feet == ()
        named += found.suspects == (other,) and other in found.why
    assert named >= 4


def test_a_careless_hand_is_told_so_and_its_ellipses_widened() -> None:
    """A hand twice and a half as bad as said: ellipses as said hold half of the feet, widened ones most of them."""
    held: dict[bool, list[bool]] = {True: [], False: []}
    told = 0
    for seed in range(16):
        _, clicks, feet = six(seed, sd=5.0, marks=9, said=2.0)
        found = locate(clicks)
        by_clicks = solve(PICTURE, measured(clicks), 2.0, somewhere(COURT))
        if not found.ok or by_clicks is None:
            continue
        told += "widened" in found.why
        dots = np.array([one.dot for one in clicks.feet])
        said = footholds(by_clicks.camera, by_clicks.covariance, dots, 2.0)
        for number, at in enumerate(feet):
            for wide, hold in ((True, found.feet[number].hold), (False, said[number])):
                assert hold is not None
                away = np.array(hold.at) - at
                held[wide].append(bool(away @ np.linalg.inv(hold.spread) @ away < 5.991))
    assert told >= 5
    assert np.mean(held[False]) < 0.6
    assert np.mean(held[True]) > np.mean(held[False]) + 0.2


def test_marks_that_leave_the_floor_unsure_are_refused() -> None:
    """Four marks round the far corner, seen small: solved, but the floor would be known to many feet only."""
    truth = Camera(42.0, -60.0, 12.0, -0.35, 0.12, 0.0, 900.0, 0.0, PICTURE)
    names = [
        "left_opposite_corner",
        "left_opposite_arc_corner",
        "left_opposite_arc_joint",
        "left_opposite_28_ft_spot",
    ]
    clicks = clicked(truth, names, np.random.default_rng(1), sd=2.0)
    found = locate(clicks)
    assert not found.ok
    assert "ft" in found.why or "bunched" in found.why


def test_a_place_known_before_makes_two_clicks_enough_and_a_moved_camera_is_said() -> None:
    dice = np.random.default_rng(5)
    truth = some_camera(dice)
    first = locate(clicked(truth, in_view(truth, POINTS), dice))
    assert first.camera is not None
    assert first.covariance is not None
    turned = replace(truth, pan=truth.pan + 0.08)
    names = in_view(turned, POINTS)
    across = turned.dots([places_of(COURT)[name] for name in names])[:, 0]
    two = clicked(turned, [names[int(across.argmin())], names[int(across.argmax())]], dice)
    assert not locate(two).ok
    again = locate(two, prior=(first.camera, first.covariance))
    assert again.ok
    assert again.camera is not None
    assert "place as found before" in again.model
    floor = visible_floor(turned)
    off = np.linalg.norm(again.camera.floor(turned.dots(floor)) - floor, axis=1)
    assert np.median(off) < 1.0
    moved = replace(truth, x=truth.x - 30)
    elsewhere = clicked(moved, in_view(moved, POINTS)[:8], dice)
    refused = locate(elsewhere, prior=(first.camera, first.covariance))
    assert not refused.ok
    assert "stands elsewhere" in refused.why


def test_the_next_mark_is_the_one_that_helps_most() -> None:
    """Clicking the mark asked for makes the floor surer than clicking any other mark in view."""
    truth, clicks, _ = six(7, marks=4)
    found = locate(clicks, next_marks=True)
    assert found.next_marks
    best = found.next_marks[0]
    assert np.hypot(*(truth.dots([places_of(COURT)[best.name]])[0] - best.dot)) < 40
    dice = np.random.default_rng(3)
    taken = {places_of(COURT)[one.name] for one in clicks.landmarks}
    unsure = {}
    for name in in_view(truth, POINTS, margin=30):
        if places_of(COURT)[name] not in taken:
            mark = clicked(truth, [name], dice, sd=0.0).landmarks
            unsure[name] = locate(replace(clicks, landmarks=(*clicks.landmarks, *mark))).unsure_ft or 99.0
    assert unsure[best.name] <= sorted(unsure.values())[2]
    assert unsure[best.name] < (found.unsure_ft or 0)


def test_marks_tell_how_far_each_is_off() -> None:
    _, clicks, _ = six(3)
    found = locate(clicks)
    assert [one.name for one in found.marks] == [one.name for one in clicks.landmarks]
    assert found.camera is not None
    for one in found.marks:
        seen = found.camera.dots([places_of(COURT)[one.name]])[0]
        assert one.off == pytest.approx(np.hypot(*(seen - one.dot)), abs=1e-6)


def test_with_a_picture_the_camera_is_snapped_and_says_how_much_fits() -> None:
    cv2.setNumThreads(1)
    dice = np.random.default_rng(4)
    (image, truth), *_ = anchor_frames(1, "bare", 1)
    clicks = clicked(truth, spread_out(truth, in_view(truth, POINTS), 6, dice), dice)
    plain, snapped = locate(clicks), locate(clicks, image, lines=True)
    assert (plain.state, snapped.state) == ("", "green")
    assert "snapped to the painted lines" in snapped.model
    assert (snapped.unsure_ft or 9) < 0.5 * (plain.unsure_ft or 0)
    assert {"division_line"} & {one.name for one in snapped.outline} or snapped.outline
    blank = locate(clicks, np.full_like(image, 90))
    assert blank.state == "red"
    assert blank.camera == plain.camera


def test_fractions_and_dots_are_each_others_way_back() -> None:
    dots = np.array([[0.0, 0.0], [1279.0, 719.0], [17.25, 3.5]])
    assert dots_of(fractions_of(dots, PICTURE), PICTURE) == pytest.approx(dots)
    assert fractions_of(np.array([[-0.5, -0.5], [1279.5, 719.5]]), PICTURE).tolist() == [[0, 0], [1, 1]]
    assert clicks_of(PICTURE, COURT, feet=[("p", 0.25, 0.5)]).feet[0].dot == pytest.approx((319.5, 359.5))
