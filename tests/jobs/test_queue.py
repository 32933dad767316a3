"""The bell: heard once, lost without harm, and never a way to have something run."""

from __future__ import annotations

import os
import pickle
import threading
import time
from datetime import UTC, datetime
from pathlib import Path

import pytest
from tests.jobs.conftest import wait_until
from tests.jobs.plain_keeper import PlainKeeper

from tenbetween.errors import StoreError, UsageError
from tenbetween.jobs import Worker, keep_working, missing_parts, open_queue


@pytest.fixture
def queue(sort, tmp_path, request):
    opened = open_queue(tmp_path, request.getfixturevalue("redis_url") if sort == "servers" else None)
    opened._huey.storage.flush_queue()
    yield opened
    opened.close()


def test_a_bell_is_heard_once(queue):
    heard: list[int] = []
    assert queue.ring(3)
    assert queue.bells() == 3
    while queue.answer(lambda: heard.append(1)):
        pass
    assert heard == [1, 1, 1]
    assert queue.bells() == 0


def test_a_fault_of_who_is_woken_ends_nothing(queue):
    heard: list[int] = []

    def wake() -> None:
        heard.append(1)
        raise ValueError("x")

    queue.ring(2)
    assert queue.answer(wake)
    assert queue.answer(wake)
    assert heard == [1, 1]


class Bomb:
    """What pickle would run as soon as it is read."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def __reduce__(self):
        return (os.mkdir, (str(self.path),))


@pytest.mark.parametrize(
    "junk",
    [b"", b"\x00", b"{}", b"[]", b"[1]", b'["x", "nothing.of.ours"]', b"\xff\xfe", b"[" * 100_000, b"null"],
)
def test_what_is_no_bell_is_passed_over(queue, junk):
    queue._huey.storage.enqueue(junk)
    queue.ring()
    heard: list[int] = []
    wait_until(lambda: (queue.answer(lambda: heard.append(1)), heard)[1])
    assert heard == [1]
    assert queue.bells() == 0


def test_nothing_that_comes_off_the_queue_is_run(queue, tmp_path):
    queue._huey.storage.enqueue(pickle.dumps(Bomb(tmp_path / "run")))
    assert pickle.dumps(Bomb(tmp_path / "run"))  # it would: see below
    queue.answer(lambda: None)
    assert queue.bells() == 0
    assert not (tmp_path / "run").exists()
    pickle.loads(pickle.dumps(Bomb(tmp_path / "run")))
    assert (tmp_path / "run").exists()


def test_bells_of_two_threads_and_a_waiting_worker(queue):
    heard: list[int] = []
    stop = threading.Event()

    def wait() -> None:
        while not stop.is_set():
            if not queue.answer(lambda: heard.append(1)):
                time.sleep(0.01)

    waiting = [threading.Thread(target=wait) for _ in range(2)]
    ringing = [threading.Thread(target=queue.ring, args=(20,)) for _ in range(2)]
    for thread in waiting + ringing:
        thread.start()
    wait_until(lambda: len(heard) == 40)
    stop.set()
    for thread in waiting + ringing:
        thread.join()
    assert len(heard) == 40


def test_a_damaged_queue_file_is_put_aside(tmp_path):
    (tmp_path / "jobs.db").write_bytes(b"no database at all " * 100)
    queue = open_queue(tmp_path)
    assert queue.ring()
    assert queue.bells() == 1
    assert (tmp_path / "jobs.db.damaged").exists()
    queue.close()


def test_a_queue_that_cannot_be_made_is_said(tmp_path):
    with pytest.raises(StoreError, match=r"jobs\.db.*a folder that can be written"):
        open_queue(tmp_path / "nowhere")
    for url, told in (("http://x", "found http;"), ("redis://host:port", "redis://host:6379")):
        with pytest.raises(UsageError, match=told):
            open_queue(tmp_path, url)


def test_a_missing_package_is_named_with_what_brings_it(tmp_path, monkeypatch):
    assert missing_parts() == ()
    monkeypatch.setitem(__import__("sys").modules, "huey", None)
    assert missing_parts() == ("huey",)
    with pytest.raises(UsageError, match=r"no Huey.*pip install huey"):
        open_queue(tmp_path)


def working(keeper, queue, kinds=("listen",)):
    worker = Worker(
        keeper, {kind: lambda *_: {} for kind in kinds}, "w", lambda: datetime.now(UTC), beat=0.01
    )
    thread = threading.Thread(target=keep_working, args=(worker, queue), kwargs={"sweep_every": 0.1})
    thread.start()
    return worker, thread


def test_work_without_a_bell_is_found_by_the_sweep(queue):
    """The bell was lost: the queue was down, or its worker was killed between bell and row."""
    keeper = PlainKeeper()
    worker, thread = working(keeper, queue)
    names = [keeper.add("listen", {"n": n}, datetime.now(UTC)).id for n in range(3)]
    wait_until(lambda: {keeper.get(name).state for name in names} == {"done"})
    worker.leave()
    thread.join()
    assert queue.bells() == 0


def test_work_of_another_kind_rings_no_bell_for_ever(queue):
    keeper = PlainKeeper()
    worker, thread = working(keeper, queue)
    keeper.add("dance", {}, datetime.now(UTC))
    time.sleep(0.4)
    worker.leave()
    thread.join()
    assert queue.bells() == 0


def test_a_server_that_is_gone_costs_no_work_and_no_time(tmp_path, unused_port):
    queue = open_queue(tmp_path, f"redis://127.0.0.1:{unused_port}/0")
    begun = time.monotonic()
    assert not queue.ring()
    assert queue.bells() == 0
    assert not queue.answer(lambda: None)
    assert time.monotonic() - begun < 3


@pytest.fixture
def unused_port() -> int:
    from tests.conftest import free_port

    return free_port()
