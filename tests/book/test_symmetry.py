"""A game played the other way, or seen from the other side, has the same answers turned; and there always is one.

Left and right turn exactly, for every row. Table and opposite turn for every row that does not name the table;
those that do are listed, and each is shown to.
"""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import example, given, settings
from msgspec import structs
from tests.book.reading import EDITIONS
from tests.book.situations import situations

from tenbetween.book import decide, load_book
from tenbetween.book.check import NAMES_THE_TABLE as SPOT_ROWS
from tenbetween.book.space import first_stage
from tenbetween.court import NAMES_THE_TABLE as PLACES_BY_THE_TABLE
from tenbetween.court import Court, court_of, mirror_basket, mirror_feet, mirror_point, mirror_side
from tenbetween.situation import Post, Ruling, Situation
from tenbetween.units import FOOT

OTHER_LINE = {"table_sideline": "opposite_sideline", "opposite_sideline": "table_sideline"}
EXCHANGED = str.maketrans({"\0": "table", "\1": "opposite"})


def names_the_table(edition: str) -> set[str]:
    """Rows whose spot or sides are fixed to the table, or that send somebody to a place that is."""
    book = load_book(edition)
    by_outcome = {
        f"{p.id}/{r.name}"
        for table in ("sides", "places", "waiting")
        for p, r in book.rows(table)
        if {"trail_opposite_the_table", *PLACES_BY_THE_TABLE} & {str(v) for _, v in r.then}
    }
    return by_outcome | set(SPOT_ROWS)


def court_for(s: Situation) -> Court:
    return court_of(load_book(s.edition).court_kind, s.floor)


def turned(s: Situation, *, ends: bool = False, sides: bool = False) -> Situation:
    """The same situation with ends or sides exchanged."""
    return structs.replace(
        s,
        attacking=mirror_basket(s.attacking, ends=ends),
        lead_side=mirror_side(s.lead_side, sides=sides) if s.lead_side else None,
        at=mirror_point(court_for(s), s.at, ends=ends, sides=sides) if s.at else None,
    )


def shown(r: Ruling, court: Court, *, ends: bool = False, sides: bool = False) -> dict[str, Any]:
    """Every part of a ruling, turned; points within a thousandth of a foot."""
    parts: dict[str, Any] = {
        name: getattr(r, name)
        for name in (
            "restart", "line", "court_part", "may_run_end_line", "delivery", "administers", "switch", "roles_after", "stands",
            "count", "clock_starts", "chop", "watches", "duties", "moved_ft",
        )
    }  # fmt: skip
    parts["spot"] = mirror_point(court, r.spot, ends=ends, sides=sides) if r.spot else None
    parts["attacking_after"] = mirror_basket(r.attacking_after, ends=ends) if r.attacking_after else None
    parts["lead_side_after"] = mirror_side(r.lead_side_after, sides=sides) if r.lead_side_after else None
    parts["lines"] = (
        {OTHER_LINE.get(k, k) if sides else k: v for k, v in r.lines.items()} if r.lines else None
    )
    parts["rows"] = [reason.row for reason in r.reasons]
    parts["open"] = [(n.part, n.why) for n in r.not_covered]
    parts["steps"] = [(s.by, other_side_said(s.act) if sides else s.act, s.signal, s.moves) for s in r.steps]
    if r.near is not None:
        other = r.near.other_side_answer
        spot = mirror_point(court, other.spot, ends=ends, sides=sides) if other.spot else None
        parts["near"] = (r.near.line, r.near.distance_ft, other.line, Closely(*spot) if spot else None)
    for name, posts in (("places", r.places), ("waiting", r.waiting)):
        parts[name] = {who: _post(p, court, ends, sides) for who, p in (posts or {}).items()}
    after = r.after_free_throws
    parts["after_free_throws"] = shown(after, court, ends=ends, sides=sides) if after else None
    return parts


class Closely(tuple[int, int]):
    """A point a hand's breadth of a hair from another is the same: two micrometres, by which a step may round."""

    def __new__(cls, x: int, y: int) -> Closely:
        return super().__new__(cls, (x, y))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, tuple) and all(abs(a - b) <= 2 for a, b in zip(self, other, strict=True))

    __hash__ = tuple.__hash__


def _post(post: Post, court: Court, ends: bool, sides: bool) -> Any:
    def point(at: tuple[float, float]) -> tuple[float, float]:
        x, y = mirror_feet(court, at, ends=ends, sides=sides)
        return round(x, 3) + 0.0, round(y, 3) + 0.0

    return post.name, point(post.at), sorted(map(point, post.zone))


def other_side_said(act: str) -> str:
    """An act as said from the other side of the court."""
    return (
        act.replace("table", "\0").replace("opposite", "\1").replace("\0", "opposite").replace("\1", "table")
    )


def all_rows(r: Ruling) -> set[str]:
    """The rows of a ruling and of the throw-in after its throws."""
    return {reason.row for reason in r.reasons} | (
        all_rows(r.after_free_throws) if r.after_free_throws else set()
    )


HELD = Situation(
    edition="us-hs-2025", attacking="left", stopped_by="held_ball", lead_side="table", ball_to="other"
)


@settings(max_examples=1500)
@given(situations(outside=2 * FOOT, roles_known=False))
@example(structs.replace(HELD, at=(42 * FOOT, 25 * FOOT)))
@example(structs.replace(HELD, at=(20 * FOOT, 25 * FOOT), edition="us-hs-2023"))
def test_left_and_right_turn_exactly_for_every_row(s: Situation) -> None:
    book, court = load_book(s.edition), court_for(s)
    assert shown(decide(book, turned(s, ends=True)), court) == shown(decide(book, s), court, ends=True)


@settings(max_examples=1500)
@given(situations(outside=2 * FOOT))
@example(structs.replace(HELD, at=(42 * FOOT, 25 * FOOT)))
def test_table_and_opposite_turn_for_every_row_that_does_not_name_the_table(s: Situation) -> None:
    book, court = load_book(s.edition), court_for(s)
    straight = decide(book, s)
    if all_rows(straight) & TABLE_ROWS[s.edition]:
        return
    assert shown(decide(book, turned(s, sides=True)), court) == shown(straight, court, sides=True)


TABLE_ROWS = {edition: names_the_table(edition) for edition in EDITIONS}


@pytest.mark.parametrize("edition", EDITIONS)
def test_every_row_said_to_name_the_table_does(edition: str) -> None:
    book, met = load_book(edition), set[str]()
    for s, after_throws in first_stage(book):
        if after_throws or (s.at and s.at[0] % FOOT):
            continue
        straight = decide(book, s)
        rows = all_rows(straight) & TABLE_ROWS[edition]
        if rows - met:
            court = court_for(s)
            if shown(decide(book, turned(s, sides=True)), court) != shown(straight, court, sides=True):
                met |= rows
    at_defaults = {
        f"{p.id}/{r.name}"
        for p in book.provisions.values()
        for r in p.rows
        if all(book.settings[f].value in allowed for f, allowed in r.when if f in book.settings)
    }
    assert TABLE_ROWS[edition] & at_defaults <= met


@settings(max_examples=1500)
@given(situations(outside=40 * FOOT, roles_known=False))
def test_there_is_always_an_answer_or_a_reason_why_not(s: Situation) -> None:
    ruling = decide(load_book(s.edition), s)
    open_parts = {n.part for n in ruling.not_covered}
    assert ruling.situation == s
    assert ruling.restart is not None or "restart" in open_parts
    assert all(n.why for n in ruling.not_covered)
    assert "both apply" not in str(ruling.not_covered)
    assert "nothing entered covers this" not in str(ruling.not_covered)
    assert ruling.covered == (not open_parts)
    if ruling.restart == "throw_in" and ruling.spot is None and not ruling.may_run_end_line:
        assert {"spot", "restart"} & open_parts
    if ruling.spot is not None:
        court = court_for(s)
        assert ruling.spot[0] in (0, court.length) or ruling.spot[1] in (0, court.width)
        assert ruling.line is not None


@settings(max_examples=300)
@given(situations(outside=2 * FOOT, roles_known=False))
def test_asking_again_gives_the_very_same_answer(s: Situation) -> None:
    assert decide(load_book(s.edition), s) == decide(load_book(s.edition), s)
