"""Film rooms for tests: small text files that stand for film, a clock that ticks, a game dealt out mark by mark."""

from __future__ import annotations

import hashlib
import itertools
import json
import shutil
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from tenbetween.desk.film_room import FilmRoom
from tenbetween.errors import FormatError, Problem
from tenbetween.store import Store, open_workbench

Json = dict[str, Any]
LEAVE = {"by": "Ardenmoor", "until": "2026-05-31"}
OPENING = {"attacking": "right", "lead": "umpire", "lead_side": "table"}
EVEN = [600, [1, 15_000]]
"""A frame every 600 ticks of 1/15,000 s: 25 a second."""


class PlainFilm:
    """Reads a text file as if it were film: the time stamps of its frames are written in it."""

    def _read(self, path: Path) -> Json:
        try:
            found = json.loads(path.read_text("utf-8"))
            return {"pts": list(found["pts"]), **found}
        except (OSError, ValueError, KeyError, TypeError):
            do = "copy it again from the camera"
            raise FormatError(Problem(path.name, "no film", "a film file", do)) from None

    def fingerprint(self, path: Path) -> str:
        return hashlib.sha256(path.read_bytes()).hexdigest()[:32]

    def probe(self, path: Path) -> Json:
        film = self._read(path)
        pts, base = film["pts"], film["base"]
        end = pts[-1] + (pts[-1] - pts[-2])
        return {
            "fingerprint": self.fingerprint(path), "name": path.name, "size": path.stat().st_size,
            "first_pts": pts[0], "last_pts": pts[-1], "end_pts": end, "base": base, "frames": len(pts),
            "duration_s": float(Fraction((end - pts[0]) * base[0], base[1])), "picture": [1280, 720],
            "rotation": 0, "codec": film.get("codec", "h264"), "variable_rate": False, "sound": True,
            "camera": "main", "offset_us": 0, "needs_copy": film.get("codec") == "hevc",
            "why_copy": "a browser here cannot show it" if film.get("codec") == "hevc" else "", "copy": "",
            "warnings": film.get("warnings", []),
        }  # fmt: skip

    def pts(self, path: Path) -> np.ndarray[Any, Any]:
        return np.array(self._read(path)["pts"], np.int64)

    def still(self, path: Path, pts: int, height: int) -> bytes:
        return f"{path.name} {pts} {height}".encode()

    def copy_bytes(self, path: Path) -> int:
        return 1000


def write_film(path: Path, pts: Sequence[int], base: Sequence[int] = (1, 15_000), **more: Any) -> Path:
    """Write a text file that stands for film."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(json.dumps({"pts": list(pts), "base": list(base), **more}), "utf-8")
    return path


def even(seconds: float, first: int = 0) -> list[int]:
    """Return the time stamps of an even film of 25 frames a second."""
    return [first + 600 * n for n in range(round(seconds * 25))]


class World:
    """A workbench with a film room, a folder of film, and one film of 90 minutes taken in."""

    def __init__(self, store: Store, folder: Path, films: Path, day: list[datetime]) -> None:
        self.store, self.folder, self.films, self.day = store, folder, films, day
        self.room = self.again()

    def now(self) -> datetime:
        return self.day[0]

    def again(self) -> FilmRoom:
        """A second window on the same workbench."""
        return FilmRoom(self.store, self.now, self.folder, footage=PlainFilm())

    def ids(self, *names: str) -> list[str]:
        there = {file["name"]: file["id"] for place in self.room.files() for file in place["files"]}
        return [there[name] for name in names]

    def add(self, *names: str, title: str = "Ardenmoor at Pell Hollow", **fields: Any) -> Json:
        fields = {"opening": OPENING, **fields}
        return self.room.add(self.ids(*names), title, fields.pop("permission", LEAVE), **fields)


@cache
def _empty() -> tempfile.TemporaryDirectory[str]:
    """Return a folder with a workbench nothing is kept in, made once: bringing a fresh one up to date takes a while."""
    made = tempfile.TemporaryDirectory(prefix="tenbetween-")
    day = datetime(2025, 11, 11, tzinfo=UTC)
    open_workbench(Path(made.name) / "bench", now=lambda: day, entropy=bytes).close()
    return made


@contextmanager
def world(place: Path) -> Iterator[World]:
    """Open a fresh workbench beside a folder of film that is listed."""
    ticks, numbers = itertools.count(), itertools.count(1)
    day = [datetime(2025, 11, 11, 21, 52, tzinfo=UTC)]
    films = place / "film"
    films.mkdir(parents=True)
    shutil.copytree(Path(_empty().name) / "bench", place / "bench")
    store = open_workbench(
        place / "bench",
        now=lambda: day[0] + timedelta(seconds=next(ticks)),
        entropy=lambda n: next(numbers).to_bytes(n, "big"),
        by="Wendell Thackrow",
    )
    with store:
        made = World(store, place / "bench", films, day)
        made.room.add_folder(str(films))
        yield made


def at(film: Json, seconds: float, part: int = 0) -> Json:
    """Return the frame time at so many seconds of a part of an even film."""
    there = film["parts"][part]
    pts = there["first_pts"] + 600 * round(seconds * 25)
    return {"part": there["fingerprint"], "pts": pts, "base": there["base"]}


def contents(store: Store) -> Json:
    """Return everything kept but for versions and times of change: what an undo must bring back."""
    return {
        kind: {id_: (saved.value, saved.basis, saved.created) for id_, saved in things.items()}
        for kind, things in store.everything().items()
    }
