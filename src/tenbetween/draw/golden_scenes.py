"""Invented scenes and a play that are drawn and kept beside the diagrams of answers, and what is seen of them.

Knows places in feet and no rule: the players are nobody's, the sets are nobody's.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from tenbetween.scene import (
    BALL,
    Act,
    Crew,
    Matchup,
    Official,
    Play,
    Player,
    PlayStep,
    Scene,
    scene_at,
    step_at,
)
from tenbetween.situation import PointFt

if TYPE_CHECKING:
    from tenbetween.draw.scene_shade import Field

_Places = dict[str, PointFt]
THROW_IN: _Places = {
    "a1": (-1.5, 13.0), "a2": (10.0, 19.5), "a3": (13.5, 30.5), "a4": (19.0, 22.0), "a5": (31.0, 12.0),
    "b1": (2.0, 15.0), "b2": (8.0, 21.0), "b3": (11.5, 29.0), "b4": (16.5, 22.5), "b5": (27.0, 14.0),
}  # fmt: skip
PRESS: _Places = {
    "a1": (58.0, 9.0), "a2": (66.0, 31.0), "a3": (45.0, 41.0), "a4": (30.0, 22.0), "a5": (12.0, 30.0),
    "b1": (55.5, 11.5), "b2": (60.0, 13.0), "b3": (48.0, 36.0), "b4": (34.0, 24.0), "b5": (14.0, 27.0),
}  # fmt: skip
ZONE: _Places = {
    "a1": (31.0, 25.0), "a2": (25.0, 8.0), "a3": (24.0, 43.0), "a4": (9.0, 34.0), "a5": (18.0, 27.0),
    "b1": (26.5, 20.0), "b2": (26.5, 30.0), "b3": (14.0, 13.0), "b4": (12.0, 25.5), "b5": (12.5, 36.0),
}  # fmt: skip
_BALL: Act = "ball"


def scene_from(places: _Places, ball: PointFt, lead: Official, trail: Official) -> Scene:
    """Return a scene of named places; a1 has the ball's matchup, everybody's defender has his number.

    >>> scene_from(ZONE, ZONE["a1"], Official((-3.0, 36.0)), Official((34.0, 12.0))).complete
    True
    """
    players = tuple(Player(name, "a" if name[0] == "a" else "b", at) for name, at in places.items())
    pairs = tuple(
        Matchup(f"a{n}", f"b{n}", _BALL) if n == 1 else Matchup(f"a{n}", f"b{n}") for n in range(1, 6)
    )
    return Scene(players, pairs, ball, Crew(lead, trail))


def golden_scenes() -> dict[str, Scene]:
    """Return the kept scenes by name.

    >>> sorted(golden_scenes())
    ['press', 'throw-in', 'zone']
    """
    return {
        "throw-in": scene_from(THROW_IN, THROW_IN["a1"], Official((-3.0, 34.0)), Official((30.0, 6.0))),
        "press": scene_from(PRESS, PRESS["a1"], Official((32.0, 46.0)), Official((64.0, 21.0), 215.0)),
        "zone": scene_from(ZONE, ZONE["a1"], Official((-4.0, 12.0)), Official((35.0, 44.0))),
    }


def golden_field(scene: Scene) -> Field:
    """Return which 1 ft cells each official sees past the bodies, by the plainest way there is."""
    import numpy as np

    x, y = np.meshgrid(np.arange(84) + 0.5, np.arange(50) + 0.5, indexing="ij")
    found = np.zeros((84, 50), dtype=np.uint8)
    for bit, official in ((1, scene.crew.lead), (2, scene.crew.trail)):
        dx, dy = x - official.at[0], y - official.at[1]
        hidden = np.zeros((84, 50), dtype=bool)
        for player in scene.players:
            px, py = player.at[0] - official.at[0], player.at[1] - official.at[1]
            part = np.clip((px * dx + py * dy) / (dx * dx + dy * dy), 0, 1)
            hidden |= np.hypot(part * dx - px, part * dy - py) < 0.9
        found |= np.where(hidden, 0, bit).astype(np.uint8)
    return found


def golden_play() -> Play:
    """Return a play of four steps in which a steal makes the lead the trail: the letters change, the persons run.

    >>> golden_play().duration
    10.0
    """
    stolen = {
        **ZONE, "b1": (29.0, 23.0), "a1": (32.0, 25.5), "a2": (27.0, 9.5), "a3": (27.0, 41.0),
        "a4": (11.0, 33.0), "a5": (20.0, 27.0),
    }  # fmt: skip
    run = {
        "a1": (62.0, 28.0), "a2": (52.0, 12.0), "a3": (50.0, 38.0), "a4": (36.0, 30.0), "a5": (42.0, 24.0),
        "b1": (70.0, 25.0), "b2": (62.0, 41.0), "b3": (51.0, 16.0), "b4": (40.0, 22.0), "b5": (44.0, 35.0),
    }  # fmt: skip
    zone = golden_scenes()["zone"]
    taken = scene_from(stolen, stolen["b1"], Official((-4.0, 14.0)), Official((35.0, 43.0)))
    away = scene_from(run, run["b1"], Official((79.0, 44.0)), Official((34.0, 13.0)))
    shot = scene_from(run, (78.75, 25.0), Official((85.5, 38.0)), Official((48.0, 9.0)))
    steps = (
        PlayStep(
            says="The ball is at the top against a zone; the lead watches the lane.", scene=zone, hold=1.5,
            lead="umpire",
        ),
        PlayStep(
            says="b1 steps into the pass and has the ball.", scene=taken, seconds=1.0, hold=0.5, lead="umpire"
        ),
        PlayStep(
            says="Quick reversal: the old trail runs ahead as the new lead, the old lead follows as trail.",
            scene=away, seconds=3.5, hold=0.5, lead="referee", provisions=("who.quick-reversal",),
            via=(("referee", ((60.0, 47.0),)), (BALL, ((48.0, 22.0),)), ("b1", ((48.0, 22.0),))),
        ),
        PlayStep(
            says="Try for goal: the lead has the end line, the trail has followed to the division line.",
            scene=shot, seconds=1.5, hold=1.5, lead="referee",
        ),
    )  # fmt: skip
    return Play(
        title="A steal against the zone", steps=steps,
        line="us-hs-2025 / left / change of control / other / lead table umpire", note="Invented.",
    )  # fmt: skip


def scene_drawings() -> dict[str, str]:
    """Return every picture of scenes and of the play that is kept, by file name.

    >>> len(scene_drawings())
    10
    """
    from tenbetween.draw.play_svg import play_svg
    from tenbetween.draw.scene_svg import scene_svg
    from tenbetween.sight import see

    drawn = {}
    for name, scene in golden_scenes().items():
        sight = see(scene)
        drawn[f"scene-{name}.svg"] = scene_svg(scene, theme="light", sight=sight, title=name)
        drawn[f"scene-{name}-shaded.svg"] = scene_svg(
            scene, theme="print", sight=sight, shade=golden_field(scene), title=name
        )
    play = golden_play()
    drawn["play.svg"] = play_svg(play, theme="print", scale=6.0)
    for t in (1.0, 3.75, 9.0):
        step = play.steps[step_at(play, t)[0]]
        drawn[f"play-at-{t:g}.svg"] = scene_svg(
            scene_at(play, t), lead=step.lead, theme="light", scale=6.0, title=f"{play.title}, {t:g} s"
        )
    return drawn
