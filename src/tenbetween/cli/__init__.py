"""The command line: arguments in, a use case of the desk, words or JSON out. Holds no rule of its own.

Only what a command needs is loaded when it runs. Exit status: 0 an answer, 1 bad input, 2 wrong usage.
"""

from __future__ import annotations

from collections.abc import Sequence


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit status; nothing it meets ends in a traceback.

    >>> main(["completion", "--help"])
    Usage: tenbetween completion [OPTIONS] {bash|zsh|fish}
    ...
    0
    """
    from tenbetween.cli.command import run

    return run(argv)


__all__ = ["main"]
