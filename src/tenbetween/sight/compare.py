"""The same scene under other crews and under other settings: numbers side by side, nothing summed.

What a crew can rule of the lines and whether it gets back in time belong beside these; other rooms know them.
"""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct, structs

from tenbetween.scene import Crew, Scene
from tenbetween.sight.boxing import BoxedIn, boxed_in
from tenbetween.sight.settings import CONTACT, MILD, SIGHT, Settings
from tenbetween.sight.steps import coverage_of


class Compared(Struct, frozen=True):
    """One crew in one scene: four things that stand side by side and are never added."""

    name: str
    coverage: float | None
    """Weighted share of the matchups that somebody has; None without matchups."""
    opposition_deg: float | None
    share_between: float | None
    behind: tuple[str, ...]
    boxed_in: bool
    """Whether the three before it all hold by the settings."""


def compare(scene: Scene, crews: Mapping[str, Crew], settings: Settings = SIGHT) -> tuple[Compared, ...]:
    """Return each named crew in the scene in the order given; the scene's own crew is not added.

    >>> from tenbetween.scene import Matchup, Official, Player
    >>> players = (Player("a1", "a", (15.0, 20.0)), Player("b1", "b", (18.0, 20.0)))
    >>> crew = Crew(Official((-3.0, 20.0)), Official((30.0, 20.0)))
    >>> aside = Crew(Official((-3.0, 30.0)), Official((30.0, 10.0)))
    >>> scene = Scene(players, (Matchup("a1", "b1"),), (15.0, 20.0), crew)
    >>> [(one.name, round(one.coverage, 2)) for one in compare(scene, {"in line": crew, "aside": aside})]
    [('in line', 0.0), ('aside', 0.99)]
    """
    return tuple(_compared(name, structs.replace(scene, crew=crew), settings) for name, crew in crews.items())


def _compared(name: str, scene: Scene, settings: Settings) -> Compared:
    box: BoxedIn = boxed_in(scene, settings)
    covered = coverage_of(scene, settings)
    return Compared(name, covered, box.opposition_deg, box.share_between, box.behind, box.ok)


def sensitivity(scene: Scene, settings: Settings = SIGHT) -> dict[str, float | None]:
    """Return the crew's coverage with one choice changed at a time, by what was changed; the first is unchanged.

    >>> from tenbetween.scene import Official
    >>> crew = Crew(Official((-3.0, 20.0)), Official((30.0, 20.0)))
    >>> list(sensitivity(Scene((), (), (15.0, 20.0), crew)))[:3]
    ['as set', 'body radius 0.75 ft', 'body radius 0.9 ft']
    """
    return {name: coverage_of(scene, changed) for name, changed in _changes(settings)}


def _changes(settings: Settings) -> list[tuple[str, Settings]]:
    radii = [(f"body radius {radius:g} ft", {"radius": radius}) for radius in (0.75, 0.9, 1.0)]
    names = ("near_none", "near_full", "far_begins", "far_half", "contact_begins", "contact_half")
    presets = (("sight", SIGHT), ("contact, mild", MILD), ("contact", CONTACT))
    falling = [
        (f"distance for {name}", {one: getattr(preset, one) for one in names}) for name, preset in presets
    ]
    fields = [(f"sharp field {width:g}°", {"sharp": width}) for width in (60.0, 36.0)]
    changes = [*radii, *falling, *[one for one in fields if one[1]["sharp"] < settings.usable]]
    return [("as set", settings), *((name, structs.replace(settings, **change)) for name, change in changes)]
