"""The court screen's picture of a play: drawing, places, what is seen; and a line owner for each line.

Joins scene, sight and drawing; the play comes in, plain values go out. Keeps nothing.
"""

from __future__ import annotations

import json
from typing import Any

from msgspec import to_builtins

from tenbetween.court import court_of
from tenbetween.desk.scenes import seen_page, spoken
from tenbetween.draw.frame import frame_of
from tenbetween.draw.scene_svg import scene_svg
from tenbetween.formats.play_json import play_as_dict
from tenbetween.formats.scene_line import scene_line
from tenbetween.scene import ROLES, Play, PlayStep, Scene, end_and_side
from tenbetween.sight import SIGHT, Settings, Sight, see
from tenbetween.sight.shade import shade
from tenbetween.situation import Role, Ruling
from tenbetween.units import FOOT

Page = dict[str, Any]
SCALE = 8.0


def board_page(play: Play, owners: dict[str, Role] | None, *, turned: bool) -> Page:
    """Return everything the court screen shows of the first step of a play."""
    from tenbetween.desk.workbench import affine

    step = play.steps[0]
    court = step.scene.court
    return {
        "play": to_builtins(play, str_keys=True) | {"provisions": play.provisions},
        "play_json": json.dumps(play_as_dict(play), ensure_ascii=False, separators=(",", ":")),
        "settings_json": json.dumps(to_builtins(SIGHT)),
        "svg": picture(step, turned=turned),
        "frame": affine(frame_of(court, scale=SCALE, turned=turned, half=None)),
        "size": (court.length / FOOT, court.width / FOOT),
        **seen_parts(step.scene, owners),
    }


def picture(step: PlayStep, *, turned: bool) -> str:
    """Return the drawing of a step for a page: everybody, looks, box and shading."""
    scene = step.scene
    field = shade(scene, SIGHT).data
    return scene_svg(scene, lead=step.lead, turned=turned, scale=SCALE, sight=see(scene), shade=field)


def seen_parts(scene: Scene, owners: dict[str, Role] | None, settings: Settings = SIGHT) -> Page:
    """Return what a screen says of one scene: card, list, one line, what to speak."""
    seen = seen_page(scene, owners, settings)
    return {
        "seen": seen,
        "positions": positions(scene, see(scene, settings)),
        "scene_line": scene_line(scene),
        "speak": spoken(seen),
    }


def positions(scene: Scene, sight: Sight) -> list[Page]:
    """Return everybody with his place and how much of him each official sees."""
    found = [_officials_row(scene, role) for role in ROLES]
    for one in scene.players:
        shares = {role: f"{100 * sight.visible[role].get(one.id, 0.0):.0f} %" for role in ROLES}
        team = "attacker" if one.team == "a" else "defender"
        found.append({"id": one.id, "name": f"{one.id} {team}", "x": one.at[0], "y": one.at[1], **shares})
    ball = {"id": "ball", "name": "Ball", "x": scene.ball[0], "y": scene.ball[1], "lead": "", "trail": ""}
    return [*found, ball]


def _officials_row(scene: Scene, role: Role) -> Page:
    x, y = scene.crew.of(role).at
    return {"id": role, "name": role.capitalize(), "x": x, "y": y, "lead": "", "trail": ""}


def owners_of(ruling: Ruling, scene: Scene) -> dict[str, Role] | None:
    """Return who has which line by a ruling, in words of the floor; None when the book does not say.

    Front and back court are those of the team throwing in.
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
    return {names[line]: _role(who) for line, who in ruling.lines.items() if line in names and who in ROLES}


def _role(who: str) -> Role:
    return "lead" if who == "lead" else "trail"


__all__ = ["board_page", "court_of", "owners_of", "picture", "positions", "seen_parts"]
