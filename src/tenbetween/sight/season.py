"""What two officials had through many frames at once: tracks of a whole game or season, every frame in one go.

Each official's eyes are turned at each matchup in turn, so the field of view is not in it: a scene alone tells that
(``see``). Numbers of places, frame by frame; nothing is summed over frames and nobody is judged.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from tenbetween.sight.bearings import Floats
from tenbetween.sight.boxing import JUST
from tenbetween.sight.looks import Pairs
from tenbetween.sight.many_looks import plain_on_grid
from tenbetween.sight.settings import SIGHT, Settings


class Through(NamedTuple):
    """Frame by frame (F): the looks of lead and trail, coverage, and the two parts of boxing in."""

    looks: Floats
    """(F, 2, M), before the field of view."""
    coverage: Floats
    """Share of the matchups, by weight, that the better look takes in."""
    opposition_deg: Floats
    """Angle lead - middle of the players - trail; NaN where an official stands in it."""
    share_between: Floats


def through(
    bodies: Floats, officials: Floats, pairs: Pairs, weights: Floats, settings: Settings = SIGHT
) -> Through:
    """Return what the crew had in each frame; bodies (F, N, 2), officials (F, 2, 2) lead then trail, feet.

    With the extra ``fast`` it is many times as quick; the numbers are the same.

    >>> bodies = np.array([[[20.0, 23.0], [20.0, 27.0]]])
    >>> found = through(bodies, np.array([[[0.0, 25.0], [40.0, 25.0]]]), np.array([[0, 1]]), np.ones(1))
    >>> found.coverage.round(2).tolist(), found.opposition_deg.tolist(), found.share_between.tolist()
    ([1.0], [180.0], [1.0])
    """
    looks = _looks(bodies, officials, pairs, settings)
    coverage = (looks.max(1) * weights).sum(-1) / weights.sum()
    return Through(looks, coverage, _opposition(bodies, officials), _between(bodies, officials))


def _looks(bodies: Floats, officials: Floats, pairs: Pairs, settings: Settings) -> Floats:
    try:
        from tenbetween.sight.fast import plain_through
    except ImportError:
        return np.array(
            [
                [plain_on_grid(at[:1], at[1:], frame, pairs, settings)[:, 0, 0] for at in crew]
                for frame, crew in zip(bodies, officials, strict=True)
            ]
        ).reshape(len(bodies), 2, len(pairs))
    return plain_through(bodies, officials, pairs, settings)


def _opposition(bodies: Floats, officials: Floats) -> Floats:
    to = officials - bodies.mean(1)[:, None]
    cross = to[:, 0, 0] * to[:, 1, 1] - to[:, 0, 1] * to[:, 1, 0]
    angle = np.degrees(np.arctan2(np.abs(cross), (to[:, 0] * to[:, 1]).sum(-1)))
    return np.where((np.abs(to).max(-1) == 0).any(-1), np.nan, angle)


def _between(bodies: Floats, officials: Floats) -> Floats:
    to = officials[:, :, None, :] - bodies[:, None]
    return np.asarray(((to[:, 0] * to[:, 1]).sum(-1) <= JUST).mean(-1), dtype=np.float64)
