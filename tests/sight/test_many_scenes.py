"""Ten thousand random scenes: every number finite, the same in the mirror, nothing breaks.

The quick parts only; five hundred more are looked at in full in ``test_scenes``.
Some are crowded, some lack players, some have two on one spot, some an official inside a body; invented, seeded.
"""

from __future__ import annotations

import random
from math import isfinite

import pytest
from msgspec.structs import replace

from sight.scenes import random_scene
from tenbetween.scene import Crew, Official, Scene, mirrored
from tenbetween.sight import boxed_in, coverage_of, visible

SCENES, PARTS = 10_000, 4


def scenes(part: int) -> list[Scene]:
    dice = random.Random(f"many scenes {part}")
    return [changed(random_scene(dice), dice) for _ in range(SCENES // PARTS)]


def changed(scene: Scene, dice: random.Random) -> Scene:
    """One in five has something odd about it."""
    odd = dice.random()
    players = scene.players
    if odd < 0.05:
        players = players[: dice.randrange(len(players))]
    elif odd < 0.1:
        players = (replace(players[0], at=players[1].at), *players[1:])
    elif odd < 0.15:
        inside = Official((players[2].at[0] + 0.4, players[2].at[1]))
        return replace(scene, crew=Crew(inside, scene.crew.trail))
    elif odd < 0.2:
        middle = players[4].at
        players = tuple(
            replace(one, at=(middle[0] + dice.uniform(-2, 2), middle[1] + dice.uniform(-2, 2)))
            for one in players
        )
    there = {one.id for one in players}
    kept = tuple(one for one in scene.matchups if {one.attacker, one.defender} <= there)
    return replace(scene, players=players, matchups=kept)


def numbers(scene: Scene) -> list[float]:
    """Every number of the quick parts; None as less than nothing."""
    box = boxed_in(scene)
    found = [coverage_of(scene), box.opposition_deg, box.share_between, float(box.ok), float(len(box.behind))]
    for role in ("lead", "trail"):
        found += visible(scene, role).values()
    return [-1.0 if one is None else one for one in found]


@pytest.mark.parametrize("part", range(PARTS))
def test_every_scene_is_finite_and_the_same_in_the_mirror(part: int) -> None:
    for number, scene in enumerate(scenes(part)):
        here = numbers(scene)
        assert all(isfinite(one) for one in here), (part, number)
        assert all(-1 <= one <= 180 + 1e-9 for one in here), (part, number)
        ends, sides = number % 2 == 0, number % 3 != 0 or number % 2 == 1
        there = numbers(mirrored(scene, ends=ends, sides=sides))
        assert there == pytest.approx(here, abs=1e-6), (part, number)
