"""The scenes that are measured: every formation of the front court, staged by an answer of the newest edition.

Knows which situation stages which formation; measures nothing.
"""

from __future__ import annotations

from msgspec import Struct, structs

from tenbetween.book import decide, load_book
from tenbetween.scene import Scene, formations_for, stage, taught
from tenbetween.situation import Basket, Cause, Ruling, Situation
from tenbetween.units import um_from_feet

NEWEST = "us-hs-2025"
_ASKED: tuple[tuple[str, Cause, tuple[float, float]], ...] = (
    ("end line", "out_of_bounds", (84.0, 16.0)),
    ("sideline high", "out_of_bounds", (56.0, 0.0)),
    ("sideline low", "out_of_bounds", (74.0, 50.0)),
    ("live", "change_of_control", (62.0, 12.0)),
)


class Measured(Struct, frozen=True):
    """A scene to be measured and what it is called."""

    name: str
    scene: Scene


def ruling_of(
    cause: Cause, at: tuple[float, float], edition: str = NEWEST, attacking: Basket = "right"
) -> Ruling:
    """Return an answer for a stoppage on the front court of the team that goes on attacking."""
    asked = Situation(
        edition=edition,
        attacking=attacking,
        stopped_by=cause,
        lead_side="opposite",
        lead_person="umpire",
        at=(um_from_feet(at[0]), um_from_feet(at[1])),
        ball_to="same",
    )
    return decide(load_book(edition), asked)


def front_scenes() -> tuple[Measured, ...]:
    """Return every formation that fits a front-court throw-in or live play, each with the officials where the book has them.

    >>> len(front_scenes()) >= 12
    True
    """
    found = []
    for words, cause, at in _ASKED:
        ruling = ruling_of(cause, at)
        for form in formations_for(ruling):
            scene = stage(ruling, form.id).scene
            if ruling.restart == "play_goes_on":
                # The staged places are those of the run; live play in the half court is worked from these.
                scene = structs.replace(scene, crew=taught(scene))
            found.append(Measured(f"{form.title} ({words})", scene))
    return tuple(found)
