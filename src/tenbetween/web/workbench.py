"""What the screens need of the desk: one protocol, and the dictionaries it hands over.

The shapes are plain JSON values, so a page and a program read the same; words are the desk's.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from random import Random
from typing import Any, Protocol, TypedDict

from tenbetween.web.film_room import FilmRoom

Json = dict[str, Any]
"""A JSON object."""


class Look(TypedDict):
    """How a court is drawn, whole or half, turned for a table on the other side, and the teams."""

    shape: str
    """``whole`` or ``half``."""
    turned: bool
    end: str
    """The end a half court shows: ``left`` or ``right``."""
    team: str
    """Colour of the team that attacked, for the words."""


class Picture(TypedDict):
    """A drawn court: SVG without styles of its own, and how feet become its units.

    ``frame`` is (a, b, c, d, e, f): an SVG unit is a*x + c*y + e, b*x + d*y + f for court feet x, y.
    """

    svg: str
    frame: tuple[float, float, float, float, float, float]


class EditionChoice(TypedDict):
    """One edition to choose: id, full title, short title, length and width of its usual floor in feet."""

    id: str
    title: str
    short: str
    length: float
    width: float


class LayerChoice(TypedDict):
    """One layer to choose: whose authority and when it was entered."""

    id: str
    title: str
    authority: str
    entered: str


class Start(TypedDict):
    """What a fresh screen begins with: the edition in force today and the layers always used."""

    edition: str
    layers: Sequence[str]
    editions: Sequence[EditionChoice]
    layer_choices: Sequence[LayerChoice]
    settings: Mapping[str, str]


class Workbench(Protocol):
    """Everything a page may ask; every call raises ``TenbetweenError`` with directions on bad input."""

    @property
    def today(self) -> str:
        """Return today as an ISO day, for forms."""
        ...

    @property
    def films(self) -> FilmRoom:
        """Return the film room."""
        ...

    # -- the answer -----------------------------------------------------------------------------------
    def start(self) -> Start:
        """Return what a fresh screen begins with."""
        ...

    def read_line(self, line: str) -> Json:
        """Return the situation of one typed line, as contract JSON."""
        ...

    def answer(self, situation: Json, look: Look | None = None) -> Json:
        """Return {"answer", "view", "svg", "frame"}: contract answer, words for the screen, the diagram."""
        ...

    def court(self, edition: str, look: Look) -> Picture:
        """Return an empty court."""
        ...

    def compare(self, situation: Json) -> Sequence[Json]:
        """Return what each other edition says, and where it differs (part, here, there)."""
        ...

    # -- taking it along ------------------------------------------------------------------------------
    def sheet(self, situation: Json, kind: str, look: Look) -> bytes:
        """Return the sheet as ``pdf``, ``svg`` or ``png``."""
        ...

    def one_file(self, situation: Json) -> str:
        """Return the answer as one HTML file that needs nothing else."""
        ...

    # -- the book -------------------------------------------------------------------------------------
    def book(self, edition: str, layers: Sequence[str]) -> Json:
        """Return head, groups of provisions in short, settings in force, totals."""
        ...

    def provision(self, edition: str, layers: Sequence[str], id: str) -> Json:
        """Return one provision with rows, history and what rests on it."""
        ...

    def search(self, edition: str, layers: Sequence[str], text: str) -> Sequence[Json]:
        """Return provisions that have all words, best first: id, title, sentence."""
        ...

    def changes(self, before: str, after: str, layers: Sequence[str]) -> Json:
        """Return what changed between two editions: before, after, changes, only_before, only_after, reworded."""
        ...

    # -- writing --------------------------------------------------------------------------------------
    def entry_form(self, situation: Json, part: str) -> Json:
        """Return the form that enters an answer: at most 12 fields with label, kind, value, choices."""
        ...

    def write(self, form: Mapping[str, str], *, keep: bool) -> Json:
        """Check a filled form; when ``keep`` and clean, keep it: problems, before, after, text, kept."""
        ...

    def question(self, situation: Json) -> Json:
        """Return the letter to the interpreter about what is open: title, text."""
        ...

    def history(self, before: int | None = None) -> Json:
        """Return journal entries, newest first, and whether undo and redo are possible."""
        ...

    def undo(self, entry: str | None) -> Json:
        """Take back an entry or the last change; return what was taken back in words."""
        ...

    def redo(self, entry: str | None) -> Json:
        """Take back an undo."""
        ...

    # -- what is kept ---------------------------------------------------------------------------------
    def notes(self, situation: Json) -> Json:
        """Return what is kept about a situation: stamps, advice, frozen, saved."""
        ...

    def keep(self, kind: str, situation: Json | None, form: Mapping[str, str]) -> Json:
        """Keep an answer, stamp, advice, frozen, official, crew, setting; ``settle`` advice."""
        ...

    def frozen(self) -> Json:
        """Return the frozen situations, each with what every edition and layer says to it now."""
        ...

    def saved(self) -> Sequence[Json]:
        """Return the saved answers, newest first."""
        ...

    def officials(self) -> Json:
        """Return officials and crews."""
        ...

    def settings(self, edition: str, layers: Sequence[str]) -> Sequence[Json]:
        """Return every setting in force: name, title, what, value, values, set_by."""
        ...

    # -- games ----------------------------------------------------------------------------------------
    def games(self) -> Sequence[Json]:
        """Return the walked games."""
        ...

    def walk(self, form: Mapping[str, str], *, keep: bool) -> Json:
        """Walk a typed list of stoppages: rows, totals, problems with their row."""
        ...

    def game(self, id: str) -> Json:
        """Return one walked game."""
        ...

    # -- the court ------------------------------------------------------------------------------------
    def board_of_answer(self, line: str, formation: str, dice: Random, *, turned: bool) -> Json:
        """Return the court screen of an answer staged with a formation; without a line, one to begin with."""
        ...

    def board_of_line(self, scene: str, dice: Random, *, turned: bool) -> Json:
        """Return the court screen of a scene in one line."""
        ...

    def board_of_play(self, id: str, dice: Random, *, turned: bool) -> Json:
        """Return the court screen of a saved play."""
        ...

    def board_of_file(self, text: str, name: str, dice: Random, *, turned: bool) -> Json:
        """Return the court screen of an opened file, and what was left out on reading."""
        ...

    def seen(self, scene: Json, line: str, step: int, dice: Random) -> Json:
        """Return what is seen of a contract scene; with the line of its situation, by that answer's lines."""
        ...

    def save_play(self, play: Json, title: str = "", id: str | None = None, seen: str | None = None) -> Json:
        """Keep a play under a title, or its changes under its id and the version that was seen: id, href, words."""
        ...

    def plays(self, provision: str | None = None) -> Sequence[Json]:
        """Return the saved plays, newest first; those that show a provision when one is named."""
        ...

    def withdraw_play(self, id: str) -> Json:
        """Withdraw a play; undo brings it back."""
        ...

    def play_file(
        self,
        play: Json,
        kind: str,
        step: int,
        *,
        progress: Callable[[int, int], object] | None = None,
        cancel: Callable[[], bool] | None = None,
    ) -> tuple[str, bytes]:
        """Return a file name and the play as svg, mp4, gif, pdf, png or json."""
        ...
