"""Several pieces of film one after another in one clip, each with a card before it if one is handed in.

The pieces may come from different films: all take the size of the reel, with dark edges rather than a wrong shape.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from tenbetween.errors import FormatError, Problem
from tenbetween.film.clip_out import ClipOut, clip_out, even
from tenbetween.film.cut import (
    Change,
    Counting,
    Hold,
    Overlay,
    Piece,
    Timeline,
    Words,
    not_too_long,
    put_piece,
)
from tenbetween.film.frame_index import FrameIndex, index
from tenbetween.film.sound_along import silence
from tenbetween.film.write import Cancel, Progress

Dots = NDArray[np.uint8]
BASE = Fraction(1, 90_000)
"""Seconds a tick: every rate in use comes out whole or very nearly so."""
CARD_FPS = 30


@dataclass(frozen=True, slots=True)
class ReelPiece:
    """A piece of a reel: from which frame to which, what is laid over it, its stops, its captions, the card before it."""

    path: Path
    start_pts: int
    end_pts: int
    overlay: Overlay | None = None
    """Drawn as large as the reel."""
    change: Change | None = None
    holds: tuple[Hold, ...] = ()
    captions: tuple[Words, ...] = ()
    """In the piece's own frame times."""
    card: Dots | None = None
    """A picture as large as the reel (red-green-blue)."""
    card_s: float = 2.5


@dataclass(frozen=True, slots=True)
class Reel:
    """A finished reel: where each piece begins (its card before it), in seconds, and how long all is."""

    begins_s: tuple[float, ...]
    duration_s: float
    frames: int
    size: int


def reel(
    pieces: Sequence[ReelPiece], out: Path, *, size: tuple[int, int] = (1280, 720), sound: bool = False,
    progress: Progress | None = None, cancel: Cancel | None = None,
) -> Reel:  # fmt: skip
    """Write pieces one after another at a size (width, height); silent unless ``sound``.

    Raises:
        FormatError: no piece, one cannot be read, a card of another size, or the disk is full.
        StoppedError: ``cancel`` said so.
    """
    size = even(size)
    _cards_fit(pieces, size)
    kept: dict[Path, FrameIndex] = {}
    for piece in pieces:
        kept.setdefault(piece.path, index(piece.path))
    count = Counting(sum(_length(piece, kept[piece.path]) for piece in pieces), progress, cancel)
    at, begins = Fraction(0), []
    with clip_out(out, size, BASE, sound=sound, captions=_captions(pieces, kept)) as clip:
        for piece in pieces:
            begins.append(float(at))
            at = _card(clip, piece, at)
            frames = kept[piece.path]
            first, last = _ends(piece, frames)
            not_too_long(piece.path, frames, first, last)
            one = Piece(piece.path, first, last, piece.overlay, piece.change, sound, edges=True)
            at = put_piece(clip, one, frames, _line(piece, frames), at, size, count)
    return Reel(tuple(begins), float(at), clip.frames, out.stat().st_size)


def _line(piece: ReelPiece, frames: FrameIndex) -> Timeline:
    stops = [(int(frames.pts[frames.frame_at(pts)]), held) for pts, held in piece.holds]
    return Timeline(_ends(piece, frames)[0], stops, frames.base)


def _captions(pieces: Sequence[ReelPiece], kept: Mapping[Path, FrameIndex]) -> list[tuple[float, float, str]]:
    """Return the captions of all pieces in seconds of the reel: asked for before a picture of it is written."""
    at, found = Fraction(0), []
    for piece in pieces:
        frames, line = kept[piece.path], _line(piece, kept[piece.path])
        at += _card_s(piece)
        found += [
            (float(at + line.seconds(a)), float(at + line.seconds(b)), words)
            for a, b, words in piece.captions
        ]
        last = _ends(piece, frames)[1]
        after = frames.frame_at(last) + 1
        lasts = (frames.end_pts if after >= len(frames) else int(frames.pts[after])) - last
        at += line.seconds(last) + line.held(last) + lasts * frames.base
    return found


def _card_s(piece: ReelPiece) -> Fraction:
    return Fraction(0 if piece.card is None else max(1, round(piece.card_s * CARD_FPS)), CARD_FPS)


def _card(clip: ClipOut, piece: ReelPiece, at: Fraction) -> Fraction:
    """Write the card before a piece; returns the second at which the piece begins."""
    if piece.card is None:
        return at
    shown = int(_card_s(piece) * CARD_FPS)
    for number in range(shown):
        clip.picture(piece.card, round((at + Fraction(number, CARD_FPS)) / BASE))
    if clip.hears:
        for block in silence(shown * 48_000 // CARD_FPS):
            clip.sound(block)
    return at + Fraction(shown, CARD_FPS)


def _ends(piece: ReelPiece, frames: FrameIndex) -> tuple[int, int]:
    return int(frames.pts[frames.frame_at(piece.start_pts)]), int(frames.pts[frames.frame_at(piece.end_pts)])


def _length(piece: ReelPiece, frames: FrameIndex) -> int:
    return frames.frame_at(piece.end_pts) - frames.frame_at(piece.start_pts) + 1


def _cards_fit(pieces: Sequence[ReelPiece], size: tuple[int, int]) -> None:
    bad = [
        Problem(
            f"[{number}].card",
            f"{one.card.shape[1]} x {one.card.shape[0]}",
            f"{size[0]} x {size[1]} dots",
            "draw it so",
        )
        for number, one in enumerate(pieces)
        if one.card is not None and one.card.shape != (size[1], size[0], 3)
    ]
    if not pieces:
        bad = [Problem("pieces", "no piece", "at least one", "choose a clip for the reel")]
    if bad:
        raise FormatError(bad)
