"""Films of every kind we read: which frame is shown when, read back from the picture itself."""

from __future__ import annotations

import os
import struct
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from film.filming import boxes, film, number_of, sparse_mp4, steady, uneven
from tenbetween.errors import FormatError
from tenbetween.film.fingerprint import fingerprint
from tenbetween.film.frame_index import FrameIndex, index
from tenbetween.film.frames_in import frames, jpeg, still
from tenbetween.film.probe import probe
from tenbetween.film.write import StoppedError

F = Fraction
KINDS = {
    "30": ("a.mp4", steady(60), F(1, 30), {}),
    "29.97": ("a.mp4", steady(60, 1001), F(1, 30000), {}),
    "59.94": ("a.mkv", steady(60, 1001), F(1, 60000), {}),
    "variable": ("a.mov", uneven(60), F(1, 90000), {"sound": True}),
    "far key frames": ("a.mp4", steady(60), F(1, 30), {"gop": 250, "b_frames": 3}),
    "open groups": (
        "a.mp4",
        steady(60),
        F(1, 30),
        {"options": {"x264-params": "open-gop=1:keyint=12:bframes=3"}},
    ),
    "turned left": ("a.mp4", steady(30), F(1, 30), {"rotation": 90}),
    "turned right": ("a.mov", steady(30), F(1, 30), {"rotation": -90}),
    "on its head": ("a.mp4", steady(30), F(1, 30), {"rotation": 180}),
    "wide dots": ("a.mp4", steady(30), F(1, 30), {"pixel": F(4, 3)}),
    "turned wide dots": ("a.mp4", steady(30), F(1, 30), {"pixel": F(4, 3), "rotation": 90}),
    "hevc": ("a.mp4", steady(30), F(1, 30), {"codec": "libx265"}),
    "vp9": ("a.webm", steady(30), F(1, 30), {"codec": "libvpx-vp9"}),
    "stream": ("a.ts", steady(60), F(1, 30), {"sound": True}),
    "fragments": ("a.mp4", steady(60), F(1, 30), {"box": {"movflags": "frag_keyframe+empty_moov"}}),
    "faststart": ("a.mp4", steady(60), F(1, 30), {"box": {"movflags": "+faststart"}, "sound": True}),
}


@pytest.fixture(scope="module", params=list(KINDS))
def any_film(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    name, times, base, more = KINDS[request.param]
    return film(tmp_path_factory.mktemp("film") / name, times, base, **more)  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return film(tmp_path_factory.mktemp("film") / "game.mp4", steady(60), F(1, 30), sound=True)


def test_the_index_names_every_frame_the_decoder_gives(any_film: Path) -> None:
    seen = [(pts, number_of(picture)) for pts, picture in frames(any_film)]
    assert [number for _, number in seen] == list(range(len(seen)))
    assert index(any_film).pts.tolist() == [pts for pts, _ in seen]


def test_any_frame_is_found_by_its_time_alone(any_film: Path) -> None:
    times = index(any_film)
    for number in {*range(0, len(times), 7), len(times) - 1}:
        assert number_of(still(any_film, int(times.pts[number]), 96)) == number
        first = next(frames(any_film, int(times.pts[number]), None, height=96))
        assert (first[0], number_of(first[1])) == (int(times.pts[number]), number)


def test_a_stretch_has_both_its_ends(any_film: Path) -> None:
    times = index(any_film).pts.tolist()
    got = [number_of(picture) for _, picture in frames(any_film, times[10], times[17], grey=True)]
    assert got == list(range(10, 18))


def test_what_is_told_of_a_film_is_what_is_decoded(any_film: Path) -> None:
    told, (_, first) = probe(any_film), next(frames(any_film))
    assert told.picture == (first.shape[1], first.shape[0])
    assert (told.first_pts, told.last_pts) == (index(any_film).pts[0], index(any_film).pts[-1])


def test_times_by_the_tables_are_times_by_the_packets(plain: Path, tmp_path: Path) -> None:
    """The same frames written in fragments have no tables to read: both ways must tell the same seconds."""
    by_packets = index(film(tmp_path / "b.mp4", uneven(60), F(1, 90000), box={"movflags": "frag_keyframe"}))
    by_tables = index(film(tmp_path / "c.mp4", uneven(60), F(1, 90000)))
    assert (by_tables.how, by_packets.how) == ("tables", "packets")
    np.testing.assert_array_equal(np.diff(by_tables.pts), np.diff(by_packets.pts))
    np.testing.assert_array_equal(by_tables.key, by_packets.key)


def test_upright_and_in_true_shape_as_another_reader_has_it(tmp_path: Path) -> None:
    """OpenCV's own reader turns a film by its display matrix too (cv2.CAP_PROP_ORIENTATION_AUTO)."""
    import cv2

    for turned in (0, 90, -90, 180):
        path = film(tmp_path / f"{turned}.mp4", steady(4), F(1, 30), rotation=turned)
        other, ours = cv2.VideoCapture(str(path)).read()[1], next(frames(path))[1]
        assert ours.shape == other.shape
        assert np.abs(ours.mean(2) - other.mean(2)).mean() < 3


def test_seconds_and_the_middle_of_a_frame() -> None:
    times = FrameIndex(np.array([0, 3000, 9000]), np.array([True, False, True]), F(1, 90000), 12000)
    assert [times.frame_at(pts) for pts in (-1, 0, 2999, 3000, 99999)] == [0, 0, 0, 1, 2]
    assert [times.middle_s(one) for one in range(3)] == pytest.approx([1 / 60, 6000 / 90000, 10500 / 90000])
    assert [times.key_before(pts) for pts in (0, 8999, 9000)] == [0, 0, 9000]


# -- what a browser cannot show ----------


def cut_with_edit_list(source: Path, out: Path, begins: float) -> Path:
    """Write packets again from the key frame before, the frames between hidden by negative times."""
    import av

    with av.open(str(source)) as given, av.open(str(out), "w") as made:
        stream = given.streams.video[0]
        copy = made.add_stream_from_template(stream)
        given.seek(int(begins / stream.time_base), stream=stream)
        shift = int(begins / stream.time_base)
        for packet in given.demux(stream):
            if packet.dts is not None:
                packet.pts, packet.dts, packet.stream = packet.pts - shift, packet.dts - shift, copy
                made.mux(packet)
    return out


def test_a_cut_that_hides_frames_needs_a_copy_and_its_times_are_those_shown(
    plain: Path, tmp_path: Path
) -> None:
    path = cut_with_edit_list(plain, tmp_path / "cut.mp4", 0.7)
    told, times = probe(path), index(path)
    assert told.needs_copy
    assert "wrong picture" in told.why_copy
    seen = [(pts, number_of(picture)) for pts, picture in frames(path)]
    assert [pts for pts, _ in seen] == times.pts.tolist()
    assert [number for _, number in seen] == list(range(seen[0][1], 60))


@pytest.mark.parametrize(
    ("name", "more", "needs", "word"),
    [
        ("a.mp4", {}, False, "plays it as it is"),
        ("a.webm", {"codec": "libvpx-vp9"}, False, "plays it as it is"),
        ("a.mp4", {"codec": "libx265"}, True, "HEVC"),
        ("a.ts", {}, True, ".ts"),
        ("a.mp4", {"codec": "mpeg2video"}, True, "MPEG-2"),
        ("a.mp4", {"pixels": "yuv422p", "options": {"profile": "high422"}}, True, "colours"),
    ],
)
def test_whether_a_browser_plays_it_is_said_in_words(
    tmp_path: Path, name: str, more: dict[str, object], needs: bool, word: str
) -> None:
    told = probe(film(tmp_path / name, steady(8), F(1, 30), **more))  # type: ignore[arg-type]
    assert told.needs_copy is needs
    assert word in " ".join(told.words())


def test_rate_sound_and_interlaced_are_told(tmp_path: Path) -> None:
    uneven_one = probe(film(tmp_path / "a.mp4", uneven(30), F(1, 90000), sound=True))
    assert (uneven_one.variable_rate, uneven_one.sound) == (True, "aac")
    combed = film(tmp_path / "b.mp4", steady(30), F(1, 30), options={"x264-params": "tff=1"})
    assert probe(combed).interlaced
    assert any("Interlaced" in line for line in probe(combed).warnings)
    assert any("No sound" in line for line in probe(combed).warnings)
    assert not probe(combed).variable_rate


def test_a_part_is_what_the_store_keeps(plain: Path) -> None:
    from tenbetween.store.film_values import frame_time_faults

    part = probe(plain).part(fingerprint(plain), camera="phone", offset_us=-250_000)
    assert "/" not in str(part)
    assert (part["frames"], part["sound"], part["picture"], part["offset_us"]) == (
        60,
        True,
        [320, 192],
        -250_000,
    )
    at = {"part": part["fingerprint"], "pts": part["last_pts"], "base": part["base"]}
    assert list(frame_time_faults(at, "at")) == []


# -- large, cut short, and no film at all ----------


def test_six_gigabytes_are_not_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    small = film(tmp_path / "small.mp4", steady(60), F(1, 30))
    large = sparse_mp4(small, tmp_path / "large.mp4")
    assert large.stat().st_size > 6 << 30
    before = read_bytes()
    times = index(large)
    name = fingerprint(large)
    assert read_bytes() - before < 8 << 20
    np.testing.assert_array_equal(times.pts, index(small).pts)
    assert name != fingerprint(small)
    assert number_of(still(large, int(times.pts[41]))) == 41


def read_bytes() -> int:
    """Return how many bytes this process has read, by the kernel's own count."""
    rows = Path("/proc/self/io").read_text().splitlines()
    return int(next(row for row in rows if row.startswith("rchar")).split()[1])


def test_a_film_keeps_its_name_wherever_it_goes(plain: Path, tmp_path: Path) -> None:
    moved = tmp_path / "other name.mp4"
    moved.write_bytes(plain.read_bytes())
    assert fingerprint(moved) == fingerprint(plain)


def test_two_films_of_one_size_are_two(tmp_path: Path) -> None:
    held = os.urandom(5 << 20)
    first, second = tmp_path / "a", tmp_path / "b"
    first.write_bytes(held)
    other = bytearray(held)
    other[-1] ^= 1
    second.write_bytes(other)
    assert fingerprint(first) != fingerprint(second)
    a = film(tmp_path / "a.ts", steady(30), F(1, 30))
    b = film(tmp_path / "b.ts", steady(30), F(1, 30), begins=500)
    size = max(a.stat().st_size, b.stat().st_size)
    for one in (a, b):
        one.write_bytes(one.read_bytes().ljust(size, b"\0"))
    assert fingerprint(a) != fingerprint(b)


@pytest.mark.parametrize("kind", ["mkv", "ts", "fast.mp4"])
def test_a_film_cut_short_is_used_as_far_as_it_goes_and_says_so(tmp_path: Path, kind: str) -> None:
    box = {"movflags": "+faststart"} if kind == "fast.mp4" else {}
    whole = film(tmp_path / f"a.{kind}", steady(120), F(1, 30), box=box)
    short = tmp_path / f"b.{kind}"
    short.write_bytes(whole.read_bytes()[: whole.stat().st_size // 2])
    told = probe(short)
    assert 20 < told.frames < 110
    assert number_of(still(short, told.first_pts)) == 0
    if kind != "ts":  # a stream does not say how long it will be
        assert any("Cut short" in line for line in told.warnings)


def refused(path: Path, what: str = "index") -> str:
    with pytest.raises(FormatError) as raised:
        {"index": index, "probe": probe, "fingerprint": fingerprint}[what](path)
    assert str(path.parent) not in str(raised.value)
    assert raised.value.problems[0].where == path.name
    return str(raised.value)


def test_no_film_is_refused_with_directions(tmp_path: Path, plain: Path) -> None:
    def made(name: str, held: bytes) -> Path:
        (tmp_path / name).write_bytes(held)
        return tmp_path / name

    assert "no such file" in refused(tmp_path / "nowhere.mp4")
    assert "no such file" in refused(tmp_path / "nowhere.mp4", "fingerprint")
    assert "empty" in refused(made("empty.mp4", b""))
    assert "empty" in refused(made("empty.mp4", b""), "fingerprint")
    assert "text" in refused(made("notes.mp4", b"whistle at 3:15\nthrow-in, table side\n"))
    assert "no reader" in refused(made("noise.mp4", os.urandom(5000)))
    assert "folder" in refused(tmp_path)
    held = plain.read_bytes()
    moov = next(one for one in boxes(held) if one[0] == b"moov")
    assert "table of contents" in refused(made("camera stopped.mp4", held[: moov[1]]))


def test_a_list_of_other_files_is_no_film(tmp_path: Path, plain: Path) -> None:
    """Some readers follow a play list or a list of parts to other files and to the network: we never do."""
    for text in ("#EXTM3U\n#EXT-X-TARGETDURATION:9\n#EXTINF:9,\n{}\n", "ffconcat version 1.0\nfile {}\n"):
        path = tmp_path / "list.mp4"
        path.write_text(text.format(plain))
        assert "text" in refused(path)
        path.write_bytes(text.format(plain).encode() + b"\0\1")
        assert "no reader" in refused(path)


def test_sound_alone_is_refused(tmp_path: Path) -> None:
    import av

    path = tmp_path / "talk.mp4"
    with av.open(str(path), "w") as out:
        stream = out.add_stream("aac", rate=48000)
        stream.codec_context.layout = "mono"
        for number in range(20):
            frame = av.AudioFrame.from_ndarray(np.zeros((1, 1024), np.float32), format="fltp", layout="mono")
            frame.sample_rate, frame.pts = 48000, number * 1024
            out.mux(stream.encode(frame))
        out.mux(stream.encode())
    assert "sound without a picture" in refused(path)


def test_a_file_that_may_not_be_read_is_told_from_a_broken_one(
    plain: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The tests may run as one who may read everything: the refusal is put in the way of the first look."""

    def no(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", no)
    assert "may not read" in refused(plain)


def test_reading_stops_when_asked(tmp_path: Path) -> None:
    path = film(tmp_path / "a.mkv", steady(10), F(1, 30))
    with pytest.raises(StoppedError):
        index(path, cancel=lambda: True)
    told: list[tuple[int, int]] = []
    index(path, progress=lambda done, of: told.append((done, of)))
    assert told[-1] == (path.stat().st_size, path.stat().st_size)


def test_a_still_is_a_jpeg_of_that_frame_with_nothing_written_along(plain: Path) -> None:
    import cv2

    packed = jpeg(still(plain, int(index(plain).pts[33]), 96))
    assert number_of(cv2.imdecode(np.frombuffer(packed, np.uint8), cv2.IMREAD_COLOR)) == 33
    at, names = 2, []
    while packed[at] == 0xFF and packed[at + 1] != 0xDA:
        names.append(packed[at + 1])
        at += 2 + struct.unpack(">H", packed[at + 2 : at + 4])[0]
    assert 0xE1 not in names, "no place, device or date"
    assert 0xFE not in names, "no remark"


@pytest.mark.parametrize(
    ("more", "mistaken"),
    [
        ({}, False),
        ({"b_frames": 3, "gop": 9}, False),
        ({"box": {"movflags": "+faststart"}}, False),
        ({"box": {"movflags": "frag_keyframe+empty_moov"}}, True),
        ({"box": {"movflags": "frag_keyframe+empty_moov"}, "b_frames": 0}, False),
        ({"box": {"use_editlist": "0"}}, True),
        ({"box": {"use_editlist": "0"}, "b_frames": 0}, False),
    ],
)
def test_an_order_of_frames_that_a_browser_mistakes_is_told(
    tmp_path: Path, more: dict[str, object], mistaken: bool
) -> None:
    """What Chromium shows of them is looked at in tests/e2e/test_film_files.py."""
    path = film(tmp_path / "a.mp4", steady(40), F(1, 30), **more)  # type: ignore[arg-type]
    assert ("early keys" in index(path).odd) is mistaken
    assert probe(path).needs_copy is mistaken
    assert [number_of(picture) for _, picture in frames(path)] == list(range(40))
