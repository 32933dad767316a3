"""What this room needs of whoever keeps the rows, and of whoever does the work.

Knows no database and no film: the shapes alone.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from typing import Any, Literal, Protocol, TypeVar

from tenbetween.errors import Problem, TenbetweenError

WORK = ("listen", "browser_copy", "follow", "export", "demo_film")
"""The names of the film room's long work."""

Told = Callable[[int, int, str], None]
"""Told how far work is: steps done, steps in all, and what is being done in a sentence."""
Cancelled = Callable[[], bool]
"""Asked often, costs nothing: True when the work is to stop where it is."""
Function = Callable[[dict[str, Any], Told, Cancelled], dict[str, Any]]
"""One kind of work: arguments in, result out, both plain JSON.

It must be startable again after it was cut off anywhere, and stop soon after ``cancelled()`` is True; what
it returns or raises then counts for nothing.
"""
Functions = Mapping[str, Function]


class NotHereError(TenbetweenError):
    """The film the work needs cannot be found from this machine: another worker may find it."""


class Data(Protocol):
    """A piece of JSON that is kept."""

    def data(self) -> Any:
        """Return it as plain values."""


class Row(Protocol):
    """A row as a worker holds it."""

    @property
    def id(self) -> str:
        """Its name."""

    @property
    def kind(self) -> str:
        """Which function does it."""

    @property
    def args(self) -> Data:
        """What the function is given."""


R = TypeVar("R", bound=Row)
Held = Literal["held", "off", "lost"]


class RowKeeper(Protocol[R]):
    """Keeps the rows; whatever it is told of a row that was lost meanwhile it refuses with False or lost."""

    def take(self, kinds: Sequence[str], worker: str, now: datetime, lease: float) -> R | None:
        """Return a waiting row that nobody else is handed, or None."""

    def waiting(self, kinds: Sequence[str], worker: str, now: datetime) -> int:
        """Return how many rows the worker could take."""

    def renew(self, held: R, now: datetime, lease: float) -> Held:
        """Hold a row for ``lease`` seconds more."""

    def look(self, held: R) -> Held:
        """Return whether a row is held, wanted off, or lost."""

    def told(self, held: R, done: int, of: int, says: str, now: datetime) -> bool:
        """Write how far work is."""

    def finish(self, held: R, result: object, now: datetime) -> bool:
        """Write what came of work."""

    def fail(self, held: R, problems: Sequence[Problem], now: datetime) -> bool:
        """Write why work failed."""

    def stop(self, held: R, now: datetime) -> bool:
        """Write that work was stopped because somebody asked for it."""

    def give_back(self, held: R, why: str, now: datetime, wait: float = 30.0) -> bool:
        """Let a row wait again; this worker leaves it alone for ``wait`` seconds."""

    def sweep(self, now: datetime) -> tuple[str, ...]:
        """Let rows wait again whose worker let the lease run out."""

    def forget(self, before: datetime) -> int:
        """Drop rows that are over since then."""
