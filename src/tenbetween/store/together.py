"""Changes that belong together: saved, removed and undone in one transaction, each with its journal entry.

The only place that writes to a table. Knows how a change is refused (seen by nobody, changed meanwhile, still
pointed to); does not open databases and knows no screen.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from typing import Any, overload

from msgspec import Struct
from msgspec.structs import replace
from sqlalchemy import Connection, delete, func, insert, select, update

from tenbetween.errors import Problem, StoreError
from tenbetween.store.forms import brief
from tenbetween.store.ids import is_id
from tenbetween.store.journal import (
    SCHEMA,
    Entry,
    Saved,
    id_faults,
    in_the_way,
    is_redo,
    json_of,
    saved_in,
    turned_back,
    undone,
)
from tenbetween.store.layer_files import LayerFiles
from tenbetween.store.tables import TABLES, columns_of, entry_columns, entry_of, journal, saved_of
from tenbetween.store.values import KINDS, Basis, Kind, V, faults_of, kind_of, read, read_basis


class Together:
    """One transaction; ``Store.together`` makes it. All its changes are kept, or none."""

    def __init__(
        self,
        connection: Connection,
        files: LayerFiles,
        make_id: Callable[[], str],
        clock: Callable[[], str],
        by: str,
    ) -> None:
        self._connection, self._files, self._make_id, self._clock = connection, files, make_id, clock
        self.by, self.group = by, make_id()
        self.layers: dict[str, str | None] = {}
        """Layer files to bring up to date once the changes are kept."""

    # ---- saving and removing ----------------------------------------------------------------------

    @overload
    def save(
        self,
        kind: type[V],
        value: object,
        *,
        basis: object = None,
        id: str | None = None,
        seen: str | None = None,
    ) -> Saved[V]: ...
    @overload
    def save(
        self,
        kind: str,
        value: object,
        *,
        basis: object = None,
        id: str | None = None,
        seen: str | None = None,
    ) -> Saved[Any]: ...
    def save(
        self,
        kind: str | type[Any],
        value: object,
        *,
        basis: object = None,
        id: str | None = None,
        seen: str | None = None,
    ) -> Saved[Any]:
        """Return the thing as saved: a new one, or with ``id`` and ``seen`` (its version) a changed one.

        Without ``basis`` a changed thing keeps the basis it had. Saving what is there already changes
        nothing.

        Raises:
            StoreError: everything that is wrong with it; or it was changed or removed since it was seen.
        """
        which = kind_of(kind)
        checked, rests_on = self._checked(which, value, basis, id)
        current = self.current(which, id) if id is not None else None
        self._refuse_if_unseen(which, id, current, seen)
        rests_on = rests_on or (current.basis if current else Basis())
        self._refuse(faults_of(which, checked, rests_on))
        if current and (current.value, current.basis) == (checked, rests_on):
            return current
        after = self._new_version(which, id, current, checked, rests_on)
        self.write(current, after)
        return after

    def remove(self, kind: str | type[Any], id: str, *, seen: str) -> Entry:
        """Return the journal entry of the removal; an undo brings the thing back.

        Raises:
            StoreError: it is not there, was changed since it was seen, or something still points to it.
        """
        which = kind_of(kind)
        current = self.current(which, id)
        if current is None:
            raise StoreError(nothing_there(which, id))
        self._refuse_if_unseen(which, id, current, seen)
        return self.write(current, None)

    def current(self, kind: Kind, id: str) -> Saved[Any] | None:
        """Return a thing as it is kept now, or None."""
        self._refuse(tuple(id_faults(kind, id, f"{kind.name}.id")))
        table = TABLES[kind.name]
        row = self._connection.execute(select(table).where(table.c.id == id)).mappings().one_or_none()
        return None if row is None else saved_of(kind, row)

    def _checked(
        self, kind: Kind, value: object, basis: object, id: str | None
    ) -> tuple[Struct, Basis | None]:
        faults: list[Problem] = []
        checked, rests_on = None, None
        try:
            checked = read(kind.value, value, kind.name)
        except StoreError as fault:
            faults += fault.problems
        try:
            rests_on = None if basis is None else read_basis(basis, f"{kind.name}.basis")
        except StoreError as fault:
            faults += fault.problems
        if id is not None or kind.named:
            faults += id_faults(kind, id, f"{kind.name}.id")
        self._refuse(faults)
        assert checked is not None  # noqa: S101  (no fault was found, so it was read)
        return checked, rests_on

    def _new_version(
        self, kind: Kind, id: str | None, current: Saved[Any] | None, value: Struct, basis: Basis
    ) -> Saved[Any]:
        at, version = self._clock(), self._make_id()
        if current is not None:
            return replace(current, version=version, changed=at, schema=SCHEMA, value=value, basis=basis)
        return Saved(
            kind=kind.name,
            id=id or self._make_id(),
            version=version,
            schema=SCHEMA,
            created=at,
            changed=at,
            basis=basis,
            value=value,
        )

    @staticmethod
    def _refuse(faults: Sequence[Problem]) -> None:
        if faults:
            raise StoreError(faults)

    def _refuse_if_unseen(self, kind: Kind, id: str | None, current: Saved[Any] | None, seen: object) -> None:
        where = f"{kind.name} {id}"
        if current is None and (seen is not None or (id is not None and not kind.named)):
            raise StoreError(nothing_there(kind, str(id)))
        if current is not None and seen is None:
            do = "read it, and hand its version back as seen; or choose another name"
            raise StoreError(
                Problem(where, "one that is there already", "a new one, or the version you saw", do)
            )
        if current is not None and seen != current.version:
            found = f"changed {current.changed}{self._who(current.version)}"
            do = "read it again, look at what changed, and make your change to that"
            raise StoreError(Problem(where, found, f"as it was when you saw it ({brief(seen)})", do))

    def _who(self, version: str) -> str:
        by = self._connection.execute(select(journal.c.made_by).where(journal.c.id == version)).scalar()
        return f" by {by}" if by else ""

    # ---- the one way into the tables --------------------------------------------------------------

    def write(
        self,
        before: Saved[Any] | None,
        after: Saved[Any] | None,
        undoes: str | None = None,
        like: Entry | None = None,
    ) -> Entry:
        """Write one change and its journal entry; ``like`` takes id, time, person and group from another
        journal.
        """
        thing = after or before
        assert thing is not None  # noqa: S101  (a change from nothing to nothing is never asked for)
        kind = kind_of(thing.kind)
        self._refuse((*self._links_to_nothing(kind, after), *self._links_from(kind, thing.id, after)))
        entry = like or Entry(
            seq=0,
            id=after.version if after else self._make_id(),
            at=after.changed if after else self._clock(),
            by=self.by,
            kind=thing.kind,
            object_id=thing.id,
            before=json_of(before),
            after=json_of(after),
            group=self.group,
            undoes=undoes,
        )
        seq = self._connection.execute(
            insert(journal).values(entry_columns(entry)).returning(journal.c.seq)
        ).scalar_one()
        self._put(kind, before, after)
        if kind.name == "layer":
            self._note_layer(thing.id, before, after)
        return replace(entry, seq=seq)

    def _put(self, kind: Kind, before: Saved[Any] | None, after: Saved[Any] | None) -> None:
        table = TABLES[kind.name]
        if before is None:
            assert after is not None  # noqa: S101
            self._connection.execute(insert(table).values(columns_of(after)))
            return
        same = (table.c.id == before.id) & (table.c.version == before.version)
        change = (
            delete(table).where(same)
            if after is None
            else update(table).where(same).values(columns_of(after))
        )
        if self._connection.execute(change).rowcount != 1:
            raise StoreError(
                Problem(f"{kind.name} {before.id}", "another version", before.version, "read it again")
            )

    def _links_to_nothing(self, kind: Kind, after: Saved[Any] | None) -> Iterator[Problem]:
        for field, target in kind.refers if after else ():
            table, wanted = TABLES[target], getattr(after and after.value, field)
            if self._connection.execute(select(table.c.id).where(table.c.id == wanted)).one_or_none() is None:
                yield Problem(
                    f"{kind.name}.{field}",
                    wanted,
                    f"the id of one {target} that is kept",
                    f"save the {target} first",
                )

    def _links_from(self, kind: Kind, id: str, after: Saved[Any] | None) -> Iterator[Problem]:
        pointing = [
            (other, field)
            for other in KINDS.values()
            for field, target in other.refers
            if target == kind.name
        ]
        for other, field in pointing if after is None else ():
            table = TABLES[other.name]
            for row in self._connection.execute(select(table.c.id).where(table.c[field] == id)):
                found = f"{other.name} {row.id} that points to it"
                yield Problem(
                    f"{kind.name} {id}", found, "nothing that needs it", f"remove that {other.name} first"
                )

    def _note_layer(self, id: str, before: Saved[Any] | None, after: Saved[Any] | None) -> None:
        old = None if before is None else str(before.value.text)
        new = None if after is None else str(after.value.text)
        if id not in self.layers:
            self._files.refuse_if_edited(id, old, new)
        self.layers[id] = new
        if new is not None:
            self._files.prepare(id, new)

    # ---- undo and redo ----------------------------------------------------------------------------

    def undo(self, which: str | None = None) -> tuple[Entry, ...]:
        """Return the entries that put back what was there before an entry, a group, or the last change.

        Raises:
            StoreError: nothing to undo, undone already, or a later change is in the way.
        """
        return self._turn_back(self._named(which) if which else self._last_changes())

    def redo(self, which: str | None = None) -> tuple[Entry, ...]:
        """Return the entries that undo an undo: one named, that of a named change, or the last.

        Raises:
            StoreError: nothing to redo, or a later change is in the way.
        """
        return self._turn_back(self._undos_of(self._named(which)) if which else self._last_undos())

    def _turn_back(self, entries: Sequence[Entry]) -> tuple[Entry, ...]:
        self._refuse_withdrawn(entries)
        faults: list[Problem] = []
        made: list[Entry] = []
        group = frozenset(entry.id for entry in entries)
        for entry in reversed(entries):
            in_way = self._in_the_way(entry, group)
            faults += in_way
            if not in_way:
                made.append(self._turn_back_one(entry))
        self._refuse(faults)
        return tuple(made)

    def _refuse_withdrawn(self, entries: Sequence[Entry]) -> None:
        """Refuse to take a withdrawal back: its files are gone, and its log is what was promised to whoever asked."""
        groups = tuple({entry.group for entry in entries if entry.undoes is None})
        belongs = (
            journal.c.together.in_(groups) & (journal.c.kind == "withdrawal") & journal.c.undoes.is_(None)
        )
        if groups and self._entries(belongs):
            found = "the withdrawal of a film, with its log"
            do = "leave it; take an earlier change back by its own Undo in the history, or take the film in anew"
            raise StoreError(Problem("journal", found, "a change that can be taken back", do))

    def _turn_back_one(self, entry: Entry) -> Entry:
        current = self.current(kind_of(entry.kind), entry.object_id)
        if current != saved_in(entry.after, f"journal entry {entry.id}.after") and not _same_content(
            current, entry
        ):
            where = f"{entry.kind} {entry.object_id}"
            raise StoreError(
                Problem(
                    where, "not what its journal says", "the state after its last change", "restore a backup"
                )
            )
        return self.write(current, turned_back(entry, self._make_id(), self._clock()), undoes=entry.id)

    def _in_the_way(self, entry: Entry, group: frozenset[str]) -> list[Problem]:
        same = (journal.c.kind == entry.kind) & (journal.c.object_id == entry.object_id)
        later = self._entries(same & (journal.c.seq > entry.seq))
        dead = undone(self._undo_pairs())
        if entry.id in dead:
            found = f"an entry that was undone already ({entry.id})"
            return [Problem("journal", found, "a change that counts", "redo it first, or leave it")]
        return [
            Problem(
                f"{entry.kind} {entry.object_id}",
                f"a later change ({other.id}) of {other.at} by {other.by}",
                "no change after the one to undo",
                "undo that one first",
            )
            for other in in_the_way(later, dead)
            if other.id not in group
        ]

    def _entries(self, where: Any) -> tuple[Entry, ...]:
        rows = self._connection.execute(select(journal).where(where).order_by(journal.c.seq)).mappings()
        return tuple(entry_of(row) for row in rows)

    def _undo_pairs(self) -> list[tuple[str, str | None]]:
        pairs = (
            select(journal.c.id, journal.c.undoes)
            .where(journal.c.undoes.is_not(None))
            .order_by(journal.c.seq)
        )
        return [(row.id, row.undoes) for row in self._connection.execute(pairs)]

    def _named(self, which: str) -> tuple[Entry, ...]:
        found: tuple[Entry, ...] = ()
        if is_id(str(which)):
            found = self._entries(journal.c.id == which) or self._entries(journal.c.together == which)
        if not found:
            raise StoreError(
                Problem("journal", brief(which), "the id of an entry or group", "look it up in the history")
            )
        dead = undone(self._undo_pairs())
        return tuple(entry for entry in found if entry.id not in dead) or found

    def _last_changes(self) -> tuple[Entry, ...]:
        dead = undone(self._undo_pairs())
        first = (
            select(journal.c.id, journal.c.together)
            .where(journal.c.undoes.is_(None))
            .order_by(journal.c.seq.desc())
        )
        for row in self._connection.execute(first):
            if row.id not in dead:
                group = self._entries((journal.c.together == row.together) & journal.c.undoes.is_(None))
                return tuple(entry for entry in group if entry.id not in dead)
        raise StoreError(
            Problem("journal", "no change that counts", "a change to undo", "nothing is left to undo")
        )

    def _last_undos(self) -> tuple[Entry, ...]:
        pairs = self._undo_pairs()
        dead, steps = undone(pairs), dict(pairs)
        newest = select(journal.c.id, journal.c.undoes, journal.c.together).order_by(journal.c.seq.desc())
        for row in self._connection.execute(newest):
            if row.id in dead or is_redo(row.id, steps):
                continue
            if row.undoes is None:
                break  # a new change after the undo: what was undone before it stays undone
            group = self._entries(journal.c.together == row.together)
            return tuple(entry for entry in group if entry.id not in dead)
        raise StoreError(
            Problem(
                "journal", "no undo after the last change", "an undo to take back", "nothing is left to redo"
            )
        )

    def _undos_of(self, entries: Sequence[Entry]) -> tuple[Entry, ...]:
        dead = undone(self._undo_pairs())
        firsts = [entry.id for entry in entries if entry.undoes is None]
        undos = [entry for entry in self._entries(journal.c.undoes.in_(firsts)) if entry.id not in dead]
        found = (*(entry for entry in entries if entry.undoes is not None), *undos)
        if not found:
            raise StoreError(
                Problem("journal", "a change that counts", "one that was undone", "there is nothing to redo")
            )
        return tuple(sorted(found, key=lambda entry: entry.seq))


def _same_content(current: Saved[Any] | None, entry: Entry) -> bool:
    """Whether a thing is as after the entry but for version and time: an undone later change leaves it so."""
    after = saved_in(entry.after, f"journal entry {entry.id}.after")
    if current is None or after is None:
        return current is after
    return replace(current, version=after.version, changed=after.changed) == after


def nothing_there(kind: Kind, id: str) -> Problem:
    """Return the problem of a thing that is not kept here (any more)."""
    do = "look in the history: if it was removed, undo that; else leave the id out and save a new one"
    return Problem(f"{kind.name} {id[:80]}", "nothing", f"one {kind.name} with that id", do)


def count_rows(connection: Connection, kind: Kind, by: str, filters: dict[str, Any]) -> dict[str, int]:
    """Return how many things of a kind there are for each value of a column.

    Raises:
        StoreError: a name that is no column of the kind, or a filter of the wrong type.
    """
    table = TABLES[kind.name]
    _refuse_filters(kind, {**filters, by: ""})
    query = select(table.c[by], func.count()).where(*(table.c[n] == v for n, v in filters.items()))
    return {str(value): int(number) for value, number in connection.execute(query.group_by(table.c[by]))}


def find_rows(
    connection: Connection, kind: Kind, filters: dict[str, Any], after: str, limit: int
) -> list[Saved[Any]]:
    """Return the things of a kind whose columns equal the filters, in order of their ids.

    Raises:
        StoreError: a filter names no column of the kind, or its value has the wrong type.
    """
    table = TABLES[kind.name]
    _refuse_filters(kind, filters)
    query = select(table).where(
        *(table.c[name] == value for name, value in filters.items()), table.c.id > after
    )
    rows = connection.execute(query.order_by(table.c.id).limit(limit)).mappings()
    return [saved_of(kind, row) for row in rows]


def _refuse_filters(kind: Kind, filters: dict[str, Any]) -> None:
    table = TABLES[kind.name]
    allowed = sorted(
        {"line", "edition", "book_digest", *kind.value.__struct_fields__} - {"ruling", "expected", "result"}
    )
    faults = [
        Problem(f"{kind.name} filter", name, "one of " + ", ".join(allowed), "leave it out")
        for name in filters
        if name not in allowed
    ]
    faults += [
        Problem(f"{kind.name}.{name}", brief(value), "text, or true or false", "write it so")
        for name, value in filters.items()
        if name in allowed and not _fits(table.c[name].type.python_type, value)
    ]
    if faults:
        raise StoreError(faults)


def _fits(form: type, value: object) -> bool:
    return type(value) is form and not (isinstance(value, str) and re.search("[\x00\ud800-\udfff]", value))
