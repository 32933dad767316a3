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

PROGRAM = Path(__file__).with_name("slowly.py")
SLOW, FAST = "0.03", "0"
SECONDS = 10
"""So much of the demo film has one restart."""
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


def start(folder: Path, pause: str) -> subprocess.Popen[str]:
    words = [sys.executable, str(PROGRAM), "work", "--workbench", str(folder), "--lease", "2"]
    return subprocess.Popen(words, stderr=subprocess.PIPE, text=True, env={**os.environ, "PAUSE_S": pause})


def in_the_middle(filmed: Filmed, killed: list[str]) -> Job | None:
    """A row that runs, was not killed before, is somewhere before its end and has written something, if it does."""
    for one in filmed.store.jobs.list(("running",)):
        begun = one.kind == "follow" or files(filmed, one.kind)
        if one.id not in killed and 0 < one.done < one.of and begun:
            return one
    return None


def files(filmed: Filmed, kind: str) -> list[str]:
    folder = filmed.folder / FOLDERS[kind]
    return sorted(one.name for one in folder.iterdir()) if folder.exists() else []


def nothing_half_is_shown(filmed: Filmed, kind: str, clip: str) -> None:
    """The work of a kind was in the middle; work of the others may have been taken up again and be done by now."""
    left = files(filmed, kind)
    assert [one for one in left if not one.endswith(".part")] == []
    if kind == "follow":
        assert left == [], "it writes at its very end"
        assert [one["carried"] for one in filmed.bench.courts.anchors(filmed.film["id"])] == [None]
    elif kind == "export":
        assert len(left) == 1
        assert not filmed.clip(clip)["there"]
    else:
        assert len(left) == 1
        assert [one["id"] for one in filmed.bench.films.films()] == [filmed.film["id"]]


def test_following_a_clip_and_the_demo_film_killed_in_the_middle_are_done_whole_and_kept_once(filmed):
    (clip,) = filmed.bench.clips.make([filmed.moment], "Disposal", HOW)
    filmed.bench.courts.follow(filmed.carried, 2.0)
    filmed.bench.ask("demo_film", {"seconds": SECONDS, "picture": [160, 90]})
    before = filmed.marks()
    assert before
    jobs, programs, killed = filmed.store.jobs, [], {}
    try:
        for _ in FOLDERS:  # one program is killed in each piece of work
            programs.append(start(filmed.folder, SLOW))
            row = wait_until(lambda: in_the_middle(filmed, [*killed]), 40)
            assert int(row.worker.split("-")[-2]) == programs[-1].pid
            os.kill(programs[-1].pid, signal.SIGKILL)
            killed[row.id] = row.kind
            nothing_half_is_shown(filmed, row.kind, clip)
            assert filmed.marks() == before
        assert sorted(killed.values()) == sorted(FOLDERS)
        programs.append(start(filmed.folder, FAST))
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
        assert sum(1 for _ in box.decode(video=0)) == (120 - 60) + 15 + 15 + 1


def the_court_is_carried_whole(filmed: Filmed) -> None:
    assert files(filmed, "follow") == [f"{filmed.carried}.json"]
    kept = json.loads((filmed.folder / "followed" / f"{filmed.carried}.json").read_text("utf-8"))
    assert [row["pts"] for row in kept["rows"]] == filmed.stamps[: 60 + 60 + 1]


def the_demo_film_is_taken_in_once(filmed: Filmed) -> None:
    path = filmed.folder / demo_film.FOLDER / demo_film.NAME
    assert files(filmed, "demo_film") == sorted([path.name, truth_path(path).name])
    truth = json.loads(truth_path(path).read_text("utf-8"))
    (found,) = [one for one in filmed.bench.films.films() if one["title"] == demo_film.TITLE]
    assert filmed.bench.films.footage.probe(path)["frames"] == len(truth["pts"]) == SECONDS * 30
    marks = filmed.bench.films.marks(found["id"])
    assert len(marks) == 1
    assert [one["at"]["pts"] for one in marks] == [min(one["events"].values()) for one in truth["restarts"]]
    assert all(one["closed"] for one in marks)
