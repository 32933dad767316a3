"""A workbench with a small drawn game taken in: two moments, the court known on one frame, clips to be made."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np

from tenbetween.desk.court_found import Found
from tenbetween.desk.demo_film import make_demo_film
from tenbetween.desk.work import WorkPlace, functions, jobs_page
from tenbetween.desk.workbench import Workbench
from tenbetween.film.camera import Camera
from tenbetween.jobs import Worker
from tenbetween.store import Store

Json = dict[str, Any]
LEAVE = {"by": "Ardenmoor", "until": "2035-12-31"}
HOW = {"before_s": 0.5, "after_s": 0.5, "height": 360}


def now() -> datetime:
    return datetime.now(UTC)


class Filmed:
    """An open workbench with one film; ``path`` is the film file, made here when there is none."""

    def __init__(self, store: Store, path: Path, title: str = "Ardenmoor at Pell Hollow") -> None:
        self.store, self.path = store, path
        self.bench = Workbench(store, now)
        folders = self.bench.films.add_folder(str(path.parent))
        (file,) = [file for one in folders for file in one["files"] if file["name"] == path.name]
        self.film = self.bench.films.add([file["id"]], title, dict(LEAVE))
        self.part = self.film["parts"][0]
        self.stamps = self.bench.films.pts(self.part["fingerprint"]).tolist()

    @property
    def folder(self) -> Path:
        return self.store.folder

    def at(self, number: int) -> Json:
        """Return the time of a frame."""
        return {"part": self.part["fingerprint"], "pts": self.stamps[number], "base": self.part["base"]}

    def mark(self, first: int, disposal: int) -> str:
        """Mark a moment, its disposal known."""
        mark = self.bench.films.start_mark(self.film["id"], self.at(first))["id"]
        self.bench.films.set_event(mark, "e6", self.at(disposal))
        return str(mark)

    def anchor(self, number: int, truth: Json) -> str:
        """Keep the true camera of a frame as the court known there."""
        picture = (int(truth["picture"][0]), int(truth["picture"][1]))
        camera = Camera(0, 0, 1, 0, 0, 0, 1, 0, picture).with_numbers(truth["camera"]["numbers"][number])
        found = Found(camera, np.eye(8) * 1e-7, "by hand", 0.9).kept()
        value = {"film": self.film["id"], "at": self.at(number), "clicks": {}, "camera": found}
        return str(self.store.save("anchor", value).id)

    def marks(self) -> list[Json]:
        """Return the moments as kept."""
        return [
            {name: one[name] for name in ("id", "at", "events", "closed")}
            for one in self.bench.films.marks(self.film["id"])
        ]

    def clip(self, id: str) -> Json:
        """Return a clip as its page shows it."""
        return self.bench.clips.clip(id)

    def waiting(self, kind: str) -> str:
        """Return the one piece of work of a kind that waits."""
        (row,) = [one for one in self.store.jobs.list(("waiting",)) if one.kind == kind]
        return row.id

    def do(self, kind: str, around: Any = None) -> Json:
        """Do the work of a kind that waits, and return it as the screen tells it; ``around`` is put about the work."""
        place = WorkPlace(self.store, self.folder, now)
        work = functions(place)[kind]
        done = work if around is None else lambda *given: around(work, *given)
        row = self.waiting(kind)
        # No beat while the work lasts: what is put about the work may forbid writing.
        assert Worker(self.store.jobs, {kind: done}, "w", now, beat=60).run_one()
        (told,) = [one for one in jobs_page(self.store.jobs) if one["id"] == row]
        return told


def drawn(path: Path, seconds: float = 6.0) -> Json:
    """Draw the beginning of the demo film, small; return its truth."""
    path.parent.mkdir(parents=True, exist_ok=True)
    return make_demo_film(path, seconds=seconds, picture=(160, 90))
