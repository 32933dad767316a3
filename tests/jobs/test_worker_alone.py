"""One worker over a plain list of rows: what it writes for each way work can end."""

from __future__ import annotations

import errno
import logging
import threading
import time
from datetime import UTC, datetime
from pathlib import Path

import pytest
from tests.jobs.plain_keeper import PlainKeeper

from tenbetween.errors import FormatError, Problem, StoreError
from tenbetween.jobs import NotHereError, Worker

KIND = "listen"


class Watched(PlainKeeper):
    """A plain list that may be used by two threads, counts what is asked of it, and can refuse for a while."""

    def __init__(self) -> None:
        super().__init__()
        self.asked: list[str] = []
        self.refusing: frozenset[str] = frozenset()

    def __getattribute__(self, name: str):
        found = super().__getattribute__(name)
        if name not in ("renew", "look", "told", "finish", "fail", "stop", "give_back", "take"):
            return found

        def asking(*given: object) -> object:
            self.asked.append(name)
            if name in self.refusing:
                raise StoreError(Problem("rows", "no room", "room", "wait"))
            return found(*given)

        return asking


def now() -> datetime:
    return datetime.now(UTC)


def done_with(function, *, keeper=None, lease=30.0, meanwhile=None):
    """The row after a worker did it with a function; ``meanwhile(keeper, worker, id)`` runs beside it."""
    keeper = keeper or Watched()
    row = keeper.add(KIND, {"n": 3}, now())
    worker = Worker(keeper, {KIND: function}, "w1", now, lease=lease, beat=0.01)
    beside = threading.Thread(target=meanwhile or (lambda *_: None), args=(keeper, worker, row.id))
    beside.start()
    worker.run_one()
    beside.join()
    return keeper.get(row.id), keeper, worker


def until_stopped(args, told, cancelled):
    end = time.monotonic() + 5
    while not cancelled():
        assert time.monotonic() < end, "never told to stop"
        time.sleep(0.005)
    return {"half": True}


def when_running(do):
    """Do something to the row once it runs."""

    def meanwhile(keeper, worker, name):
        while keeper.get(name).state != "running":
            time.sleep(0.002)
        do(keeper, worker, name)

    return meanwhile


def test_a_result_and_the_last_progress_are_kept():
    def work(args, told, cancelled):
        for step in range(args["n"]):
            told(step + 1, args["n"], f"step {step}")
        return {"sum": 1.5}

    row, keeper, worker = done_with(work)
    assert (row.state, row.result.data(), row.done, row.of) == ("done", {"sum": 1.5}, 3, 3)
    assert keeper.asked.count("told") == 1  # not once for each step
    assert not worker.run_one()


def test_only_known_kinds_are_taken():
    keeper = Watched()
    row = keeper.add("dance", {}, now())
    assert not Worker(keeper, {KIND: until_stopped}, "w", now).run_one()
    assert keeper.get(row.id).state == "waiting"


def test_directions_of_a_fault_are_kept_as_they_are():
    problems = [Problem("a.mp4", "no film", "a film", "choose another"), Problem("b", "c", "d", "e")]

    def work(args, told, cancelled):
        raise FormatError(problems)

    row, _, _ = done_with(work)
    assert (row.state, row.error.data()) == ("failed", [one.as_dict() for one in problems])


@pytest.mark.parametrize(
    ("fault", "found"),
    [
        (OSError(errno.ENOSPC, "No space left on device"), "no room left on the disk"),
        (OSError(errno.EFBIG, "File too large", "/secret/folder/clip.mp4"), "no room left on the disk"),
        (PermissionError(errno.EACCES, "Permission denied", "/secret/x"), "a file that may not be used"),
        (FileNotFoundError(errno.ENOENT, "No such file", "/secret/x"), "nothing there"),
        (OSError(errno.EIO, "Input/output error"), "a disk that does not answer"),
        (OSError(errno.ENODEV, "No such device"), "no such device"),
        (MemoryError(), "no memory left"),
        (ValueError("secret detail"), "a fault of the program (ValueError"),
        (OSError("no number"), "a fault of the program (OSError"),
        (RecursionError(), "a fault of the program (RecursionError"),
    ],
)
def test_faults_nobody_foresaw_are_plain_words_and_the_trace_is_in_the_log(fault, found, caplog):
    def work(args, told, cancelled):
        raise fault

    with caplog.at_level(logging.WARNING, "tenbetween.jobs"):
        row, _, _ = done_with(work)
    (problem,) = row.error.data()
    assert row.state == "failed"
    assert problem["found"].startswith(found)
    assert problem["do"]
    assert "secret" not in problem["found"] + problem["where"] + problem["do"]
    assert "Traceback" in caplog.text
    assert "Traceback" not in str(problem)


@pytest.mark.parametrize(
    "result", [None, [], "x", {"a": float("nan")}, {"a": b""}, {"a": {1, 2}}, {"a": "\ud800"}]
)
def test_a_result_that_is_no_json_fails_and_does_not_run_again(result):
    row, _, worker = done_with(lambda *_: result)
    assert row.state == "failed"
    assert "a result that cannot be kept" in row.error.data()[0]["found"]
    assert not worker.run_one()


def test_a_film_that_is_not_here_is_given_back_and_left_to_others():
    def work(args, told, cancelled):
        raise NotHereError(Problem("game.mp4", "no such film here", "it", "mount"))

    row, keeper, worker = done_with(work)
    assert row.state == "waiting"
    assert "Waits for a machine that finds the film" in row.says
    assert not worker.run_one()
    other = Worker(keeper, {KIND: lambda *_: {"by": "other"}}, "w2", now)
    assert other.run_one()
    assert keeper.get(row.id).result.data() == {"by": "other"}


# ---- asked to stop -------------------------------------------------------------------------------


def raises_when_stopped(args, told, cancelled):
    until_stopped(args, told, cancelled)
    raise FormatError(Problem("film", "stopped before its end", "the whole film", "start it again"))


def crashes_when_stopped(args, told, cancelled):
    until_stopped(args, told, cancelled)
    raise ValueError("torn down")


@pytest.mark.parametrize("work", [until_stopped, raises_when_stopped, crashes_when_stopped])
def test_whatever_cancelled_work_returns_or_raises_it_is_cancelled(work):
    off = when_running(lambda keeper, worker, name: keeper.ask_off(name, now()))
    row, _, _ = done_with(work, meanwhile=off)
    assert (row.state, row.result, row.error, row.wanted_off) == ("cancelled", None, None, False)


@pytest.mark.parametrize("work", [until_stopped, raises_when_stopped, crashes_when_stopped])
def test_work_of_a_worker_that_leaves_waits_for_the_next(work):
    leave = when_running(lambda keeper, worker, name: worker.leave())
    row, _, worker = done_with(work, meanwhile=leave)
    assert (row.state, row.tries, row.refused) == ("waiting", 0, {})
    assert not worker.run_one()


def test_work_that_was_whole_before_it_heard_of_the_cancelling_is_done():
    asked = threading.Event()

    def work(args, told, cancelled):
        assert asked.wait(5)
        return {"whole": True}

    def off(keeper, worker, name):
        keeper.ask_off(name, now())
        asked.set()

    row, _, _ = done_with(work, meanwhile=when_running(off))
    assert (row.state, row.result.data()) == ("done", {"whole": True})


# ---- a row that is lost, rows that cannot be reached ---------------------------------------------


def test_a_worker_that_lost_its_row_stops_and_writes_nothing():
    def lose(keeper, worker, name):
        keeper.put(name, worker="w2", tries=1)

    row, keeper, _ = done_with(until_stopped, meanwhile=when_running(lose))
    assert (row.state, row.worker, row.tries) == ("running", "w2", 1)
    assert not {"finish", "fail", "stop", "give_back"} & set(keeper.asked)


def test_the_lease_is_renewed_while_work_goes_on():
    def work(args, told, cancelled):
        time.sleep(0.5)
        return {}

    row, keeper, _ = done_with(work, lease=0.15)
    assert row.state == "done"
    assert keeper.asked.count("renew") >= 4


def test_a_worker_that_cannot_renew_its_lease_stops_when_others_may_have_the_row():
    keeper = Watched()
    keeper.refusing = frozenset({"renew", "look", "told"})
    begun = time.monotonic()
    row, _, _ = done_with(until_stopped, keeper=keeper, lease=0.3)
    assert row.state == "running"  # until the sweep of somebody finds it
    assert 0.3 <= time.monotonic() - begun < 3


def test_rows_that_cannot_be_written_for_a_while_cost_no_result():
    keeper = Watched()
    keeper.refusing = frozenset({"renew", "look", "told", "finish"})

    def free_room(keeper, worker, name):
        while keeper.asked.count("finish") < 3:
            time.sleep(0.002)
        keeper.refusing = frozenset()

    row, _, _ = done_with(lambda *_: {"n": 1}, keeper=keeper, meanwhile=free_room)
    assert (row.state, row.result.data()) == ("done", {"n": 1})


def test_rows_that_cannot_be_written_at_all_leave_the_work_to_the_sweep():
    keeper = Watched()
    keeper.refusing = frozenset({"finish", "fail"})
    row, _, worker = done_with(lambda *_: {}, keeper=keeper, lease=0.2)
    assert row.state == "running"
    keeper.refusing = frozenset()
    assert keeper.sweep(datetime(2999, 1, 1, tzinfo=UTC)) == (row.id,)
    assert worker.run_one()
    assert keeper.get(row.id).state == "done"


def test_a_result_the_rows_never_take_fails_and_says_why():
    keeper = Watched()
    keeper.refusing = frozenset({"finish"})
    row, _, _ = done_with(lambda *_: {}, keeper=keeper, lease=0.2)
    assert (row.state, row.error.data()[0]["found"]) == ("failed", "no room")


def test_this_room_knows_errors_alone():
    folder = Path(__file__).parents[2] / "src" / "tenbetween" / "jobs"
    rooms = {"store", "desk", "web", "film", "cli", "formats"}
    for path in folder.glob("*.py"):
        for room in rooms:
            assert f"tenbetween.{room}" not in path.read_text("utf-8").replace("tenbetween.jobs", ""), path
