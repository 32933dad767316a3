"""The camera carried from one frame, where it is known, through a pan: a camera for every frame, and how sure.

Pieces of the picture tell how it turned (``rays``), the painted lines put it right in every frame (``refine``); when
the lines are refused the pieces carry on alone. A camera that stands still is found out and frozen. The share of the
paint that fits tells green, amber or red. Place and lens bend stay as the anchor has them. Needs the extra ``film``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from tenbetween.court import Court
from tenbetween.film.camera import Camera, Floats
from tenbetween.film.rays import Rays, Turned
from tenbetween.film.refine import Lines, Refined, refine, share_of
from tenbetween.film.ridge import Grey
from tenbetween.film.sweep import guesses
from tenbetween.film.turning import farthest, turned

State = Literal["green", "amber", "red"]
GREEN, AMBER = 0.4, 0.2
"""Shares of fitting paint from which a frame is green, amber; below: click again."""
ACCEPTED = 0.25
"""Share below which the lines are not followed."""
STILL = 0.8
"""Dots (of a picture 1280 wide) within which a camera counts as not having moved."""
MOST_ZOOM, MOST_TILT = 0.8, 0.35
"""How far a lens may be zoomed (logarithm) and a camera tilted or rolled (radians) from the anchor."""
RELOOK = 12
"""Frames without green in a row after which the whole neighbourhood is searched, and again after as many more."""
SURE = 0.6
"""Share of the paint that must fit what such a search found."""
GUESSES = 4
BESIDE = (8.0, -8.0, 16.0, -16.0, 24.0, -24.0)
"""Dots (of a picture 1280 wide) of pan off what was expected where lines are looked for when they are doubtful."""
BETTER = 0.05
"""Share by which another place must beat the nearest one."""
MOVED_ON = 5
"""Frames in a row off the anchor after which a camera is one that moves."""


@dataclass(frozen=True, slots=True)
class Followed:
    """The camera of one frame."""

    pts: int
    camera: Camera
    share: float
    """Of the paint in view that lies where the camera says, 0 to 1."""
    state: State
    by: Literal["anchor", "still", "lines", "pieces"]
    """What told it: the anchor itself, a camera found not to move, the painted lines, or pieces of the picture."""


def state_of(share: float) -> State:
    """Return the colour of a share of fitting paint.

    >>> [state_of(share) for share in (0.7, 0.3, 0.1)]
    ['green', 'amber', 'red']
    """
    return "green" if share >= GREEN else "amber" if share >= AMBER else "red"


def follow(
    anchor: Camera,
    frames: Iterable[tuple[int, NDArray[np.uint8]]],
    court: Court,
    *,
    without: frozenset[str] = frozenset(),
    cancelled: Callable[[], bool] | None = None,
) -> Iterator[Followed]:
    """Yield the camera of each frame, given that ``anchor`` is the camera of the first.

    Frames are (pts, picture), grey or red-green-blue, in order of time or against it; a picture of another size than
    the anchor's is taken to be the same view made smaller or larger. ``without`` names lines not to be looked for.
    Stops at once, without a word, when ``cancelled`` says so.
    """
    held: _Following | None = None
    for pts, picture in frames:
        if cancelled is not None and cancelled():
            return
        grey = grey_of(picture)
        if held is None:
            held = _Following.begin(anchor, grey, court, without)
            yield held.first(pts, grey)
        else:
            yield held.next(pts, grey)


def grey_of(picture: NDArray[np.uint8]) -> Grey:
    """Return a picture in shades of grey."""
    if picture.ndim == 2:
        return picture
    import cv2

    return np.asarray(cv2.cvtColor(picture, cv2.COLOR_RGB2GRAY), np.uint8)


@dataclass(slots=True)
class _Following:
    anchor: Camera
    """At the size of the frames."""
    asked: Camera
    """The anchor at the size it was given in."""
    lines: Lines
    rays: Rays
    last: Camera
    began: Camera
    """What the lines of the first frame tell: what has moved since is measured from there, not from the clicks."""
    still: bool = True
    away: int = 0
    refused: int = 0
    doubted: int = 0

    @classmethod
    def begin(cls, anchor: Camera, grey: Grey, court: Court, without: frozenset[str]) -> _Following:
        scale = grey.shape[1] / anchor.picture[0]
        here = anchor if scale == 1.0 else anchor.at_scale(scale)
        lines = Lines.of(court, without)
        lines.learn(grey, here)
        told = refine(grey, here, lines, _loose(here))
        began = told.camera if told.share >= ACCEPTED else here
        return cls(here, anchor, lines, Rays(grey, here), here, began)

    def first(self, pts: int, grey: Grey) -> Followed:
        share, _ = share_of(grey, self.anchor, self.lines)
        return self._said(pts, self.anchor, share, "anchor")

    def next(self, pts: int, grey: Grey) -> Followed:
        pieces = self.rays.turn(grey)
        told, anew = self._lines_say(grey, pieces)
        accepted = told.share >= ACCEPTED
        camera = told.camera if accepted else self._sane(pieces.camera)
        if self.still and self._is_still(camera, self.began if accepted else self.anchor):
            share, _ = share_of(grey, self.anchor, self.lines)
            self.last = self.anchor
            self.rays.settle(self.anchor, sure=True)
            return self._said(pts, self.anchor, share, "still")
        self.last = camera
        self.refused = 0 if accepted else self.refused + 1
        if anew:
            self.rays.begin_again(camera)
        else:
            self.rays.settle(camera, sure=accepted)
        return self._said(pts, camera, told.share, "lines" if accepted else "pieces")

    def _lines_say(self, grey: Grey, pieces: Turned) -> tuple[Refined, bool]:
        """Return what the lines tell, and whether it was found anew, anywhere in the neighbourhood."""
        expected = pieces.camera
        sd = _loose(expected) * (1.0 + min(self.refused, 8) * 0.5)
        told = self._near(grey, expected, sd)
        if pieces.fast or told.share < GREEN:
            told = max(told, self._near(grey, pieces.expected, sd), key=lambda one: one.share)
        if told.share < ACCEPTED:
            wider = refine(grey, expected, self.lines, 2 * sd, (16.0, 6.0, 3.0), before=self.last)
            told = max(told, wider, key=lambda one: one.share)
        self.doubted = self.doubted + 1 if told.share < GREEN else 0
        if 0 < self.doubted < RELOOK:
            told = self._beside(grey, pieces.expected, sd, told)
        if self.doubted % RELOOK == RELOOK - 1:
            found = self._looked_for(grey, sd)
            if found.share >= max(SURE, told.share):
                return found, True
        if told.share < ACCEPTED:
            share, count = share_of(grey, expected, self.lines)
            told = Refined(expected, share, count, told.spread)
        return told, False

    def _near(self, grey: Grey, expected: Camera, sd: Floats) -> Refined:
        return refine(grey, expected, self.lines, sd, (8.0, 3.0), before=self.last)

    def _beside(self, grey: Grey, expected: Camera, sd: Floats, told: Refined) -> Refined:
        """Return what the lines tell a little before or after where the pan was expected, where that is better."""
        for dots in BESIDE:
            pan = dots * expected.picture[0] / 1280 / expected.focal
            one = self._near(grey, turned(expected, [pan, 0.0, 0.0, 0.0]), sd)
            told = one if one.share > told.share + BETTER else told
        return told

    def _sane(self, camera: Camera) -> Camera:
        """Return the camera, or the anchor when nobody turns or zooms a camera so far: the pieces went astray."""
        zoom, tilt = abs(np.log(camera.focal / self.anchor.focal)), abs(camera.tilt - self.anchor.tilt)
        astray = zoom > MOST_ZOOM or tilt > MOST_TILT or abs(camera.roll - self.anchor.roll) > MOST_TILT
        return self.anchor if astray else camera

    def _looked_for(self, grey: Grey, sd: Floats) -> Refined:
        """Return the best of what the lines alone suggest, anywhere the camera could have turned to."""
        paint, leaning = self.lines.paint, self.lines.leaning
        tried = [
            refine(grey, camera, self.lines, 2 * sd, (14.0, 6.0, 3.0))
            for camera in guesses(grey, self.anchor, paint, leaning, GUESSES)
        ]
        return max(tried, key=lambda one: one.share)

    def _is_still(self, camera: Camera, began: Camera) -> bool:
        moved = farthest(began, camera) > STILL * max(0.5, camera.picture[0] / 1280)
        self.away = self.away + 1 if moved else 0
        self.still = self.away < MOVED_ON
        return not moved

    def _said(
        self, pts: int, camera: Camera, share: float, by: Literal["anchor", "still", "lines", "pieces"]
    ) -> Followed:
        scale = self.asked.picture[0] / camera.picture[0]
        whole = replace(camera, focal=camera.focal * scale, picture=self.asked.picture)
        return Followed(pts, whole, share, state_of(share), by)


def _loose(camera: Camera) -> Floats:
    """Return how far off (standard deviations) pan, tilt, roll and zoom may be before the lines have their say."""
    return np.array([4.0 / camera.focal, 4.0 / camera.focal, 0.002, 0.004])
