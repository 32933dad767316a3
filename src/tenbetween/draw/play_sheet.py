"""A play on paper: one court a step, two or four a page, with what happens and the provisions each step shows.

Black and white, tagged (PDF/UA-1), each court described in words. No text of the page is smaller than 14 pt.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from tenbetween.draw.fonts import LINE, wrap
from tenbetween.draw.play_steps import step_svg, step_words
from tenbetween.draw.play_svg import view_of
from tenbetween.draw.play_tracks import known_play
from tenbetween.draw.scene_svg import FLAT, View
from tenbetween.draw.sheet import PAPERS, _set
from tenbetween.draw.words import DEFERENCE
from tenbetween.errors import Problem, UsageError, one_of
from tenbetween.scene import Play
from tenbetween.situation import Basket

if TYPE_CHECKING:
    from tenbetween.draw.scene_shade import Field
    from tenbetween.sight import Sight

PER_PAGE = (1, 2, 4)
_SIDES, _UPRIGHT, _GUTTER, _ROW_GAP = 72.0, 28.0 + 70.0, 16.0, 14.0
KEY = "Square: Referee. Ring: Umpire. L lead, T trail. Disc: team a. Six sides: team b. Dashed way: official. Dotted: ball."

LOOKS = (
    "Looks: whole line with a ring, open; dashed with a bar, straight-lined; dotted with a square round who screens, "
    "screened; thin dash and dot, too far, too close or out of the field of view.",
    "Box: whole edges from the lead and broken ones from the trail take in all players; dots, held by both; dashed "
    "ring, outside the box; double ring, behind an official.",
)
SHADE = (
    "Floor: plain, both see it; strokes rising to the right, the lead only; falling, the trail only; dark, nobody.",
)


class Cell(NamedTuple):
    """How the page is cut: lying or not, columns, and room for one step."""

    flipped: bool
    columns: int
    wide: float
    high: float


def play_sheet_pdf(
    play: Play,
    *,
    per_page: int = 2,
    paper: str = "us-letter",
    half: Basket | bool | None = None,
    turned: bool = False,
    sights: Sequence[Sight | None] = (),
    shades: Sequence[Field | None] = (),
    only: int | None = None,
) -> bytes:
    """Return a play as a tagged PDF, one court a step; sights and shades, one for each step, are drawn in.

    ``only`` prints a single step (0 is the first).

    >>> from tenbetween.draw.golden_scenes import golden_play
    >>> play_sheet_pdf(golden_play())[:5]
    b'%PDF-'

    Raises:
        UsageError: no such paper, another number of courts on a page, or a play without steps.
    """
    data = sheet_data(
        play,
        per_page=per_page,
        paper=paper,
        half=half,
        turned=turned,
        sights=sights,
        shades=shades,
        only=only,
    )
    return _set("play_sheet.typ", data, "pdf")[0]


def play_sheet_svg(play: Play, **how: Any) -> tuple[str, ...]:
    """Return the pages as SVG."""
    return tuple(page.decode() for page in _set("play_sheet.typ", sheet_data(play, **how), "svg"))


def sheet_data(
    play: Play,
    *,
    per_page: int = 2,
    paper: str = "us-letter",
    half: Basket | bool | None = None,
    turned: bool = False,
    sights: Sequence[Sight | None] = (),
    shades: Sequence[Field | None] = (),
    only: int | None = None,
) -> dict[str, Any]:
    """Return everything the sheet prints, as plain values."""
    _check(play, per_page, paper)
    play = known_play(play)
    view = view_of(play, half, turned, "print", 8.0)._replace(compact=True)
    head = [row for row in (play.line, play.note) if row]
    cell = _cell(view, per_page, paper, play, head)
    view = view._replace(scale=_scale(play, view, cell))
    steps = [
        _step(play, number, view, _nth(sights, number), _nth(shades, number))
        for number in (range(len(play.steps)) if only is None else (only,))
    ]
    pages = [steps[i : i + per_page] for i in range(0, len(steps), per_page)]
    return {
        "title": play.title or "A play",
        "words": " ".join(step.says for step in play.steps),
        "head": head,
        "paper": paper,
        "flipped": cell.flipped,
        "columns": cell.columns,
        "key": KEY,
        "caution": f"{FLAT} {DEFERENCE}" if any(sights) or len(shades) else f"Training aid. {DEFERENCE}",
        "pages": pages,
        "marks": [*(LOOKS if any(sights) else ()), *(SHADE if len(shades) else ())],
    }


def _check(play: Play, per_page: int, paper: str) -> None:
    if paper not in PAPERS:
        raise UsageError(one_of("paper", paper, tuple(PAPERS)))
    if per_page not in PER_PAGE:
        raise UsageError(one_of("per page", per_page, tuple(str(one) for one in PER_PAGE)))
    if not play.steps:
        raise UsageError(Problem("play", "no step", "at least one", "add a step"))


def _nth(given: Sequence[Any], number: int) -> Any:
    return given[number] if number < len(given) else None


def _step(play: Play, number: int, view: View, sight: Sight | None, shade: Field | None) -> dict[str, Any]:
    step = play.steps[number]
    frame = view.frame(step.scene)
    return {
        "number": number + 1,
        "says": step.says,
        "rests": _rests(step.provisions),
        "svg": step_svg(play, number, view, sight=sight, shade=shade),
        "wide": frame.size[0],
        "alt": step_words(play, number, sight),
    }


def _rests(provisions: Sequence[str]) -> str:
    return f"Provisions: {', '.join(provisions)}" if provisions else ""


def _cell(view: View, per_page: int, paper: str, play: Play, head: list[str]) -> Cell:
    """Return how the page is cut: half courts lie side by side, whole ones stand below one another."""
    short, long = PAPERS[paper]
    flipped = per_page == 1 or (per_page == 2 and view.half is not None)
    wide, high = (long, short) if flipped else (short, long)
    columns = 2 if per_page == 4 or (per_page == 2 and flipped) else 1
    rows = per_page // columns
    across = (wide - _SIDES - (columns - 1) * _GUTTER) / columns
    top = sum(len(wrap(row, 14, wide - _SIDES)) * 14 * LINE + 6 for row in head)
    top += len(wrap(play.title or "A play", 20, wide - _SIDES, bold=True)) * 20 * LINE + 14
    upright = (high - _UPRIGHT - top - (rows - 1) * _ROW_GAP) / rows
    return Cell(flipped, columns, across, upright - 4)


def _scale(play: Play, view: View, cell: Cell) -> float:
    """Return the scale at which the picture and the longest words fit a cell."""
    high = cell.high - max(_words_high(play, number, cell.wide) for number in range(len(play.steps)))
    low, top = 1.5, 12.0
    for _ in range(24):
        middle = (low + top) / 2
        size = view._replace(scale=middle).frame(play.steps[0].scene).size
        low, top = (middle, top) if size[0] <= cell.wide and size[1] <= high else (low, middle)
    return low


def _words_high(play: Play, number: int, across: float) -> float:
    step = play.steps[number]
    lines = [len(wrap(words, 14, across - 28)) for words in (step.says, _rests(step.provisions))]
    return sum(lines) * 14 * LINE + 14
