"""Long work as rows: what waits, who has it, how far it is, what came of it. The row is the truth, no queue is.

A row is held by one worker at a time, on a lease it renews; when the lease runs out the row waits again, so
work whose worker was killed is taken up by another. Whatever a worker writes it writes only while the row is
still its own. Rows stand outside the journal: they are not exported, undone or kept in a backup. Knows no
kind of work; every method is handed the time, and the clocks of machines that share rows must agree to
within a lease.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator, Sequence
from datetime import datetime, timedelta
from typing import Any, Literal, get_args

from msgspec import Struct
from sqlalchemy import (
    Boolean,
    Column,
    Connection,
    Index,
    Integer,
    Table,
    Text,
    delete,
    insert,
    select,
    update,
)
from sqlalchemy.engine import RowMapping

from tenbetween.errors import Problem, StoreError, one_of
from tenbetween.store.database import Database
from tenbetween.store.forms import Json, brief
from tenbetween.store.ids import is_id, time_text
from tenbetween.store.tables import IdText, Number, metadata

State = Literal["waiting", "running", "done", "failed", "cancelled"]
STATES: tuple[str, ...] = get_args(State)
OVER = ("done", "failed", "cancelled")
MOST_TRIES = 3
"""So often work may be lost with its worker before it counts as failed."""
LONGEST_REFUSAL = 600.0
"""Seconds; a worker that gave work back looks at it again after this long at most."""
LONGEST_SAYING = 500

job = Table(
    "job",
    metadata,
    Column("id", IdText, primary_key=True),
    Column("kind", Text, nullable=False),
    Column("args", Text, nullable=False),
    Column("state", Text, nullable=False),
    Column("done", Number, nullable=False),
    Column("of", Number, nullable=False),
    Column("says", Text, nullable=False),
    Column("tries", Integer, nullable=False),
    Column("worker", Text, nullable=False),
    Column("lease_until", IdText, nullable=False),
    Column("result", Text),
    Column("error", Text),
    Column("wanted_off", Boolean, nullable=False),
    Column("refused", Text, nullable=False),
    Column("created", IdText, nullable=False),
    Column("changed", IdText, nullable=False),
    Index("job_state", "state", "id"),
)


class Job(Struct, frozen=True, kw_only=True):
    """One piece of long work as it stands; times are universal time as text, empty where there is none."""

    id: str
    kind: str
    args: Json
    state: str
    done: int
    of: int
    """Steps in all; 0 while nobody knows."""
    says: str
    """What is being done, or why it waits, in a sentence."""
    tries: int
    """How often it was lost with its worker."""
    worker: str
    lease_until: str
    result: Json | None
    error: Json | None
    """``[{"where", "found", "expected", "do"}]`` of work that failed."""
    wanted_off: bool
    """Somebody asked the running worker to stop."""
    refused: Json
    """``{worker: [how often, until when]}`` of those who gave it back."""
    created: str
    changed: str


Held = Literal["held", "off", "lost"]
"""A row is still one's own; still, but somebody wants it stopped; not any more."""

_FREE = {"worker": "", "lease_until": "", "wanted_off": False}
_FRESH: dict[str, Any] = {**_FREE, "done": 0, "of": 0, "says": "", "result": None, "error": None}


class JobRows:
    """The rows of one workbench; ``Store.jobs`` hands them out."""

    def __init__(self, database: Database, make_id: Callable[[], str]) -> None:
        self._database, self._make_id = database, make_id
        self._ring: Callable[[], object] = lambda: None

    def ring_with(self, bell: Callable[[], object]) -> None:
        """Call this whenever a row waits that did not before, so that a worker hears of it at once."""
        self._ring = bell

    # ---- putting work in ------------------------------------------------------------------------------

    def add(self, kind: str, args: object, now: datetime) -> Job:
        """Return the row of new work, or the one that waits or runs already for the same kind and arguments.

        Raises:
            StoreError: the kind is no plain name, or the arguments are no JSON object.
        """
        given, at = _checked(kind, args), time_text(now)
        same = (job.c.kind == kind) & (job.c.args == given.text) & job.c.state.in_(("waiting", "running"))
        there = select(job).where(same, job.c.wanted_off.is_(False)).order_by(job.c.id).limit(1)
        with self._database.writing() as connection:
            row = connection.execute(there).mappings().one_or_none()
            if row is not None:
                return _job_of(row)
            made = {**_FRESH, "id": self._make_id(), "kind": kind, "args": given.text, "state": "waiting"}
            made |= {"tries": 0, "refused": "{}", "created": at, "changed": at}
            connection.execute(insert(job).values(made))
            found = _read(connection, made["id"])
        self._ring()
        return found

    # ---- what a worker does ---------------------------------------------------------------------------

    def take(self, kinds: Sequence[str], worker: str, now: datetime, lease: float) -> Job | None:
        """Return the oldest waiting row of these kinds, held by the worker for ``lease`` seconds, or None.

        No two workers are ever handed the same row. What the worker gave back lately is left to others.
        """
        at, until = time_text(now), _later(now, lease)
        waiting = (
            select(job.c.id, job.c.refused)
            .where(job.c.state == "waiting", job.c.kind.in_(list(kinds)))
            .order_by(job.c.id)
        )
        with self._database.writing(in_turn=False) as connection:
            for row in connection.execute(waiting).all():
                if _refused_until(row.refused, worker) > at:
                    continue
                mine = {**_FRESH, "state": "running", "worker": worker, "lease_until": until, "changed": at}
                here = (job.c.id == row.id) & (job.c.state == "waiting")
                if connection.execute(update(job).where(here).values(mine)).rowcount == 1:
                    return _read(connection, row.id)
        return None

    def waiting(self, kinds: Sequence[str], worker: str, now: datetime) -> int:
        """Return how many rows the worker could take now."""
        at = time_text(now)
        query = select(job.c.refused).where(job.c.state == "waiting", job.c.kind.in_(list(kinds)))
        with self._database.reading() as connection:
            return sum(_refused_until(row.refused, worker) <= at for row in connection.execute(query))

    def renew(self, held: Job, now: datetime, lease: float) -> Held:
        """Hold a row for ``lease`` seconds more, and return whether it is held, wanted off or lost."""
        if not self._change(held, {"lease_until": _later(now, lease)}):
            return "lost"
        return self.look(held)

    def look(self, held: Job) -> Held:
        """Return whether a row is still held, is wanted off, or is lost."""
        with self._database.reading() as connection:
            row = connection.execute(select(job.c.wanted_off).where(_is_mine(held))).one_or_none()
        return "lost" if row is None else "off" if row.wanted_off else "held"

    def told(self, held: Job, done: int, of: int, says: str, now: datetime) -> bool:
        """Write how far work is; False when the row is lost."""
        so_far = {"done": _steps(done), "of": _steps(of), "says": _saying(says)}
        return self._change(held, {**so_far, "changed": time_text(now)})

    def finish(self, held: Job, result: object, now: datetime) -> bool:
        """Write what came of work; False when the row is lost, and then nothing is written.

        Raises:
            StoreError: the result is no JSON object.
        """
        given = _object(result, "result")
        over = {**_FREE, "state": "done", "result": given.text, "changed": time_text(now)}
        return self._change(held, {**over, "done": job.c.of, "says": ""})

    def fail(self, held: Job, problems: Sequence[Problem], now: datetime) -> bool:
        """Write why work failed; False when the row is lost."""
        return self._change(held, _failed(problems, now))

    def stop(self, held: Job, now: datetime) -> bool:
        """Write that work was stopped because somebody asked for it; False when the row is lost."""
        return self._change(held, {**_FREE, "state": "cancelled", "says": "", "changed": time_text(now)})

    def give_back(self, held: Job, why: str, now: datetime, wait: float = 30.0) -> bool:
        """Let a row wait again for another worker; this one may take it after ``wait`` seconds, then twice
        that, and so on up to ten minutes (0: at once). False when the row is lost.
        """
        at = time_text(now)
        refused = {name: left for name, left in held.refused.data().items() if left[1] > at}
        if wait > 0:
            times = held.refused.data().get(held.worker, [0, ""])[0]
            until = _later(now, min(wait * 2.0 ** min(times, 20), LONGEST_REFUSAL))
            refused[held.worker] = [times + 1, until]
        back = {**_FRESH, "state": "waiting", "says": _saying(why), "changed": at}
        return self._change(held, {**back, "refused": Json.of(refused).text}, unless_off=True) or self.stop(
            held, now
        )

    # ---- what a person does ---------------------------------------------------------------------------

    def ask_off(self, id: str, now: datetime) -> Job:
        """Return the row of work somebody wants stopped: cancelled when it waits, else asked of its worker.

        Raises:
            StoreError: there is no such work, or it is over.
        """
        at = time_text(now)
        with self._database.writing() as connection:
            waits = (job.c.id == _checked_id(id)) & (job.c.state == "waiting")
            runs = (job.c.id == id) & (job.c.state == "running")
            off = {**_FREE, "state": "cancelled", "says": "", "changed": at}
            changed = connection.execute(update(job).where(waits).values(off)).rowcount
            if not changed:
                asked = {"wanted_off": True, "changed": at}
                changed = connection.execute(update(job).where(runs).values(asked)).rowcount
            found = _read(connection, id)
            if not changed:
                raise StoreError(_wrong_state(found, "work that waits or runs", "nothing is to be stopped"))
            return found

    def again(self, id: str, now: datetime) -> Job:
        """Return the row of failed or cancelled work that waits again, as if it were new.

        Raises:
            StoreError: there is no such work, or it is neither failed nor cancelled.
        """
        here = (job.c.id == _checked_id(id)) & job.c.state.in_(("failed", "cancelled"))
        fresh = {**_FRESH, "state": "waiting", "tries": 0, "refused": "{}", "changed": time_text(now)}
        with self._database.writing() as connection:
            changed = connection.execute(update(job).where(here).values(fresh)).rowcount
            found = _read(connection, id)
            if not changed:
                raise StoreError(_wrong_state(found, "work that failed or was cancelled", "leave it"))
        self._ring()
        return found

    # ---- keeping order --------------------------------------------------------------------------------

    def sweep(self, now: datetime, most_tries: int = MOST_TRIES) -> tuple[str, ...]:
        """Return the ids of the rows that wait again because their worker let the lease run out.

        The ``most_tries``-th loss makes work fail, with directions; one that was wanted off is cancelled.
        """
        at = time_text(now)
        late = select(job).where(job.c.state == "running", job.c.lease_until < at).order_by(job.c.id)
        with self._database.reading() as connection:  # no writer waits for a sweep that finds nothing
            if connection.execute(late.limit(1)).first() is None:
                return ()
        back = []
        with self._database.writing(in_turn=False) as connection:
            for held in [_job_of(row) for row in connection.execute(late).mappings()]:
                change = _lost(held, most_tries, now)
                same = _is_mine(held) & (job.c.lease_until < at)
                done = connection.execute(update(job).where(same).values(change)).rowcount
                if done and change["state"] == "waiting":
                    back.append(held.id)
        return tuple(back)

    def forget(self, before: datetime) -> int:
        """Return how many rows were dropped: those over, last changed before that time."""
        old = job.c.state.in_(OVER) & (job.c.changed < time_text(before))
        with self._database.writing(in_turn=False) as connection:
            return connection.execute(delete(job).where(old)).rowcount

    # ---- reading --------------------------------------------------------------------------------------

    def get(self, id: str) -> Job:
        """Return one row.

        Raises:
            StoreError: there is no such work.
        """
        with self._database.reading() as connection:
            return _read(connection, _checked_id(id))

    def list(self, states: Sequence[str] = STATES, limit: int = 200) -> tuple[Job, ...]:
        """Return the rows in these states, newest first.

        Raises:
            StoreError: a state there is not.
        """
        wrong = [one_of("state", state, STATES) for state in states if state not in STATES]
        if wrong:
            raise StoreError(wrong)
        query = select(job).where(job.c.state.in_([*states])).order_by(job.c.id.desc()).limit(limit)
        with self._database.reading() as connection:
            return tuple(_job_of(row) for row in connection.execute(query).mappings())

    def _change(self, held: Job, values: dict[str, Any], *, unless_off: bool = False) -> bool:
        here = _is_mine(held)
        if unless_off:
            here &= job.c.wanted_off.is_(False)
        with self._database.writing(in_turn=False) as connection:
            return connection.execute(update(job).where(here).values(values)).rowcount == 1


def faults_in(connection: Connection) -> list[Problem]:
    """Return what is wrong with the rows kept: a state there is not, text that is no JSON, a holder missing."""
    return [
        Problem(f"job {row['id']}", found, "a row as the program writes it", "cancel that work or remove it")
        for row in connection.execute(select(job).order_by(job.c.id)).mappings()
        for found in _row_faults(row)
    ]


def _row_faults(row: RowMapping) -> Iterator[str]:
    if row["state"] not in STATES:
        yield f"the state {row['state']!r}"
    if (row["state"] == "running") != bool(row["worker"] and row["lease_until"]):
        yield "running work without a worker, or the other way round"
    for name in ("args", "result", "error", "refused"):
        try:
            json.loads(row[name] or "{}")
        except ValueError:
            yield f"{name} that is no JSON"


def _is_mine(held: Job) -> Any:
    """A row is the same worker's and was not lost and taken again meanwhile."""
    return (
        (job.c.id == held.id)
        & (job.c.state == "running")
        & (job.c.worker == held.worker)
        & (job.c.tries == held.tries)
    )


def _lost(held: Job, most_tries: int, now: datetime) -> dict[str, Any]:
    if held.wanted_off:
        return {**_FREE, "state": "cancelled", "says": "", "changed": time_text(now)}
    tries = held.tries + 1
    if tries >= most_tries:
        found = f"work that was lost with its program {tries} times"
        do = "look whether the film plays, free memory and disk, then ask for it again"
        return {**_failed([Problem(held.kind, found, "work that comes to its end", do)], now), "tries": tries}
    says = "Taken up again: the program that did it stopped."
    return {**_FRESH, "state": "waiting", "tries": tries, "says": says, "changed": time_text(now)}


def _failed(problems: Sequence[Problem], now: datetime) -> dict[str, Any]:
    error = Json.of([problem.as_dict() for problem in problems], "error")
    return {**_FREE, "state": "failed", "says": "", "error": error.text, "changed": time_text(now)}


def _read(connection: Connection, id: str) -> Job:
    row = connection.execute(select(job).where(job.c.id == id)).mappings().one_or_none()
    if row is None:
        found = "nothing"
        raise StoreError(Problem(f"job {id}", found, "work that is kept", "look at the list again"))
    return _job_of(row)


def _job_of(row: RowMapping) -> Job:
    texts = {name: None if row[name] is None else Json(row[name]) for name in ("result", "error")}
    kept = {name: Json(row[name]) for name in ("args", "refused")}
    return Job(**{**dict(row), **texts, **kept})


def _checked(kind: object, args: object) -> Json:
    if not (isinstance(kind, str) and re.fullmatch("[a-z][a-z0-9_]{0,40}", kind)):
        do = "name one that the program knows"
        raise StoreError(Problem("kind", brief(kind), "a kind of work, such as listen", do))
    return _object(args, "args")


def _object(given: object, where: str) -> Json:
    if not isinstance(given, dict):
        raise StoreError(Problem(where, brief(given), "named fields", "hand in an object"))
    return Json.of(given, where)


def _checked_id(id: object) -> str:
    if not (isinstance(id, str) and is_id(id)):
        raise StoreError(Problem("job", brief(id), "the id of work", "copy it from the list"))
    return id


def _wrong_state(found: Job, expected: str, do: str) -> Problem:
    return Problem(f"job {found.id}", f"work that is {found.state}", expected, do)


def _later(now: datetime, seconds: float) -> str:
    return time_text(now + timedelta(seconds=seconds))


def _refused_until(refused: str, worker: str) -> str:
    return str(json.loads(refused).get(worker, [0, ""])[1])


def _steps(number: float) -> int:
    return min(max(int(number), 0), 2**62)


def _saying(text: str) -> str:
    """A sentence that fits a line; signs that are no text become spaces."""
    plain = re.sub("[\x00-\x1f\ud800-\udfff]+", " ", str(text)).strip()
    return plain if len(plain) <= LONGEST_SAYING else plain[: LONGEST_SAYING - 1] + "…"
