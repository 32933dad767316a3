"""A scene: players, matchups, ball and crew on a floor at one moment, in feet of the court frame.

Says who stands where and nothing else: no rule, no sight, no movement. A scene read from outside is checked in
``formats``; one made inside may lack players, or hold a player whose place is not known (NaN).
"""

from __future__ import annotations

from collections.abc import Iterable
from math import isfinite
from typing import Literal, get_args

from msgspec import Struct
from msgspec.structs import replace

from tenbetween.court import Court, court_of, mirror_feet
from tenbetween.situation import PointFt, Role

Squad = Literal["a", "b"]
SQUADS: tuple[Squad, ...] = get_args(Squad)
Act = Literal["ball", "post", "screen", "cutter", "off_ball"]
ACTS: tuple[Act, ...] = get_args(Act)
"""What a matchup is busy with; the weight of each is a setting of whoever looks."""
ROLES: tuple[Role, ...] = get_args(Role)
FULL = 10


class Player(Struct, frozen=True):
    """One player: a name of his own, his team, and where his body's middle is (ft)."""

    id: str
    team: Squad
    at: PointFt


class Matchup(Struct, frozen=True):
    """An attacker and the defender who has him; always named by the trainer, never guessed."""

    attacker: str
    defender: str
    act: Act = "off_ball"


class Official(Struct, frozen=True):
    """Where an official stands (ft) and which way he faces: degrees from +x towards +y; None when not said."""

    at: PointFt
    facing: float | None = None


class Crew(Struct, frozen=True):
    """The two of them."""

    lead: Official
    trail: Official

    def of(self, role: Role) -> Official:
        """Return the official in a role.

        >>> Crew(Official((0.0, 30.0)), Official((30.0, 10.0))).of("trail").at
        (30.0, 10.0)
        """
        return self.lead if role == "lead" else self.trail


class Scene(Struct, frozen=True):
    """Everybody at one moment.

    >>> crew = Crew(Official((-3.0, 34.0)), Official((28.0, 12.0)))
    >>> Scene(players=(Player("a1", "a", (20.0, 20.0)),), matchups=(), ball=(20.0, 20.0), crew=crew).complete
    False
    """

    players: tuple[Player, ...]
    matchups: tuple[Matchup, ...]
    ball: PointFt
    crew: Crew
    court: Court = court_of("us-hs")

    @property
    def complete(self) -> bool:
        """True when ten players are there and the place of each is known."""
        return len(self.players) == FULL and all(is_known(player) for player in self.players)

    def player(self, name: str) -> Player:
        """Return the player of that name.

        Raises:
            KeyError: nobody has it.
        """
        for player in self.players:
            if player.id == name:
                return player
        raise KeyError(name)


def is_known(player: Player) -> bool:
    """Return whether the place of a player is known.

    >>> is_known(Player("a1", "a", (float("nan"), 3.0)))
    False
    """
    return isfinite(player.at[0]) and isfinite(player.at[1])


def known_part(scene: Scene) -> Scene:
    """Return the scene without players whose place is not known, and without their matchups.

    >>> lost = Player("a1", "a", (float("nan"), 3.0))
    >>> crew = Crew(Official((-3.0, 34.0)), Official((28.0, 12.0)))
    >>> known_part(Scene((lost,), (Matchup("a1", "b1"),), (20.0, 20.0), crew)).matchups
    ()
    """
    players = tuple(player for player in scene.players if is_known(player))
    there = {player.id for player in players}
    kept = tuple(one for one in scene.matchups if one.attacker in there and one.defender in there)
    return replace(scene, players=players, matchups=kept)


def moved(scene: Scene, role: Role, at: PointFt) -> Scene:
    """Return the scene with one official standing elsewhere, facing as before.

    >>> crew = Crew(Official((-3.0, 34.0)), Official((28.0, 12.0), 90.0))
    >>> moved(Scene((), (), (20.0, 20.0), crew), "trail", (30.0, 12.0)).crew.trail
    Official(at=(30.0, 12.0), facing=90.0)
    """
    official = replace(scene.crew.of(role), at=at)
    crew = Crew(official, scene.crew.trail) if role == "lead" else Crew(scene.crew.lead, official)
    return replace(scene, crew=crew)


def mirrored(scene: Scene, *, ends: bool = False, sides: bool = False) -> Scene:
    """Return the scene with the ends, the sides or both exchanged; doing it twice gives it again.

    >>> crew = Crew(Official((-3.0, 34.0)), Official((28.0, 12.0), 90.0))
    >>> mirrored(Scene((), (), (20.0, 20.0), crew), sides=True).crew.trail
    Official(at=(28.0, 38.0), facing=270.0)
    """

    def turned(at: PointFt) -> PointFt:
        return mirror_feet(scene.court, at, ends=ends, sides=sides)

    def official(one: Official) -> Official:
        return Official(turned(one.at), _turned_facing(one.facing, ends=ends, sides=sides))

    players: Iterable[Player] = (replace(player, at=turned(player.at)) for player in scene.players)
    crew = Crew(official(scene.crew.lead), official(scene.crew.trail))
    return replace(scene, players=tuple(players), ball=turned(scene.ball), crew=crew)


def _turned_facing(facing: float | None, *, ends: bool, sides: bool) -> float | None:
    if facing is None:
        return None
    over = 180 - facing if ends else facing
    return (-over if sides else over) % 360
