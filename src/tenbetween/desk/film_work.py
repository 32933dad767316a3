"""The film room's long work by name: what a worker does when a row says so, and where the result is kept.

Each may be cut off anywhere and asked again: files are whole or not there, and what is kept is kept once. Holds no
method of its own: listening, copying, carrying on, cutting and drawing are done by the rooms that know how.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tenbetween.desk import proposals
from tenbetween.errors import StoreError
from tenbetween.jobs import Cancelled, NotHereError, Told

if TYPE_CHECKING:
    from tenbetween.desk.film_room import FilmRoom
    from tenbetween.desk.workbench import Workbench

Json = dict[str, Any]
COPIES = "copies"


def functions(bench: Workbench) -> Mapping[str, Callable[[Json, Told, Cancelled], Json]]:
    """Return every kind of long work of an open workbench by its name.

    >>> from typing import cast
    >>> sorted(functions(cast("Workbench", None)))
    ['browser_copy', 'demo_film', 'export', 'follow', 'listen']
    """
    return {
        "listen": partial(_listen, bench),
        "browser_copy": partial(_browser_copy, bench),
        "follow": partial(_follow, bench),
        "export": partial(_export, bench),
        "demo_film": partial(_demo_film, bench),
    }


def found_here(films: FilmRoom, fingerprint: str) -> Path:
    """Return the file of a part on this machine.

    Raises:
        NotHereError: another worker may find it.
    """
    try:
        return films.source_of(fingerprint)
    except StoreError as fault:
        raise NotHereError(fault.problems) from None


def _listen(bench: Workbench, args: Json, told: Told, cancelled: Cancelled) -> Json:
    from tenbetween.film.listen import listen

    films, part = bench.films, args["part"]
    found = listen(found_here(films, part), told=told, cancelled=cancelled)
    rows = [
        {
            "t": round(one.t, 3),
            "t_end": round(one.t_end, 3),
            "kind": one.kind,
            "confidence": round(one.confidence, 3),
        }
        for one in found.proposals
    ]
    proposals.heard(bench.store, args["film"], part, rows)
    return {"proposals": len(rows), "says": [problem.as_dict() for problem in found.says]}


def _browser_copy(bench: Workbench, args: Json, told: Told, cancelled: Cancelled) -> Json:
    from tenbetween.film.browser_copy import browser_copy

    films, part = bench.films, args["part"]
    path = found_here(films, part)
    folder = films.folder / COPIES
    folder.mkdir(exist_ok=True)
    name = f"{part}.mp4"
    if not (folder / name).exists():
        browser_copy(
            path,
            folder / name,
            progress=lambda done, of: told(done, of, "Making a copy this browser can show"),
            cancel=cancelled,
        )
    films.copied(args["film"], part, name)
    return {"copy": name}


def _follow(bench: Workbench, args: Json, told: Told, cancelled: Cancelled) -> Json:
    return dict(bench.courts.carry_on(args, told, cancelled))


def _export(bench: Workbench, args: Json, told: Told, cancelled: Cancelled) -> Json:
    return dict(bench.clips.export(args, told, cancelled))


def _demo_film(bench: Workbench, args: Json, told: Told, cancelled: Cancelled) -> Json:
    from tenbetween.desk.demo_film import take_in

    return take_in(bench, args, told, cancelled)
