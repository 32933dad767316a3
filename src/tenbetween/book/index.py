"""Looks rows up fast: for each table, one bit per row and one mask per feature value.

The rows that apply are the AND of a few masks; what applies then is worked out once per set of rows and
kept. Exactly one row may apply; a row that names another goes before it. Knows nothing of basketball.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from msgspec import structs

from tenbetween.book.load import Book
from tenbetween.book.provision import Provision, Row, Setting
from tenbetween.book.vocabulary import FEATURES, TABLES, Table
from tenbetween.errors import BookError, one_of
from tenbetween.situation import NotCovered, Reason

GAP = "nothing entered covers this"
"""Why a part is open when no row at all applies; a checked book never answers it."""


class Hit:
    """What one set of applying rows comes to: the outcome, the reason, or why nothing is decided."""

    __slots__ = ("conflict", "live", "matched", "needed", "not_covered", "reason", "row", "then")

    def __init__(
        self,
        then: dict[str, Any] | None,
        reason: Reason | None,
        not_covered: NotCovered | None,
        needed: bool,
        conflict: bool,
        matched: tuple[int, ...],
        live: tuple[int, ...],
    ) -> None:
        self.then = then
        self.reason = reason
        self.not_covered = not_covered
        self.needed = needed
        self.conflict = conflict
        self.matched = matched
        self.live = live


class Index:
    """The rows of one table at given settings, ready to be looked up."""

    def __init__(self, table: Table, book: Book, settings: dict[str, Setting]) -> None:
        self.table = table
        self.settings = settings
        self.edition = book.id
        self.rows: list[tuple[Provision, Row]] = [
            (p, r) for p, r in book.rows(table.name) if _setting_holds(r, settings)
        ]
        self.ids = [f"{p.id}/{r.name}" for p, r in self.rows]
        place = {id_: n for n, id_ in enumerate(self.ids)}
        self.beaten = [sum(1 << place[o] for o in r.overrides if o in place) for _, r in self.rows]
        used = sorted({f for _, r in self.rows for f, _ in r.when if f in FEATURES})
        self.masks: tuple[tuple[str, dict[str, int]], ...] = tuple((f, self._mask(f)) for f in used)
        self.all = (1 << len(self.rows)) - 1
        self.hits: dict[int, Hit] = {}
        self.collected: dict[int, tuple[tuple[Provision, Row], ...]] = {}

    def _mask(self, feature: str) -> dict[str, int]:
        mask = dict.fromkeys(FEATURES[feature], 0)
        for n, (_, row) in enumerate(self.rows):
            allowed = dict(row.when).get(feature, FEATURES[feature])
            for value in allowed:
                mask[value] |= 1 << n
        return mask

    def bits(self, features: dict[str, str]) -> int:
        """Return the rows that apply as a bit set."""
        bits = self.all
        for feature, mask in self.masks:
            bits &= mask[features[feature]]
        return bits

    def hit(self, features: dict[str, str]) -> Hit:
        """Return the outcome of a table in which one row applies."""
        bits = self.all
        for feature, mask in self.masks:
            bits &= mask[features[feature]]
        found = self.hits.get(bits)
        if found is None:
            found = self.hits[bits] = self._resolve(bits)
        return found

    def collect(self, features: dict[str, str]) -> tuple[tuple[Provision, Row], ...]:
        """Return every row that applies and is not overridden, in their order."""
        bits = self.bits(features)
        found = self.collected.get(bits)
        if found is None:
            live = [self.rows[n] for n in self._live(bits)]
            live.sort(key=lambda pair: dict(pair[1].then).get("order", 0))
            found = self.collected[bits] = tuple(live)
        return found

    def _live(self, bits: int) -> tuple[int, ...]:
        matched = [n for n in range(len(self.rows)) if bits >> n & 1]
        beaten = 0
        for n in matched:
            beaten |= self.beaten[n]
        return tuple(n for n in matched if not beaten >> n & 1)

    def _resolve(self, bits: int) -> Hit:
        matched = tuple(n for n in range(len(self.rows)) if bits >> n & 1)
        live = self._live(bits)
        decides = self.table.decides
        if not live:
            nothing = NotCovered(decides, GAP)
            return Hit(None, None, nothing, True, False, matched, live)
        if len(live) > 1:
            names = " and ".join(self.ids[n] for n in live)
            clash = NotCovered(decides, f"{names} both apply; one must say that it goes before the other")
            return Hit(None, None, clash, True, True, matched, live)
        provision, row = self.rows[live[0]]
        if row.not_covered:
            return Hit(None, None, NotCovered(decides, row.not_covered), True, False, matched, live)
        if row.not_needed:
            return Hit(None, None, None, False, False, matched, live)
        beats = tuple(self.ids[n] for n in matched if n != live[0]) + row.replaces
        reason = Reason(
            decides,
            provision.id,
            f"{provision.id}/{row.name}",
            provision.section,
            row.edition or self.edition,
            row.layer,
            self._resting_on(row),
            provision.source,
            provision.confidence,
            provision.status,
            beats,
        )
        return Hit(dict(row.then), reason, None, True, False, matched, live)

    def _resting_on(self, row: Row) -> str:
        named = [self.settings[f] for f, _ in row.when if f in self.settings]
        return "; ".join(f"{s.name}={s.value} ({s.set_by})" for s in named)


def _setting_holds(row: Row, settings: dict[str, Setting]) -> bool:
    return all(settings[f].value in allowed for f, allowed in row.when if f in settings)


class Desk(dict[str, Index]):
    """All tables of a book at one set of settings; the name is the table's."""

    def __init__(self, tables: dict[str, Index]) -> None:
        super().__init__(tables)
        self.alike: dict[tuple[str, ...], Any] = {}
        """What classes of situations share, worked out so far."""


@lru_cache(maxsize=256)
def tables_of(book: Book, asked: tuple[tuple[str, str], ...]) -> Desk:
    """Return the tables of a book with settings asked for in a situation.

    Raises:
        BookError: a setting or value that the book does not have.
    """
    return build_tables(book, asked)


def build_tables(book: Book, asked: tuple[tuple[str, str], ...] = ()) -> Desk:
    """Return fresh tables, with nothing looked up yet."""
    settings = settings_with(book, asked)
    return Desk({t.name: Index(t, book, settings) for t in TABLES})


def settings_with(book: Book, asked: tuple[tuple[str, str], ...]) -> dict[str, Setting]:
    """Return the settings in force: those asked for, then own, association, state, edition.

    Raises:
        BookError: a setting or value that the book does not have, all of them.
    """
    settings, problems = dict(book.settings), []
    for name, value in asked:
        if name not in settings:
            problems.append(one_of(f"settings.{name}", name, tuple(settings)))
            continue
        token = setting_value(settings[name], value)
        if token is None:
            problems.append(one_of(f"settings.{name}", value, settings[name].values))
            continue
        settings[name] = structs.replace(settings[name], value=token, set_by="this request")
    if problems:
        raise BookError(problems)
    return settings


def setting_value(setting: Setting, spelled: str) -> str | None:
    """Return the value meant by a spelling: itself, with blanks or hyphens, or the only one that begins so or has the word in it.

    >>> s = Setting("tie", "", "", ("leads_side", "trails_side"), "leads_side")
    >>> setting_value(s, "Lead's side"), setting_value(s, "trail"), setting_value(s, "x")
    ('leads_side', 'trails_side', None)
    """
    word = "_".join("".join(c for c in spelled.lower().replace("-", " ") if c.isalnum() or c in " _").split())
    if word in setting.values:
        return word
    begins = [v for v in setting.values if word and v.startswith(word)]
    meant = begins or [v for v in setting.values if len(word) > 3 and word in v]
    return meant[0] if len(meant) == 1 else None
