"""A workbench with the drawn game in it: the real film room over a real folder, and the truth of the film."""

from __future__ import annotations

import os
from contextlib import ExitStack
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np

from tenbetween.desk.court_room import CourtRoom
from tenbetween.desk.demo_film import make_demo_film
from tenbetween.desk.film_room import FilmRoom
from tenbetween.desk.workbench import Workbench
from tenbetween.film.camera import Camera
from tenbetween.store import open_workbench

NOON = datetime(2025, 11, 11, 12, tzinfo=UTC)
SECONDS = 29.0
"""Two restarts, and the pan between them."""


class Filmed:
    """The opened workbench, its one film, and what the film truly shows."""

    def __init__(self, bench: Any, film: dict[str, Any], truth: dict[str, Any]) -> None:
        self.bench, self.film, self.truth = bench, film, truth

    @property
    def part(self) -> dict[str, Any]:
        found: dict[str, Any] = self.film["parts"][0]
        return found

    def number(self, restart: int, event: str) -> int:
        return int(self.truth["pts"].index(self.truth["restarts"][restart]["events"][event]))

    def camera(self, number: int) -> Camera:
        empty = Camera(0, 0, 1, 0, 0, 0, 1, 0, tuple(self.truth["picture"]))
        return empty.with_numbers(self.truth["camera"]["numbers"][number])

    def dot(self, number: int, place: Any) -> tuple[float, float]:
        u, v = self.camera(number).dots([place])[0]
        return float(u), float(v)

    def stood(self, who: str, number: int) -> list[float]:
        found: list[float] = self.truth["people"][who]["places"][number]
        return found

    def at(self, number: int) -> dict[str, Any]:
        return {"part": self.part["fingerprint"], "pts": self.truth["pts"][number], "base": self.part["base"]}


def open_filmed(folder: Path, until: ExitStack) -> Filmed:
    """Return a workbench with the drawn game taken up."""
    shelf = folder / "Season films"
    shelf.mkdir()
    truth = make_demo_film(shelf / "game.mp4", seconds=SECONDS, picture=(640, 360))
    place = folder / "bench"
    store = until.enter_context(
        open_workbench(place, now=lambda: NOON, entropy=os.urandom, by="Wendell Thackrow")
    )
    bench: Any = Workbench(store, lambda: NOON)
    bench.films = FilmRoom(store, lambda: NOON, place)
    bench.courts = CourtRoom(bench.films, store, place, lambda: np.random.default_rng(5))
    files = bench.films.add_folder(str(shelf))
    permission = {
        "by": "Ardenmoor athletic director",
        "on": "2025-11-01",
        "until": "2026-06-30",
        "scope": "class",
    }
    film = bench.films.add([files[0]["files"][0]["id"]], "Ardenmoor at Pell Hollow", permission)
    return Filmed(bench, film, truth)
