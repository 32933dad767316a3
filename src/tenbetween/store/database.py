"""The database of a workbench: how it is opened, read, written in one piece, copied and brought up to date.

Knows SQLite and PostgreSQL, no kind of saved thing. Writers take turns: a writing transaction holds the
one lock from its first statement, so the journal has one order and nothing is lost between two programs.
"""

from __future__ import annotations

import errno
import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event, exc, inspect, make_url, text

from tenbetween.errors import Problem, StoreError
from tenbetween.store.faults import directions

HEAD = "0004"
"""The newest migration; a database at it is opened without loading Alembic at all."""
MIGRATIONS = Path(__file__).parent / "migrations"

_WRITERS_LOCK = 8_433_027
"""One number all writers of a PostgreSQL database agree on."""


class Database:
    """One open database. Made by ``sqlite_database`` or ``postgresql_database``."""

    def __init__(self, engine: Engine, where: str, wait_ms: int) -> None:
        self.engine, self.where, self._wait_ms = engine, where, wait_ms
        self.is_postgresql = engine.dialect.name == "postgresql"

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Hold one unchanging view of everything while reading."""
        options = {"isolation_level": "REPEATABLE READ"} if self.is_postgresql else {}
        with (
            directions(self.where),
            self.engine.connect().execution_options(**options) as connection,
            connection.begin(),
        ):
            yield connection

    @contextmanager
    def writing(self, in_turn: bool = True) -> Iterator[Connection]:
        """Write alone, all or nothing: a raised error leaves everything as it was.

        ``in_turn=False`` is for rows outside the journal, changed one by one: on a server they need not wait
        for a long import.
        """
        with (
            directions(self.where),
            self.engine.connect().execution_options(writing=True) as connection,
            connection.begin(),
        ):
            if self.is_postgresql:
                connection.execute(text(f"SET LOCAL lock_timeout = {self._wait_ms}"))
            if self.is_postgresql and in_turn:
                connection.execute(text(f"SELECT pg_advisory_xact_lock({_WRITERS_LOCK})"))
            yield connection

    def copy_to(self, target: Path, empty: str | None = None) -> None:
        """Write a consistent copy of an SQLite database to a new file, while others may go on writing.

        The table named ``empty`` is emptied in the copy.

        Raises:
            StoreError: the file is there already, or cannot be written; no half copy stays.
        """
        part = target.with_name(f".{target.name}.part")
        with directions(str(target)):
            if target.exists():
                raise FileExistsError(errno.EEXIST, "exists")
            try:
                with self.reading() as connection, closing(sqlite3.connect(part)) as copy:
                    connection.connection.driver_connection.backup(copy)  # type: ignore[union-attr]
                    copy.execute("PRAGMA journal_mode=DELETE")
                    if empty:
                        _empty(copy, empty)
                _settle(part)
                part.replace(target)
            finally:
                part.unlink(missing_ok=True)

    def close(self) -> None:
        """Let go of all connections."""
        self.engine.dispose()


def _empty(copy: sqlite3.Connection, table: str) -> None:
    """Empty a table so that nothing of its rows stays in the file."""
    copy.execute("PRAGMA secure_delete=ON")
    copy.execute(f'DELETE FROM "{table}"')  # noqa: S608  a name of our own
    copy.commit()


def _settle(path: Path) -> None:
    with path.open("rb+") as file:
        os.fsync(file.fileno())


# ---- opening --------------------------------------------------------------------------------------


def sqlite_database(path: Path, wait_ms: int) -> Database:
    """Return the database in a file, made when it is not there; write-ahead log, foreign keys kept."""
    engine = create_engine(URL.create("sqlite", database=str(path)))

    def on_connect(connection: sqlite3.Connection, _: object) -> None:
        connection.isolation_level = None  # we say BEGIN ourselves, below
        for pragma in (
            f"busy_timeout={wait_ms}",
            "foreign_keys=ON",
            "synchronous=FULL",
            "trusted_schema=OFF",
        ):
            connection.execute(f"PRAGMA {pragma}").close()
        _write_ahead(connection)

    def on_begin(connection: Connection) -> None:
        writing = connection.get_execution_options().get("writing")
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")

    event.listen(engine, "connect", on_connect)
    event.listen(engine, "begin", on_begin)
    return Database(engine, str(path), wait_ms)


def _write_ahead(connection: sqlite3.Connection) -> None:
    """Turn the write-ahead log on; SQLite itself does not wait here when another program does the same."""
    for _ in range(100):
        if connection.execute("PRAGMA journal_mode").fetchone() == ("wal",):
            return
        try:
            connection.execute("PRAGMA journal_mode=WAL").close()
        except sqlite3.OperationalError as fault:
            if fault.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY:
                raise
            for word in ("BEGIN IMMEDIATE", "COMMIT"):  # this does wait, for as long as writers wait
                connection.execute(word).close()
    connection.execute("PRAGMA journal_mode=WAL").close()


def postgresql_database(url: str, wait_ms: int) -> Database:
    """Return the PostgreSQL database at an address such as ``postgresql://name@host/database``.

    Raises:
        StoreError: the address means nothing to us, or its driver is not installed; the password is never
            shown.
    """
    where = "database address"
    try:
        address = make_url(url)
        if address.drivername not in ("postgresql", "postgresql+psycopg"):
            raise StoreError(
                Problem(
                    where,
                    address.drivername[:40],
                    "an address that begins with postgresql://",
                    "correct it, or leave it out to keep a file",
                )
            )
        engine = create_engine(address.set(drivername="postgresql+psycopg"), pool_pre_ping=True)
    except (exc.ArgumentError, ValueError, TypeError, AttributeError) as fault:
        raise StoreError(
            Problem(where, "text that is no address", "postgresql://name@host/database", "correct it")
        ) from fault
    except ImportError as fault:
        raise StoreError(
            Problem(
                where,
                "no PostgreSQL driver",
                "psycopg",
                "install tenbetween[server], or leave the address out",
            )
        ) from fault
    return Database(engine, address.render_as_string(hide_password=True), wait_ms)


# ---- bringing it up to date -----------------------------------------------------------------------


def bring_up_to_date(
    database: Database, keep_copy: Callable[[str], object], scripts: Path = MIGRATIONS, head: str = HEAD
) -> None:
    """Take the database to the newest form; ``keep_copy(step)`` is called before anything kept is changed.

    Raises:
        StoreError: it was made by a newer program, or by another program altogether.
    """
    with database.reading() as connection:
        if _form_of(connection, database.where) == head:
            return
    with database.writing() as connection:  # somebody else may have done it while we waited
        _migrate(connection, database, keep_copy, scripts, head)


def _form_of(connection: Connection, where: str) -> str | None:
    tables = inspect(connection).get_table_names()
    if "alembic_version" in tables:
        return connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
    if tables:
        raise StoreError(
            Problem(
                where,
                f"a database of another program (tables {', '.join(sorted(tables)[:3])})",
                "an empty one or a workbench",
                "choose another place",
            )
        )
    return None


def _migrate(
    connection: Connection, database: Database, keep_copy: Callable[[str], object], scripts: Path, head: str
) -> None:
    form = _form_of(connection, database.where)
    if form == head:
        return
    steps, context = _steps(connection, scripts)
    if form is not None and form not in {step.revision for step in steps.walk_revisions()}:
        raise StoreError(
            Problem(
                database.where,
                f"form {form} of a newer program",
                f"form {head} or older",
                "install the newer Tenbetween, or open the copy kept before the change",
            )
        )
    if form is not None:
        keep_copy(head)
    from alembic.operations import Operations

    with Operations.context(context):
        context.run_migrations()


def _steps(connection: Connection, scripts: Path) -> tuple[Any, Any]:
    # Alembic takes a fifth of a second to load: only here, when there is something to do.
    from alembic.runtime.migration import MigrationContext
    from alembic.script import ScriptDirectory

    steps = ScriptDirectory(str(scripts), version_locations=[str(scripts)])

    def upgrade(revision: Any, _: Any) -> Any:
        return steps._upgrade_revs("head", revision)

    return steps, MigrationContext.configure(connection, opts={"fn": upgrade})
