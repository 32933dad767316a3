"""Is every row watched? Each is given another outcome in memory, and something must notice.

What may notice is a readable case, or the plain opinion on one situation of each class (at the defaults, and at
every other value of one setting). A row that can be changed unnoticed is a row nobody has checked.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from functools import lru_cache
from typing import Any

import pytest
from msgspec import structs
from tests.book.reading import EDITIONS, answer_of, missed, read_cases, situation_of
from tests.book.test_against_plain import PLAIN_VALUES, differences, unsettled

from tenbetween.book import Book, Provision, Row, decide, load_book
from tenbetween.book.check import SPOT_SETTINGS, other_values
from tenbetween.book.index import tables_of
from tenbetween.book.space import fresh_tables, groups, variants
from tenbetween.book.vocabulary import TABLES
from tenbetween.errors import TenbetweenError
from tenbetween.situation import Situation

WATCHED = (
    "restart",
    "spot",
    "run",
    "roles",
    "who",
    "delivery",
    "stands",
    "count",
    "clock",
    "chop",
    "lines",
    "sides",
)
ENOUGH = 2
"""Situations of each kind (cause, direction, caller) tried for one row, besides every case that rests on it."""
NO_CALLER = ("caller_is_trail",)
MEANS_THE_SAME: dict[str, tuple[str, ...]] = {
    # no throws follow, so there is no ball that could be live after them
    **dict.fromkeys(
        ("restart.throw-in/no-throws", "restart.throw-in/before-bonus", "start.jump-ball/toss"), ("live",)
    ),
    **dict.fromkeys(("fiba.restart/throw-in", "fiba.restart/before-penalty", "fiba.restart/toss"), ("live",)),
    **dict.fromkeys(("move.change-of-control/goes-on", "fiba.restart/goes-on"), ("live",)),
    # the Referee handles it and is trail then, at a start of either kind
    **dict.fromkeys(("who.quarter/referee", "fiba.who/quarter"), ("referee",)),
    **dict.fromkeys(("who.jump-ball/referee", "fiba.jump-ball/who"), ("referee_as_trail",)),
    **dict.fromkeys(("start.roles/quarter", "fiba.roles/quarter"), ("tosser_becomes_trail",)),
    **dict.fromkeys(("start.roles/jump-ball", "fiba.jump-ball/roles"), ("referee_is_trail",)),
    # a place on the boundary is its own nearest point, and one inside the floor is brought to the nearest
    **dict.fromkeys(
        ("where.out-of-bounds/as-crossed", "fiba.where/out-of-bounds"), ("nearest", "same_place")
    ),
    **dict.fromkeys(("where.pending/same-spot", "fiba.where/due-throw-in"), ("as_crossed", "nearest")),
    **dict.fromkeys(
        ("where.pending/warning-or-wrong-team", "where.pending/right-team-there"), ("as_crossed", "nearest")
    ),
    **dict.fromkeys(("where.nearest/plain", "fiba.where/nearest"), ("same_place", "as_crossed")),
    "fiba.technical/where-interrupted": ("as_crossed", "same_place"),
    "where.nearest/division-line": ("same_place", "as_crossed", "nearest_by_corner_to_elbow"),
    # where the whole end line may be run there is no spot, whatever kind was meant
    "fiba.where/due-end-line": ("division_line_opposite", "front_throw_in_line"),
    "fiba.where/goal": ("division_line_opposite",),
    # the lead gives the throws, so his partner is the trail
    "clock.chop/throws": ("partner",),
    # without a foul nobody called it: "the caller is trail" then trades the roles as well
    **dict.fromkeys(("who.lead-line-high/exchange", "who.trail-line-low/goes-down"), NO_CALLER),
    **dict.fromkeys(("who.lead-line-high/after-time-out", "who.end-line-far/partners-exchange"), NO_CALLER),
    # the ball turns round: traded once more is nobody changing
    "who.quick-reversal/own-sideline": ("nobody_changes",),
    # a trail who called it and is trail keeps his role whichever way the ball goes
    **dict.fromkeys(
        ("switch.throws/caller-stays-trail", "switch.throws/always-exchange-dead"), ("nobody_changes",)
    ),
}
"""Another outcome that comes to the same on the floor, so that nothing could notice it; each is proved to."""

Watcher = tuple[Situation, dict[str, Any] | None, dict[str, str]]
"""A situation with the expectation of a case, or without one for the plain opinion, and its settings."""


@lru_cache(maxsize=4)
def watchers(edition: str) -> dict[str, list[Watcher]]:
    """For each row the cases that rest on it, then a few situations of each kind in the space that do."""
    book, found, kinds = load_book(edition), dict[str, list[Watcher]](), Counter[tuple[str, ...]]()
    for watcher in (*_cases(edition), *_space(book)):
        s, expect, _ = watcher
        resting = rows_resting_on(book, s.settings)
        for row in rows_met(book, s):
            if expect is None and s.settings and row not in resting:
                continue
            kind = (row, s.stopped_by, str(s.ball_to), str(s.called_by), str(s.settings))
            kinds[kind] += expect is None
            if expect is not None or kinds[kind] <= ENOUGH:
                found.setdefault(row, []).append(watcher)
    return found


def rows_met(book: Book, s: Situation) -> set[str]:
    """The rows that decide a situation, and those that say a part is open or has no meaning there."""
    tables = tables_of(book, s.settings)
    tables.alike.clear()
    for index in tables.values():
        index.hits.clear()
    decide(book, s)
    return {index.ids[n] for index in tables.values() for hit in index.hits.values() for n in hit.live}


def rows_resting_on(book: Book, settings: tuple[tuple[str, str], ...]) -> set[str]:
    """The rows that apply only at one of these settings' values."""
    names = {name for name, _ in settings}
    return {
        f"{p.id}/{r.name}" for p in book.provisions.values() for r in p.rows if names & {f for f, _ in r.when}
    }


def _cases(edition: str) -> Iterator[Watcher]:
    for _, case in read_cases():
        if case["situation"]["edition"] == edition:
            yield situation_of(case["situation"]), case["expect"], {}


def _space(book: Book) -> Iterator[Watcher]:
    usual = _one_of_each_class(book, ())
    for number, s in enumerate(usual):
        options = tuple(variants(s))
        for step in (0, 5, 9):
            yield options[(number + step) % len(options)], None, {}
    for turn, (name, value) in enumerate(other_values(book)):
        if value in PLAIN_VALUES.get(name, {}):
            setting, said = ((name, value),), {name: PLAIN_VALUES[name][value]}
            asked = _one_of_each_class(book, setting) if name in SPOT_SETTINGS else usual[turn % 2 :: 2]
            for number, s in enumerate(asked):
                options = tuple(variants(s))
                yield structs.replace(options[number % len(options)], settings=setting), None, said


def _one_of_each_class(book: Book, setting: tuple[tuple[str, str], ...]) -> list[Situation]:
    found = groups(book, fresh_tables(book, setting))[0].values()
    return [g.example for g in found if not g.after_throws and g.example.stopped_by != "change_of_control"]


# ---- changing one row


def other_outcomes(row: Row) -> Iterator[tuple[str, Row]]:
    """Every way to give one field of a row another allowed value, with that value's name."""
    fields = next(t for t in TABLES if t.name == row.table).fields
    if not row.then:
        flipped = (
            {"not_covered": "", "not_needed": True}
            if row.not_covered
            else {"not_covered": "changed", "not_needed": False}
        )
        yield "not needed" if row.not_covered else "not covered", structs.replace(row, **flipped)
    for field, value in row.then:
        for other in _others(fields[field], value):
            then = tuple((f, other if f == field else v) for f, v in row.then)
            yield str(other), structs.replace(row, then=then)


def _others(allowed: Any, value: Any) -> Iterator[Any]:
    if allowed is bool:
        yield not value
    elif allowed is int:
        yield value + 1
    elif allowed is str:
        yield value + " or so"
    elif isinstance(value, tuple):
        yield value[:1]
    else:
        yield from (one for one in allowed if one != value)


def with_row(book: Book, provision: Provision, row: Row) -> Book:
    """The book with one row of a provision taken for another of the same name."""
    rows = tuple(row if r.name == row.name else r for r in provision.rows)
    provisions = book.provisions | {provision.id: structs.replace(provision, rows=rows)}
    return structs.replace(book, provisions=provisions)


def noticed(book: Book, watcher: Watcher) -> bool:
    """Whether one watcher finds something wrong with a book."""
    s, expect, settings = watcher
    try:
        if expect is not None:
            return bool(missed(expect, answer_of(decide(book, s))))
        return bool(unsettled(differences(book, s, settings), set()))
    except (TenbetweenError, KeyError):  # an outcome this floor or edition has no place for
        return True


# ---- the guard


@pytest.mark.parametrize("table", WATCHED)
@pytest.mark.parametrize("edition", EDITIONS)
def test_no_row_can_change_unnoticed(edition: str, table: str) -> None:
    book, watching = load_book(edition), watchers(edition)
    unguarded, tried, idle = [], 0, []
    for provision, row in book.rows(table):
        name = f"{provision.id}/{row.name}"
        looking = watching.get(name, [])
        for said, changed in other_outcomes(row):
            tried += 1
            other = with_row(book, provision, changed)
            seen, excused = any(noticed(other, w) for w in looking), said in MEANS_THE_SAME.get(name, ())
            if not seen and not excused:
                unguarded.append(
                    f"{name} ({row.file}:{row.line}) may say {said!r}: {len(looking)} look at it"
                )
            if seen and excused:
                idle.append(f"{name} with {said!r} is noticed after all: it does not mean the same")
    assert tried
    assert not idle, "\n".join(idle)
    assert not unguarded, "\n".join([f"{len(unguarded)} of {tried} changes go unnoticed:", *unguarded])


@pytest.mark.parametrize("edition", EDITIONS)
def test_the_watchers_find_nothing_wrong_with_the_book_as_it_stands(edition: str) -> None:
    book = load_book(edition)
    for row, watching in watchers(edition).items():
        assert not [w for w in watching if noticed(book, w)], row
