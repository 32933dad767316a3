"""The book: editions and layers as text a trainer could correct, and the answer they give."""

from __future__ import annotations

from tenbetween.book.decide import decide
from tenbetween.book.load import (
    Book,
    edition_head,
    edition_ids,
    edition_on,
    editions,
    layer_head,
    lineage,
    load_book,
)
from tenbetween.book.provision import EditionHead, LayerHead, LayerText, Provision, Row, Setting

__all__ = [
    "Book",
    "EditionHead",
    "LayerHead",
    "LayerText",
    "Provision",
    "Row",
    "Setting",
    "decide",
    "edition_head",
    "edition_ids",
    "edition_on",
    "editions",
    "layer_head",
    "lineage",
    "load_book",
]
