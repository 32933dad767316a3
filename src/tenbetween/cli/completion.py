"""``tenbetween completion``: the script that lets a shell finish our commands."""

from __future__ import annotations

import click

from tenbetween.cli.command import say


@click.command()
@click.argument("shell", type=click.Choice(["bash", "zsh", "fish"]))
def completion(shell: str) -> None:
    """Print the completion script of a shell.

    \b
    bash:  eval "$(tenbetween completion bash)"        in ~/.bashrc
    zsh:   eval "$(tenbetween completion zsh)"         in ~/.zshrc
    fish:  tenbetween completion fish | source         in config.fish
    """  # noqa: D301 - the backspace keeps the lines below it apart
    from click.shell_completion import get_completion_class

    from tenbetween.cli.command import tenbetween

    make = get_completion_class(shell)
    if make is not None:
        say(make(tenbetween, {}, "tenbetween", "_TENBETWEEN_COMPLETE").source())
