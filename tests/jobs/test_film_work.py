"""The film room's own work, its program killed in the middle: done by the next one, whole, and kept once."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from datetime import UTC, datetime
from fractions import Fraction
from pathlib import Path

import pytest
from tests.film.filming import film, steady
from tests.jobs.conftest import wait_until
from tests.store.workplaces import fresh_place

from tenbetween.desk.workbench import Workbench
from tenbetween.store import Job

LEAVE = {"by": "Ardenmoor", "until": "2026-12-31"}


def start(folder: Path) -> subprocess.Popen[str]:
    words = [sys.executable, "-m", "tenbetween", "work", "--workbench", str(folder), "--lease", "2"]
    return subprocess.Popen(words, stderr=subprocess.PIPE, text=True)


@pytest.fixture
def bench(tmp_path: Path):
    """A workbench with one film of half a minute that no browser shows, still to be listened to and copied."""
    films = tmp_path / "films"
    films.mkdir()
    film(
        films / "first half.mp4",
        steady(900),
        Fraction(1, 30),
        codec="mpeg4",
        sound=True,
    )
    place = fresh_place(tmp_path / "bench", None)
    with place.open(wait_ms=20_000, now=lambda: datetime.now(UTC)) as store:
        made = Workbench(store, lambda: datetime.now(UTC))
        (folder,) = [one for one in made.films.add_folder(str(films)) if one["files"]]
        made.films.add([folder["files"][0]["id"]], "Ardenmoor at Pell Hollow", dict(LEAVE))
        yield made


def in_the_middle(bench: Workbench, killed: list[str]) -> Job | None:
    """A row that runs and was not killed before; a copy is in the middle when a part of it is written."""
    half = [*(bench.store.folder / "copies").glob("*.part")]
    runs = bench.store.jobs.list(("running",))
    return next((r for r in runs if r.id not in killed and (half or r.kind == "listen")), None)


def test_listening_and_copying_killed_in_the_middle_are_done_whole_and_kept_once(bench):
    jobs = bench.store.jobs
    waiting = {one.kind: one.id for one in jobs.list()}
    assert set(waiting) == {"listen", "browser_copy"}
    programs, killed = [], []
    try:
        for _ in waiting:  # one program is killed in each piece of work
            programs.append(start(bench.store.folder))
            row = wait_until(lambda: in_the_middle(bench, killed), 40)
            assert int(row.worker.split("-")[-2]) == programs[-1].pid
            os.kill(programs[-1].pid, signal.SIGKILL)
            killed.append(row.id)
        programs.append(start(bench.store.folder))
        rows = wait_until(lambda: (found := jobs.list(("done",))) and len(found) == 2 and found, 60)
    finally:
        for program in programs:
            program.kill()
            program.communicate()
    assert {row.tries for row in rows} == {1}
    assert len(bench.store.find("listening")) == 1
    (part,) = bench.films.film(bench.films.films()[0]["id"])["parts"]
    assert [one.name for one in (bench.store.folder / "copies").iterdir()] == [part["copy"]]
    copy = bench.films.path_of(part["fingerprint"])
    assert copy.parent.name == "copies"
    assert bench.films.footage.probe(copy)["frames"] == 900
    assert bench.store.check() == ()
