"""The drawn film against its own truth: what the numbers say stands under the dots, and is heard when it is said.

OpenCV and PyAV read the file back; the camera and the court are asked independently of the painter.
"""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tenbetween.court import court_of, landmarks
from tenbetween.desk.demo_film import make_demo_film, shortened
from tenbetween.desk.demo_story import CUES, WRONG_WORDS, demo_story
from tenbetween.film.camera import PARTS, Camera
from tenbetween.film.drawn import Drawn, farthest_apart
from tenbetween.film.drawn_floor import middle_of
from tenbetween.film.drawn_write import truth_path, write_drawn
from tenbetween.film.write import StoppedError

SECONDS = 9.0
PICTURE = (640, 360)


@pytest.fixture(scope="module")
def film(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, Any]]:
    path = tmp_path_factory.mktemp("drawn") / "game.mp4"
    return path, make_demo_film(path, picture=PICTURE, seconds=SECONDS)


def camera_of(truth: dict[str, Any], number: int) -> Camera:
    assert truth["camera"]["parts"] == list(PARTS)
    empty = Camera(0, 0, 1, 0, 0, 0, 1, 0, tuple(truth["picture"]))
    return empty.with_numbers(truth["camera"]["numbers"][number])


def pictures(path: Path) -> dict[int, np.ndarray]:
    import av

    with av.open(str(path)) as box:
        return {frame.pts: frame.to_ndarray(format="rgb24") for frame in box.decode(video=0)}


def sound(path: Path) -> np.ndarray:
    import av

    with av.open(str(path)) as box:
        return np.concatenate([frame.to_ndarray().mean(0) for frame in box.decode(audio=0)])


# -- the picture --------------------------------------------------------------------------------------------------


def test_a_painted_line_stands_under_the_dots_its_places_project_to(
    film: tuple[Path, dict[str, Any]],
) -> None:
    path, truth = film
    shown = pictures(path)
    court = court_of("us-hs")
    right = wrong = 0
    for number in (10, 120, 230):
        picture, camera = shown[truth["pts"][number]].astype(int), camera_of(truth, number)
        for name in ("table_sideline", "division_line", "right_free_throw_line", "right_table_lane_line"):
            start, end = middle_of(court, name)
            places = start + (end - start) * np.linspace(0.04, 0.96, 40)[:, None]
            beside = places + np.array([0.0, 1.2] if name == "table_sideline" else [1.2, 0.6])
            for on, off in zip(camera.dots(places), camera.dots(beside), strict=True):
                u, v = np.round(on).astype(int)
                s, t = np.round(off).astype(int)
                if not (3 < u < 636 and 3 < v < 356 and 3 < s < 636 and 3 < t < 356):
                    continue
                lighter = picture[v, u].sum() > picture[t, s].sum() + 20
                right, wrong = right + lighter, wrong + (not lighter)
    assert right + wrong > 150
    assert right / (right + wrong) > 0.9  # what is left stands behind somebody


def test_a_line_is_not_where_a_camera_turned_by_half_a_degree_has_it(
    film: tuple[Path, dict[str, Any]],
) -> None:
    path, truth = film
    picture = pictures(path)[truth["pts"][120]].astype(int)
    numbers = np.array(truth["camera"]["numbers"][120])
    start, end = middle_of(court_of("us-hs"), "table_sideline")
    places = start + (end - start) * np.linspace(0.3, 0.7, 60)[:, None]

    def light(tilt: float) -> float:
        turned = numbers + np.array([0, 0, 0, 0, tilt, 0, 0, 0])
        dots = np.round(
            camera_of({**truth, "camera": {"parts": list(PARTS), "numbers": [turned]}}, 0).dots(places)
        )
        inside = dots[(dots[:, 0] > 0) & (dots[:, 0] < 639) & (dots[:, 1] > 0) & (dots[:, 1] < 359)].astype(
            int
        )
        return float(np.median(picture[inside[:, 1], inside[:, 0]].sum(1)))

    assert light(0.0) > light(np.radians(0.5)) + 60
    assert light(0.0) > light(np.radians(-0.5)) + 60


def test_feet_stand_on_their_places_and_officials_wear_stripes(film: tuple[Path, dict[str, Any]]) -> None:
    path, truth = film
    number = 140
    picture, camera = pictures(path)[truth["pts"][number]].astype(int), camera_of(truth, number)
    place = truth["people"]["referee"]["places"][number]
    (feet,), (chest,) = camera.dots([[*place, 0.0]]), camera.dots([[*place, 4.0]])
    tall = feet[1] - chest[1]
    high = slice(int(chest[1] - tall * 0.15), int(chest[1] + tall * 0.15))
    shirt = picture[high, int(chest[0] - tall * 0.15) : int(chest[0] + tall * 0.15) + 1].mean(2)
    assert shirt.max() - shirt.min() > 80  # black and white beside each other
    legs = picture[
        int(feet[1] - tall * 0.3) : int(feet[1]), int(feet[0] - tall * 0.12) : int(feet[0] + tall * 0.12) + 1
    ]
    assert legs.mean(2).min() < 90  # dark trousers down to the place


def test_every_landmark_of_the_court_goes_through_the_picture(film: tuple[Path, dict[str, Any]]) -> None:
    drawn = Drawn(demo_story(), picture=PICTURE)
    seen = set()
    for number in range(0, drawn.frames, 60):
        for name, at in landmarks(court_of("us-hs")).items():
            (u, v) = drawn.cameras[number].dots([at])[0]
            if 0 <= u < PICTURE[0] and 0 <= v < PICTURE[1]:
                seen.add(name)
    assert seen == set(landmarks(court_of("us-hs")))


def test_the_camera_pans_as_far_as_a_film_of_a_game_does() -> None:
    drawn = Drawn(demo_story(), picture=PICTURE)
    pans = np.degrees([one.pan for one in drawn.cameras])
    assert pans.max() - pans.min() > 25
    assert np.abs(np.diff(pans)).max() * drawn.fps < 40  # degrees a second
    assert len({(one.x, one.y, one.z) for one in drawn.cameras}) == 1


# -- the game -----------------------------------------------------------------------------------------------------


def test_who_administers_stands_where_the_book_has_him_at_disposal() -> None:
    from tenbetween import notation
    from tenbetween.desk.answers import Shelf, answer
    from tenbetween.situation import Situation

    story = demo_story()
    ways = {one.id: one.way for one in story.figures}
    apart = []
    for one in story.restarts:
        ruling = answer(
            Shelf(),
            notation.parse(
                one.line, base=Situation(edition="us-hs-2025", attacking="right", stopped_by="injury")
            ),
        )
        assert ruling.places is not None
        now = ruling.administers.now if ruling.administers else "trail"
        partner = "trail" if now == "lead" else "lead"
        other = "umpire" if one.administers == "referee" else "referee"
        assert np.allclose(ways[one.administers].at([one.events["e6"]])[0], ruling.places[now].at, atol=1e-6)
        apart.append(float(np.hypot(*(ways[other].at([one.events["e6"]])[0] - ruling.places[partner].at))))
    wrong = [bool(one.otherwise) and one.otherwise[0] == WRONG_WORDS["wrong side"] for one in story.restarts]
    assert [far > 1.0 for far in apart] == wrong


def test_what_is_drawn_otherwise_is_drawn_so_and_nothing_else_is() -> None:
    story = demo_story()
    assert len(story.restarts) == len(CUES)
    for cue, one in zip(CUES, story.restarts, strict=True):
        assert bool(one.otherwise) == bool(cue.wrong)
        handled = "e5" in one.events
        assert ("e7" in one.events) == (handled and cue.wrong != "stands still")
        if "e10" in one.events:
            lag = one.events["e10"] - one.events["e9"]
            assert (lag > 1.2) if cue.wrong == "late chop" else (lag < 0.5)


def test_nobody_runs_faster_than_people_do() -> None:
    assert farthest_apart(Drawn(demo_story(), picture=PICTURE)) < 24.0


def test_events_come_in_their_order_and_each_on_a_frame() -> None:
    for one in demo_story().restarts:
        times = [
            one.events[name]
            for name in ("e0", "e1", "e2", "e3", "e5", "e4", "e6", "e7", "e8", "e9", "e10")
            if name in one.events
        ]
        assert times == sorted(times)
        assert all(abs(at * 30 - round(at * 30)) < 1e-6 for at in one.events.values())
        assert 5.0 > one.events["e8"] - one.events["e6"] > 1.0


# -- the file -----------------------------------------------------------------------------------------------------


def test_the_time_stamps_of_the_truth_are_those_of_the_file(film: tuple[Path, dict[str, Any]]) -> None:
    path, truth = film
    assert sorted(pictures(path)) == truth["pts"]
    assert len(truth["pts"]) == round(SECONDS * 30)
    assert json.loads(truth_path(path).read_text("utf-8")) == truth
    (restart,) = truth["restarts"]
    base = Fraction(*truth["base"])
    seconds = {name: float(pts * base) for name, pts in restart["events"].items()}
    assert seconds == {
        name: pytest.approx(at, abs=1e-6) for name, at in demo_story().restarts[0].events.items()
    }


def test_a_whistle_is_heard_where_the_truth_has_one() -> None:
    from tenbetween.film.drawn_sound import sound_of

    story = shortened(demo_story(), 36.0)
    wave = sound_of(story)
    whistled = [
        one.events["e0"] for one in demo_story().restarts if "e1" in one.events and one.events["e0"] < 36
    ]
    assert [one.at for one in story.sounds if one.kind == "whistle"] == whistled

    def tone(at: float) -> float:
        part = np.abs(
            np.fft.rfft(wave[int(at * 44_100) : int((at + 0.4) * 44_100)] * np.hanning(int(0.4 * 44_100)))
        )
        hertz = np.fft.rfftfreq(int(0.4 * 44_100), 1 / 44_100)
        band = (hertz > 3_300) & (hertz < 3_900)
        return float(part[band].max() / np.median(part[(hertz > 2_000) & (hertz < 5_000)]))

    assert all(tone(at + 0.05) > 50 for at in whistled)
    assert all(tone(at - 1.0) < 30 for at in whistled)


def test_sound_in_the_file_is_as_long_as_the_picture(film: tuple[Path, dict[str, Any]]) -> None:
    path, _ = film
    wave = sound(path)
    assert abs(len(wave) / 44_100 - SECONDS) < 0.1
    assert 0.2 < np.abs(wave).max() <= 1.0


def test_drawn_twice_it_is_the_same_file(tmp_path: Path) -> None:
    story = shortened(demo_story(), 1.5)
    made = [tmp_path / "one.mp4", tmp_path / "two.mp4"]
    for path in made:
        write_drawn(Drawn(story, picture=(320, 180)), path)
    assert made[0].read_bytes() == made[1].read_bytes()
    assert truth_path(made[0]).read_bytes() == truth_path(made[1]).read_bytes()


def test_stopped_halfway_it_leaves_nothing(tmp_path: Path) -> None:
    asked = iter(range(1000))
    with pytest.raises(StoppedError):
        make_demo_film(tmp_path / "game.mp4", picture=(320, 180), seconds=3, cancel=lambda: next(asked) > 20)
    assert list(tmp_path.iterdir()) == []


def test_a_full_disk_is_said_and_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from tenbetween.errors import FormatError
    from tenbetween.film import drawn_write

    def full(*_: Any) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(drawn_write, "truth_of", full)
    with pytest.raises(FormatError) as told:
        make_demo_film(tmp_path / "game.mp4", picture=(160, 90), seconds=0.5)
    assert told.value.problems[0].found == "a full disk"
    assert list(tmp_path.iterdir()) == []


def test_the_command_draws_it_and_says_what_it_made(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    from tenbetween.cli import main

    out = tmp_path / "game.mp4"
    assert main(["film", "demo", str(out), "--seconds", "5", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["duration_s"] == 5.0
    assert told["bytes"] == out.stat().st_size
    assert Path(told["truth"]) == truth_path(out)
    assert main(["film", "demo", str(tmp_path / "no" / "game.mp4")]) == 2
    assert main(["film", "demo", str(out)]) == 2
    assert "add --force" in capsys.readouterr().err


def test_progress_counts_every_frame(tmp_path: Path) -> None:
    told: list[tuple[int, int]] = []
    make_demo_film(tmp_path / "game.mp4", picture=(320, 180), seconds=1, progress=lambda *at: told.append(at))
    assert told == [(number, 30) for number in range(1, 31)]


def test_a_film_of_three_minutes_stays_small(film: tuple[Path, dict[str, Any]]) -> None:
    path, _ = film
    assert path.stat().st_size / SECONDS * demo_story().seconds < 25e6


@pytest.mark.full
def test_the_whole_film_is_drawn_in_time(tmp_path: Path) -> None:
    from time import process_time

    began = process_time()
    truth = make_demo_film(tmp_path / "game.mp4")
    assert process_time() - began < 90.0
    assert 165 < len(truth["pts"]) / 30 < 195
    assert (tmp_path / "game.mp4").stat().st_size < 25e6
    assert len(truth["restarts"]) == len(CUES)
