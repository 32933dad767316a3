"""Where a test keeps a workbench: a folder, perhaps a database on a server, a clock and dice that repeat."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path

from tenbetween.store import Store, open_workbench

NAMES = random.Random(20251103)


def new_database(server: str, name: str) -> str:
    """The address of a new, empty database; it sorts text as an English dictionary does, to make it hard."""
    import psycopg

    with psycopg.connect(server.replace("+psycopg", ""), autocommit=True) as connection:
        connection.execute(
            f"CREATE DATABASE {name} TEMPLATE template0 ENCODING 'UTF8' LOCALE 'C' "
            "LOCALE_PROVIDER icu ICU_LOCALE 'en-US'"
        )
    return f"{server.rpartition('/')[0]}/{name}"


@dataclass
class Clock:
    """A clock that goes on by a fixed step whenever it is read."""

    at: datetime = datetime(2025, 11, 3, 19, 0, tzinfo=UTC)
    step: timedelta = timedelta(milliseconds=7)

    def __call__(self) -> datetime:
        self.at += self.step
        return self.at


@dataclass
class Place:
    """A folder, and where its database lies."""

    folder: Path
    url: str | None
    another: Callable[[], Place] = field(repr=False)
    clock: Clock = field(default_factory=Clock)
    dice: random.Random = field(init=False)

    def __post_init__(self) -> None:
        self.dice = random.Random(self.folder.name)

    def open(self, **more: object) -> Store:
        given = {"now": self.clock, "entropy": self.dice.randbytes, "by": "Wendell Thackrow", "url": self.url}
        return open_workbench(self.folder, **(given | more))


def fresh_place(folder: Path, server: str | None) -> Place:
    """A place nobody has used, on a server when one is given."""
    url = None if server is None else new_database(server, f"tb_{NAMES.randbytes(8).hex()}")
    return Place(folder, url, lambda: fresh_place(folder.with_name(folder.name + "x"), server))
