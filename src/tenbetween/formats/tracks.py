"""Tracks of players, ball and officials over time: read from JSON Lines or a table, written as JSON Lines.

JSON Lines: a header ``{"version": 1, "units": "ft", "court": ..., "origin": "corner"}``, then a frame a line,
``{"t", "ball", "players": [{"id", "team", "x", "y"}], "officials": [{"role", "x", "y", "facing"}], "matchups"}``. A table
has a line for each body at each time (``track_rows``). What cannot be used is left out and told in a report with its
line; a file with nothing usable is refused with directions. Read line by line, so that a season fits. Nobody's
place is made up: an official who is not there, and a ball, has a place that is not known (NaN).
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from itertools import chain
from math import floor, isfinite, nan
from typing import Any, Literal, cast, get_args

import msgspec
from msgspec import Struct

from tenbetween.court import Court, court_of
from tenbetween.errors import FormatError, Problem, one_of
from tenbetween.formats import track_rows
from tenbetween.formats.scene_json import LONGEST_NAME, OFF_THE_FLOOR, read_scene
from tenbetween.formats.track_lines import Notes, Raw, Report, Source, number_of, numbered, shown
from tenbetween.scene import ACTS, FULL, ROLES, SQUADS, Act, Crew, Matchup, Official, Player, Scene, Squad
from tenbetween.situation import PointFt, Role
from tenbetween.units import FOOT

Units = Literal["ft", "m"]
UNITS: tuple[Units, ...] = get_args(Units)
Origin = Literal["corner", "centre"]
ORIGINS: tuple[Origin, ...] = get_args(Origin)
VERSION = 1
FEET_IN_METRE = 1 / 0.3048
HEADER = ("version", "units", "court", "origin")
FRAME = ("t", "ball", "players", "officials", "matchups")
NOWHERE: PointFt = (nan, nan)
Frame = tuple[float, Scene]


class Tracks(Struct, frozen=True):
    """Scenes in the order of time (seconds), the floor they are on, and what was left out on reading."""

    court: Court
    frames: tuple[Frame, ...]
    report: Report


class Head(Struct, frozen=True):
    """What holds for a whole file."""

    court: Court = court_of("us-hs")
    units: Units = "ft"
    origin: Origin = "corner"


def has_crew(scene: Scene) -> bool:
    """Return whether the places of both officials are known.

    >>> has_crew(Scene((), (), NOWHERE, Crew(Official((0.0, 30.0)), Official(NOWHERE))))
    False
    """
    return all(isfinite(one) for role in ROLES for one in scene.crew.of(role).at)


def read_tracks(
    source: Source, *, court: Any = None, units: str | None = None, origin: str | None = None
) -> Tracks:
    """Return the tracks of a file, its text or its lines; court, units and origin where the file is silent.

    >>> frame = '{"t": 0.2, "players": [{"id": "a1", "team": "a", "x": 20, "y": 25}, {"id": "b1", "team": "b", "x": null}]}'
    >>> found = read_tracks(frame)
    >>> len(found.frames), found.report.counts["place_unknown"], found.report.first[1].where
    (1, 1, 'line 1, players[1]')

    Raises:
        FormatError: nothing in it can be used, or what holds for the whole file is wrong; every reason.
    """
    notes = Notes()
    frames = tuple(read_frames(source, court=court, units=units, origin=origin, notes=notes))
    return Tracks(frames[0][1].court, frames, notes.report())


def read_frames(
    source: Source,
    *,
    court: Any = None,
    units: str | None = None,
    origin: str | None = None,
    notes: Notes | None = None,
) -> Iterator[Frame]:
    """Yield time and scene, frame by frame, holding one frame at a time; ``notes`` gathers what is left out.

    >>> [t for t, _ in read_frames(['{"t": 0, "players": [{"id": 1, "team": "a", "x": 9, "y": 9}]}'])]
    [0.0]

    Raises:
        FormatError: as read_tracks; when nothing could be used, at the end.
    """
    notes = notes if notes is not None else Notes()
    given = {
        name: one for name, one in (("court", court), ("units", units), ("origin", origin)) if one is not None
    }
    lines = _not_blank(numbered(source, notes))
    first = next(lines, None)
    if first is None:
        do = "write a header and a frame a line, or a table with time, id, team, x and y"
        raise FormatError([*notes.first, Problem("tracks", "nothing", "frames", do)])
    all_lines = chain((first,), lines)
    if first[1].lstrip()[:1] in ("{", "["):
        head, raws = _json_lines(all_lines, given, notes)
    else:
        told, raws = track_rows.read_table(all_lines, notes)
        head = _head(told, given, "head")
    yield from _frames(head, raws, notes)


def _not_blank(lines: Iterable[tuple[int, str]]) -> Iterator[tuple[int, str]]:
    return (line for line in lines if line[1].strip())


def _frames(head: Head, raws: Iterable[Raw], notes: Notes) -> Iterator[Frame]:
    notes.units, notes.origin = head.units, head.origin
    maker = _Maker(head, notes)
    for raw in raws:
        frame = maker.frame(raw)
        if frame is not None:
            notes.frames += 1
            yield frame
    notes.teams = dict(maker.squads)
    if not notes.frames:
        do = "mend the lines named, or look whether this is the file that was meant"
        raise FormatError([*notes.first, Problem("tracks", "no frame that can be used", "at least one", do)])


# -- what holds for the whole file -------------------------------------------------------------------------------


def _head(told: dict[str, Any], given: dict[str, Any], where: str) -> Head:
    """Return the head of a file from what it says and what was asked for beside it.

    Raises:
        FormatError: everything wrong with it.
    """
    problems = []
    for name in ("units", "origin"):
        if name in told and name in given and told[name] != given[name]:
            found = f"{shown(told[name])} in the file, {shown(given[name])} asked for"
            problems.append(Problem(name, found, "one of the two", "leave out what you asked for"))
    both = {**given, **told}
    version = both.get("version", VERSION)
    if version not in (VERSION, str(VERSION)) or isinstance(version, bool):
        problems.append(
            Problem(f"{where}.version", shown(version), str(VERSION), "write a file of that version")
        )
    units, origin = both.get("units", "ft"), both.get("origin", "corner")
    problems += [] if units in UNITS else [one_of(f"{where}.units", shown(units), UNITS)]
    problems += [] if origin in ORIGINS else [one_of(f"{where}.origin", shown(origin), ORIGINS)]
    try:
        court = _court(_in_feet(both.get("court"), units))
    except FormatError as fault:
        raise FormatError([*problems, *(problem.under(where) for problem in fault.problems)]) from None
    if problems:
        raise FormatError(problems)
    return Head(court, cast("Units", units), cast("Origin", origin))


def _court(value: Any) -> Court:
    """Return the floor that is meant, as a scene on it would say it."""
    nobody = {"lead": {"x": 0, "y": 0}, "trail": {"x": 0, "y": 0}}
    return read_scene(
        {"court": value, "players": [], "matchups": [], "ball": [0, 0], "officials": nobody}
    ).court


def _in_feet(court: Any, units: Any) -> Any:
    """Return a measured court in feet; its length and width are in the units of the file."""
    if units != "m" or not isinstance(court, dict):
        return court
    return {
        name: one * FEET_IN_METRE if isinstance(one, int | float) and abs(one) < 1e6 else one
        for name, one in court.items()
    }


# -- JSON Lines --------------------------------------------------------------------------------------------------


def _json_lines(
    lines: Iterator[tuple[int, str]], given: dict[str, Any], notes: Notes
) -> tuple[Head, Iterator[Raw]]:
    first, text = next(lines)
    try:
        value = _value(text)
    except ValueError:
        value = None
    if isinstance(value, dict) and "t" not in value and "players" not in value:
        for name in value:
            if name not in HEADER:
                notes.unknown_name(f"line {first}", name, HEADER)
        told = {name: one for name, one in value.items() if name in HEADER and one is not None}
        return _head(told, given, f"line {first}"), _raws(lines, notes)
    notes.add("no_header", f"line {first}", "no header", "a header on the first line", _NO_HEADER)
    return _head({}, given, "asked for"), _raws(chain(((first, text),), lines), notes)


_NO_HEADER = "feet from the left end line and the table sideline are taken; write a header if they are not"


def _value(text: str) -> Any:
    """Return the value of one line of JSON; NaN, which is no JSON but is often written, too.

    Raises:
        ValueError: it is none.
    """
    try:
        return msgspec.json.decode(text)
    except (msgspec.DecodeError, RecursionError):
        try:
            return json.loads(text)
        except RecursionError:
            raise ValueError("nested too deep") from None


def _raws(lines: Iterable[tuple[int, str]], notes: Notes) -> Iterator[Raw]:
    for number, text in lines:
        where = f"line {number}"
        try:
            value = _value(text)
        except ValueError as fault:
            notes.add("line", where, str(fault)[:80], "one JSON object", "mend the line or take it out")
            continue
        if not isinstance(value, dict) or "t" not in value:
            found = "no time" if isinstance(value, dict) else shown(value)
            notes.add("line", where, found, "a frame", 'write {"t": 0.2, "players": [...], ...}')
            continue
        for name in value:
            if name not in FRAME:
                notes.unknown_name(where, name, FRAME)
        players, officials, matchups = (_list(value, name, where, notes) for name in FRAME[2:])
        yield Raw(number, value["t"], value.get("ball"), players, officials, matchups)


def _list(value: dict[str, Any], name: str, where: str, notes: Notes) -> list[Any]:
    found = value.get(name)
    if found is None or isinstance(found, list):
        return found or []
    notes.add("line", f"{where}, {name}", shown(found), "a list", "write [ ... ]")
    return []


# -- from what was read to scenes --------------------------------------------------------------------------------


class _Maker:
    """Makes scenes of raw frames; remembers the last time and which team is which."""

    def __init__(self, head: Head, notes: Notes) -> None:
        self.head, self.notes = head, notes
        self.length, self.width = head.court.length / FOOT, head.court.width / FOOT
        self.scale = FEET_IN_METRE if head.units == "m" else 1.0
        middle = head.origin == "centre"
        self.add = (self.length / 2, self.width / 2) if middle else (0.0, 0.0)
        self.last: float | None = None
        self.squads: dict[str, Squad] = {}

    def frame(self, raw: Raw) -> Frame | None:
        """Return time and scene, or None when the frame is left out."""
        where = f"line {raw.line}"
        t = self.time(raw.t, where)
        if t is None:
            return None
        players = self.players(raw, where)
        if not players:
            do = "mend its players, or take the frame out"
            self.notes.add("no_player", where, "no player", "players with places", do)
            return None
        self.last = t
        if len(players) < FULL:
            do = "it is kept as it is"
            self.notes.add("fewer_than_ten", where, f"{len(players)} players", "ten", do)
        ball = self.ball(raw.ball, where)
        crew = self.crew(raw, where)
        return t, Scene(players, self.matchups(raw, players, where), ball, crew, self.head.court)

    def time(self, value: Any, where: str) -> float | None:
        """Return the time, or None when there is none, or not a later one."""
        t = number_of(value)
        if t is None:
            self.notes.add("time", where, shown(value), "seconds", "write a number such as 0.2")
        elif self.last is not None and t == self.last:
            self.notes.add("time_twice", where, f"{t:g} s again", "a later time", "take one of the two out")
        elif self.last is not None and t < self.last:
            do = "put the frames in the order of time, or import the parts one by one"
            self.notes.add("time_back", where, f"{t:g} s after {self.last:g} s", "a later time", do)
        else:
            return t
        return None

    def at(self, x: Any, y: Any, kind: str, where: str) -> PointFt | None:
        """Return a place in feet of the court frame, or None when it is not known or too far off the floor."""
        numbers = (number_of(x), number_of(y))
        if numbers[0] is None or numbers[1] is None:
            found = f"{shown(x)}, {shown(y)}"
            self.notes.add(kind, where, found, "x and y as numbers", "mend it; this one is left out here")
            return None
        at = (numbers[0] * self.scale + self.add[0], numbers[1] * self.scale + self.add[1])
        off = OFF_THE_FLOOR
        if -off <= at[0] <= self.length + off and -off <= at[1] <= self.width + off:
            return at
        expected = f"at most {off:g} ft off the {self.length:g} by {self.width:g} ft floor"
        kind = "off_floor" if kind == "place_unknown" else kind
        do = "look at units, origin and court; this one is left out here"
        self.notes.add(kind, where, f"{at[0]:.1f}, {at[1]:.1f} ft", expected, do)
        return None

    # -- players --

    def players(self, raw: Raw, where: str) -> tuple[Player, ...]:
        """Return the players with names, teams and places; each name once, five of a team at most."""
        found: dict[str, Player] = {}
        count = dict.fromkeys(SQUADS, 0)
        for number, one in enumerate(raw.players):
            here = raw.where(where, one, f"players[{number}]")
            player = self.player(one, here)
            if player is None:
                continue
            if player.id in found:
                self.notes.add("player_twice", here, player.id, "each name once", "name one otherwise")
            elif count[player.team] == FULL // 2:
                self.notes.add(
                    "sixth_player", here, player.id, "five of a team at most", "take the others out"
                )
            else:
                found[player.id] = player
                count[player.team] += 1
        return tuple(found.values())

    def player(self, one: Any, where: str) -> Player | None:
        """Return one player, or None when he cannot be used."""
        if not isinstance(one, dict):
            self.notes.add("player", where, shown(one), "a player", 'write {"id": "a1", "team": "a", ...}')
            return None
        name, squad = _name(one.get("id")), self.squad(one.get("team"))
        if name is None or squad is None:
            found = f"id {shown(one.get('id'))}, team {shown(one.get('team'))}"
            self.notes.add("player", where, found, "a name and one of two teams", "name him and his team")
            return None
        at = self.at(one.get("x"), one.get("y"), "place_unknown", where)
        return None if at is None else Player(name, squad, at)

    def squad(self, value: Any) -> Squad | None:
        """Return a or b; teams with other names take the letters in the order they come."""
        team = _name(value)
        if team is None:
            return None
        team = team.lower()
        if team not in self.squads:
            free = [squad for squad in SQUADS if squad not in self.squads.values()]
            own = [squad for squad in free if squad == team] or free
            if not own:
                return None
            self.squads[team] = own[0]
        return self.squads[team]

    # -- the rest --

    def ball(self, value: Any, where: str) -> PointFt:
        """Return where the ball is, or nowhere."""
        here = f"{where}, ball"
        if isinstance(value, list) and len(value) >= 2:
            return self.at(value[0], value[1], "ball", here) or NOWHERE
        found = "nothing" if value is None else shown(value)
        self.notes.add("ball", here, found, "the place of the ball", "write [x, y]; it stays not known here")
        return NOWHERE

    def crew(self, raw: Raw, where: str) -> Crew:
        """Return lead and trail; one who is not there has a place that is not known."""
        found: dict[Role, Official] = {}
        for number, one in enumerate(raw.officials):
            here = raw.where(where, one, f"officials[{number}]")
            said = str(one.get("role"))[:LONGEST_NAME].strip().lower() if isinstance(one, dict) else ""
            role = next((role for role in ROLES if role == said), None)
            if role is None or role in found:
                do = 'write {"role": "lead", "x": ..., "y": ...}, and each role once'
                self.notes.add("official", here, shown(one), "lead or trail, once", do)
                continue
            at = self.at(one.get("x"), one.get("y"), "official", here)
            if at is not None:
                found[role] = Official(at, self.facing(one.get("facing"), here))
        if len(found) < len(ROLES):
            lost = " and ".join(role for role in ROLES if role not in found)
            do = "what the crew sees is not told for this frame"
            self.notes.add("no_crew", where, f"no {lost}", "both officials", do)
        return Crew(*(found.get(role, Official(NOWHERE)) for role in ROLES))

    def facing(self, value: Any, where: str) -> float | None:
        """Return a facing in degrees, or None."""
        facing = number_of(value)
        if value is not None and (facing is None or abs(facing) > 360):
            self.notes.add(
                "facing", where, shown(value), "degrees from -360 to 360", "mend it or leave it out"
            )
            return None
        return facing

    def matchups(self, raw: Raw, players: tuple[Player, ...], where: str) -> tuple[Matchup, ...]:
        """Return the matchups of players who are there, each once."""
        team = {player.id: player.team for player in players}
        found: dict[frozenset[str], Matchup] = {}
        for number, one in enumerate(raw.matchups):
            names = [_name(name) for name in one[:2]] if isinstance(one, list) and len(one) in (2, 3) else []
            squads = [team.get(name) for name in names if name is not None]
            act = one[2] if names and len(one) == 3 else "off_ball"
            good = len(squads) == 2 and None not in squads and squads[0] != squads[1] and act in ACTS
            pair = frozenset(cast("list[str]", names))
            if not good or pair in found:
                expected = "attacker, defender (both there, not of one team) and what it is busy with, once"
                here = f"{where}, matchups[{number}]"
                self.notes.add("matchup", here, shown(one), expected, 'write ["a1", "b1", "ball"]')
                continue
            found[pair] = Matchup(cast("str", names[0]), cast("str", names[1]), cast("Act", act))
        return tuple(found.values())


def _name(value: Any) -> str | None:
    """Return a name as text: a word or a whole number, 1 to 40 letters."""
    if isinstance(value, int) and not isinstance(value, bool) and abs(value) < 10**LONGEST_NAME:
        return str(value)
    if not isinstance(value, str):
        return None
    name = value.strip()
    return name if 0 < len(name) <= LONGEST_NAME and name.isprintable() else None


# -- less, and out again -----------------------------------------------------------------------------------------


def thinned(frames: Iterable[Frame], hz: float) -> Iterator[Frame]:
    """Yield at most ``hz`` frames for each second: the first at or after each tick counted from the first frame.

    Raises:
        FormatError: no such rate.
    """
    if not isfinite(hz) or not 0 < hz <= 1_000:
        do = "write a number such as 5"
        raise FormatError(Problem("hz", repr(hz), "frames a second, more than 0, at most 1000", do))
    first: float | None = None
    tick = -1
    for t, scene in frames:
        first = t if first is None else first
        now = floor((t - first) * hz + 1e-6)
        if now > tick:
            tick = now
            yield t, scene


def thin(tracks: Tracks, hz: float) -> Tracks:
    r"""Return tracks with at most ``hz`` frames for each second.

    >>> frames = "\n".join('{"t": %g, "players": [{"id": 1, "team": "a", "x": 9, "y": 9}]}' % (n / 25) for n in range(50))
    >>> [round(t, 2) for t, _ in thin(read_tracks(frames), 2).frames]
    [0.0, 0.52, 1.0, 1.52]

    Raises:
        FormatError: no such rate.
    """
    return Tracks(tracks.court, tuple(thinned(tracks.frames, hz)), tracks.report)


def tracks_as_json_lines(tracks: Tracks) -> Iterator[str]:
    """Yield tracks as lines of JSON, header first: feet from the left end line and the table sideline.

    Read again they are the same frames.

    >>> found = read_tracks('{"t": 0, "ball": [9, 9], "players": [{"id": 1, "team": "a", "x": 9, "y": 9}]}')
    >>> list(tracks_as_json_lines(found))[1]
    '{"t":0.0,"ball":[9.0,9.0],"players":[{"id":"1","team":"a","x":9.0,"y":9.0}],"officials":[],"matchups":[]}'
    """
    court = {"length": tracks.court.length / FOOT, "width": tracks.court.width / FOOT}
    yield _line({"version": VERSION, "units": "ft", "court": court, "origin": "corner"})
    for t, scene in tracks.frames:
        yield _line({"t": t, **_frame(scene)})


def _line(value: dict[str, Any]) -> str:
    return msgspec.json.encode(value).decode()


def _frame(scene: Scene) -> dict[str, Any]:
    crew = [(role, scene.crew.of(role)) for role in ROLES]
    return {
        "ball": list(scene.ball) if all(isfinite(one) for one in scene.ball) else None,
        "players": [{"id": p.id, "team": p.team, "x": p.at[0], "y": p.at[1]} for p in scene.players],
        "officials": [
            {"role": role, "x": one.at[0], "y": one.at[1]}
            | ({} if one.facing is None else {"facing": one.facing})
            for role, one in crew
            if all(isfinite(number) for number in one.at)
        ],
        "matchups": [[one.attacker, one.defender, one.act] for one in scene.matchups],
    }
