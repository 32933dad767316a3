"""``tenbetween work``: one more worker for the film room, beside the one the workbench brings along.

Workers on several machines share the rows (a PostgreSQL server), the bell (a Redis server) and the film folder,
mounted on each. Also how the workbench starts its own worker.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from tenbetween.cli import asked
from tenbetween.cli.command import say

if TYPE_CHECKING:
    from tenbetween.desk.work import WorkPlace

STORE_IN, QUEUE_IN = "TENBETWEEN_STORE", "TENBETWEEN_QUEUE"
"""Addresses may hold a password: in the environment nobody else on the machine reads them."""

STORE = click.option(
    "--store",
    metavar="URL",
    envvar=STORE_IN,
    help=f"Where the workbench is kept when not in its folder: postgresql://... (or {STORE_IN}).",
)
QUEUE = click.option(
    "--queue",
    metavar="URL",
    envvar=QUEUE_IN,
    help=f"The bell workers on other machines hear too: redis://... (or {QUEUE_IN}).",
)


@click.command()
@click.option(
    "--workbench",
    metavar="FOLDER",
    help="The workbench folder; on several machines one that all of them have mounted.",
)
@STORE
@QUEUE
@click.option(
    "--films", metavar="FOLDER", multiple=True, help="A folder with films, the same ones on every machine."
)
@click.option(
    "--lease",
    type=click.FloatRange(min=1),
    default=30.0,
    show_default=True,
    metavar="SECONDS",
    help="So long after a worker was killed another one takes its work up.",
)
@click.option("--beside", is_flag=True, hidden=True, help="End when standard input closes.")
def work(
    workbench: str | None,
    store: str | None,
    queue: str | None,
    films: tuple[str, ...],
    lease: float,
    beside: bool,
) -> None:
    """Do film work: listening, copies, following, clips. Stop with Ctrl+C; what is begun goes on elsewhere.

    On several machines --workbench must be the same folder for all, on the mounted disk like the films: copies,
    clips and the court carried through a pan are written into it, and the pages find them only there.
    """
    folder = Path(workbench) if workbench else asked.usual_folder()
    with _place(folder, store, _folders(films)) as place:
        _work(place, queue, lease, beside)


def _folders(films: tuple[str, ...]) -> tuple[Path, ...]:
    from tenbetween.errors import Problem, UsageError

    wrong = [one for one in films if not Path(one).is_dir()]
    if wrong:
        do = "mount it, or name another"
        raise UsageError([Problem("--films", one[:200], "a folder that is there", do) for one in wrong])
    return tuple(Path(one).absolute() for one in films)


@contextmanager
def _place(folder: Path, store: str | None, films: tuple[Path, ...]) -> Iterator[WorkPlace]:
    from datetime import UTC, datetime

    from tenbetween.desk.work import WorkPlace
    from tenbetween.store import open_workbench

    def now() -> datetime:
        return datetime.now(UTC)

    with open_workbench(folder, now=now, entropy=os.urandom, by="film work", url=store) as opened:
        yield WorkPlace(opened, folder, now, films)


def _work(place: WorkPlace, url: str | None, lease: float, beside: bool) -> None:
    from tenbetween.desk.work import functions
    from tenbetween.jobs import Worker, open_queue, worker_name
    from tenbetween.jobs.running import (
        be_considerate,
        keep_working,
        leave_when_asked,
        leave_with_parent,
        log_to,
    )

    queue = open_queue(place.folder, url)
    log_to(place.folder)
    worker = Worker(place.store.jobs, functions(place), worker_name(), place.now, lease=lease)
    leave_when_asked(worker)
    if beside:
        leave_with_parent(worker)
        be_considerate()
    else:
        say(f"work for: {place.folder}", error=True)
        say("stop with Ctrl+C", error=True)
    keep_working(worker, queue, sweep_every=lease / 3)
    queue.close()


# ---- beside the pages -----------------------------------------------------------------------------------


@contextmanager
def worker_beside(store: Any, folder: Path, url: str | None, queue: str | None) -> Iterator[None]:
    """Have one worker beside the pages until the end; without the film packages, say so and go on.

    ``store`` is the open workbench: what is put into its rows is heard at once.
    """
    from tenbetween.desk.work import lacking_words
    from tenbetween.errors import TenbetweenError
    from tenbetween.jobs import Beside, missing_parts, open_queue

    lacking = lacking_words(missing_parts())
    try:
        bell = None if lacking else open_queue(folder, queue)
    except TenbetweenError as fault:
        bell, lacking = None, f"film work is off: {fault}"
    if bell is None:
        say(lacking, error=True)
        yield
        return
    store.jobs.ring_with(bell.ring)
    with Beside(_words(folder), _environment(url, queue)):
        yield
    bell.close()


def _words(folder: Path) -> tuple[str, ...]:
    return (sys.executable, "-m", "tenbetween", "work", "--workbench", str(folder), "--beside")


def _environment(url: str | None, queue: str | None) -> Mapping[str, str]:
    own = {name: value for name, value in os.environ.items() if name not in (STORE_IN, QUEUE_IN)}
    given = {STORE_IN: url, QUEUE_IN: queue}
    return own | {name: value for name, value in given.items() if value}
