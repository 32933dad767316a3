"""Opens a workbench: one folder with ``layers/``, ``tenbetween.db``, ``media.toml`` and ``exports/``.

Knows the folder and the order of things at opening (make, bring up to date with a copy first, tidy). The
clock, the chance and the person are handed in; the address of a PostgreSQL server too, for an
association's office.
"""

from __future__ import annotations

import json
from pathlib import Path

from sqlalchemy import MetaData, select

from tenbetween.errors import Problem, StoreError
from tenbetween.store.database import (
    HEAD,
    MIGRATIONS,
    Database,
    bring_up_to_date,
    postgresql_database,
    sqlite_database,
)
from tenbetween.store.faults import directions
from tenbetween.store.ids import Entropy, IdMaker, Now, time_text
from tenbetween.store.store import Store

DATABASE, MEDIA, MARK = "tenbetween.db", "media.toml", ".tenbetween.json"
OURS = ("layers", "exports", DATABASE, MEDIA)
FIRST_MEDIA = "# Where the film of this workbench lies: one [[film]] for each file.\n"


def open_workbench(
    folder: str | Path,
    *,
    now: Now,
    entropy: Entropy,
    by: str = "trainer",
    url: str | None = None,
    wait_ms: int = 5000,
) -> Store:
    """Return the workbench in a folder, made when the folder is new or empty.

    ``url`` keeps the database on a PostgreSQL server instead of in the folder; ``by`` is written on every
    change; a writer waits ``wait_ms`` milliseconds for another one.

    >>> import tempfile
    >>> from datetime import UTC, datetime
    >>> clock = lambda: datetime(2025, 11, 3, tzinfo=UTC)
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     with open_workbench(folder, now=clock, entropy=bytes) as store:
    ...         dara = store.save("official", {"name": "Dara Whitlock", "short": "DW"})
    ...         store.undo()[0].did, store.find("official")
    ('removed', ())

    Raises:
        StoreError: the folder belongs to something else, may not be written, or its database is damaged,
            newer
            than this program or out of reach.
    """
    return _open(folder, now, entropy, by, url, wait_ms, MIGRATIONS, HEAD)


def _open(
    folder: str | Path,
    now: Now,
    entropy: Entropy,
    by: str,
    url: str | None,
    wait_ms: int,
    scripts: Path,
    head: str,
) -> Store:
    place = _folder(folder)
    make_id = IdMaker(now, entropy)
    make_id()  # a clock without time zone is refused before anything is made
    with directions(str(place)):
        _make_folder(place)
        _refuse_other_database(place, url)
    database = postgresql_database(url, wait_ms) if url else sqlite_database(place / DATABASE, wait_ms)
    try:
        bring_up_to_date(
            database, lambda step: _keep_copy(database, place, step, time_text(now())), scripts, head
        )
        with directions(str(place)):
            _mark(place, url)
        store = Store(place, database, make_id, lambda: time_text(now()), by)
        store.tidy()
    except BaseException:
        database.close()
        raise
    return store


def _folder(folder: object) -> Path:
    if not isinstance(folder, str | Path) or not str(folder).strip() or "\x00" in str(folder):
        raise StoreError(
            Problem("folder", repr(folder)[:60], "the path of a folder", "name the workbench folder")
        )
    return Path(folder).absolute()


def _make_folder(place: Path) -> None:
    if place.exists() and not place.is_dir():
        raise StoreError(Problem(str(place), "a file", "a folder", "choose a folder for the workbench"))
    others = {path.name for path in place.iterdir() if path.name[0] != "."} if place.exists() else set()
    if others and not others & set(OURS):
        found = f"a folder with other things in it ({', '.join(sorted(others)[:3])})"
        raise StoreError(
            Problem(str(place), found, "an empty folder or a workbench", "choose or make another folder")
        )
    for name in ("layers", "exports"):
        (place / name).mkdir(parents=True, exist_ok=True)
    if not (place / MEDIA).exists():
        (place / MEDIA).write_text(FIRST_MEDIA, "utf-8")


def _refuse_other_database(place: Path, url: str | None) -> None:
    """Refuse to start an empty file beside a workbench whose things lie on a server, and the other way
    round.
    """
    kept_in = _kept_in(place)
    if kept_in == "postgresql" and not url:
        do = "hand in its address (postgresql://name@host/database)"
        raise StoreError(
            Problem(str(place), "a workbench kept on a PostgreSQL server", "the address of it", do)
        )
    if kept_in == "sqlite" and url:
        do = "open it without address, export it, and import it into a new folder with the address"
        raise StoreError(Problem(str(place), "a workbench kept in its own file", "no database address", do))


def _kept_in(place: Path) -> str | None:
    try:
        mark = json.loads((place / MARK).read_text("utf-8"))
    except (FileNotFoundError, ValueError):
        mark = None
    if isinstance(mark, dict) and mark.get("kept_in") in ("sqlite", "postgresql"):
        return str(mark["kept_in"])
    return "sqlite" if (place / DATABASE).exists() else None


def _mark(place: Path, url: str | None) -> None:
    text = json.dumps({"kept_in": "postgresql" if url else "sqlite"}) + "\n"
    mark = place / MARK
    if not mark.exists() or mark.read_text("utf-8", errors="replace") != text:
        mark.write_text(text, "utf-8")


def _keep_copy(database: Database, place: Path, step: str, at: str) -> Path:
    """Return the copy made before a migration: the database file, or all rows of a server as lines of
    JSON.
    """
    stamp = "".join(sign for sign in at if sign.isalnum())
    if not database.is_postgresql:
        target = place / "exports" / f"before-{step}-{stamp}.db"
        database.copy_to(target)
        return target
    target = place / "exports" / f"before-{step}-{stamp}.jsonl"
    with database.reading() as connection, target.open("w", encoding="utf-8") as file:
        tables = MetaData()
        tables.reflect(connection)
        for table in tables.sorted_tables:
            for row in connection.execute(select(table)).mappings():
                file.write(json.dumps({table.name: dict(row)}, ensure_ascii=False) + "\n")
    return target
