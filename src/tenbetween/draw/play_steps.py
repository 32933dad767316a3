"""One step of a play as a still picture: everybody where the step ends, and the ways that led there.

A way of an official is dashed with a head, of a player whole and thin with a small head, of the ball dotted.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from math import hypot
from typing import TYPE_CHECKING

from tenbetween.draw import scene_marks
from tenbetween.draw.frame import Frame
from tenbetween.draw.ink import Ink
from tenbetween.draw.play_tracks import beginnings, known_play, tracks
from tenbetween.draw.scene_svg import View, painted
from tenbetween.draw.scene_words import scene_words
from tenbetween.draw.svg import Point
from tenbetween.scene import Play

if TYPE_CHECKING:
    from tenbetween.draw.scene_shade import Field
    from tenbetween.sight import Sight

_LEAST = 6.0
"""A way shorter than this beyond the mark itself is not drawn, in points."""


def step_svg(
    play: Play,
    number: int,
    view: View,
    *,
    sight: Sight | None = None,
    shade: Field | None = None,
    key: bool = False,
) -> str:
    """Return the picture of one step (0 is the first) as it ends.

    >>> from tenbetween.draw.golden_scenes import golden_play
    >>> step_svg(golden_play(), 2, View(theme="print")).count('class="way ')
    13
    """
    play = known_play(play)
    step = play.steps[number]
    frame, ink = view.frame(step.scene), view.ink
    # Looks and ways together are too many lines to be read.
    ways = () if number == 0 or sight is not None else tuple(_ways(play, number, view, frame, ink))
    said = (f"{play.title}, step {number + 1}".lstrip(", "), step_words(play, number, sight))
    return painted(step.scene, view, step.lead, sight=sight, shade=shade, ways=ways, key=key, said=said)


def step_words(play: Play, number: int, sight: Sight | None = None) -> str:
    """Return one step in words."""
    step = play.steps[number]
    return f"{step.says} {scene_words(step.scene, step.lead, sight)}".strip()


def _ways(play: Play, number: int, view: View, frame: Frame, ink: Ink) -> Iterator[str]:
    begins, step = beginnings(play)[number], play.steps[number]
    for track in tracks(play, view):
        points = [one.at for one in track.moments if begins <= one.t <= begins + step.seconds and one.shown]
        size = frame.official if track.kind.startswith("official") else scene_marks.body_size(frame.scale)
        kept = _trimmed(_thin(points), 0.0 if track.kind == "ball" else size * 1.1)
        if kept is not None:
            yield scene_marks.way(kept, track.kind.split()[0], ink, data_id=track.id)


def _thin(points: list[Point]) -> list[Point]:
    """Leave out a point that is named twice in a row."""
    return [here for before, here in pairwise([None, *points]) if here is not None and here != before]


def _trimmed(points: list[Point], back: float) -> list[Point] | None:
    """Return a way that ends short of the mark it leads to; None when nothing worth drawing is left."""
    left = list(points)
    if sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(left)) < back + _LEAST:
        return None
    while len(left) > 1:
        (x0, y0), (x1, y1) = left[-2:]
        long = hypot(x1 - x0, y1 - y0)
        if long > back:
            part = back / long
            left[-1] = (x1 - (x1 - x0) * part, y1 - (y1 - y0) * part)
            return left
        left.pop()
        back -= long
    return None
