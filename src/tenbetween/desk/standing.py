"""What can be told of a scene whose places are only known to within their ellipses: a range, or "cannot tell".

Dice are handed in: the camera and every click are drawn anew many times, each time the whole scene is reckoned, and
what is the same in nearly all of them is told. Feet stay the feet of one camera, so their errors go together.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import permutations
from math import hypot
from typing import Any

import numpy as np
from msgspec.structs import replace
from numpy.typing import NDArray

from tenbetween.court import Court
from tenbetween.desk.court_found import Found
from tenbetween.formats.scene_line import scene_line
from tenbetween.scene import Crew, Matchup, Official, Player, Scene
from tenbetween.sight import SIGHT, boxed_in, see
from tenbetween.situation import PointFt, Role

Json = dict[str, Any]
Floats = NDArray[np.float64]
Dice = np.random.Generator
DRAWS = 120
SURE = 0.95
"""What holds in this share of the draws is told; else it cannot be told."""
CANNOT = "Cannot tell"


@dataclass(frozen=True, slots=True)
class Stood:
    """Feet of one frame: who, clicked where (dots), by which camera, and how far off a click may be (dots)."""

    found: Found
    who: tuple[str, ...]
    dots: Floats
    sd: float
    court: Court

    def places(self) -> Floats:
        """Return where the feet stand (n, 2, feet)."""
        return self.found.camera.floor(self.dots)

    def drawn(self, dice: Dice, draws: int = DRAWS) -> Floats:
        """Return places drawn anew (draws, n, 2, feet): the camera each time another, and each click."""
        camera = self.found.camera
        values, vectors = np.linalg.eigh(self.found.covariance)
        root = vectors * np.sqrt(np.maximum(values, 0.0))
        found = []
        for _ in range(draws):
            moved = camera.with_numbers(camera.numbers() + root @ dice.standard_normal(8))
            found.append(moved.floor(self.dots + dice.normal(0.0, self.sd, self.dots.shape)))
        return np.stack(found)


def told(
    stood: Stood, ball: PointFt | None, pairs: Sequence[Sequence[str]], dice: Dice, draws: int = DRAWS
) -> Json:
    """Return what the crew saw as ranges over the draws: boxing in, and each look.

    >>> told(Stood(_known(), ("lead",), np.zeros((1, 2)), 1.0, _floor()), None, (), np.random.default_rng(1))["why"]
    'Click the feet of both officials and of at least two players first.'
    """
    players = [one for one in stood.who if one not in ("lead", "trail", "ball")]
    if not {"lead", "trail"} <= set(stood.who) or len(players) < 2:
        return {
            "ok": False,
            "why": "Click the feet of both officials and of at least two players first.",
            "rows": [],
        }
    matchups = tuple(Matchup(a, b) for a, b in pairs if a in players and b in players)
    scenes = [scene_of(stood, places, ball, matchups) for places in stood.drawn(dice, draws)]
    best = scene_of(stood, stood.places(), ball, matchups)
    rows = [*_boxing(best, scenes), *_looks(best, scenes)]
    missing = 10 - len(players)
    why = f"{missing} of the ten players are not clicked: nothing is told of them." if missing else ""
    return {"ok": True, "why": why, "rows": rows, "draws": draws, "line": scene_line(rounded(best))}


def rounded(scene: Scene) -> Scene:
    """Return a scene with places to a tenth of a foot: more would say more than the clicks do."""

    def near(at: PointFt) -> PointFt:
        return (round(at[0], 1), round(at[1], 1))

    players = tuple(replace(one, at=near(one.at)) for one in scene.players)
    crew = Crew(Official(near(scene.crew.lead.at)), Official(near(scene.crew.trail.at)))
    return replace(scene, players=players, ball=near(scene.ball), crew=crew)


def scene_of(stood: Stood, places: Floats, ball: PointFt | None, matchups: tuple[Matchup, ...] = ()) -> Scene:
    """Return the scene of one set of places; a player's letter is his team, as clicked."""
    at = {who: (float(one[0]), float(one[1])) for who, one in zip(stood.who, places, strict=True)}
    players = tuple(
        Player(who, "a" if who[0] == "a" else "b", place)
        for who, place in at.items()
        if who not in ("lead", "trail", "ball")
    )
    middle = at.get("ball") or ball or _middle(players)
    return Scene(players, matchups, middle, Crew(Official(at["lead"]), Official(at["trail"])), stood.court)


def _middle(players: Sequence[Player]) -> PointFt:
    return (
        sum(one.at[0] for one in players) / max(1, len(players)),
        sum(one.at[1] for one in players) / max(1, len(players)),
    )


def nearest_pairs(places: Mapping[str, PointFt]) -> list[list[str]]:
    """Return each attacker with a defender so that all distances together are least; a proposal, to be looked at.

    >>> nearest_pairs({"a1": (0.0, 0.0), "a2": (9.0, 0.0), "b1": (8.0, 0.0), "b2": (1.0, 1.0)})
    [['a1', 'b2'], ['a2', 'b1']]
    """
    ours = sorted(one for one in places if one[0] == "a")[:5]
    theirs = sorted(one for one in places if one[0] == "b")[:5]
    if not ours or not theirs:
        return []
    short, long = (ours, theirs) if len(ours) <= len(theirs) else (theirs, ours)

    def far(order: Sequence[str]) -> float:
        return sum(
            hypot(places[a][0] - places[b][0], places[a][1] - places[b][1])
            for a, b in zip(short, order, strict=True)
        )

    best = min(permutations(long, len(short)), key=far)
    pairs = zip(short, best, strict=True) if short is ours else zip(best, short, strict=True)
    return sorted([a, b] for a, b in pairs)


# ---- what is told ----


def _boxing(best: Scene, draws: Sequence[Scene]) -> list[Json]:
    boxes = [boxed_in(one) for one in draws]
    now = boxed_in(best)
    angles = [one.opposition_deg for one in boxes if one.opposition_deg is not None]
    rows = [
        _yes("All between the two", now.ok, [one.ok for one in boxes], "Yes", "No"),
        _number(
            "Lead to trail, round the middle of the players",
            now.opposition_deg,
            angles,
            "°",
            SIGHT.opposition_least,
        ),
    ]
    behind = [one.behind for one in boxes]
    for who in sorted({name for one in behind for name in one}):
        rows.append(
            _yes(f"{who} behind an official", who in now.behind, [who in one for one in behind], "Yes", "No")
        )
    return rows


def _looks(best: Scene, draws: Sequence[Scene]) -> list[Json]:
    if not best.matchups:
        return []
    now = {(one.official, one.matchup.attacker): one for one in see(best).looks}
    kinds: dict[tuple[Role, str], Counter[str]] = {key: Counter() for key in now}
    for scene in draws:
        for one in see(scene).looks:
            kinds[one.official, one.matchup.attacker][one.cause or "open"] += 1
    return [
        _kind(f"{role.capitalize()} at {who} and {now[role, who].matchup.defender}", counts)
        for (role, who), counts in kinds.items()
    ]


def _kind(name: str, counts: Counter[str]) -> Json:
    (kind, most), total = counts.most_common(1)[0], sum(counts.values())
    words = kind.replace("_", " ")
    if most / total >= SURE:
        return {
            "name": name,
            "value": words.capitalize(),
            "range": f"in {most} of {total} draws",
            "sure": True,
        }
    parts = ", ".join(f"{what.replace('_', ' ')} in {count}" for what, count in counts.most_common())
    return {"name": name, "value": CANNOT, "range": f"{parts} of {total} draws", "sure": False}


def _yes(name: str, now: bool, drawn: Sequence[bool], yes: str, no: str) -> Json:
    share = sum(drawn) / len(drawn)
    said = yes if share >= SURE else no if share <= 1 - SURE else CANNOT
    return {
        "name": name,
        "value": said,
        "range": f"yes in {sum(drawn)} of {len(drawn)} draws",
        "sure": said != CANNOT,
    }


def _number(name: str, now: float | None, drawn: Sequence[float], unit: str, asked: float) -> Json:
    if now is None or not drawn:
        return {"name": name, "value": CANNOT, "range": "no middle to look from", "sure": False}
    low, high = np.percentile(drawn, (2.5, 97.5))
    sure = not low < asked < high
    said = f"{now:.0f}{unit}" if sure else CANNOT
    return {
        "name": name,
        "value": said,
        "range": f"{low:.0f}{unit} to {high:.0f}{unit}; asked for: {asked:.0f}{unit}",
        "sure": sure,
    }


# ---- for the example above ----


def _known() -> Found:
    from tenbetween.film.camera import Camera

    camera = Camera(42, -60, 15, 0, 0.2, 0, 800, 0, (640, 360))
    return Found(camera, np.eye(8) * 1e-6, "by hand")


def _floor() -> Court:
    from tenbetween.court import court_of

    return court_of("us-hs")
