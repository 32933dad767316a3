"""Every number the sight room rests on, in one frozen value that is handed on beside each result.

Not one of them is a published basketball value: they are choices, said openly and free to be changed.
"""

from __future__ import annotations

from math import isfinite

from msgspec import Struct, structs

from tenbetween.errors import Problem, TenbetweenError


class Weights(Struct, frozen=True):
    """How much a matchup counts in a sum over matchups, by what it is busy with (invented)."""

    ball: float = 3.0
    post: float = 2.0
    screen: float = 2.0
    cutter: float = 1.5
    off_ball: float = 1.0


class Zones(Struct, frozen=True):
    """Where a pair drawn at random may stand, at the end where the lead stands; feet from the end line inward.

    Wide on purpose: nothing of what is taught is in them but which official has the end line.
    """

    lead_from: float = -5.0
    lead_to: float = 8.0
    """The lead: from so far outside the end line to so far inside."""
    trail_from: float = 8.0
    """The trail: from here to the division line."""
    aside: float = 5.0
    """Both: up to so far outside either sideline."""

    def __post_init__(self) -> None:
        ordered = (("lead_to", self.lead_from, self.lead_to), ("aside", 0.0, self.aside + 1e-9))
        numbers = (self.lead_from, self.lead_to, self.trail_from, self.aside)
        wrong = [
            Problem(f"zones.{name}", f"{high:g} ft", f"more than {low:g} ft", "write such a number")
            for name, low, high in ordered
            if not high > low
        ]
        if not all(isfinite(number) for number in numbers):
            wrong.append(Problem("zones", repr(numbers), "finite numbers", "write feet"))
        if wrong:
            raise TenbetweenError(wrong)


class Settings(Struct, frozen=True):
    """How bodies, distance, the field of view and a step are reckoned; feet and degrees.

    >>> Settings().radius, Settings().far_begins
    (0.9, 25.0)
    """

    radius: float = 0.9
    """Half width of a body, a flat disc: heads, arms and height are not modelled."""
    near_none: float = 2.0
    """At this distance or less nothing is taken in ..."""
    near_full: float = 6.0
    """... and from here on closeness no longer hurts."""
    far_begins: float = 25.0
    far_half: float = 50.0
    """Beyond the first, distance takes from the look; at the second it is halved."""
    contact_begins: float | None = None
    contact_half: float | None = None
    """A second factor of distance, for contact; None: sight only."""
    wide_full: float = 60.0
    wide_none: float = 120.0
    """Bodies up to the first angle apart are taken in at one look, from the second on not at all."""
    sharp: float = 60.0
    usable: float = 120.0
    edge: float = 0.35
    """Width of the sharp and of the usable field of view, and what is left at the usable edge."""
    straight_below: float = 0.5
    screened_below: float = 0.5
    blind_below: float = 0.25
    opposition_least: float = 130.0
    between_least: float = 0.7
    """Boxed in: the least angle lead - middle of the players - trail, the least share between the two."""
    step: float = 4.0
    """Longest step tried."""
    elbow_room: float = 2.5
    """No step leads nearer to a player's middle than this."""
    border: float = 5.0
    """How far outside the boundary lines an official may be sent."""
    load_distance: float = 25.0
    """A matchup this far off counts twice as heavy in the load as one close by."""
    cell: float = 1.0
    """Side of the cells in which hidden floor is counted."""
    map_room: float = 2.0
    """A map is left blank nearer than this to a player's middle."""
    weights: Weights = Weights()
    zones: Zones = Zones()

    def __post_init__(self) -> None:
        problems = list(_faults(self))
        if problems:
            raise TenbetweenError(problems)


_ORDERED = (
    ("near_none", "near_full"),
    ("far_begins", "far_half"),
    ("wide_full", "wide_none"),
    ("sharp", "usable"),
)


def _faults(settings: Settings) -> list[Problem]:
    numbers = {
        name: value for name, value in structs.asdict(settings).items() if isinstance(value, int | float)
    }
    wrong = [
        Problem(name, repr(value), "a finite number, not negative", "write such a number")
        for name, value in numbers.items()
        if not isfinite(value) or value < 0
    ]
    wrong += [
        Problem(high, repr(numbers[high]), f"more than {low} ({numbers[low]!r})", "raise it")
        for low, high in _ORDERED
        if not numbers[high] > numbers[low]
    ]
    wrong += [
        Problem(name, repr(numbers[name]), "more than nothing", "write such a number")
        for name in ("radius", "cell", "load_distance")
        if numbers[name] == 0
    ]
    if (settings.contact_begins is None) != (settings.contact_half is None):
        wrong.append(
            Problem("contact_half", "one of two", "both or none", "set contact_begins and contact_half")
        )
    return wrong


SIGHT = Settings()
"""The preset of the contract: how far one sees."""
CONTACT = Settings(contact_begins=8.0, contact_half=25.0)
"""Sight, and closer is better from 8 ft on: for judging contact. Invented as the other is."""
MILD = Settings(contact_begins=12.0, contact_half=42.0)
"""Between the two: closer is better from 12 ft on, and slowly."""
