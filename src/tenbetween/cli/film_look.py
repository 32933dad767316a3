"""``tenbetween film look``: what a film file is, in words or JSON. Reads the file where it lies, changes nothing."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from tenbetween.cli import asked
from tenbetween.cli.command import say


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@asked.json_option
def look(file: Path, as_json: bool) -> None:
    """Tell what a film file is: how long, how steady, whether a browser plays it, what a copy would need."""
    from tenbetween.film.browser_copy import can_keep_pictures, space_needed
    from tenbetween.film.fingerprint import fingerprint
    from tenbetween.film.probe import probe
    from tenbetween.film.whole import megabytes

    told = probe(file)
    needed = space_needed(told)
    if as_json:
        from tenbetween.formats.json_text import write_json

        found: dict[str, Any] = told.part(fingerprint(file))
        more = {
            "kind": told.kind,
            "rate": told.rate,
            "interlaced": told.interlaced,
            "warnings": list(told.warnings),
        }
        say(write_json({**found, **more, "copy_bytes": needed}))
        return
    for line in told.words():
        say(line)
    if told.needs_copy:
        way = (
            "keeps its pictures as they are"
            if can_keep_pictures(told)
            else "has new pictures, frame for frame the same"
        )
        say(f"The copy {way} and takes at most {megabytes(needed)}.")
