"""Boxing in: do the two officials have the players between them, told by angles and never by a rectangle.

Opposition is the angle lead - middle of the players - trail. A player is between when he sees the officials a
right angle or more apart. Somebody is behind an official who stands so far inside the play that no way of
facing has all players before him.
"""

from __future__ import annotations

import numpy as np
from msgspec import Struct

from tenbetween.scene import ROLES, Scene
from tenbetween.sight.bearings import Bools, Floats
from tenbetween.sight.settings import SIGHT, Settings
from tenbetween.situation import Role

JUST = 1e-9


class BoxedIn(Struct, frozen=True):
    """The three parts, and whether all three hold by the settings; degrees and shares."""

    ok: bool
    opposition_deg: float | None
    """None when there are no players, or an official stands in their very middle."""
    share_between: float | None
    behind: tuple[str, ...]
    """Every player behind one official or the other, in the order of the scene."""
    behind_of: dict[Role, tuple[str, ...]]


def boxed_in(scene: Scene, settings: Settings = SIGHT) -> BoxedIn:
    """Return how the crew has the players between them.

    >>> from tenbetween.scene import Crew, Official, Player
    >>> crew = Crew(Official((0.0, 35.0)), Official((30.0, 15.0)))
    >>> boxed_in(Scene((Player("a1", "a", (15.0, 25.0)),), (), (15.0, 25.0), crew)).opposition_deg
    180.0
    """
    bodies = np.array([player.at for player in scene.players], dtype=np.float64).reshape(-1, 2)
    lead, trail = (np.array([scene.crew.of(role).at]) for role in ROLES)
    behind_of: dict[Role, tuple[str, ...]] = {}
    for role in ROLES:
        at = np.array(scene.crew.of(role).at)
        behind_of[role] = tuple(scene.players[i].id for i in _behind(bodies - at))
    names = set().union(*behind_of.values())
    behind = tuple(player.id for player in scene.players if player.id in names)
    if not len(bodies):
        return BoxedIn(False, None, None, behind, behind_of)
    angle = float(opposition(lead, trail, bodies)[0, 0])
    share = float(between(lead, trail, bodies)[0, 0])
    opposed = not np.isnan(angle) and angle >= settings.opposition_least - JUST
    ok = bool(opposed and share >= settings.between_least - JUST and not behind)
    return BoxedIn(ok, None if np.isnan(angle) else angle, share, behind, behind_of)


def opposition(lead: Floats, trail: Floats, bodies: Floats) -> Floats:
    """Return the angle lead - middle of the players - trail in degrees, shape (leads, trails); NaN if none."""
    centre = bodies.mean(0)
    a, b = (lead - centre)[:, None, :], (trail - centre)[None, :, :]
    cross = a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]
    angle = np.degrees(np.arctan2(np.abs(cross), (a * b).sum(-1)))
    nowhere = (np.abs(a).max(-1) == 0) | (np.abs(b).max(-1) == 0)
    return np.asarray(np.where(nowhere, np.nan, angle), dtype=np.float64)


def between(lead: Floats, trail: Floats, bodies: Floats) -> Floats:
    """Return the share of players who see the officials 90 degrees or more apart, shape (leads, trails)."""
    count = np.zeros((len(lead), len(trail)), dtype=np.int16)
    for body in bodies:
        count += (lead - body) @ (trail - body).T <= JUST
    return np.asarray(count / len(bodies), dtype=np.float64)


def allowed_pairs(lead: Floats, trail: Floats, bodies: Floats, settings: Settings = SIGHT) -> Bools:
    """Return which pairs of places have the players between them by all three parts, shape (leads, trails).

    >>> ring = np.array([[10.0, 20.0], [10.0, 30.0], [20.0, 20.0], [20.0, 30.0]])
    >>> allowed_pairs(np.array([[0.0, 25.0]]), np.array([[30.0, 25.0], [0.0, 20.0]]), ring).tolist()
    [[True, False]]
    """
    found = np.zeros((len(lead), len(trail)), dtype=bool)
    if not len(bodies):
        return found
    rows = np.flatnonzero(~anyone_behind(lead, bodies))
    columns = np.flatnonzero(~anyone_behind(trail, bodies))
    some, others = lead[rows], trail[columns]
    ok = _opposed(some - bodies.mean(0), others - bodies.mean(0), settings.opposition_least)
    found[np.ix_(rows, columns)] = ok & (between(some, others, bodies) >= settings.between_least - JUST)
    return found


def _opposed(lead: Floats, trail: Floats, least: float) -> Bools:
    """Return which offsets from the middle are at least so many degrees apart; none that has no direction."""
    limit = np.cos(np.radians(min(180.0, max(0.0, least - JUST))))
    long = np.hypot(lead[:, 0], lead[:, 1])[:, None] * np.hypot(trail[:, 0], trail[:, 1])
    return np.asarray((lead @ trail.T <= limit * long) & (long > 0), dtype=bool)


def anyone_behind(places: Floats, bodies: Floats) -> Bools:
    """Return for each place whether the smallest cone that holds all players is 180 degrees or more."""
    if len(bodies) < 2 or not len(places):
        return np.zeros(len(places), dtype=bool)
    offset = bodies - places[:, None, :]
    turn = np.arctan2(offset[..., 1], offset[..., 0])
    here = (offset == 0).all(-1)
    if here.any():
        # A body in the very place has no direction: any other's stands for it.
        other = np.take_along_axis(turn, here.argmin(-1)[:, None], -1)
        turn = np.where(here, other, turn)
    turn.sort(-1)
    widest = np.maximum(np.diff(turn).max(-1), turn[:, 0] + 2 * np.pi - turn[:, -1])
    return np.asarray(widest <= np.pi + JUST, dtype=bool)


def _behind(offset: Floats) -> tuple[int, ...]:
    """Return which bodies are behind when the official turns so that as many as can be are before him."""
    distance = np.hypot(offset[:, 0], offset[:, 1])
    away = np.flatnonzero(distance > 0)
    turn = np.arctan2(offset[away, 1], offset[away, 0])
    ahead = (turn[None, :] - turn[:, None]) % (2 * np.pi)
    # From each body a half turn to the left: a body that rounding puts just right of it is the same direction.
    ahead = np.where(ahead > 2 * np.pi - JUST, 0.0, ahead)
    left_out = [tuple(away[row >= np.pi - JUST].tolist()) for row in ahead]
    if not left_out:
        return ()
    # As few as can be; of equal ones the farther away, then the ones named last.
    return min(
        left_out, key=lambda ones: (len(ones), -round(float(distance[list(ones)].sum()), 9), _last(ones))
    )


def _last(ones: tuple[int, ...]) -> tuple[int, ...]:
    return tuple(-one for one in ones)
