"""The totals kept with each edition are what a fresh count gives; when one moved, the branch is shown."""

from __future__ import annotations

import pytest
from tests.book.planting import row, with_layer

from tenbetween.book import edition_ids, load_book
from tenbetween.book.check import check, moved, totals_text
from tenbetween.book.kept import count_path, fresh_totals, kept_totals, moved_since_kept
from tenbetween.book.space import first_stage, variants
from tenbetween.errors import BookError


@pytest.mark.parametrize("edition", edition_ids())
def test_the_kept_totals_are_what_a_fresh_count_gives(edition: str) -> None:
    branches = moved_since_kept(edition)
    assert not branches, (
        f"{edition}: the answers moved. If they should have, keep the new totals in {count_path(edition)}.\n"
        + "\n".join(branches)
    )
    assert kept_totals(edition) == fresh_totals(edition)


@pytest.mark.parametrize("edition", edition_ids())
def test_every_part_of_an_answer_is_counted_for_every_situation(edition: str) -> None:
    book = load_book(edition)
    totals = check(book).totals
    after_throws = sum(len(tuple(variants(s))) for s, after in first_stage(book) if after)
    asked = totals.decided["restart"] + totals.decided.get("restart not covered", 0)
    assert asked + after_throws == totals.situations, (
        "only a throw-in after throws is not asked what restarts play"
    )
    assert sum(totals.rows.values()) == sum(
        n for part, n in totals.decided.items() if "not covered" not in part
    )


def test_a_changed_row_shows_the_branch_that_moved() -> None:
    before = totals_text(check(load_book("us-hs-2025")).totals)
    body = row(
        "who.front-end-line",
        "lead",
        "who",
        'restart = "throw_in", line = "end_line", part = "frontcourt"',
        'handles = "trail"',
    )
    after = totals_text(check(with_layer(body)).totals)
    branches = moved(before, after)
    assert any(line.startswith("administers: lead: ") for line in branches)
    assert any(line.startswith("administers: trail: ") for line in branches)
    assert any(line.startswith("digest: ") for line in branches)
    assert not any(line.startswith(("restart", "may_run_end_line")) for line in branches), (
        "only what follows moved"
    )


def test_reworded_text_moves_nothing() -> None:
    reworded = '[[provision]]\nid = "who.front-end-line"\nsentence = "On the front-court end line it is the lead who hands it."\n'
    assert totals_text(check(with_layer(reworded, "us-hs-2025")).totals) == kept_totals("us-hs-2025")


def test_nothing_kept_is_said_with_what_to_do(tmp_path: object, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tenbetween.book.kept.EDITIONS", tmp_path)
    with pytest.raises(BookError) as caught:
        kept_totals("us-hs-2025")
    assert caught.value.problems[0].where == "editions/us-hs-2025/counts.txt"
    assert caught.value.problems[0].do == "count the edition and keep the result"
