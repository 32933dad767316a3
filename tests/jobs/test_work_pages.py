"""Long work as the screens ask for it, and the worker that comes and goes with the pages."""

from __future__ import annotations

import os
import resource
import signal
import subprocess
import sys
import threading
import time
from datetime import UTC, datetime
from importlib import import_module
from inspect import signature
from pathlib import Path

import pytest
from tests.jobs.conftest import PROGRAM, is_alive, wait_until
from tests.store.workplaces import fresh_place

from tenbetween.desk import work
from tenbetween.desk.work import WorkPlace, again, ask, cancel, functions, jobs_page
from tenbetween.errors import Problem, StoreError, TenbetweenError, UsageError
from tenbetween.jobs import WORK, Worker, open_queue

T0 = datetime(2025, 11, 3, 19, 0, tzinfo=UTC)


@pytest.fixture
def store(tmp_path):
    with fresh_place(tmp_path / "bench", None).open() as opened:
        yield opened


def test_the_page_tells_what_is_under_way_first_then_what_waits_then_what_is_over(store):
    film = store.save("film", {"title": "Ardenmoor at Pell Hollow"})
    done, failed, runs, waits, later = (
        ask(store.jobs, kind, {"film": film.id}, T0)
        for kind in ("listen", "export", "browser_copy", "follow", "demo_film")
    )
    held = store.jobs.take(["listen"], "w", T0, 30)
    store.jobs.finish(held, {}, T0)
    held = store.jobs.take(["export"], "w", T0, 30)
    store.jobs.fail(held, [Problem("clip", "no room left on the disk", "room", "free some")], T0)
    held = store.jobs.take(["browser_copy"], "w", T0, 30)
    store.jobs.told(held, 30, 120, "picture 30 of 120", T0)
    page = jobs_page(store.jobs, {film.id: film.value.title})
    assert [one["id"] for one in page] == [runs, waits, later, failed, done]
    assert page[0] == {
        "id": runs,
        "kind": "browser_copy",
        "film": film.id,
        "film_title": "Ardenmoor at Pell Hollow",
        "title": "A copy the browser can show: Ardenmoor at Pell Hollow",
        "state": "running",
        "state_words": "under way",
        "done": 30,
        "of": 120,
        "says": "picture 30 of 120",
        "error": [],
        "may": "cancel",
    }
    assert [one["may"] for one in page] == ["cancel", "cancel", "cancel", "again", ""]
    assert page[3]["error"][0]["do"] == "free some"
    assert cancel(store.jobs, runs, T0)["state_words"] == "stopping"
    assert cancel(store.jobs, waits, T0)["state_words"] == "stopped"
    assert again(store.jobs, failed, T0)["state_words"] == "waits its turn"
    with pytest.raises(StoreError):
        again(store.jobs, done, T0)


def test_every_kind_of_work_has_words(store):
    assert set(WORK) == set(work.TITLES)
    assert set(work.WORK) <= set(WORK)
    with pytest.raises(UsageError, match="did you mean 'listen'"):
        ask(store.jobs, "listn", {}, T0)
    words = " ".join([*work.TITLES.values(), *work.STATES.values()]).lower()
    assert not {"job", "queue", "worker", "task", "lease", "index"} & set(words.split())


@pytest.mark.parametrize("kind", WORK)
def test_every_line_of_the_list_leads_to_a_function(store, tmp_path, kind):
    place = WorkPlace(store, tmp_path, lambda: datetime.now(UTC))
    assert kind in functions(place)
    module, _, name = work.WORK[kind].partition(":")
    function = getattr(import_module(f"tenbetween.desk.{module}"), name)
    assert [*signature(function).parameters] == ["place", "args", "told", "cancelled"]


def test_a_worker_of_a_machine_without_the_film_leaves_it_to_another(store):
    """The function is the program's own, the film lies nowhere."""
    part = {
        "fingerprint": "f1-00c0ffee",
        "name": "first half.mp4",
        "size": 5,
        "first_pts": 0,
        "base": [1, 30],
    }
    part |= {"last_pts": 9, "frames": 10, "duration_s": 0.3, "sound": True, "copy": "", "camera": "main"}
    film = store.save("film", {"title": "Ardenmoor at Pell Hollow", "parts": [part]})
    place = WorkPlace(store, store.folder, lambda: datetime.now(UTC))
    for kind in ("listen", "browser_copy"):
        ask(store.jobs, kind, {"film": film.id, "part": part["fingerprint"]}, T0)
    worker = Worker(store.jobs, functions(place), "w", place.now)
    assert worker.run_one()
    assert worker.run_one()
    assert not worker.run_one()
    for one in jobs_page(store.jobs, {film.id: "Ardenmoor"}):
        assert one["state"] == "waiting"
        assert "Waits for a machine that finds the film (first half.mp4:" in one["says"]


def test_work_on_a_part_nobody_keeps_fails_at_once(store):
    place = WorkPlace(store, store.folder, lambda: datetime.now(UTC))
    ask(store.jobs, "listen", {"film": "0" * 26, "part": "f1"}, T0)
    assert Worker(store.jobs, functions(place), "w", place.now).run_one()
    (one,) = jobs_page(store.jobs)
    assert (one["state"], one["error"][0]["expected"]) == ("failed", "a part of a film of this workbench")


def test_a_full_workbench_folder_costs_no_work(store):
    """Nothing more can be written to the database while the work is done; then there is room again."""
    limit = resource.getrlimit(resource.RLIMIT_FSIZE)
    row = store.jobs.add("count", {}, T0)
    refused: list[str] = []

    def count(args, told, cancelled):
        log = store.folder / "tenbetween.db-wal"
        resource.setrlimit(resource.RLIMIT_FSIZE, (log.stat().st_size, limit[1]))
        return {"counted": True}

    def free_room():
        wait_until(lambda: store.jobs.get(row.id).state == "running")
        while not refused:
            time.sleep(0.01)
        resource.setrlimit(resource.RLIMIT_FSIZE, limit)

    class Telling:
        """The rows, telling when a result was refused."""

        def __getattr__(self, name):
            return getattr(store.jobs, name)

        def finish(self, *given):
            try:
                return store.jobs.finish(*given)
            except TenbetweenError as fault:
                refused.append(str(fault))
                raise

    freeing = threading.Thread(target=free_room)
    freeing.start()
    try:
        worker = Worker(Telling(), {"count": count}, "w", lambda: datetime.now(UTC), beat=0.05)
        assert worker.run_one()
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, limit)
        refused.append("")
        freeing.join()
    assert "disk" in refused[0]
    assert store.jobs.get(row.id).result.data() == {"counted": True}
    assert store.check() == ()


# ---- with the pages ------------------------------------------------------------------------------


def children_of(pid: int) -> list[int]:
    return [
        int(one)
        for task in Path(f"/proc/{pid}/task").iterdir()
        for one in (task / "children").read_text().split()
    ]


def serving(folder: Path, *before: str) -> subprocess.Popen[str]:
    words = [sys.executable, *before, "serve", "--workbench", str(folder), "--no-browser"]
    started = subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    assert started.stdout.readline().startswith("open: http://127.0.0.1:")
    return started


@pytest.mark.alone
def test_the_pages_bring_one_worker_and_take_it_with_them(tmp_path):
    pages = serving(tmp_path / "bench", str(PROGRAM))
    try:
        (worker,) = wait_until(lambda: children_of(pages.pid))
        with fresh_place(tmp_path / "bench", None).open(wait_ms=20_000) as store:
            row = store.jobs.add("listen", {"film": "0" * 26, "part": "f1"}, datetime.now(UTC))
            open_queue(store.folder).ring()
            wait_until(lambda: store.jobs.get(row.id).state == "failed")
        assert os.getpriority(os.PRIO_PROCESS, worker) > os.getpriority(os.PRIO_PROCESS, pages.pid)
    finally:
        pages.send_signal(signal.SIGTERM)
        _, told = pages.communicate(timeout=20)
    assert "Traceback" not in told
    wait_until(lambda: not is_alive(worker))
