"""One worker: takes a row, does what it says, keeps it while it lasts, and writes what came of it.

A thread renews the lease, writes progress and looks whether somebody wants the work stopped, so that asking
``cancelled()`` and telling how far one is cost the work nothing. Faults become directions; a traceback goes
into the log and nowhere else.
"""

from __future__ import annotations

import contextlib
import errno
import json
import logging
import threading
import time
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import Generic

from tenbetween.errors import Problem, TenbetweenError
from tenbetween.jobs.keeper import Functions, NotHereError, R, RowKeeper

LEASE = 30.0
"""Seconds a row is held; after a kill it waits that long at most before another worker may have it."""
BEAT = 0.5
"""Seconds between two looks at the row."""
PROGRESS_EVERY = 1.0
LEAVING = 3.0
"""Seconds a worker that was asked to end goes on trying to write what came of its work."""
CLOSED = "The program was closed; it goes on when it is open again."

log = logging.getLogger("tenbetween.jobs")
Now = Callable[[], datetime]


class Worker(Generic[R]):
    """Does the work of one row after the other.

    ``functions`` says what it can do; ``now`` hands in the time. ``leave()`` may be called from anywhere and
    lets the work in hand be given back.
    """

    def __init__(
        self,
        keeper: RowKeeper[R],
        functions: Functions,
        name: str,
        now: Now,
        *,
        lease: float = LEASE,
        beat: float = BEAT,
    ) -> None:
        self.keeper, self.functions, self.name, self.now = keeper, functions, name, now
        self.lease, self.beat, self.leaving = lease, beat, threading.Event()

    @property
    def kinds(self) -> tuple[str, ...]:
        """What this worker can do."""
        return tuple(self.functions)

    def leave(self) -> None:
        """Ask the work in hand to stop, and take no more."""
        self.leaving.set()

    def run_one(self) -> bool:
        """Return whether a row was there to be worked on; it is over, given back or lost afterwards.

        Raises:
            TenbetweenError: the rows cannot be reached.
        """
        if self.leaving.is_set():
            return False
        held = self.keeper.take(self.kinds, self.name, self.now(), self.lease)
        if held is None:
            return False
        self._write(held, self._work(held))
        return True

    def _work(self, held: R) -> Callable[[], bool]:
        """Do the work of a row and return what is to be written of it."""
        keeper, now = self.keeper, self.now
        with Hold(self, held) as hold:
            try:
                result = self.functions[held.kind](held.args.data(), hold.told, hold.cancelled)
                problems = _unwritable(held.kind, result)
            except NotHereError as fault:
                why = "; ".join(f"{one.where}: found {one.found}" for one in fault.problems)
                return hold.unless_stopped(lambda: keeper.give_back(held, _waits(why), now()))
            except Exception as fault:
                log.warning("%s %s stopped on a fault", held.kind, held.id, exc_info=True)
                problems = problems_of(held.kind, fault)
        if problems:
            return hold.unless_stopped(lambda: keeper.fail(held, problems, now()))
        return hold.unless_stopped(lambda: keeper.finish(held, result, now()))

    def _write(self, held: R, outcome: Callable[[], bool]) -> None:
        """Write an outcome; while the rows cannot be written, try again for as long as the row is held."""
        begun = time.monotonic()
        while True:
            try:
                if not outcome():
                    log.info("%s %s was lost to another worker", held.kind, held.id)
                return
            except TenbetweenError as fault:
                if time.monotonic() - begun > (LEAVING if self.leaving.is_set() else self.lease):
                    self._give_up(held, fault)
                    return
            time.sleep(self.beat)

    def _give_up(self, held: R, fault: TenbetweenError) -> None:
        """Say why an outcome is not kept: as a failure, or else in the log, and then the sweep finds the row."""
        log.warning("what came of %s %s could not be written: %s", held.kind, held.id, fault)
        if not self.leaving.is_set():
            with contextlib.suppress(TenbetweenError):
                self.keeper.fail(held, fault.problems, self.now())


class Hold(Generic[R]):
    """A row while it is worked on: kept by a thread, until the work ends or has to."""

    def __init__(self, worker: Worker[R], held: R) -> None:
        self._worker, self._held = worker, held
        self._over, self._stop = threading.Event(), threading.Event()
        self._why = ""
        self._heard = False
        self._progress: tuple[int, int, str] | None = None
        self._thread = threading.Thread(target=self._keep, name=f"keeps {held.id}", daemon=True)

    def __enter__(self) -> Hold[R]:
        self._thread.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, at: TracebackType | None
    ) -> None:
        self._over.set()
        self._thread.join()

    # ---- for the work ---------------------------------------------------------------------------------

    def told(self, done: int, of: int, says: str = "") -> None:
        """Take in how far the work is; it is written now and then."""
        self._progress = (done, of, says)

    def cancelled(self) -> bool:
        """Return whether the work is to stop where it is."""
        if self._worker.leaving.is_set():
            self._end("leaving")
        self._heard = self._heard or self._stop.is_set()
        return self._heard

    def unless_stopped(self, outcome: Callable[[], bool]) -> Callable[[], bool]:
        """Return the outcome, or what is to be written instead when the work was told to stop."""
        keeper, held, now = self._worker.keeper, self._held, self._worker.now
        if self._why == "lost":
            return lambda: False
        if not self._heard:
            return outcome
        if self._why == "off":
            return lambda: keeper.stop(held, now())
        return lambda: keeper.give_back(held, CLOSED, now(), 0.0)

    # ---- the thread -----------------------------------------------------------------------------------

    def _end(self, why: str) -> None:
        if not self._stop.is_set() or why == "lost":
            self._why = why
        self._stop.set()

    def _keep(self) -> None:
        renewed = written = time.monotonic()
        while not self._over.wait(self._worker.beat):
            clock = time.monotonic()
            try:
                if clock - renewed >= self._worker.lease / 3:
                    self._renew()
                    renewed = clock
                else:
                    self._see(self._worker.keeper.look(self._held))
                if clock - written >= PROGRESS_EVERY:
                    self._write_progress()
                    written = clock
            except TenbetweenError as fault:
                log.warning("the row of %s cannot be kept just now: %s", self._held.id, fault)
                if clock - renewed > self._worker.lease:
                    self._end("lost")  # by now somebody else may have it
        self._last_progress()

    def _renew(self) -> None:
        worker = self._worker
        self._see(worker.keeper.renew(self._held, worker.now(), worker.lease))

    def _see(self, state: str) -> None:
        if state != "held":
            self._end(state)

    def _write_progress(self) -> None:
        progress, self._progress = self._progress, None
        if progress is not None:
            self._worker.keeper.told(self._held, *progress, self._worker.now())

    def _last_progress(self) -> None:
        try:
            self._write_progress()
        except TenbetweenError as fault:
            log.info("the last progress of %s was not written: %s", self._held.id, fault)


# ---- faults as directions -------------------------------------------------------------------------------


def _waits(why: str) -> str:
    return f"Waits for a machine that finds the film ({why})."


def _unwritable(kind: str, result: object) -> tuple[Problem, ...]:
    """Return what keeps a result from being kept: it is no JSON object."""
    try:
        if isinstance(result, dict):
            json.dumps(result, allow_nan=False, ensure_ascii=False).encode()
            return ()
    except (TypeError, ValueError, RecursionError):
        pass
    log.warning("%s returned what is no JSON object: %.200r", kind, result)
    return (_of_program(kind, f"a result that cannot be kept ({type(result).__name__})"),)


def problems_of(kind: str, fault: Exception) -> tuple[Problem, ...]:
    """Return a fault as directions, without a traceback and without the path of a folder.

    >>> problems_of("export", OSError(28, "No space left on device", "/films/clip.mp4"))[0].found
    'no room left on the disk'
    """
    if isinstance(fault, TenbetweenError):
        return fault.problems
    if isinstance(fault, OSError) and fault.errno is not None:
        where = Path(str(fault.filename)).name if fault.filename else kind
        return (Problem(where, *_DISK.get(fault.errno, _other(fault))),)
    if isinstance(fault, MemoryError):
        do = "close other programs and ask for it again"
        return (Problem(kind, "no memory left", "memory to work in", do),)
    return (_of_program(kind, f"a fault of the program ({type(fault).__name__}{_place(fault)})"),)


_FULL = ("no room left on the disk", "room to write", "free some room, then ask for it again")
_CLOSED = (
    "a file that may not be used",
    "the right to read and write it",
    "give yourself that right, then ask for it again",
)
_DISK = {
    errno.ENOSPC: _FULL,
    errno.EDQUOT: _FULL,
    errno.EFBIG: _FULL,
    errno.EACCES: _CLOSED,
    errno.EPERM: _CLOSED,
    errno.EROFS: _CLOSED,
    errno.ENOENT: ("nothing there", "a file", "look where the film lies, then ask for it again"),
    errno.EIO: ("a disk that does not answer", "a disk that works", "look at disk and cable, then ask again"),
}


def _other(fault: OSError) -> tuple[str, str, str]:
    found = (fault.strerror or type(fault).__name__).lower()
    return found, "a file that can be used", "look at the file and its disk, then ask for it again"


def _of_program(kind: str, found: str) -> Problem:
    do = "nothing half-done is shown; report this line, more stands in jobs.log of the workbench folder"
    return Problem(kind, found, "work that comes to its end", do)


def _place(fault: BaseException) -> str:
    """Return the file of this program and the line in which a fault happened."""
    trace, place = fault.__traceback__, ""
    while trace is not None:
        name = trace.tb_frame.f_code.co_filename.replace("\\", "/").rpartition("/tenbetween/")[2]
        ours = name != "" and not name.startswith("/")
        place, trace = f" in {name} line {trace.tb_lineno}" if ours else place, trace.tb_next
    return place
