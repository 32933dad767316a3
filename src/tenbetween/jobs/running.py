"""A worker at work: waits for bells, and between them sweeps up what killed workers left behind.

Ends when its process is asked to (Ctrl+C, a terminate signal) or, beside the pages, when these are gone. The
sweep is a rhythm of this loop and no task of the queue: a queue that lost its bells must not lose the sweep.
"""

from __future__ import annotations

import logging
import os
import signal
import socket
import sys
import threading
import time
from datetime import timedelta
from logging.handlers import RotatingFileHandler
from pathlib import Path

from tenbetween.errors import TenbetweenError
from tenbetween.jobs.keeper import R
from tenbetween.jobs.queue import Queue
from tenbetween.jobs.worker import Worker

SWEEP_EVERY = 10.0
"""Seconds between two sweeps of a worker that is free."""
KEPT_DAYS = 30
FORGET_EVERY = 3600.0
LOG = "jobs.log"
PATIENCE = 10.0
"""Seconds the work in hand has to stop when the process is asked to end."""

log = logging.getLogger("tenbetween.jobs")


def worker_name() -> str:
    """Return a name no other worker has: machine, process and a little chance."""
    machine = "".join(sign for sign in socket.gethostname() if sign.isalnum() or sign in "-.")[:60]
    return f"{machine or 'machine'}-{os.getpid()}-{os.urandom(3).hex()}"


def keep_working(worker: Worker[R], queue: Queue, *, sweep_every: float = SWEEP_EVERY) -> None:
    """Answer bells and sweep until the worker is asked to leave."""
    next_sweep = next_forget = time.monotonic()
    while not worker.leaving.is_set():
        if time.monotonic() >= next_sweep:
            _sweep(worker, queue)
            next_sweep = time.monotonic() + sweep_every
        if time.monotonic() >= next_forget:
            _forget(worker)
            next_forget = time.monotonic() + FORGET_EVERY
        if not queue.answer(lambda: _run_one(worker)) and not queue.waits:
            worker.leaving.wait(0.2)


def _run_one(worker: Worker[R]) -> None:
    try:
        worker.run_one()
    except TenbetweenError as fault:
        log.warning("no work could be taken: %s", fault)


def _sweep(worker: Worker[R], queue: Queue) -> None:
    """Let lost work wait again, and ring for everything that waits and has no bell any more."""
    try:
        back = worker.keeper.sweep(worker.now())
        waiting = worker.keeper.waiting(worker.kinds, worker.name, worker.now())
    except TenbetweenError as fault:
        log.warning("nothing could be swept up: %s", fault)
        return
    if back:
        log.info("taken up again: %s", ", ".join(back))
    if waiting:
        queue.ring(max(0, waiting - queue.bells()))


def _forget(worker: Worker[R]) -> None:
    try:
        worker.keeper.forget(worker.now() - timedelta(days=KEPT_DAYS))
    except TenbetweenError as fault:
        log.warning("old work could not be dropped: %s", fault)


# ---- the process ----------------------------------------------------------------------------------------


def leave_when_asked(worker: Worker[R]) -> None:
    """Let Ctrl+C and a terminate signal end the worker; work that does not stop in time is cut off.

    What is cut off is taken up again from its row.
    """

    def asked(*_: object) -> None:
        worker.leave()
        cut = threading.Timer(PATIENCE, os._exit, (0,))
        cut.daemon = True
        cut.start()

    for one in (signal.SIGINT, signal.SIGTERM):
        signal.signal(one, asked)


def leave_with_parent(worker: Worker[R]) -> None:
    """Let the worker end when whoever started it is gone: its end of our standard input closes then."""

    def wait() -> None:
        while sys.stdin.buffer.read(1):
            pass
        worker.leave()
        time.sleep(PATIENCE)
        os._exit(0)

    threading.Thread(target=wait, name="waits for the pages", daemon=True).start()


def log_to(folder: Path) -> None:
    """Let the log of this room stand in the workbench folder, two files of a megabyte at most."""
    handler = RotatingFileHandler(
        folder / LOG, maxBytes=1_000_000, backupCount=1, encoding="utf-8", delay=True
    )
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(message)s"))
    for name in ("tenbetween.jobs", "huey"):
        logger = logging.getLogger(name)
        logger.addHandler(handler)
        logger.propagate = False
    log.setLevel(logging.INFO)
    logging.raiseExceptions = False  # a full disk must not put a traceback before the trainer


def be_considerate() -> None:
    """Let the pages and the film player go first on this machine."""
    if hasattr(os, "nice"):
        os.nice(5)
