"""Where the checkout lies: these commands write into it, so an installed copy alone is refused."""

from __future__ import annotations

from pathlib import Path

from tenbetween.errors import Problem, UsageError

GOLDENS = Path("tests", "golden", "svg")
"""The drawings that are kept, from the top of the checkout."""
FIGURES = Path("docs", "figures.md")


def checkout(start: Path = Path(__file__)) -> Path:
    """Return the top folder of the checkout this package runs from.

    >>> (checkout() / "pyproject.toml").is_file()
    True

    Raises:
        UsageError: the package was not started from a checkout.
    """
    for folder in start.resolve().parents:
        if (folder / "pyproject.toml").is_file() and (folder / "src" / "tenbetween").is_dir():
            return folder
    found = "a package without its checkout"
    do = "run this in the folder that has pyproject.toml, after `make setup`"
    raise UsageError(Problem("tenbetween.dev", found, "the checkout it belongs to", do))
