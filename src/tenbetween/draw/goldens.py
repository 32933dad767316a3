"""Pictures kept in the repository, so that a change of the drawing is seen by somebody before it is kept.

Knows which situations they show; ``make accept`` writes them again, a test compares them letter by letter.
"""

from __future__ import annotations

from typing import Any

from tenbetween.book import decide, load_book
from tenbetween.court import court_of
from tenbetween.draw.court_svg import court_svg
from tenbetween.draw.diagram import diagram_svg
from tenbetween.draw.golden_scenes import scene_drawings
from tenbetween.draw.signals import gallery_svg
from tenbetween.situation import Ruling, Situation
from tenbetween.units import um_from_feet

_S: dict[str, dict[str, Any]] = {
    "lead-sideline-high": {
        "attacking": "right",
        "stopped_by": "out_of_bounds",
        "at": (58, 0),
        "ball_to": "same",
        "lead_side": "table",
        "lead_person": "umpire",
    },
    "lead-sideline-low": {
        "attacking": "left",
        "stopped_by": "out_of_bounds",
        "at": (10, 50),
        "ball_to": "same",
        "lead_side": "opposite",
    },
    "front-end-line-far": {
        "attacking": "right",
        "stopped_by": "out_of_bounds",
        "at": (84, 40),
        "ball_to": "same",
        "lead_side": "table",
        "lead_person": "referee",
    },
    "close-to-the-arc": {
        "attacking": "right",
        "stopped_by": "violation",
        "at": (80, 6),
        "ball_to": "same",
        "lead_side": "table",
    },
    "quick-reversal": {
        "attacking": "right",
        "stopped_by": "out_of_bounds",
        "at": (20, 50),
        "ball_to": "other",
        "lead_side": "table",
        "lead_person": "umpire",
    },
    "back-end-line-pressed": {
        "attacking": "left",
        "stopped_by": "violation",
        "at": (4, 10),
        "ball_to": "other",
        "lead_side": "table",
        "pressure": True,
    },
    "after-a-goal": {
        "attacking": "left",
        "stopped_by": "made_goal",
        "ball_to": "other",
        "lead_side": "table",
    },
    "free-throws": {
        "attacking": "left",
        "stopped_by": "shooting_foul",
        "at": (10, 30),
        "ball_to": "same",
        "lead_side": "table",
        "called_by": "lead",
    },
    "technical-foul": {
        "attacking": "left",
        "stopped_by": "technical_foul",
        "at": (30, 3),
        "ball_to": "other",
        "lead_side": "table",
        "called_by": "trail",
    },
    "time-out": {
        "attacking": "left",
        "stopped_by": "time_out",
        "at": (30, 3),
        "ball_to": "same",
        "lead_side": "table",
    },
    "jump-ball": {
        "attacking": "right",
        "stopped_by": "game_start",
        "lead_person": "umpire",
    },
    "quarter": {
        "attacking": "right",
        "stopped_by": "period_start",
        "lead_person": "umpire",
        "ball_to": "same",
    },
    "change-of-control": {
        "attacking": "left",
        "stopped_by": "change_of_control",
        "at": (10, 30),
        "ball_to": "other",
        "lead_side": "table",
    },
    "not-covered": {
        "edition": "fiba-2po",
        "attacking": "left",
        "stopped_by": "out_of_bounds",
        "at": (10, 0),
        "ball_to": "same",
        "lead_side": "table",
    },
}
"""The situations that are drawn, by name; the edition is 2025-26 where none is named."""

_LOOKS: dict[str, dict[str, Any]] = {
    "lead-sideline-high": {"theme": "print"},
    "lead-sideline-low": {"theme": "dark"},
    "front-end-line-far": {"turned": True},
    "quick-reversal": {"theme": "print", "turned": True, "scale": 5.2},
    "after-a-goal": {"theme": "dark"},
    "free-throws": {"theme": "print", "half": False, "scale": 5.2},
}


def golden_situation(name: str) -> Situation:
    """Return one of the situations that are drawn.

    >>> golden_situation("jump-ball").stopped_by
    'game_start'
    """
    given = {"edition": "us-hs-2025", **_S[name]}
    if "at" in given:
        x, y = given["at"]
        given["at"] = (um_from_feet(x), um_from_feet(y))
    return Situation(**given)


def golden_rulings() -> dict[str, Ruling]:
    """Return the answers that are drawn, by name.

    >>> len(golden_rulings()) >= 12
    True
    """
    situations = {name: golden_situation(name) for name in _S}
    return {name: decide(load_book(s.edition), s) for name, s in situations.items()}


def draw_goldens() -> dict[str, str]:
    """Return every picture that is kept, by file name.

    >>> "jump-ball.svg" in draw_goldens()
    True
    """
    drawn = {f"{name}.svg": diagram_svg(r, **_LOOKS.get(name, {})) for name, r in golden_rulings().items()}
    drawn["court-us-hs.svg"] = court_svg(court_of("us-hs"))
    drawn["court-fiba-turned.svg"] = court_svg(court_of("fiba"), half="left", turned=True, theme="print")
    drawn["signals.svg"] = gallery_svg()
    drawn.update(scene_drawings())
    return {name: text.replace("><", ">\n<") + "\n" for name, text in drawn.items()}
