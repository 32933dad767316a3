"""Tracks as a table: a line for each body at each time, columns in any order, as people and spreadsheets write them.

Columns: time, id, team (or role: lead, trail, ball), x, y, and facing where it is known. Separated by comma, semicolon
or tab; a decimal comma where commas do not separate. Lines above the table may say units, court and origin. Knows
no floor: what the cells mean is for ``tracks`` to judge.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator
from typing import Any

from tenbetween.errors import FormatError, Problem
from tenbetween.formats.track_lines import Notes, Raw, number_of, shown

COLUMNS: dict[str, tuple[str, ...]] = {
    "t": ("t", "time", "seconds", "second", "sec", "s", "timestamp"),
    "id": ("id", "player", "name", "number", "player id", "no", "who"),
    "team": ("team", "side", "squad", "team or role", "team role", "team id"),
    "role": ("role", "kind"),
    "x": ("x",),
    "y": ("y",),
    "facing": ("facing", "heading"),
}
"""Each column and the names it may have."""
HEAD = ("units", "court", "origin", "version")
UNIT_WORDS = {
    "ft": "ft",
    "feet": "ft",
    "foot": "ft",
    "m": "m",
    "metres": "m",
    "meters": "m",
    "metre": "m",
    "meter": "m",
}
MOST_HEAD_LINES = 40
BALL = "ball"
_NAME_OF = {name: column for column, names in COLUMNS.items() for name in names}
Lines = Iterator[tuple[int, str]]


def read_table(lines: Lines, notes: Notes) -> tuple[dict[str, Any], Iterator[Raw]]:
    """Return what the lines above a table say of the whole file, and its frames.

    >>> told, raws = read_table(iter([(1, "units;m"), (2, "Time;ID;Team;X;Y"), (3, "0,5;7;a;1,25;2")]), Notes())
    >>> told, [(raw.t, raw.players[0]["x"]) for raw in raws]
    ({'units': 'm'}, [(0.5, 1.25)])

    Raises:
        FormatError: no row of column names with time, id, team, x and y.
    """
    told: dict[str, Any] = {}
    seen: list[str] = []
    for number, text in lines:
        separator = _separator(text)
        cells = _cells(text, separator) or []
        columns = [_column(cell) for cell in cells]
        if {"t", "x", "y"} <= {name for name, _ in columns}:
            _whole(number, columns)
            _strange(number, cells, columns, notes)
            told = {**_units_of(number, columns, told), **told}
            return told, _frames(lines, separator, [name for name, _ in columns], notes)
        _told(text, told, seen)
        if len(seen) > MOST_HEAD_LINES:
            break
    found = shown(seen[0]) if seen else "nothing"
    do = "write a first line such as t,id,team,x,y"
    raise FormatError(
        [*notes.first, Problem("tracks", found, "a line that names the columns, or JSON Lines", do)]
    )


def _separator(text: str) -> str:
    bare = re.sub(r'"[^"]*"', "", text)
    return max(("\t", ";", ","), key=lambda sign: (bare.count(sign), sign != ","))


def _cells(text: str, separator: str) -> list[str] | None:
    try:
        return next(csv.reader([text], delimiter=separator), [])
    except csv.Error:
        return None


def _column(cell: str) -> tuple[str, str]:
    """Return which column a name means, and its unit where it says one: ``x (m)``, ``y_ft``."""
    bare = " ".join(re.sub(r"[^a-z]+", " ", cell.lower()).split())
    if bare in _NAME_OF:
        return _NAME_OF[bare], ""
    name, _, unit = bare.rpartition(" ")
    if name in ("x", "y") and unit in UNIT_WORDS:
        return name, UNIT_WORDS[unit]
    return (_NAME_OF[name], "") if unit in ("s", "sec", "deg") and name in _NAME_OF else ("", "")


def _whole(number: int, columns: list[tuple[str, str]]) -> None:
    names = [name for name, _ in columns if name]
    where = f"line {number}"
    problems = [
        Problem(where, f"two columns {name!r}", "each column once", "leave one of the two out")
        for name in COLUMNS
        if names.count(name) > 1
    ]
    if "team" not in names and "role" not in names:
        problems.append(Problem(where, "no column 'team'", "a column that names the team", "add one"))
    if "id" not in names:
        problems.append(Problem(where, "no column 'id'", "a column that names the player", "add one"))
    if problems:
        raise FormatError(problems)


def _strange(number: int, cells: list[str], columns: list[tuple[str, str]], notes: Notes) -> None:
    for cell, (name, _) in zip(cells, columns, strict=True):
        if not name and cell.strip():
            notes.unknown_name(f"line {number}", cell.strip(), tuple(COLUMNS))


def _units_of(number: int, columns: list[tuple[str, str]], told: dict[str, Any]) -> dict[str, str]:
    units = {unit for name, unit in columns if name in ("x", "y") and unit}
    said = {told["units"]} if "units" in told else set()
    if len(units | said) > 1:
        found = " and ".join(sorted(units | said))
        raise FormatError(Problem(f"line {number}", found, "one unit", "say the unit once"))
    return {"units": units.pop()} if units else {}


def _told(text: str, told: dict[str, Any], seen: list[str]) -> None:
    """Take what a line above the table says: ``units: m``, ``court;fiba``."""
    seen.append(text)
    found = re.match(r'\W*(\w+)\s*[:=;,\t]\s*"?([^";\t]*)', text)
    if found and found[1].lower() in HEAD:
        name, value = found[1].lower(), found[2].strip().rstrip(",").strip()
        told[name] = UNIT_WORDS.get(value.lower(), value) if name == "units" else value.lower()


# -- rows to frames ----------------------------------------------------------------------------------------------


def _frames(lines: Lines, separator: str, columns: list[str], notes: Notes) -> Iterator[Raw]:
    """Gather the rows of one time into one frame."""
    rows: list[dict[str, Any]] = []
    for number, text in lines:
        row = _row(number, text, separator, columns, notes)
        if row is None:
            continue
        if rows and row["t"] != rows[0]["t"]:
            yield _raw(rows)
            rows = []
        rows.append(row)
    if rows:
        yield _raw(rows)


def _row(number: int, text: str, separator: str, columns: list[str], notes: Notes) -> dict[str, Any] | None:
    cells = _cells(text, separator)
    where = f"line {number}"
    if cells is None or any(cell.strip() for cell in cells[len(columns) :]) or len(cells) < 2:
        found = "no table row" if cells is None else f"{len(cells)} cells"
        do = "separate cells by semicolons where numbers have a decimal comma"
        notes.add("line", where, found, f"{len(columns)} cells", do)
        return None
    row: dict[str, Any] = {name: cell.strip() for name, cell in zip(columns, cells, strict=False) if name}
    for name in ("t", "x", "y", "facing"):
        if name in row:
            row[name] = _number(row[name])
    if number_of(row.get("t")) is None:
        notes.add("time", where, shown(row.get("t")), "seconds", "write a number such as 0.2")
        return None
    return {**row, "line": number}


def _number(cell: str) -> Any:
    """Return a cell as a number, with a decimal point or comma; empty is nothing, anything else stays as it is."""
    if not cell:
        return None
    text = cell.replace(",", ".") if cell.count(",") == 1 and "." not in cell else cell
    plain = re.fullmatch(r"[-+]?(\d{1,15}\.?\d{0,30}|\.\d{1,30})([eE][-+]?\d{1,3})?", text)
    return float(text) if plain else (float("nan") if text.lower() == "nan" else cell)


def _raw(rows: list[dict[str, Any]]) -> Raw:
    players: list[Any] = []
    officials: list[Any] = []
    ball = None
    for row in rows:
        role = _role(row)
        if role == BALL:
            ball = [row.get("x"), row.get("y")]
        elif role:
            officials.append({**row, "role": role})
        else:
            players.append({**row, "team": row.get("team") or row.get("role")})
    return Raw(rows[0]["line"], rows[0]["t"], ball, players, officials, [], by_line=True)


def _role(row: dict[str, Any]) -> str:
    """Return lead, trail or ball where a row says so in any of its words."""
    for name in ("role", "team", "id"):
        word = str(row.get(name, "")).lower()
        if word in ("lead", "trail", BALL):
            return word
    return ""
