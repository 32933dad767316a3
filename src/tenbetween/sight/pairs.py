"""The pair of places with the most on these numbers, found exactly without trying every pair.

The sum of the better of two looks is the highest, over all ways to divide the matchups, of what the lead holds of
his part and the trail of his. So 2^M divisions stand for all pairs of places and facings, and the division found is
the division of labour. It is not a place to teach: it flips within a step and knows nothing of lines, getting back,
or the partner's eyes.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from msgspec import Struct

from tenbetween.errors import Problem, TenbetweenError
from tenbetween.scene import Crew, Matchup, Official, Scene, known_part
from tenbetween.sight.bearings import Bools, Floats, wrapped
from tenbetween.sight.boxing import allowed_pairs
from tenbetween.sight.facing import facings_worth_trying
from tenbetween.sight.looks import in_field
from tenbetween.sight.many_looks import plain_from
from tenbetween.sight.settings import SIGHT, Settings
from tenbetween.sight.stance import Arrays, arrays_of
from tenbetween.situation import PointFt

MOST = 10
"""Matchups at most: a thousand divisions."""


class BestPair(Struct, frozen=True):
    """Two places and facings that together hold most of the matchups, and who then has which."""

    crew: Crew
    coverage: float
    lead_has: tuple[Matchup, ...]
    trail_has: tuple[Matchup, ...]


class BestSplit(NamedTuple):
    """The highest sum of weighted better looks over all pairs of places, and where it is."""

    coverage: float
    lead: int
    """Number of the lead's place ..."""
    trail: int
    lead_has: tuple[int, ...]
    """Numbers of the matchups the lead has; the trail has the others."""


def best_split(lead: Floats, trail: Floats, weights: Floats) -> BestSplit:
    """Return the best pair of a place for each from the looks of all, (M, P) each: millions of pairs at once.

    >>> lead = np.array([[1.0, 0.2], [0.0, 0.9]])
    >>> best_split(lead, np.array([[0.0, 0.6], [0.5, 0.1]]), np.ones(2))
    BestSplit(coverage=0.75, lead=0, trail=0, lead_has=(0,))

    Raises:
        TenbetweenError: no places, no matchups, or more than ten.
    """
    _check(lead.shape[1], trail.shape[1], len(weights))
    chosen = _divisions(len(weights))
    held = (chosen * weights) @ lead
    # The rest of a division is the same division read from the other end.
    rest = (held if trail is lead else (chosen * weights) @ trail)[::-1]
    split = int((held.max(1) + rest.max(1)).argmax())
    i, j = int(held[split].argmax()), int(rest[split].argmax())
    total = float(held[split, i] + rest[split, j]) / float(weights.sum())
    return BestSplit(total, i, j, tuple(np.flatnonzero(chosen[split]).tolist()))


def best_pair(
    scene: Scene,
    lead_places: Sequence[PointFt],
    trail_places: Sequence[PointFt],
    settings: Settings = SIGHT,
    *,
    boxed: bool = True,
) -> BestPair | None:
    """Return the exact best pair among places (ft) over every facing; None when no pair boxes the players in.

    >>> from tenbetween.scene import Player
    >>> players = (Player("a1", "a", (15.0, 20.0)), Player("b1", "b", (15.0, 24.0)))
    >>> crew = Crew(Official((0.0, 35.0)), Official((30.0, 15.0)))
    >>> scene = Scene(players, (Matchup("a1", "b1"),), (15.0, 20.0), crew)
    >>> best_pair(scene, [(0.0, 22.0)], [(30.0, 22.0), (15.0, 40.0)]).crew.trail.at
    (30.0, 22.0)

    Raises:
        TenbetweenError: no places, no matchups, or more than ten.
    """
    scene = known_part(scene)
    arrays = arrays_of(scene, settings)
    _check(len(lead_places), len(trail_places), len(arrays.weights))
    lead, trail = (np.array(places, dtype=np.float64) for places in (lead_places, trail_places))
    chosen = _divisions(len(arrays.weights))
    values, tried = _values(np.concatenate([lead, trail]), arrays, settings)
    mine, theirs = values[..., : len(lead)], values[..., len(lead) :]
    held = _most(mine, chosen), _most(theirs, chosen[::-1])
    found = _highest(*held, allowed_pairs(lead, trail, arrays.bodies, settings) if boxed else None)
    if found is None:
        return None
    i, j, split = found
    crew = Crew(
        _official(lead[i], tried[:, i], mine[..., i] @ chosen[split]),
        _official(trail[j], tried[:, len(lead) + j], theirs[..., j] @ (1 - chosen[split])),
    )
    total = float(held[0][split, i] + held[1][split, j]) / float(arrays.weights.sum())
    has = [
        tuple(one for one, mine in zip(scene.matchups, row, strict=True) if mine)
        for row in (chosen[split] > 0, chosen[split] == 0)
    ]
    return BestPair(crew, total, has[0], has[1])


def _divisions(count: int) -> Floats:
    """Return every way to give matchups to the lead, (2^M, M); the one from the other end is the trail's rest."""
    return (np.arange(2**count)[:, None] >> np.arange(count) & 1).astype(np.float64)


def _check(leads: int, trails: int, matchups: int) -> None:
    wrong = [
        Problem(name, "no place", "at least one", "say where this official may stand")
        for name, places in (("lead_places", leads), ("trail_places", trails))
        if not places
    ]
    if not 1 <= matchups <= MOST:
        wrong.append(Problem("matchups", f"{matchups}", "one to ten", "name the matchups to divide"))
    if wrong:
        raise TenbetweenError(wrong)


def _values(places: Floats, arrays: Arrays, settings: Settings) -> tuple[Floats, Floats]:
    """Return the weighted looks for each facing worth trying, (F, M, P), and these facings in radians (F, P)."""
    plain = plain_from(places, arrays.bodies, arrays.pairs, settings) * arrays.weights[:, None]
    ends = []
    for column in (0, 1):
        to = arrays.bodies[arrays.pairs[:, column]][:, None, :] - places
        ends.append(np.arctan2(to[..., 1], to[..., 0]))
    turn = wrapped(ends[1] - ends[0])
    middle, apart = ends[0] + turn / 2, np.abs(turn)
    tried = np.ascontiguousarray(facings_worth_trying(middle.T, apart.T, settings).T)
    return plain * in_field(middle, apart, tried[:, None, :], settings), tried


def _most(values: Floats, chosen: Floats) -> Floats:
    """Return for each division and place the most it holds over its facings, (2^M, P)."""
    held: Floats = chosen @ values[0]
    for facing in values[1:]:
        np.maximum(held, chosen @ facing, out=held)
    return held


def _official(at: Floats, tried: Floats, held: Floats) -> Official:
    return Official((float(at[0]), float(at[1])), float(np.degrees(tried[held.argmax()])) % 360)


def _highest(lead: Floats, trail: Floats, allowed: Bools | None) -> tuple[int, int, int] | None:
    """Return lead place, trail place and division with the highest sum; None when no pair is allowed."""
    most = lead.max(1) + trail.max(1)
    if allowed is None:
        split = int(most.argmax())
        return int(lead[split].argmax()), int(trail[split].argmax()), split
    best, found = -1.0, None
    for split in np.argsort(-most, kind="stable").tolist():
        if most[split] <= best:
            break
        # Only places that can still beat the best with the most the other holds.
        rows = np.flatnonzero(lead[split] + trail[split].max() > best)
        columns = np.flatnonzero(trail[split] + lead[split].max() > best)
        sums = lead[split, rows][:, None] + trail[split, columns]
        sums[~allowed[np.ix_(rows, columns)]] = -1.0
        spot = int(sums.argmax())
        if sums.flat[spot] > best:
            i, j = divmod(spot, columns.size)
            best, found = float(sums.flat[spot]), (int(rows[i]), int(columns[j]), split)
    return found
