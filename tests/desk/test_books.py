"""Looking after the book: lists, search, handout, first texts of a layer and an edition."""

from __future__ import annotations

import pytest

from tenbetween.book import LayerText, edition_ids, load_book
from tenbetween.desk import books, games, library
from tenbetween.desk.answers import Shelf, answer, book_for
from tenbetween.errors import BookError, FormatError
from tenbetween.situation import Situation
from tenbetween.units import FOOT

SHELF = Shelf()
WITH_DATE = '[layer]\nid="memo"\ntitle="Memo"\nauthority="state"\nfrom=2025-11-03\n[[set]]\nname="chop"\nvalue="both_everywhere"\n'


def test_the_list_has_every_edition_with_its_settings() -> None:
    listed = {b["id"]: b for b in books.book_list(SHELF)}
    assert set(listed) == set(edition_ids())
    assert listed["us-hs-2025"]["settings"]["backcourt_spots"]["set_by"] == "us-hs-2025"


def test_the_handout_says_first_what_a_rule_moved_and_then_what_followed() -> None:
    page = library.comparison_page(books.compare_books(SHELF, "us-hs-2023", "us-hs-2025"))
    changed = [c for c in page["changes"] if c["kind"] == "changed"]
    first_follow = next(n for n, c in enumerate(changed) if c["follows"])
    assert {c["part"] for c in changed[:first_follow]} == {"spot"}
    assert all(c["follows"] for c in changed[first_follow:])
    assert page["situations"] > 300_000


def test_editions_for_two_floors_cannot_be_compared() -> None:
    with pytest.raises(BookError) as fault:
        books.compare_books(SHELF, "us-hs-2025", "fiba-2po")
    assert "one rule family" in fault.value.problems[0].do


@pytest.mark.parametrize("authority", ["state", "association", "own"])
def test_the_first_text_of_a_layer_loads_on_every_edition_it_is_for(authority: str) -> None:
    text = books.new_layer("memo-12", "Memo 12", authority, "2025-11-11")
    for edition in edition_ids():
        book = load_book(edition, (LayerText("memo-12", text, "layers/memo-12.toml"),))
        assert bool(book.layers) == edition.startswith("us-hs")


@pytest.mark.parametrize("bad", ["", "Memo 12", "../memo", "x" * 60, "memo.toml"])
def test_a_layer_id_that_cannot_be_a_file_name_is_refused(bad: str) -> None:
    with pytest.raises(BookError):
        books.new_layer(bad, "t", "own", "2025-11-11")


def test_a_new_edition_builds_on_one_that_is_there() -> None:
    with pytest.raises(BookError):
        books.new_edition("us-hs-2026", "U.S. high school 2026-27", "us-hs-1999", "2026-07-01")
    assert 'court = "us-hs"' in books.new_edition(
        "us-hs-2026", "U.S. high school 2026-27", "us-hs-2025", "2026-07-01"
    )


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("baseline", "give.front-end-line"),
        ("half-court line quarter", "where.quarter"),
        ("plane", "stop.plane"),
        ("key spot", "where.lane"),
    ],
)
def test_search_takes_the_words_people_say(typed: str, found: str) -> None:
    assert found in [p["id"] for p in library.search(SHELF.book("us-hs-2025"), typed)]


def test_search_for_nothing_or_nonsense_finds_nothing() -> None:
    assert library.search(SHELF.book("us-hs-2025"), "   ") == []
    assert library.search(SHELF.book("us-hs-2025"), "zebra") == []


def test_a_provision_shows_where_it_was_entered_and_changed() -> None:
    page = library.provision_page(SHELF, SHELF.book("us-hs-2025"), "where.four-spots")
    assert [h["change"] for h in page["history"]] == ["first entered", "meaning changed"]
    assert page["rows"][0]["where"].endswith(tuple(str(n) for n in range(10)))
    with pytest.raises(BookError) as fault:
        library.provision_page(SHELF, SHELF.book("us-hs-2025"), "where.four-spot")
    assert "where.four-spots" in fault.value.problems[0].do


@pytest.mark.parametrize(("day", "chops"), [("2025-11-02", 1), ("2025-11-03", 2), (None, 2)])
def test_a_layer_counts_from_its_day_on(day: str | None, chops: int) -> None:
    shelf = Shelf.of([LayerText("memo", WITH_DATE, "layers/memo.toml")])
    asked = Situation(
        edition="us-hs-2025", attacking="right", stopped_by="out_of_bounds", at=(44 * FOOT, 0), ball_to="same",
        lead_side="opposite", layers=("memo",), date=day,
    )  # fmt: skip
    assert len(answer(shelf, asked).chop or ()) == chops
    assert bool(book_for(shelf, asked).layers) == (chops == 2)


def test_the_reason_names_who_set_a_setting() -> None:
    shelf = Shelf.of([LayerText("memo", WITH_DATE, "layers/memo.toml")])
    base = Situation(
        edition="us-hs-2025", attacking="right", stopped_by="made_goal", lead_side="table", clock="stopped"
    )
    from msgspec import structs

    by_layer = answer(shelf, structs.replace(base, layers=("memo",)))
    asked = answer(shelf, structs.replace(base, layers=("memo",), settings=(("chop", "administering only"),)))
    setting = {r.decides: r.setting for r in by_layer.reasons}["chop"]
    assert setting == "chop=both_everywhere (memo)"
    assert {r.decides: r.setting for r in asked.reasons}["chop"] == "chop=administering_only (this request)"


def test_a_game_with_mistakes_names_every_row_and_walks_nothing() -> None:
    text = "why,ball\nstart of game,White\nfowl,Dark\nout,Purple\n"
    page = games.walk_page(SHELF, "us-hs-2025", (), text, "Broken")
    assert page["rows"] == []
    assert {p["where"].split()[1].rstrip(":,") for p in page["problems"]} >= {"3", "4"}
    with pytest.raises(FormatError):
        games.walk_text(SHELF, text, today="2025-11-11")
