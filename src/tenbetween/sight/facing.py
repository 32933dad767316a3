"""Which way eyes turn: as given, or the best facing where none is given, found exactly.

The sum of weighted looks over facings is made of straight pieces, so its highest point is where some part of the
field of view begins, bends or ends for one matchup: five facings for each matchup are enough.
"""

from __future__ import annotations

import numpy as np

from tenbetween.sight.bearings import Floats, wrapped
from tenbetween.sight.looks import Looks, in_field
from tenbetween.sight.settings import Settings


def facings_worth_trying(middle: Floats, apart: Floats, settings: Settings) -> Floats:
    """Return the facings (radians) among which the best one of each place is, shape (P, 5 M).

    From the middle of each matchup (direction, radians) and how far apart its two are, (P, M) each.
    """
    sharp = np.radians(settings.sharp / 2) - apart / 2
    usable = np.radians(settings.usable / 2) - apart / 2
    turns = (0 * sharp, sharp, -sharp, usable, -usable)
    return np.concatenate([middle + turn for turn in turns], axis=-1)


def values_for(plain: Floats, middle: Floats, apart: Floats, facings: Floats, settings: Settings) -> Floats:
    """Return the open look at each matchup for each facing of each place, shape (P, F, M)."""
    field = in_field(middle[:, None, :], apart[:, None, :], facings[:, :, None], settings)
    return np.asarray(plain[:, None, :] * field, dtype=np.float64)


def best_facing(looks: Looks, weights: Floats, to_ball: Floats, settings: Settings) -> tuple[Floats, Floats]:
    """Return for each place the facing with the highest weighted sum, and its open looks (P, M).

    Of equal ones the one nearer to the ball, then the one that is better for the matchups named first. ``to_ball``
    is the direction of the ball from each place; with nothing to see the eyes are on the ball.

    >>> from tenbetween.sight.looks import looks_from
    >>> bodies = np.array([[20.0, 24.0], [20.0, 26.0]])
    >>> found = looks_from(np.array([[0.0, 25.0]]), bodies, np.array([[0, 1]]), Settings())
    >>> best_facing(found, np.ones(1), np.zeros(1), Settings())[0].tolist()
    [0.0]
    """
    tried = np.concatenate(
        [to_ball[:, None], facings_worth_trying(looks.middle, looks.apart, settings)], axis=-1
    )
    values = values_for(looks.plain, looks.middle, looks.apart, tried, settings)
    total = (values * weights).sum(-1).round(9)
    off = np.abs(wrapped(tried - to_ball[:, None])).round(9)
    # Any fixed order of the matchups will do; it only must not depend on left and right.
    order = (values / (np.arange(weights.size) + np.sqrt(2))).sum(-1).round(9)
    chosen = np.lexsort((-order, off, -total), axis=-1)[:, 0]
    rows = np.arange(chosen.size)
    return tried[rows, chosen], values[rows, chosen]
