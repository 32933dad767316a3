"""`python -m tenbetween` is the command `tenbetween`; knows nothing of its own."""

from __future__ import annotations

import sys


def main() -> int:
    """Run the command line and return its exit status: 0 an answer, 1 bad input, 2 wrong usage."""
    from tenbetween.cli import main as command

    return command()


if __name__ == "__main__":
    sys.exit(main())
