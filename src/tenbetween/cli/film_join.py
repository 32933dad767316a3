"""``tenbetween film join``: the parts of one game into one file, pictures and sound as they are."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import click

from tenbetween.cli import asked
from tenbetween.cli.command import say
from tenbetween.errors import Problem, UsageError


@click.command()
@click.argument("files", nargs=-1, required=True, metavar="FILE...", type=click.Path(path_type=Path))
@click.argument("out", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--force", is_flag=True, help="Write over a file that is there.")
@asked.json_option
def join(files: tuple[Path, ...], out: Path, force: bool, as_json: bool) -> None:
    """Put two FILEs or more, parts of one game in order, one after another into OUT (mp4); nothing is re-encoded.

    Only parts recorded alike can be joined so. Where they differ every difference is said, nothing is written, and
    the parts may stay apart: ``film add`` puts them on one time line all the same.
    """
    from tenbetween.film.join import join as joined

    _two_or_more(files)
    _free(files, out, force)
    made = joined(files, out, progress=None if as_json else _progress())
    told: dict[str, Any] = {
        "film": str(out),
        "parts": [
            {"name": path.name, "begins_s": round(begins, 6)}
            for path, begins in zip(files, made.begins_s, strict=True)
        ],
        "frames": made.frames,
        "bytes": made.size,
    }
    _tell(told, as_json)


def _tell(told: dict[str, Any], as_json: bool) -> None:
    if as_json:
        from tenbetween.formats.json_text import write_json

        say(write_json(told))
        return
    size = f"{told['bytes'] / 1e6:.1f} MB"
    say(f"{told['film']}: {len(told['parts'])} parts, {told['frames']} frames, {size}, nothing re-encoded")
    for one in told["parts"]:
        say(f"  {one['name']} begins at {one['begins_s']:.2f} s")


def _two_or_more(files: Sequence[Path]) -> None:
    if len(files) < 2:
        found = f"{len(files)} film file before the one to write"
        do = "name the parts in order and the new file last"
        raise UsageError(Problem("FILE...", found, "two parts or more", do))


def _free(files: Sequence[Path], out: Path, force: bool) -> None:
    if out.exists() and any(one.exists() and out.samefile(one) for one in files):
        do = "name another file last: a film is never changed"
        raise UsageError(Problem("OUT", f"{out.name}, one of the parts", "another file", do))
    if out.exists() and not force:
        raise UsageError(
            Problem("OUT", f"{out} is there already", "a new file", "name another, or add --force")
        )


def _progress() -> Callable[[int, int], object] | None:
    """Return what tells how many parts are in, on one line; nobody is told where nobody looks."""
    if not sys.stderr.isatty():
        return None

    def tell(done: int, count: int) -> None:
        click.echo(f"\r{done} of {count} parts" + ("\n" if done == count else ""), nl=False, err=True)

    return tell
