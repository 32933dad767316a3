"""Rows of long work in a dictionary: the plain opinion the database is compared with."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Any

from tenbetween.errors import Problem, StoreError


@dataclass(frozen=True)
class PlainJson:
    value: Any

    def data(self) -> Any:
        return self.value


@dataclass(frozen=True)
class PlainJob:
    id: str
    kind: str
    args: PlainJson
    state: str = "waiting"
    done: int = 0
    of: int = 0
    says: str = ""
    tries: int = 0
    worker: str = ""
    lease_until: datetime | None = None
    result: PlainJson | None = None
    error: PlainJson | None = None
    wanted_off: bool = False
    refused: dict[str, tuple[int, datetime]] = field(default_factory=dict)
    changed: datetime | None = None


@dataclass
class PlainKeeper:
    """One list, one thread, no cleverness."""

    jobs: dict[str, PlainJob] = field(default_factory=dict)

    def put(self, id: str, **change: Any) -> None:
        self.jobs[id] = replace(self.jobs[id], **change)

    def mine(self, held: Any) -> PlainJob | None:
        now = self.jobs.get(held.id)
        if now is None or now.state != "running":
            return None
        return now if (now.worker, now.tries) == (held.worker, held.tries) else None

    def free(self, id: str, state: str, now: datetime, **more: Any) -> None:
        self.put(id, state=state, worker="", lease_until=None, wanted_off=False, changed=now, **more)

    def fresh(self, id: str, now: datetime, **more: Any) -> None:
        blank = {"done": 0, "of": 0, "says": "", "result": None, "error": None}
        self.free(id, "waiting", now, **(blank | more))

    def add(self, kind: str, args: dict[str, Any], now: datetime) -> PlainJob:
        for one in self.jobs.values():
            alive = one.state in ("waiting", "running") and not one.wanted_off
            if alive and (one.kind, one.args.value) == (kind, args):
                return one
        name = f"{len(self.jobs):026}"
        self.jobs[name] = PlainJob(name, kind, PlainJson(args), changed=now)
        return self.jobs[name]

    def can(self, kinds: Any, worker: str, now: datetime) -> list[PlainJob]:
        waits = [j for j in self.jobs.values() if j.state == "waiting" and j.kind in kinds]
        return [j for j in waits if worker not in j.refused or j.refused[worker][1] <= now]

    def waiting(self, kinds: Any, worker: str, now: datetime) -> int:
        return len(self.can(kinds, worker, now))

    def take(self, kinds: Any, worker: str, now: datetime, lease: float) -> PlainJob | None:
        for one in self.can(kinds, worker, now)[:1]:
            self.fresh(one.id, now)
            self.put(one.id, state="running", worker=worker, lease_until=now + timedelta(seconds=lease))
            return self.jobs[one.id]
        return None

    def look(self, held: Any) -> str:
        mine = self.mine(held)
        return "lost" if mine is None else "off" if mine.wanted_off else "held"

    def renew(self, held: Any, now: datetime, lease: float) -> str:
        if self.mine(held):
            self.put(held.id, lease_until=now + timedelta(seconds=lease))
        return self.look(held)

    def told(self, held: Any, done: int, of: int, says: str, now: datetime) -> bool:
        if not self.mine(held):
            return False
        self.put(held.id, done=done, of=of, says=says, changed=now)
        return True

    def finish(self, held: Any, result: Any, now: datetime) -> bool:
        mine = self.mine(held)
        if mine:
            self.free(held.id, "done", now, result=PlainJson(result), done=mine.of, says="")
        return mine is not None

    def fail(self, held: Any, problems: Any, now: datetime) -> bool:
        if not self.mine(held):
            return False
        self.free(held.id, "failed", now, error=PlainJson([p.as_dict() for p in problems]), says="")
        return True

    def stop(self, held: Any, now: datetime) -> bool:
        if not self.mine(held):
            return False
        self.free(held.id, "cancelled", now, says="")
        return True

    def give_back(self, held: Any, why: str, now: datetime, wait: float = 30.0) -> bool:
        mine = self.mine(held)
        if mine is None or mine.wanted_off:
            return self.stop(held, now)
        refused = {name: left for name, left in mine.refused.items() if left[1] > now}
        if wait:
            times = mine.refused.get(held.worker, (0, now))[0]
            until = now + timedelta(seconds=min(wait * 2**times, 600))
            refused[held.worker] = (times + 1, until)
        self.fresh(held.id, now, says=why, refused=refused)
        return True

    def ask_off(self, id: str, now: datetime) -> PlainJob:
        state = self.jobs[id].state
        if state == "waiting":
            self.free(id, "cancelled", now, says="")
        elif state == "running":
            self.put(id, wanted_off=True, changed=now)
        else:
            raise StoreError(Problem("job", state, "", ""))
        return self.jobs[id]

    def again(self, id: str, now: datetime) -> PlainJob:
        if self.jobs[id].state not in ("failed", "cancelled"):
            raise StoreError(Problem("job", self.jobs[id].state, "", ""))
        self.fresh(id, now, tries=0, refused={})
        return self.jobs[id]

    def sweep(self, now: datetime, most_tries: int = 3) -> tuple[str, ...]:
        back = []
        for one in [*self.jobs.values()]:
            if one.state != "running" or one.lease_until is None or one.lease_until >= now:
                continue
            if one.wanted_off:
                self.free(one.id, "cancelled", now, says="")
            elif one.tries + 1 >= most_tries:
                self.free(one.id, "failed", now, says="", tries=one.tries + 1, error=PlainJson("lost"))
            else:
                self.fresh(one.id, now, tries=one.tries + 1, says="again")
                back.append(one.id)
        return tuple(back)

    def forget(self, before: datetime) -> int:
        over = ("done", "failed", "cancelled")
        old = [j.id for j in self.jobs.values() if j.state in over and j.changed < before]
        for name in old:
            del self.jobs[name]
        return len(old)

    def get(self, id: str) -> PlainJob:
        return self.jobs[id]
