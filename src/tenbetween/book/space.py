"""The counted space: every situation an edition can be asked, one per place cell, in classes that decide alike.

Two situations whose features are the same get the same answer, so they are counted together and asked once.
Knows which fields go with which cause; decides nothing itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product
from typing import Any

from msgspec import Struct, structs

from tenbetween.book.decide import ONLY_TEAM, Case
from tenbetween.book.index import Desk, build_tables
from tenbetween.book.load import Book
from tenbetween.court import Court, boundary_cells, court_of, place_cells
from tenbetween.situation import CAUSES, Cause, PointUm, Ruling, Situation

FOULS: tuple[Cause, ...] = (
    "common_foul",
    "player_control_foul",
    "team_control_foul",
    "shooting_foul",
    "intentional_foul",
    "flagrant_foul",
    "technical_foul",
    "double_foul",
)
_ON_THE_LINE = ("out_of_bounds", "throw_in_violation", "plane_warning", "wrong_team")
_NO_PLACE = ("made_goal", "made_last_free_throw", "period_start", "game_start", "extra_period_start")
_SAME = (
    "plane_warning",
    "time_out",
    "inadvertent_whistle",
    "injury",
    "double_foul",
    "shooting_foul",
    "period_start",
)
_OTHER = (
    "made_goal", "made_last_free_throw", "player_control_foul", "team_control_foul", "throw_in_violation", "change_of_control",
)  # fmt: skip
_MAY_BE_DUE = (
    "violation", "common_foul", "plane_warning", "wrong_team", "time_out", "inadvertent_whistle", "injury", "double_foul",
)  # fmt: skip
_CURVES = {
    "us-hs": ("arc", "corner_to_elbow", "corner_to_elbow_over_circle", "nearest"),
    "fiba": ("nearest",),
}
STAGE = (
    "cause", "ball_to", "pending", "bonus", "place", "inside_arc", "inside_corner_to_elbow", "inside_over_semicircle",
    "after_throws", "restart", "throws", "line", "part", "level", "sideline_of", "direction",
)  # fmt: skip
"""Features that are settled once the spot is; everything else of an answer follows from these and the variants."""

Key = tuple[str, ...]


class Group(Struct):
    """Situations that are alike up to the spot: how many, and one of them."""

    count: int
    example: Situation
    after_throws: bool


def first_stage(book: Book, court: Court | None = None) -> Iterator[tuple[Situation, bool]]:
    """Yield every situation of the space up to what follows the spot (caller, pressure and clock still open)."""
    floor = court or court_of(book.court_kind)
    inside = place_cells(floor, _CURVES[floor.kind])
    edge = boundary_cells(floor)
    for cause in CAUSES:
        for at, ball_to, pending, bonus in product(*_fields(cause, inside, edge)):
            for attacking, lead_side in product(("left", "right"), ("table", "opposite")):
                yield (
                    Situation(
                        edition=book.id,
                        attacking=attacking,  # type: ignore[arg-type]
                        stopped_by=cause,
                        lead_side=lead_side,  # type: ignore[arg-type]
                        at=at,
                        ball_to=ball_to,
                        pending=pending,
                        bonus=bonus,
                    ),
                    False,
                )
    yield from _after_throws(book, inside)


def _after_throws(book: Book, inside: tuple[PointUm, ...]) -> Iterator[tuple[Situation, bool]]:
    """Yield the throw-ins that follow throws with a dead ball; the lead was table side for the throws."""
    for cause in ("intentional_foul", "flagrant_foul", "technical_foul"):
        for at, attacking in product(inside, ("left", "right")):
            yield (
                Situation(
                    edition=book.id,
                    attacking=attacking,  # type: ignore[arg-type]
                    stopped_by=cause,
                    lead_side="table",
                    at=at,
                    ball_to="same",
                ),
                True,
            )


def _fields(cause: str, inside: tuple[PointUm, ...], edge: tuple[PointUm, ...]) -> tuple[Any, Any, Any, Any]:
    """The values of place, ball, pending throw-in and bonus that go with a cause."""
    at: tuple[PointUm | None, ...] = (
        edge if cause in _ON_THE_LINE else (None,) if cause in _NO_PLACE else inside
    )
    if cause in ("game_start", "extra_period_start"):
        ball: tuple[str | None, ...] = (None,)
    else:
        ball = (ONLY_TEAM[cause],) if cause in ONLY_TEAM else ("same", "other")
    pending = (None, "spot", "run_end_line") if cause in _MAY_BE_DUE else (None,)
    return at, ball, pending, (False, True) if cause == "common_foul" else (False,)


def variants(situation: Situation) -> Iterator[Situation]:
    """Yield a situation with every caller, pressure and clock that may go with it."""
    callers = (None, "lead", "trail") if situation.stopped_by in FOULS else (None,)
    for called_by, pressure, clock in product(callers, (False, True), ("stopped", "running")):
        yield structs.replace(situation, called_by=called_by, pressure=pressure, clock=clock)


def settled(book: Book, tables: Desk, situation: Situation, after_throws: bool) -> Case:
    """Return a situation walked as far as its spot."""
    case = Case(book, situation, tables, after_throws=after_throws)
    case.to_the_spot()
    return case


def key_of(case: Case) -> Key:
    """Return the features settled by the spot, as the name of a class."""
    f = case.f
    return tuple([f[name] for name in STAGE])


def groups(book: Book, tables: Desk) -> tuple[dict[Key, Group], list[str]]:
    """Return the classes of the space with their sizes, and impossible spots as readable lines."""
    found: dict[Key, Group] = {}
    wrong: list[str] = []
    for situation, after in first_stage(book):
        case = settled(book, tables, situation, after)
        key = key_of(case)
        group = found.get(key)
        if group is None:
            found[key] = Group(1, situation, after)
        else:
            group.count += 1
        if case.placed is not None and case.placed.kind != "own_end_line":
            wrong += spot_faults(case)
    return found, wrong


def spot_faults(case: Case) -> list[str]:
    """Return what is impossible about a spot: off the lines, in the lane, behind the board."""
    placed, court = case.placed, case.court
    if placed is None:
        return []
    x, y = placed.at
    on_end, on_side = x in (0, court.length), y in (0, court.width)
    faults = []
    if not (on_end or on_side):
        faults.append(f"the spot {placed.at} is on no boundary: {case.s}")
    barred = court.lane_half if court.kind == "us-hs" else court.backboard_half
    if on_end and not on_side and abs(2 * y - court.width) < 2 * barred:
        faults.append(f"the end-line spot {placed.at} is where no spot may be: {case.s}")
    return faults


def answer_of(book: Book, tables: Desk, situation: Situation, after_throws: bool) -> Ruling:
    """Return the ruling with tables of one's own."""
    return Case(book, situation, tables, after_throws=after_throws).ruling()


def fresh_tables(book: Book, asked: tuple[tuple[str, str], ...] = ()) -> Desk:
    """Return tables nobody has looked into yet, so that what was used can be told afterwards."""
    return build_tables(book, asked)
