"""Answers of every edition that differ in what a scene shows, taken from the whole counted space, and their mirror images."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from msgspec.structs import replace

from tenbetween.book import decide, edition_ids, load_book
from tenbetween.book.space import fresh_tables, groups, variants
from tenbetween.court import Court, mirror_basket, mirror_point, mirror_side
from tenbetween.scene.posted import court_under, kind_of_restart
from tenbetween.situation import Ruling, Situation

Key = tuple[Any, ...]


def shown_by(ruling: Ruling) -> Key:
    """What of a ruling a scene can show."""
    s = ruling.situation
    places = tuple(sorted((role, post.name) for role, post in (ruling.places or {}).items()))
    where = (kind_of_restart(ruling), ruling.spot, s.attacking, s.lead_side, ruling.lead_side_after)
    return (
        *where,
        ruling.roles_after,
        s.pressure,
        s.at if ruling.restart == "play_goes_on" else None,
        places,
    )


@lru_cache(maxsize=1)
def distinct_rulings() -> tuple[Ruling, ...]:
    """One answer for each restart, spot, sides, roles and places there are, of every edition."""
    found: dict[Key, Ruling] = {}
    for edition in edition_ids():
        book = load_book(edition)
        for group in groups(book, fresh_tables(book))[0].values():
            for situation in () if group.after_throws else variants(group.example):
                if situation.clock != "running":
                    ruling = decide(book, situation)
                    found.setdefault((edition, *shown_by(ruling)), ruling)
    return tuple(found.values())


def turned(ruling: Ruling, *, ends: bool, sides: bool) -> Ruling:
    """The book's answer to the mirror image of a situation."""
    s = ruling.situation
    court: Court = court_under(ruling)
    image: Situation = replace(
        s,
        attacking=mirror_basket(s.attacking, ends=ends),
        lead_side=s.lead_side and mirror_side(s.lead_side, sides=sides),
        at=s.at and mirror_point(court, s.at, ends=ends, sides=sides),
    )
    return decide(load_book(s.edition), image)
