"""``tenbetween film demo``: draw the demo film into a file, its truth beside it."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import click

from tenbetween.cli import asked
from tenbetween.cli.command import say
from tenbetween.errors import Problem, UsageError

WAYS = {"360": (640, 360), "480": (854, 480), "720": (1280, 720)}


@click.command()
@click.argument("out", type=click.Path(dir_okay=False, path_type=Path))
@click.option(
    "--height", type=click.Choice(sorted(WAYS)), default="360", show_default=True, help="Dots high."
)
@click.option("--seconds", type=click.FloatRange(5, 600), metavar="SECONDS", help="Only the beginning.")
@click.option("--force", is_flag=True, help="Write over a file that is there.")
@asked.json_option
def demo(out: Path, height: str, seconds: float | None, force: bool, as_json: bool) -> None:
    """Draw a game to try everything on: a gym, a crew of two, ten players, whistles; nobody in it is real.

    What it truly shows stands beside it: the camera of each frame, who stood where, and when everything happened.
    """
    from tenbetween.desk.demo_film import make_demo_film
    from tenbetween.film.drawn_write import truth_path

    if out.exists() and not force:
        raise UsageError(
            Problem("OUT", f"{out} is there already", "a new file", "name another, or add --force")
        )
    with asked_progress() as told:
        truth = make_demo_film(out, picture=WAYS[height], seconds=seconds, progress=told)
    found = {
        "film": str(out),
        "truth": str(truth_path(out)),
        "duration_s": round(len(truth["pts"]) / truth["fps"], 3),
        "restarts": len(truth["restarts"]),
        "bytes": out.stat().st_size,
    }
    if as_json:
        from tenbetween.formats.json_text import write_json

        say(write_json(found))
    else:
        say(
            f"{found['film']}: {found['duration_s']:.0f} s, {found['restarts']} restarts, {found['bytes'] / 1e6:.1f} MB"
        )
        say(f"what it truly shows: {found['truth']}")


@contextmanager
def asked_progress() -> Iterator[Callable[[int, int], None]]:
    """Yield something to tell frames done and of how many, shown as a bar on standard error."""
    with click.progressbar(length=1000, label="drawing", file=sys.stderr) as shown:
        last = [0]

        def told(done: int, of: int) -> None:
            now = done * 1000 // max(of, 1)
            shown.update(now - last[0])
            last[0] = now

        yield told
