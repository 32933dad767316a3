"""The demo film: the story told from the book's answers, painted and written, with progress and a way to stop.

``job`` is the shape in which long work is queued. Holds no rule and paints nothing itself.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tenbetween.desk.answers import Shelf
from tenbetween.errors import Problem, UsageError

if TYPE_CHECKING:
    from tenbetween.film.write import Cancel, Progress

NAME = "drawn-game.mp4"
TITLE = "Ardenmoor at Pell Hollow (drawn)"
SAYS = "Drawing the demo film"


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
    """Draw the demo film as a job: ``path`` in, the path and how many restarts it shows out.

    Asked again after a worker died it begins anew; a film that is whole already is not drawn twice.
    """
    from tenbetween.film.drawn_write import truth_path

    path = Path(args["path"])
    if not (path.exists() and truth_path(path).exists()):
        make_demo_film(path, progress=lambda done, of: told(done, of, SAYS), cancel=cancelled)
    return {"path": str(path), "title": TITLE}
