"""The court screen's picture of a play: drawing, places, what is seen; and a line owner for each line.

Joins scene, sight and drawing; the play comes in, plain values go out. Keeps nothing.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

from msgspec import to_builtins

from tenbetween.desk.export import export_play
from tenbetween.desk.plays import on_their_ways, run_seconds
from tenbetween.desk.scenes import seen_page, spoken
from tenbetween.draw.frame import affine, frame_of
from tenbetween.draw.scene_svg import scene_svg
from tenbetween.formats.play_json import play_as_dict
from tenbetween.formats.scene_line import read_scene_line, scene_line
from tenbetween.scene import ROLES, Play, PlayStep, Scene, end_and_side, formations_for, play_of, stage
from tenbetween.sight import SIGHT, Settings, Sight, see
from tenbetween.sight.shade import shade
from tenbetween.sight.spread import Dice
from tenbetween.situation import Role, Ruling
from tenbetween.units import FOOT

Page = dict[str, Any]
SCALE = 8.0


START_AT = (56.0, 0.0)
"""Where play stopped in the answer the court screen begins with, when none is asked for."""


def of_answer(ruling: Ruling, line: str, formation: str, dice: Dice, *, turned: bool) -> Page:
    """Return the court screen of an answer staged with a formation, at the step where the crew is ready.

    Raises:
        TenbetweenError: no such formation, or one that does not fit the restart.
    """
    staged = stage(ruling, formation or None)
    play = on_their_ways(play_of(ruling, staged.formation.id, run_seconds, line=line), run_seconds)
    # Before a jump ball nobody moves to a place: everybody is ready in the first step.
    number = 0 if ruling.restart == "jump_ball" else min(1, len(play.steps) - 1)
    page = board_page(play, owners_of(ruling, staged.scene), dice, turned=turned, number=number)
    fitting = [{"id": one.id, "title": one.title} for one in formations_for(ruling)]
    return {**page, "formations": fitting, "note": staged.note, "unplaced": bool(staged.unplaced)}


def of_line(text: str, dice: Dice, *, turned: bool) -> Page:
    """Return the court screen of a scene in one line: a play of one step.

    Raises:
        TenbetweenError: everything in the line that cannot be read.
    """
    step = PlayStep(says="As set up.", scene=read_scene_line(text))
    return board_page(Play(title="A scene of your own", steps=(step,)), None, dice, turned=turned)


def board_page(
    play: Play, owners: dict[str, Role] | None, dice: Dice, *, turned: bool, number: int = 0
) -> Page:
    """Return everything the court screen shows of one step of a play."""
    step = play.steps[number]
    court = step.scene.court
    return {
        "play": to_builtins(play, str_keys=True) | {"provisions": play.provisions},
        "play_json": json.dumps(play_as_dict(play), ensure_ascii=False, separators=(",", ":")),
        "settings_json": json.dumps(to_builtins(SIGHT)),
        "svg": picture(step, turned=turned),
        "frame": affine(frame_of(court, scale=SCALE, turned=turned, half=None)),
        "number": number,
        "size": (court.length / FOOT, court.width / FOOT),
        **seen_parts(step.scene, owners, dice),
    }


def picture(step: PlayStep, *, turned: bool) -> str:
    """Return the drawing of a step for a page: everybody, looks, box and shading."""
    scene = step.scene
    field = shade(scene, SIGHT).data
    return scene_svg(scene, lead=step.lead, turned=turned, scale=SCALE, sight=see(scene), shade=field)


def seen_parts(scene: Scene, owners: dict[str, Role] | None, dice: Dice, settings: Settings = SIGHT) -> Page:
    """Return what a screen says of one scene: card, list, one line, what to speak."""
    seen = seen_page(scene, owners, settings, dice)
    return {
        "seen": seen,
        "positions": positions(scene, see(scene, settings)),
        "scene_line": scene_line(scene),
        "speak": spoken(seen),
    }


def file_of(
    play: Play,
    kind: str,
    step: int,
    *,
    progress: Callable[[int, int], object] | None = None,
    cancel: Callable[[], bool] | None = None,
) -> tuple[str, bytes]:
    """Return a name for the file, without names of people, and its content; a still shows looks and shading.

    Raises:
        TenbetweenError: no such kind, or an extra that is not installed.
    """
    shown: Page = {"shade": True, "looks": True} if kind in ("png", "pdf") else {}
    if kind == "png":
        shown["step"] = step + 1
    return f"tenbetween-play.{kind}", export_play(play, kind, progress=progress, cancel=cancel, **shown)


def positions(scene: Scene, sight: Sight) -> list[Page]:
    """Return everybody with his place and how much of him each official sees."""
    found = [_officials_row(scene, role) for role in ROLES]
    for one in scene.players:
        shares: Page = {role: f"{100 * sight.visible[role].get(one.id, 0.0):.0f} %" for role in ROLES}
        team = "attacker" if one.team == "a" else "defender"
        found.append({"id": one.id, "name": f"{one.id} {team}", "x": one.at[0], "y": one.at[1], **shares})
    ball = {"id": "ball", "name": "Ball", "x": scene.ball[0], "y": scene.ball[1], "lead": "", "trail": ""}
    return [*found, ball]


def _officials_row(scene: Scene, role: Role) -> Page:
    x, y = scene.crew.of(role).at
    return {"id": role, "name": role.capitalize(), "x": x, "y": y, "lead": "", "trail": ""}


def owners_of(ruling: Ruling, scene: Scene) -> dict[str, Role] | None:
    """Return who has which line by a ruling, in words of the floor; None when the book does not say.

    Front and back court are those of the team throwing in. The end line away from the ball is left out.
    """
    if not ruling.lines:
        return None
    ahead = ruling.attacking_after or end_and_side(scene)[0]
    behind = "left" if ahead == "right" else "right"
    names = {
        "frontcourt_end_line": f"{ahead} end line",
        "backcourt_end_line": f"{behind} end line",
        "table_sideline": "table sideline",
        "opposite_sideline": "opposite sideline",
        "division_line": "division line",
    }
    far = "right" if scene.ball[0] < scene.court.length / FOOT / 2 else "left"
    found = {names[line]: who for line, who in ruling.lines.items() if line in names and who in ROLES}
    return {name: _role(who) for name, who in found.items() if name != f"{far} end line"}


def _role(who: str) -> Role:
    return "lead" if who == "lead" else "trail"
