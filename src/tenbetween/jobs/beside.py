"""One worker process beside the pages: started with them, started again when it dies, ended with them.

A process of its own and no thread: decoding and tracking hold the interpreter for whole pictures at a time,
which would stall the pages, and a film that brings a decoder down must not bring the pages down with it.
"""

from __future__ import annotations

import contextlib
import logging
import subprocess
import threading
from collections.abc import Mapping, Sequence
from types import TracebackType

WRONG_USAGE = 2
"""What the worker returns when starting it again would not help."""
LONGEST_PAUSE = 60.0
GRACE = 12.0
"""Seconds the worker has to give its work back before it is cut off; the row survives either way."""

log = logging.getLogger("tenbetween.jobs")


class Beside:
    """Keeps one process running while it is entered; ``words`` is its command.

    The process reads its standard input, which closes when we are gone, even when we are killed.
    """

    def __init__(
        self, words: Sequence[str], env: Mapping[str, str] | None = None, *, first_pause: float = 1.0
    ) -> None:
        self._words, self._env, self._first_pause = list(words), env, first_pause
        self._ending, self._turn = threading.Event(), threading.Lock()
        self._process: subprocess.Popen[bytes] | None = None
        self._thread = threading.Thread(target=self._watch, name="watches the worker", daemon=True)

    @property
    def pid(self) -> int | None:
        """The process now running, if there is one."""
        process = self._process
        return None if process is None or process.poll() is not None else process.pid

    def __enter__(self) -> Beside:
        self._start()
        self._thread.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, at: TracebackType | None
    ) -> None:
        self._ending.set()
        with self._turn:
            process = self._process
        if process is not None:
            _end(process)
        self._thread.join()

    def _start(self) -> None:
        with self._turn:
            if not self._ending.is_set():
                self._process = subprocess.Popen(  # noqa: S603  our own program
                    self._words,
                    env=None if self._env is None else dict(self._env),
                    stdin=subprocess.PIPE,
                    start_new_session=True,  # Ctrl+C in the window comes to us alone, and we end it
                )

    def _watch(self) -> None:
        pause = self._first_pause
        while not self._ending.is_set() and self._process is not None:
            code = self._process.wait()
            _close_input(self._process)
            if code == WRONG_USAGE:
                return
            if not self._ending.wait(pause):
                log.warning("the worker ended (%s) and is started again", code)
                self._start()
                pause = min(pause * 2, LONGEST_PAUSE)


def _end(process: subprocess.Popen[bytes]) -> None:
    process.terminate()
    _close_input(process)
    try:
        process.wait(GRACE)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()


def _close_input(process: subprocess.Popen[bytes]) -> None:
    with contextlib.suppress(OSError):
        if process.stdin is not None:
            process.stdin.close()
