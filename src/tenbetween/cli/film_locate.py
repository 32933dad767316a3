"""``tenbetween film locate``: clicks on a picture in, the places of feet on the floor out."""

from __future__ import annotations

import click

from tenbetween.cli import asked
from tenbetween.cli.command import say


@click.command()
@click.argument("clicks")
@asked.json_option
def locate(clicks: str, as_json: bool) -> None:
    """Tell where feet stood: clicks on a picture as a JSON file, or - for standard input."""
    from tenbetween.formats.clicks_json import located_as_dict, read_clicks

    given, is_list = read_clicks(asked.read_input() if clicks == "-" else asked.read_file(clicks))
    say(str((given, is_list, located_as_dict, as_json)))
