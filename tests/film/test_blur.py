"""Blur: what was marked is unreadable in every frame, also where the camera and the face move between the marks."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest

from film.filming import film, steady
from tenbetween.errors import UsageError
from tenbetween.film.blur import Box, Region, between, blur_box, blurring, checked, followed
from tenbetween.film.contact import contact_sheet
from tenbetween.film.cut import exact_cut
from tenbetween.film.frame_index import index
from tenbetween.film.frames_in import frames

F = Fraction
SIZE = (480, 272)
FACE = (26, 32)


def gym() -> np.ndarray:
    """Return a wall and floor with texture, wider than the picture."""
    import cv2

    grain = np.random.default_rng(3).integers(60, 200, size=(60, 240), dtype=np.uint8)
    return cv2.resize(grain, (1200, 300), interpolation=cv2.INTER_CUBIC)


def face() -> np.ndarray:
    import cv2

    grain = np.random.default_rng(8).integers(0, 255, size=(16, 13), dtype=np.uint8)
    return cv2.resize(grain, FACE, interpolation=cv2.INTER_CUBIC)


GYM, A_FACE = gym(), face()


def camera_at(number: int) -> float:
    """Return how far the camera has turned (dots): it stands, turns quickly, and stands again."""
    return 400 / (1 + np.exp(-(number - 45) / 6))


def face_at(number: int) -> tuple[int, int]:
    """Return where the face is in the picture: it walks, while the camera turns."""
    walked = 180 + 4.5 * number + 25 * np.sin(number / 9)
    return round(walked - camera_at(number)) + 60, round(120 + 20 * np.sin(number / 14))


def picture(number: int, size: tuple[int, int] = SIZE) -> np.ndarray:
    turned = camera_at(number)
    columns = np.arange(size[0]) + turned
    whole = columns.astype(int)
    share = columns - whole
    grey = GYM[: size[1], whole] * (1 - share) + GYM[: size[1], whole + 1] * share
    x, y = face_at(number)
    grey[y : y + FACE[1], x : x + FACE[0]] = A_FACE
    return np.repeat(grey.astype(np.uint8)[:, :, None], 3, axis=2)


def true_box(number: int) -> Box:
    x, y = face_at(number)
    return x / SIZE[0], y / SIZE[1], (x + FACE[0]) / SIZE[0], (y + FACE[1]) / SIZE[1]


def covered(box: Box | None, truth: Box, pad: float = 0.3) -> bool:
    if box is None:
        return False
    over, beyond = (box[2] - box[0]) * pad, (box[3] - box[1]) * pad
    return (
        box[0] - over <= truth[0] and box[1] - beyond <= truth[1]
        and box[2] + over >= truth[2] and box[3] + beyond >= truth[3]
    )  # fmt: skip


COUNT = 91
MARKS = (0, 30, 60, 90)
REGION = Region(tuple((number, true_box(number)) for number in MARKS))


def test_a_face_is_followed_through_a_turn_where_a_straight_line_loses_it() -> None:
    grey = [(number, picture(number)[..., 0]) for number in range(COUNT)]
    places = followed(REGION, grey)
    with_following = [covered(places.get(number), true_box(number)) for number in range(COUNT)]
    by_line = [covered(between(REGION, number), true_box(number)) for number in range(COUNT)]
    assert all(with_following), f"lost in {with_following.count(False)} frames"
    assert by_line.count(False) >= 25, "the film is too easy: a straight line covers the face as well"
    off = [abs(places[number][0] - true_box(number)[0]) * SIZE[0] for number in range(COUNT)]
    assert np.median(off) < 1.5
    for number in MARKS:
        assert places[number] == pytest.approx(true_box(number))


def test_a_face_that_turns_away_is_followed_from_the_next_mark_back(monkeypatch: pytest.MonkeyPatch) -> None:
    """It looks like the first mark for a while, then more and more like another face, which the second mark shows."""
    import cv2

    grain = np.random.default_rng(99).integers(0, 255, size=(16, 13), dtype=np.uint8)
    first, other = A_FACE, cv2.resize(grain, FACE, interpolation=cv2.INTER_CUBIC)
    grey = []
    for number in range(COUNT):
        turned = 1 - abs(number % 60 / 30 - 1)
        monkeypatch.setitem(globals(), "A_FACE", (first * (1 - turned) + other * turned).astype(np.uint8))
        grey.append((number, picture(number)[..., 0]))
    places = followed(REGION, grey)
    assert all(covered(places.get(number), true_box(number)) for number in range(COUNT))
    wide = [(places[number][2] - places[number][0]) * SIZE[0] for number in range(COUNT)]
    assert np.median(wide) < 1.2 * FACE[0], "covered by following, not by blurring everything"


def test_a_single_mark_is_followed_until_its_end() -> None:
    region = Region(((20, true_box(20)),), until=50)
    places = followed(region, [(number, picture(number)[..., 0]) for number in range(COUNT)])
    assert sorted(places) == list(range(20, 51))
    assert all(covered(places[number], true_box(number)) for number in range(20, 51))


def test_where_there_is_nothing_to_hold_on_to_the_line_is_taken() -> None:
    flat = [(number, np.full(SIZE[::-1], 128, np.uint8)) for number in range(31)]
    region = Region(((0, (0.1, 0.1, 0.2, 0.2)), (30, (0.4, 0.1, 0.5, 0.2))))
    for number, box in followed(region, flat).items():
        assert box == pytest.approx(between(region, number))


def known(picture: np.ndarray) -> float:
    """Return how well the face is known again anywhere in a picture: 1 is the face itself (normed correlation)."""
    import cv2

    grey = picture if picture.ndim == 2 else picture[..., 0]
    return float(cv2.matchTemplate(np.ascontiguousarray(grey), A_FACE, cv2.TM_CCOEFF_NORMED).max())


def test_the_face_cannot_be_found_again_in_any_frame_of_the_finished_file(tmp_path: Path) -> None:
    path = film(
        tmp_path / "a.mp4", steady(COUNT), F(1, 30), size=SIZE, picture=picture, options={"crf": "16"}
    )
    pts = [int(one) for one in index(path).pts]
    region = Region(tuple((pts[number], true_box(number)) for number in MARKS))
    places = followed(region, frames(path, region.begins, region.ends, grey=True))
    exact_cut(path, tmp_path / "clip.mp4", pts[0], pts[-1], change=blurring([places]))
    plain = [known(one) for _, one in list(frames(path))[::9]]
    blurred = [known(one) for _, one in list(frames(tmp_path / "clip.mp4"))[::2]]
    assert min(plain) > 0.85
    assert max(blurred) < 0.6
    inside = [
        x[..., 0].astype(int) - y[..., 0]
        for (_, x), (_, y) in zip(frames(path), frames(tmp_path / "clip.mp4"), strict=True)
    ]
    assert np.median([np.abs(one[:, :40]).mean() for one in inside[:20]]) < 6, "only the region is changed"


def test_a_blurred_box_holds_a_few_fields_and_nothing_finer() -> None:
    noise = np.random.default_rng(1).integers(0, 255, size=(200, 200, 3), dtype=np.uint8)
    before = noise.copy()
    blur_box(noise, (0.3, 0.3, 0.6, 0.6))
    np.testing.assert_array_equal(noise[:30], before[:30])
    part = noise[45:135, 45:135, 0].astype(float)
    assert np.abs(np.diff(part, axis=1)).mean() < 2
    assert np.abs(np.diff(before[45:135, 45:135, 0].astype(float), axis=1)).mean() > 50


def test_boxes_at_and_beyond_the_edge_and_small_ones() -> None:
    picture = np.random.default_rng(1).integers(0, 255, size=(100, 100, 3), dtype=np.uint8)
    for box in ((-0.2, -0.2, 0.1, 0.1), (0.9, 0.9, 1.2, 1.2), (0.5, 0.5, 0.501, 0.501), (1.3, 1.3, 1.4, 1.4)):
        blur_box(picture, box)
    assert np.abs(np.diff(picture[46:54, 46:54, 0].astype(float), axis=1)).mean() < 8, (
        "never too small to hide"
    )


def test_a_frame_between_two_followed_ones_takes_both_boxes() -> None:
    picture = np.random.default_rng(1).integers(0, 255, size=(100, 100, 3), dtype=np.uint8)
    change = blurring([{0: (0.1, 0.1, 0.3, 0.3), 10: (0.6, 0.6, 0.8, 0.8)}])
    made = change(5, picture)
    assert np.abs(made[12:28, 12:28].astype(int) - picture[12:28, 12:28]).mean() > 20
    assert np.abs(made[62:78, 62:78].astype(int) - picture[62:78, 62:78]).mean() > 20
    assert change(11, picture) is picture


def test_marks_that_mean_nothing_are_all_told() -> None:
    bad = [Region(()), Region(((5, (0, 0, 1, 1)), (5, (0, 0, 1, 1)))), Region(((5, (0.5, 0, 0.2, 1)),))]
    with pytest.raises(UsageError) as raised:
        checked(bad)
    assert len(raised.value.problems) == 3
    assert checked([REGION]) == (REGION,)


# -- the sheet of stills ----------


def test_the_sheet_shows_the_finished_file_every_so_often_and_its_end(tmp_path: Path) -> None:
    levels = [20 + 2 * number for number in range(100)]

    def level(number: int, size: tuple[int, int]) -> np.ndarray:
        return np.full((size[1], size[0], 3), levels[number], np.uint8)

    path = film(tmp_path / "a.mp4", steady(100), F(1, 30), size=(160, 96), picture=level)
    sheet = contact_sheet(path, every_s=1.0, columns=3, wide=80)
    assert sheet.seconds == pytest.approx([0, 1, 2, 3, 99 / 30])
    shown = []
    for number in range(5):
        top, left = number // 3 * (48 + 16 + 6) + 6 + 16, number % 3 * (80 + 6) + 6
        shown.append(sheet.picture[top + 10 : top + 40, left + 10 : left + 70].mean())
    assert shown == pytest.approx([levels[one] for one in (0, 30, 60, 90, 99)], abs=3)


def test_a_long_clip_is_looked_at_in_wider_steps(tmp_path: Path) -> None:
    path = film(tmp_path / "a.mp4", steady(400, 300), F(1, 300), size=(64, 64))
    assert 100 <= len(contact_sheet(path, every_s=0.5, wide=32).seconds) <= 121
    with av.open(str(path)) as box:
        assert box.streams.video[0].frames == 400
