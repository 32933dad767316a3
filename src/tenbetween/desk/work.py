"""Long work as the screens and the worker ask for it: what is under way in words, and which function does what.

``WORK`` is the list: one line for each kind of work this program can do. Holds no rule, reads no film and
knows neither queue nor process.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tenbetween.desk.films import FilmAwayError
from tenbetween.errors import UsageError, one_of
from tenbetween.jobs.keeper import Cancelled, Functions, NotHereError, Told
from tenbetween.jobs.queue import INSTALL

if TYPE_CHECKING:
    from tenbetween.store import Job, JobRows, Store

Json = dict[str, Any]

WORK: dict[str, str] = {
    "listen": "film_work:listen",
    "browser_copy": "film_work:browser_copy",
    "follow": "film_work:follow",
    "export": "film_work:export",
    "demo_film": "film_work:demo_film",
}
"""Each kind of work: the module of this room and the function in it, ``f(place, args, told, cancelled)``."""


@dataclass(frozen=True, slots=True)
class WorkPlace:
    """What a piece of work may use: the open workbench, its folder, the clock, and further film folders."""

    store: Store
    folder: Path
    now: Callable[[], datetime]
    films: tuple[Path, ...] = ()


def functions(place: WorkPlace) -> Functions:
    """Return what this program can do, by kind; each function is loaded when it is first asked for."""
    return {kind: partial(_do, kind, place) for kind in WORK}


def _do(kind: str, place: WorkPlace, args: Json, told: Told, cancelled: Cancelled) -> Json:
    module, _, name = WORK[kind].partition(":")
    function = getattr(import_module(f"tenbetween.desk.{module}"), name)
    try:
        result: Json = function(place, args, told, cancelled)
    except FilmAwayError as fault:
        raise NotHereError(fault.problems) from None
    return result


# ---- in words -------------------------------------------------------------------------------------------

TITLES = {
    "listen": "Listening for whistles",
    "browser_copy": "A copy the browser can show",
    "follow": "Carrying the court through the pan",
    "export": "Making the clip",
    "demo_film": "Drawing the demo film",
}
STATES = {
    "waiting": "waits its turn",
    "running": "under way",
    "done": "done",
    "failed": "did not work",
    "cancelled": "stopped",
}
LONGEST_LIST = 50


def jobs_page(keeper: JobRows, titles: Mapping[str, str] | None = None) -> list[Json]:
    """Return long work for the screen: under way first, then what waits in its turn, then what is over.

    ``titles`` are the films by id.
    """
    under_way = keeper.list(("running",)) + tuple(reversed(keeper.list(("waiting",))))
    over = keeper.list(("done", "failed", "cancelled"), limit=LONGEST_LIST)
    return [in_words(one, titles or {}) for one in (*under_way, *over)]


def in_words(one: Job, titles: Mapping[str, str]) -> Json:
    """Return one piece of work: what it is, how far it is, what went wrong and what to do then."""
    film = str(one.args.data().get("film", ""))
    of_film = titles.get(film, "")
    title = TITLES.get(one.kind, one.kind.replace("_", " "))
    return {
        "id": one.id,
        "kind": one.kind,
        "film": film,
        "film_title": of_film,
        "title": f"{title}: {of_film}" if of_film else title,
        "state": one.state,
        "state_words": "stopping" if one.wanted_off else STATES[one.state],
        "done": one.done,
        "of": one.of,
        "says": one.says,
        "error": [] if one.error is None else one.error.data(),
        "may": _may(one),
    }


def _may(one: Job) -> str:
    """Which button belongs beside it: cancel, again or none."""
    if one.state in ("waiting", "running"):
        return "" if one.wanted_off else "cancel"
    return "again" if one.state in ("failed", "cancelled") else ""


def ask(keeper: JobRows, kind: str, args: Json, now: datetime) -> str:
    """Return the id of work that waits now; the same work asked for twice is done once.

    Raises:
        UsageError: there is no such kind of work.
    """
    if kind not in TITLES and kind not in WORK:
        raise UsageError(one_of("work", kind, tuple(TITLES)))
    return keeper.add(kind, args, now).id


def cancel(keeper: JobRows, id: str, now: datetime) -> Json:
    """Stop a piece of work; what is under way stops within a second or two.

    Raises:
        StoreError: there is no such work, or it is over.
    """
    return in_words(keeper.ask_off(id, now), {})


def again(keeper: JobRows, id: str, now: datetime) -> Json:
    """Begin a piece of work again that failed or was stopped.

    Raises:
        StoreError: there is no such work, or it is neither.
    """
    return in_words(keeper.again(id, now), {})


def lacking_words(lacking: Sequence[str]) -> str:
    """Return in a sentence that film work is off because packages are missing, empty when none is.

    >>> lacking_words(["huey", "av"])
    "film work is off, huey and av are missing; in the program's folder: .venv/bin/pip install huey av"
    """
    if not lacking:
        return ""
    names = " and ".join([", ".join(lacking[:-1]), lacking[-1]]) if lacking[1:] else lacking[0]
    are = "are" if lacking[1:] else "is"
    return f"film work is off, {names} {are} missing; {INSTALL} {' '.join(lacking)}"
