"""Where the taught places come out on our own formations, measured and written to docs/honesty.md.

Sight alone does not explain where officials are taught to stand. This command shows how far it does, on every
formation shipped, beside the spread of random pairs, so that nobody has to believe it. Nothing is fitted; every
number rests on settings that are printed with it. Not a word here says how well anybody judges.
"""

from __future__ import annotations

import random
import statistics
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

import numpy as np
from msgspec import Struct, structs

from tenbetween.dev.scenes_measured import Measured, front_scenes
from tenbetween.scene import ROLES, Crew, Scene, common_errors, end_and_side
from tenbetween.sight import CONTACT, SIGHT, Settings, best_step, boxed_in
from tenbetween.sight.bearings import Bools, Floats
from tenbetween.sight.boxing import anyone_behind, between, opposition
from tenbetween.sight.stance import arrays_of, stance_of, stances
from tenbetween.units import FOOT

PAGE = "docs/honesty.md"
PAIRS = 250
FUTURES = 24
JITTER = 1.5
SEED = 20_251_125
Say = Callable[[str], object]


class Place(Struct, frozen=True):
    """Where the taught pair comes out for one scene and one way of reckoning."""

    name: str
    taught: float
    middle: float
    """The mean of random pairs in the same zones."""
    most: float
    percentile: float
    boxed: float | None
    """The percentile among random pairs that box the players in; None when too few do."""
    lead_off: float
    trail_off: float
    """How far the pair with the most stands from the taught one, in feet."""


def honesty(root: Path, *, say: Say) -> int:
    """Measure every front-court formation and write the page; returns 0."""
    found = front_scenes()
    text = page(found, say)
    (root / PAGE).write_text(text, encoding="utf-8")
    say(f"Written: {PAGE}")
    return 0


# -- one scene ----------


def place(one: Measured, settings: Settings, *, futures: int) -> Place:
    """Return the taught pair beside random pairs of the same zones; ``futures`` 1 is the frame as it stands."""
    dice = random.Random(f"{SEED} {one.name}")  # noqa: S311  places to compare with, no secret
    lead, trail = _zones(one.scene, dice)
    mine = one.scene.crew
    scenes = (
        [one.scene, *(_moved(one.scene, dice) for _ in range(futures - 1))] if futures > 1 else [one.scene]
    )
    grids = [_pairs(scene, lead, trail, settings) for scene in scenes]
    grid = np.mean(grids, axis=0)
    held = statistics.fmean(_crew(scene, mine, settings) for scene in scenes)
    inside = _boxing(one.scene, lead, trail, settings)
    boxed = grid[inside]
    i, j = np.unravel_index(int(grid.argmax()), grid.shape)
    return Place(
        one.name,
        held,
        float(grid.mean()),
        float(grid.max()),
        _percentile(grid.ravel(), held),
        _percentile(boxed, held) if boxed.size >= 50 else None,
        float(np.hypot(*(lead[i] - mine.lead.at))),
        float(np.hypot(*(trail[j] - mine.trail.at))),
    )


def _zones(scene: Scene, dice: random.Random) -> tuple[Floats, Floats]:
    """Return random places for the lead (5 ft behind the end line to 14 ft in) and the trail (12 ft to midcourt)."""
    end, _ = end_and_side(scene)
    length, width = scene.court.length / FOOT, scene.court.width / FOOT
    bodies = np.array([player.at for player in scene.players])

    def draw(low: float, high: float) -> Floats:
        found: list[tuple[float, float]] = []
        while len(found) < PAIRS:
            u, y = dice.uniform(low, high), dice.uniform(-1.5, width + 1.5)
            at = (u if end == "left" else length - u, y)
            if np.hypot(*(bodies - at).T).min() >= 2.5:
                found.append(at)
        return np.array(found)

    return draw(-5.0, 14.0), draw(12.0, length / 2)


def _moved(scene: Scene, dice: random.Random) -> Scene:
    """Return the scene a moment later: everybody a little elsewhere; the ball stays where it is."""
    shift = [(dice.gauss(0, JITTER), dice.gauss(0, JITTER)) for _ in scene.players]
    players = [
        structs.replace(player, at=(player.at[0] + dx, player.at[1] + dy))
        for player, (dx, dy) in zip(scene.players, shift, strict=True)
    ]
    return structs.replace(scene, players=tuple(players))


def _pairs(scene: Scene, lead: Floats, trail: Floats, settings: Settings) -> Floats:
    """Return the coverage of every pair of places, each facing what shows him most."""
    arrays = arrays_of(scene, settings)
    a, b = (stances(places, None, arrays, settings).values for places in (lead, trail))
    held = np.maximum(a[:, None, :], b[None, :, :]) @ arrays.weights
    return np.asarray(held / arrays.weights.sum(), dtype=np.float64)


def _crew(scene: Scene, crew: Crew, settings: Settings) -> float:
    arrays = arrays_of(scene, settings)
    a, b = (stance_of(official, arrays, settings).values for official in (crew.lead, crew.trail))
    return float((np.maximum(a, b)[0] * arrays.weights).sum() / arrays.weights.sum())


def _boxing(scene: Scene, lead: Floats, trail: Floats, settings: Settings) -> Bools:
    bodies = np.array([player.at for player in scene.players])
    ok = opposition(lead, trail, bodies) >= settings.opposition_least
    ok &= between(lead, trail, bodies) >= settings.between_least
    free = ~anyone_behind(lead, bodies)[:, None] & ~anyone_behind(trail, bodies)[None, :]
    return np.asarray(ok & free)


def _percentile(values: Floats, mine: float) -> float:
    return float(100 * ((values < mine).sum() + 0.5 * (values == mine).sum()) / values.size)


# -- common errors ----------


def beaten(found: Sequence[Measured], settings: Settings) -> list[tuple[str, float, float, float]]:
    """Return for each common error the share of scenes where the taught pair sees more, boxes better, or either.

    The third number is boxing in first, sight only where both box in alike.
    """
    names = [stand.name for stand in common_errors(found[0].scene)]
    rows = []
    for number, name in enumerate(names):
        wins = [_against(one.scene, number, settings) for one in found]
        sight, box, first = (100 * statistics.fmean(won[part] for won in wins) for part in range(3))
        rows.append((name, sight, box, first))
    return rows


def _against(scene: Scene, number: int, settings: Settings) -> tuple[float, float, float]:
    mine, other = scene.crew, common_errors(scene)[number].crew
    sight = _better(_crew(scene, mine, settings), _crew(scene, other, settings))
    boxes = [boxed_in(structs.replace(scene, crew=crew), settings) for crew in (mine, other)]
    box = _better(boxes[0].opposition_deg or 0.0, boxes[1].opposition_deg or 0.0)
    first = _better(float(boxes[0].ok), float(boxes[1].ok))
    return sight, box, sight if first == 0.5 else first


def _better(mine: float, other: float) -> float:
    return 1.0 if mine > other + 1e-9 else 0.0 if mine < other - 1e-9 else 0.5


# -- the page ----------

WAYS: tuple[tuple[str, Settings, int], ...] = (
    ("sight, the frame as it stands", SIGHT, 1),
    (f"sight, mean of {FUTURES} short futures", SIGHT, FUTURES),
    (f"closeness to contact, mean of {FUTURES} short futures", CONTACT, FUTURES),
)
TURNED: tuple[tuple[str, Settings], ...] = (
    ("as set", CONTACT),
    ("body radius 0.75 ft", structs.replace(CONTACT, radius=0.75)),
    ("body radius 1.0 ft", structs.replace(CONTACT, radius=1.0)),
    ("milder falling off (12 and 42 ft)", structs.replace(CONTACT, contact_begins=12.0, contact_half=42.0)),
    ("field of view 36° sharp, 72° usable", structs.replace(CONTACT, sharp=36.0, usable=72.0)),
)


def page(found: Sequence[Measured], say: Say) -> str:
    """Return docs/honesty.md."""
    ways = []
    for words, settings, futures in WAYS:
        say(f"Measuring: {words} ...")
        ways.append((words, [place(one, settings, futures=futures) for one in found]))
    say("Measuring: other settings ...")
    turned = [(words, [place(one, settings, futures=6) for one in found]) for words, settings in TURNED]
    say("Measuring: common errors ...")
    errors = beaten(found, CONTACT)
    return "\n".join(
        [*_head(len(found)), *_summary(ways), *_by_scene(ways[2][1]), *_other(turned), *_errors(errors)]
    )


def _head(scenes: int) -> list[str]:
    return [
        "# What sight does not explain",
        "",
        f"Written by `make honesty` (`python -m tenbetween.dev honesty`), never by hand: {scenes} front-court formations of our",
        "own, the two officials where the book has them at disposal (for live play: the places taught for it), beside",
        f"{PAIRS} x {PAIRS} random pairs of places in the same zones (lead from 5 ft behind the end line to 14 ft",
        "inside, trail from 12 ft out to the division line), seeded.",
        "",
        "Coverage is the share of the matchups, by weight, that the better look of the two takes in. Percentile 50 means: no",
        "better than a random pair of the same zones. All weights, distances and angles are invented and free to be changed.",
        "",
        "**Read it so:** on sight alone the taught places are not the places with the highest numbers, and they are not taught for",
        "that. Use the court screen to talk about what a spot sees and what a step changes. Never use it to prove a place",
        "right or to judge a person. The formations are ours; nobody has measured real games here.",
        "",
    ]


def _summary(ways: Iterable[tuple[str, list[Place]]]) -> list[str]:
    rows = [
        "| reckoned by | taught, median | random pair, mean | most found | percentile of the taught pair: median (lowest, "
        "highest) | among pairs that box in | pair with the most: lead, trail off by |",
        "|---|--:|--:|--:|--:|--:|--:|",
    ]
    return [*rows, *(_summed(words, places) for words, places in ways), ""]


def _summed(words: str, places: Sequence[Place]) -> str:
    boxed = [one.boxed for one in places if one.boxed is not None]
    spread = sorted(one.percentile for one in places)
    cells = (
        words,
        f"{_median(one.taught for one in places):.2f}",
        f"{_median(one.middle for one in places):.2f}",
        f"{_median(one.most for one in places):.2f}",
        f"{_median(spread):.0f} ({spread[0]:.0f}, {spread[-1]:.0f})",
        f"{_median(boxed):.0f}" if boxed else "too few",
        f"{_median(one.lead_off for one in places):.0f} ft, {_median(one.trail_off for one in places):.0f} ft",
    )
    return "| " + " | ".join(cells) + " |"


def _steps(found: Sequence[Measured]) -> list[str]:
    """Return what one step of up to 4 ft adds for each official from where the book has him, on plain sight."""
    gains = {role: [best_step(one.scene, role).gain for one in found] for role in ROLES}
    said = ", ".join(f"{role} {_median(each):.2f} (most {max(each):.2f})" for role, each in gains.items())
    return [f"What one step of up to 4 ft adds to coverage, partner standing still, median: {said}.", ""]


def _by_scene(places: Iterable[Place]) -> list[str]:
    rows = [
        "## Formation by formation, closeness to contact",
        "",
        "| formation | taught | random pair | most found | percentile | among pairs that box in |",
        "|---|--:|--:|--:|--:|--:|",
    ]
    for one in places:
        boxed = "too few" if one.boxed is None else f"{one.boxed:.0f}"
        rows.append(
            f"| {one.name} | {one.taught:.2f} | {one.middle:.2f} | {one.most:.2f} | {one.percentile:.0f} | {boxed} |"
        )
    return [*rows, ""]


def _other(turned: Iterable[tuple[str, list[Place]]]) -> list[str]:
    rows = [
        "## How much it hangs on the settings",
        "",
        "Six short futures each.",
        "",
        "| settings | taught, median | percentile, median |",
        "|---|--:|--:|",
    ]
    for words, places in turned:
        rows.append(
            f"| {words} | {_median(one.taught for one in places):.2f} | {_median(one.percentile for one in places):.0f} |"
        )
    return [*rows, ""]


def _errors(errors: Iterable[tuple[str, float, float, float]]) -> list[str]:
    rows = [
        "## Taught places beside common errors",
        "",
        "Share of the formations in which the taught pair comes out ahead (a draw counts half). Common errors are common practice,",
        "no source. Where sight says 50 or less, sight does not explain why it is an error.",
        "",
        "| common error | sees more | wider round the players | boxing in first, then sight |",
        "|---|--:|--:|--:|",
    ]
    rows += [
        f"| {name} | {sight:.0f} % | {box:.0f} % | {first:.0f} % |" for name, sight, box, first in errors
    ]
    return [*rows, ""]


def _median(values: Iterable[float]) -> float:
    return statistics.median(values)
