"""The demo film as a job: told as it goes, taken up again, not drawn twice."""

from __future__ import annotations

import json
import os
from datetime import UTC, datetime
from pathlib import Path
from shutil import copytree
from typing import Any

import numpy as np
import pytest

from tenbetween.desk import demo_film, demo_seen
from tenbetween.desk.demo_story import CUES, demo_story
from tenbetween.desk.pointed import seconds_of, shapes_at
from tenbetween.desk.workbench import Workbench
from tenbetween.errors import UsageError
from tenbetween.film.camera import Camera
from tenbetween.film.drawn_write import truth_path
from tenbetween.film.story import Restart
from tenbetween.film.write import StoppedError
from tenbetween.store import open_workbench

NOON = datetime(2025, 11, 11, 12, tzinfo=UTC)


def test_a_job_that_is_stopped_leaves_nothing_and_says_how_far_it_was(tmp_path: Path) -> None:
    told: list[tuple[int, int, str]] = []
    with pytest.raises(StoppedError):
        demo_film.job(
            {"path": str(tmp_path / "game.mp4")}, lambda *at: told.append(at), lambda: len(told) > 3
        )
    assert [done for done, _, _ in told] == [1, 2, 3, 4]
    assert {says for _, _, says in told} == {demo_film.SAYS}
    assert list(tmp_path.iterdir()) == []


def test_a_film_that_is_whole_is_not_drawn_again(tmp_path: Path) -> None:
    path = tmp_path / "game.mp4"
    demo_film.make_demo_film(path, picture=PICTURE, seconds=0.5)
    before = path.read_bytes()
    told: list[object] = []
    found = demo_film.job({"path": str(path)}, lambda *at: told.append(at), lambda: False)
    assert found["path"] == str(path)
    assert path.read_bytes() == before
    assert told == []


def test_a_folder_that_is_not_there_is_said_before_anything_is_drawn(tmp_path: Path) -> None:
    with pytest.raises(UsageError) as told:
        demo_film.make_demo_film(tmp_path / "no" / "game.mp4")
    assert "no" in told.value.problems[0].found


class KilledError(Exception):
    """Stands for the moment the program was killed."""


PICTURE = (160, 90)


@pytest.fixture(scope="module")
def drawn(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Draw two restarts of the film, small, into a folder."""
    folder = tmp_path_factory.mktemp("drawn")
    demo_film.make_demo_film(folder / demo_film.NAME, picture=PICTURE, seconds=28)
    return folder


def killed_once_before_and_once_after(room: object, name: str, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Let a verb of a room be cut off before it did anything, then after it did all; return what is left of that."""
    honest, left = getattr(room, name), ["before", "after"]

    def cut_off(*given: Any, **more: Any) -> Any:
        when = left.pop(0) if left else ""
        if when == "before":
            raise KilledError
        done = honest(*given, **more)
        if when == "after":
            raise KilledError
        return done

    monkeypatch.setattr(room, name, cut_off)
    return left


def test_taking_in_that_was_cut_off_anywhere_goes_on_and_marks_each_restart_once(
    tmp_path: Path, drawn: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Killed before each of the things written on the way, begun again each time."""

    def now() -> datetime:
        return datetime(2025, 11, 3, 19, 0, tzinfo=UTC)

    with open_workbench(tmp_path / "bench", now=now, entropy=os.urandom) as store:
        bench = Workbench(store, now)
        copytree(drawn, store.folder / demo_film.FOLDER)
        monkeypatch.setattr(demo_film, "LEFT_TO_MARK", -9)  # all of them
        left = [0]
        honest = store.together

        def cut_off(by: str | None = None) -> object:
            left[0] -= 1
            if left[0] < 0:
                raise KilledError
            return honest(by)

        monkeypatch.setattr(store, "together", cut_off)
        verbs = ("save_anchor", "stand", "save_pointer")
        cuts = [killed_once_before_and_once_after(bench.courts, name, monkeypatch) for name in verbs]
        turns = 0
        while True:
            turns, left[0] = turns + 1, 3 + 8 * turns
            try:
                film = demo_film.take_in(bench, {}, lambda *_: None, lambda: False)["film"]
                break
            except KilledError:
                continue
        monkeypatch.undo()
        marks = bench.films.marks(film)
        assert turns > 2
        # each was cut off both before it was done and after
        assert cuts == [[], [], []]
        assert len(marks) >= 2
        assert all(mark["closed"] for mark in marks)
        assert len({mark["at"]["pts"] for mark in marks}) == len(marks)
        assert len(store.find("film")) == 1
        assert store.check() == ()
        for mark in marks:
            ticked = [(one["duty"], one["who"]) for one in mark["duties"]]
            assert len(ticked) == len(set(ticked)) >= 3
        assert_court_scene_and_pointing_are_there_once(bench, film)
        assert demo_film.take_in(bench, {}, lambda *_: None, lambda: False)["film"] == film
        assert_court_scene_and_pointing_are_there_once(bench, film)


def assert_court_scene_and_pointing_are_there_once(bench: Workbench, film: str) -> None:
    (anchor,) = bench.courts.anchors(film)
    (pointing,) = bench.courts.pointers(film)
    assert len(bench.store.find("standing", film=film)) == 1
    assert bench.films.mark(pointing["mark"])["events"]["e6"] == anchor["at"]


def told(restart: Restart) -> dict[str, Any]:
    """Return a restart of the story as the truth beside the film has it, in thousandths."""
    events = {name: round(1000 * at) for name, at in restart.events.items()}
    return {"events": events, "administers": restart.administers, "otherwise": list(restart.otherwise)}


def test_only_what_the_story_draws_otherwise_is_ticked_no() -> None:
    """The story draws three things not as the book says; each is a no on its own duty, and nothing else is."""
    wrong: dict[str, list[int]] = {}
    for number, restart in enumerate(demo_story().restarts):
        for duty, (verdict, note) in demo_seen.verdicts(told(restart)).items():
            assert verdict in ("yes", "no")
            assert bool(note) == (verdict == "no")
            if verdict == "no":
                wrong.setdefault(duty, []).append(number)
    drawn = {cue.wrong: number for number, cue in enumerate(CUES) if cue.wrong}
    assert wrong == {
        "step-back": [drawn["stands still"]],
        "chop": [drawn["late chop"]],
        "places": [drawn["wrong side"]],
    }


@pytest.mark.parametrize(("eyes", "ticked"), [(900, True), (1100, False)])
def test_eyes_that_meet_after_the_ball_was_given_are_not_ticked_yes(eyes: int, ticked: bool) -> None:
    found = demo_seen.verdicts({"events": {"e4": eyes, "e6": 1000}, "otherwise": []})
    assert ("eye-contact" in found) is ticked


def test_the_rings_lie_at_the_feet_of_both_officials_and_the_sentence_praises_first(
    tmp_path: Path, drawn: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Held against the truth of the film: the camera of the frame and where each of them stands in it."""
    monkeypatch.setattr(demo_film, "LEFT_TO_MARK", -9)
    with open_workbench(tmp_path / "bench", now=lambda: NOON, entropy=os.urandom, by="Anna Tester") as store:
        bench = Workbench(store, lambda: NOON)
        copytree(drawn, store.folder / demo_film.FOLDER)
        truth = json.loads(truth_path(drawn / demo_film.NAME).read_text("utf-8"))
        film = demo_film.take_in(bench, {}, lambda *_: None, lambda: False)["film"]
        (pointing,) = bench.courts.pointers(film)
        (anchor,) = bench.courts.anchors(film)
        number = truth["pts"].index(anchor["at"]["pts"])
        true = Camera(0, 0, 1, 0, 0, 0, 1, 0, PICTURE).with_numbers(truth["camera"]["numbers"][number])
        part, seconds = anchor["at"]["part"], seconds_of(anchor["at"])
        shapes = shapes_at(pointing["items"], part, seconds, PICTURE, None)
        rings = [np.mean(one["points"], axis=0) for one in shapes if one["kind"] == "ring"]
        assert len(rings) == 2
        for who in ("referee", "umpire"):
            feet = true.dots([truth["people"][who]["places"][number]])[0]
            assert min(np.hypot(*(ring - feet)) for ring in rings) < 1.5, who
        (sentence,) = [one["text"] for one in shapes if one["kind"] == "sentence"]
        assert sentence.startswith("Good:")
        found = bench.courts.page(film, anchor["at"])
        places = np.array([[42.0, 10.0], [42.0, 40.0]])
        camera = bench.courts.camera_at(film, anchor["at"])[0]
        assert camera is not None
        assert np.abs(camera.camera.floor(true.dots(places)) - places).max() < 0.3
        stood = {one["id"]: one["at"] for one in found["standing"]["feet"]}
        assert {"lead", "trail"} <= set(stood)
        assert found["standing"]["told"]["rows"]


@pytest.mark.full
def test_the_film_is_taken_in_and_marked_by_its_truth_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tenbetween.film.drawn.PICTURE", (160, 90))
    with open_workbench(
        tmp_path / "bench", now=lambda: NOON, entropy=os.urandom, by="Wendell Thackrow"
    ) as store:
        bench = Workbench(store, lambda: NOON)
        found = demo_film.take_in(bench, {"seconds": 52.0}, lambda *_: None, lambda: False)
        marks = bench.films.marks(found["film"])
        (beside,) = (tmp_path / "bench").rglob("*.truth.json")
        restarts = json.loads(beside.read_text("utf-8"))["restarts"][: -demo_film.LEFT_TO_MARK]
        assert len(restarts) == len(marks) == 1
        for mark, restart in zip(marks, restarts, strict=True):
            seen = {name: at["pts"] for name, at in mark["events"].items() if at != "not seen"}
            assert seen == restart["events"]
            assert mark["answer"] not in ("", "not covered")
        again = demo_film.take_in(bench, {"seconds": 52.0}, lambda *_: None, lambda: False)
        assert again == found
