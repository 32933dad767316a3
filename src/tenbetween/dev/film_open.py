"""Measures taking in a film file of 6 GB, and opening a film of 2,000 marks, against reading the same rows bare."""

from __future__ import annotations

import os
import sqlite3
import struct
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from tenbetween.dev.figures import Figure, Measured, in_turn, seconds

MARKS, GAP = 2_000, 6 << 30
PERMISSION = {"by": "nobody: drawn", "until": "2035-06-30", "scope": "inside the class", "minors": False}


def opening() -> Measured:
    """Measure a film of 6 GB taken in against the same film without the gap, then opened with 2,000 marks."""
    with tempfile.TemporaryDirectory(prefix="tenbetween-bench-") as folder:
        place = Path(folder)
        small = place / "small" / "game.mp4"
        small.parent.mkdir()
        _film(small)
        large = place / "large" / "game.mp4"
        large.parent.mkdir()
        widened(small, large)
        taken, bare = in_turn(5, lambda: seconds(lambda: _look(large)), lambda: seconds(lambda: _look(small)))
        opened, rows = _opened(place / "bench", large)
    return Measured(
        (
            Figure("a film of 6 GB looked into and named", taken, "s", 0.5, floor_name="the same without the 6 GB", floor=bare),
            Figure(f"a film of {MARKS:,} marks opened", opened, "s", 1.5, floor_name="its rows read bare", floor=rows),
        )
    )  # fmt: skip


def _look(path: Path) -> None:
    from tenbetween.desk.footage import FilmFiles

    files = FilmFiles()
    files.fingerprint(path)
    files.probe(path)


def _film(path: Path, frames: int = 30 * 120) -> None:
    import numpy as np

    from tenbetween.film.write import mp4

    grey = (np.full((90, 160, 3), number % 250, np.uint8) for number in range(frames))
    path.write_bytes(mp4(grey, frames))


def widened(source: Path, out: Path) -> None:
    """Write a film again with a box of 6 GB of nothing at its end, which takes no room on the disk."""
    with out.open("wb") as file:
        file.write(source.read_bytes())
        file.write(struct.pack(">I4sQ", 1, b"free", GAP))
        file.truncate(file.tell() + GAP - 16)


def _opened(folder: Path, film: Path) -> tuple[float, float]:
    with _room(folder) as films:
        films.add_folder(str(film.parent))
        kept = films.add(
            [one["id"] for one in films.files()[0]["files"]], "Ardenmoor at Pell Hollow", PERMISSION
        )
        _marks(films, kept)

    def once() -> float:
        with _room(folder) as again:
            return seconds(
                lambda: (again.film(kept["id"]), again.marks(kept["id"]), again.frames(_print(kept)))
            )

    def rows() -> float:
        with closing(sqlite3.connect(folder / "tenbetween.db")) as database:
            return seconds(lambda: database.execute("SELECT * FROM mark").fetchall())

    opened, bare = in_turn(3, once, rows)
    return opened, bare


def _print(film: dict[str, Any]) -> str:
    return str(film["parts"][0]["fingerprint"])


@contextmanager
def _room(folder: Path) -> Iterator[Any]:
    from tenbetween.desk.workbench import Workbench
    from tenbetween.store import open_workbench

    begin = datetime(2025, 11, 3, tzinfo=UTC)
    ticks = iter(range(10_000_000))

    def now() -> datetime:
        return begin + timedelta(milliseconds=next(ticks))

    with open_workbench(folder, now=now, entropy=os.urandom, by="bench") as store:
        yield Workbench(store, now).films


def _marks(films: Any, film: dict[str, Any]) -> None:
    """Mark every second frame once or more, each with a cause, straight into the store."""
    part = film["parts"][0]
    step = (part["last_pts"] - part["first_pts"]) / MARKS
    causes = ("out_of_bounds", "violation", "common_foul")
    with films.store.together() as changes:
        for number in range(MARKS):
            at = {
                "part": part["fingerprint"],
                "pts": round(part["first_pts"] + number * step),
                "base": part["base"],
            }
            situation = {"stopped_by": causes[number % 3], "at": [58.0 + number % 20, 0.0], "ball_to": "same"}
            changes.save("mark", {"film": film["id"], "at": at, "events": {"e0": at}, "situation": situation})
