"""Who is near the boundary line he has: how far each official stands off the lines in his care.

Knows distances only. Which line is whose is handed in or, for a scene of one's own, taken as taught: the lead has
his end line and the sideline he is on, the trail the other sideline and the division line. Near enough is a
setting; nobody has measured how near one must be.
"""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from tenbetween.scene import Scene, end_and_side
from tenbetween.situation import Role
from tenbetween.units import FOOT

NEAR_ENOUGH = 9.0
"""Feet off a line from which an official still looks along it; invented, shown, free to be changed."""


class LineHeld(Struct, frozen=True):
    """One line, who has it, and how far he stands off it (ft)."""

    line: str
    role: Role
    off: float
    near: bool


def owners_as_taught(scene: Scene) -> dict[str, Role]:
    """Return who has which line in live play at the lead's end.

    >>> from tenbetween.scene import Crew, Official
    >>> owners_as_taught(Scene((), (), (60.0, 20.0), Crew(Official((87.0, 40.0)), Official((56.0, 2.0)))))["table sideline"]
    'trail'
    """
    end, side = end_and_side(scene)
    other = "table" if side == "opposite" else "opposite"
    return {
        f"{end} end line": "lead",
        f"{side} sideline": "lead",
        f"{other} sideline": "trail",
        "division line": "trail",
    }


def lines_held(
    scene: Scene, owners: Mapping[str, Role] | None = None, near: float = NEAR_ENOUGH
) -> tuple[LineHeld, ...]:
    """Return each line with its official's distance from it, measured straight across to the line or its extension.

    >>> from tenbetween.scene import Crew, Official
    >>> held = lines_held(Scene((), (), (60.0, 20.0), Crew(Official((87.0, 40.0)), Official((56.0, 2.0)))))
    >>> [(one.line, one.off) for one in held][:2]
    [('right end line', 3.0), ('opposite sideline', 10.0)]
    """
    length, width = scene.court.length / FOOT, scene.court.width / FOOT
    where = {
        "left end line": (0, 0.0),
        "right end line": (0, length),
        "division line": (0, length / 2),
        "table sideline": (1, 0.0),
        "opposite sideline": (1, width),
    }
    found = []
    for line, role in (owners or owners_as_taught(scene)).items():
        axis, value = where[line]
        off = abs(scene.crew.of(role).at[axis] - value)
        found.append(LineHeld(line, role, off, off <= near))
    return tuple(found)
