"""``tenbetween show``: a play out of its file, as film, moving picture, step sheet or still."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from tenbetween.cli import asked
from tenbetween.cli.command import say
from tenbetween.errors import Problem, UsageError, one_of

KINDS = ("mp4", "gif", "svg", "pdf", "png", "json")


@click.command()
@click.argument("play")
@click.option(
    "--out", "file", required=True, metavar="FILE", help=f"Its ending says the kind: {', '.join(KINDS)}."
)
@click.option("--step", type=int, metavar="N", help="One step only, as a still: svg, png or pdf.")
@click.option("--looks", is_flag=True, help="Draw what each official sees of each matchup, and the box.")
@click.option("--shade", is_flag=True, help="Shade the floor by who sees it.")
@click.option(
    "--half/--whole", default=None, help="Half the court or the whole; otherwise as the play needs."
)
@click.option("--turned", is_flag=True, help="The table at the top, for a gym that stands the other way.")
@click.option("--theme", default="light", show_default=True, metavar="THEME", help="light, dark or print.")
@click.option("--fps", type=int, metavar="N", help="Frames a second; 30 for mp4, 15 for gif unless said.")
@click.option(
    "--height", type=int, metavar="DOTS", help="Height of a film; 720 for mp4, 480 for gif unless said."
)
@click.option("--once", is_flag=True, help="Play once and stop, svg and gif; otherwise again and again.")
@click.option(
    "--per-page", type=int, default=2, show_default=True, metavar="N", help="Courts a page: 1, 2 or 4."
)
@click.option("--paper", default="us-letter", show_default=True, metavar="PAPER", help="us-letter or a4.")
@click.option("--force", is_flag=True, help="Write over a file that is there.")
@asked.json_option
def show(
    play: str,
    file: str,
    step: int | None,
    looks: bool,
    shade: bool,
    half: bool | None,
    turned: bool,
    theme: str,
    fps: int | None,
    height: int | None,
    once: bool,
    per_page: int,
    paper: str,
    force: bool,
    as_json: bool,
) -> None:
    """Write a play (a JSON file, or - for standard input) as film, moving picture, step sheet or still."""
    from tenbetween.formats.play_json import read_play

    kind = kind_of(file)
    if theme not in ("light", "dark", "print"):
        raise UsageError(one_of("--theme", theme, ("light", "dark", "print")))
    _check_free(file, force)
    text = asked.read_input() if play == "-" else asked.read_file(play)
    read = read_play(text.decode("utf-8", "replace"))
    from tenbetween.desk.export import export_play

    wish: dict[str, Any] = {
        "step": step, "looks": looks, "shade": shade, "half": half, "turned": turned, "theme": theme,
        "fps": fps, "height": height, "loop": not once, "per_page": per_page, "paper": paper,
    }  # fmt: skip
    content = export_play(read, kind, progress=_progress(), **wish)
    asked.write_whole(file, content)
    if as_json:
        from tenbetween.formats.json_text import write_json

        say(write_json({"file": file, "kind": kind, "bytes": len(content), "steps": len(read.steps)}))
    else:
        say(f"written: {file}")


def kind_of(file: str) -> str:
    """Return which kind of file is meant, by its ending.

    >>> kind_of("press.MP4")
    'mp4'

    Raises:
        UsageError: no such kind.
    """
    ending = Path(file).suffix.lower().lstrip(".")
    if ending not in KINDS:
        raise UsageError(one_of("--out", file, tuple(f".{kind}" for kind in KINDS)))
    return ending


def _check_free(file: str, force: bool) -> None:
    if Path(file).exists() and not force:
        raise UsageError(
            Problem("--out", f"{file} is there already", "a new file", "name another, or add --force")
        )


def _progress() -> Callable[[int, int], object] | None:
    """Return what tells how far a film is, on one line; nobody is told where nobody looks."""
    if not sys.stderr.isatty():
        return None

    def tell(done: int, count: int) -> None:
        if done % 15 == 0 or done == count:
            end = "\n" if done == count else ""
            click.echo(f"\r{done} of {count} frames{end}", nl=False, err=True)

    return tell
