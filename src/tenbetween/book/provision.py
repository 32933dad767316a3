"""Provision, Row, Setting, Edition and Layer heads: what a trainer teaches, as frozen values.

Knows no files and decides nothing.
"""

from __future__ import annotations

import hashlib
import json
from typing import Any, Literal

from msgspec import Struct

Authority = Literal["edition", "state", "association", "own"]


class Row(Struct, frozen=True):
    """One condition and outcome of a provision; the name is unique under it."""

    name: str
    table: str
    when: tuple[tuple[str, tuple[str, ...]], ...]
    """Feature and allowed values, sorted by feature; an absent feature may be anything."""
    then: tuple[tuple[str, Any], ...]
    overrides: tuple[str, ...] = ()
    because: str = ""
    not_covered: str = ""
    """Why nothing is entered for this, when the row only says so."""
    not_needed: bool = False
    """True when the part has no meaning here (no count at a jump ball)."""
    edition: str = ""
    layer: str = ""
    file: str = ""
    line: int = 0
    replaces: tuple[str, ...] = ()
    """Rows of an older text or higher authority that this one took the place of."""


class Provision(Struct, frozen=True):
    """What a trainer teaches in one sentence, with why, what goes wrong, what is said and signalled."""

    id: str
    group: str
    title: str
    sentence: str
    why: str = ""
    wrong: str = ""
    said: str = ""
    signal: str = ""
    source: str = ""
    confidence: str = "practice"
    status: str = "settled"
    section: str = ""
    edition: str = ""
    layer: str = ""
    file: str = ""
    line: int = 0
    rows: tuple[Row, ...] = ()

    @property
    def meaning_digest(self) -> str:
        """Digest of conditions, outcomes and overrides: moves only when an answer could move."""
        return digest(
            [[r.table, r.when, r.then, r.overrides, r.not_covered, r.not_needed] for r in self.rows]
        )

    @property
    def words_digest(self) -> str:
        """Digest of everything that is only said."""
        return digest([self.title, self.sentence, self.why, self.wrong, self.said, self.signal, self.section])


class Setting(Struct, frozen=True):
    """A named choice where practice differs: its values, its default here, and who set it."""

    name: str
    title: str
    what: str
    values: tuple[str, ...]
    value: str
    set_by: str = ""
    """Id of the edition or layer, or ``this request``, that chose the value."""
    source: str = "common practice, no source"
    confidence: str = "practice"
    because: str = ""


class EditionHead(Struct, frozen=True):
    """Who an edition is: id, titles, what it builds on, which floor, and when it is in force."""

    id: str
    title: str
    short: str
    court: str
    based_on: str = ""
    from_date: str = ""
    to_date: str = ""
    note: str = ""


class LayerHead(Struct, frozen=True):
    """Who a layer is: id, title, whose authority, and when it was entered."""

    id: str
    title: str
    authority: Authority
    entered: str = ""
    from_date: str = ""
    to_date: str = ""
    editions: tuple[str, ...] = ()
    """Beginnings of the edition ids it is meant for; empty: all."""


class LayerText(Struct, frozen=True):
    """A layer as text, before it is read; ``where`` names it in errors."""

    id: str
    text: str
    where: str


def digest(value: Any) -> str:
    """Return a short stable digest of plain values.

    >>> digest([1, "a"]) == digest((1, "a")), len(digest({}))
    (True, 16)
    """
    text = json.dumps(value, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()[:16]
