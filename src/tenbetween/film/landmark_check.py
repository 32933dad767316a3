"""Clicks that cannot be trusted: too few, all on one line, bunched together, one of them named wrong, or just far off.

Says in words what is wrong and what to do, and names the click that does not fit. Solves nothing by a way of its own:
it asks ``calibrate`` again with one click left out, or with left and right exchanged.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from tenbetween.film.calibrate import FREE, Known, Solved, solve
from tenbetween.film.camera import Camera, Floats
from tenbetween.film.clicks import Clicks, Measured, measured
from tenbetween.units import FOOT

LEAST = 8
"""Numbers that must be measured when nothing is known of the place: four landmarks, or three and two dots on lines."""
LEAST_KNOWN = 4
ONE_LINE_FT = 1.0
"""Landmarks all within this of one straight line tell nothing across it."""
BUNCHED = 0.12
"""Of the picture's width: clicks that lie within this of one another tell too little."""
BY_CHANCE = 0.997
"""So many of a hundred right sets of clicks fit better than the limit."""
ORDINARY = 0.95
FAR_OFF = 9.0
"""Times the variance said: clicks three times as far off as the hand was said to be are no clicks to go by."""
MOST_TRIED = 8
"""Of many clicks, so many are left out in turn, those farthest off first."""


@dataclass(frozen=True, slots=True)
class Suspect:
    """Which click does not fit, counted through landmarks and then lines, and how sure that is."""

    names: tuple[str, ...]
    """Of the clicks any of which may be the wrong one; one name when it is clear."""
    numbers: tuple[int, ...]
    off: float
    """Dots from the click to where the other clicks say the (first) named mark is."""


def too_little(clicks: Clicks, *, place_known: bool = False) -> str | None:
    """Return why clicks are too few or too bunched to go by, or None.

    >>> from tenbetween.court import court_of
    >>> too_little(Clicks((1280, 720), court_of("us-hs")))
    'too few marks: nothing is clicked; click four landmarks far apart, or three and two dots on lines'
    """
    seen = measured(clicks)
    least = LEAST_KNOWN if place_known else LEAST
    if seen.count < least or len(seen.places) < 2:
        return _too_few(seen, place_known)
    if _on_one_line(seen):
        return (
            "all marks lie on one line of the floor, which tells nothing across it; "
            "click a landmark well off that line too"
        )
    reach = float(np.ptp(seen.dots, axis=0).max()) / clicks.picture[0]
    if reach < BUNCHED:
        return (
            f"the marks are bunched within {100 * reach:.0f} % of the picture's width; click marks far apart, "
            "at least one at each side of the picture"
        )
    return None


def _too_few(seen: Measured, place_known: bool) -> str:
    points, dotted = len(seen.places), len(seen.ends) + len(seen.rounds)
    have = " and ".join(
        [f"{points} landmark{'s' * (points != 1)}"] * (points > 0)
        + [f"{dotted} dot{'s' * (dotted != 1)} on lines"] * (dotted > 0)
    )
    wish = (
        "two landmarks far apart, since the camera's place is known"
        if place_known
        else "four landmarks far apart, or three and two dots on lines"
    )
    more = " (two of them landmarks)" if points < 2 and dotted else ""
    return f"too few marks: {have or 'nothing'} {'are' if have else 'is'} clicked; click {wish}{more}"


def _on_one_line(seen: Measured) -> bool:
    """Tell whether everything clicked lies along one straight line of the floor."""
    if len(seen.rounds) or (len(seen.places) == 2 and not len(seen.ends)):
        return False
    flat = np.concatenate([seen.places[:, :2], seen.ends[..., :2].reshape(-1, 2)])
    if len(seen.places) and np.ptp(seen.places[:, 2]) > ONE_LINE_FT:
        return False
    across = np.linalg.svd(flat - flat.mean(axis=0), full_matrices=False)[2][1]
    return bool(np.abs((flat - flat.mean(axis=0)) @ across).max() < ONE_LINE_FT)


def limit(freedom: int, share: float = BY_CHANCE) -> float:
    """Return the sum of squares that so many of right sets of clicks stay below (chi-squared).

    >>> round(limit(5, 0.995), 2)
    16.75
    """
    from scipy.special import gammaincinv

    return float(2 * gammaincinv(max(1, freedom) / 2, share))


def fits(solved: Solved | None) -> bool:
    """Tell whether clicks are off by no more than chance lets them; None is a camera that could not be found."""
    return solved is not None and solved.chi2 <= limit(solved.freedom)


def widening(solved: Solved, seen: Measured, sd: float) -> float:
    """Return by how much the variance of clicks is larger than said (``sd``, dots), as their residuals show; 1 if not.

    A few clicks tell nothing of the hand, and clicks no worse than those of nineteen right sets in twenty are taken
    as said: else every ellipse would be too wide.
    """
    chi2, freedom = float((solved.off**2).sum()) / sd**2, seen.count - FREE
    return chi2 / freedom if freedom > 4 and chi2 > limit(freedom, ORDINARY) else 1.0


def suspect(clicks: Clicks, solved: Solved | None, known: Sequence[Known]) -> Suspect | None:
    """Return the click that does not fit the others, or None when leaving out any one does not mend it."""
    seen = measured(clicks)
    tried = []
    for number in _farthest(seen, solved):
        left = measured(clicks, without=number)
        if len(left.places) < 2 or left.count <= FREE - 1:
            continue
        one = solve(clicks.picture, left, clicks.sd, known, near=None if solved is None else solved.camera)
        if one is not None:
            tried.append((one.chi2 / limit(one.freedom), number, one))
    tried.sort(key=lambda one: one[:2])
    if not tried or tried[0][0] > 1:
        return None
    numbers = tuple(number for share, number, _ in tried if share <= min(1.0, tried[0][0] + 0.5))
    every = (*clicks.landmarks, *clicks.lines)
    names = tuple(every[number].name for number in numbers)
    return Suspect(names, numbers, _apart(clicks, numbers[0], tried[0][2].camera))


def _farthest(seen: Measured, solved: Solved | None) -> list[int]:
    """Return the numbers of the clicks to leave out in turn: all of a few, else those farthest off."""
    if solved is None:
        return sorted(seen.which)
    off = per_click(seen, solved.off)
    order = sorted(range(len(seen.which)), key=lambda one: -off[one])
    return [seen.which[one] for one in order[:MOST_TRIED]]


def per_click(seen: Measured, off: Floats) -> Floats:
    """Return how far each click is off (n, dots), in the order of ``seen.which``."""
    points = 2 * len(seen.places)
    return np.concatenate([np.linalg.norm(off[:points].reshape(-1, 2), axis=1), np.abs(off[points:])])


def _apart(clicks: Clicks, number: int, camera: Camera) -> float:
    from tenbetween.film.calibrate import off_clicks

    seen = measured(clicks)
    off = off_clicks(clicks.picture, seen, camera.numbers()[None])[0]
    return float(per_click(seen, off)[seen.which.index(number)])


def why_not(
    clicks: Clicks, solved: Solved | None, known: Sequence[Known]
) -> tuple[str | None, Suspect | None]:
    """Return why clicks that are too far off cannot be gone by (None when they can), and the click that spoils them."""
    if fits(solved):
        return None, None
    found = suspect(clicks, solved, known)
    if found is not None:
        return _named(found), found
    if solved is not None and solved.chi2 / solved.freedom <= FAR_OFF:
        return None, None
    if _turned_over(clicks, known):
        return (
            "left and right seem exchanged: with the ends the other way round the clicks fit; rename them",
            None,
        )
    return _nowhere(solved), None


def _nowhere(solved: Solved | None) -> str:
    far = (
        ""
        if solved is None
        else f" they are {np.sqrt((solved.off**2).mean()):.0f} dots off what it would see;"
    )
    return (
        f"the marks do not fit together: there is no place a camera could see them so;{far} leaving one out does "
        "not mend it; check the names and the court's size, and click again"
    )


def _named(found: Suspect) -> str:
    if len(found.names) == 1:
        return (
            f"{found.names[0]} does not fit the other marks: it is {found.off:.0f} dots from where they say it is; "
            "check its name, click it again, or take it out"
        )
    return (
        f"one of {', '.join(found.names)} does not fit the other marks; check their names, or click another "
        "landmark so that it can be told which"
    )


def _turned_over(clicks: Clicks, known: Sequence[Known]) -> bool:
    """Tell whether the clicks fit with left and right exchanged."""
    seen = measured(clicks)
    length = clicks.court.length / FOOT
    turn, move = np.array([-1.0, 1.0, 1.0]), np.array([length, 0.0, 0.0])
    other = replace(
        seen, places=seen.places * turn + move, ends=seen.ends * turn + move, rounds=seen.rounds * turn + move
    )
    found = solve(clicks.picture, other, clicks.sd, known)
    return found is not None and fits(found)
