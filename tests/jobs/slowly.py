"""The command itself, its film work resting ``PAUSE_S`` where it tells how far it is: killed in the middle by the tests."""

from __future__ import annotations

import os
import sys
import time
from typing import Any

from tenbetween.cli import main
from tenbetween.desk import demo_film, film_work, work
from tenbetween.jobs import Cancelled, Told

PAUSE_S = float(os.environ.get("PAUSE_S", "0"))


def slowed(kind: str) -> Any:
    """Return a piece of film work that rests whenever it tells how far it is."""
    honest = getattr(film_work, kind)

    def slow(place: Any, args: dict[str, Any], told: Told, cancelled: Cancelled) -> Any:
        def tell(*far: Any) -> None:
            told(*far)
            time.sleep(PAUSE_S)

        return honest(place, args, tell, cancelled)

    return slow


if __name__ == "__main__":
    sys.modules["tenbetween.desk.slowly"] = sys.modules[__name__]
    demo_film.LEFT_TO_MARK = -9  # every restart of the little that is drawn
    for kind in ("follow", "export", "demo_film"):
        globals()[kind] = slowed(kind)
        work.WORK[kind] = f"slowly:{kind}"
    sys.exit(main(sys.argv[1:]))
