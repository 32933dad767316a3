"""Faces made unreadable where a person marked them, and followed from one mark to the next.

Nothing is found automatically: what nobody marked stays readable. Between two marks a region goes with the camera, then
with what is in it, and arrives where it was marked again. Knows pictures and boxes, no court and no person.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tenbetween.errors import Problem, UsageError
from tenbetween.film.write import film_parts

Dots = NDArray[np.uint8]
Floats = NDArray[np.float64]
Box = tuple[float, float, float, float]
"""Left, top, right, bottom, as fractions (0 to 1) of the picture as seen."""
PAD = 0.3
"""How much wider and higher than marked a region is blurred, of its own size on each side."""
CELLS = 4
"""So many flat fields across the shorter side of a blurred region: fewer than a face needs to be known by."""
REACH = 0.7
"""How far from where it is expected a region is looked for, of its own size on each side."""
ALIKE = 0.7
"""So alike (normed correlation) a place must be to how the region looked when it was marked."""
AGREE = 0.25
"""Two ways agree when they are no further apart than this, of the region's own size."""
HELD_HIGH, MOST_HELD = 480, 450
"""Pictures between two marks are held at this height (dots), and so many of them at most."""
SMALLEST = 12
"""A blurred region is at least so many dots wide and high."""


@dataclass(frozen=True, slots=True)
class Region:
    """One thing to be blurred: where it is at some frames, rising in time, and until when it is followed."""

    marks: tuple[tuple[int, Box], ...]
    until: int | None = None
    """The time of the last frame it is blurred in; none: the last mark."""

    @property
    def begins(self) -> int:
        """The time of the first frame it is blurred in."""
        return self.marks[0][0]

    @property
    def ends(self) -> int:
        """The time of the last frame it is blurred in."""
        return max(self.marks[-1][0], self.marks[-1][0] if self.until is None else self.until)


def checked(regions: Sequence[Region]) -> tuple[Region, ...]:
    """Return regions that can be followed.

    Raises:
        UsageError: no mark, times that do not rise, or a box that is none; all of them told.
    """
    bad = []
    for number, region in enumerate(regions):
        times = [pts for pts, _ in region.marks]
        if not times or any(b <= a for a, b in pairwise(times)):
            bad.append(
                Problem(
                    f"[{number}].marks", f"{times}", "at least one mark, later ones after", "mark it again"
                )
            )
        for pts, (left, top, right, bottom) in region.marks:
            if not (-0.5 <= left < right <= 1.5 and -0.5 <= top < bottom <= 1.5):
                found = f"{(left, top, right, bottom)} at {pts}"
                bad.append(
                    Problem(f"[{number}].marks", found, "left < right, top < bottom, 0 to 1", "draw it again")
                )
    if bad:
        raise UsageError(bad)
    return tuple(regions)


def between(region: Region, pts: int) -> Box | None:
    """Return where a region is at a time by its marks alone: on a straight line from one to the next.

    >>> between(Region(((0, (0.0, 0.0, 0.2, 0.2)), (10, (0.5, 0.0, 0.7, 0.2)))), 5)
    (0.25, 0.0, 0.45, 0.2)
    """
    if not region.begins <= pts <= region.ends:
        return None
    times = [at for at, _ in region.marks]
    after = bisect_left(times, pts)
    if after == len(times):
        return region.marks[-1][1]
    if times[after] == pts or after == 0:
        return region.marks[after][1]
    (a, one), (b, other) = region.marks[after - 1], region.marks[after]
    share = (pts - a) / (b - a)
    left, top, right, bottom = (round(x + (y - x) * share, 9) for x, y in zip(one, other, strict=True))
    return left, top, right, bottom


def followed(region: Region, pictures: Iterable[tuple[int, Dots]]) -> dict[int, Box]:
    """Return where a region is in each frame handed in (time and grey picture, from its beginning to its end).

    From each mark it goes with the camera and with what is in it, forward and from the next mark back; where only one
    of the two still sees it, that one counts, and where they do not agree, both places are covered.

    Raises:
        UsageError: the extra ``film`` is missing.
    """
    film_parts()
    marks = dict(region.marks)
    found: dict[int, Box] = {}
    stretch: list[tuple[int, Dots]] = []
    first: Box | None = None
    for pts, grey in pictures:
        if not region.begins <= pts <= region.ends:
            continue
        stretch.append((pts, _small(grey)))
        if first is None:
            first = between(region, pts) or region.marks[0][1]
        if pts in marks or len(stretch) > MOST_HELD:
            found.update(_between_marks(stretch, first, marks.get(pts)))
            first, stretch = found[pts], stretch[-1:]
    if first is not None and stretch:
        found.update(_between_marks(stretch, first, None))
    return found


def blurring(places: Sequence[Mapping[int, Box]], *, pad: float = PAD) -> Callable[[int, Dots], Dots]:
    """Return what blurs a frame: told its time and picture, it gives the picture with every region unreadable.

    A frame between two that were followed takes the regions of both: rather too much than a face.
    """
    known = [(sorted(place), place) for place in places]

    def change(pts: int, picture: Dots) -> Dots:
        made = picture
        for times, place in known:
            for at in _nearest(times, pts):
                made = made if made is not picture else np.array(picture)
                blur_box(made, place[at], pad)
        return made

    return change


def blur_box(picture: Dots, box: Box, pad: float = PAD) -> None:
    """Make a box of a picture unreadable, in place: few flat fields, their edges smoothed."""
    import cv2

    high, wide = picture.shape[:2]
    left, top, right, bottom = box
    over, beyond = (right - left) * pad, (bottom - top) * pad
    x0, x1 = _span((left - over) * wide, (right + over) * wide, wide)
    y0, y1 = _span((top - beyond) * high, (bottom + beyond) * high, high)
    if x1 <= x0 or y1 <= y0:
        return
    part = picture[y0:y1, x0:x1]
    cell = max(1.0, min(x1 - x0, y1 - y0) / CELLS)
    few = (max(1, round((x1 - x0) / cell)), max(1, round((y1 - y0) / cell)))
    flat = cv2.resize(part, few, interpolation=cv2.INTER_AREA)
    fields = cv2.resize(flat, (x1 - x0, y1 - y0), interpolation=cv2.INTER_NEAREST)
    picture[y0:y1, x0:x1] = cv2.GaussianBlur(fields, (0, 0), max(1.0, cell / 3))


def _span(begins: float, ends: float, most: int) -> tuple[int, int]:
    lacking = max(0.0, SMALLEST - (ends - begins)) / 2
    return max(0, int(np.floor(begins - lacking))), min(most, int(np.ceil(ends + lacking)))


def _nearest(times: list[int], pts: int) -> list[int]:
    """Return the time itself if it was followed, else the ones around it, if it lies between the first and last."""
    if not times or not times[0] <= pts <= times[-1]:
        return []
    at = bisect_left(times, pts)
    return [pts] if times[at] == pts else [times[at - 1], times[at]]


# -- following ----------


def _corners(box: Box) -> Floats:
    return np.array([[box[0], box[1]], [box[2], box[3]]], float)


def _box(corners: Floats) -> Box:
    (left, top), (right, bottom) = corners.tolist()
    return left, top, right, bottom


def _small(grey: Dots) -> Dots:
    """Return a picture small enough that many of them can be held."""
    import cv2

    high, wide = grey.shape
    if high <= HELD_HIGH:
        return grey
    made: Dots = np.asarray(
        cv2.resize(grey, (round(wide * HELD_HIGH / high), HELD_HIGH), interpolation=cv2.INTER_AREA), np.uint8
    )
    return made


def _between_marks(stretch: list[tuple[int, Dots]], first: Box, last: Box | None) -> dict[int, Box]:
    """Return where a region is from one mark to the next (none: to the end), by both ways."""
    there = _along(stretch, first)
    if last is None or len(stretch) == 1:
        return {pts: _box(at) for pts, (at, _) in there.items()} if last is None else {stretch[0][0]: last}
    back = _along(stretch[::-1], last)
    begins, ends = stretch[0][0], stretch[-1][0]
    off, short = _corners(last) - there[ends][0], _corners(first) - back[begins][0]
    found = {}
    for pts, _ in stretch:
        share = (pts - begins) / (ends - begins)
        (a, a_seen), (b, b_seen) = there[pts], back[pts]
        if not (a_seen or b_seen):
            # Seen by neither: what each is off by where it ends is spread over its way.
            a, b = a + off * share, b + short * (1 - share)
        found[pts] = _agreed((a, a_seen), (b, b_seen), share)
    return {**found, begins: first, ends: last}


def _along(stretch: list[tuple[int, Dots]], box: Box) -> dict[int, tuple[Floats, bool]]:
    """Return the corners in each frame (as fractions), and whether the region was seen again there."""
    grey = stretch[0][1]
    size = np.array([grey.shape[1], grey.shape[0]], float)
    trail = _Trail(grey, _corners(box) * size)
    found = {stretch[0][0]: (_corners(box), True)}
    for pts, now in stretch[1:]:
        trail.go_on(now)
        found[pts] = trail.corners / size, trail.seen
    return found


def _agreed(one: tuple[Floats, bool], other: tuple[Floats, bool], share: float) -> Box:
    """Return where two ways together put a region, so far (0 to 1) on the way from the first mark to the second."""
    (a, a_seen), (b, b_seen) = one, other
    if a_seen != b_seen:
        return _box(a if a_seen else b)
    if bool((np.abs(a - b).max(axis=0) <= AGREE * (a[1] - a[0])).all()):
        return _box(a + (b - a) * share)
    return _box(np.stack([np.minimum(a[0], b[0]), np.maximum(a[1], b[1])]))


class _Trail:
    """Where one region is, frame after frame, and how it looked when it was marked."""

    def __init__(self, grey: Dots, corners: Floats) -> None:
        self._speed = np.zeros(2)
        self.begin(grey, corners)

    def begin(self, grey: Dots, corners: Floats) -> None:
        """Begin anew from a mark."""
        self._before, self.corners, self._looks = grey, corners, _part(grey, corners)
        self.seen = True

    def go_on(self, now: Dots) -> None:
        """Find the region in the next frame: as it looked when marked, near where it must be by now.

        Where it looks otherwise, as most of its points moved; where they do not tell, on as before, but slower.
        """
        camera = _camera(self._before, now, self.corners)
        carried = self.corners @ camera[:, :2].T + camera[:, 2]
        own = _found_again(now, self._looks, carried + self._speed, carried)
        self.seen = own is not None
        if own is None:
            own = _own_step(self._before, now, self.corners, camera)
        self._speed = self._speed * 0.8 if own is None else own
        self.corners, self._before = carried + self._speed, now


def _part(grey: Dots, corners: Floats) -> Dots:
    (x0, y0), (x1, y1) = np.clip(np.round(corners), 0, [grey.shape[1], grey.shape[0]]).astype(int)
    return grey[y0:y1, x0:x1]


def _found_again(now: Dots, looks: Dots, expected: Floats, carried: Floats) -> Floats | None:
    """Return how much further than the camera a region moved, if it is seen again near where it is expected."""
    import cv2

    high, wide = looks.shape
    if high < 6 or wide < 6 or float(looks.std()) < 4:
        return None
    reach = np.array([wide, high]) * REACH + 4
    around = np.array([expected[0] - reach, expected[0] + reach + [wide, high]])
    (x0, y0), (x1, y1) = np.clip(np.round(around), 0, [now.shape[1], now.shape[0]]).astype(int)
    if x1 - x0 < wide or y1 - y0 < high:
        return None
    _, best, _, place = cv2.minMaxLoc(cv2.matchTemplate(now[y0:y1, x0:x1], looks, cv2.TM_CCOEFF_NORMED))
    return np.array([x0 + place[0], y0 + place[1]], float) - carried[0] if best >= ALIKE else None


def _camera(before: Dots, now: Dots, corners: Floats) -> Floats:
    """Return how the picture as a whole moved (2 x 3), from points outside the box."""
    import cv2

    mask = np.full(before.shape, 255, np.uint8)
    (x0, y0), (x1, y1) = np.clip(corners, 0, [before.shape[1], before.shape[0]]).astype(int)
    mask[y0:y1, x0:x1] = 0
    start, end = _flow(before, now, mask, 300)
    if len(start) >= 8:
        found, inside = cv2.estimateAffinePartial2D(start, end, method=cv2.RANSAC, ransacReprojThreshold=1.5)
        if np.shape(found) == (2, 3) and int(inside.sum()) >= 8:
            return np.asarray(found, float)
    return np.array([[1.0, 0, 0], [0, 1, 0]])


def _own_step(before: Dots, now: Dots, corners: Floats, camera: Floats) -> Floats | None:
    """Return how much further than the camera what is in the box moved, if it can be told."""
    (x0, y0), (x1, y1) = np.clip(corners, 0, [before.shape[1], before.shape[0]]).astype(int)
    if x1 - x0 < 4 or y1 - y0 < 4:
        return None
    mask = np.zeros(before.shape, np.uint8)
    mask[y0:y1, x0:x1] = 255
    start, end = _flow(before, now, mask, 40)
    if len(start) < 4:
        return None
    step = end - (start @ camera[:, :2].T + camera[:, 2])
    middle = np.median(step, axis=0)
    near = np.abs(step - middle).max(axis=1) < 3
    # Points of the ground beside a small face go with the camera; only what most points do is believed.
    return np.asarray(step[near].mean(axis=0), float) if near.sum() >= max(3, len(step) // 3) else None


def _flow(before: Dots, now: Dots, mask: Dots, most: int) -> tuple[Floats, Floats]:
    """Return points found again in the next frame, there and back within half a dot."""
    import cv2

    points: Any = cv2.goodFeaturesToTrack(before, most, 0.01, 5, mask=mask)
    if points is None:
        return np.zeros((0, 2)), np.zeros((0, 2))
    flow: Any = partial(cv2.calcOpticalFlowPyrLK, winSize=(15, 15), maxLevel=3)
    there, seen, _ = flow(before, now, points, None)
    back, again, _ = flow(now, before, there, None)
    good = (seen[:, 0] == 1) & (again[:, 0] == 1) & (np.abs(back - points)[:, 0].max(axis=1) < 0.5)
    return points[good, 0].astype(float), there[good, 0].astype(float)
