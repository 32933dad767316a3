"""A scene as one line of text, and the line of a play: two pairs, each read back as it was written.

    us-hs | a1 20,25 b1 22,25 | a1-b1 ball | ball 20,25 | lead -3,34 | trail 28,12 @90

Six pieces between upright strokes: the floor, the players, the matchups, the ball, lead and trail. Feet in the court
frame, ``@`` degrees from +x towards +y. What is wrong is told with its place; the values are checked as in JSON.
"""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from typing import Any

from tenbetween import notation
from tenbetween.court import KINDS, Court, court_of
from tenbetween.errors import FormatError, Problem, one_of
from tenbetween.formats.scene_json import court_as_dict, read_scene
from tenbetween.scene import FORMATIONS, ROLES, Matchup, Official, Player, Scene, known_part
from tenbetween.situation import Situation
from tenbetween.units import FOOT

PIECES = ("floor", "players", "matchups", "ball", "lead", "trail")
NONE = "-"
LONGEST = 4_000
_NUMBER = r"[+-]?(?:\d{1,40}\.?\d{0,40}|\.\d{1,40})(?:[eE][+-]?\d{1,3})?"
_NAME = r'[A-Za-z][A-Za-z0-9_]{0,39}|"(?:[^"\\]|\\.)*"'
_PLAYER = re.compile(
    rf"\s*(?:(?P<team>[ab]):)?(?P<name>{_NAME})\s+(?P<x>{_NUMBER})\s*,\s*(?P<y>{_NUMBER})(?=\s|$)"
)
_MATCHUP = re.compile(rf"\s*(?P<first>{_NAME})\s*-\s*(?P<second>{_NAME})(?:\s+(?P<act>\w+))?\s*(?P<more>,|$)")
_PLACE = re.compile(rf"\s*(?P<x>{_NUMBER})\s*,\s*(?P<y>{_NUMBER})(?:\s*@\s*(?P<facing>{_NUMBER}))?\s*")
_FLOOR = re.compile(rf"\s*(?P<kind>[\w-]+)(?:\s+(?P<length>{_NUMBER})\s*x\s*(?P<width>{_NUMBER}))?\s*")
_SIMPLE = re.compile(r"[A-Za-z][A-Za-z0-9_]*\Z")


# ---- out ----


def scene_line(scene: Scene) -> str:
    """Return a scene as one line; ``read_scene_line`` gives it again. Players of unknown place are left out.

    >>> from tenbetween.scene import Crew
    >>> crew = Crew(Official((-3.0, 34.0)), Official((28.0, 12.0), 90.0))
    >>> scene_line(Scene((Player("a1", "a", (20.0, 25.5)),), (), (20.0, 25.5), crew))
    'us-hs | a1 20,25.5 | - | ball 20,25.5 | lead -3,34 | trail 28,12 @90'
    """
    known = known_part(scene)
    pieces = [
        _floor(known.court),
        " ".join(map(_player, known.players)) or NONE,
        ", ".join(map(_matchup, known.matchups)) or NONE,
        f"ball {_place(known.ball)}",
        *(f"{role} {_official(known.crew.of(role))}" for role in ROLES),
    ]
    return " | ".join(pieces)


def _floor(court: Court) -> str:
    if court == court_of(court.kind):
        return court.kind
    return f"{court.kind} {_number(round(court.length / FOOT, 6))}x{_number(round(court.width / FOOT, 6))}"


def _player(player: Player) -> str:
    plain = _SIMPLE.match(player.id) and player.id[0] == player.team
    name = player.id if plain else f"{player.team}:{_name(player.id)}"
    return f"{name} {_place(player.at)}"


def _matchup(matchup: Matchup) -> str:
    pair = f"{_name(matchup.attacker)}-{_name(matchup.defender)}"
    return pair if matchup.act == "off_ball" else f"{pair} {matchup.act}"


def _official(official: Official) -> str:
    return _place(official.at) + ("" if official.facing is None else f" @{_number(official.facing)}")


def _place(at: Sequence[float]) -> str:
    return f"{_number(at[0])},{_number(at[1])}"


def _name(name: str) -> str:
    return name if _SIMPLE.match(name) else json.dumps(name, ensure_ascii=False)


def _number(value: float) -> str:
    return repr(float(value)).removesuffix(".0")


# ---- in ----


def read_scene_line(line: str) -> Scene:
    """Return the scene of a line.

    >>> read_scene_line("us-hs | a1 20,25 | - | ball 20,25 | lead -3,34 | trail 28,12 @90").crew.trail.facing
    90.0

    Raises:
        FormatError: everything that is wrong with it.
    """
    if len(line) > LONGEST:
        raise FormatError(Problem("line", "too much", f"at most {LONGEST} letters", "write one scene a line"))
    pieces = _split(line)
    if len(pieces) != len(PIECES):
        found = f"{len(pieces)} pieces"
        expected = f"{len(PIECES)} pieces between strokes: {', '.join(PIECES)}"
        raise FormatError(Problem("line", found, expected, f"write {NONE} where there is none"))
    reader = _Reader()
    given = reader.scene(pieces)
    if reader.problems:
        raise FormatError(reader.problems)
    return read_scene(given)


def _split(line: str) -> list[str]:
    """Return the pieces between strokes; a stroke inside a quoted name is part of the name."""
    pieces = re.findall(r'(?:"(?:[^"\\]|\\.)*"|[^|"]|")*(?:\||$)', line.strip())
    return [piece.removesuffix("|").strip() for piece in pieces[: -1 if line.strip() else None]]


class _Reader:
    """One line being read; every fault is gathered."""

    def __init__(self) -> None:
        self.problems: list[Problem] = []

    def fault(self, where: str, found: str, expected: str, do: str) -> None:
        """Note a fault."""
        self.problems.append(Problem(where, ascii(found[:60]), expected, do))

    def scene(self, pieces: Sequence[str]) -> dict[str, Any]:
        """Return the scene as JSON has it; to be thrown away when there are problems."""
        floor, players, matchups, ball, lead, trail = pieces
        return {
            "court": self.floor(floor),
            "players": self.players(players),
            "matchups": self.matchups(matchups),
            "ball": self.ball(ball),
            "officials": {"lead": self.official(lead, "lead"), "trail": self.official(trail, "trail")},
        }

    def floor(self, piece: str) -> Any:
        """Return the floor: a kind of court, with length and width when they are not the usual ones."""
        found = _FLOOR.fullmatch(piece)
        if found is None:
            self.fault("floor", piece, "a court, with its size or without", "write us-hs, or us-hs 94x50")
            return None
        if found["kind"] not in KINDS:
            self.problems.append(one_of("floor", found["kind"][:40], KINDS))
            return None
        if found["length"] is None:
            return court_as_dict(court_of(found["kind"]))
        return {"edition": found["kind"], "length": _value(found["length"]), "width": _value(found["width"])}

    def players(self, piece: str) -> list[dict[str, Any]]:
        """Return the players."""
        return [
            self.player(found) for found in self.each(_PLAYER, piece, "players", "a name and x,y", "a1 20,25")
        ]

    def player(self, found: re.Match[str]) -> dict[str, Any]:
        """Return one player; his team is the letter before the colon, else the first of his name."""
        name = self.name(found["name"], "players")
        return {
            "id": name,
            "team": found["team"] or name[:1],
            "x": _value(found["x"]),
            "y": _value(found["y"]),
        }

    def matchups(self, piece: str) -> list[list[str]]:
        """Return the matchups."""
        found = self.each(_MATCHUP, piece, "matchups", "pairs with commas between", "a1-b1 ball, a2-b2")
        return [
            [
                self.name(one["first"], "matchups"),
                self.name(one["second"], "matchups"),
                one["act"] or "off_ball",
            ]
            for one in found
        ]

    def each(
        self, pattern: re.Pattern[str], piece: str, where: str, expected: str, example: str
    ) -> list[re.Match[str]]:
        """Return everything a pattern finds one after the other; note what is none."""
        found: list[re.Match[str]] = []
        at = 0
        while piece != NONE and at < len(piece):
            one = pattern.match(piece, at)
            if one is None or one.end() == at:
                self.fault(where, piece[at:], expected, f"write it like {example}")
                break
            found.append(one)
            at = one.end()
        if piece != NONE and piece.endswith(",") and found and found[-1].end() == len(piece):
            self.fault(where, piece[-20:], expected, "take the last comma out")
        if not piece:
            self.fault(where, piece, expected, f"write {NONE} where there is none")
        return found

    def name(self, text: str, where: str) -> str:
        """Return a name, quoted or not."""
        if not text.startswith('"'):
            return text
        try:
            return str(json.loads(text))
        except ValueError:
            self.fault(where, text, "a name in quotes", 'write it like "Dara W"')
            return ""

    def ball(self, piece: str) -> list[float]:
        """Return where the ball is; the word before it may be left out."""
        found = _PLACE.fullmatch(piece.removeprefix("ball"))
        if found is None or found["facing"] is not None:
            self.fault("ball", piece, "x,y", "write it like ball 20,25")
            return [0, 0]
        return [_value(found["x"]), _value(found["y"])]

    def official(self, piece: str, role: str) -> dict[str, float]:
        """Return where an official stands and, after an @, which way he faces."""
        found = _PLACE.fullmatch(piece.removeprefix(role)) if piece.startswith(role) else None
        if found is None:
            self.fault(
                role, piece, f"{role} x,y, with @degrees or without", f"write it like {role} 28,12 @90"
            )
            return {"x": 0, "y": 0}
        place = {"x": _value(found["x"]), "y": _value(found["y"])}
        return place if found["facing"] is None else {**place, "facing": _value(found["facing"])}


def _value(text: str) -> float:
    return float(text)


# ---- the line of a play ----

THEN = "//"


def play_line(situation: Situation, formation: str) -> str:
    """Return the line a play can be made from again: the situation and the formation.

    >>> goal = Situation(edition="us-hs-2025", attacking="right", stopped_by="made_goal", lead_side="table")
    >>> play_line(goal, "back-end-line-open")
    'us-hs-2025 / right / made goal / lead table // back-end-line-open'
    """
    return f"{notation.format(situation)} {THEN} {formation}" if formation else notation.format(situation)


def read_play_line(line: str) -> tuple[Situation, str]:
    """Return the situation and the formation of a line; no formation means the usual one.

    >>> read_play_line("us-hs-2025 / right / made goal / lead table // back-end-line-open")[1]
    'back-end-line-open'

    Raises:
        TenbetweenError: a line that is none, or no formation of that name.
    """
    before, _, name = line.partition(THEN)
    formation = name.strip()
    if formation and formation not in FORMATIONS:
        raise FormatError(one_of("formation", formation[:60], tuple(FORMATIONS)))
    return notation.parse(before.strip()), formation
