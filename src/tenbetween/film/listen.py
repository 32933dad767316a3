"""One pass over a film for what is worth stopping at: whistles, horns, lulls and cuts, each with how likely it is.

These are proposals; a person keeps or drops each. The sound comes first, being quick; then the pictures. Knows how the
parts are joined and told, not how any of them is found.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from msgspec import Struct

from tenbetween.errors import FormatError, Problem
from tenbetween.film.cuts import Cut, Look, cuts, look
from tenbetween.film.horns import horns
from tenbetween.film.lulls import Lull, Motion, lulls
from tenbetween.film.pictures_small import Glance, every_picture, glances, has_picture, no_picture, open_cv
from tenbetween.film.sound_in import RATE, Sound, has_sound, no_sound, open_film, sound
from tenbetween.film.spectra import Page, pages
from tenbetween.film.whistle_score import whistles
from tenbetween.film.write import StoppedError

Told = Callable[[int, int, str], object]
"""Told how much is done, of how much, and of what."""
Cancelled = Callable[[], bool]
WHOLE = 1_000
"""What is done is told in thousandths of the film."""
SOUND_SHARE = 150
"""Of them, so many are for the sound when there are pictures as well."""
KINDS = ("whistle", "horn", "lull", "cut")


class Proposal(Struct, frozen=True):
    """A moment worth a look: from, to (seconds after the first picture), what kind, how likely (0 to 1)."""

    t: float
    t_end: float
    kind: str
    confidence: float


class Listened(Struct, frozen=True):
    """What one pass over a film brought, the likeliest first; ``says`` is what could not be listened to, and why."""

    duration_s: float
    sound: bool
    picture: bool
    proposals: tuple[Proposal, ...]
    says: tuple[Problem, ...] = ()


def _nobody(done: int, of: int, says: str) -> None:
    """Tell nobody."""


def listen(
    path: str | Path,
    *,
    pictures: bool = True,
    told: Told = _nobody,
    cancelled: Cancelled = lambda: False,
) -> Listened:
    """Return the proposals of a film, the likeliest first; without ``pictures`` those of its sound only.

    Raises:
        UsageError: the extra ``film`` is missing.
        FormatError: the film cannot be read, or has neither sound nor picture.
        StoppedError: ``cancelled`` said so.
    """
    sounds, shows = has_sound(path), has_picture(path)
    if not sounds and not shows:
        raise FormatError((no_sound(path), no_picture(path)))
    if shows and pictures:
        open_cv()
    lasts = duration_s(path)
    found: list[Proposal] = []
    if sounds:
        share = SOUND_SHARE if shows and pictures else WHOLE
        found += heard(_watched(sound(path), lasts, share, told, cancelled), cancelled)
    if shows and pictures:
        found += seen(path, _passing(path, lasts, SOUND_SHARE if sounds else 0, told, cancelled))
    if cancelled():
        raise StoppedError
    told(WHOLE, WHOLE, "done")
    says = (() if sounds else (no_sound(path),)) + (() if shows else (no_picture(path),))
    return Listened(lasts, sounds, shows, ranked(found), says)


def heard(blocks: Iterator[Sound], cancelled: Cancelled = lambda: False) -> list[Proposal]:
    """Return the whistles and horns of sound at 16 kHz, in order of time as they were found.

    >>> import numpy as np
    >>> heard(iter([np.zeros(32000, dtype=np.float32)]))
    []
    """
    found: list[Proposal] = []
    for page in pages(blocks, cancelled):
        found += _of_page(page)
    return found


def _of_page(page: Page) -> Iterator[Proposal]:
    blasts = tuple(horns(page))
    for whistle in whistles(page, blasts=blasts):
        yield Proposal(whistle.t, whistle.t_end, "whistle", whistle.confidence)
    for horn in blasts:
        if page.owns(page.rows(horn.t, horn.t_end)[0]):
            yield Proposal(horn.t, horn.t_end, "horn", horn.confidence)


def seen(path: str | Path, passing: Iterator[Glance]) -> list[Proposal]:
    """Return the cuts and lulls of a film whose pictures are given in passing."""
    motion = Motion.empty()

    def looks() -> Iterator[Look]:
        for one in passing:
            motion.see(one)
            yield look(one)

    def between(from_s: float, to_s: float) -> Sequence[Look]:
        return [look(one) for one in every_picture(path, max(0.0, from_s), to_s)]

    found = [_of_cut(one) for one in cuts(looks(), between)]
    return found + [_of_lull(one) for one in lulls(motion)]


def _of_cut(one: Cut) -> Proposal:
    return Proposal(one.t, one.t, "cut", one.confidence)


def _of_lull(one: Lull) -> Proposal:
    return Proposal(one.t, one.t_end, "lull", one.confidence)


def ranked(found: Sequence[Proposal]) -> tuple[Proposal, ...]:
    """Return proposals with the likeliest first, the earlier of equals before the later.

    >>> [one.t for one in ranked([Proposal(1, 2, "lull", 0.2), Proposal(3, 4, "whistle", 0.9)])]
    [3, 1]
    """
    return tuple(sorted(found, key=lambda one: (-one.confidence, one.t, one.kind)))


def duration_s(path: str | Path) -> float:
    """Return how long a film lasts, in seconds, as the file itself says; 0 when it does not.

    Raises:
        FormatError: the film cannot be read.
    """
    with open_film(path) as box:
        told = [
            float(stream.duration * stream.time_base)
            for stream in (*box.streams.video, *box.streams.audio)
            if stream.duration and stream.time_base
        ]
        return max(told) if told else float(box.duration or 0) / 1e6


# -- telling how far it is -------------------------------------------------------------------------------------


def _watched(
    blocks: Iterator[Sound], lasts: float, share: int, told: Told, cancelled: Cancelled
) -> Iterator[Sound]:
    done, last = 0, -1
    for block in blocks:
        done += len(block)
        part = min(share, int(share * done / RATE / max(lasts, 1e-9)))
        if part > last:
            if cancelled():
                raise StoppedError
            told(part, WHOLE, "listening")
            last = part
        yield block


def _passing(
    path: str | Path, lasts: float, from_part: int, told: Told, cancelled: Cancelled
) -> Iterator[Glance]:
    last = -1
    for one in glances(path, cancelled):
        part = from_part + min(WHOLE - from_part, int((WHOLE - from_part) * one.t / max(lasts, 1e-9)))
        if part > last:
            told(part, WHOLE, "looking")
            last = part
        yield one
