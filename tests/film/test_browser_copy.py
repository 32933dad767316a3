"""The copy for the browser: frame for frame the film, whole or not there, and never larger than was said."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from film.faults import files_no_larger_than, left_in, pull_away
from film.filming import film, number_of, sound_begins, steady, uneven
from tenbetween.errors import FormatError
from tenbetween.film import whole as whole_file
from tenbetween.film.browser_copy import browser_copy, space_needed
from tenbetween.film.frame_index import index
from tenbetween.film.frames_in import frames
from tenbetween.film.probe import probe
from tenbetween.film.write import StoppedError

F = Fraction
FILMS = {
    "hevc with sound": ("a.mp4", steady(60), F(1, 30), {"codec": "libx265", "sound": True}),
    "variable": ("a.mov", uneven(60), F(1, 90000), {"sound": True, "codec": "libx265"}),
    "29.97": ("a.mkv", steady(60, 1001), F(1, 30000), {"codec": "libx265"}),
    "sideways": ("a.mov", steady(40), F(1, 30), {"rotation": 90}),
    "sideways with wide dots": ("a.mov", steady(40), F(1, 30), {"rotation": -90, "pixel": F(4, 3)}),
    "stream": ("a.ts", uneven(60), F(1, 90000), {"sound": True}),
    "old stream": ("a.ts", steady(60), F(1, 30), {"codec": "mpeg2video", "sound": True}),
    "other colours": (
        "a.mp4",
        steady(40),
        F(1, 30),
        {"pixels": "yuv422p", "options": {"profile": "high422"}},
    ),
    "fragments": ("a.mp4", steady(40), F(1, 30), {"box": {"movflags": "frag_keyframe+empty_moov"}}),
}


@pytest.mark.parametrize("name", list(FILMS))
def test_the_copy_is_the_film_frame_for_frame(tmp_path: Path, name: str) -> None:
    file, times, base, more = FILMS[name]
    path, out = film(tmp_path / file, times, base, **more), tmp_path / "copy.mp4"  # type: ignore[arg-type]
    told = probe(path)
    copied = browser_copy(path, out)
    ours, theirs = index(path), index(out)
    assert [number_of(picture) for _, picture in frames(out)] == list(range(len(times)))
    first = int(ours.pts[0])
    assert [(pts - first) * ours.base for pts in ours.pts.tolist()] == [
        pts * theirs.base for pts in theirs.pts.tolist()
    ]
    made = probe(out)
    assert (made.needs_copy, made.rotation, made.codec, made.kind) == (False, 0, "h264", "mp4")
    assert bool(made.sound) == bool(told.sound)
    assert copied.frames == len(times)
    assert copied.held == 0
    assert out.stat().st_size <= space_needed(told)
    np.testing.assert_allclose(
        made.picture[0] / made.picture[1], told.picture[0] / told.picture[1], rtol=0.01
    )
    assert left_in(tmp_path) == sorted([file, "copy.mp4"])


@pytest.mark.parametrize(
    ("name", "more"),
    [("a.ts", {}), ("a.mp4", {"box": {"movflags": "frag_keyframe+empty_moov"}, "rotation": 90})],
)
def test_whatever_is_only_stored_in_the_wrong_way_keeps_its_pictures(
    tmp_path: Path, name: str, more: dict[str, object]
) -> None:
    path = film(tmp_path / name, steady(60), F(1, 30), sound=True, **more)  # type: ignore[arg-type]
    assert browser_copy(path, tmp_path / "copy.mp4").how == "same pictures"
    assert not probe(tmp_path / "copy.mp4").needs_copy
    for (_, ours), (_, theirs) in zip(frames(path), frames(tmp_path / "copy.mp4"), strict=True):
        np.testing.assert_array_equal(ours, theirs)


def test_a_stream_with_damaged_sound_is_copied_all_the_same(tmp_path: Path) -> None:
    path = film(tmp_path / "a.ts", steady(90), F(1, 30), sound=True)
    held, at = bytearray(path.read_bytes()), 0
    for _ in range(12):  # the beginnings of packets of sound: what a bad cable leaves of them
        at = held.index(b"\xff\xf1", at + 400)
        held[at : at + 2] = b"\0\0"
    path.write_bytes(held)
    copied = browser_copy(path, tmp_path / "copy.mp4")
    assert copied.frames == 90
    assert [number_of(picture) for _, picture in frames(tmp_path / "copy.mp4")] == list(range(90))
    assert probe(tmp_path / "copy.mp4").sound == "aac"


@pytest.mark.parametrize("name", ["a.mp4", "a.ts", "a.mkv"])
def test_the_sound_keeps_its_place(tmp_path: Path, name: str) -> None:
    """A tone that begins at 1.25 s begins there in the copy: read back from the samples of both files."""
    codec = "mpeg2video" if name == "a.mp4" else "libx264"
    path = film(tmp_path / name, steady(60), F(1, 30), codec=codec, sound=True, sound_from=1.25)
    browser_copy(path, tmp_path / "copy.mp4")
    ours, theirs = sound_begins(path), sound_begins(tmp_path / "copy.mp4")
    assert ours == pytest.approx(1.25, abs=0.03)
    assert theirs == pytest.approx(ours, abs=0.005)


def test_large_pictures_become_smaller_and_a_gop_is_a_second(tmp_path: Path) -> None:
    path = film(
        tmp_path / "a.mp4",
        steady(45),
        F(1, 30),
        size=(768, 768),
        gop=250,
        options={"preset": "ultrafast", "crf": "40"},
    )
    browser_copy(path, tmp_path / "copy.mp4")
    assert probe(tmp_path / "copy.mp4").picture == (720, 720)
    keys = np.flatnonzero(index(tmp_path / "copy.mp4").key)
    assert np.diff([*keys, 45]).max() <= 30


def test_a_frame_that_cannot_be_decoded_repeats_the_one_before(tmp_path: Path) -> None:
    path = film(tmp_path / "a.mp4", steady(60), F(1, 30), codec="mpeg2video", gop=10, b_frames=0)
    break_packet(path, 23)
    copied = browser_copy(path, tmp_path / "copy.mp4")
    shown = [number_of(picture) for _, picture in frames(tmp_path / "copy.mp4")]
    assert len(shown) == 60
    assert copied.frames == 60
    assert shown[:23] == list(range(23))
    assert shown[40:] == list(range(40, 60))


def break_packet(path: Path, number: int) -> None:
    """Write nothing but noughts over one packet of a film."""
    import av

    with av.open(str(path)) as box:
        packets = [(one.pos, one.size) for one in box.demux(video=0) if one.size]
    held = bytearray(path.read_bytes())
    at, size = packets[number]
    held[at : at + size] = bytes(size)
    path.write_bytes(held)


# -- faults ----------


@pytest.fixture(scope="module")
def game(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return film(
        tmp_path_factory.mktemp("film") / "game.mp4", steady(240), F(1, 30), codec="libx265", sound=True
    )


@pytest.mark.parametrize("share", [0.001, 0.5, 0.98])
def test_a_disk_that_fills_up_is_said_and_nothing_half_is_left(
    game: Path, tmp_path: Path, share: float
) -> None:
    size = browser_copy(game, tmp_path / "whole.mp4").size
    with files_no_larger_than(int(size * share)), pytest.raises(FormatError, match="full disk"):
        browser_copy(game, tmp_path / "copy.mp4")
    assert left_in(tmp_path) == ["whole.mp4"]


def test_a_copy_that_has_no_room_is_not_begun(
    game: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(whole_file.shutil, "disk_usage", lambda _: type("Room", (), {"free": 10_000_000})())
    with pytest.raises(FormatError, match="10 MB free"), whole_file.whole(tmp_path / "copy.mp4", 50_000_000):
        raise AssertionError("begun")
    assert left_in(tmp_path) == []


@pytest.mark.parametrize("name", ["a.mp4", "a.ts"])
def test_a_film_pulled_away_in_the_middle_is_said(tmp_path: Path, name: str) -> None:
    more = {"codec": "mpeg2video", "options": {"b": "6000000"}}
    if name == "a.ts":
        more = {"codec": "libx264", "options": {"preset": "ultrafast", "crf": "8"}}
    path = film(tmp_path / name, steady(240), F(1, 30), **more)  # type: ignore[arg-type]
    assert path.stat().st_size > 1_000_000
    (tmp_path / "out").mkdir()

    def pull(done: int, of: int) -> None:
        if done == 30:
            pull_away(path)

    with pytest.raises(FormatError, match=r"disk was taken away|does not answer|no reader") as raised:
        browser_copy(path, tmp_path / "out" / "copy.mp4", progress=pull)
    assert raised.value.problems[0].where == name
    assert left_in(tmp_path / "out") == []


def test_a_copy_can_be_stopped_and_begun_again(game: Path, tmp_path: Path) -> None:
    told: list[tuple[int, int]] = []
    with pytest.raises(StoppedError):
        browser_copy(
            game, tmp_path / "copy.mp4", progress=lambda *one: told.append(one), cancel=lambda: bool(told)
        )
    assert left_in(tmp_path) == []
    (tmp_path / "copy.mp4.part").write_bytes(b"of a program that was killed")
    assert browser_copy(game, tmp_path / "copy.mp4", progress=lambda *one: told.append(one)).frames == 240
    assert told[-1] == (240, 240)
    assert left_in(tmp_path) == ["copy.mp4"]


def test_a_folder_that_is_not_there_is_said(game: Path, tmp_path: Path) -> None:
    with pytest.raises(FormatError, match="another folder"):
        browser_copy(game, tmp_path / "none" / "copy.mp4")


def test_of_two_that_write_the_same_the_later_one_wins_and_the_earlier_is_told(tmp_path: Path) -> None:
    out = tmp_path / "copy.mp4"

    def both() -> None:
        with whole_file.whole(out) as first:
            first.write_bytes(b"half of the first")
            with whole_file.whole(out) as second:
                second.write_bytes(b"all of the second")

    with pytest.raises(FormatError, match="nobody else writing the same"):
        both()
    assert out.read_bytes() == b"all of the second"
    assert left_in(tmp_path) == ["copy.mp4"]
