"""The words people write in a list of stoppages, and what they mean: causes, teams, clocks, places, callers.

Many spellings in, one value out; a word nobody knows comes back with the nearest one that is known. Knows no
column and no row, and does not know whether what is written can be true.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from difflib import get_close_matches
from typing import TypeVar

from msgspec import Struct

from tenbetween.court import Court, landmarks
from tenbetween.crew import Caller, Colour, Opening, Why
from tenbetween.errors import Problem, TenbetweenError
from tenbetween.situation import PointUm
from tenbetween.units import um_from_feet

T = TypeVar("T")

WHY: dict[Why, tuple[str, ...]] = {
    "out_of_bounds": ("out", "ball out", "out of play", "oob", "over the line"),
    "violation": (
        "travel",
        "travelling",
        "traveling",
        "double dribble",
        "kick",
        "kick ball",
        "kicked ball",
        "three seconds",
        "3 seconds",
        "ten seconds",
        "10 seconds",
        "back court violation",
        "backcourt violation",
        "lane violation",
        "closely guarded",
        "carry",
        "palming",
        "basket interference",
        "goaltending",
        "illegal dribble",
    ),
    "throw_in_violation": (
        "five seconds",
        "5 seconds",
        "stepped in",
        "thrower stepped in",
    ),
    "plane_warning": ("boundary plane", "plane", "boundary warning", "delay warning", "broke the plane"),
    "wrong_team": ("wrong team given the ball", "wrong team ball", "given to the wrong team"),
    "common_foul": (
        "foul",
        "personal foul",
        "personal",
        "hold",
        "holding",
        "push",
        "block",
        "blocking",
        "hand check",
    ),
    "player_control_foul": ("player control", "charge", "charging", "offensive foul"),
    "team_control_foul": ("team control", "illegal screen"),
    "shooting_foul": ("foul in the act of shooting", "shooting", "foul on the shot", "shooter fouled"),
    "intentional_foul": ("intentional",),
    "flagrant_foul": ("flagrant",),
    "technical_foul": ("technical", "tech", "bench technical"),
    "double_foul": ("double personal foul", "double personal"),
    "held_ball": ("held", "tie up", "tied up", "jump ball held"),
    "made_goal": (
        "goal",
        "made",
        "basket",
        "field goal",
        "good",
        "made basket",
        "two points",
        "three points",
        "made shot",
        "two",
        "three",
        "score",
        "scored",
    ),
    "made_last_free_throw": (
        "last free throw made",
        "free throw made",
        "made free throw",
        "last throw made",
        "last free throw good",
        "made last throw",
        "free throw good",
    ),
    "missed_last_free_throw": (
        "last free throw missed",
        "free throw missed",
        "missed free throw",
        "last throw missed",
        "missed last throw",
        "missed free throw rebound",
    ),
    "time_out": ("timeout", "charged time out", "full time out", "time"),
    "inadvertent_whistle": ("inadvertent", "whistle by mistake", "accidental whistle"),
    "injury": ("injured", "injured player", "blood", "hurt player"),
    "period_start": (
        "quarter start",
        "start of quarter",
        "quarter",
        "start of the quarter",
        "second quarter",
        "third quarter",
        "fourth quarter",
        "half start",
        "second half",
        "quarter begins",
        "start quarter",
    ),
    "game_start": ("start of game", "start of the game", "opening tap", "tip", "jump ball", "tap", "start"),
    "extra_period_start": ("extra period", "overtime", "start of extra period", "overtime start"),
    "change_of_control": (
        "change",
        "change of possession",
        "steal",
        "rebound",
        "defensive rebound",
        "turnover",
        "interception",
        "turns round",
        "stolen",
        "change hands",
    ),
}
"""Each cause with the other ways it is written; its own name with spaces is always understood."""
BY_FIRST: frozenset[Why] = frozenset(WHY) - {
    "out_of_bounds",
    "change_of_control",
    "held_ball",
    "game_start",
    "period_start",
    "extra_period_start",
    "missed_last_free_throw",
    "wrong_team",
}
"""Causes of which a bare team says who did it; of the others it says whose ball it is."""
_YES = ("yes", "y", "x", "true", "1", "on")
_NO = ("no", "n", "false", "0", "off")
_THROW_IN = {
    "due": ("due", "still due", "pending", "under way", "not over", *_YES),
    "over": ("over", "ended", "done", *_NO),
    "spot": ("spot", "designated spot", "from the spot"),
    "run_end_line": (
        "run end line",
        "run",
        "may run",
        "may run the end line",
        "run the end line",
        "end line",
    ),
}
_PERIODS = {
    1: ("1", "q1", "1st", "first", "1st quarter", "first quarter"),
    2: ("2", "q2", "2nd", "second", "2nd quarter", "second quarter"),
    3: ("3", "q3", "3rd", "third", "3rd quarter", "third quarter"),
    4: ("4", "q4", "4th", "fourth", "4th quarter", "fourth quarter"),
    5: ("5", "ot", "ot1", "overtime", "extra", "extra period", "extra period 1", "e1"),  # codespell:ignore ot
    6: ("6", "ot2", "2ot", "extra period 2", "second extra period", "e2"),
    7: ("7", "ot3", "3ot", "extra period 3", "e3"),
    8: ("8", "ot4", "4ot", "extra period 4", "e4"),
}
_LENGTHS = {
    60: ("60", "60 s", "60 sec", "60 seconds", "full"),
    30: ("30", "30 s", "30 sec", "30 seconds", "short"),
}
TEAM_WORDS: dict[Colour, tuple[str, ...]] = {
    "white": ("white", "w", "home", "h", "light", "home team"),
    "dark": ("dark", "d", "away", "a", "visitor", "visitors", "visiting team", "v", "guest", "guests"),
}
CALLERS: dict[Caller, tuple[str, ...]] = {
    "lead": ("lead", "l"),
    "trail": ("trail", "t"),
    "referee": ("referee", "r", "ref"),
    "umpire": ("umpire", "u", "ump"),
}


class Vocabulary(Struct, frozen=True):
    """The words that change from game to game: names of teams and officials, and the floor."""

    opening: Opening
    court: Court


def plain(text: str) -> str:
    """Return a phrase in small letters, one space between words, "baseline" as "end line".

    >>> plain(" Right  BASELINE_spot ")
    'right end line spot'
    """
    bare = re.sub(r"[\s_\-\u2010-\u2014]+", " ", text.strip().lower()).strip(" .'\"’“”")
    return re.sub(r"\bbase ?lines?\b|\bendlines?\b", "end line", bare)


def title(column: str) -> str:
    """Return the name of a column as it is shown.

    >>> title("time out")
    'time-out'
    """
    return {"time out": "time-out", "throw in": "throw-in"}.get(column, column)


def said_by(table: Mapping[T, Iterable[str]], text: str) -> T | None:
    """Return the value one of whose words this is, or None.

    >>> said_by(CALLERS, "U")
    'umpire'
    """
    word = plain(text)
    return next((value for value, words in table.items() if word in words), None)


def unknown(where: str, text: str, expected: str, words: Iterable[str]) -> Problem:
    """Return the problem of a word that is not known, with the nearest one that is.

    >>> unknown("row 2, why", "helt ball", "why play stopped", ["held ball"]).do
    "did you mean 'held ball'?"
    """
    listed = list(words)
    near = get_close_matches(plain(text), listed, n=1, cutoff=0.55)
    do = f"did you mean {near[0]!r}?" if near else "write one of " + ", ".join(listed[:6])
    return Problem(where, repr(text), expected, do)


def why_words() -> dict[str, Why]:
    """Return every phrase for a cause.

    >>> why_words()["timeout"], why_words()["out of bounds"]
    ('time_out', 'out_of_bounds')
    """
    named: dict[str, Why] = {plain(other): why for why, others in WHY.items() for other in others}
    return named | {plain(why): why for why in WHY}


_WHY_WORDS = why_words()


def read_why(where: str, text: str, _: Vocabulary) -> Why:
    """Return the cause.

    Raises:
        TenbetweenError: no such cause; the nearest one is named.
    """
    word = plain(re.sub(r"\b(60|30)\b\s*(s|sec|seconds)?\b", "", text))
    found = _WHY_WORDS.get(word)
    if found is None:
        raise TenbetweenError(unknown(where, text, "why play stopped", _WHY_WORDS))
    return found


def team_table(opening: Opening) -> dict[Colour, tuple[str, ...]]:
    """Return the words for each team, their names among them.

    >>> team_table(Opening(dark="Pell Hollow"))["dark"][0]
    'pell hollow'
    """
    return {colour: (plain(opening.name_of(colour)), *words) for colour, words in TEAM_WORDS.items()}


def read_team(where: str, text: str, words: Vocabulary) -> Colour:
    """Return the team.

    Raises:
        TenbetweenError: neither a colour, home or away, nor the name of one of the two.
    """
    table = team_table(words.opening)
    found = said_by(table, text)
    if found is None:
        known = [word for each in table.values() for word in each if len(word) > 1]
        raise TenbetweenError(unknown(where, text, "one of the two teams", known))
    return found


def caller_table(opening: Opening) -> dict[Caller, tuple[str, ...]]:
    """Return the words for each official: role, R or U, full name and its last word.

    >>> "whitlock" in caller_table(Opening(referee="Dara Whitlock"))["referee"]
    True
    """
    table = dict(CALLERS)
    for person in ("referee", "umpire"):
        name = plain(opening.name_of(person))
        table[person] = (*CALLERS[person], name, name.split(" ")[-1])
    return table


def read_caller(where: str, text: str, words: Vocabulary) -> Caller:
    """Return who called it: a role or a person.

    Raises:
        TenbetweenError: neither a role, nor Referee or Umpire, nor the name of one of the two.
    """
    table = caller_table(words.opening)
    found = said_by(table, text)
    if found is None:
        known = [word for each in table.values() for word in each if len(word) > 1]
        raise TenbetweenError(unknown(where, text, "lead, trail, Referee, Umpire or a name", known))
    return found


def _choice(table: Mapping[T, Iterable[str]], expected: str) -> Callable[[str, str, Vocabulary], T]:
    def read(where: str, text: str, _: Vocabulary) -> T:
        found = said_by(table, text)
        if found is None:
            words = [word for each in table.values() for word in each if len(word) > 1]
            raise TenbetweenError(unknown(where, text, expected, words))
        return found

    return read


read_period = _choice(_PERIODS, "a quarter 1 to 4, or an extra period")
read_throw_in = _choice(_THROW_IN, "due, over, spot or run end line")
read_length = _choice(_LENGTHS, "60 or 30")
read_yes = _choice({True: _YES, False: _NO}, "yes or no")
read_bonus = _choice({True: (*_YES, "bonus"), False: (*_NO, "no bonus")}, "yes or no")
read_pressure = _choice({True: (*_YES, "pressed", "press", "pressure"), False: _NO}, "yes or no")


def read_clock(where: str, text: str, _: Vocabulary) -> int:
    """Return the game clock in tenths of a second: 7:32, 07:32, :45, 0:03.4, or 07:32:00 from a spreadsheet.

    Raises:
        TenbetweenError: not a clock.
    """
    bare = text.strip()
    found = re.fullmatch(r"(\d{1,2}):(\d{2}):00(?:\s*[AaPp][Mm])?", bare)
    found = found or re.fullmatch(r"(\d{1,2})[:'](\d{2}(?:[.,]\d)?)\"?", bare)
    found = (
        found or re.fullmatch(r"(\d{1,2})\.(\d{2})", bare) or re.fullmatch(r"():?(\d{1,2}(?:[.,]\d)?)", bare)
    )
    seconds = float(found[2].replace(",", ".")) if found else 60.0
    if found is None or seconds >= 60:
        raise TenbetweenError(
            Problem(where, repr(text), "a game clock such as 7:32 or 0:03.4", "write minutes and seconds")
        )
    return int(found[1] or 0) * 600 + round(seconds * 10)


_NUMBER = r"[-+]?\d+(?:[.,]\d+)?"
_PAIR = re.compile(rf"\(?\s*({_NUMBER})\s*(?:ft)?\s*[;/ ]\s*({_NUMBER})\s*(?:ft)?\s*\)?")
_COMMA = re.compile(r"\(?\s*([-+]?\d+(?:\.\d+)?)\s*,\s*([-+]?\d+(?:\.\d+)?)\s*\)?")
_ON_LINE = re.compile(
    rf"(?:at )?(left|right|table|opposite)(?: (?:side|side ?line|end line|line))* ({_NUMBER})(?: ft)?"
)


def read_place(where: str, text: str, words: Vocabulary) -> PointUm:
    """Return a place: "58,0" in feet, a line with feet along it ("table sideline 58"), or a landmark's name.

    Raises:
        TenbetweenError: not a place.
    """
    bare = text.strip()
    pair = _COMMA.fullmatch(bare) or _PAIR.fullmatch(bare)
    if pair:
        return point(where, pair[1], pair[2])
    on_line = _ON_LINE.fullmatch(plain(bare))
    if on_line:
        return _along(words.court, on_line[1], um_from_feet(on_line[2].replace(",", ".")))
    named = {plain(name): at for name, at in landmarks(words.court).items()}
    if plain(bare) in named:
        x, y = named[plain(bare)]
        return (um_from_feet(x), um_from_feet(y))
    expected = "x,y in feet from the left end line and the table sideline, or a landmark"
    raise TenbetweenError(unknown(where, text, expected, ["58,0", *named]))


def _along(court: Court, line: str, along: int) -> PointUm:
    at_side = {"table": 0, "opposite": court.width}
    if line in at_side:
        return (along, at_side[line])
    return (0 if line == "left" else court.length, along)


def point(where: str, x: str, y: str) -> PointUm:
    """Return a point from two numbers of feet as written.

    >>> point("row 2, at", "58,5", "0")
    (17830800, 0)

    Raises:
        TenbetweenError: not two numbers.
    """
    try:
        return (um_from_feet(x.strip().replace(",", ".")), um_from_feet(y.strip().replace(",", ".")))
    except TenbetweenError:
        raise TenbetweenError(
            Problem(where, f"{x!r}, {y!r}", "two numbers of feet", "write numbers such as 58 and 0")
        ) from None
