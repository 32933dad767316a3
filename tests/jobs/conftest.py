"""Places where workers meet: a folder with its own queue, or a PostgreSQL and a Redis server.

Whether the servers can be started is decided when the tests are collected; where they cannot, they are left
out and the end of the run says why.
"""

from __future__ import annotations

import importlib.util
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from tests.conftest import free_port
from tests.store.conftest import why_no_postgresql
from tests.store.workplaces import Clock, fresh_place

from tenbetween.store import Job, Store

PROGRAM = Path(__file__).with_name("program.py")


def why_no_servers() -> str | None:
    """The reason no PostgreSQL and Redis can be started here, or None."""
    if importlib.util.find_spec("redis") is None:
        return "the package redis is not installed"
    if not shutil.which("redis-server"):
        return "the program redis-server is not on this machine"
    return why_no_postgresql()


NO_SERVERS = why_no_servers()
SORTS = ["folder"] if NO_SERVERS else ["folder", pytest.param("servers", marks=pytest.mark.postgres)]


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    if "sort" in metafunc.fixturenames:
        metafunc.parametrize("sort", SORTS)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    if NO_SERVERS:
        terminalreporter.write_line(f"jobs: several machines (PostgreSQL and Redis) left out: {NO_SERVERS}")


@pytest.fixture(scope="session")
def redis_url(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address of an empty Redis server that lives as long as this run."""
    port, folder = free_port(), tmp_path_factory.mktemp("redis")
    words = ["redis-server", "--port", str(port), "--bind", "127.0.0.1", "--save", "", "--dir", str(folder)]
    server = subprocess.Popen(words, stdout=subprocess.DEVNULL)
    import redis

    client = redis.Redis(port=port)
    wait_until(lambda: answers(client))
    client.close()
    yield f"redis://127.0.0.1:{port}/0"
    server.terminate()
    server.wait()


def answers(client: Any) -> bool:
    import redis

    try:
        return bool(client.ping())
    except redis.exceptions.ConnectionError:
        return False


def wait_until(true: Callable[[], Any], seconds: float = 20) -> Any:
    """What a question answers as soon as that is true; fails when it never is."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if told := true():
            return told
        time.sleep(0.03)
    raise AssertionError(f"not within {seconds} seconds")


@dataclass
class Shop:
    """An open workbench and the worker programs started for it."""

    store: Store
    url: str | None
    queue: str | None
    folder: Path
    programs: list[subprocess.Popen[str]] = field(default_factory=list)
    clock: Clock = field(default_factory=Clock)

    @property
    def log(self) -> Path:
        """Where the work writes what it did, outside anything the program keeps."""
        return self.folder.parent / "did.txt"

    def did(self) -> list[list[str]]:
        return [line.split() for line in self.log.read_text().splitlines()] if self.log.exists() else []

    def words(self, *more: str) -> list[str]:
        given = ["--workbench", str(self.folder), "--lease", "2"]
        given += ["--store", self.url] if self.url else []
        given += ["--queue", self.queue] if self.queue else []
        return [sys.executable, str(PROGRAM), "work", *given, *more]

    def start(self, *more: str, **how: Any) -> subprocess.Popen[str]:
        program = subprocess.Popen(self.words(*more), stderr=subprocess.PIPE, text=True, **how)
        self.programs.append(program)
        assert "work for" in program.stderr.readline()
        return program

    def ask(self, kind: str, **args: Any) -> str:
        from datetime import UTC, datetime

        given = {"log": str(self.log), "out": str(self.folder.parent / "out.txt"), **args}
        return self.store.jobs.add(kind, given, datetime.now(UTC)).id

    def row(self, name: str) -> Job:
        return self.store.jobs.get(name)

    def until(self, name: str, state: str, *, done: int = 0) -> Job:
        def there() -> Job | None:
            row = self.row(name)
            return row if row.state == state and row.done >= done else None

        return wait_until(there)

    def pid_of(self, row: Job) -> int:
        return int(row.worker.split("-")[-2])

    def end(self) -> None:
        for program in self.programs:
            if program.poll() is None:
                program.send_signal(signal.SIGCONT)
                program.kill()
            program.communicate()


@pytest.fixture
def shop(sort: str, tmp_path: Path, request: pytest.FixtureRequest) -> Iterator[Shop]:
    """A workbench and a queue, of both sorts."""
    servers = sort == "servers"
    yield from opened(
        tmp_path, *(map(request.getfixturevalue, ("postgres_url", "redis_url")) if servers else ())
    )


@pytest.fixture
def far_shop(tmp_path: Path, request: pytest.FixtureRequest) -> Iterator[Shop]:
    """A workbench several machines share, where servers can be started; else one in a folder."""
    names = () if NO_SERVERS else ("postgres_url", "redis_url")
    yield from opened(tmp_path, *map(request.getfixturevalue, names))


@pytest.fixture
def own_shop(tmp_path: Path) -> Iterator[Shop]:
    """A workbench with its queue in its own folder."""
    yield from opened(tmp_path)


def opened(tmp_path: Path, server: str | None = None, redis: str | None = None) -> Iterator[Shop]:
    from tenbetween.jobs import open_queue

    place = fresh_place(tmp_path / "bench", server)
    with place.open(wait_ms=20_000) as store:
        made = Shop(store, place.url, redis, place.folder)
        bell = open_queue(place.folder, redis)
        store.jobs.ring_with(bell.ring)
        try:
            yield made
        finally:
            made.end()
            bell.close()


def is_alive(pid: int) -> bool:
    """Whether a process runs; one that ended and waits to be asked does not."""
    try:
        return "(zombie)" not in Path(f"/proc/{pid}/status").read_text()
    except FileNotFoundError:
        return False
