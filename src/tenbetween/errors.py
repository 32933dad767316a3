"""Errors that are directions: where, what was found, what was expected, what to do.

Knows no room of the house; every other room raises one of these and nothing else on bad input.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from difflib import get_close_matches


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong, said so that a person can mend it.

    >>> print(Problem("at", "[90, 0]", "a point on the 84 ft floor", "move it to x 0 to 84"))
    at: found [90, 0]; expected a point on the 84 ft floor; move it to x 0 to 84
    """

    where: str
    found: str
    expected: str
    do: str

    def __str__(self) -> str:
        return f"{self.where}: found {self.found}; expected {self.expected}; {self.do}"

    def under(self, prefix: str) -> Problem:
        """Return the same problem with its place put below ``prefix`` (``[3]`` and ``at`` give ``[3].at``).

        >>> Problem("at", "1", "2", "3").under("[3]").where
        '[3].at'
        """
        joined = prefix if not self.where else f"{prefix}{'' if self.where[0] == '[' else '.'}{self.where}"
        return Problem(joined, self.found, self.expected, self.do)

    def as_dict(self) -> dict[str, str]:
        """Return the four parts by the names other programs read.

        >>> sorted(Problem("a", "b", "c", "d").as_dict())
        ['do', 'expected', 'found', 'where']
        """
        return {"where": self.where, "found": self.found, "expected": self.expected, "do": self.do}


class TenbetweenError(Exception):
    """Everything that can be mended by the person who asked; holds all problems at once.

    >>> len(TenbetweenError([Problem("a", "b", "c", "d")]).problems)
    1
    """

    def __init__(self, problems: Problem | Iterable[Problem]) -> None:
        self.problems: tuple[Problem, ...] = (problems,) if isinstance(problems, Problem) else tuple(problems)
        super().__init__("\n".join(str(p) for p in self.problems))


class SituationError(TenbetweenError):
    """A situation that cannot be read, is contradictory or lacks something."""


class NotationError(SituationError):
    """A one-line situation that cannot be read."""


class BookError(TenbetweenError):
    """An edition, layer or provision that cannot be loaded or does not hold together."""


class FormatError(TenbetweenError):
    """A file in or out that is not of its kind."""


class StoreError(TenbetweenError):
    """A workbench folder or database that refuses, with what to do."""


class UsageError(TenbetweenError):
    """A command or request asked for in a way that means nothing."""


def one_of(where: str, found: object, allowed: Sequence[str]) -> Problem:
    """Return the problem of a word that is not in a closed list, with the nearest right word.

    >>> one_of("attacking", "rigth", ("left", "right")).do
    "did you mean 'right'?"
    """
    close = get_close_matches(str(found), allowed, n=1)
    advice = f"did you mean {close[0]!r}?" if close else f"write one of them, for example {allowed[0]!r}"
    return Problem(where, repr(found), "one of " + ", ".join(allowed), advice)
