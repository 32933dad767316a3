"""The demo film as a job: told as it goes, taken up again, not drawn twice."""

from __future__ import annotations

import json
import os
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tenbetween.desk import demo_film
from tenbetween.desk.workbench import Workbench
from tenbetween.errors import UsageError
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
    demo_film.make_demo_film(path, picture=(320, 180), seconds=0.5)
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


def test_taking_in_that_was_cut_off_anywhere_goes_on_and_marks_each_restart_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Killed before each of the things written on the way, begun again each time."""

    def now() -> datetime:
        return datetime(2025, 11, 3, 19, 0, tzinfo=UTC)

    with open_workbench(tmp_path / "bench", now=now, entropy=os.urandom) as store:
        bench = Workbench(store, now)
        folder = store.folder / demo_film.FOLDER
        folder.mkdir()
        demo_film.make_demo_film(folder / demo_film.NAME, picture=(160, 90), seconds=28)
        monkeypatch.setattr(demo_film, "LEFT_TO_MARK", -9)  # all of them
        left = [0]
        honest = store.together

        def cut_off(by: str | None = None) -> object:
            left[0] -= 1
            if left[0] < 0:
                raise KilledError
            return honest(by)

        monkeypatch.setattr(store, "together", cut_off)
        turns = 0
        while True:
            turns, left[0] = turns + 1, 3 + 8 * turns
            try:
                film = demo_film.take_in(bench, {}, lambda *_: None, lambda: False)["film"]
                break
            except KilledError:
                left[0] = 10_000
        monkeypatch.undo()
        marks = bench.films.marks(film)
        assert turns > 2
        assert len(marks) >= 2
        assert all(mark["closed"] for mark in marks)
        assert len({mark["at"]["pts"] for mark in marks}) == len(marks)
        assert len(store.find("film")) == 1
        assert store.check() == ()


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
