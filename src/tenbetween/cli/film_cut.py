"""``tenbetween film cut``: a piece of a film into a file of its own. Overwrites nothing unless told to."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

import click

from tenbetween.cli import asked
from tenbetween.cli.command import say
from tenbetween.errors import Problem, UsageError

TIME = re.compile(r"(?:(?:(\d+):)?(\d{1,2}):)?(\d+(?:[.,]\d+)?)")


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--from",
    "begins",
    required=True,
    metavar="TIME",
    help="From when: seconds, or 12:30.5; 0 is the first frame.",
)
@click.option(
    "--to", "ends", required=True, metavar="TIME", help="Until when; the frame on the screen then is in it."
)
@click.argument("out", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--fast", is_flag=True, help="Pictures as they are, from the key frame before: done at once.")
@click.option("--sound", is_flag=True, help="With sound; without this a clip is silent.")
@click.option(
    "--height", type=click.IntRange(120, 2160), metavar="DOTS", help="How high; as the film unless said."
)
@click.option("--force", is_flag=True, help="Write over a file that is there.")
@asked.json_option
def cut(
    file: Path, begins: str, ends: str, out: Path, fast: bool, sound: bool, height: int | None, force: bool,
    as_json: bool,
) -> None:  # fmt: skip
    """Cut a piece out of FILE into OUT (mp4): from one frame to another, telling no place, device, day or name."""
    from tenbetween.film.cut import exact_cut, fast_cut
    from tenbetween.film.frame_index import index

    span = [_seconds("--from", begins), _seconds("--to", ends)]
    _free(file, out, force)
    times = index(file)
    first = int(times.pts[0])
    start, end = (first + int(second // times.base) for second in span)
    _in_it(span, Fraction(times.end_pts - first) * times.base)
    if fast:
        made = fast_cut(file, out, start, end, sound=sound, times=times)
    else:
        made = exact_cut(file, out, start, end, sound=sound, height=height, times=times, progress=_progress())
    told = {
        "clip": str(out),
        "from_s": round(float((made.begins_pts - first) * times.base), 6),
        "to_s": round(float((made.ends_pts - first) * times.base), 6),
        "frames": made.frames,
        "how": made.how,
        "sound": sound,
        "bytes": made.size,
    }
    _tell(told, as_json)


def _tell(told: dict[str, Any], as_json: bool) -> None:
    if as_json:
        from tenbetween.formats.json_text import write_json

        say(write_json(told))
        return
    say(
        f"{told['clip']}: from {told['from_s']:.2f} s to {told['to_s']:.2f} s, {told['frames']} frames, {told['how']}"
    )
    if told["how"] == "same pictures":
        say("It begins at the key frame before; without --fast it begins at the very frame.")


def _seconds(option: str, text: str) -> Fraction:
    found = TIME.fullmatch(text.strip())
    if found is None:
        raise UsageError(
            Problem(option, repr(text[:40]), "seconds, or minutes:seconds", "write it like 12:30.5")
        )
    hours, minutes, rest = found.groups()
    return int(hours or 0) * 3600 + int(minutes or 0) * 60 + Fraction(rest.replace(",", "."))


def _in_it(span: list[Fraction], length: Fraction) -> None:
    if not 0 <= span[0] <= span[1] <= length:
        found = f"{float(span[0]):.2f} s to {float(span[1]):.2f} s"
        expected = f"from 0 to {float(length):.2f} s, the beginning first"
        raise UsageError(Problem("--from, --to", found, expected, "choose a piece of this film"))


def _free(file: Path, out: Path, force: bool) -> None:
    if out.exists() and file.exists() and out.samefile(file):
        raise UsageError(
            Problem("OUT", "the film itself", "another file", "name another: a film is never changed")
        )
    if out.exists() and not force:
        raise UsageError(
            Problem("OUT", f"{out} is there already", "a new file", "name another, or add --force")
        )


def _progress() -> Callable[[int, int], object] | None:
    """Return what tells how far a clip is, on one line; nobody is told where nobody looks."""
    if not sys.stderr.isatty():
        return None

    def tell(done: int, count: int) -> None:
        if done % 15 == 0 or done == count:
            click.echo(f"\r{done} of {count} frames" + ("\n" if done == count else ""), nl=False, err=True)

    return tell
