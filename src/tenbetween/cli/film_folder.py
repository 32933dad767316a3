"""``tenbetween film folder``: which folders of this machine the film page may list. The page itself never names one."""

from __future__ import annotations

from pathlib import Path

import click

from tenbetween.cli import asked
from tenbetween.cli.command import say


@click.command()
@click.argument("path", required=False)
@click.option("--workbench", metavar="FOLDER", help="The workbench folder; made when it is new.")
@asked.json_option
def folder(path: str | None, workbench: str | None, as_json: bool) -> None:
    """List the folders films are taken from, or let the workbench list one more: its films stay where they are."""
    from tenbetween.cli.serve import opened

    with opened(Path(workbench) if workbench else asked.usual_folder()) as bench:
        found = bench.films.add_folder(path) if path else bench.films.files()
    if as_json:
        from tenbetween.formats.json_text import write_json

        say(write_json(found))
        return
    for one in found:
        there = f"{len(one['files'])} films" if one["there"] else "not there now; plug its disk in"
        say(f"{one['folder']}: {there}")
    if not found:
        say("no folder yet; say one: tenbetween film folder PATH")
