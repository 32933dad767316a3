"""Lines of a file of tracks with their numbers, the bare frame, and the book kept of what is left out.

Reads bytes and text a line at a time; knows no field of a frame and no floor.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from math import isfinite
from pathlib import Path
from typing import Any

from msgspec import Struct

from tenbetween.errors import FormatError, Problem, one_of

Source = Path | str | bytes | Iterable[str | bytes]
"""A file, the text or bytes of one, or its lines."""
LONGEST_LINE = 1_000_000
FIRST = 50
"""So many of what is left out are told one by one; all are counted."""
KINDS = {
    "line": "lines or parts of lines that could not be read",
    "no_header": "files without a header",
    "name": "names that mean nothing here, left out",
    "time": "frames without a time",
    "time_twice": "frames with the time of the one before",
    "time_back": "frames with an earlier time than the one before",
    "no_player": "frames without any player",
    "fewer_than_ten": "frames with fewer than ten players, kept",
    "player": "players without a name or a team of two",
    "place_unknown": "players without a place",
    "off_floor": "players too far off the floor",
    "player_twice": "players named twice at one time",
    "sixth_player": "players beyond five of a team",
    "official": "officials that could not be read",
    "no_crew": "frames without both officials, kept",
    "facing": "facings that could not be read",
    "ball": "balls without a place",
    "matchup": "matchups that could not be used",
}
"""What can be left out or told, in words."""


class Report(Struct, frozen=True):
    """What came of reading: how much, what was left out and how often, and the first ones with their line."""

    lines: int
    frames: int
    units: str
    """As the file has them; what is told is feet."""
    origin: str
    teams: dict[str, str]
    """Each team as the file names it, and the letter it has here."""
    counts: dict[str, int]
    """By kind, in the order of KINDS; kinds that did not come up are not there."""
    first: tuple[Problem, ...]


class Notes:
    """Gathers what is left out while a file is read.

    >>> notes = Notes()
    >>> notes.add("ball", "line 3, ball", "nothing", "the place of the ball", "write [x, y]")
    >>> notes.report().counts
    {'ball': 1}
    """

    def __init__(self) -> None:
        self.counts: dict[str, int] = {}
        self.first: list[Problem] = []
        self.names: set[str] = set()
        self.lines = self.frames = 0
        self.units, self.origin = "ft", "corner"
        self.teams: dict[str, str] = {}

    def add(self, kind: str, where: str, found: str, expected: str, do: str) -> None:
        """Note one thing; only the first ones keep their words."""
        self.counts[kind] = self.counts.get(kind, 0) + 1
        if len(self.first) < FIRST:
            self.first.append(Problem(where, found, expected, do))

    def unknown_name(self, where: str, name: str, known: tuple[str, ...]) -> None:
        """Note a name that is none of ours, once for a file."""
        if name in self.names or len(self.names) >= FIRST:
            return
        self.names.add(name)
        one = one_of(where, ascii(name[:40]), known)
        self.add("name", where, f"the name {name[:40]!a}", one.expected, one.do)

    def report(self) -> Report:
        """Return what was gathered so far."""
        counts = {kind: self.counts[kind] for kind in KINDS if kind in self.counts}
        return Report(
            self.lines, self.frames, self.units, self.origin, dict(self.teams), counts, tuple(self.first)
        )


class Raw(Struct, frozen=True):
    """A frame as read, nothing of it checked."""

    line: int
    t: Any
    ball: Any
    players: list[Any]
    officials: list[Any]
    matchups: list[Any]
    by_line: bool = False
    """Whether each body stands on a line of its own, kept with it as ``line``."""

    def where(self, frame: str, one: Any, place: str) -> str:
        """Return where a body of this frame stands in the file."""
        return f"line {one['line']}" if self.by_line else f"{frame}, {place}"


def shown(value: Any) -> str:
    """Return a value as an error shows it: plain letters, cut.

    >>> shown("e"), shown(None)
    ("'e'", 'nothing')
    """
    if value is None:
        return "nothing"
    if isinstance(value, int) and abs(value) >= 10**60:
        return "a number with more than 60 digits"
    text = ascii(value) if not isinstance(value, list | dict) else f"{type(value).__name__} of {len(value)}"
    return text if len(text) <= 60 else f"{text[:57]}..."


def number_of(value: Any) -> float | None:
    """Return a finite number, or None.

    >>> number_of(2), number_of(True), number_of("2"), number_of(float("nan"))
    (2.0, None, None, None)
    """
    if isinstance(value, bool) or not isinstance(value, int | float) or not of_our_size(value):
        return None
    return float(value) + 0.0


def of_our_size(value: float) -> bool:
    """Return whether a number is finite and of a size anything here can have."""
    return abs(value) < 1e12 if isinstance(value, int) else isfinite(value) and abs(value) < 1e12


def numbered(source: Source, notes: Notes) -> Iterator[tuple[int, str]]:
    r"""Yield the lines of a source with their numbers from 1; a line that is no text is noted and left out.

    >>> list(numbered(b"a\r\nb\n", Notes()))
    [(1, 'a'), (2, 'b')]

    Raises:
        FormatError: a file that cannot be read, or one in another coding.
    """
    for line in _lines(source):
        notes.lines += 1
        text = _text(line, notes)
        if text is not None:
            yield notes.lines, text


def _lines(source: Source) -> Iterator[str | bytes]:
    if isinstance(source, Path):
        yield from _file(source)
    elif isinstance(source, bytes):
        yield from source.splitlines()
    elif isinstance(source, str):
        yield from re.split(r"\r\n|\n|\r", source)
    else:
        for one in source:
            yield from (
                one.splitlines() if isinstance(one, bytes) else re.split(r"[\r\n]+", one.rstrip("\r\n"))
            )


def _file(path: Path) -> Iterator[bytes]:
    try:
        with path.open("rb") as file:
            for one in file:
                yield from one.splitlines()
    except (OSError, ValueError) as fault:
        why = (getattr(fault, "strerror", None) or "no file name").lower()
        do = "check the name and your rights"
        raise FormatError(Problem(str(path)[:200], why, "a file that can be read", do)) from None


def _text(line: str | bytes, notes: Notes) -> str | None:
    where, number = f"line {notes.lines}", notes.lines
    if isinstance(line, bytes):
        if number == 1 and line[:2] in (b"\xff\xfe", b"\xfe\xff"):
            raise FormatError(Problem("tracks", "UTF-16", "text in UTF-8", "save the file as UTF-8"))
        try:
            line = line.decode("utf-8-sig" if number == 1 else "utf-8")
        except UnicodeDecodeError:
            notes.add(
                "line", where, "bytes that are no UTF-8 text", "text in UTF-8", "save the file as UTF-8"
            )
            return None
    if len(line) > LONGEST_LINE:
        notes.add("line", where, f"{len(line):,} signs", f"at most {LONGEST_LINE:,}", "write a frame a line")
        return None
    return line.removeprefix("\ufeff") if number == 1 else line
