"""Measures maps of what each place sees, against bare additions; the pair and a step beside them."""

from __future__ import annotations

import random
from importlib.util import find_spec
from typing import Any

from tenbetween.dev.figures import Figure, Measured, in_turn, processor_seconds
from tenbetween.scene import Crew, Matchup, Official, Player, Scene
from tenbetween.units import um

OPERATIONS = 1950
"""Elementary operations for each place, counted by hand: the floor does so many additions."""
PLACES = 6240
SAMPLE = 120
"""So many of them are also reckoned by polygons, which would take seconds for all."""


def seeing() -> Measured:
    """Measure maps of 6,240 places, five matchups and ten bodies, and what is found with them."""
    if find_spec("numba") is None:
        return Measured(skipped="What is seen: numba is not installed; dev/install dev brings it.")
    import numpy as np

    from tenbetween.sight import best_pair, best_split, best_step, look_map, zone_places

    scene = _scene()
    numbers, total = np.ones(PLACES), np.empty(PLACES)

    def floor() -> None:
        for _ in range(OPERATIONS):
            np.add(numbers, numbers, out=total)

    leads, trails = (zone_places(scene, role, step=1.5)[:400] for role in ("lead", "trail"))
    looks = look_map(scene).looks.reshape(5, -1).astype(np.float64)
    weights = np.ones(5)
    acts: tuple[tuple[str, float, Any], ...] = (
        ("a map of 6,240 places, numpy", 0.007, lambda: look_map(scene)),
        ("the same in 32 bits", 0.004, lambda: look_map(scene, dtype=np.float32)),
        ("the same by compiled loops", 0.0012, lambda: look_map(scene, kernel="fast")),
        ("the pair of 400 and 400 places with the most", 0.008, lambda: best_pair(scene, leads, trails)),
        ("39 million pairs after the looks", 0.001, lambda: best_split(looks, looks, weights)),
        ("what a step changes", 0.002, lambda: best_step(scene, "lead")),
    )
    figures = []
    for name, aim, act in acts:
        act()
        value, bare = in_turn(11, lambda act=act: processor_seconds(act), lambda: processor_seconds(floor))  # type: ignore[misc]
        maps = "map" in name or "same" in name
        figures.append(
            Figure(name, value, "s", aim, floor_name="as many numpy additions", floor=bare)
            if maps
            else Figure(name, value, "s", aim)
        )
    return Measured((*figures, *_against_polygons(scene), *_season(scene)))


SEASON, FRAMES, TRIED = 500_000, 50_000, 300
"""Frames of a season, how many of them are reckoned here, and of how many the best pair is looked for."""


def _season(scene: Scene) -> tuple[Figure, ...]:
    """Return how long a season of frames takes: what the crew had in each, and the pair with the most of each."""
    import numpy as np

    from tenbetween.sight import SIGHT, best_split, many_looks
    from tenbetween.sight.fast import plain_on_grid
    from tenbetween.sight.season import through
    from tenbetween.sight.stance import arrays_of

    arrays, dice = arrays_of(scene, SIGHT), np.random.default_rng(3)
    bodies = arrays.bodies + dice.normal(0, 3, (FRAMES, *arrays.bodies.shape))
    officials = np.array([scene.crew.lead.at, scene.crew.trail.at]) + dice.normal(0, 3, (FRAMES, 2, 2))
    weights = arrays.weights
    ends, sides = np.arange(-4.0, 6.0), np.arange(5.0, 45.0)
    deep = np.arange(20.0, 40.0, 2.0)

    def pairs_of(kernel: Any) -> None:
        for frame in bodies[:TRIED]:
            # Rows of both zones in one call, the lead's first.
            looks = kernel(np.concatenate([ends, deep]), sides, frame, arrays.pairs, SIGHT).reshape(5, -1)
            best_split(looks[:, :400], looks[:, 400:], weights)

    def crews() -> float:
        return processor_seconds(lambda: through(bodies, officials, arrays.pairs, weights))

    crews()
    crew, fast, plain = in_turn(
        3,
        crews,
        lambda: processor_seconds(lambda: pairs_of(plain_on_grid)),
        lambda: processor_seconds(lambda: pairs_of(many_looks.plain_on_grid)),
    )
    times = SEASON / 2  # two processors
    return (
        Figure(
            f"a season of {SEASON:,} frames, the crew in each ({FRAMES:,} reckoned)",
            crew / FRAMES * times,
            "s",
            10,
        ),
        Figure(
            f"the pair of 400 and 400 places in each, compiled ({TRIED} reckoned)",
            fast / TRIED * times,
            "s",
            90,
        ),
        Figure(f"the same in numpy ({TRIED} reckoned)", plain / TRIED * times, "s", 300),
    )


def _against_polygons(scene: Scene) -> tuple[Figure, ...]:
    """Return how many times as long polygons take for the same map, measured on a part of its places in the same run."""
    import numpy as np

    from tenbetween.dev.peer import clear_by_polygons, openness_by_polygons
    from tenbetween.sight import SIGHT, look_map
    from tenbetween.sight.looks import looks_from
    from tenbetween.sight.stance import arrays_of

    found, arrays = look_map(scene), arrays_of(scene, SIGHT)
    places = np.stack(np.meshgrid(found.xs, found.ys, indexing="ij"), -1).reshape(-1, 2)[:: PLACES // SAMPLE]
    pairs = [(int(a), int(d)) for a, d in arrays.pairs]
    ours = looks_from(places, arrays.bodies, arrays.pairs, SIGHT)

    def by_polygons() -> Any:
        asked = (places, arrays.bodies, pairs, SIGHT.radius)
        return openness_by_polygons(*asked) * clear_by_polygons(*asked)

    theirs = by_polygons()
    told = (ours.apart > 0.05) & (ours.apart < 2.6) & (ours.distance > 3)
    apart = float(np.abs(ours.openness * ours.clear - theirs)[told].max())
    if apart > 1e-4:
        raise ValueError(f"polygons and the map disagree by {apart:.3f}: they do not reckon the same")
    slow, fast = in_turn(
        7,
        lambda: processor_seconds(by_polygons),
        lambda: processor_seconds(lambda: look_map(scene)),
    )
    times = slow * PLACES / len(places) / fast
    name = f"times as long by vectorised polygons ({len(places)} of {PLACES:,} places, openness and clear)"
    return (Figure(name, times, "times", 1000, more_is_better=True),)


def _scene() -> Scene:
    """Return ten players, each defender near his attacker, on a floor of 94 ft."""
    from tenbetween.court import court_of
    from tenbetween.situation import Floor

    dice = random.Random(1)  # noqa: S311 - no secret hangs on it
    players = []
    for n in range(1, 6):
        x, y = dice.uniform(2, 40), dice.uniform(3, 47)
        players += [Player(f"a{n}", "a", (x, y)), Player(f"b{n}", "b", (x - 3, y + 2))]
    crew = Crew(Official((-3.0, 34.0)), Official((30.0, 12.0)))
    matchups = tuple(Matchup(f"a{n}", f"b{n}") for n in range(1, 6))
    court = court_of("us-hs", Floor(um("94 ft"), um("50 ft")))
    return Scene(tuple(players), matchups, (20.0, 20.0), crew, court)
