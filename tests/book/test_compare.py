"""What changed this season: nothing against itself, turned round when swapped, and exactly what was changed."""

from __future__ import annotations

from functools import lru_cache

import pytest
from tests.book.planting import row, with_layer
from tests.book.reading import EDITIONS

from tenbetween.book import Book, decide, load_book
from tenbetween.book.compare import Change, Comparison, compare
from tenbetween.book.space import fresh_tables, groups, variants
from tenbetween.errors import BookError

TURNED = {
    "changed": "changed",
    "newly covered": "no longer covered",
    "no longer covered": "newly covered",
    "same answer, other reason": "same answer, other reason",
}


@lru_cache(maxsize=8)
def compared(before: str, after: str) -> Comparison:
    return compare(load_book(before), load_book(after))


@pytest.mark.parametrize("edition", EDITIONS)
def test_an_edition_against_itself_is_empty(edition: str) -> None:
    same = compared(edition, edition)
    assert (same.changes, same.only_before, same.only_after, same.reworded) == ((), (), (), ())
    assert same.situations > 100_000


@pytest.mark.parametrize(("before", "after"), [("us-hs-2022", "us-hs-2023"), ("us-hs-2023", "us-hs-2025")])
def test_swapped_every_change_is_turned_round(before: str, after: str) -> None:
    there, back = compared(before, after), compared(after, before)
    assert _turned(there.changes) == sorted(_plain(c) for c in back.changes)
    assert (there.only_before, there.only_after) == (back.only_after, back.only_before)
    assert there.reworded == back.reworded
    assert there.situations == back.situations


def _plain(c: Change) -> tuple[object, ...]:
    return (c.kind, c.part, _bare(c.before), _bare(c.after), c.row_before, c.row_after, c.count, c.follows)


def _turned(changes: tuple[Change, ...]) -> list[tuple[object, ...]]:
    return sorted(
        (
            TURNED[c.kind],
            c.part,
            _bare(c.after),
            _bare(c.before),
            c.row_after,
            c.row_before,
            c.count,
            c.follows,
        )
        for c in changes
    )


def _bare(said: str) -> str:
    """Without the note that a spot on the same line is another place, which is said of the second book only."""
    return said.removesuffix(", another place")


def test_one_changed_outcome_changes_the_answers_of_that_row_and_no_others() -> None:
    text = row(
        "give.sideline",
        "bounce",
        "delivery",
        'restart = "throw_in", line = ["sideline", "division_line"]',
        'delivery = "hand"',
    )
    before = load_book("us-hs-2025")
    found = compare(before, with_layer(text)).changes
    assert {(c.kind, c.part, c.before, c.after, c.row_before) for c in found} == {
        ("changed", "delivery", "bounce", "hand", "give.sideline/bounce")
    }
    assert sum(c.count for c in found) == _resting_on(before, "give.sideline/bounce")


def _resting_on(book: Book, wanted: str) -> int:
    """How many situations of the space one row decides, counted class by class."""
    total = 0
    for group in groups(book, fresh_tables(book))[0].values():
        for s in variants(group.example):
            if group.after_throws:
                total += group.count * (wanted in _rows_after_throws(book, s))
            else:
                total += group.count * (wanted in {r.row for r in decide(book, s).reasons})
    return total


def _rows_after_throws(book: Book, s: object) -> set[str]:
    from tenbetween.book.space import answer_of

    return {r.row for r in answer_of(book, fresh_tables(book), s, True).reasons}  # type: ignore[arg-type]


def test_a_withdrawn_row_is_no_longer_covered_and_covered_again_the_other_way() -> None:
    before = load_book("us-hs-2025")
    gone = with_layer('[[withdraw]]\nrow = "give.sideline/bounce"\nwhy = "being argued about"\n')
    assert {(c.kind, c.part) for c in compare(before, gone).changes} == {("no longer covered", "delivery")}
    assert {(c.kind, c.part) for c in compare(gone, before).changes} == {("newly covered", "delivery")}


def test_the_same_answer_by_another_row_is_said_to_be_that() -> None:
    rest = 'overrides = ["give.sideline"]\nbecause = "a memo says so"\n'
    text = row(
        "give.memo",
        "sideline",
        "delivery",
        'restart = "throw_in", line = "sideline"',
        'delivery = "bounce"',
        rest,
    )
    found = compare(load_book("us-hs-2025"), with_layer(text))
    assert {(c.kind, c.part, c.row_before, c.row_after) for c in found.changes} == {
        ("same answer, other reason", "delivery", "give.sideline/bounce", "give.memo/sideline")
    }
    assert found.only_after == ("give.memo",)


def test_other_words_alone_are_reworded_and_nothing_else() -> None:
    text = '[[provision]]\nid = "give.sideline"\nsentence = "On a sideline, bounce it."\n'
    found = compare(load_book("us-hs-2025"), with_layer(text))
    assert (found.changes, found.reworded) == ((), ("give.sideline",))
    assert (found.only_before, found.only_after) == ((), ())


def test_from_2023_to_2025_the_arc_decides_and_the_back_court_has_spots() -> None:
    changes = compared("us-hs-2023", "us-hs-2025").changes
    lines = {
        (c.before, c.after, c.row_before, c.row_after)
        for c in changes
        if c.part == "spot" and c.kind == "changed"
    }
    assert ("sideline", "end line", "where.four-spots/outside", "where.four-spots/inside") in lines
    assert ("end line", "sideline", "where.four-spots/inside", "where.four-spots/outside") in lines
    back = {c.row_after for c in changes if c.part == "spot" and c.row_before == "where.nearest/plain"}
    assert back == {"where.four-spots-back/inside", "where.four-spots-back/outside"}
    assert not [c for c in changes if c.part in ("restart", "clock_starts")], (
        "what has nothing to do with the spot"
    )
    assert all(c.follows == (c.part != "spot") for c in changes), "all the rest only follows from the spot"


def test_the_example_of_every_change_shows_that_change() -> None:
    before, after = load_book("us-hs-2023"), load_book("us-hs-2025")
    shown = 0
    for change in compared("us-hs-2023", "us-hs-2025").changes:
        if change.part == "spot" and change.kind == "changed" and change.example.at is not None:
            old, new = decide(before, change.example), decide(after, change.example)
            rows = [
                next(r.row for r in one.reasons if r.decides == "spot")
                for one in (old, new)
                if one.spot or one.line
            ]
            if change.row_before in rows:
                assert change.row_after in rows, change.words
                assert (old.spot, old.line) != (new.spot, new.line), change.words
                shown += 1
    assert shown > 3


def test_what_a_row_says_itself_comes_before_what_follows_and_the_largest_first() -> None:
    order = list(TURNED)
    changes = compared("us-hs-2023", "us-hs-2025").changes
    ranks = [(order.index(c.kind), c.follows, -c.count) for c in changes]
    assert ranks == sorted(ranks)


def test_books_for_different_floors_are_not_compared() -> None:
    with pytest.raises(BookError) as caught:
        compared("us-hs-2025", "fiba-2po")
    assert "one rule family" in caught.value.problems[0].do
