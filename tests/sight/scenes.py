"""Scenes for the tests: dice with a seed of their own, bodies that overlap, officials inside and outside."""

from __future__ import annotations

import random
from typing import Any

from tenbetween.scene import Crew, Matchup, Official, Player, Scene

PAIRS = tuple((f"a{n}", f"b{n}") for n in range(1, 6))


def scene_of(places: dict[str, tuple[float, float]], lead: Any, trail: Any, pairs: Any = PAIRS) -> Scene:
    """Return a scene of named places; officials as points, or points with a facing."""
    players = tuple(Player(name, name[0], at) for name, at in places.items())  # type: ignore[arg-type]
    kept = tuple(Matchup(*pair) for pair in pairs if pair[0] in places and pair[1] in places)
    crew = Crew(*(Official(tuple(one[:2]), one[2] if len(one) > 2 else None) for one in (lead, trail)))
    return Scene(players, kept, places.get("a1", (20.0, 25.0)), crew)


def random_scene(dice: random.Random) -> Scene:
    """Return ten players, each defender close to his attacker, now and then within him; officials anywhere."""
    places: dict[str, tuple[float, float]] = {}
    for a, d in PAIRS:
        x, y = dice.uniform(0, 42), dice.uniform(-1, 51)
        near = dice.choice((0.6, 2.0, 4.0, 8.0))
        places[a] = (x, y)
        places[d] = (x + dice.uniform(-near, near), y + dice.uniform(-near, near))

    def official(x: tuple[float, float]) -> tuple[float, ...]:
        at = (dice.uniform(*x), dice.uniform(-5, 55))
        return at if dice.random() < 0.5 else (*at, dice.uniform(0, 360))

    return scene_of(places, official((-5, 12)), official((8, 50)))
