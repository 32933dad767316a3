"""The rooms of film a workbench opens when they are asked for: films, the court found on them, clips.

Loads none of them before; holds no rule.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from functools import cached_property
from typing import TYPE_CHECKING, Any, cast

if TYPE_CHECKING:
    import numpy as np

    from tenbetween.desk.clip_room import ClipRoom
    from tenbetween.desk.court_room import CourtRoom
    from tenbetween.desk.film_room import FilmRoom
    from tenbetween.desk.workbench import Workbench
    from tenbetween.store import Store

DRAWS = 20_251_103
"""Where the draws of an error range begin: the same clicks give the same range every time."""


class FilmRooms:
    """Half of a workbench: whoever joins it has a store and a clock."""

    store: Store
    _now: Callable[[], datetime]

    @cached_property
    def films(self) -> FilmRoom:
        """The film room of this workbench."""
        from tenbetween.desk.film_room import FilmRoom

        return FilmRoom(
            self.store, self._now, self.store.folder, self.store.jobs, bench=cast("Workbench", self)
        )

    @cached_property
    def courts(self) -> CourtRoom:
        """The courts found on the films of this workbench."""
        from tenbetween.desk.court_room import CourtRoom

        return CourtRoom(self.films, self.store, self.store.folder, _draws, ask=self.ask)

    @cached_property
    def clips(self) -> ClipRoom:
        """The clips of this workbench."""
        from tenbetween.desk.clip_room import ClipRoom

        return ClipRoom(self.films, self.courts, self.store.folder, self._now)

    def ask(self, kind: str, args: dict[str, Any]) -> str:
        """Let long work wait for a worker, and return its id."""
        return self.store.jobs.add(kind, args, self._now()).id


def _draws() -> np.random.Generator:
    import numpy as np

    return np.random.default_rng(DRAWS)
