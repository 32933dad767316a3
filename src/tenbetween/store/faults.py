"""What databases and disks say when they refuse, said again as directions.

Knows the error names of SQLite, the state codes of PostgreSQL and the numbers of the operating system;
knows no table. Nothing of a refused change is kept: the callers write inside one transaction.
"""

from __future__ import annotations

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import exc

from tenbetween.errors import Problem, StoreError

_BUSY = (
    "another program that is writing",
    "a moment in which nobody else writes",
    "wait and do it again; nothing was changed",
)
_FULL = ("no room left on the disk", "room to write", "free some room and do it again; nothing was changed")
_READ_ONLY = (
    "a place that may only be read",
    "a folder and files that you may write",
    "give yourself the right to write there, or choose another folder; nothing was changed",
)
_BROKEN = (
    "a file that is damaged or is no workbench database",
    "a database made by this program",
    "put it aside and put a backup copy in its place, or import last year's export",
)
_LINKED = (
    "a thing that something else still points to, or one that points to nothing",
    "both ends of every link",
    "remove what points to it first; nothing was changed",
)
_UNREACHABLE = (
    "no database that answers",
    "a database that runs and lets you in",
    "check address, name and password, and start it",
)
_OTHER_FORM = (
    "a database whose tables have another form",
    "the tables this program makes",
    "open it with the program that made it, or restore a backup",
)

_SQLITE = {
    "SQLITE_BUSY": _BUSY,
    "SQLITE_LOCKED": _BUSY,
    "SQLITE_FULL": _FULL,
    "SQLITE_IOERR": ("a disk that does not take what is written", "a disk that works and has room", _FULL[2]),
    "SQLITE_READONLY": _READ_ONLY,
    "SQLITE_PERM": _READ_ONLY,
    "SQLITE_AUTH": _READ_ONLY,
    "SQLITE_CANTOPEN": ("no database file that can be opened", _READ_ONLY[1], _READ_ONLY[2]),
    "SQLITE_CORRUPT": _BROKEN,
    "SQLITE_NOTADB": _BROKEN,
    "SQLITE_CONSTRAINT": _LINKED,
}
_POSTGRES = {
    "55P03": _BUSY,  # lock not available
    "57014": _BUSY,  # statement timeout
    "40": _BUSY,  # serialization, deadlock
    "53": _FULL,  # insufficient resources
    "25006": _READ_ONLY,
    "42501": _READ_ONLY,
    "23": _LINKED,
    "42": _OTHER_FORM,
    "XX": _BROKEN,
}
_SYSTEM = {
    errno.ENOSPC: _FULL,
    errno.EDQUOT: _FULL,
    errno.EFBIG: _FULL,
    errno.EACCES: _READ_ONLY,
    errno.EPERM: _READ_ONLY,
    errno.EROFS: _READ_ONLY,
    errno.ENOTDIR: ("a file where a folder belongs", "a folder", "choose another place"),
    errno.EISDIR: ("a folder where a file belongs", "a file", "move the folder away"),
    errno.ENOENT: ("nothing there", "a file or folder that exists", "check the name"),
    errno.EEXIST: ("something there already", "a free name", "choose another name"),
    errno.ENAMETOOLONG: ("a name that is too long", "a shorter name", "shorten it"),
}


def _sqlite_parts(fault: sqlite3.Error) -> tuple[str, str, str] | None:
    name = getattr(fault, "sqlite_errorname", "") or ""
    if str(fault).startswith(("no such table", "no such column")):
        return _OTHER_FORM
    known = [parts for code, parts in _SQLITE.items() if name == code or name.startswith(code + "_")]
    return known[0] if known else None


def _postgres_parts(fault: BaseException) -> tuple[str, str, str] | None:
    state = getattr(fault, "sqlstate", None)
    if state is None:
        return _UNREACHABLE if type(fault).__name__ in ("OperationalError", "ConnectionTimeout") else None
    return _POSTGRES.get(state) or _POSTGRES.get(state[:2])


def _parts(fault: Exception) -> tuple[str, str, str]:
    known: tuple[str, str, str] | None = None
    if isinstance(fault, exc.TimeoutError):
        known = _BUSY
    origin = fault.orig if isinstance(fault, exc.DBAPIError) else fault
    if isinstance(origin, sqlite3.Error):
        known = _sqlite_parts(origin)
    elif isinstance(fault, exc.DBAPIError) and origin is not None:
        known = _postgres_parts(origin)
    elif isinstance(origin, OSError):
        known = _SYSTEM.get(origin.errno or 0)
    if known is None:
        first = (str(origin).splitlines() or [type(fault).__name__])[0]
        return (
            first[:200],
            "a store that takes it",
            "do it again; if it stays, restore a backup. Nothing was changed",
        )
    return known


@contextmanager
def directions(where: str) -> Iterator[None]:
    """Say every refusal of database or disk again as a StoreError at this place."""
    try:
        yield
    except (exc.SQLAlchemyError, sqlite3.Error, OSError) as fault:
        raise StoreError(Problem(where, *_parts(fault))) from fault
