"""``tenbetween film``: what is done with game film, each sub-command in a file of its own (``film_<name>.py``).

Knows the names of the sub-commands and nothing of their business; each is imported when it is used.
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

import click

COMMANDS: dict[str, str] = {
    "add": "film_add:add",
    "folder": "film_folder:folder",
    "look": "film_look:look",
    "listen": "film_listen:listen",
    "locate": "film_locate:locate",
    "cut": "film_cut:cut",
    "join": "film_join:join",
    "demo": "film_demo:demo",
}
"""Each sub-command: the module of this folder and the command in it, in the order of the help."""


class LazyFilm(click.Group):
    """A group whose sub-commands are imported when they are used."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names in the order of the help."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Return a sub-command, or None when there is none of that name."""
        place = COMMANDS.get(cmd_name)
        if place is None:
            return None
        module, _, name = place.partition(":")
        command: click.Command = getattr(import_module(f"tenbetween.cli.{module}"), name)
        return command

    def resolve_command(self, ctx: click.Context, args: list[str]) -> Any:
        """Return the sub-command, or say the nearest name."""
        if args and args[0] not in COMMANDS and not args[0].startswith("-"):
            raise click.UsageError(_no_such_command(args[0]), ctx)
        return super().resolve_command(ctx, args)


def _no_such_command(name: str) -> str:
    from difflib import get_close_matches

    near = get_close_matches(name, COMMANDS, n=1)
    advice = f"did you mean {near[0]!r}?" if near else f"there are: {', '.join(COMMANDS)}"
    return f"there is no command {name[:60]!r} for film; {advice}"


@click.group(cls=LazyFilm, name="film")
def film() -> None:
    """Work with game film where it lies: take it in, look into it, listen, find the court, cut, join."""
