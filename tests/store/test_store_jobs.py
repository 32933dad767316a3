"""Rows of long work: never in two hands, never lost, the same on SQLite and PostgreSQL."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
import threading
from contextlib import closing
from datetime import UTC, datetime, timedelta
from types import SimpleNamespace

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)
from sqlalchemy import text
from tests.jobs.plain_keeper import PlainKeeper

from tenbetween.errors import Problem, StoreError
from tenbetween.store import Official

T0 = datetime(2025, 11, 3, 19, 0, tzinfo=UTC)
WHY = Problem("film", "nothing", "a film", "look for it")


def at(seconds: float) -> datetime:
    return T0 + timedelta(seconds=seconds)


# ---- one row from its beginning to its end -------------------------------------------------------


def test_work_is_put_in_taken_told_of_and_finished(store):
    made = store.jobs.add("listen", {"film": "f1"}, at(0))
    assert (made.state, made.args.data(), made.tries, made.result) == ("waiting", {"film": "f1"}, 0, None)
    held = store.jobs.take(["listen"], "w1", at(1), 30)
    assert (held.id, held.state, held.worker) == (made.id, "running", "w1")
    assert held.lease_until == "2025-11-03T19:00:31.000Z"
    assert store.jobs.take(["listen"], "w2", at(2), 30) is None
    assert store.jobs.told(held, 3, 10, "listening", at(3))
    assert store.jobs.renew(held, at(4), 30) == "held"
    row = store.jobs.get(made.id)
    assert (row.done, row.of, row.says, row.lease_until[17:19]) == (3, 10, "listening", "34")
    assert store.jobs.finish(held, {"found": [1, 2.5]}, at(5))
    row = store.jobs.get(made.id)
    assert (row.state, row.done, row.of, row.says, row.worker) == ("done", 10, 10, "", "")
    assert row.result.data() == {"found": [1, 2.5]}
    assert store.check() == ()


def test_the_oldest_work_of_a_kind_one_can_do_is_taken_first(store):
    rows = [store.jobs.add(kind, {"n": n}, at(n)) for n, kind in enumerate(["export", "listen", "listen"])]
    assert store.jobs.take(["listen", "follow"], "w", at(9), 30).id == rows[1].id
    assert store.jobs.take([], "w", at(9), 30) is None
    assert [row.id for row in store.jobs.list()] == [row.id for row in reversed(rows)]
    assert [row.id for row in store.jobs.list(("waiting",), limit=1)] == [rows[2].id]


def test_the_same_work_is_not_put_in_twice_while_it_waits_or_runs(store):
    first = store.jobs.add("listen", {"a": 1, "b": 2}, at(0))
    assert store.jobs.add("listen", {"b": 2, "a": 1}, at(1)) == first
    held = store.jobs.take(["listen"], "w", at(2), 30)
    assert store.jobs.add("listen", {"a": 1, "b": 2}, at(3)).id == first.id
    store.jobs.ask_off(first.id, at(4))
    assert store.jobs.add("listen", {"a": 1, "b": 2}, at(5)).id != first.id
    assert store.jobs.stop(held, at(6))


def test_what_a_worker_writes_after_it_lost_the_row_is_not_written(store):
    made = store.jobs.add("listen", {}, at(0))
    old = store.jobs.take(["listen"], "w1", at(0), 30)
    assert store.jobs.sweep(at(30)) == ()
    assert store.jobs.sweep(at(30.001)) == (made.id,)
    assert "Taken up again" in store.jobs.get(made.id).says
    new = store.jobs.take(["listen"], "w1", at(31), 30)  # even when it has the same name
    assert new.tries == 1
    before = store.jobs.get(made.id)
    assert store.jobs.renew(old, at(32), 30) == "lost"
    assert not store.jobs.told(old, 1, 2, "x", at(32))
    assert not store.jobs.finish(old, {"by": "old"}, at(32))
    assert not store.jobs.fail(old, [WHY], at(32))
    assert not store.jobs.stop(old, at(32))
    assert not store.jobs.give_back(old, "x", at(32))
    assert store.jobs.get(made.id) == before
    assert store.jobs.finish(new, {"by": "new"}, at(33))
    assert not store.jobs.finish(new, {"by": "new again"}, at(34))
    assert store.jobs.get(made.id).result.data() == {"by": "new"}


def test_work_lost_three_times_fails_and_says_what_to_do(store):
    made = store.jobs.add("follow", {}, at(0))
    for turn in range(3):
        assert store.jobs.take(["follow"], f"w{turn}", at(turn * 100), 30)
        assert store.jobs.sweep(at(turn * 100 + 50)) == ((made.id,) if turn < 2 else ())
    row = store.jobs.get(made.id)
    assert (row.state, row.tries) == ("failed", 3)
    (problem,) = row.error.data()
    assert "3 times" in problem["found"]
    assert "free memory and disk" in problem["do"]
    again = store.jobs.again(made.id, at(500))
    assert (again.state, again.tries, again.error) == ("waiting", 0, None)


def test_work_given_back_goes_to_others_first_and_comes_back_later_and_later(store):
    made = store.jobs.add("listen", {}, at(0))
    now, waits = 0.0, []
    for _ in range(8):
        held = store.jobs.take(["listen"], "w1", at(now), 30)
        assert store.jobs.give_back(held, "the film is not here", at(now))
        assert store.jobs.waiting(["listen"], "w1", at(now)) == 0
        assert store.jobs.waiting(["listen"], "w2", at(now)) == 1
        until = store.jobs.get(made.id).refused.data()["w1"][1]
        waits.append((datetime.fromisoformat(until) - at(now)).total_seconds())
        now += waits[-1]
    assert waits == [30, 60, 120, 240, 480, 600, 600, 600]
    held = store.jobs.take(["listen"], "w2", at(now - 1), 30)
    assert (held.worker, store.jobs.get(made.id).says) == ("w2", "")
    assert store.jobs.give_back(held, "closing", at(now), wait=0)
    assert store.jobs.take(["listen"], "w2", at(now), 30)


def test_cancelling(store):
    waits, runs, over = (store.jobs.add("export", {"n": n}, at(n)) for n in range(3))
    assert store.jobs.ask_off(waits.id, at(9)).state == "cancelled"
    held = store.jobs.take(["export"], "w", at(10), 30)
    asked = store.jobs.ask_off(runs.id, at(11))
    assert (asked.state, asked.wanted_off) == ("running", True)
    assert (store.jobs.look(held), store.jobs.renew(held, at(12), 30)) == ("off", "off")
    assert store.jobs.give_back(held, "x", at(13))  # nobody shall take it up again
    assert store.jobs.get(runs.id).state == "cancelled"
    held = store.jobs.take(["export"], "w", at(14), 30)
    store.jobs.ask_off(over.id, at(15))
    assert store.jobs.sweep(at(99)) == ()  # its worker died before it saw it
    row = store.jobs.get(held.id)
    assert (row.state, row.wanted_off) == ("cancelled", False)
    with pytest.raises(StoreError, match=r"work that is cancelled.*waits or runs"):
        store.jobs.ask_off(over.id, at(100))
    assert store.jobs.again(over.id, at(101)).state == "waiting"
    with pytest.raises(StoreError, match=r"work that is waiting.*failed or was cancelled"):
        store.jobs.again(over.id, at(102))


def test_only_old_work_that_is_over_is_forgotten(store):
    for n in range(4):
        store.jobs.add("export", {"n": n}, at(n))
    done = store.jobs.take(["export"], "w", at(10), 30)
    assert store.jobs.finish(done, {}, at(20))
    assert store.jobs.take(["export"], "w", at(10), 30)
    store.jobs.ask_off(store.jobs.list(("waiting",))[0].id, at(40))
    assert store.jobs.forget(at(20)) == 0
    assert store.jobs.forget(at(30)) == 1
    assert [row.state for row in store.jobs.list()] == ["cancelled", "waiting", "running"]


@pytest.mark.parametrize(
    ("kind", "args", "told"),
    [
        ("", {}, "a kind of work"),
        ("Listen", {}, "a kind of work"),
        ("x; drop", {}, "a kind of work"),
        (None, {}, "a kind of work"),
        ("listen", [], "named fields"),
        ("listen", None, "named fields"),
        ("listen", {"a": float("nan")}, "a finite number"),
        ("listen", {"a": "\x00"}, "NUL"),
        ("listen", {"a": b""}, "one bytes"),
        ("listen", {"a": "x" * 2_000_001}, "signs"),
    ],
)
def test_work_that_cannot_be_is_refused(store, kind, args, told):
    with pytest.raises(StoreError, match=told):
        store.jobs.add(kind, args, at(0))
    assert store.jobs.list() == ()


@pytest.mark.parametrize("id", ["", "x", None, 5, "0" * 26, "' or 1=1 --"])
def test_work_that_is_not_there_is_named(store, id):
    for ask in (store.jobs.get, lambda x: store.jobs.ask_off(x, T0), lambda x: store.jobs.again(x, T0)):
        with pytest.raises(StoreError, match="job"):
            ask(id)
    with pytest.raises(StoreError, match="one of waiting"):
        store.jobs.list(("lost",))


def test_what_is_told_fits_a_line(store):
    store.jobs.add("listen", {}, at(0))
    held = store.jobs.take(["listen"], "w", at(0), 30)
    assert store.jobs.told(held, -5, 10**30, "a\nb\x00c\ud800d" + "x" * 5000, at(1))
    row = store.jobs.get(held.id)
    assert (row.done, row.of) == (0, 2**62)
    assert row.says.startswith("a b c dx")
    assert len(row.says) == 500


# ---- beside everything else that is kept ---------------------------------------------------------


def test_work_is_in_no_journal_no_export_and_no_backup(place, tmp_path):
    with place.open() as store:
        store.save(Official, Official(name="Dara Whitlock"))
        before, lines = store.history(), len([*store.export_all()])
        row = store.jobs.add("listen", {"film": "film-that-nobody-else-names"}, at(0))
        assert store.history() == before
        assert "job" not in store.everything()
        exported = [*store.export_all()]
        assert len(exported) == lines
        assert "nobody-else" not in "".join(exported)
        copy = store.backup(tmp_path / "copy")
        assert b"nobody-else" not in copy.read_bytes()
        assert store.jobs.get(row.id) == row
        assert store.undo()[0].kind == "official"
    if place.url is None:
        with closing(sqlite3.connect(copy)) as kept:
            assert kept.execute("SELECT count(*) FROM job").fetchone() == (0,)
            assert kept.execute("SELECT count(*) FROM official").fetchone() == (1,)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ("state = 'lost'", "the state 'lost'"),
        ("state = 'running'", "without a worker"),
        ("worker = 'w', lease_until = 'x'", "without a worker"),
        ("args = '{'", "args that is no JSON"),
    ],
)
def test_a_check_finds_rows_nobody_could_have_written(store, change, told):
    row = store.jobs.add("listen", {}, at(0))
    with store._database.writing() as connection:
        connection.execute(text(f"UPDATE job SET {change}"))
    (problem,) = store.check()
    assert problem.where == f"job {row.id}"
    assert told in problem.found


def test_a_worker_does_not_wait_for_a_long_import_on_a_server(place):
    """On a server rows of work are free while the journal is being written; a file has one writer."""
    with place.open(wait_ms=200) as store, place.open(wait_ms=200) as other:
        store.jobs.add("listen", {}, at(0))
        with store.together() as changes:
            changes.save(Official, Official(name="Dara Whitlock"))
            if place.url is None:
                with pytest.raises(StoreError, match="another program that is writing"):
                    other.jobs.take(["listen"], "w", at(1), 30)
            else:
                assert other.jobs.take(["listen"], "w", at(1), 30)
        if place.url is None:
            assert other.jobs.take(["listen"], "w", at(1), 30)


# ---- many at once --------------------------------------------------------------------------------

TAKE = """
import secrets, sys, threading
from datetime import UTC, datetime
from tenbetween.store import open_workbench

folder, url, name = sys.argv[1], sys.argv[2] or None, sys.argv[3]
clock = lambda: datetime.now(UTC)
store = open_workbench(folder, url=url, now=clock, entropy=secrets.token_bytes, wait_ms=30000)
print("open", flush=True)
sys.stdin.readline()
taken = []

def work(thread):
    while (held := store.jobs.take(["listen"], f"{name}-{thread}", clock(), 60)) is not None:
        taken.append(held.id)
        assert store.jobs.finish(held, {"by": held.worker}, clock())

threads = [threading.Thread(target=work, args=(n,)) for n in range(2)]
for thread in threads: thread.start()
for thread in threads: thread.join()
print(*taken)
"""


def test_four_programs_with_two_hands_each_take_every_row_once(place):
    with place.open() as store:
        rows = {store.jobs.add("listen", {"n": n}, at(n)).id for n in range(200)}
        pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "text": True}
        line = [sys.executable, "-c", TAKE, str(place.folder), place.url or ""]
        programs = [subprocess.Popen([*line, f"w{n}"], **pipes) for n in range(4)]
        try:
            assert [program.stdout.readline() for program in programs] == ["open\n"] * 4
            for program in programs:  # all have opened the workbench when the first begins
                program.stdin.write("go\n")
                program.stdin.flush()
            taken = [program.communicate(timeout=60)[0].split() for program in programs]
        finally:
            for program in programs:
                program.kill()
        assert [program.returncode for program in programs] == [0, 0, 0, 0]
        every = [one for ones in taken for one in ones]
        assert len(every) == 200
        assert set(every) == rows
        assert {row.state for row in store.jobs.list()} == {"done"}


def test_eight_threads_take_every_row_once(place):
    with place.open(wait_ms=30_000) as store:
        rows = [store.jobs.add("listen", {"n": n}, at(n)).id for n in range(200)]
        taken: list[str] = []
        begin = threading.Barrier(8)

        def work(name: str) -> None:
            begin.wait()
            while (held := store.jobs.take(["listen"], name, at(300), 60)) is not None:
                taken.append(held.id)

        threads = [threading.Thread(target=work, args=(f"w{n}",)) for n in range(8)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert sorted(taken) == rows
        assert len({row.worker for row in store.jobs.list(("running",))}) > 1


# ---- against a plain list ------------------------------------------------------------------------

WORKERS = st.sampled_from(["w1", "w2"])
KINDS = st.sampled_from([["listen", "follow"], ["follow"], ["listen", "follow"], []])


def machine_for(place_of: object) -> type[RuleBasedStateMachine]:
    class Rows(RuleBasedStateMachine):
        """Every step is made to the database and to a plain list; both must stand alike after it."""

        def __init__(self) -> None:
            super().__init__()
            self.store = place_of()
            with self.store._database.writing() as connection:
                connection.execute(text("DELETE FROM job"))
            self.plain, self.now = PlainKeeper(), 0.0
            self.ids: dict[str, str] = {}  # of the database by those of the list
            self.holds: list[tuple[object, SimpleNamespace]] = []

        def both(self, ask: object) -> None:
            """Ask both; what one refuses the other must refuse."""
            told = []
            for keeper, which in ((self.store.jobs, 0), (self.plain, 1)):
                try:
                    told.append(ask(keeper, which))
                except StoreError:
                    told.append("refused")
            assert told[0] == told[1]

        @rule(kind=st.sampled_from(["listen", "follow"]), n=st.integers(0, 1))
        def add(self, kind: str, n: int) -> None:
            row = self.store.jobs.add(kind, {"n": n}, at(self.now))
            one = self.plain.add(kind, {"n": n}, at(self.now))
            assert self.ids.setdefault(one.id, row.id) == row.id

        @rule(kinds=KINDS, worker=WORKERS, lease=st.sampled_from([1, 30]))
        def take(self, kinds: list[str], worker: str, lease: float) -> None:
            row = self.store.jobs.take(kinds, worker, at(self.now), lease)
            one = self.plain.take(kinds, worker, at(self.now), lease)
            assert (row is None) == (one is None)
            if row is not None:
                assert self.ids[one.id] == row.id
                self.holds.append((row, one))

        @rule(kinds=KINDS, worker=WORKERS)
        def count(self, kinds: list[str], worker: str) -> None:
            self.both(lambda keeper, _: keeper.waiting(kinds, worker, at(self.now)))

        @precondition(lambda self: self.holds)
        @rule(
            data=st.data(),
            do=st.sampled_from(["renew", "look", "told", "finish", "fail", "stop", "give_back"]),
        )
        def worker_writes(self, data: st.DataObject, do: str) -> None:
            pair = data.draw(st.sampled_from(self.holds))
            wait = data.draw(st.sampled_from([0.0, 30.0])) if do == "give_back" else 0
            now = at(self.now)
            more = {
                "renew": (now, 30),
                "look": (),
                "told": (2, 7, "half", now),
                "finish": ({"n": 1}, now),
                "fail": ([WHY], now),
                "stop": (now,),
                "give_back": ("not here", now, wait),
            }[do]
            self.both(lambda keeper, which: getattr(keeper, do)(pair[which], *more))

        @precondition(lambda self: self.ids)
        @rule(data=st.data(), do=st.sampled_from(["ask_off", "again"]))
        def person_asks(self, data: st.DataObject, do: str) -> None:
            one = data.draw(st.sampled_from(sorted(self.ids)))
            names = (self.ids[one], one)
            self.both(lambda keeper, which: getattr(keeper, do)(names[which], at(self.now)).state)

        @rule(seconds=st.sampled_from([0.001, 1, 31, 400]))
        def time_goes_on(self, seconds: float) -> None:
            self.now += seconds

        @precondition(lambda self: self.holds)
        @rule(data=st.data())
        def worker_sleeps_over_its_lease(self, data: st.DataObject) -> None:
            """And takes the same row again, so that an old hold and a new one have the same name."""
            worker = data.draw(st.sampled_from(self.holds))[1].worker
            self.time_goes_on(31)
            self.sweep(3)
            self.take(["listen", "follow"], worker, 30)

        @rule(tries=st.sampled_from([1, 2, 3]))
        def sweep(self, tries: int) -> None:
            back = self.store.jobs.sweep(at(self.now), tries)
            assert back == tuple(self.ids[one] for one in self.plain.sweep(at(self.now), tries))

        @rule()
        def rows_stand_alike(self) -> None:
            for one in self.plain.jobs.values():
                row = self.store.jobs.get(self.ids[one.id])
                same = ("kind", "state", "done", "of", "tries", "worker", "wanted_off")
                assert {n: getattr(row, n) for n in same} == {n: getattr(one, n) for n in same}
                assert row.args.data() == one.args.value
                assert (row.result and row.result.data()) == (one.result and one.result.value)
                assert (row.error is None) == (one.error is None)
                assert bool(row.says) == bool(one.says)
                assert (row.lease_until == "") == (one.lease_until is None)
                assert set(row.refused.data()) == set(one.refused)

        @invariant()
        def states_stand_alike(self) -> None:
            kept = {row.id: row.state for row in self.store.jobs.list()}
            assert kept == {self.ids[one.id]: one.state for one in self.plain.jobs.values()}

        def teardown(self) -> None:
            self.rows_stand_alike()
            assert self.store.check() == ()

    return Rows


def test_any_order_of_steps_leaves_the_rows_a_plain_list_would_have(place):
    with place.open() as store:
        run_state_machine_as_test(
            machine_for(lambda: store),
            settings=settings(
                max_examples=15,
                stateful_step_count=40,
                suppress_health_check=list(HealthCheck),
                deadline=None,
            ),
        )
