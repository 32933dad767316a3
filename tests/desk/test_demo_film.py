"""The demo film as a job: told as it goes, taken up again, not drawn twice."""

from __future__ import annotations

from pathlib import Path

import pytest

from tenbetween.desk import demo_film
from tenbetween.errors import UsageError
from tenbetween.film.write import StoppedError


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
