"""One pass over a film: proposals ranked, progress told, stopped when asked; what is missing or broken is said."""

from __future__ import annotations

import io
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from tenbetween.dev.gym_sound import Gym, heard, write_sound
from tenbetween.errors import FormatError
from tenbetween.film.listen import WHOLE, listen
from tenbetween.film.sound_in import RATE, sound
from tenbetween.film.write import StoppedError


def film(
    path: Path, seconds: float = 4.0, late_s: float = 0.0, first_picture_s: float = 0.0, *, kind: str = "mp4",
    with_sound: bool = True, with_picture: bool = True,
) -> Path:  # fmt: skip
    """A small film: grey pictures, and one click a second in its sound, which begins ``late_s`` after 0."""
    import av

    out = io.BytesIO()
    with av.open(out, "w", format=kind) as box:
        if with_picture:
            picture = box.add_stream("libx264", rate=25)
            picture.width, picture.height, picture.pix_fmt = 64, 48, "yuv420p"
        if with_sound:
            tone = box.add_stream("aac", rate=44_100, layout="mono")
        if with_picture:
            for number in range(round(seconds * 25)):
                frame = av.VideoFrame.from_ndarray(np.full((48, 64, 3), 90, np.uint8), format="rgb24")
                frame.pts, frame.time_base = number + round(first_picture_s * 25), Fraction(1, 25)
                box.mux(picture.encode(frame))
            box.mux(picture.encode())
        if with_sound:
            samples = np.zeros(round(seconds * 44_100), np.float32)
            for at in range(1, int(seconds)):
                samples[at * 44_100 : at * 44_100 + 200] = 0.8
            frame = av.AudioFrame.from_ndarray(samples[None], format="fltp", layout="mono")
            frame.sample_rate, frame.pts, frame.time_base = (
                44_100,
                round(late_s * 44_100),
                Fraction(1, 44_100),
            )
            box.mux(tone.encode(frame))
            box.mux(tone.encode())
    path.write_bytes(out.getvalue())
    return path


def clicks(path: Path) -> list[float]:
    """When the clicks are heard, in seconds after the first picture."""
    samples = np.abs(np.concatenate(list(sound(path))))
    on = np.flatnonzero(samples > 0.3)
    return [float(one) / RATE for one in on[np.concatenate(([True], np.diff(on) > RATE // 2))]]


@pytest.mark.parametrize(
    ("late", "picture", "expected"),
    [(0.0, 0.0, [1, 2, 3]), (1.5, 0.0, [2.5, 3.5, 4.5]), (0.0, 0.6, [0.4, 1.4, 2.4]), (2.0, 1.0, [2, 3, 4])],
)
@pytest.mark.parametrize("kind", ["matroska", "mpegts"])
def test_sound_is_laid_on_the_time_of_the_picture(
    tmp_path: Path, kind: str, late: float, picture: float, expected: list[float]
) -> None:
    found = clicks(film(tmp_path / "film", late_s=late, first_picture_s=picture, kind=kind))
    assert found == pytest.approx(expected, abs=0.06)


def test_a_film_without_sound_says_so_and_is_still_looked_at(tmp_path: Path) -> None:
    found = listen(film(tmp_path / "quiet.mp4", with_sound=False))
    assert (found.sound, found.picture, found.proposals) == (False, True, ())
    assert "no sound in it" in str(found.says[0])


def test_sound_without_picture_says_so_and_is_still_listened_to(tmp_path: Path) -> None:
    found = listen(film(tmp_path / "sound.m4a", with_picture=False))
    assert (found.sound, found.picture) == (True, False)
    assert "no moving picture" in str(found.says[0])
    assert found.duration_s == pytest.approx(4.0, abs=0.1)


@pytest.mark.parametrize("name", ["missing.mp4", "text.mp4", "empty.mp4", "folder"])
def test_what_is_no_film_is_said_as_directions(tmp_path: Path, name: str) -> None:
    (tmp_path / "text.mp4").write_text("not a film")
    (tmp_path / "empty.mp4").touch()
    (tmp_path / "folder").mkdir()
    with pytest.raises(FormatError) as caught:
        listen(tmp_path / name)
    problem = caught.value.problems[0]
    assert name in problem.where
    assert problem.do


def test_a_film_cut_short_is_listened_to_as_far_as_it_goes(tmp_path: Path) -> None:
    whole = film(tmp_path / "whole.ts", seconds=8.0, kind="mpegts").read_bytes()
    short = tmp_path / "short.ts"
    short.write_bytes(whole[: len(whole) // 2])
    assert 1 <= len(clicks(short)) < 7
    assert listen(short).sound


def test_damaged_bytes_are_never_more_than_a_shorter_answer_or_directions(tmp_path: Path) -> None:
    whole = film(tmp_path / "whole.ts", kind="mpegts").read_bytes()
    dice = np.random.default_rng(6)
    for number in range(12):
        broken = np.frombuffer(whole, np.uint8).copy()
        at = dice.integers(0, len(broken), size=40 * (1 + number))
        broken[at] = dice.integers(0, 256, size=len(at))
        file = tmp_path / f"{number}.ts"
        file.write_bytes(broken.tobytes())
        assert told_of(file)


def told_of(file: Path) -> bool:
    """Whether a film brings an answer or directions."""
    try:
        return listen(file).duration_s >= 0
    except FormatError as fault:
        return bool(fault.problems[0].do)


def test_progress_only_grows_and_ends_whole(tmp_path: Path) -> None:
    told: list[tuple[int, int, str]] = []
    listen(film(tmp_path / "film.mp4"), told=lambda *one: told.append(one))
    done = [one[0] for one in told]
    assert done == sorted(done)
    assert told[-1][:2] == (WHOLE, WHOLE)
    assert {one[2] for one in told} == {"listening", "looking", "done"}


@pytest.mark.parametrize("after", [0, 1, 3])
def test_it_stops_when_asked(tmp_path: Path, after: int) -> None:
    asked = iter(range(10_000))
    with pytest.raises(StoppedError):
        listen(film(tmp_path / "film.mp4"), cancelled=lambda: next(asked) >= after)


def test_horns_and_whistles_of_a_gym_are_ranked(tmp_path: Path) -> None:
    made = heard(Gym(seconds=40.0, snr_db=15.0).also(horn=0.08, shout=0.3, scream=0.0), 78)
    found = listen(write_sound(tmp_path / "gym.m4a", made.samples))
    sure = [one.confidence for one in found.proposals]
    assert sure == sorted(sure, reverse=True)
    horns = [one for one in found.proposals if one.kind == "horn"]
    assert made.horns
    for begins, ends in made.horns:
        assert any(abs(one.t - begins) < 0.3 and abs(one.t_end - ends) < 0.9 for one in horns), (
            begins,
            ends,
            horns,
        )
    assert len(horns) <= len(made.horns) + 1
