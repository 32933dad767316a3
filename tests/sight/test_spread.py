"""Coverage never stands alone: random pairs beside it, crews side by side, every choice changed once."""

from __future__ import annotations

import random
import re
from pathlib import Path

import numpy as np
import pytest
from msgspec import structs, to_builtins

from sight.scenes import random_scene, scene_of
from tenbetween.errors import TenbetweenError
from tenbetween.scene import Crew, Official, mirrored
from tenbetween.sight import (
    CONTACT,
    MILD,
    SIGHT,
    Settings,
    Zones,
    boxed_in,
    compare,
    coverage_of,
    crew_coverage,
    sensitivity,
    spread,
)

ROOT = Path(__file__).resolve().parents[2]
RING = {f"{team}{n}": (12.0 + 3 * n, 10.0 + 6 * n + (team == "b") * 3) for n in range(1, 6) for team in "ab"}
SCENE = scene_of(RING, (-3, 40), (34, 12))


def test_a_spread_is_what_many_crews_hold_one_after_the_other() -> None:
    found = spread(SCENE, random.Random(4), pairs=40)
    assert found is not None
    dice, held = random.Random(4), []
    for _ in range(40):
        crew = [Official(free(dice, low, high)) for low, high in ((-5, 8), (8, 42))]
        held.append(coverage_of(structs.replace(SCENE, crew=Crew(*crew))))
    low, median, high = np.quantile(np.array(held, dtype=float), (0.1, 0.5, 0.9))
    assert (found.low, found.median, found.high) == pytest.approx((low, median, high))
    assert found.coverage == coverage_of(SCENE)
    assert found.percentile == pytest.approx(100 * np.mean([one < found.coverage for one in held]))  # type: ignore[operator]


def free(dice: random.Random, low: float, high: float) -> tuple[float, float]:
    while True:
        at = dice.uniform(low, high), dice.uniform(-5, 55)
        if min(((at[0] - x) ** 2 + (at[1] - y) ** 2) ** 0.5 for x, y in RING.values()) >= 2.5:
            return at


def test_a_spread_is_the_same_for_the_same_dice_and_near_it_for_others_and_the_other_end() -> None:
    one = spread(SCENE, random.Random(1), pairs=400)
    assert one == spread(SCENE, random.Random(1), pairs=400)
    other = spread(mirrored(SCENE, ends=True), random.Random(2), pairs=400)
    assert one is not None
    assert other is not None
    assert abs(one.median - other.median) < 0.1
    assert abs(one.percentile - other.percentile) < 15


def test_zones_are_settings_saved_beside_the_spread() -> None:
    corner = Settings(zones=Zones(lead_from=-4.0, lead_to=-3.0, trail_from=40.0, aside=0.0))
    found = spread(SCENE, random.Random(1), corner)
    assert found is not None
    assert found.zones == corner.zones
    assert found != spread(SCENE, random.Random(1))
    with pytest.raises(TenbetweenError) as fault:
        Zones(lead_from=3.0, lead_to=3.0, aside=-1.0)
    assert [one.where for one in fault.value.problems] == ["zones.lead_to", "zones.aside"]


def test_what_cannot_be_drawn_is_said() -> None:
    full = Settings(elbow_room=500.0)
    with pytest.raises(TenbetweenError) as fault:
        spread(SCENE, random.Random(1), full)
    assert fault.value.problems[0].where == "zones"
    with pytest.raises(TenbetweenError):
        spread(SCENE, random.Random(1), pairs=0)
    assert spread(scene_of({}, (0, 20), (30, 20)), random.Random(1)) is None


def test_crews_stand_side_by_side_and_nothing_is_summed() -> None:
    crews = {"as they stand": SCENE.crew, "same side": Crew(Official((-3.0, 8.0)), Official((34.0, 12.0)))}
    found = compare(SCENE, crews)
    assert [one.name for one in found] == list(crews)
    for one in found:
        here = structs.replace(SCENE, crew=crews[one.name])
        box = boxed_in(here)
        assert one.coverage == coverage_of(here)
        assert (one.opposition_deg, one.share_between, one.behind, one.boxed_in) == (
            box.opposition_deg, box.share_between, box.behind, box.ok,
        )  # fmt: skip
    fields = set(to_builtins(found[0]))
    assert fields == {"name", "coverage", "opposition_deg", "share_between", "behind", "boxed_in"}


def test_each_choice_is_changed_alone() -> None:
    scene = random_scene(random.Random(12))
    found = sensitivity(scene)
    assert found["as set"] == found["body radius 0.9 ft"] == found["distance for sight"] == coverage_of(scene)
    assert found["body radius 1 ft"] == coverage_of(scene, Settings(radius=1.0))
    assert found["body radius 0.75 ft"] == coverage_of(scene, Settings(radius=0.75))
    assert found["distance for contact"] == coverage_of(scene, CONTACT)
    assert found["distance for contact, mild"] == coverage_of(scene, MILD)
    assert found["sharp field 36°"] == coverage_of(scene, Settings(sharp=36.0))
    near, mild, far = (found[f"distance for {name}"] for name in ("contact", "contact, mild", "sight"))
    assert near < mild < far  # type: ignore[operator]
    narrow = structs.replace(SIGHT, radius=1.0, usable=50.0, sharp=30.0)
    changed = sensitivity(scene, narrow)
    assert "sharp field 60°" not in changed
    assert changed["as set"] == changed["body radius 1 ft"] == coverage_of(scene, narrow)


def test_two_looks_as_two_chances_hold_at_least_the_better_one() -> None:
    dice = np.random.default_rng(2)
    for _ in range(50):
        values, weights = dice.random((2, 5)), dice.random(5)
        either = crew_coverage(values, weights, "either")
        by_hand = sum(w * (a + b - a * b) for w, a, b in zip(weights, *values, strict=True)) / weights.sum()
        assert either == pytest.approx(by_hand)
        assert crew_coverage(values, weights) <= either + 1e-12  # type: ignore[operator]
    assert crew_coverage(np.zeros((2, 0)), np.zeros(0), "either") is None


CLAIM = re.compile(
    r"\b(optim\w*|ideal|perfect|accura\w*|prove[sn]? (the|that)|correct (place|position)s?)\b", re.IGNORECASE
)


def test_nothing_written_about_sight_claims_a_place_is_right() -> None:
    """Neither the papers nor the room's own words speak of a best possible place or of being right so often."""
    src = ROOT / "src" / "tenbetween"
    files = (src / "cli" / "sight.py", src / "formats" / "sight_json.py", ROOT / "docs" / "sight.md")
    texts = [*files, *(src / "sight").glob("*.py")]
    assert CLAIM.search("the optimal position")
    assert [(path.name, found[0]) for path in texts if (found := CLAIM.search(path.read_text("utf-8")))] == []
