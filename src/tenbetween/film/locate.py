"""The court found in a picture from clicks, and the places of feet on it, each with how sure it is.

Puts together reading marks, solving, checking and snapping, for the command line once and for the screen after every
click. Refuses with a reason rather than give a bad answer. Knows no file, no page and no film: a picture is an array.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from tenbetween.court import Court, not_painted
from tenbetween.film import pinhole
from tenbetween.film.calibrate import Known, Solved, same_place, solve, somewhere
from tenbetween.film.camera import Camera, Floats
from tenbetween.film.clicks import Click, Clicks, Measured, measured, places_of
from tenbetween.film.error_ellipse import CHI2_95, Foothold, footholds, per_dot
from tenbetween.film.landmark_check import per_click, too_little, why_not, widening
from tenbetween.film.outline import Outline, in_sight, outline
from tenbetween.film.snap import Snapped, snap
from tenbetween.units import FOOT

State = Literal["green", "amber", "red", ""]
GREEN, AMBER = 0.4, 0.2
"""Shares of line samples that fit, from which on a snapped camera is trusted, or to be watched."""
TOO_UNSURE_FT = 6.0
"""Half axis of the middle 95 % ellipse of the visible floor, by the camera alone, from which on no answer is given."""
MODEL = "camera of place, pan, tilt, roll, zoom and lens bend k1; k1 carried with its prior (0 +- 0.05)"
KNOWN_PLACE = "; place as found before"
ON_LINES = "; then snapped to the painted lines"


@dataclass(frozen=True, slots=True)
class MarkOff:
    """One click on a mark, and how far it is off what the camera found would see, in dots."""

    name: str
    dot: tuple[float, float]
    off: float


@dataclass(frozen=True, slots=True)
class Foot:
    """Where clicked feet stood; ``why`` says what is wrong when that cannot be told."""

    id: str
    dot: tuple[float, float]
    hold: Foothold | None
    why: str = ""


@dataclass(frozen=True, slots=True)
class NextMark:
    """A landmark worth clicking next, where it should be in the picture, and how sure the floor would be then."""

    name: str
    dot: tuple[float, float]
    unsure_ft: float


@dataclass(frozen=True, slots=True)
class Located:
    """The answer to one set of clicks."""

    ok: bool
    why: str
    """Empty when all is well; a caution when it is not; the reason when ``ok`` is false."""
    model: str = ""
    residual: float | None = None
    """Root mean square of how far the marks are off, in dots."""
    marks: tuple[MarkOff, ...] = ()
    suspects: tuple[str, ...] = ()
    """Names of the clicks that do not fit; one when it is clear which."""
    feet: tuple[Foot, ...] = ()
    camera: Camera | None = None
    covariance: Floats | None = None
    """(8, 8), in the order of ``camera.PARTS``; widened when clicks are worse than said."""
    unsure_ft: float | None = None
    """Half axis of the middle 95 % ellipse of the visible floor, by the camera alone."""
    depth: str = ""
    """How far one dot of a click on feet moves the place, in words."""
    share: float | None = None
    """Of the painted line samples in view, how many fit; None when nothing was snapped."""
    next_marks: tuple[NextMark, ...] = ()
    outline: tuple[Outline, ...] = ()
    """The court's lines in the picture, to be drawn over it, as fractions of its width and height."""

    @property
    def state(self) -> State:
        """Whether the lines of the picture bear the camera out; empty when they were not asked."""
        if self.share is None:
            return ""
        return "green" if self.share >= GREEN else "amber" if self.share >= AMBER else "red"


def locate(
    clicks: Clicks,
    image: NDArray[np.uint8] | None = None,
    *,
    prior: tuple[Camera, Floats] | None = None,
    next_marks: bool = False,
    lines: bool = False,
) -> Located:
    """Return the court found from clicks and the places of the feet, or why that cannot be told.

    ``image`` (height, width, red-green-blue, or grey) lets the camera be snapped to the painted lines. ``prior`` is a
    camera found before at the same place with its covariance: two landmarks are then enough. ``next_marks`` and
    ``lines`` add what a screen shows. Distances in feet and dots.

    Raises:
        UsageError: the extra ``film`` is missing.
    """
    known, place_known = _known(clicks, prior)
    reason = too_little(clicks, place_known=place_known)
    if reason is not None:
        return Located(False, reason)
    seen = measured(clicks)
    solved = solve(clicks.picture, seen, clicks.sd, known)
    reason, spoiler = why_not(clicks, solved, known)
    marks = _marks(clicks, seen, solved)
    if reason is not None or solved is None:
        names = spoiler.names if spoiler else ()
        return Located(
            False, _moved(reason or "", place_known), marks=marks, suspects=names, residual=_rms(solved)
        )
    wider = widening(solved, seen, clicks.sd)
    found = replace(solved, covariance=solved.covariance * wider)
    snapped = None if image is None else snap(found.camera, found.covariance, clicks.court, image)
    model = MODEL + (KNOWN_PLACE if place_known else "") + (ON_LINES if snapped and snapped.taken else "")
    answer = Located(True, _caution(wider, clicks), model, _rms(solved), marks)
    return _finished(answer, clicks, found, snapped, wider, next_marks=next_marks, lines=lines)


def _known(clicks: Clicks, prior: tuple[Camera, Floats] | None) -> tuple[Sequence[Known], bool]:
    if prior is None:
        return somewhere(clicks.court), False
    return (same_place(*prior),), True


def _finished(
    answer: Located, clicks: Clicks, found: Solved, snapped: Snapped | None, wider: float, *,
    next_marks: bool, lines: bool,
) -> Located:  # fmt: skip
    """Return the answer with feet, or the refusal of marks that leave the floor too unsure."""
    camera, covariance, share = found.camera, found.covariance, None
    if snapped is not None:
        share = snapped.share
        if snapped.taken:
            camera, covariance = snapped.camera, snapped.covariance
    floor = _visible(camera, clicks.court)
    unsure = _unsure(camera, covariance, floor)
    following = _next_marks(clicks, camera, covariance, floor) if next_marks else ()
    if unsure > TOO_UNSURE_FT:
        why = (
            f"the marks leave the floor known only to {unsure:.0f} ft (95 of 100): "
            "they are too close together or too nearly on one line; click marks farther apart"
        )
        return replace(answer, ok=False, why=why, unsure_ft=unsure, next_marks=following)
    return replace(
        answer,
        camera=camera,
        covariance=covariance,
        feet=_feet(clicks, camera, covariance, clicks.sd * wider**0.5),
        unsure_ft=unsure,
        share=share,
        depth=depth_words(camera, clicks.court),
        next_marks=following,
        outline=outline(camera, clicks.court) if lines else (),
    )


def _marks(clicks: Clicks, seen: Measured, solved: Solved | None) -> tuple[MarkOff, ...]:
    if solved is None:
        return ()
    every = (*clicks.landmarks, *clicks.lines)
    off = dict(zip(seen.which, per_click(seen, solved.off), strict=True))
    return tuple(MarkOff(one.name, one.dot, float(off[number])) for number, one in enumerate(every))


def _rms(solved: Solved | None) -> float | None:
    return None if solved is None else float(np.sqrt((solved.off**2).mean()))


def _moved(reason: str, place_known: bool) -> str:
    return (
        f"{reason}; or the camera stands elsewhere than before: then click four landmarks"
        if place_known
        else reason
    )


def _caution(wider: float, clicks: Clicks) -> str:
    if wider <= 1:
        return ""
    return (
        f"the clicks are about {clicks.sd * wider**0.5:.1f} dots off, more than the {clicks.sd:g} said; "
        "the ellipses are widened by that"
    )


def _feet(clicks: Clicks, camera: Camera, covariance: Floats, sd: float) -> tuple[Foot, ...]:
    dots = np.asarray([one.dot for one in clicks.feet], float).reshape(-1, 2)
    above = "at or above the horizon of the floor; click where the feet touch it"
    return tuple(
        Foot(one.name, one.dot, hold, "" if hold else above)
        for one, hold in zip(clicks.feet, footholds(camera, covariance, dots, sd), strict=True)
    )


# -- how sure the floor is ----


def _visible(camera: Camera, court: Court) -> Floats:
    """Return places of the floor that lie in the picture, every three feet."""
    length, width = court.length / FOOT, court.width / FOOT
    across, along = np.meshgrid(
        np.linspace(0, length, int(length / 3) + 1), np.linspace(0, width, int(width / 3) + 1)
    )
    grid = np.column_stack([across.ravel(), along.ravel()])
    return grid[in_sight(camera, camera.dots(grid))]


def _by_camera(camera: Camera, floor: Floats) -> Floats:
    """Return how places of the floor under their dots move with the camera's numbers (n, 2, 8)."""
    return pinhole.slopes(pinhole.floors(pinhole.around(camera.numbers()), camera.dots(floor), camera.middle))


def _unsure(camera: Camera, covariance: Floats, floor: Floats) -> float:
    if not len(floor):
        return float("inf")
    moved = _by_camera(camera, floor)
    spread = moved @ covariance @ moved.swapaxes(1, 2)
    return float(np.median(np.sqrt(CHI2_95 * np.maximum(np.linalg.eigvalsh(spread)[:, -1], 0))))


def _next_marks(
    clicks: Clicks, camera: Camera, covariance: Floats, floor: Floats, most: int = 3
) -> tuple[NextMark, ...]:
    """Return the landmarks in view whose click would make the visible floor surest, best first."""
    places = places_of(clicks.court)
    taken = {places.get(one.name) for one in clicks.landmarks}
    hidden = not_painted(clicks.court)
    open_ones = {at: name for name, at in places.items() if name not in hidden and at not in taken}
    if not open_ones or not len(floor):
        return ()
    names, dots = list(open_ones.values()), camera.dots(list(open_ones))
    sight = np.flatnonzero(in_sight(camera, dots, margin=8))
    at = np.asarray(list(open_ones), float)[sight]
    slopes = pinhole.slopes(pinhole.dots(pinhole.around(camera.numbers()), at.reshape(-1, 3), camera.middle))
    found = []
    for number, slope in zip(sight, slopes, strict=True):
        gain = covariance @ slope.T @ np.linalg.inv(slope @ covariance @ slope.T + clicks.sd**2 * np.eye(2))
        then = _unsure(camera, covariance - gain @ slope @ covariance, floor)
        found.append(NextMark(names[number], (float(dots[number, 0]), float(dots[number, 1])), then))
    return tuple(sorted(found, key=lambda one: one.unsure_ft)[:most])


def depth_words(camera: Camera, court: Court) -> str:
    """Return how far one dot of a click on feet moves the place, near and far, as a sentence.

    >>> from tenbetween.court import court_of
    >>> depth_words(Camera(42.0, -60.0, 15.0, 0.0, 0.2, 0.0, 1545.0, 0.0, (1280, 720)), court_of("us-hs"))
    'One dot of a click on feet moves the place by 0.16 ft where the floor in view is nearest and 0.57 ft where it is farthest.'
    """
    floor = _visible(camera, court)
    if not len(floor):
        return "No part of the floor is in view."
    moved = np.linalg.norm(per_dot(camera, camera.dots(floor)), ord=2, axis=(1, 2))
    return (
        f"One dot of a click on feet moves the place by {moved.min():.2f} ft where the floor in view is nearest and "
        f"{moved.max():.2f} ft where it is farthest."
    )


# -- dots and fractions of the picture ----


def fractions_of(dots: Floats, picture: tuple[int, int]) -> Floats:
    """Return dots (n, 2) as fractions of the displayed picture; the middle of the first dot is half a dot in.

    >>> fractions_of(np.array([[639.5, 359.5]]), (1280, 720)).tolist()
    [[0.5, 0.5]]
    """
    return np.asarray((np.asarray(dots, float) + 0.5) / np.asarray(picture, float))


def dots_of(fractions: Floats, picture: tuple[int, int]) -> Floats:
    """Return fractions (n, 2) of the displayed picture as dots.

    >>> dots_of(np.array([[0.5, 0.5]]), (1280, 720)).tolist()
    [[639.5, 359.5]]
    """
    return np.asarray(np.asarray(fractions, float) * np.asarray(picture, float) - 0.5)


def clicks_of(
    picture: tuple[int, int],
    court: Court,
    landmarks: Sequence[tuple[str, float, float]] = (),
    lines: Sequence[tuple[str, float, float]] = (),
    feet: Sequence[tuple[str, float, float]] = (),
    sd: float = 2.0,
) -> Clicks:
    """Return clicks given as names with fractions of the picture, as a screen has them.

    >>> from tenbetween.court import court_of
    >>> clicks_of((1280, 720), court_of("us-hs"), [("centre", 0.5, 0.5)]).landmarks
    (Click(name='centre', dot=(639.5, 359.5)),)
    """

    def some(given: Sequence[tuple[str, float, float]]) -> tuple[Click, ...]:
        wide, high = picture
        return tuple(Click(name, (u * wide - 0.5, v * high - 0.5)) for name, u, v in given)

    return Clicks(picture, court, some(landmarks), some(lines), some(feet), sd)
