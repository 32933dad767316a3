"""The bell that wakes workers: Huey, in a file of the workbench folder or on a Redis server.

A bell says only that there is work; what it is stands in a row. So a lost bell costs time and nothing else,
and nothing that comes off the queue is ever run: bells are plain JSON, not pickled Python.
"""

from __future__ import annotations

import importlib.util
import json
import logging
import sqlite3
import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tenbetween.errors import Problem, StoreError, UsageError

if TYPE_CHECKING:
    from huey import Huey

FILE = "jobs.db"
"""The queue of a workbench folder."""
NEEDED = {
    "huey": "huey",
    "av": "av",
    "cv2": "opencv-python-headless",
    "scipy": "scipy",
}
"""What film work needs: the module and the package that brings it."""

INSTALL = "in the program's folder: .venv/bin/pip install"

log = logging.getLogger("tenbetween.jobs")


def missing_parts() -> tuple[str, ...]:
    """Return the packages film work needs that are not installed."""
    return tuple(name for module, name in NEEDED.items() if importlib.util.find_spec(module) is None)


class Queue:
    """A bell workers wait for; ``open_queue`` makes one."""

    def __init__(self, huey: Huey) -> None:
        self._huey = huey
        self._wake: Callable[[], object] = lambda: None
        self._bell: Any = huey.task(name="bell")(self._woken)

    def _woken(self) -> None:
        self._wake()

    def ring(self, times: int = 1) -> bool:
        """Ring so many bells; False when the queue cannot be written, which the next sweep makes good."""
        try:
            for _ in range(times):
                self._bell()
        except Exception as fault:  # whatever sqlite3 or redis raise: the row is safe
            log.warning("the bell could not be rung: %s", fault)
            return False
        return True

    def bells(self) -> int:
        """Return how many bells nobody has heard yet."""
        try:
            return int(self._huey.pending_count())
        except Exception as fault:
            log.warning("the queue does not answer: %s", fault)
            return 0

    def answer(self, wake: Callable[[], object]) -> bool:
        """Return whether a bell was there; ``wake`` is called then, and its faults go into the log."""
        begun = time.monotonic()
        try:
            bell = self._huey.dequeue()
            if bell is not None:
                self._wake = wake
                self._huey.execute(bell)
                return True
        except Exception as fault:
            log.warning("the queue does not answer: %s", fault)
        if self._huey.storage.blocking and time.monotonic() - begun < 0.1:
            time.sleep(0.5)  # a server that is gone answers at once, again and again
        return False

    @property
    def waits(self) -> bool:
        """Whether ``answer`` itself waits for a bell for a moment."""
        return bool(self._huey.storage.blocking)

    def close(self) -> None:
        """Let go of file or server."""
        self._huey.storage.close()
        pool = getattr(self._huey.storage, "pool", None)
        if pool is not None:
            pool.disconnect()


def open_queue(folder: Path, url: str | None = None) -> Queue:
    """Return the queue of a workbench folder, or the one on a Redis server (``redis://host:6379``).

    Raises:
        UsageError: Huey is not installed, or the address means nothing to us.
        StoreError: the folder cannot be written.
    """
    if importlib.util.find_spec("huey") is None:
        raise UsageError(Problem("film work", "no Huey", "the package huey", f"{INSTALL} huey"))
    return Queue(_redis(url) if url else _file(folder))


def _file(folder: Path) -> Huey:
    """Return the queue in a file; a damaged one is put aside: it holds nothing that is not in a row."""
    file = folder / FILE
    try:
        return _huey_in(file)
    except sqlite3.OperationalError as fault:  # full, or not to be written
        do = "free some room, or give yourself the right to write there"
        raise StoreError(Problem(FILE, str(fault), "a folder that can be written", do)) from fault
    except sqlite3.DatabaseError:
        log.warning("%s is damaged and made anew", FILE)
        file.replace(file.with_name(f"{FILE}.damaged"))
        for rest in ("-wal", "-shm"):
            file.with_name(FILE + rest).unlink(missing_ok=True)
        return _huey_in(file)


def _huey_in(file: Path) -> Huey:
    from huey import SqliteHuey

    return SqliteHuey("tenbetween", filename=str(file), results=False, serializer=_plain())


def _redis(url: str) -> Huey:
    if not url.startswith(("redis://", "rediss://", "unix://")):
        do = "write it like redis://host:6379, or leave it out to use the workbench folder"
        raise UsageError(
            Problem("--queue", url.partition("://")[0][:40], "the address of a Redis server", do)
        )
    if importlib.util.find_spec("redis") is None:
        raise UsageError(Problem("--queue", "no Redis client", "the package redis", f"{INSTALL} redis"))
    from huey import RedisHuey
    from redis import ConnectionPool
    from redis.backoff import NoBackoff
    from redis.retry import Retry

    quick = {"socket_connect_timeout": 2, "socket_timeout": 5, "retry": Retry(NoBackoff(), 0)}
    try:  # pages ring bells too, and must not wait for a server that is gone
        pool = ConnectionPool.from_url(url, **quick)
        return RedisHuey("tenbetween", connection_pool=pool, results=False, serializer=_plain())
    except ValueError as fault:
        found = "text that is no address"
        raise UsageError(Problem("--queue", found, "redis://host:6379", "correct it")) from fault


def _plain() -> Any:
    """Return what writes a bell as JSON and reads nothing else."""
    from huey.registry import Message
    from huey.serializer import Serializer

    class Plain(Serializer):  # type: ignore[misc]
        def _serialize(self, data: Any) -> bytes:
            return json.dumps([data.id, data.name]).encode()

        def _deserialize(self, data: bytes) -> Any:
            bell, name = json.loads(bytes(data))
            return Message(str(bell), str(name), None, 0, 0, None, (), {})

    return Plain()
