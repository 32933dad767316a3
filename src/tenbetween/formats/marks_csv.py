"""Marked pieces of film as a table for a spreadsheet: one row a piece, columns in plain words.

Whole numbers beside the seconds, so that nothing is lost on the way back. No cell can be taken for a formula.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping, Sequence
from typing import Any

from tenbetween.errors import FormatError, Problem
from tenbetween.formats.clip_rows import EVENT_WORDS, NOT_SEEN, ClipRow, FrameTime, clip_rows, on_line

FIRST = ("title", "film", "part", "from (s)", "to (s)")
LAST = ("tags", "note", "time base", "from (ticks)", "to (ticks)")
TICKS = " (ticks)"
COLUMNS = (
    *FIRST,
    *(f"{word} (s)" for word in EVENT_WORDS.values()),
    *LAST,
    *(w + TICKS for w in EVENT_WORDS.values()),
)
"""Seconds are those of the game's one time line, where it is handed in, else of the film's own clock; ticks are whole
numbers of the time base. A time in another part than the row's says so: ``1024 in PART at 1/15360``.
"""
ELSEWHERE = re.compile(r"(-?\d+) in (.*) at (\d+)/(\d+)", re.DOTALL)
DANGEROUS = ("=", "+", "-", "@", "\t", "\r", "\n", "'")
"""A text that begins so could be taken for a formula, or for a mark against one: it gets a mark before it."""


def marks_csv(rows: Sequence[ClipRow], offsets_s: Mapping[str, float] | None = None) -> str:
    """Return rows as comma-separated values with a line of headings; ``offsets_s`` as for chapters."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for row in rows:
        writer.writerow(_cells(row, offsets_s))
    return out.getvalue()


def read_marks_csv(text: str) -> tuple[ClipRow, ...]:
    """Return the rows of a table written by ``marks_csv``; columns may be moved, but not renamed.

    Raises:
        FormatError: a column is missing or a cell cannot be read; all of them are told.
    """
    reader = csv.DictReader(io.StringIO(text.removeprefix("\ufeff"), newline=""), strict=True)
    try:
        lines = list(reader)
    except csv.Error as error:
        raise FormatError(
            Problem("table", str(error), "comma-separated values", "save it again as CSV")
        ) from None
    lost = [name for name in COLUMNS if name not in (reader.fieldnames or ())]
    if lost:
        raise FormatError(
            Problem("table", f"no column {lost[0]!r}", ", ".join(COLUMNS), "put the headings back")
        )
    bad: list[Problem] = []
    given = []
    for number, line in enumerate(lines):
        try:
            given.append(_given(line))
        except (ValueError, TypeError) as error:
            bad.append(
                Problem(f"[{number}]", str(error), "whole ticks and a base such as 1/90000", "mend the row")
            )
    if bad:
        raise FormatError(bad)
    return clip_rows(given)


def safe(text: str) -> str:
    """Return a text no spreadsheet takes for a formula.

    >>> safe("=1+1"), safe("Lead hands the ball")
    ("'=1+1", 'Lead hands the ball')
    """
    return f"'{text}" if text.startswith(DANGEROUS) else text


def _plain(text: str) -> str:
    return text[1:] if text.startswith("'") and text[1:].startswith(DANGEROUS) else text


def _cells(row: ClipRow, offsets_s: Mapping[str, float] | None) -> list[str]:
    seen = [row.events.get(name) for name in EVENT_WORDS]

    def second(at: FrameTime) -> str:
        return f"{on_line(at, offsets_s):.3f}"

    return [
        *(safe(one) for one in (row.title, row.film, row.start.part)),
        second(row.start),
        second(row.end),
        *(second(at) if isinstance(at, FrameTime) else at or "" for at in seen),
        safe(_listed(row.tags)),
        safe(row.note),
        f"{row.start.base[0]}/{row.start.base[1]}",
        str(row.start.pts),
        _ticks(row.end, row),
        *(_ticks(at, row) if isinstance(at, FrameTime) else at or "" for at in seen),
    ]


def _ticks(at: FrameTime, row: ClipRow) -> str:
    """Return the ticks of a time, with its part and base where they are not the row's."""
    if (at.part, at.base) == (row.start.part, row.start.base):
        return str(at.pts)
    return f"{at.pts} in {at.part} at {at.base[0]}/{at.base[1]}"


def _given(line: dict[str, str]) -> dict[str, Any]:
    above, _, below = line["time base"].partition("/")
    part = _plain(line["part"])

    def at(cell: str) -> dict[str, Any] | str:
        if cell == NOT_SEEN:
            return NOT_SEEN
        if found := ELSEWHERE.fullmatch(cell):
            pts, other, over, under = found.groups()
            return {"part": other, "pts": int(pts), "base": [int(over), int(under)]}
        return {"part": part, "pts": int(cell), "base": [int(above), int(below)]}

    cells = {name: line[word + TICKS] for name, word in EVENT_WORDS.items()}
    return {
        "title": _plain(line["title"]),
        "film": _plain(line["film"]),
        "start": at(line["from (ticks)"]),
        "end": at(line["to (ticks)"]),
        "events": {name: at(cell) for name, cell in cells.items() if cell},
        "tags": _unlisted(_plain(line["tags"])),
        "note": _plain(line["note"]),
    }


def _listed(tags: Sequence[str]) -> str:
    """Return tags in one cell: a table of one row in it, so that a tag may hold anything."""
    if not tags:
        return ""
    out = io.StringIO()
    csv.writer(out, delimiter=";", lineterminator="", quoting=csv.QUOTE_MINIMAL).writerow(tags)
    return out.getvalue()


def _unlisted(cell: str) -> list[str]:
    return next(csv.reader(io.StringIO(cell, newline=""), delimiter=";", strict=True), []) if cell else []
