"""Is every row watched? Each is given another outcome in memory, and something must notice.

What may notice is a readable case, or the plain opinion on one situation of each class (at the defaults, and at
every other value of one setting). A row that can be changed unnoticed is a row nobody has checked.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from typing import Any

import pytest
from msgspec import structs

from tenbetween.book import Book, Provision, Row, decide, load_book
from tenbetween.book.check import SPOT_SETTINGS, other_values
from tenbetween.book.space import fresh_tables, groups, variants
from tenbetween.book.vocabulary import TABLES
from tenbetween.situation import Reason, Ruling, Situation
from tests.book.reading import EDITIONS, answer_of, missed, read_cases, situation_of
from tests.book.test_against_plain import PLAIN_VALUES, differences, unsettled

WATCHED = ("restart", "spot", "run", "roles", "who", "delivery", "stands", "count", "clock", "chop", "lines", "sides")
ENOUGH = 8
"""Situations tried for one row, besides every readable case that rests on it."""
MEANS_THE_SAME: dict[str, tuple[str, ...]] = {
    "who.quarter/referee": ("referee",),
    "who.jump-ball/referee": ("referee_as_trail",),
}
"""Another outcome that comes to the same on the floor, so that nothing could notice it."""

Watcher = tuple[Situation, dict[str, Any] | None, dict[str, str]]
"""A situation with the expectation of a case, or without one for the plain opinion, and its settings."""


def reasons_of(ruling: Ruling) -> Iterator[Reason]:
    """All reasons of a ruling and of the throw-in after its throws."""
    yield from ruling.reasons
    if ruling.after_free_throws is not None:
        yield from reasons_of(ruling.after_free_throws)


def silent_rows(book: Book, table: str) -> list[str]:
    return [f"{p.id}/{r.name}" for p, r in book.rows(table) if not r.then]


@lru_cache(maxsize=4)
def watchers(edition: str) -> dict[str, list[Watcher]]:
    """For each row the cases that rest on it, then up to ``ENOUGH`` situations of the space that do."""
    book, found = load_book(edition), dict[str, list[Watcher]]()
    for watcher in (*_cases(edition), *_space(book)):
        for row in rows_met(book, watcher[0]):
            watching = found.setdefault(row, [])
            if watcher[1] is not None or len(watching) < ENOUGH:
                watching.append(watcher)
    return found


def rows_met(book: Book, s: Situation) -> set[str]:
    """The rows that decide a situation, and those that say a part is open or has no meaning there."""
    tables = fresh_tables_of(book, s.settings)
    for index in tables.values():
        index.hits.clear()
    decide(book, s)
    return {index.ids[n] for index in tables.values() for hit in index.hits.values() for n in hit.live}


def fresh_tables_of(book: Book, settings: tuple[tuple[str, str], ...]) -> Any:
    from tenbetween.book.index import tables_of

    return tables_of(book, settings)


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
    for name, value in other_values(book):
        if value in PLAIN_VALUES.get(name, {}):
            setting = ((name, value),)
            for s in _one_of_each_class(book, setting) if name in SPOT_SETTINGS else usual:
                options = tuple(variants(s))
                said = {name: PLAIN_VALUES[name][value]}
                for option in {options[0], options[len(options) // 2], options[-1]}:
                    yield structs.replace(option, settings=setting), None, said


def _one_of_each_class(book: Book, setting: tuple[tuple[str, str], ...]) -> list[Situation]:
    found = groups(book, fresh_tables(book, setting))[0].values()
    return [g.example for g in found if not g.after_throws and g.example.stopped_by != "change_of_control"]


# ---- changing one row


def other_outcomes(row: Row) -> Iterator[tuple[str, Row]]:
    """Every way to give one field of a row another allowed value, with that value's name."""
    fields = next(t for t in TABLES if t.name == row.table).fields
    if not row.then:
        flipped = {"not_covered": "", "not_needed": True} if row.not_covered else {"not_covered": "changed", "not_needed": False}
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
    if expect is not None:
        return bool(missed(expect, answer_of(decide(book, s))))
    return bool(unsettled(differences(book, s, settings), set()))


# ---- the guard


@pytest.mark.parametrize("table", WATCHED)
@pytest.mark.parametrize("edition", EDITIONS)
def test_no_row_can_change_unnoticed(edition: str, table: str) -> None:
    book, watching = load_book(edition), watchers(edition)
    unguarded, tried = [], 0
    for provision, row in book.rows(table):
        name = f"{provision.id}/{row.name}"
        for said, changed in other_outcomes(row):
            if said in MEANS_THE_SAME.get(name, ()):
                continue
            tried += 1
            other = with_row(book, provision, changed)
            if not any(noticed(other, w) for w in watching.get(name, ())):
                unguarded.append(f"{name} ({row.file}:{row.line}) may say {said!r}: {len(watching.get(name, ()))} look at it")
    assert tried or table == "stands"
    assert not unguarded, "\n".join([f"{len(unguarded)} of {tried} changes go unnoticed:", *unguarded])


@pytest.mark.parametrize("edition", EDITIONS)
def test_the_watchers_find_nothing_wrong_with_the_book_as_it_stands(edition: str) -> None:
    book = load_book(edition)
    for row, watching in watchers(edition).items():
        assert not [w for w in watching if noticed(book, w)], row
