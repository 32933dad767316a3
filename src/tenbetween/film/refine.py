"""A camera that is nearly right made right by the painted lines of one frame.

Pan, tilt, roll and zoom are moved until the paint lies where ridges stand in the picture; place and bend stay.
Says which share of the dots of paint in view it explains: that share is the honest sign of knowing. Needs ``film``.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from tenbetween.court import Court
from tenbetween.film.camera import Camera, Floats
from tenbetween.film.painted import Paint, paint_of
from tenbetween.film.ridge import Aimed, Found, Grey, aim, look, polarity
from tenbetween.film.turning import between, places, slopes, trust_of, turned

FITS = 1.5
"""Dots: paint this near a ridge is explained."""
JUDGED = 4.0
"""Dots across the line within which the strongest ridge is looked for when the share is taken."""
NEIGHBOURS = 0.2
"""Dots of one line are no independent witnesses: their word counts this much."""
BLURRED = 4.0
"""Dots of sweep across a thin line at which its word counts half."""
MOST, ROUGHLY = 450, 260
"""Dots of paint looked at: the last time, and before that or only to judge."""
LEAST = 25
"""Dots of paint that must be in view."""


@dataclass(frozen=True, slots=True)
class Refined:
    """A camera after the lines had their say, and the share of the paint in view that fits (0 to 1)."""

    camera: Camera
    share: float
    count: int
    """Dots of paint in view."""
    spread: Floats
    """(4, 4) covariance of pan, tilt, roll (radians) and log of zoom, from the lines and what was expected."""


@dataclass(slots=True)
class Lines:
    """The lines of one floor, and whether each is lighter or darker than the wood, as learnt from the film."""

    paint: Paint
    leaning: Floats

    @classmethod
    def of(cls, court: Court, without: frozenset[str] = frozenset()) -> Lines:
        """Return the lines of a court but for those named, of which nothing is known yet."""
        paint = paint_of(court, without)
        return cls(paint, np.zeros(len(paint.names)))

    def light(self, aimed: Aimed) -> Floats:
        """Return for each dot 1 (lighter), -1 (darker) or 0 (not known)."""
        leaning = self.leaning[self.paint.line[aimed.which]]
        return np.asarray(np.where(np.abs(leaning) > 0.15, np.sign(leaning), 0.0))

    def learn(self, grey: Grey, camera: Camera, reach: float = 3.0) -> None:
        """Learn the colours of the lines from a frame whose camera is known."""
        aimed = aim(camera, self.paint)
        found = look(grey, aimed, reach)
        self.leaning = polarity(found, self.paint.line[aimed.which], len(self.paint.names), self.leaning)


def refine(
    grey: Grey,
    camera: Camera,
    lines: Lines,
    expected: Floats,
    reaches: tuple[float, ...] = (8.0, 3.0),
    *,
    before: Camera | None = None,
) -> Refined:
    """Return the camera the lines tell, looked for within each reach (dots) in turn.

    ``expected`` are the standard deviations of pan, tilt, roll (radians) and log of zoom about ``camera``.
    ``before`` is the camera a frame earlier: lines that were swept across while the shutter stood open say little.
    """
    start, known = camera, np.diag(1 / np.asarray(expected) ** 2)
    spread = _inverse(known)
    for number, reach in enumerate(reaches):
        last = number == len(reaches) - 1
        aimed = aim(camera, lines.paint, most=MOST if last else ROUGHLY, before=before)
        if len(aimed.which) < LEAST:
            return Refined(start, 0.0, len(aimed.which), _inverse(known))
        found = look(grey, aimed, reach, lines.light(aimed))
        # A line smeared wide is found less well, and may have run into its neighbour.
        found = replace(found, trust=found.trust / (1 + (aimed.swept / (BLURRED + 0.5 * aimed.wide)) ** 2))
        camera, spread = _moved(camera, start, lines.paint, aimed, found, known, reach)
    share, count = share_of(grey, camera, lines, before)
    return Refined(camera, share, count, spread)


def _moved(
    camera: Camera, start: Camera, paint: Paint, aimed: Aimed, found: Found, known: Floats, reach: float
) -> tuple[Camera, Floats]:
    """Return the camera moved so that the paint lies on what was found, and the covariance."""
    steep = slopes(camera, places(paint.places[aimed.which]))
    across = np.einsum("nd,ndk->nk", aimed.across, steep)
    began = between(start, camera)
    step = np.zeros(4)
    normal = known
    for size in (max(1.5, reach / 2), max(1.2, reach / 4), 1.0, 0.8):
        off = found.off - across @ step
        weight = NEIGHBOURS * found.trust * trust_of(off, size)
        heavy = across * weight[:, None]
        normal = heavy.T @ across + known
        step = np.linalg.solve(normal, heavy.T @ found.off - known @ began)
    return turned(camera, step), _inverse(normal)


def _inverse(matrix: Floats) -> Floats:
    return np.asarray(np.linalg.inv(matrix), float)


def share_of(grey: Grey, camera: Camera, lines: Lines, before: Camera | None = None) -> tuple[float, int]:
    """Return the share of the paint in view that has its ridge where the camera says, and how many dots that is of.

    Less what chance alone would put there: in noise ridges lie anywhere, so those a little farther off tell how many
    of the near ones are chance. Noise has a share of about nothing.
    """
    aimed = aim(camera, lines.paint, most=ROUGHLY, before=before)
    if len(aimed.which) < LEAST:
        return 0.0, len(aimed.which)
    found = look(grey, aimed, JUDGED, lines.light(aimed))
    told, off = found.trust > 0, np.abs(found.off)
    near, beside = (told & (off < FITS)).mean(), (told & (off >= FITS)).mean()
    return max(0.0, float(near - beside * FITS / (JUDGED - FITS))), len(aimed.which)
