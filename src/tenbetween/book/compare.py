"""What changed this season: two books asked the same counted space, and every answer that differs, grouped.

A change is one of four kinds: another answer, newly covered, no longer covered, or the same answer for
another reason. Each is said with the rows that decided before and now, how many situations, and one of them.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Literal, cast

from msgspec import Struct

from tenbetween.book.check import situation_words
from tenbetween.book.index import Desk
from tenbetween.book.load import Book
from tenbetween.book.provision import digest
from tenbetween.book.space import answer_of, first_stage, fresh_tables, key_of, settled, variants
from tenbetween.errors import BookError, Problem
from tenbetween.situation import Ruling, Situation

Kind = Literal["changed", "newly covered", "no longer covered", "same answer, other reason"]
PARTS = (
    "restart", "spot", "may_run_end_line", "roles_after", "administers", "lead_side_after", "delivery", "stands", "count",
    "clock_starts", "chop", "lines", "watches", "places", "waiting",
)  # fmt: skip


class Change(Struct, frozen=True):
    """One group of answers that moved in the same way."""

    kind: Kind
    part: str
    before: str
    after: str
    row_before: str
    row_after: str
    count: int
    example: Situation
    follows: bool = False
    """True when both rows stand unchanged in both books: the answer moved because an earlier one did."""

    @property
    def words(self) -> str:
        """The example as a person reads it."""
        return situation_words(self.example)


class Comparison(Struct, frozen=True):
    """All changes between two books, most situations first, and how many situations were asked."""

    before: str
    after: str
    situations: int
    changes: tuple[Change, ...]
    only_before: tuple[str, ...]
    """Provisions that only the first book has."""
    only_after: tuple[str, ...]
    reworded: tuple[str, ...]
    """Provisions whose words differ while their meaning does not."""


def compare(before: Book, after: Book) -> Comparison:
    """Return what differs between two books on the same floor.

    >>> from tenbetween.book import load_book
    >>> book = load_book("fiba-2po")
    >>> compare(book, book).changes
    ()

    Raises:
        BookError: the books are for different floors.
    """
    if before.court_kind != after.court_kind:
        raise BookError(
            Problem(
                "compare",
                f"{before.id} and {after.id}",
                "two editions for the same floor",
                "compare editions of one rule family",
            )
        )
    tables = fresh_tables(before), fresh_tables(after)
    pairs, total = _pairs(before, after, tables)
    found: dict[tuple[str, ...], list[Any]] = {}
    for count, example, is_after, same_spot in pairs.values():
        for situation in variants(example):
            total += count
            old = answer_of(before, tables[0], situation, is_after)
            new = answer_of(after, tables[1], situation, is_after)
            for change in _differences(old, new, same_spot):
                found.setdefault(change, [0, situation])[0] += count
    same_rows = _rows(before) & _rows(after)
    changes = [_change(key, count, example, same_rows) for key, (count, example) in found.items()]
    changes.sort(key=lambda c: (_ORDER[c.kind], c.follows, -c.count, c.part, c.before))
    only_before, only_after, reworded = _provisions(before, after)
    return Comparison(before.title, after.title, total, tuple(changes), only_before, only_after, reworded)


def _change(key: tuple[str, ...], count: int, example: Situation, same_rows: set[tuple[str, str]]) -> Change:
    kind, part, was, now, row_was, row_now = key
    unmoved = {row for row, _ in same_rows}
    follows = all(row in unmoved for row in (row_was, row_now) if row)
    return Change(cast("Kind", kind), part, was, now, row_was, row_now, count, example, follows)


def _rows(book: Book) -> set[tuple[str, str]]:
    """Every row with the digest of what it asks and decides, at the book's settings."""
    values = {s.name: s.value for s in book.settings.values()}
    return {
        (
            f"{p.id}/{r.name}",
            digest([r.when, r.then, r.overrides, r.not_covered, [values.get(f, "") for f, _ in r.when]]),
        )
        for p in book.provisions.values()
        for r in p.rows
    }


_ORDER: dict[str, int] = {
    "changed": 0,
    "newly covered": 1,
    "no longer covered": 2,
    "same answer, other reason": 3,
}
_Pair = tuple[int, Situation, bool, bool]


def _pairs(before: Book, after: Book, tables: tuple[Desk, Desk]) -> tuple[dict[Any, _Pair], int]:
    pairs: dict[Any, _Pair] = {}
    for situation, is_after in first_stage(after):
        old = settled(before, tables[0], situation, is_after)
        new = settled(after, tables[1], situation, is_after)
        same = old.placed is new.placed or (
            old.placed is not None and new.placed is not None and old.placed.at == new.placed.at
        )
        rows = tuple(r.row for r in (*old.reasons, *new.reasons))
        key = (key_of(old), key_of(new), same, rows)
        count, example, _, _ = pairs.get(key, (0, situation, is_after, same))
        pairs[key] = (count + 1, example, is_after, same)
    return pairs, 0


def _differences(old: Ruling, new: Ruling, same_spot: bool) -> Iterator[tuple[str, ...]]:
    rows_old = {r.decides: r.row for r in old.reasons}
    rows_new = {r.decides: r.row for r in new.reasons}
    for part in PARTS:
        was, now = said(old, part), said(new, part)
        if part == "spot" and was == now and not same_spot:
            now += ", another place"
        kind = _kind(was, now, rows_old.get(part, ""), rows_new.get(part, ""))
        if kind:
            yield kind, part, was, now, rows_old.get(part, ""), rows_new.get(part, "")


def _kind(was: str, now: str, row_was: str, row_now: str) -> str:
    if was == now:
        return "same answer, other reason" if row_was != row_now else ""
    if was == OPEN:
        return "newly covered"
    return "no longer covered" if now == OPEN else "changed"


OPEN = "not covered"


def said(ruling: Ruling, part: str) -> str:
    """Return one part of a ruling in a few plain words, for a handout.

    >>> said(Ruling(situation=Situation(edition="e", attacking="left", stopped_by="injury"), restart=None), "spot")
    'nothing'
    """
    if any(n.part == part for n in ruling.not_covered):
        return OPEN
    if part == "spot":
        return ruling.line.replace("_", " ") if ruling.line else "nothing"
    value = getattr(ruling, part)
    words = _WORDS.get(part)
    text = words(value) if words and value is not None else "nothing" if value is None else str(value)
    return text.replace("_", " ")


_WORDS: dict[str, Any] = {
    "may_run_end_line": lambda v: "may run the end line" if v else "a spot",
    "roles_after": lambda v: f"old lead is {v.old_lead}, old trail is {v.old_trail}",
    "administers": lambda v: f"{v.was} gives it as {v.now}" if v.was != v.now else f"{v.now} gives it",
    "count": lambda v: (
        f"{v.seconds} s by {v.by or 'nobody named'}, {'shown' if v.visible else 'silent' if v.visible is False else 'shown or not'}"
    ),
    "chop": " and ".join,
    "lines": lambda v: (
        ", ".join(f"{line}: {role}" for line, role in sorted(v.items()) if "sideline" not in line)
        + ("; lead's sideline split" if "lead_below_trail_above" in v.values() else "")
    ),
    "watches": lambda v: "; ".join(f"{role}: {whom}" for role, whom in v.items()),
    "places": lambda v: "; ".join(f"{role}: {post.name}" for role, post in sorted(v.items())),
    "waiting": lambda v: "; ".join(f"{who}: {post.name}" for who, post in sorted(v.items())),
}


def _provisions(before: Book, after: Book) -> tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]:
    old, new = before.provisions, after.provisions
    reworded = tuple(
        sorted(
            i
            for i in old.keys() & new.keys()
            if old[i].meaning_digest == new[i].meaning_digest and old[i].words_digest != new[i].words_digest
        )
    )
    return tuple(sorted(old.keys() - new.keys())), tuple(sorted(new.keys() - old.keys())), reworded
