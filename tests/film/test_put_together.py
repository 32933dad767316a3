"""Parts joined, pieces one after another, two beside each other: every frame where it belongs, by its own number."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from film.faults import files_no_larger_than, left_in
from film.filming import film, number_of, sound_begins, steady, uneven
from tenbetween.errors import FormatError
from tenbetween.film.frame_index import index
from tenbetween.film.frames_in import frames
from tenbetween.film.join import differences, join
from tenbetween.film.probe import probe
from tenbetween.film.reel import ReelPiece, reel
from tenbetween.film.side_by_side import Side, side_by_side, side_size
from tenbetween.film.write import StoppedError

F = Fraction


def numbers(path: Path) -> list[int]:
    return [number_of(picture) for _, picture in frames(path)]


def ticks(path: Path) -> list[int]:
    return [int(pts) for pts in index(path).pts]


# -- parts of one game ----------


@pytest.mark.parametrize("kind", ["mp4", "mov", "mkv", "ts"])
def test_parts_of_a_game_become_one_with_one_clock(tmp_path: Path, kind: str) -> None:
    parts = [
        film(tmp_path / f"{n}.{kind}", steady(50 + n), F(1, 30), begins=200 * n, sound=True) for n in range(3)
    ]
    joined = join(parts, tmp_path / "game.mp4")
    assert numbers(tmp_path / "game.mp4") == [*range(50), *range(200, 251), *range(400, 452)]
    assert joined.frames == 153
    times = index(tmp_path / "game.mp4")
    np.testing.assert_allclose(np.diff(times.seconds()), 1 / 30, atol=0.0011 if kind == "mkv" else 1e-6)
    np.testing.assert_allclose(joined.begins_s, [0, 50 / 30, 101 / 30], atol=0.002)
    assert probe(tmp_path / "game.mp4").sound == "aac"


def test_joining_writes_no_picture_anew(tmp_path: Path) -> None:
    parts = [film(tmp_path / f"{n}.mp4", uneven(40, seed=n), F(1, 90000)) for n in range(2)]
    join(parts, tmp_path / "game.mp4")
    theirs = [picture for path in parts for _, picture in frames(path)]
    for (_, ours), picture in zip(frames(tmp_path / "game.mp4"), theirs, strict=True):
        np.testing.assert_array_equal(ours, picture)


def test_a_tone_in_the_second_part_sounds_where_it_should(tmp_path: Path) -> None:
    first = film(tmp_path / "1.mp4", steady(60), F(1, 30), sound=True, sound_from=99)
    second = film(tmp_path / "2.mp4", steady(60), F(1, 30), sound=True, sound_from=1.0)
    join([first, second], tmp_path / "game.mp4")
    assert sound_begins(tmp_path / "game.mp4") == pytest.approx(3.0, abs=0.03)


def test_parts_that_differ_are_not_joined_and_all_differences_are_told(tmp_path: Path) -> None:
    parts = [
        film(tmp_path / "1.mp4", steady(8), F(1, 30), sound=True),
        film(tmp_path / "2.mp4", steady(8), F(1, 30), size=(640, 384), rotation=180),
        film(tmp_path / "3.mp4", steady(8), F(1, 30), codec="libx265", sound=True),
    ]
    with pytest.raises(FormatError) as raised:
        join(parts, tmp_path / "game.mp4")
    told = {(one.where, one.found.split(":")[0]) for one in raised.value.problems}
    assert {
        ("2.mp4", "the size of the pictures"), ("2.mp4", "how it is turned"), ("2.mp4", "the sound"),
        ("3.mp4", "the codec of the pictures"),
    } <= told  # fmt: skip
    assert len(differences(parts)) == len(raised.value.problems)
    assert left_in(tmp_path) == ["1.mp4", "2.mp4", "3.mp4"]


def test_joining_stops_when_asked_and_leaves_nothing(tmp_path: Path) -> None:
    parts = [film(tmp_path / f"{n}.mp4", steady(40), F(1, 30)) for n in range(2)]
    with pytest.raises(StoppedError):
        join(parts, tmp_path / "game.mp4", cancel=lambda: True)
    size = join(parts, tmp_path / "whole.mp4").size
    with files_no_larger_than(size // 2), pytest.raises(FormatError, match="full disk"):
        join(parts, tmp_path / "game.mp4")
    assert left_in(tmp_path) == ["0.mp4", "1.mp4", "whole.mp4"]


# -- a reel ----------


@pytest.fixture(scope="module")
def two(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    folder = tmp_path_factory.mktemp("film")
    one = film(folder / "one.mp4", steady(60), F(1, 30), sound=True)
    return one, film(folder / "two.mov", uneven(60), F(1, 90000), rotation=90)


def test_a_reel_has_each_piece_after_its_card(two: tuple[Path, Path], tmp_path: Path) -> None:
    a, b = ticks(two[0]), ticks(two[1])
    card = np.full((192, 320, 3), 40, np.uint8)
    pieces = [
        ReelPiece(two[0], a[10], a[19], card=card, card_s=1.0),
        ReelPiece(two[1], b[30], b[39]),
        ReelPiece(two[0], a[40], a[44], holds=((a[42], 0.5),), card=card, card_s=0.5),
    ]
    made = reel(pieces, tmp_path / "reel.mp4", size=(320, 192))
    shown = [
        (round(float(pts * index(tmp_path / "reel.mp4").base), 3), picture)
        for pts, picture in frames(tmp_path / "reel.mp4")
    ]
    first = [number_of(picture) for second, picture in shown if 1.0 <= second < made.begins_s[1] - 1e-3]
    assert first == list(range(10, 20))
    third = [number_of(picture) for second, picture in shown if second >= made.begins_s[2] + 0.5 - 1e-3]
    assert sorted(set(third)) == list(range(40, 45))
    # the film held sideways stands in the middle, its edges dark
    upright = [
        picture for second, picture in shown if made.begins_s[1] - 1e-3 <= second < made.begins_s[2] - 1e-3
    ]
    assert [number_of(picture[:, 102:218]) for picture in upright] == list(range(30, 40))
    assert max(picture[:, :96].mean() for picture in upright) < 5
    length = sum((x[1] - x[0]) for x in ((a[10], a[20]), (a[40], a[45]))) * index(two[0]).base
    length += (b[40] - b[30]) * index(two[1]).base
    assert made.duration_s == pytest.approx(float(length) + 2.0, abs=1e-3)
    assert probe(tmp_path / "reel.mp4").sound == ""


def test_the_sound_of_a_reel_is_in_step(two: tuple[Path, Path], tmp_path: Path) -> None:
    b, a = ticks(two[1]), ticks(two[0])
    reel(
        [ReelPiece(two[1], b[0], b[20]), ReelPiece(two[0], a[0], a[30])],
        tmp_path / "reel.mp4", size=(320, 192), sound=True,
    )  # fmt: skip
    silent = float((b[21] - b[0]) * index(two[1]).base)
    assert sound_begins(tmp_path / "reel.mp4") == pytest.approx(silent, abs=0.03)


def test_a_reel_of_nothing_or_with_a_wrong_card_is_refused(two: tuple[Path, Path], tmp_path: Path) -> None:
    with pytest.raises(FormatError, match="at least one"):
        reel([], tmp_path / "reel.mp4")
    with pytest.raises(FormatError, match="1280 x 720"):
        reel([ReelPiece(two[0], 0, 100, card=np.zeros((5, 5, 3), np.uint8))], tmp_path / "reel.mp4")
    assert left_in(tmp_path) == []


# -- beside each other ----------


def test_two_pieces_meet_at_the_joined_frame_of_each(two: tuple[Path, Path], tmp_path: Path) -> None:
    a = ticks(two[0])
    other = film(tmp_path / "other.mp4", uneven(80, seed=9), F(1, 90000), begins=500)
    b = ticks(other)
    size = (648, 192)
    made = side_by_side(
        Side(two[0], a[10], a[20], a[50]), Side(other, b[5], b[40], b[60]), tmp_path / "two.mp4", size=size
    )
    assert side_size(size) == (320, 192)
    both = [(number_of(p[:, :320]), number_of(p[:, 328:])) for _, p in frames(tmp_path / "two.mp4")]
    joined = round(made.joined_s * 30)
    assert both[joined] == (20, 540)
    assert (both[0][0], both[-1][1]) == (10, 560), "the first and the last frame stand still beside the other"
    times = index(other)
    for number, (left, right) in enumerate(both):
        since = F(number - joined, 30)
        assert left == min(max(10, 20 + number - joined), 50)
        pts = b[40] + int(since // times.base)
        assert right == 500 + times.frame_at(min(max(pts, b[5]), b[60]))


def test_a_joined_frame_outside_its_piece_is_refused(two: tuple[Path, Path], tmp_path: Path) -> None:
    a = ticks(two[0])
    good, bad = Side(two[0], a[0], a[5], a[9]), Side(two[0], a[20], a[5], a[30])
    with pytest.raises(FormatError, match="the joined frame in the piece") as raised:
        side_by_side(bad, bad, tmp_path / "two.mp4")
    assert len(raised.value.problems) == 2
    with pytest.raises(FormatError):
        side_by_side(good, bad, tmp_path / "two.mp4")
    assert left_in(tmp_path) == []
