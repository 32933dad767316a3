"""The command itself: its sub-commands by name, loaded when asked for, and how every fault is told.

Knows no sub-command's business. With ``--json`` faults are JSON on standard error, else readable lines.
"""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Sequence
from importlib import import_module
from typing import Any

import click

from tenbetween import __version__
from tenbetween.errors import Problem, TenbetweenError, UsageError

COMMANDS: dict[str, str] = {
    "answer": "answer:answer",
    "sheet": "sheet:sheet",
    "walk": "walk:walk",
    "book": "book:book",
    "court": "court:court",
    "sight": "sight:sight",
    "run": "run:run",
    "tracks": "tracks:tracks",
    "play": "play:play",
    "film": "film:film",
    "show": "draw:show",
    "serve": "serve:serve",
    "demo": "serve:demo",
    "work": "work:work",
    "completion": "completion:completion",
}
"""Each sub-command: the module of this folder and the command in it, in the order of the help."""
GOOD, BAD_INPUT, WRONG_USAGE, STOPPED = 0, 1, 2, 130


class Lazy(click.Group):
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
        if args and args[0] not in COMMANDS:
            raise click.UsageError(_no_such_command(args[0]), ctx)
        return super().resolve_command(ctx, args)


def _no_such_command(name: str) -> str:
    from difflib import get_close_matches

    near = get_close_matches(name, COMMANDS, n=1)
    if near:
        return f"there is no command {name[:60]!r}; did you mean {near[0]!r}?"
    hint = (
        f'to answer a situation write: tenbetween answer "{name[:60]} ..."' if " " in name else "see --help"
    )
    return f"there is no command {name[:60]!r}; {hint}"


@click.group(
    cls=Lazy,
    name="tenbetween",
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.version_option(__version__, "--version", message="%(version)s")
@click.pass_context
def tenbetween(ctx: click.Context) -> None:
    """Answer any restart for a crew of two; without a command the workbench opens."""
    if ctx.invoked_subcommand is None:
        from tenbetween.cli.serve import serve

        ctx.invoke(serve)


def run(argv: Sequence[str] | None = None) -> int:
    """Run the command and return its exit status."""
    args = [str(arg) for arg in (sys.argv[1:] if argv is None else argv)]
    for stream in (sys.stdout, sys.stderr):
        with contextlib.suppress(AttributeError, ValueError, OSError):
            stream.reconfigure(errors="backslashreplace")  # type: ignore[union-attr]
    try:
        code = tenbetween.main(args, prog_name="tenbetween", standalone_mode=False)
        sys.stdout.flush()
    except BaseException as fault:
        return _told(fault, as_json="--json" in args)
    return code if isinstance(code, int) else GOOD


def _told(fault: BaseException, *, as_json: bool) -> int:
    """Tell one fault on standard error and return the exit status it means."""
    if isinstance(fault, click.exceptions.Exit):
        return fault.exit_code
    if isinstance(fault, BrokenPipeError):
        return _reader_gone()
    if isinstance(fault, click.Abort | KeyboardInterrupt):
        say("stopped", error=True)
        return STOPPED
    if isinstance(fault, SystemExit):
        return fault.code if isinstance(fault.code, int) else BAD_INPUT
    problems, code = _problems(fault)
    tell(problems, as_json=as_json)
    if isinstance(fault, click.UsageError) and not as_json and fault.ctx is not None:
        say(f"see: {fault.ctx.command_path} --help", error=True)
    return code


def _problems(fault: BaseException) -> tuple[tuple[Problem, ...], int]:
    if isinstance(fault, TenbetweenError):
        return fault.problems, WRONG_USAGE if isinstance(fault, UsageError) else BAD_INPUT
    if isinstance(fault, click.ClickException):
        found = fault.format_message().rstrip(".")
        return (Problem("command", found, "a command as --help shows it", "mend the command"),), WRONG_USAGE
    if isinstance(fault, OSError) and fault.filename is not None:
        why = (fault.strerror or type(fault).__name__).lower()
        return (Problem(str(fault.filename), why, "a file that can be used", "check its name and rights"),), 1
    return (_unforeseen(fault),), BAD_INPUT


def _unforeseen(fault: BaseException) -> Problem:
    """Return what to report about a fault nobody foresaw: its kind and where, never a traceback."""
    trace, place = fault.__traceback__, "the program"
    while trace is not None:
        name = trace.tb_frame.f_code.co_filename.replace("\\", "/").rpartition("/tenbetween/")[2]
        place, trace = f"{name} line {trace.tb_lineno}" if "/" in name or name else place, trace.tb_next
    found = f"a fault of the program ({type(fault).__name__} in {place})"
    do = "nothing was written; report this line together with the command you gave"
    return Problem("tenbetween", found, "an answer", do)


def _reader_gone() -> int:
    """End quietly when whoever read our output has gone, as ``| head`` does."""
    with contextlib.suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return GOOD


def tell(problems: Sequence[Problem], *, as_json: bool) -> None:
    """Write problems to standard error: JSON for programs, else one readable line each."""
    if as_json:
        from tenbetween.formats.json_text import write_errors

        say(write_errors(tuple(problems)), error=True)
        return
    for problem in problems:
        say(str(problem), error=True)


def say(text: str = "", *, error: bool = False) -> None:
    """Write one line of text."""
    click.echo(text, err=error)
