"""The look from many places at each matchup, part by part, exact for flat discs.

Parts, each 0 to 1: openness (are the two bodies side by side), clear (no third body before the space between
them), distance, width (both at one look), field of view. Their product is the open look. Knows arrays and
settings; says nothing about how well anybody judges.
"""

from __future__ import annotations

from typing import Any, NamedTuple, TypeVar, cast

import numpy as np
from numpy.typing import NDArray

from tenbetween.sight.bearings import Bearings, Floats, bearings, covered, wrapped
from tenbetween.sight.settings import Settings

TINY = 1e-12
Pairs = NDArray[np.intp]
Real = TypeVar("Real", bound="NDArray[np.floating[Any]]")


class Looks(NamedTuple):
    """Each part of each look before facing, shape (P, M); angles in radians, lengths in feet."""

    openness: Floats
    clear: Floats
    gap: Floats
    """Daylight between the two bodies that no third body covers."""
    distance: Floats
    """To the middle between the two."""
    closeness: Floats
    """The part of distance."""
    width: Floats
    """The part of the angle between the two."""
    apart: Floats
    """That angle."""
    middle: Floats
    """Direction of its middle."""
    hidden_by: Floats
    """Share of the space between the two behind each player, (P, M, N); zero for the two themselves."""

    @property
    def plain(self) -> Floats:
        """The open look with the eyes turned straight at the matchup: all parts but the field of view."""
        return self.openness * self.clear * self.closeness * self.width


def looks_from(places: Floats, bodies: Floats, pairs: Pairs, settings: Settings) -> Looks:
    """Return the looks from places (P, 2) at matchups ``pairs`` (M, 2) of bodies (N, 2), all in feet.

    openness = min(1, w / (alpha_a + alpha_d)), w the angle between the two, alpha = asin(r / d); within a body 0.
    clear = 1 - |union of B_k within the window between the two centres| / w, B_k the directions in which a third
    body is met before the line from one centre to the other.

    >>> bodies = np.array([[20.0, 23.0], [20.0, 27.0], [10.0, 25.0]])
    >>> found = looks_from(np.array([[0.0, 25.0]]), bodies, np.array([[0, 1]]), Settings())
    >>> found.openness.round(3).tolist(), found.clear.round(3).tolist()
    ([[1.0]], [[0.096]])
    """
    seen = bearings(places, bodies, settings.radius)
    a, d = pairs[:, 0], pairs[:, 1]
    turn = wrapped(seen.direction[:, d] - seen.direction[:, a])
    apart = np.abs(turn)
    coincident = (bodies[a] == bodies[d]).all(-1)
    within = seen.within[:, a] | seen.within[:, d] | coincident
    openness = np.where(within, 0.0, np.minimum(1.0, apart / (seen.half[:, a] + seen.half[:, d])))
    clear, gap, hidden_by = _between(seen, bodies, pairs, turn, settings.radius)
    x, y = (seen.dx[:, a] + seen.dx[:, d]) / 2, (seen.dy[:, a] + seen.dy[:, d]) / 2
    distance = np.hypot(x, y)
    return Looks(
        openness,
        clear,
        np.where(within, 0.0, gap),
        distance,
        closeness(distance, settings),
        falling(np.degrees(apart), settings.wide_full, settings.wide_none),
        apart,
        wrapped(seen.direction[:, a] + turn / 2),
        hidden_by,
    )


def closeness(distance: Real, settings: Settings) -> Real:
    """Return the part of distance (0 to 1) for distances in feet, in numbers of the same width.

    clip((D - 2) / 4, 0, 1) / (1 + max(0, (D - 25) / 25)^2) with the settings as they stand; a second such factor
    for contact where one is set.

    >>> closeness(np.array([2.0, 4.0, 10.0, 50.0]), Settings()).tolist()
    [0.0, 0.5, 1.0, 0.5]
    """
    found = 1 - falling(distance, settings.near_none, settings.near_full)
    found = found / (1 + _excess(distance, settings.far_begins, settings.far_half))
    if settings.contact_begins is not None and settings.contact_half is not None:
        found = found / (1 + _excess(distance, settings.contact_begins, settings.contact_half))
    return cast("Real", found)


def in_field(middle: Floats, apart: Floats, facing: Floats, settings: Settings) -> Floats:
    """Return the part of the field of view: both bodies' middles must lie within it; angles in radians.

    e = |middle - facing| + apart / 2: whole up to half the sharp field, falling to the edge value at half the
    usable field, nothing beyond.

    >>> angle = np.radians([0.0, 30.0, 60.0, 61.0])
    >>> in_field(angle, np.zeros(4), np.zeros(4), Settings()).round(6).tolist()
    [1.0, 1.0, 0.35, 0.0]
    """
    off = np.degrees(np.abs(wrapped(middle - facing)) + apart / 2)
    sharp, usable = settings.sharp / 2, settings.usable / 2
    fading = 1 - (1 - settings.edge) * np.clip((off - sharp) / (usable - sharp), 0.0, 1.0)
    return np.asarray(np.where(off <= usable + 1e-9, fading, 0.0), dtype=np.float64)


def _excess(distance: Real, begins: float, half: float) -> Real:
    return cast("Real", np.maximum(0.0, (distance - begins) / (half - begins)) ** 2)


def falling(value: Real, full: float, none: float) -> Real:
    """Return 1 up to the first value, 0 from the second on, straight between.

    >>> falling(np.array([50.0, 90.0, 130.0]), 60.0, 120.0).tolist()
    [1.0, 0.5, 0.0]
    """
    return cast("Real", np.clip((none - value) / (none - full), 0.0, 1.0))


def _between(
    seen: Bearings, bodies: Floats, pairs: Pairs, turn: Floats, radius: float
) -> tuple[Floats, Floats, Floats]:
    """Return clear, gap, and the share each third body hides."""
    a, d = pairs[:, 0], pairs[:, 1]
    apart = np.abs(turn)
    start, end = _before_line(seen, bodies, pairs, turn, radius)
    low, high = -apart / 2, apart / 2
    third = np.ones((pairs.shape[0], bodies.shape[0]), dtype=bool)
    third[np.arange(len(a)), a] = False
    third[np.arange(len(d)), d] = False
    swallowed = third & seen.within[:, None, :]
    start = np.where(third, np.where(swallowed, -np.pi, start), np.inf)
    end = np.where(third, np.where(swallowed, np.pi, end), -np.inf)
    open_window = (apart > TINY) & (apart < np.pi - 1e-9)
    safe = np.where(open_window, apart, 1.0)
    alone = np.maximum(0.0, np.minimum(end, high[..., None]) - np.maximum(start, low[..., None]))
    hidden_by = np.where(open_window[..., None], alone / safe[..., None], 0.0)
    clear = np.clip(1 - covered(start, end, low, high) / safe, 0.0, 1.0)
    clear = np.where(open_window, clear, np.where(apart <= TINY, 1.0, 0.0))
    # The window runs from the body first met turning left to the other.
    first = np.where(turn >= 0, seen.half[:, a], seen.half[:, d])
    last = np.where(turn >= 0, seen.half[:, d], seen.half[:, a])
    left, right = low + first, np.maximum(low + first, high - last)
    gap = np.where(open_window, np.maximum(0.0, right - left - covered(start, end, left, right)), 0.0)
    return clear, gap, np.minimum(1.0, hidden_by)


def _before_line(
    seen: Bearings, bodies: Floats, pairs: Pairs, turn: Floats, radius: float
) -> tuple[Floats, Floats]:
    """Return where the view of each third body before the line a-d starts and ends, from the window's middle.

    A body wholly beyond the line gives an empty interval. One that stands across the line hides only what its
    near part hides: an end whose tangent point lies beyond the line moves to the crossing of outline and line.
    """
    a, d = pairs[:, 0], pairs[:, 1]
    along = bodies[d] - bodies[a]
    length = np.hypot(along[:, 0], along[:, 1])
    unit = along / np.where(length > 0, length, 1.0)[:, None]
    normal = np.stack([-unit[:, 1], unit[:, 0]], axis=-1)
    reach = seen.dx[:, a] * normal[:, 0] + seen.dy[:, a] * normal[:, 1]
    # Heights over the line are counted on the side of the place.
    side = np.where(reach > 0, -1.0, 1.0)
    over = ((bodies[None, :, :] - bodies[a][:, None, :]) * normal[:, None, :]).sum(-1)
    middle = seen.direction[:, a] + turn / 2
    centre = wrapped(seen.direction[:, None, :] - middle[..., None])
    start, end = centre - seen.half[:, None, :], centre + seen.half[:, None, :]
    m, k = np.nonzero(np.abs(over) < radius)
    towards = side[:, m, None] * normal[m]
    height = side[:, m] * over[m, k]
    crossing = np.sqrt(np.maximum(0.0, radius * radius - height * height))
    foot_x = seen.dx[:, k] - height * towards[..., 0]
    foot_y = seen.dy[:, k] - height * towards[..., 1]
    for sign, ends in ((-1.0, start), (1.0, end)):
        # Looking at the line, left along it is (y, -x) of the direction that leads back to the place.
        x, y = foot_x + sign * crossing * towards[..., 1], foot_y - sign * crossing * towards[..., 0]
        touches = _tangent_height(seen, k, towards, np.abs(reach[:, m]), sign, radius)
        ends[:, m, k] = np.where(touches < 0, wrapped(np.arctan2(y, x) - middle[:, m]), ends[:, m, k])
    beyond = side[..., None] * over <= -radius
    return np.where(beyond, np.inf, start), np.where(beyond, -np.inf, end)


def _tangent_height(
    seen: Bearings, k: Pairs, towards: Floats, up: Floats, sign: float, radius: float
) -> Floats:
    """Return the height over the line of the point where the left (1) or right (-1) tangent of bodies k touches."""
    dx, dy = seen.dx[:, k], seen.dy[:, k]
    reach = np.sqrt(np.maximum(seen.power[:, k], 0.0))
    scale = reach / np.maximum(seen.distance[:, k], TINY) ** 2
    x = scale * (dx * reach - sign * dy * radius)
    y = scale * (dy * reach + sign * dx * radius)
    return np.asarray(up + x * towards[..., 0] + y * towards[..., 1], dtype=np.float64)
