"""The demo film: the story told from the book's answers, painted and written, with progress and a way to stop.

``job`` is the shape in which long work is queued. Holds no rule and paints nothing itself.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tenbetween.desk import demo_seen
from tenbetween.desk.answers import Shelf
from tenbetween.errors import Problem, UsageError

if TYPE_CHECKING:
    from tenbetween.desk.workbench import Workbench
    from tenbetween.film.write import Cancel, Progress

NAME = "drawn-game.mp4"
TITLE = "Ardenmoor at Pell Hollow (drawn)"
SAYS = "Drawing the demo film"
FOLDER = "drawn"
"""The folder of the workbench the film is drawn into; drawn again when it is gone."""
LEFT_TO_MARK = 2
PERMISSION = (
    ("by", "nobody need be asked: it is drawn"),
    ("until", "2035-06-30"),
    ("scope", "inside the class"),
    ("minors", False),
)
HAPPENED = ("attacking", "stopped_by", "at", "ball_to", "pending", "called_by", "bonus", "pressure")


def make_demo_film(
    path: Path, *, shelf: Shelf | None = None, picture: tuple[int, int] | None = None, seconds: float | None = None,
    progress: Progress | None = None, cancel: Cancel | None = None,
) -> dict[str, Any]:  # fmt: skip
    """Draw the demo film into a file, its truth beside it, and return the truth; ``seconds`` cuts it short.

    Raises:
        UsageError: an extra is missing, or the file's folder is not there.
        StoppedError: ``cancel`` said so; nothing is left.
    """
    from tenbetween.desk.demo_story import demo_story
    from tenbetween.film.drawn import PICTURE, Drawn
    from tenbetween.film.drawn_write import write_drawn

    if not path.parent.is_dir():
        do = "make the folder first, or name another"
        raise UsageError(Problem("film", str(path.parent), "a folder that is there", do))
    story = demo_story(shelf)
    if seconds is not None:
        story = shortened(story, seconds)
    return write_drawn(Drawn(story, picture=picture or PICTURE), path, progress=progress, cancel=cancel)


def shortened(story: Any, seconds: float) -> Any:
    """Return the beginning of a story, with the restarts that end in it."""
    from dataclasses import replace

    whole = tuple(one for one in story.restarts if max(one.events.values()) < seconds)
    heard = tuple(one for one in story.sounds if one.at < seconds)
    return replace(story, seconds=min(seconds, story.seconds), restarts=whole, sounds=heard)


def job(
    args: dict[str, Any], told: Callable[[int, int, str], None], cancelled: Callable[[], bool]
) -> dict[str, Any]:
    """Draw the demo film as a job: ``path`` in (``seconds`` cuts it short, ``picture`` is its size), path and title out.

    Asked again after a worker died it begins anew; a film that is whole already is not drawn twice.
    """
    from tenbetween.film.drawn_write import truth_path

    path = Path(args["path"])
    if not (path.exists() and truth_path(path).exists()):
        make_demo_film(
            path,
            picture=tuple(args["picture"]) if args.get("picture") else None,
            seconds=args.get("seconds"),
            progress=lambda done, of: told(done, of, SAYS),
            cancel=cancelled,
        )
    return {"path": str(path), "title": TITLE}


def take_in(
    bench: Workbench,
    args: dict[str, Any],
    told: Callable[[int, int, str], None],
    cancelled: Callable[[], bool],
) -> dict[str, Any]:
    """Draw the demo film into the workbench's folder and take it in with its restarts marked, all but the last two.

    A few duties are ticked as its truth has them; on one restart the court is found and both officials pointed at.
    Asked again it goes on where it was cut off; a film that was taken in is not taken in twice.
    """
    from tenbetween.film.drawn_write import truth_path
    from tenbetween.store.media_file import file_id

    folder = bench.films.folder / FOLDER
    folder.mkdir(exist_ok=True)
    path = folder / NAME
    job({**args, "path": str(path)}, told, cancelled)
    known = [one for one in bench.films.films() if one["title"] == TITLE]
    truth = json.loads(truth_path(path).read_text("utf-8"))
    if known:
        film = bench.films.film(known[0]["id"])
    else:
        bench.films.add_folder(str(folder))
        film = bench.films.add([file_id(path)], TITLE, dict(PERMISSION), **_said_of(bench, truth))
    marked = truth["restarts"][:-LEFT_TO_MARK]
    for restart in marked:
        _mark(bench, film, restart)
    demo_seen.show(bench, film, truth, marked)
    return {"film": film["id"]}


def _said_of(bench: Workbench, truth: dict[str, Any]) -> dict[str, Any]:
    crew = next(iter(bench.store.find("crew")), None)
    first = truth["restarts"][0]
    persons = {"referee": crew.value.referee, "umpire": crew.value.umpire} if crew else {}
    return {
        "level": "drawn; nobody in it is real",
        "crew": persons,
        "recognise": truth["recognise"],
        "opening": {name: first[name] for name in ("attacking", "lead", "lead_side")},
    }


def _mark(bench: Workbench, film: dict[str, Any], restart: dict[str, Any]) -> None:
    """Mark a restart as it truly was, most duties left for the trainer to look at; a mark that is whole stays."""
    part = film["parts"][0]
    at = {"part": part["fingerprint"], "base": part["base"]}
    events = {name: {**at, "pts": pts} for name, pts in restart["events"].items()}
    begins = events.pop("e0", next(iter(events.values())))
    there = [one for one in bench.films.marks(film["id"]) if one["at"] == begins]
    if any(one["closed"] for one in there):
        return
    for half in there:  # its program was killed in the middle of it
        bench.films.remove_mark(half["id"])
    mark = bench.films.start_mark(film["id"], begins)
    for name, frame in events.items():
        bench.films.set_event(mark["id"], name, frame)
    for pts in restart["strokes"]:
        bench.films.stroke(mark["id"], {**at, "pts": pts})
    bench.films.set_mark(mark["id"], _what_happened(bench, restart["line"]))
    demo_seen.tick(bench, mark["id"], restart)
    bench.films.close_mark(mark["id"])


def _what_happened(bench: Workbench, line: str) -> dict[str, Any]:
    told = bench.read_line(line)
    return {name: told[name] for name in HAPPENED if told.get(name) is not None}
