"""Scenes in and what the crew sees out as JSON, with the names other programs rely on.

Every fault of every scene is named at once, each with its place; nothing half-read goes on. Lengths are feet in
the court frame, angles degrees. Decides nothing; two bodies on one spot are a scene like another.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import isfinite
from typing import Any, cast

from tenbetween.book import edition_head, edition_ids
from tenbetween.court import KINDS, Court, court_of
from tenbetween.errors import FormatError, Problem, TenbetweenError, one_of
from tenbetween.formats.json_text import joined, parse_json
from tenbetween.scene import (
    ACTS,
    FULL,
    ROLES,
    SQUADS,
    Act,
    Crew,
    Matchup,
    Official,
    Player,
    Scene,
    Squad,
    known_part,
)
from tenbetween.situation import Floor, PointFt
from tenbetween.units import FOOT, um_from_feet

FIELDS = ("court", "players", "matchups", "ball", "officials")
PLAYER = ("id", "team", "x", "y")
OFFICIAL = ("x", "y", "facing")
OFF_THE_FLOOR = 10.0
"""Feet outside the boundary lines within which everybody of a scene stands."""
LONGEST_NAME = 40
NOWHERE: PointFt = (0.0, 0.0)


def read_scenes(text: str | bytes) -> tuple[tuple[Scene, ...], bool]:
    """Return the scenes of a JSON text, and whether it was a list.

    >>> lead, trail = '"lead": {"x": 0, "y": 35}', '"trail": {"x": 30, "y": 10}'
    >>> read_scenes('{"players": [], "matchups": [], "ball": [9, 9], "officials": {%s, %s}}' % (lead, trail))[1]
    False

    Raises:
        FormatError: not JSON, neither object nor list, or every fault of every scene (``[3].players[2].x``).
    """
    given = parse_json(text)
    if isinstance(given, dict):
        return (read_scene(given),), False
    if not isinstance(given, list):
        raise FormatError(_wrong("input", given, "a scene or a list of scenes", "write { ... } or [{ ... }]"))
    found: list[Scene] = []
    problems: list[Problem] = []
    for number, one in enumerate(given):
        try:
            found.append(read_scene(one))
        except TenbetweenError as fault:
            problems += [problem.under(f"[{number}]") for problem in fault.problems]
    if problems:
        raise FormatError(problems)
    return tuple(found), True


def read_scene(given: Any) -> Scene:
    """Return one scene from its JSON object.

    Raises:
        FormatError: everything that is wrong with it.
    """
    if not isinstance(given, dict):
        raise FormatError(
            _wrong("", given, "a scene, which is a JSON object", 'write {"players": [...], ...}')
        )
    reader = _Reader(given)
    scene = reader.scene()
    if reader.problems:
        raise FormatError(reader.problems)
    return scene


class _Reader:
    """One scene being read; every fault is gathered."""

    def __init__(self, given: dict[str, Any]) -> None:
        self.given = given
        self.problems: list[Problem] = []
        self.floor = court_of("us-hs")

    def fault(self, where: str, found: Any, expected: str, do: str) -> None:
        """Note a fault."""
        self.problems.append(_wrong(where, found, expected, do))

    def scene(self) -> Scene:
        """Return the scene; to be thrown away when there are problems."""
        self.unknown(self.given, FIELDS, "")
        self.floor = self.court()
        for name in ("players", "matchups", "ball", "officials"):
            if name not in self.given:
                self.problems.append(Problem(name, "nothing", f"{name} of the scene", f"add {name!r}"))
        players = self.players()
        return Scene(players, self.matchups(players), self.ball(), self.crew(), self.floor)

    def unknown(self, given: dict[str, Any], known: Iterable[str], where: str) -> None:
        """Note every name that is not one of ours."""
        for name in given:
            if name not in known:
                one = one_of(joined(where, name), name[:LONGEST_NAME], tuple(known))
                self.problems.append(Problem(one.where, f"the name {one.found}", one.expected, one.do))

    # -- the floor -------------------------------------------------------------------------------------------

    def court(self) -> Court:
        """Return the floor: an edition, a kind of court, or length and width; U.S. high-school unless said."""
        value = self.given.get("court")
        if value is None:
            return self.floor
        if isinstance(value, str):
            return self.named_court(value)
        if not isinstance(value, dict):
            self.fault("court", value, "an edition, or length and width", 'write {"length": 84, "width": 50}')
            return self.floor
        self.unknown(value, ("edition", "length", "width"), "court")
        kind = self.named_kind(value.get("edition"))
        sizes = [self.size(value, name) for name in ("length", "width")]
        if sizes[0] is None or sizes[1] is None:
            return self.floor
        return self.sized_court(Floor(sizes[0], sizes[1]), kind)

    def named_court(self, name: str) -> Court:
        """Return the court of a kind or an edition."""
        kind = self.named_kind(name, "court")
        return self.floor if kind is None else court_of(kind)

    def named_kind(self, name: Any, where: str = "court.edition") -> str | None:
        """Return the kind of court named by a kind or an edition, None when neither is named."""
        if name is None or (isinstance(name, str) and name in KINDS):
            return name
        if isinstance(name, str) and name in edition_ids():
            return edition_head(name).court
        shown = name[:LONGEST_NAME] if isinstance(name, str) else ascii(name)[:LONGEST_NAME]
        self.problems.append(one_of(where, shown, (*KINDS, *edition_ids())))
        return None

    def size(self, given: dict[str, Any], name: str) -> int | None:
        """Return a length of the floor in micrometres."""
        value = given.get(name)
        if isinstance(value, int | float) and not isinstance(value, bool) and 0 < value <= 1_000:
            return um_from_feet(value)
        if name not in given:
            self.problems.append(Problem(f"court.{name}", "nothing", "feet", f"add {name!r}"))
        else:
            self.fault(f"court.{name}", value, "feet, more than 0", "write a number such as 84")
        return None

    def sized_court(self, floor: Floor, named: str | None) -> Court:
        """Return the court of the kind named; else the U.S. one, or the international where it has its size."""
        kinds = [kind for kind in KINDS if kind == (named or kind) and _same_size(court_of(kind), floor)]
        if kinds:
            return court_of(kinds[0])
        try:
            return court_of(named or "us-hs", floor)
        except TenbetweenError as fault:
            self.problems += [Problem("court", one.found, one.expected, one.do) for one in fault.problems]
            return self.floor

    # -- who stands where ------------------------------------------------------------------------------------

    def listed(self, name: str) -> list[Any]:
        """Return a list of the scene."""
        value = self.given.get(name, [])
        if isinstance(value, list):
            return value
        self.fault(name, value, f"a list of {name}", "write [ ... ]")
        return []

    def players(self) -> tuple[Player, ...]:
        """Return the players; each name once, five of a team at most."""
        found: list[Player] = []
        taken: set[str] = set()
        for number, one in enumerate(self.listed("players")):
            player = self.player(one, f"players[{number}]")
            if player.id and player.id in taken:
                self.fault(f"players[{number}].id", player.id, "a name of his own", "name him otherwise")
            taken.add(player.id)
            found.append(player)
        for squad in SQUADS:
            count = sum(player.team == squad for player in found)
            if count > FULL // 2:
                do = "take the others out"
                self.problems.append(
                    Problem("players", f"{count} of team {squad}", "five of a team at most", do)
                )
        return tuple(found)

    def player(self, given: Any, where: str) -> Player:
        """Return one player."""
        if not isinstance(given, dict):
            self.fault(where, given, "a player", 'write {"id": "a1", "team": "a", "x": 20, "y": 25}')
            return Player("", "a", NOWHERE)
        self.unknown(given, PLAYER, where)
        name, team = given.get("id"), given.get("team")
        if (
            not isinstance(name, str)
            or not name.strip()
            or len(name) > LONGEST_NAME
            or not name.isprintable()
        ):
            self.fault(
                f"{where}.id", name, f"a name of 1 to {LONGEST_NAME} letters", 'write one such as "a1"'
            )
            name = ""
        if team not in SQUADS:
            if isinstance(team, str):
                self.problems.append(one_of(f"{where}.team", team[:LONGEST_NAME], SQUADS))
            else:
                self.fault(f"{where}.team", team, "one of a, b", 'write "a" or "b"')
            team = ""
        return Player(name, cast("Squad", team), self.point(given, where))

    def point(self, given: dict[str, Any], where: str) -> PointFt:
        """Return the place named by x and y."""
        x = self.along(given.get("x"), joined(where, "x"), self.floor.length / FOOT)
        y = self.along(given.get("y"), joined(where, "y"), self.floor.width / FOOT)
        return (x, y)

    def along(self, value: Any, where: str, most: float) -> float:
        """Return one coordinate in feet, at most 10 ft off the floor."""
        expected = f"feet, from -{OFF_THE_FLOOR:g} to {most + OFF_THE_FLOOR:g}"
        if not isinstance(value, int | float) or isinstance(value, bool) or not isfinite(value):
            self.fault(where, value, expected, "write a number such as 26.5")
        elif not -OFF_THE_FLOOR <= value <= most + OFF_THE_FLOOR:
            self.fault(where, value, expected, "move it onto the floor or close beside it")
        else:
            return float(value)
        return 0.0

    def ball(self) -> PointFt:
        """Return where the ball is."""
        value = self.given.get("ball", [0, 0])
        if not isinstance(value, list) or len(value) != 2:
            self.fault("ball", value, "the place of the ball", "write [x, y] in feet")
            return NOWHERE
        x = self.along(value[0], "ball[0]", self.floor.length / FOOT)
        return (x, self.along(value[1], "ball[1]", self.floor.width / FOOT))

    def crew(self) -> Crew:
        """Return lead and trail."""
        value = self.given.get("officials")
        if not isinstance(value, dict):
            if "officials" in self.given:
                self.fault("officials", value, "lead and trail", 'write {"lead": {...}, "trail": {...}}')
            return Crew(Official(NOWHERE), Official(NOWHERE))
        self.unknown(value, ROLES, "officials")
        return Crew(*(self.official(value.get(role), f"officials.{role}") for role in ROLES))

    def official(self, given: Any, where: str) -> Official:
        """Return one official."""
        if not isinstance(given, dict):
            self.fault(where, given, "where this official stands", 'write {"x": 0, "y": 35}')
            return Official(NOWHERE)
        self.unknown(given, OFFICIAL, where)
        return Official(self.point(given, where), self.facing(given.get("facing"), f"{where}.facing"))

    def facing(self, value: Any, where: str) -> float | None:
        """Return a facing in degrees, or None when not said."""
        if value is None:
            return None
        if isinstance(value, int | float) and not isinstance(value, bool) and -360 <= value <= 360:
            return float(value)
        expected = "degrees from -360 to 360, from +x towards +y"
        self.fault(where, value, expected, "write a number such as 90, or leave it out")
        return None

    # -- matchups --------------------------------------------------------------------------------------------

    def matchups(self, players: tuple[Player, ...]) -> tuple[Matchup, ...]:
        """Return the matchups; each of two players who are there, of different teams, named once."""
        found: list[Matchup] = []
        taken: set[frozenset[str]] = set()
        by_name = {player.id: player for player in players if player.id}
        for number, one in enumerate(self.listed("matchups")):
            where = f"matchups[{number}]"
            matchup = self.matchup(one, where, by_name)
            if matchup is None:
                continue
            pair = frozenset((matchup.attacker, matchup.defender))
            if pair in taken:
                self.fault(where, one, "each matchup once", "take it out")
            taken.add(pair)
            found.append(matchup)
        return tuple(found)

    def matchup(self, given: Any, where: str, by_name: dict[str, Player]) -> Matchup | None:
        """Return one matchup, or None when it cannot be read."""
        if not isinstance(given, list) or len(given) not in (2, 3):
            self.fault(where, given, "attacker and defender", 'write ["a1", "b1"]')
            return None
        known = [self.known(name, f"{where}[{place}]", by_name) for place, name in enumerate(given[:2])]
        act = given[2] if len(given) == 3 else "off_ball"
        if act not in ACTS:
            shown = act[:LONGEST_NAME] if isinstance(act, str) else act
            self.problems.append(one_of(f"{where}[2]", shown, ACTS))
            return None
        if not all(known):
            return None
        attacker, defender = (by_name[name] for name in given[:2])
        if attacker.team == defender.team and attacker.team in SQUADS:
            self.fault(where, given, "players of different teams", "name one of each team")
            return None
        return Matchup(attacker.id, defender.id, cast("Act", act))

    def known(self, name: Any, where: str, by_name: dict[str, Player]) -> bool:
        """Return whether a player of that name is there, and note it when not."""
        if isinstance(name, str) and name in by_name:
            return True
        there = ", ".join(by_name) or "none"
        self.fault(
            where, name, f"a player of the scene ({there[:120]})", "name one of them, or add the player"
        )
        return False


def _same_size(court: Court, floor: Floor) -> bool:
    return abs(court.length - floor.length) < FOOT // 100 and abs(court.width - floor.width) < FOOT // 100


def _wrong(where: str, found: Any, expected: str, do: str) -> Problem:
    shown = "nothing" if found is None else ascii(found)
    return Problem(where, shown if len(shown) <= 80 else f"{shown[:77]}...", expected, do)


# ---- and out again ----


def scene_as_dict(scene: Scene) -> dict[str, Any]:
    """Return a scene by the names other programs rely on; ``read_scene`` gives it again.

    Players whose place is not known are left out, as JSON has no word for it.

    >>> crew = Crew(Official((-3.0, 34.0)), Official((28.0, 12.0), 90.0))
    >>> scene_as_dict(Scene((), (), (20.0, 20.0), crew))["officials"]["trail"]
    {'x': 28.0, 'y': 12.0, 'facing': 90.0}
    """
    known = known_part(scene)
    return {
        "court": court_as_dict(known.court),
        "players": [
            {"id": one.id, "team": one.team, "x": one.at[0], "y": one.at[1]} for one in known.players
        ],
        "matchups": [_matchup_as_list(one) for one in known.matchups],
        "ball": list(known.ball),
        "officials": {role: _official_as_dict(known.crew.of(role)) for role in ROLES},
    }


def read_court(value: Any) -> tuple[Court, tuple[Problem, ...]]:
    """Return the floor a JSON value names (None: the usual U.S. high-school floor), and all that is wrong with it.

    >>> read_court({"length": 94, "width": 50})[0].length == 94 * FOOT
    True
    """
    reader = _Reader({"court": value})
    return reader.court(), tuple(reader.problems)


def court_as_dict(court: Court) -> dict[str, Any]:
    """Return a floor as length and width in feet; its kind is added where the size alone would not tell it.

    >>> court_as_dict(court_of("us-hs"))
    {'length': 84, 'width': 50}
    """
    size = {"length": _short(court.length / FOOT), "width": _short(court.width / FOOT)}
    reader = _Reader({"court": size})
    if reader.court() == court and not reader.problems:
        return size
    return {"edition": court.kind, **size}


def _short(value: float) -> float:
    near = round(value, 6)
    return int(near) if near == int(near) else near


def _matchup_as_list(matchup: Matchup) -> list[str]:
    pair = [matchup.attacker, matchup.defender]
    return pair if matchup.act == "off_ball" else [*pair, matchup.act]


def _official_as_dict(official: Official) -> dict[str, float]:
    place = {"x": official.at[0], "y": official.at[1]}
    return place if official.facing is None else {**place, "facing": official.facing}
