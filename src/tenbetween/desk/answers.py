"""Answers: which books are at hand, and what one of them says to a situation.

A shelf keeps layer texts by id and hands out books; what is in force on a day is chosen here. Knows no file.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from msgspec import Struct, structs

from tenbetween.book import Book, LayerText, decide, edition_head, edition_on, editions, layer_head, load_book
from tenbetween.book.index import settings_with
from tenbetween.errors import BookError, Problem, one_of
from tenbetween.situation import Ruling, Situation


class Shelf(Struct, frozen=True):
    """The layer texts at hand, by id; editions are always at hand."""

    layers: Mapping[str, LayerText] = {}

    @classmethod
    def of(cls, texts: Iterable[LayerText]) -> Shelf:
        """Return a shelf with these layers.

        >>> Shelf.of([LayerText("k", "", "k.toml")]).layers["k"].where
        'k.toml'
        """
        return cls({text.id: text for text in texts})

    def book(self, edition: str, layers: Iterable[str] = ()) -> Book:
        """Return the book of an edition with layers on top.

        >>> Shelf().book("us-hs-2025").id
        'us-hs-2025'

        Raises:
            BookError: no such edition or layer, or a text with faults.
        """
        return load_book(edition, self.texts(layers))

    def texts(self, layers: Iterable[str]) -> tuple[LayerText, ...]:
        """Return the texts of layers by id.

        Raises:
            BookError: a layer that is not at hand, with those that are.
        """
        wanted = tuple(layers)
        unknown = [one for one in wanted if one not in self.layers]
        if unknown:
            raise BookError([self._no_layer(one) for one in unknown])
        return tuple(self.layers[one] for one in wanted)

    def _no_layer(self, one: str) -> Problem:
        if self.layers:
            return one_of("layers", one, tuple(self.layers))
        return Problem(
            "layers", repr(one), "a layer at hand; there is none", "name its file, or its workbench"
        )

    def with_layer(self, text: LayerText) -> Shelf:
        """Return the shelf with one layer added or put in the place of its older text."""
        return Shelf({**self.layers, text.id: text})


def answer(shelf: Shelf, situation: Situation) -> Ruling:
    """Return what the situation's edition, layers and settings say to it.

    >>> goal = Situation(edition="us-hs-2025", attacking="right", stopped_by="made_goal", lead_side="table")
    >>> answer(Shelf(), goal).delivery
    'none'

    Raises:
        BookError: an edition, layer or setting that is not there.
    """
    book = book_for(shelf, situation)
    settings_with(book, situation.settings)
    return decide(book, situation)


def book_for(shelf: Shelf, situation: Situation) -> Book:
    """Return the book a situation asks for; a layer out of force on its date is left out.

    Raises:
        BookError: an edition or layer that is not there.
    """
    layers = [one for one in situation.layers if in_force(shelf, one, situation.date)]
    return shelf.book(situation.edition, layers)


def in_force(shelf: Shelf, layer: str, day: str | None) -> bool:
    r"""Return whether a layer is in force on an ISO day; without a day, or without dates, it is.

    >>> dated = '[layer]\nid="k"\ntitle="K"\nauthority="state"\nfrom=2025-11-03\n'
    >>> in_force(Shelf.of([LayerText("k", dated, "k.toml")]), "k", "2025-11-02")
    False
    """
    head = layer_head(shelf.texts([layer])[0])
    if day is None:
        return True
    return (not head.from_date or head.from_date <= day) and (not head.to_date or day <= head.to_date)


def edition_for(day: str, asked: str | None = None) -> str:
    """Return the edition asked for, by id or short name, or the one in force on a day.

    >>> edition_for("2026-01-05"), edition_for("2026-01-05", "2022-23"), edition_for("2026-01-05", "us-hs-2024")
    ('us-hs-2025', 'us-hs-2022', 'us-hs-2023')

    Raises:
        BookError: no such edition.
    """
    if not asked:
        return edition_on(day)
    if asked in ("us-hs-2024", "2024-25", "24-25"):
        return "us-hs-2023"
    by_name = {head.short: head.id for head in editions()} | {head.short[2:]: head.id for head in editions()}
    chosen = by_name.get(asked, asked)
    return edition_head(chosen).id


def by_each_edition(shelf: Shelf, situation: Situation) -> tuple[tuple[str, Ruling], ...]:
    """Return what every edition for the same floor says to a situation, each with its title.

    Layers stay on where they are meant for that edition; settings an edition does not have are left out.

    >>> start = Situation(edition="us-hs-2025", attacking="left", stopped_by="period_start", ball_to="same")
    >>> [title for title, _ in by_each_edition(Shelf(), start)][0]
    'U.S. high school 2022-23'
    """
    court = edition_head(situation.edition).court
    said = []
    for head in editions():
        if head.court == court:
            book = shelf.book(head.id, situation.layers)
            kept = tuple(
                (n, v) for n, v in situation.settings if n in book.settings and v in book.settings[n].values
            )
            asked = structs.replace(situation, edition=head.id, settings=kept)
            said.append((head.title, decide(book, asked)))
    return tuple(said)
