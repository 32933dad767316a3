"""Many frames at once are the same as one scene after the other."""

from __future__ import annotations

import random
import sys

import numpy as np
import pytest
from msgspec.structs import replace

from sight.scenes import random_scene
from tenbetween.scene import Scene
from tenbetween.sight import SIGHT, boxed_in
from tenbetween.sight.looks import looks_from
from tenbetween.sight.season import through
from tenbetween.sight.stance import arrays_of

FRAMES = 300


def scenes() -> list[Scene]:
    dice = random.Random(12)
    found = [random_scene(dice) for _ in range(FRAMES)]
    # Two on one spot, and an official inside a body.
    first = found[0].players
    found[0] = replace(found[0], players=(replace(first[0], at=first[1].at), *first[1:]))
    crew = found[1].crew
    found[1] = replace(found[1], crew=replace(crew, lead=replace(crew.lead, at=found[1].players[3].at)))
    return found


def arrays(found: list[Scene]) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:  # type: ignore[type-arg]
    first = arrays_of(found[0], SIGHT)
    bodies = np.array([[player.at for player in scene.players] for scene in found])
    officials = np.array([[scene.crew.lead.at, scene.crew.trail.at] for scene in found])
    return bodies, officials, first.pairs, first.weights


@pytest.mark.parametrize("compiled", [True, False])
def test_every_frame_is_what_one_scene_says(compiled: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    if not compiled:
        monkeypatch.setitem(sys.modules, "tenbetween.sight.fast", None)
    found = scenes()
    bodies, officials, pairs, weights = arrays(found)
    seen = through(bodies, officials, pairs, weights)
    for number, scene in enumerate(found):
        one = looks_from(officials[number], bodies[number], pairs, SIGHT)
        plain = one.openness * one.clear * one.closeness * one.width
        assert seen.looks[number] == pytest.approx(plain, abs=1e-9), number
        assert seen.coverage[number] == pytest.approx(
            (plain.max(0) * weights).sum() / weights.sum(), abs=1e-9
        )
        box = boxed_in(scene)
        assert seen.opposition_deg[number] == pytest.approx(box.opposition_deg, abs=1e-9, nan_ok=True)
        assert seen.share_between[number] == pytest.approx(box.share_between, abs=1e-12)


def test_no_frames_are_no_answer_and_no_fault() -> None:
    _, _, pairs, weights = arrays(scenes()[:1])
    seen = through(np.empty((0, 10, 2)), np.empty((0, 2, 2)), pairs, weights)
    assert seen.looks.shape == (0, 2, 5)
    assert seen.coverage.size == 0
