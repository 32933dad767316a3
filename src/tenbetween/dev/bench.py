"""Runs every measurement and writes the table. Each measurement is one function of the list; knows no number."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from msgspec import structs

from tenbetween.dev import (
    answering,
    court_speed,
    film_open,
    film_screen,
    film_speed,
    follow_speed,
    listen_speed,
    paper_speed,
    screen,
    seeing,
    showing,
)
from tenbetween.dev.checkout import FIGURES
from tenbetween.dev.figures import HEAD, Measured, page, row
from tenbetween.errors import UsageError, one_of

Say = Callable[[str], object]
PARTS: dict[str, Callable[[], Measured]] = {
    "one answer": answering.one_answer,
    "many answers": answering.many_answers,
    "counted space": answering.counted_space,
    "sheet": paper_speed.sheets,
    "screen": screen.screens,
    "court": court_speed.courts,
    "sight": seeing.seeing,
    "plays": showing.plays,
    "film room": film_screen.film_screens,
    "film": film_open.opening,
    "film clips": film_speed.clips,
    "following": follow_speed.following,
    "listening": listen_speed.listening,
}


def bench(root: Path, *, only: str, say: Say) -> int:
    """Measure, show and, when everything was measured, write; returns 1 when an aim is not met.

    Raises:
        UsageError: nothing of that name is measured.
    """
    chosen = {name: act for name, act in PARTS.items() if only in name}
    if not chosen:
        raise UsageError(one_of("--only", only, tuple(PARTS)))
    say(HEAD)
    parts = [_shown(structs.replace(act(), part=name), say) for name, act in chosen.items()]
    if len(chosen) == len(PARTS):
        (root / FIGURES).write_text(page(parts), encoding="utf-8")
    return 0 if all(figure.met for part in parts for figure in part.figures) else 1


def _shown(part: Measured, say: Say) -> Measured:
    for figure in part.figures:
        say(row(figure, part.part))
    if part.skipped:
        say(part.skipped)
    return part
