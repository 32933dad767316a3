"""Every readable case put to the book: a sentence a trainer would say, a situation, and what must come out."""

from __future__ import annotations

from typing import Any

import pytest
from tests.book.reading import BOOK_VALUES, EDITIONS, answer_of, missed, read_cases, situation_of
from tests.oracle.plain import SETTING_VALUES

from tenbetween.book import decide, load_book

CASES = read_cases()


@pytest.mark.parametrize("case", [case for _, case in CASES], ids=[says for says, _ in CASES])
def test_the_book_answers_as_the_case_says(case: dict[str, Any]) -> None:
    situation = situation_of(case["situation"])
    ruling = decide(load_book(situation.edition), situation)
    differs = missed(case["expect"], answer_of(ruling))
    rows = [f"{r.decides}: {r.row}" for r in ruling.reasons]
    assert not differs, "\n".join([case["says"], case["follows"], *differs, *rows])


@pytest.mark.parametrize("case", [case for _, case in CASES], ids=[says for says, _ in CASES])
def test_every_decided_part_of_the_case_has_a_reason(case: dict[str, Any]) -> None:
    situation = situation_of(case["situation"])
    ruling = decide(load_book(situation.edition), situation)
    decided = {r.decides for r in ruling.reasons}
    for part in (
        "restart",
        "delivery",
        "administers",
        "roles_after",
        "count",
        "clock_starts",
        "chop",
        "lines",
    ):
        if getattr(ruling, part) is not None:
            assert part in decided, f"{part} was answered and no row says why"
    assert all(r.provision and r.row.startswith(r.provision + "/") and r.edition for r in ruling.reasons)
    assert "decide" in ruling.caution


def test_every_case_has_a_sentence_of_its_own_and_names_what_it_follows() -> None:
    says = [case["says"] for _, case in CASES]
    assert len(says) == len(set(says))
    assert all(case["follows"].strip() for _, case in CASES)
    assert len(CASES) >= 120


def test_the_words_for_setting_values_are_complete_both_ways() -> None:
    assert {name: set(values) for name, values in SETTING_VALUES.items()} == {
        name: set(values) for name, values in BOOK_VALUES.items()
    }
    for edition in EDITIONS:
        for name, setting in load_book(edition).settings.items():
            if name in BOOK_VALUES:
                assert set(BOOK_VALUES[name].values()) <= set(setting.values), f"{edition} {name}"
