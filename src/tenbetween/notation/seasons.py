"""The names of editions as people say them: ids, seasons, short forms, and which floor each is played on.

Knows the names only; what an edition says is the book's.
"""

from __future__ import annotations

from msgspec import Struct

from tenbetween.court import CourtKind


class EditionName(Struct, frozen=True):
    """One edition: its id, the kind of floor, and every other name it goes by."""

    id: str
    court: CourtKind
    names: tuple[str, ...]


EDITIONS: tuple[EditionName, ...] = (
    EditionName("us-hs-2022", "us-hs", ("2022-23", "22-23", "2022-2023")),
    # The text of 2023-24 held for two seasons.
    EditionName(
        "us-hs-2023",
        "us-hs",
        ("us-hs-2024", "2023-24", "23-24", "2023-2024", "2024-25", "24-25", "2024-2025"),
    ),
    EditionName("us-hs-2025", "us-hs", ("2025-26", "25-26", "2025-2026")),
    EditionName("fiba-2po", "fiba", ("fiba",)),
)
_BY_NAME = {name: one for one in EDITIONS for name in (one.id, *one.names)}
EDITION_NAMES: tuple[str, ...] = tuple(_BY_NAME)


def edition_named(name: str) -> str | None:
    """Return the id of an edition by any of its names, None when no edition is called so.

    >>> edition_named("us-hs-2024"), edition_named("25-26"), edition_named("FIBA"), edition_named("1999-00")
    ('us-hs-2023', 'us-hs-2025', 'fiba-2po', None)
    """
    found = _BY_NAME.get(name.strip().lower())
    return found.id if found else None


def court_kind(edition: str) -> CourtKind:
    """Return which kind of floor an edition is played on; an edition nobody named here has a U.S. floor.

    >>> court_kind("fiba-2po"), court_kind("us-hs-2025")
    ('fiba', 'us-hs')
    """
    found = _BY_NAME.get(edition)
    return found.court if found else "us-hs"
