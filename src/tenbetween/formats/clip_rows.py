"""The pieces of film that are handed to other programs: title, film, from and to, events, tags, note.

One row for chapters, for a timeline and for a table; frame times stay whole numbers. Knows no file and no picture.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Any, Literal

from msgspec import Struct, ValidationError, convert

from tenbetween.errors import FormatError, Problem

EVENT_WORDS = {
    "e0": "whistle or ball dead",
    "e1": "stop-clock signal",
    "e2": "colour and direction",
    "e3": "spot shown",
    "e4": "partner ready",
    "e5": "at the spot",
    "e6": "disposal",
    "e7": "stepped back",
    "e8": "release",
    "e9": "touch",
    "e10": "chop",
    "e11": "next play taken",
}
"""The event clock of a restart in plain words."""
NOT_SEEN = "not seen"


class FrameTime(Struct, frozen=True, forbid_unknown_fields=True):
    """A frame of a part of a film: whole ticks of a base of so many seconds (numerator, denominator)."""

    part: str
    pts: int
    base: tuple[int, int]

    @property
    def seconds(self) -> Fraction:
        """Seconds from the zero of the part's own clock."""
        return Fraction(self.pts * self.base[0], self.base[1])


class ClipRow(Struct, frozen=True, forbid_unknown_fields=True):
    """One piece of film: from the frame at ``start`` to the frame at ``end``, both in it."""

    title: str
    film: str
    start: FrameTime
    end: FrameTime
    events: dict[str, FrameTime | Literal["not seen"]] = {}
    tags: tuple[str, ...] = ()
    note: str = ""


def clip_rows(given: Sequence[Mapping[str, Any]]) -> tuple[ClipRow, ...]:
    """Return rows from plain data, as the workbench hands them out.

    Raises:
        FormatError: rows that cannot be read; all of them are told.

    >>> at = {"part": "f1", "pts": 30, "base": [1, 30]}
    >>> clip_rows([{"title": "Throw-in", "film": "Game 1", "start": at, "end": {**at, "pts": 60}}])[0].end.seconds
    Fraction(2, 1)
    """
    rows: list[ClipRow] = []
    bad: list[Problem] = []
    for number, one in enumerate(given):
        try:
            row = convert(dict(one), ClipRow)
        except ValidationError as error:
            bad.append(
                Problem(f"[{number}]", str(error), "title, film, start, end, events, tags, note", "mend it")
            )
            continue
        bad.extend(problem.under(f"[{number}]") for problem in _faults(row))
        rows.append(row)
    if bad:
        raise FormatError(bad)
    return tuple(rows)


def _faults(row: ClipRow) -> list[Problem]:
    times = [row.start, row.end, *(at for at in row.events.values() if not isinstance(at, str))]
    bad = [
        Problem(
            "base", repr(list(at.base)), "two whole numbers above nothing", "send the time base of the film"
        )
        for at in times
        if min(at.base) <= 0
    ]
    if not bad and row.start.part == row.end.part and row.end.seconds < row.start.seconds:
        bad.append(Problem("end", str(row.end.pts), f"a time from {row.start.pts} on", "turn the two around"))
    bad += [
        Problem(f"events.{name}", name, "e0 to e11", "name an event of the clock")
        for name in row.events
        if name not in EVENT_WORDS
    ]
    return bad


def on_line(at: FrameTime, offsets_s: Mapping[str, float] | None = None) -> float:
    """Return the second of a frame time on the game's one time line; without ``offsets_s`` on its part's own clock.

    >>> on_line(FrameTime("second half", 45, (1, 30)), {"second half": 1200.0})
    1201.5
    """
    return float(at.seconds) + (offsets_s or {}).get(at.part, 0.0)
