"""``tenbetween film add``: take in the film of a game where its files lie. Copies and moves nothing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

import click

from tenbetween.cli import asked
from tenbetween.cli.command import say

ASKS = (
    "Do you have permission to use this film for training? Minors may be visible. Keep it inside the class."
)


@click.command()
@click.argument("files", nargs=-1, required=True, metavar="FILE...")
@click.option("--title", required=True, help="What the film is called: teams and level, no names of players.")
@click.option("--allowed-by", required=True, metavar="WHO", help="Who gave leave to use it for training.")
@click.option("--until", required=True, metavar="DAY", help="The day it is to be deleted by, as 2035-06-30.")
@click.option("--date", "day", default="", metavar="DAY", help="The day of the game.")
@click.option("--level", default="", help="Such as: freshman girls.")
@click.option("--workbench", metavar="FOLDER", help="The workbench folder; made when it is new.")
@asked.json_option
def add(
    files: tuple[str, ...],
    title: str,
    allowed_by: str,
    until: str,
    day: str,
    level: str,
    workbench: str | None,
    as_json: bool,
) -> None:
    """Take in a film of one file, or of several that are parts of one game in order; they stay where they are."""
    from tenbetween.cli.serve import opened
    from tenbetween.store.media_file import file_id

    paths = [Path(one).expanduser().absolute() for one in files]
    _must_be_films(paths)
    say(ASKS, error=True)
    with opened(Path(workbench) if workbench else asked.usual_folder()) as bench:
        for folder in dict.fromkeys(path.parent for path in paths):
            bench.films.add_folder(str(folder))
        ids = [file_id(path) for path in paths]
        for words in room_words(bench.films.look_at(ids)):
            say(words, error=True)
        film = bench.films.add(
            ids,
            title,
            {"by": allowed_by, "until": until, "scope": "inside the class", "minors": True},
            **{name: value for name, value in (("date", day), ("level", level)) if value},
        )
    if as_json:
        from tenbetween.formats.json_text import write_json

        say(write_json(film))
        return
    say(f"{film['title']}: {len(film['parts'])} part{'s' if len(film['parts']) != 1 else ''}")
    for words in (*film["warnings"], *film["cautions"]):
        say(f"  {words}")


def room_words(looked: Iterable[Mapping[str, Any]]) -> Iterator[str]:
    """Yield for each film a browser cannot show how much room its copy takes, and how much there is.

    >>> one = {"name": "phone.mov", "copy_bytes": 900_000_000, "free_bytes": 5_000_000_000}
    >>> list(room_words([one, {"name": "game.mp4"}]))
    ['phone.mov: a copy for the browser is made in the background; it takes at most 900 MB, 5,000 MB are free']
    """
    for one in looked:
        if one.get("copy_bytes"):
            takes, free = f"{one['copy_bytes'] / 1e6:,.0f} MB", f"{one['free_bytes'] / 1e6:,.0f} MB"
            short = "; make room first" if one["copy_bytes"] > one["free_bytes"] > 0 else ""
            yield (
                f"{one['name']}: a copy for the browser is made in the background; it takes at most {takes}, "
                f"{free} are free{short}"
            )


def _must_be_films(paths: list[Path]) -> None:
    from tenbetween.errors import Problem, UsageError
    from tenbetween.store.media_file import ENDINGS

    endings = ", ".join(sorted(ENDINGS))
    faults = []
    for path in paths:
        if not path.is_file():
            faults.append(Problem(str(path), "no such file", "a film file", "look at its name and its disk"))
        elif path.suffix.lower() not in ENDINGS:
            found = f"a file ending in {path.suffix or 'nothing'}"
            faults.append(Problem(str(path), found, f"a film: {endings}", "choose the film file itself"))
    if faults:
        raise UsageError(faults)
