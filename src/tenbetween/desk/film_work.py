"""The film room's long work by name: what a worker does when a row says so, and where the result is kept.

Each may be cut off anywhere and asked again: files are whole or not there, and what is kept is kept once. Holds no
method of its own: listening, copying, carrying on, cutting and drawing are done by the rooms that know how.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from tenbetween.desk import proposals
from tenbetween.desk.films import COPIES
from tenbetween.jobs import Cancelled, Told

if TYPE_CHECKING:
    from tenbetween.desk.work import WorkPlace
    from tenbetween.desk.workbench import Workbench

Json = dict[str, Any]


def bench_of(place: WorkPlace) -> Workbench:
    """Return the workbench a worker works for; the film folders it was started with are listed from then on."""
    from tenbetween.desk.workbench import Workbench

    bench = Workbench(place.store, place.now)
    for folder in place.films:
        bench.films.add_folder(str(folder))
    return bench


def listen(place: WorkPlace, args: Json, told: Told, cancelled: Cancelled) -> Json:
    """Propose moments of one part, and keep the proposals."""
    from tenbetween.film.listen import listen

    bench = bench_of(place)
    films, part = bench.films, args["part"]
    found = listen(films.source_of(part), told=told, cancelled=cancelled)
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


def browser_copy(place: WorkPlace, args: Json, told: Told, cancelled: Cancelled) -> Json:
    """Make a copy of one part that every browser shows, and note it."""
    from tenbetween.film.browser_copy import browser_copy

    films, part = bench_of(place).films, args["part"]
    path = films.source_of(part)
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


def follow(place: WorkPlace, args: Json, told: Told, cancelled: Cancelled) -> Json:
    """Carry the court of an anchor through the pan."""
    return dict(bench_of(place).courts.carry_on(args, told, cancelled))


def export(place: WorkPlace, args: Json, told: Told, cancelled: Cancelled) -> Json:
    """Make the files of a clip."""
    return dict(bench_of(place).clips.export(args, told, cancelled))


def demo_film(place: WorkPlace, args: Json, told: Told, cancelled: Cancelled) -> Json:
    """Draw the demo film and take it in, marked."""
    from tenbetween.desk.demo_film import take_in

    return take_in(bench_of(place), args, told, cancelled)
