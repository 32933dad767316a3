"""How likely a tone is a whistle: a sum of weights whose signs are fixed by what a whistle is, made a number 0 to 1.

Longer, more prominent, narrower can only speak for a whistle; drift, partners, music around only against. Every feature
is first turned so that more of it speaks for one, between 0 and 1; then each alone, above its knees, and each two
together (their product) carry a weight that is never below 0. So a sound unlike any it was fitted on cannot score high
by an accident of the fit. The weights stand in ``whistle_weights.toml`` and come from ``python -m tenbetween.dev
whistles``. Knows no spectra.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Iterator
from functools import cache
from importlib import resources

import numpy as np
from msgspec import Struct, convert
from numpy.typing import NDArray

from tenbetween.film.horns import Horn
from tenbetween.film.spectra import Page
from tenbetween.film.whistles import FEATURES, Candidate, Features, candidates

UNITS: dict[str, tuple[float, float]] = {
    "longer": (0.0, 2.2),
    "sudden": (0.0, 20.0),
    "prominent": (11.0, 32.0),
    "clear": (5.0, 30.0),
    "over_low": (-20.0, 15.0),
    "narrow": (0.3, 1.0),
    "beside": (0.0, 1.0),
    "filled": (0.4, 1.0),
    "flat": (0.3, 1.0),
    "holding": (0.3, 1.0),
    "drift": (0.12, 0.0),
    "horn": (1.0, 0.0),
    "spread": (1.0, 0.0),
    "half": (1.0, 0.0),
    "third": (1.0, 0.0),
    "double": (1.0, 0.0),
    "uneven": (8.0, 1.0),
    "music": (0.8, 0.0),
    "outside": (0.15, 0.0),
}
"""Of every feature what counts as nothing like a whistle (0) and as all like one (1)."""
KNEES = (0.0, 0.35, 0.7)
"""From where on a feature alone counts: a broken line, which a sum of such parts can bend but never turn round."""
PAIRS = tuple((one, two) for number, one in enumerate(FEATURES) for two in FEATURES[number + 1 :])
LEAST = 0.05
"""Below this nothing is told."""


class Weights(Struct, frozen=True, forbid_unknown_fields=True):
    """What was fitted: a constant, a weight for every feature above each knee, and for two features together."""

    constant: float
    alone: dict[str, tuple[float, ...]]
    together: dict[str, dict[str, float]]
    """Only those that are not 0."""


class Whistle(Struct, frozen=True):
    """A whistle proposed: from, to (seconds after the first picture), how high, and how likely (0 to 1)."""

    t: float
    t_end: float
    hertz: float
    confidence: float


@cache
def weights() -> Weights:
    """Return the weights the program ships.

    >>> all(part >= 0 for name in FEATURES for part in weights().alone[name])
    True
    """
    text = resources.files("tenbetween.film").joinpath("whistle_weights.toml").read_text(encoding="utf-8")
    return convert(tomllib.loads(text), Weights)


def units(features: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return rows of features turned and stretched so that 1 is all like a whistle and 0 nothing like one."""
    low, high = (np.array([UNITS[name][side] for name in FEATURES]) for side in (0, 1))
    return np.asarray(np.clip((features - low) / (high - low), 0, 1))


def parts(features: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return rows of features as the parts that are weighed: each above its knees, then each two together."""
    unit = units(features)
    alone = [np.maximum(unit[:, number] - knee, 0) for number in range(len(FEATURES)) for knee in KNEES]
    place = {name: number for number, name in enumerate(FEATURES)}
    together = [unit[:, place[one]] * unit[:, place[two]] for one, two in PAIRS]
    return np.stack((*alone, *together), axis=1)


def flat(given: Weights) -> NDArray[np.float64]:
    """Return weights in the order of ``parts``."""
    alone = [part for name in FEATURES for part in given.alone[name]]
    return np.array(alone + [given.together.get(one, {}).get(two, 0.0) for one, two in PAIRS])


def scores(features: NDArray[np.float64], by: Weights | None = None) -> NDArray[np.float64]:
    """Return how likely each row of features is a whistle, 0 to 1."""
    given = by or weights()
    inner = given.constant + parts(features) @ flat(given)
    return np.asarray(1 / (1 + np.exp(-np.clip(inner, -40, 40))))


def whistles(
    page: Page, by: Weights | None = None, blasts: Iterable[Horn] | None = None
) -> Iterator[Whistle]:
    """Yield the likely whistles of a page in order of time; of tones sounding at once only the likeliest.

    ``blasts`` are the horns of the page, when they are known already.
    """
    found = list(candidates(page, blasts))
    yield from chosen(found, scores(_table(found), by)) if found else ()


def _table(found: Iterable[Candidate]) -> Features:
    return np.stack([one.features for one in found])


def chosen(found: list[Candidate], likely: NDArray[np.float64]) -> list[Whistle]:
    """Return candidates that are likely enough, without those that sound together with a likelier one."""
    kept: list[Whistle] = []
    for number in np.argsort(-likely, kind="stable"):
        if likely[number] < LEAST:
            break
        one = found[number]
        if not any(one.t <= other.t_end and one.t_end >= other.t for other in kept):
            kept.append(Whistle(one.t, one.t_end, one.hertz, float(likely[number])))
    return sorted(kept, key=lambda one: one.t)
