"""Clips: from exact frame to exact frame, with what is laid over them, and nothing told that is not seen."""

from __future__ import annotations

import time
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import av
import numpy as np
import pytest

from film.faults import files_no_larger_than, left_in, pull_away
from film.filming import film, number_of, numbered, sound_begins, steady, uneven
from tenbetween.errors import FormatError
from tenbetween.film.cut import Cut, clip_size, exact_cut, fast_cut
from tenbetween.film.frame_index import index
from tenbetween.film.frames_in import frames, still
from tenbetween.film.probe import probe
from tenbetween.film.write import StoppedError

F = Fraction
TOLD = {
    "title": "Thistle Wharf Gym",
    "artist": "Quillan Ridge",
    "date": "2026-01-09",
    "creation_time": "2026-01-09T19:00:00Z",
    "location": "+47.1-122.3/",
    "comment": "row three, phone of a parent",
    "encoder": "a phone",
}
FILMS = {
    "30": ("a.mp4", steady(90), F(1, 30), {"sound": True}),
    "29.97 far key frames": ("a.mp4", steady(90, 1001), F(1, 30000), {"gop": 250, "b_frames": 3}),
    "59.94": ("a.mkv", steady(90, 1001), F(1, 60000), {}),
    "variable": ("a.mov", uneven(90), F(1, 90000), {"sound": True}),
    "sideways": ("a.mov", steady(90), F(1, 30), {"rotation": 90}),
    "wide dots": ("a.mp4", steady(90), F(1, 30), {"pixel": F(4, 3)}),
    "hevc": ("a.mp4", steady(90), F(1, 30), {"codec": "libx265", "gop": 20}),
    "vp9": ("a.webm", steady(90), F(1, 30), {"codec": "libvpx-vp9"}),
    "stream": ("a.ts", steady(90), F(1, 30), {"sound": True}),
    "open groups": (
        "a.mp4",
        steady(90),
        F(1, 30),
        {"options": {"x264-params": "open-gop=1:keyint=12:bframes=3"}},
    ),
}


@pytest.fixture(scope="module", params=list(FILMS))
def any_film(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    name, times, base, more = FILMS[request.param]
    return film(tmp_path_factory.mktemp("film") / name, times, base, metadata=TOLD, **more)  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def game(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("film") / "game.mp4"
    return film(path, uneven(120), F(1, 90000), sound=True, sound_from=2.0, metadata=TOLD)


def numbers(path: Path) -> list[int]:
    return [number_of(picture) for _, picture in frames(path)]


def told_in(path: Path) -> set[str]:
    """Return everything the file tells about itself, read by PyAV: of the whole, of its streams, its chapters."""
    with av.open(str(path)) as box:
        fields = dict(box.metadata)
        for stream in box.streams:
            fields.update({f"{stream.type} {name}": value for name, value in stream.metadata.items()})
        assert box.chapters() == []
        assert {stream.type for stream in box.streams} <= {"video", "audio", "subtitle"}
    return {f"{name}={value}" for name, value in fields.items()}


BARE = {"major_brand=isom", "minor_version=512", "video language=und", "video handler_name=VideoHandler"}
SIGNATURES = (
    b"x264",
    b"x265",
    b"Lavf",
    b"Lavc",
    b"libvpx",
    b"Thistle",
    b"Quillan",
    b"phone",
    b"2026",
    b"122.3",
)


def tells_nothing(path: Path) -> None:
    told = {one for one in told_in(path) if not one.startswith(("compatible_brands", "audio", "subtitle"))}
    assert told == BARE
    assert {one for one in told_in(path) if one.startswith(("audio", "subtitle"))} <= {
        "audio language=und",
        "audio handler_name=SoundHandler",
        "subtitle language=und",
        "subtitle handler_name=SubtitleHandler",
    }
    held = path.read_bytes()
    assert [one for one in SIGNATURES if one in held] == []


# -- exactly ----------


def test_an_exact_cut_has_these_frames_and_no_other(any_film: Path, tmp_path: Path) -> None:
    times, out = index(any_film), tmp_path / "clip.mp4"
    cut = exact_cut(any_film, out, int(times.pts[31]), int(times.pts[58]))
    assert numbers(out) == list(range(31, 59))
    assert (cut.begins_pts, cut.ends_pts, cut.frames) == (times.pts[31], times.pts[58], 28)
    made = index(out)
    ours = [(pts - int(times.pts[31])) * times.base for pts in times.pts[31:59].tolist()]
    assert [pts * made.base for pts in made.pts.tolist()] == ours
    told = probe(out)
    assert (told.needs_copy, told.sound, told.picture) == (False, "", clip_size(any_film))
    tells_nothing(out)


def test_a_time_between_two_frames_means_the_one_on_the_screen(game: Path, tmp_path: Path) -> None:
    times = index(game)
    exact_cut(game, tmp_path / "a.mp4", int(times.pts[20]) + 700, int(times.pts[25]) + 700)
    assert numbers(tmp_path / "a.mp4") == list(range(20, 26))


def test_what_is_laid_over_is_on_its_own_frame_only(game: Path, tmp_path: Path) -> None:
    times = index(game)
    wide, high = clip_size(game, 96)

    def overlay(pts: int) -> np.ndarray | None:
        if pts != times.pts[33]:
            return None
        cover = np.zeros((high, wide, 4), np.uint8)
        cover[:, : wide // 4] = (250, 30, 30, 255)
        return cover

    exact_cut(game, tmp_path / "a.mp4", int(times.pts[30]), int(times.pts[36]), height=96, overlay=overlay)
    red = [picture[..., 0].mean() - picture[..., 2].mean() for _, picture in frames(tmp_path / "a.mp4")]
    assert np.argmax(red) == 3
    assert red[3] > 30
    assert max(red[:3] + red[4:]) < 5


def test_an_overlay_of_another_size_is_refused(game: Path, tmp_path: Path) -> None:
    times = index(game)
    wrong = np.zeros((10, 10, 4), np.uint8)
    with pytest.raises(FormatError, match="as large as the clip"):
        exact_cut(game, tmp_path / "a.mp4", int(times.pts[0]), int(times.pts[3]), overlay=lambda _: wrong)
    assert left_in(tmp_path) == []


def test_a_stop_holds_its_frame_for_its_seconds_and_the_rest_comes_later(game: Path, tmp_path: Path) -> None:
    times, out = index(game), tmp_path / "a.mp4"
    cut = exact_cut(game, out, int(times.pts[10]), int(times.pts[20]), holds=[(int(times.pts[15]), 1.5)])
    made, shown = index(out), numbers(out)
    assert sorted(set(shown)) == list(range(10, 21))
    last = made.seconds()[max(number for number, one in enumerate(shown) if one == 15)]
    first = made.seconds()[shown.index(15)]
    after = made.seconds()[shown.index(16)]
    usual = float((times.pts[16] - times.pts[15]) * times.base)
    assert after - first == pytest.approx(1.5 + usual, abs=1e-4)
    assert 1.4 < last - first <= 1.5
    assert made.pts[shown.index(20)] * made.base == (int(times.pts[20] - times.pts[10]) * times.base) + F(
        3, 2
    )
    assert cut.frames == len(shown)


def test_sound_is_off_unless_asked_for_and_then_in_step(game: Path, tmp_path: Path) -> None:
    times = index(game)
    begin = times.frame_at(90_000)
    exact_cut(game, tmp_path / "off.mp4", int(times.pts[begin]), int(times.pts[-1]))
    assert probe(tmp_path / "off.mp4").sound == ""
    exact_cut(game, tmp_path / "on.mp4", int(times.pts[begin]), int(times.pts[-1]), sound=True)
    expected = sound_begins(game) - float(times.seconds()[begin])
    assert sound_begins(tmp_path / "on.mp4") == pytest.approx(expected, abs=0.008)
    hold = (int(times.pts[begin + 5]), 2.0)
    exact_cut(
        game, tmp_path / "held.mp4", int(times.pts[begin]), int(times.pts[-1]), sound=True, holds=[hold]
    )
    assert sound_begins(tmp_path / "held.mp4") == pytest.approx(expected + 2.0, abs=0.008)
    tells_nothing(tmp_path / "held.mp4")


def test_captions_stand_in_the_clip_at_its_own_times(game: Path, tmp_path: Path) -> None:
    times, out = index(game), tmp_path / "a.mp4"
    at = [int(pts) for pts in times.pts]
    cut = exact_cut(
        game, out, at[10], at[40], holds=[(at[15], 2.0)],
        captions=[(at[10], at[20], "Lead bounces the ball."), (at[25], at[40], "Chop, partner mirrors: é ✓")],
    )  # fmt: skip
    with av.open(str(out)) as box:
        packets = [
            (one.pts * one.time_base, bytes(one)[2:].decode())
            for one in box.demux(subtitles=0)
            if one.size > 2
        ]
    assert [words for _, words in packets] == ["Lead bounces the ball.", "Chop, partner mirrors: é ✓"]
    assert [float(begins) for begins, _ in packets] == pytest.approx(
        [one[0] for one in cut.captions], abs=0.001
    )
    assert cut.captions[1][0] == pytest.approx(float((at[25] - at[10]) * times.base) + 2.0)
    tells_nothing(out)


# -- quickly ----------


def test_a_fast_cut_begins_at_the_key_frame_before_and_says_so(any_film: Path, tmp_path: Path) -> None:
    times, out = index(any_film), tmp_path / "clip.mp4"
    cut = fast_cut(any_film, out, int(times.pts[31]), int(times.pts[58]))
    shown = numbers(out)
    began = times.frame_at(cut.begins_pts)
    assert began <= 31
    assert times.key[began]
    assert shown == list(range(began, began + len(shown))), "no frame missing, none hidden, none wrong"
    assert 58 <= shown[-1] <= 58 + 4
    assert shown[-1] == times.frame_at(cut.ends_pts)
    assert len(shown) == cut.frames
    assert probe(out).picture == probe(any_film).picture
    assert not {"edits", "negative"} & set(index(out).odd)
    tells_nothing(out)


def test_the_pictures_of_a_fast_cut_are_those_of_the_film(game: Path, tmp_path: Path) -> None:
    times = index(game)
    cut = fast_cut(game, tmp_path / "a.mp4", int(times.pts[50]), int(times.pts[70]))
    theirs = dict(frames(game, cut.begins_pts, cut.ends_pts))
    for (_, ours), picture in zip(frames(tmp_path / "a.mp4"), theirs.values(), strict=True):
        np.testing.assert_array_equal(ours, picture)


def test_a_fast_cut_can_keep_its_sound(game: Path, tmp_path: Path) -> None:
    times = index(game)
    cut = fast_cut(
        game, tmp_path / "a.mp4", int(times.pts[times.frame_at(120_000)]), int(times.pts[-1]), sound=True
    )
    expected = sound_begins(game) - float(cut.begins_pts * times.base)
    assert sound_begins(tmp_path / "a.mp4") == pytest.approx(expected, abs=0.03)
    tells_nothing(tmp_path / "a.mp4")
    fast_cut(game, tmp_path / "c.mp4", int(times.pts[0]), int(times.pts[40]), sound=True)
    tells_nothing(tmp_path / "c.mp4")
    short = fast_cut(game, tmp_path / "b.mp4", int(times.pts[10]), int(times.pts[40]), sound=True)
    seconds = float((short.ends_pts - short.begins_pts) * times.base)
    with av.open(str(tmp_path / "b.mp4")) as box:
        heard = box.streams.audio[0]
        assert float(heard.duration * heard.time_base) == pytest.approx(seconds, abs=0.15)


def test_two_fast_cuts_do_not_read_the_whole_film(tmp_path: Path) -> None:
    path = film(tmp_path / "a.mp4", steady(900), F(1, 30), options={"preset": "ultrafast", "crf": "30"})
    times = index(path)
    began = time.perf_counter()
    fast_cut(path, tmp_path / "clip.mp4", int(times.pts[300]), int(times.pts[599]), times=times)
    assert time.perf_counter() - began < 0.3
    assert (tmp_path / "clip.mp4").stat().st_size < path.stat().st_size / 2


# -- faults ----------


Way = type(exact_cut)
WAYS = {"exact": exact_cut, "fast": fast_cut}


def cut_by(way: str, path: Path, out: Path, begin: int, end: int) -> Cut:
    times = index(path)
    return WAYS[way](path, out, int(times.pts[begin]), int(times.pts[end]))


@pytest.mark.parametrize("way", list(WAYS))
@pytest.mark.parametrize("share", [0.001, 0.5, 0.98])
def test_a_full_disk_is_said_and_nothing_half_is_left(
    game: Path, tmp_path: Path, way: str, share: float
) -> None:
    size = cut_by(way, game, tmp_path / "whole.mp4", 10, 110).size
    with files_no_larger_than(int(size * share)), pytest.raises(FormatError, match="full disk"):
        cut_by(way, game, tmp_path / "clip.mp4", 10, 110)
    assert left_in(tmp_path) == ["whole.mp4"]


@pytest.mark.parametrize("way", list(WAYS))
def test_times_outside_the_film_are_refused(game: Path, tmp_path: Path, way: str) -> None:
    last = int(index(game).pts[-1])
    for begin, end in ((-5, 100), (100, last * 9), (3000, 0)):
        with pytest.raises(FormatError, match="both in the film"):
            WAYS[way](game, tmp_path / "a.mp4", begin, end)
    assert left_in(tmp_path) == []


def test_a_stop_outside_the_piece_is_refused_with_all_of_them(game: Path, tmp_path: Path) -> None:
    at = [int(pts) for pts in index(game).pts]
    with pytest.raises(FormatError) as raised:
        exact_cut(
            game, tmp_path / "a.mp4", at[10], at[20], holds=[(at[5], 1.0), (at[12], 900.0), (at[13], 1.0)]
        )
    assert len(raised.value.problems) == 2


def test_an_exact_cut_can_be_stopped(game: Path, tmp_path: Path) -> None:
    at, told = [int(pts) for pts in index(game).pts], []
    with pytest.raises(StoppedError):
        exact_cut(
            game, tmp_path / "a.mp4", at[0], at[50], cancel=lambda: len(told) > 5,
            progress=lambda *one: told.append(one),
        )  # fmt: skip
    assert left_in(tmp_path) == []
    assert [done for done, _ in told] == list(range(1, 7))
    assert {of for _, of in told} == {51}


def test_a_film_pulled_away_while_it_is_cut_is_said(tmp_path: Path) -> None:
    path = film(tmp_path / "a.mp4", steady(200), F(1, 30), codec="mpeg2video", options={"b": "6000000"})
    at = [int(pts) for pts in index(path).pts]

    def pull(done: int, of: int) -> None:
        if done == 5:
            pull_away(path)

    with pytest.raises(FormatError, match=r"disk was taken away|no reader"):
        exact_cut(path, tmp_path / "clip.mp4", at[0], at[190], progress=pull)
    assert left_in(tmp_path) == ["a.mp4"]


def test_the_pictures_of_the_tests_tell_one_number_from_the_next() -> None:
    read = [number_of(numbered(number)) for number in range(0, 2**14, 97)]
    assert all(b - a == 97 for a, b in pairwise(read))


@pytest.mark.parametrize("name", ["a.ts", "a.mkv"])
def test_the_sound_of_other_kinds_is_in_step_too(tmp_path: Path, name: str) -> None:
    path = film(tmp_path / name, steady(90), F(1, 30), sound=True, sound_from=2.0)
    at = [int(pts) for pts in index(path).pts]
    for begin in (0, 13, 31):
        exact_cut(path, tmp_path / "clip.mp4", at[begin], at[-1], sound=True, height=48)
        assert sound_begins(tmp_path / "clip.mp4") == pytest.approx(2.0 - begin / 30, abs=0.008)


@pytest.mark.full
def test_a_game_of_ninety_minutes_is_as_exact_at_its_end(tmp_path: Path) -> None:
    """The same ten seconds 540 times: frame n carries n modulo 300, whichever way it is reached."""
    from tenbetween.dev.film_speed import repeated

    ten = film(tmp_path / "ten.mp4", steady(300), F(1, 30), size=(160, 96), gop=30)
    game = repeated(ten, tmp_path / "game.mp4", 540)
    times = index(game)
    assert len(times) == 162_000
    np.testing.assert_array_equal(times.pts, np.arange(162_000) * int(times.step))
    assert not probe(game, times).needs_copy
    for number in np.random.default_rng(2).integers(0, 162_000, 25).tolist():
        assert number_of(still(game, int(times.pts[number]))) == number % 300
    for begin in (150_017, 161_650):
        cut = exact_cut(
            game, tmp_path / "exact.mp4", int(times.pts[begin]), int(times.pts[begin + 90]), times=times
        )
        assert (cut.frames, numbers(tmp_path / "exact.mp4")[0]) == (91, begin % 300)
        quick = fast_cut(
            game, tmp_path / "fast.mp4", int(times.pts[begin]), int(times.pts[begin + 90]), times=times
        )
        assert numbers(tmp_path / "fast.mp4")[0] == times.frame_at(quick.begins_pts) % 300
        assert begin - 30 < times.frame_at(quick.begins_pts) <= begin
