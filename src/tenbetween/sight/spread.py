"""How much a crew's coverage says: what pairs of places drawn at random would hold of the same scene.

Coverage lies high nearly everywhere, so the number alone says little. The dice are handed in; the zones they are
thrown over are settings. A high place among random pairs does not prove a place right, and a low one not wrong.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Protocol

import numpy as np
from msgspec import Struct

from tenbetween.errors import Problem, TenbetweenError
from tenbetween.scene import Scene, known_part
from tenbetween.sight.bearings import Floats
from tenbetween.sight.settings import SIGHT, Settings, Zones
from tenbetween.sight.stance import Arrays, arrays_of, stances
from tenbetween.sight.steps import coverage_of
from tenbetween.situation import PointFt, Role
from tenbetween.units import FOOT

TRIES = 1000
Box = tuple[float, float, float, float]


class Dice(Protocol):
    """What throws: ``random.Random`` is one."""

    def uniform(self, a: float, b: float) -> float:
        """Return a number between two, both alike."""
        ...


class Spread(Struct, frozen=True):
    """Coverage of random pairs beside the crew's own."""

    coverage: float
    """The crew as it stands, facing as given."""
    low: float
    """One pair in ten holds less ..."""
    median: float
    high: float
    """... and one in ten holds more."""
    percentile: float
    """How many of a hundred random pairs hold less than the crew; of equal ones half."""
    pairs: int
    zones: Zones


def spread(scene: Scene, dice: Dice, settings: Settings = SIGHT, *, pairs: int = 200) -> Spread | None:
    """Return what random pairs would hold, each turned the way that shows him most; None without matchups.

    Drawn at the end where the lead stands: the lead from 5 ft outside the end line to 8 ft inside, the trail from
    8 ft inside to the division line, both up to 5 ft outside the sidelines, none nearer to a player's middle than
    2.5 ft; all of these are settings.

    >>> from random import Random
    >>> from tenbetween.scene import Crew, Matchup, Official, Player
    >>> players = (Player("a1", "a", (15.0, 20.0)), Player("b1", "b", (15.0, 24.0)))
    >>> crew = Crew(Official((-3.0, 22.0)), Official((30.0, 15.0)))
    >>> found = spread(Scene(players, (Matchup("a1", "b1"),), (15.0, 20.0), crew), Random(1))
    >>> found.low <= found.median <= found.high, found.pairs
    (True, 200)

    Raises:
        TenbetweenError: no pair asked for, or the zones are so full of players that nobody can stand there.
    """
    if pairs < 1:
        raise TenbetweenError([Problem("pairs", f"{pairs}", "one or more", "say how many pairs to draw")])
    scene = known_part(scene)
    arrays = arrays_of(scene, settings)
    here = coverage_of(scene, settings)
    if here is None:
        return None
    drawn = np.array(
        [[_drawn(box, dice, arrays, settings) for box in _boxes(scene, settings.zones)] for _ in range(pairs)]
    )
    lead, trail = (stances(drawn[:, k], None, arrays, settings).values for k in (0, 1))
    held = np.maximum(lead, trail) @ arrays.weights / arrays.weights.sum()
    low, median, high = (float(one) for one in np.quantile(held, (0.1, 0.5, 0.9)))
    less = float((held < here - 1e-9).mean() + (np.abs(held - here) <= 1e-9).mean() / 2)
    return Spread(here, low, median, high, 100 * less, pairs, settings.zones)


def zone_places(scene: Scene, role: Role, settings: Settings = SIGHT, step: float = 2.0) -> list[PointFt]:
    """Return places of a zone (see ``spread``) in rows ``step`` ft apart, none onto a player: for ``best_pair``.

    >>> from tenbetween.scene import Crew, Official
    >>> crew = Crew(Official((-3.0, 22.0)), Official((30.0, 15.0)))
    >>> places = zone_places(Scene((), (), (15.0, 20.0), crew), "lead")
    >>> len(places), min(places), max(places)
    (217, (-5.0, -5.0), (7.0, 55.0))
    """
    scene = known_part(scene)
    bodies = arrays_of(scene, settings).bodies
    left, right, bottom, top = dict(zip(("lead", "trail"), _boxes(scene, settings.zones), strict=True))[role]
    from_end = (
        np.arange(left, right + 1e-9, step) if _left_end(scene) else np.arange(right, left - 1e-9, -step)
    )
    rows = np.arange(bottom, top + 1e-9, step)
    return [(float(x), float(y)) for x in from_end for y in rows if _free((x, y), bodies, settings)]


def _boxes(scene: Scene, zones: Zones) -> Iterator[Box]:
    """Yield the zone of the lead and of the trail as least and most x, least and most y."""
    length, width = scene.court.length / FOOT, scene.court.width / FOOT
    for nearest, farthest in ((zones.lead_from, zones.lead_to), (zones.trail_from, length / 2)):
        near, far = (nearest, farthest) if _left_end(scene) else (length - farthest, length - nearest)
        yield near, far, -zones.aside, width + zones.aside


def _left_end(scene: Scene) -> bool:
    """Return whether the lead stands at the left end; on the division line, whether the ball does."""
    middle = scene.court.length / FOOT / 2
    x = scene.crew.lead.at[0]
    return x < middle if x != middle else scene.ball[0] <= middle


def _drawn(box: Box, dice: Dice, arrays: Arrays, settings: Settings) -> PointFt:
    left, right, bottom, top = box
    for _ in range(TRIES):
        at = dice.uniform(left, right), dice.uniform(bottom, top)
        if _free(at, arrays.bodies, settings):
            return at
    found = f"no free place in {TRIES} draws from x {left:g} to {right:g} ft"
    raise TenbetweenError(
        [Problem("zones", found, "room between the players", "widen the zones or lower elbow_room")]
    )


def _free(at: PointFt, bodies: Floats, settings: Settings) -> bool:
    return not len(bodies) or float(np.hypot(*(bodies - at).T).min()) >= settings.elbow_room
