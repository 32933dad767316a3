"""``python -m tenbetween.dev``: six commands on the checkout. Knows only which function each one is."""

from __future__ import annotations

import sys

import click

from tenbetween.dev.checkout import checkout
from tenbetween.errors import TenbetweenError


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
def dev() -> None:
    """Look after the checkout: what answers moved, what is kept, how fast it is, which papers are stale."""


@dev.command("count")
@click.argument("edition", nargs=-1)
@click.option("--all", "every_setting", is_flag=True, help="Also every other value of one setting at a time.")
def count_command(edition: tuple[str, ...], every_setting: bool) -> int:
    """Count every situation of every edition again and show what moved since it was kept."""
    from tenbetween.dev.counting import count

    return count(edition, every_setting=every_setting, say=click.echo)


@dev.command("accept")
def accept_command() -> int:
    """Keep the totals and the drawings as they now are, then show what changed."""
    from tenbetween.dev.counting import accept

    return accept(checkout(), say=click.echo)


@dev.command("bench")
@click.option(
    "--only", metavar="WORDS", default="", help="Measure only figures with these words; writes nothing."
)
def bench_command(only: str) -> int:
    """Measure how fast it is, against floors of the same run; writes docs/figures.md."""
    from tenbetween.dev.bench import bench

    return bench(checkout(), only=only, say=click.echo)


@dev.command("honesty")
def honesty_command() -> int:
    """Measure where the taught places come out on our own formations; writes docs/honesty.md."""
    from tenbetween.dev.honesty import honesty

    return honesty(checkout(), say=click.echo)


@dev.command("whistles")
@click.option("--write", is_flag=True, help="Keep the weights; else they are only shown.")
def whistles_command(write: bool) -> int:
    """Fit again what tells a whistle from other tones, on invented gyms only; takes some minutes."""
    from tenbetween.dev.whistle_fit import whistle_fit

    return whistle_fit(write=write, say=click.echo)


@dev.command("docs")
@click.option(
    "--check", "check_only", is_flag=True, help="Write nothing; end with status 1 when a paper is stale."
)
def docs_command(check_only: bool) -> int:
    """Write again what docs/ takes from the program: editions, settings, provisions, causes, commands."""
    from tenbetween.dev.papers import refresh

    return refresh(checkout(), check_only=check_only, say=click.echo)


def main(args: list[str] | None = None) -> int:
    """Run one command and return its exit status: 0 good, 1 something to look at, 2 wrong usage."""
    try:
        return int(dev.main(args, prog_name="python -m tenbetween.dev", standalone_mode=False) or 0)
    except click.ClickException as fault:
        fault.show()
        return fault.exit_code
    except TenbetweenError as fault:
        click.echo(str(fault), err=True)
        return 1


if __name__ == "__main__":
    sys.exit(main())
