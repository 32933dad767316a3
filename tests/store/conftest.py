"""Places a workbench can be kept in: a folder with SQLite, and a database on a real PostgreSQL server.

Whether a server can be started is decided when the tests are collected; where it cannot, PostgreSQL is
left out and the end of the run says why.
"""

from __future__ import annotations

import importlib.util
import os
import pwd
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from tests.store.workplaces import Place, fresh_place

from tenbetween.store import Basis, Json, ProvisionMark, Store


def why_no_postgresql() -> str | None:
    """The reason no server can be started here, or None."""
    if importlib.util.find_spec("psycopg") is None:
        return "psycopg is not installed"
    for name in ("initdb", "pg_ctl", "postgres"):
        if not (shutil.which(name) or [*Path("/usr/lib/postgresql").glob(f"*/bin/{name}")]):
            return f"the program {name} is not on this machine"
    if os.getuid() == 0 and not (
        shutil.which("runuser") and "postgres" in {user.pw_name for user in pwd.getpwall()}
    ):
        return "the server refuses to run as root, and there is no user postgres to run it"
    return None


NO_POSTGRESQL = why_no_postgresql()
KEEPERS = ["sqlite"] if NO_POSTGRESQL else ["sqlite", pytest.param("postgresql", marks=pytest.mark.postgres)]


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    if "keeper" in metafunc.fixturenames:
        metafunc.parametrize("keeper", KEEPERS)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    if NO_POSTGRESQL:
        terminalreporter.write_line(f"store: PostgreSQL left out: {NO_POSTGRESQL}")


@pytest.fixture
def place(keeper: str, tmp_path: Path, request: pytest.FixtureRequest) -> Place:
    """An empty place for a workbench; ``another()`` gives one more of the same sort."""
    server = request.getfixturevalue("postgres_url") if keeper == "postgresql" else None
    return fresh_place(tmp_path / "bench", server)


@pytest.fixture
def store(place: Place) -> Iterator[Store]:
    """An open, empty workbench."""
    with place.open() as opened:
        yield opened


@pytest.fixture
def bench(tmp_path: Path) -> Place:
    """An empty place kept in a file, for what only a file can suffer."""
    return fresh_place(tmp_path / "bench", None)


@pytest.fixture
def basis() -> Basis:
    return Basis(
        line="us-hs-2025 right table out_of_bounds at 70,0 other",
        edition="us-hs-2025",
        layers=("k-24", "quillan-ridge", "own"),
        settings=(("tie", "lead"),),
        book_digest="d" * 16,
        provisions=(
            ProvisionMark("who.front-court-sideline", "m1", "w1"),
            ProvisionMark("spot.nearest", "m2", "w2"),
        ),
    )


PART = "f1-00c0ffee"


def frame(pts: int) -> dict[str, object]:
    """The time of a frame in whole numbers."""
    return {"part": PART, "pts": pts, "base": [1, 30_000]}


def film_kinds(store: Store) -> dict[str, object]:
    """Saves a film and one thing of each kind that is made of it."""
    kept: dict[str, object] = {}
    kept["film"] = film = store.save(
        "film",
        {
            "title": "Ardenmoor at Pell Hollow, from the stage",
            "date": "2025-11-01",
            "level": "second team",
            "recognise": {"referee": "tall, grey hair", "umpire": "glasses"},
            "permission": {"by": "Wendell Thackrow", "on": "2025-11-02", "until": "2026-06-30"},
            "parts": [{"fingerprint": PART, "name": "first half.mp4", "first_pts": 0, "base": [1, 30_000]}],
        },
    )
    kept["mark"] = mark = store.save(
        "mark",
        {
            "film": film.id,
            "at": frame(90_090),
            "situation": {"stopped_by": "out_of_bounds", "at": [70, 0]},
            "events": {"e0": frame(90_090), "e6": "not seen"},
            "duties": [{"duty": "disposal", "who": "umpire", "verdict": "no chance", "note": ""}],
            "strokes": [frame(120_120), frame(150_150)],
            "tags": ["quick"],
        },
    )
    kept["anchor"] = store.save(
        "anchor",
        {
            "film": film.id,
            "at": frame(90_090),
            "clicks": [{"name": "left.lane.near", "picture": [312, 407]}],
            "camera": {"numbers": [42, -45, 14, 0.1, 0.3, 0, 7.2, 0], "picture": [1280, 720]},
        },
    )
    given = {"film": film.id, "mark": mark.id}
    kept["standing"] = store.save("standing", {**given, "at": frame(90_090), "feet": [[640, 500]]})
    kept["pointer"] = store.save(
        "pointer", {**given, "title": "Boxed in", "items": [{"kind": "ring", "at": {"court": [28, 0]}}]}
    )
    kept["clip"] = store.save(
        "clip",
        {
            "film": film.id,
            "title": "Her sideline",
            "begins": frame(60_060),
            "ends": frame(360_360),
            "files": [{"name": "her-sideline.mp4", "digest": "d" * 16, "made": "2025-11-03"}],
        },
    )
    kept["listening"] = heard = store.save(
        "listening", {"film": film.id, "part": PART, "proposals": [{"kind": "whistle", "pts": 90_000}]}
    )
    kept["judged"] = store.save(
        "judged", {"listening": heard.id, "number": "1", "verdict": "kept", "mark": mark.id}
    )
    kept["withdrawal"] = store.save(
        "withdrawal",
        {"film": film.id, "asked_by": "Noor Estwick", "on": "2025-11-03", "log": ["1 clip removed"]},
    )
    return kept


@pytest.fixture
def every_kind(basis: Basis) -> Callable[[Store], dict[str, object]]:
    """Saves one thing of each kind and returns them by kind."""

    def save_all(store: Store) -> dict[str, object]:
        kept: dict[str, object] = {}
        kept["answer"] = answer = store.save(
            "answer",
            {"title": "Her sideline, above the line extended", "ruling": {"switch": True, "spot": [61.5, 0]}},
            basis=basis,
        )
        kept["stamp"] = store.save(
            "stamp",
            {"answer": answer.id, "confirmed_by": "Noor Estwick", "on": "2025-11-02", "memo": "memo K-24"},
            basis=basis,
        )
        kept["advice"] = store.save(
            "advice",
            {
                "said_by": "Gil Pomfrey",
                "on": "2025-10-30",
                "what": "Trail takes it.",
                "provision": "who.front-court-sideline",
            },
        )
        kept["frozen"] = store.save(
            "frozen", {"title": "As agreed", "expected": {"switch": True}}, basis=basis
        )
        kept["layer"] = store.save("layer", {"text": 'id = "own"\n'}, id="own")
        one = store.save("official", {"name": "Dara Whitlock", "short": "DW"})
        two = store.save("official", {"name": "Teo Marchbank", "active": False})
        kept["official"] = one
        kept["crew"] = store.save("crew", {"referee": one.id, "umpire": two.id})
        kept["game"] = store.save(
            "game",
            {
                "title": "Ardenmoor at Pell Hollow",
                "date": "2025-11-01",
                "stoppages": 'why,at\nheld_ball,"42,25"\n',
                "result": Json.of([1, None]),
            },
            basis=basis,
        )
        kept["play"] = store.save(
            "play",
            {
                "title": "Thursday's box",
                "play": {"steps": [{"says": "Ready.", "ball": [26, 0.5]}]},
                "formation": "end-line-box-man",
            },
            basis=basis,
        )
        kept |= film_kinds(store)
        kept["setting"] = store.save("setting", {"value": "bottom"}, id="table_drawn")
        return kept

    return save_all
