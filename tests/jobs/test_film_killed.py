"""Following, clips and the demo film, their program killed in the middle: done by the next one, whole, kept once."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from tests.jobs.conftest import wait_until
from tests.jobs.filmed import HOW, Filmed, drawn, now
from tests.store.workplaces import fresh_place

from tenbetween.desk import demo_film
from tenbetween.film.drawn_write import truth_path
from tenbetween.store import Job

SLOW = (sys.executable, str(Path(__file__).with_name("slowly.py")))
REAL = (sys.executable, "-m", "tenbetween")
FOLDERS = {"follow": "followed", "export": "exports", "demo_film": demo_film.FOLDER}


@pytest.fixture
def filmed(tmp_path: Path):
    truth = drawn(tmp_path / "films" / "freshman game.mp4")
    with fresh_place(tmp_path / "bench", None).open(wait_ms=20_000, now=now) as store:
        made = Filmed(store, tmp_path / "films" / "freshman game.mp4")
        store.jobs.ask_off(made.waiting("listen"), now())
        made.moment = made.mark(60, 120)
        made.carried = made.anchor(60, truth)
        yield made


def start(words: tuple[str, ...], folder: Path) -> subprocess.Popen[str]:
    given = ["work", "--workbench", str(folder), "--lease", "2"]
    return subprocess.Popen([*words, *given], stderr=subprocess.PIPE, text=True)


def in_the_middle(filmed: Filmed, killed: list[str]) -> Job | None:
    """A row that runs, was not killed before, and is told to be somewhere before its end."""
    runs = filmed.store.jobs.list(("running",))
    return next((one for one in runs if one.id not in killed and 0 < one.done < one.of), None)


def files(filmed: Filmed, kind: str) -> list[str]:
    folder = filmed.folder / FOLDERS[kind]
    return sorted(one.name for one in folder.iterdir()) if folder.exists() else []


def nothing_half_is_shown(filmed: Filmed, clip: str) -> None:
    assert not filmed.clip(clip)["there"]
    assert [one["carried"] for one in filmed.bench.courts.anchors(filmed.film["id"])] == [None]
    assert [one["id"] for one in filmed.bench.films.films()] == [filmed.film["id"]]
    for kind in FOLDERS:
        assert [one for one in files(filmed, kind) if not one.endswith(".part")] == [], kind


def test_following_a_clip_and_the_demo_film_killed_in_the_middle_are_done_whole_and_kept_once(filmed):
    (clip,) = filmed.bench.clips.make([filmed.moment], "Disposal", HOW)
    filmed.bench.courts.follow(filmed.carried, 2.0)
    filmed.bench.ask("demo_film", {"seconds": 28, "picture": [160, 90]})
    before = filmed.marks()
    assert before
    jobs, programs, killed = filmed.store.jobs, [], {}
    try:
        for _ in FOLDERS:  # one program is killed in each piece of work
            programs.append(start(SLOW, filmed.folder))
            row = wait_until(lambda: in_the_middle(filmed, [*killed]), 40)
            assert int(row.worker.split("-")[-2]) == programs[-1].pid
            os.kill(programs[-1].pid, signal.SIGKILL)
            killed[row.id] = row.kind
            nothing_half_is_shown(filmed, clip)
            half = [one for one in files(filmed, row.kind) if one.endswith(".part")]
            assert len(half) == (0 if row.kind == "follow" else 1), "following writes at its very end"
            assert filmed.marks() == before
        assert sorted(killed.values()) == sorted(FOLDERS)
        programs.append(start(REAL, filmed.folder))
        rows = wait_until(lambda: len(done := jobs.list(("done",))) == 3 and done, 60)
    finally:
        for program in programs:
            program.kill()
            program.communicate()
    assert {row.tries for row in rows} == {1}
    the_clip_is_whole(filmed, clip)
    the_court_is_carried_whole(filmed)
    the_demo_film_is_taken_in_once(filmed)
    assert filmed.marks() == before
    assert filmed.store.check() == ()


def the_clip_is_whole(filmed: Filmed, clip: str) -> None:
    import av

    assert files(filmed, "export") == [f"clip-{clip}.contact.jpg", f"clip-{clip}.mp4"]
    page = filmed.clip(clip)
    assert page["there"]
    assert [one["name"] for one in page["files"]] == [f"clip-{clip}.mp4", f"clip-{clip}.contact.jpg"]
    with av.open(str(filmed.bench.clips.file_of(clip))) as box:
        assert sum(1 for _ in box.decode(video=0)) == (120 - 60) + 30 + 30 + 1


def the_court_is_carried_whole(filmed: Filmed) -> None:
    assert files(filmed, "follow") == [f"{filmed.carried}.json"]
    kept = json.loads((filmed.folder / "followed" / f"{filmed.carried}.json").read_text("utf-8"))
    assert [row["pts"] for row in kept["rows"]] == filmed.stamps[: 60 + 60 + 1]


def the_demo_film_is_taken_in_once(filmed: Filmed) -> None:
    path = filmed.folder / demo_film.FOLDER / demo_film.NAME
    assert files(filmed, "demo_film") == sorted([path.name, truth_path(path).name])
    truth = json.loads(truth_path(path).read_text("utf-8"))
    (found,) = [one for one in filmed.bench.films.films() if one["title"] == demo_film.TITLE]
    assert filmed.bench.films.footage.probe(path)["frames"] == len(truth["pts"]) == 28 * 30
    marks = filmed.bench.films.marks(found["id"])
    expected = truth["restarts"][: -demo_film.LEFT_TO_MARK]
    assert expected
    assert [one["at"]["pts"] for one in marks] == [min(one["events"].values()) for one in expected]
    assert all(one["closed"] for one in marks)
