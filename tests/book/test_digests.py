"""Meaning and words have a digest each: rewording moves one, a changed answer the other, and nothing moves both unasked."""

from __future__ import annotations

import pytest
from tests.book.planting import row, with_layer
from tests.book.reading import EDITIONS

from tenbetween.book import Provision, load_book
from tenbetween.book.provision import digest

ID = "who.front-end-line"
LEAD = 'restart = "throw_in", line = "end_line", part = "frontcourt"'


def before() -> Provision:
    return load_book("us-hs-2025").provisions[ID]


@pytest.mark.parametrize("field", ["title", "sentence", "why", "wrong", "said", "signal"])
def test_other_words_move_the_digest_of_words_only(field: str) -> None:
    book = with_layer(f'[[provision]]\nid = "{ID}"\n{field} = "Said in another way."\n')
    after = book.provisions[ID]
    assert after.words_digest != before().words_digest
    assert after.meaning_digest == before().meaning_digest
    assert book.digest == load_book("us-hs-2025").digest


@pytest.mark.parametrize(
    ("when", "then", "rest"),
    [
        (LEAD, 'handles = "trail"', ""),
        (LEAD + ', pressure = "no"', 'handles = "lead"', ""),
        (LEAD, 'handles = "lead"', 'overrides = ["who.throws"]\nbecause = "planted"\n'),
    ],
)
def test_another_meaning_moves_the_digest_of_meaning_and_of_the_book(when: str, then: str, rest: str) -> None:
    text = row(ID, "lead", "who", when, then, rest).replace('sentence = "When it happens, do this."\n', "")
    book = with_layer(text)
    after = book.provisions[ID]
    assert after.words_digest == before().words_digest
    assert after.meaning_digest != before().meaning_digest
    assert book.digest != load_book("us-hs-2025").digest


def test_the_same_row_written_again_moves_no_digest() -> None:
    text = row(ID, "lead", "who", LEAD, 'handles = "lead"').replace(
        'sentence = "When it happens, do this."\n', ""
    )
    book = with_layer(text)
    assert (book.provisions[ID].meaning_digest, book.digest) == (
        before().meaning_digest,
        load_book("us-hs-2025").digest,
    )


def test_a_row_withdrawn_and_a_setting_set_move_the_digest_of_the_book() -> None:
    plain = load_book("us-hs-2025").digest
    withdrawn = with_layer(f'[[withdraw]]\nrow = "{ID}/lead"\nwhy = "being argued about"\n')
    chosen = with_layer('[[set]]\nname = "tie"\nvalue = "trails_side"\n')
    assert len({plain, withdrawn.digest, chosen.digest}) == 3


def test_the_order_in_which_words_stand_in_a_file_does_not_matter() -> None:
    one = row("give.x", "x", "delivery", 'line = "sideline", restart = "jump_ball"', 'delivery = "hand"')
    other = row("give.x", "x", "delivery", 'restart = "jump_ball", line = ["sideline"]', 'delivery = "hand"')
    assert with_layer(one).digest == with_layer(other).digest


def test_every_provision_of_every_edition_has_two_digests_of_its_own_kind() -> None:
    for edition in EDITIONS:
        book = load_book(edition)
        words = [p.words_digest for p in book.provisions.values()]
        assert len(set(words)) == len(words), "two provisions say the very same"
        assert all(len(p.meaning_digest) == len(p.words_digest) == 16 for p in book.provisions.values())


def test_a_digest_is_of_plain_values_and_does_not_see_their_order() -> None:
    assert digest({"a": 1, "b": [2, 3]}) == digest({"b": (2, 3), "a": 1})
    assert digest([1, 2]) != digest([2, 1])
    assert digest("é") != digest("e")
