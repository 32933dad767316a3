"""A game as a table of stoppages (CSV) or a typed list: reads it forgivingly, names every mistake by row.

Lines above the table say what holds for the whole game (names, date, edition, which basket White attacks).
Knows how things are written; whether they can be true is for ``crew.walk``, which is asked here as well, so
that all mistakes come together.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Iterable
from typing import Any

from msgspec import Struct, structs

from tenbetween.book import Book
from tenbetween.court import Court, court_of
from tenbetween.crew import Fault, Opening, Stoppage, Walk, walk
from tenbetween.errors import FormatError, Problem, TenbetweenError
from tenbetween.formats import game_words as words
from tenbetween.formats.game_lines import read_line
from tenbetween.situation import Floor
from tenbetween.units import um_from_feet

Reader = Callable[[str, str, words.Vocabulary], Any]
COLUMNS: dict[str, tuple[tuple[str, ...], Reader | None]] = {
    "period": (("quarter", "period", "qtr", "q", "per"), words.read_period),
    "clock": (("clock", "time", "game clock", "time left", "time on the clock"), words.read_clock),
    "why": (
        ("why", "cause", "what", "stopped by", "event", "reason", "stoppage", "what happened"),
        words.read_why,
    ),
    "at": (("at", "place", "where", "location", "spot of the stoppage"), words.read_place),
    "x": (("x", "x ft", "along"), None),
    "y": (("y", "y ft", "across"), None),
    "ball": (("ball", "ball to", "whose ball", "possession", "next ball", "to"), words.read_team),
    "by": (("by", "team", "done by", "offender", "foul by"), words.read_team),
    "had": (("had", "ball had", "who had it", "with the ball", "in control", "control"), words.read_team),
    "called_by": (("called by", "official", "caller", "whistle", "call"), words.read_caller),
    "throw_in": (("throw in", "pending", "due", "throw in due"), words.read_throw_in),
    "length": (("time out", "timeout", "length", "time out length", "seconds"), words.read_length),
    "bonus": (("bonus", "team bonus"), words.read_bonus),
    "pressure": (("pressure", "press", "pressed"), words.read_pressure),
    "note": (("note", "notes", "remark", "remarks", "comment"), None),
    "": (("row", "no", "number", "#", "nr"), None),
}
"""Each column with the names it may have and how its cells are read; the last is passed over."""
_COLUMN_OF = {name: column for column, (names, _) in COLUMNS.items() for name in names}
HEAD = (
    "game", "title", "date", "edition", "layers", "white", "home", "dark", "away", "visitors", "referee",
    "umpire", "white attacks", "home attacks", "floor", "court", "setting", "quarter", "ball", "lead",
    "lead side", "arrow",
)  # fmt: skip
"""What may stand above the table, one a line: its name, then its value."""
_KNOWN_AS = {
    "title": "game",
    "home": "white",
    "away": "dark",
    "visitors": "dark",
    "home attacks": "white attacks",
    "court": "floor",
}


class GameFile(Struct, frozen=True):
    """A game as read: what holds for the whole of it, its rows, and every mistake found on reading."""

    opening: Opening
    edition: str | None
    layers: tuple[str, ...]
    stoppages: tuple[Stoppage, ...]
    faults: tuple[Fault, ...]


def read_game(text: str, court: Court | None = None) -> GameFile:
    r"""Return a game from CSV text or a typed list; mistakes are in it, none is raised.

    Rows are counted as a spreadsheet shows them, the first line being row 1. ``court`` is the floor on which
    landmarks are looked up; without it a U.S. high-school floor.

    >>> game = read_game("why,ball\nstart of game,White\nGOAL,\n")
    >>> [s.why for s in game.stoppages], game.faults
    (['game_start', 'made_goal'], ())
    """
    reading = _Reading(court)
    bare = text.lstrip("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    if "\0" in bare:
        reading.fault(1, Problem("row 1", "zero bytes", "text", "save the list as CSV (UTF-8)"))
    else:
        reading.read(bare)
    return reading.file()


def read_game_bytes(data: bytes, court: Court | None = None) -> GameFile:
    r"""Return a game from the bytes of a file as spreadsheets write them: UTF-8, UTF-16 or Windows.

    >>> read_game_bytes(b"\xef\xbb\xbfwhy;ball\r\nstart;dark\r\n").stoppages[0].ball
    'dark'
    """
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return read_game(data.decode("utf-16", "replace"), court)
    try:
        return read_game(data.decode("utf-8-sig"), court)
    except UnicodeDecodeError:
        return read_game(data.decode("cp1252", "replace"), court)


def walk_game(game: GameFile, book: Book) -> Walk:
    r"""Return the walk of a game that was read; its mistakes on reading and in the game come together.

    >>> from tenbetween.book import load_book
    >>> walk_game(read_game("why,ball\nstart of game,White"), load_book("us-hs-2025")).rows[0].after.arrow
    'dark'

    Raises:
        FormatError: every mistake with its row; nothing is half walked.
    """
    try:
        return walk(book, game.opening, game.stoppages, known=game.faults)
    except TenbetweenError as error:
        raise FormatError(error.problems) from None


class _Reading:
    """One text being read: the opening so far, the rows and the faults."""

    def __init__(self, court: Court | None) -> None:
        self.opening = Opening()
        self.given_court = court
        self.edition: str | None = None
        self.layers: tuple[str, ...] = ()
        self.stoppages: list[Stoppage] = []
        self.faults: list[Fault] = []
        self.starts: dict[str, Any] = {}

    def fault(self, row: int, problem: Problem) -> None:
        self.faults.append(Fault(row, problem))

    @property
    def vocabulary(self) -> words.Vocabulary:
        kind = "fiba" if (self.edition or "").startswith("fiba") else "us-hs"
        court = self.given_court or court_of(kind, self.opening.floor)
        return words.Vocabulary(self.opening, court)

    def file(self) -> GameFile:
        opening = self.opening
        if self.starts:
            opening = structs.replace(opening, standing=structs.replace(opening.standing, **self.starts))
        return GameFile(opening, self.edition, self.layers, tuple(self.stoppages), tuple(self.faults))

    def read(self, text: str) -> None:
        """Read a table where there is one, else lines."""
        rows = _split(text)
        header = _header_row(rows)
        if header is None:
            self.read_lines(text)
        else:
            for number, cells in enumerate(rows[:header], 1):
                self.read_head(number, cells)
            self.read_table(rows, header)
        if not self.stoppages and not self.faults:
            do = (
                "write a first row such as quarter,clock,why,at,ball,by,called by and a row for each stoppage"
            )
            self.fault(1, Problem("row 1", "no stoppage", "a list of stoppages", do))

    # -- the table ---------------------------------------------------------------------------------

    def read_table(self, rows: list[list[str]], header: int) -> None:
        columns = self.read_header(header + 1, rows[header])
        for number, cells in enumerate(rows[header + 1 :], header + 2):
            if any(cell.strip() for cell in cells) and not cells[0].lstrip().startswith("#"):
                self.read_row(number, columns, cells)

    def read_header(self, number: int, cells: list[str]) -> list[str]:
        columns = []
        for cell in cells:
            name = words.plain(cell)
            if name and name not in _COLUMN_OF:
                where = f"row {number}, column {cell.strip()!r}"
                self.fault(number, words.unknown(where, cell, "a column of the list", _COLUMN_OF))
            column = _COLUMN_OF.get(name, "")
            if column and column in columns:
                where, do = f"row {number}, column {cell.strip()!r}", "leave one of the two out"
                self.fault(number, Problem(where, "the same column twice", "each column once", do))
            columns.append(column)
        if "why" not in columns:
            do = "give one column the name 'why'"
            self.fault(
                number, Problem(f"row {number}", "no column 'why'", "a column that says why play stopped", do)
            )
        return columns

    def read_row(self, number: int, columns: list[str], cells: list[str]) -> None:
        if any(cell.strip() for cell in cells[len(columns) :]):
            do = 'put a cell with a comma between quotes, such as "58,0"'
            self.fault(number, Problem(f"row {number}", f"{len(cells)} cells", f"{len(columns)} cells", do))
        given = {c: cell for c, cell in zip(columns, cells, strict=False) if c and cell.strip()}
        fields = {c: self.cell(number, c, cell) for c, cell in given.items() if COLUMNS[c][1]}
        if "why" in given and fields.get("length") is None:
            fields["length"] = _length_in(given["why"])
        fields |= self.point(number, given)
        why = fields.pop("why", None)
        if why is None:
            if "why" not in given and "why" in columns:
                do = "write why play stopped, or clear the row"
                self.fault(number, Problem(f"row {number}, why", "nothing", "why play stopped", do))
            why = "injury"  # stands in for a cause that could not be read; the row is at fault and not walked
        said = {c: value for c, value in fields.items() if value is not None}
        self.stoppages.append(Stoppage(row=number, why=why, note=given.get("note", "").strip(), **said))

    def cell(self, number: int, column: str, text: str) -> Any:
        reader = COLUMNS[column][1]
        try:
            return (
                reader(f"row {number}, {words.title(COLUMNS[column][0][0])}", text, self.vocabulary)
                if reader
                else None
            )
        except TenbetweenError as error:
            for problem in error.problems:
                self.fault(number, problem)
            return None

    def point(self, number: int, given: dict[str, str]) -> dict[str, Any]:
        """The place from columns x and y."""
        if "x" not in given and "y" not in given:
            return {}
        where = f"row {number}, x and y"
        if "x" not in given or "y" not in given or "at" in given:
            found = "at beside x and y" if "at" in given else "only one of x and y"
            self.fault(number, Problem(where, found, "x and y, or at", "write the place once"))
            return {}
        try:
            return {"at": words.point(where, given["x"], given["y"])}
        except TenbetweenError as error:
            self.fault(number, error.problems[0])
            return {}

    # -- lines -------------------------------------------------------------------------------------

    def read_lines(self, text: str) -> None:
        for number, line in enumerate(text.split("\n"), 1):
            if not line.strip() or line.lstrip().startswith("#"):
                continue
            head = re.match(r"\s*([A-Za-z ]+?)\s*[:=]\s*(.+)", line)
            if head and words.plain(head[1]) in HEAD:
                self.read_head(number, [head[1], head[2]])
                continue
            stoppage, problems = read_line(number, line, self.vocabulary)
            self.faults += [Fault(number, problem) for problem in problems]
            if stoppage:
                self.stoppages.append(stoppage)

    # -- what holds for the whole game -------------------------------------------------------------

    def read_head(self, number: int, cells: list[str]) -> None:
        said = [cell.strip() for cell in cells if cell.strip()]
        if not said or said[0].startswith("#"):
            return
        name = words.plain(said[0].rstrip(":"))
        if name not in HEAD:
            where = f"row {number}"
            self.fault(
                number,
                words.unknown(
                    where, said[0], "a line about the whole game, or the names of the columns", HEAD
                ),
            )
            return
        if len(said) < 2:
            self.fault(
                number,
                Problem(
                    f"row {number}, {name}", "nothing", "a value beside it", "write it, or leave the line out"
                ),
            )
            return
        try:
            self.head(f"row {number}, {name}", _KNOWN_AS.get(name, name), said[1], said[2:])
        except TenbetweenError as error:
            self.faults += [Fault(number, problem) for problem in error.problems]

    def head(self, where: str, name: str, value: str, more: list[str]) -> None:
        """Take one line about the whole game."""
        match name:
            case "game":
                self.opening = structs.replace(self.opening, title=value)
            case "white" | "dark" | "referee" | "umpire":
                self.opening = structs.replace(self.opening, **{name: value})
            case "date":
                self.opening = structs.replace(self.opening, date=_date(where, value))
            case "edition":
                self.edition = value
            case "layers":
                self.layers = tuple(re.split(r"[\s+]+", " ".join([value, *more])))
            case "floor":
                self.opening = structs.replace(self.opening, floor=_floor(where, value))
            case "setting":
                self.setting(where, value, more)
            case "white attacks":
                standing = structs.replace(self.opening.standing, white_attacks_first=_end(where, value))
                self.opening = structs.replace(self.opening, standing=standing)
            case _:
                self.start(where, name, value)

    def setting(self, where: str, value: str, more: list[str]) -> None:
        parts = [p.strip() for p in " ".join([value, *more]).replace("=", " ").split()]
        if len(parts) != 2:
            raise TenbetweenError(
                Problem(where, repr(value), "a name and a value", "write setting,name,value")
            )
        settings = dict(self.opening.settings) | {parts[0]: parts[1]}
        self.opening = structs.replace(self.opening, settings=tuple(sorted(settings.items())))

    def start(self, where: str, name: str, value: str) -> None:
        """Take where things stand when the list begins in the middle of a game."""
        match name:
            case "quarter":
                self.starts["period"] = words.read_period(where, value, self.vocabulary)
            case "ball":
                self.starts["control"] = words.read_team(where, value, self.vocabulary)
            case "arrow":
                self.starts["arrow"] = words.read_team(where, value, self.vocabulary)
            case "lead":
                self.starts["lead"] = _person(where, value, self.vocabulary)
            case _:
                self.starts["lead_side"] = _side(where, value)


def _split(text: str) -> list[list[str]]:
    """Return the cells of every row, parted by the delimiter that gives a header."""
    first: list[list[str]] | None = None
    for delimiter in (",", ";", "\t", "|"):
        rows = list(csv.reader(io.StringIO(text), delimiter=delimiter, skipinitialspace=True))
        rows = [row or [""] for row in rows]
        first = first or rows
        if _header_row(rows) is not None:
            return rows
    return first or []


def _header_row(rows: list[list[str]]) -> int | None:
    """Return the first row that names columns: 'why' and another, or three of them."""
    for number, cells in enumerate(rows[:40]):
        known = {_COLUMN_OF[n] for cell in cells if (n := words.plain(cell)) in _COLUMN_OF} - {""}
        if (
            len(known) >= 3
            or (len(known) >= 2 and "why" in known)
            or (len(rows) > 1 and known == {"why"} and len(cells) == 1)
        ):
            return number
    return None


def _length_in(text: str) -> int | None:
    found = re.search(r"\b(60|30)\b", text)
    return int(found[1]) if found else None


def _date(where: str, value: str) -> str:
    if not re.fullmatch(r"\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])", value):
        raise TenbetweenError(
            Problem(where, repr(value), "a day such as 2025-12-02", "write year, month, day")
        )
    return value


def _end(where: str, value: str) -> str:
    word = words.plain(value).split(" ")[0]
    if word not in ("left", "right"):
        do = "say which basket, as seen from the table, White attacks first"
        raise TenbetweenError(Problem(where, repr(value), "left or right", do))
    return word


def _side(where: str, value: str) -> str:
    word = words.plain(value).split(" ")[0]
    if word not in ("table", "opposite"):
        raise TenbetweenError(
            Problem(where, repr(value), "table or opposite", "say which sideline the lead is nearer")
        )
    return word


def _person(where: str, value: str, vocabulary: words.Vocabulary) -> str:
    person = words.read_caller(where, value, vocabulary)
    if person in ("lead", "trail"):
        raise TenbetweenError(
            Problem(where, repr(value), "Referee, Umpire or a name", "say which person is lead")
        )
    return str(person)


def _floor(where: str, value: str) -> Floor:
    found = re.fullmatch(r"([\d.]+)\s*(?:ft)?\s*[x×by]+\s*([\d.]+)\s*(?:ft)?", value.strip().lower())
    if not found:
        raise TenbetweenError(Problem(where, repr(value), "length x width such as 84x50", "write feet"))
    return Floor(um_from_feet(found[1]), um_from_feet(found[2]))


def column_names() -> Iterable[str]:
    """Return the first name of every column, for a blank list.

    >>> list(column_names())[:3]
    ['quarter', 'clock', 'why']
    """
    return [words.title(names[0]) for column, (names, _) in COLUMNS.items() if column not in ("", "x", "y")]
