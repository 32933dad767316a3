"""Small layers that plant one fault in a book, to see whether it is found."""

from __future__ import annotations

from tenbetween.book import Book, LayerText, load_book

HEAD = '[layer]\nid = "{id}"\ntitle = "A memo from the invented Larkin Valley"\nauthority = "{authority}"\nentered = 2026-11-03\n\n'


def layer(body: str, id: str = "memo", authority: str = "association") -> LayerText:
    """A layer with a head and this body."""
    return LayerText(id, HEAD.format(id=id, authority=authority) + body, f"layers/{id}.toml")


def with_layer(body: str, edition: str = "us-hs-2025") -> Book:
    """An edition with one layer of this body on top."""
    return load_book(edition, (layer(body),))


def row(provision: str, name: str, table: str, when: str, then: str, rest: str = "") -> str:
    """One row of one provision as text."""
    return (
        f'[[provision]]\nid = "{provision}"\nsentence = "When it happens, do this."\n\n[[provision.row]]\nname = "{name}"\n'
        f'table = "{table}"\nwhen = {{ {when} }}\nthen = {{ {then} }}\n{rest}\n'
    )
