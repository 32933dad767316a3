"""The workbench of one trainer, as verbs: save, get, find, remove, history, undo, redo, export, import,
back up.

Everything a screen or command needs of what is kept; no SQL leaves this room and no rule of the game
enters it. Results are frozen. Clock, chance and the name of the person come in when it is opened.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import Any, overload

from sqlalchemy import Connection, or_, select

from tenbetween.errors import Problem, StoreError
from tenbetween.store.database import Database
from tenbetween.store.exchange import Imported, export_lines, new_entries, read_export
from tenbetween.store.faults import directions
from tenbetween.store.forms import LARGEST_TEXT, brief
from tenbetween.store.job_rows import JobRows, faults_in, job
from tenbetween.store.journal import Entry, Saved, State, id_faults, replay, saved_in
from tenbetween.store.layer_files import LayerFile, LayerFiles
from tenbetween.store.tables import TABLES, entry_of, journal, saved_of
from tenbetween.store.together import Together, count_rows, find_rows, nothing_there
from tenbetween.store.values import KINDS, V, kind_of, read_name

PAGE = 100


class Store:
    """An open workbench; ``open_workbench`` makes one. Use it in a ``with`` block, or close it."""

    def __init__(
        self, folder: Path, database: Database, make_id: Callable[[], str], clock: Callable[[], str], by: str
    ) -> None:
        self.folder, self.by = folder, read_name(by, "by")
        self._database, self._make_id, self._clock = database, make_id, clock
        self._files = LayerFiles(folder / "layers")
        self.jobs = JobRows(database, make_id)

    def __enter__(self) -> Store:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, at: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the database."""
        self._database.close()

    # ---- writing ----------------------------------------------------------------------------------

    @contextmanager
    def together(self, by: str | None = None) -> Iterator[Together]:
        """Make several changes in one piece: all are kept, or none; one undo takes back all.

        Raises:
            StoreError: what a change raises; or the disk or database refuses. Nothing is kept then.
        """
        name = self.by if by is None else read_name(by, "by")
        changes: Together | None = None
        try:
            with self._database.writing() as connection:
                changes = Together(connection, self._files, self._make_id, self._clock, name)
                yield changes
        except BaseException:
            self._files.forget(changes.layers if changes else {})
            raise
        if changes.layers:
            self._settle(tuple(changes.layers))

    @overload
    def save(
        self,
        kind: type[V],
        value: object,
        *,
        basis: object = None,
        id: str | None = None,
        seen: str | None = None,
        by: str | None = None,
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
        by: str | None = None,
    ) -> Saved[Any]: ...
    def save(
        self,
        kind: str | type[Any],
        value: object,
        *,
        basis: object = None,
        id: str | None = None,
        seen: str | None = None,
        by: str | None = None,
    ) -> Saved[Any]:
        """Return a thing as saved: new, or with ``id`` and ``seen`` (its version) changed. See
        ``Together.save``.
        """
        with self.together(by) as changes:
            return changes.save(kind, value, basis=basis, id=id, seen=seen)

    def remove(self, kind: str | type[Any], id: str, *, seen: str, by: str | None = None) -> Entry:
        """Return the journal entry of a removal. See ``Together.remove``."""
        with self.together(by) as changes:
            return changes.remove(kind, id, seen=seen)

    def undo(self, which: str | None = None, *, by: str | None = None) -> tuple[Entry, ...]:
        """Return the entries that took back an entry, a group, or the last change. See ``Together.undo``."""
        with self.together(by) as changes:
            return changes.undo(which)

    def redo(self, which: str | None = None, *, by: str | None = None) -> tuple[Entry, ...]:
        """Return the entries that took back an undo. See ``Together.redo``."""
        with self.together(by) as changes:
            return changes.redo(which)

    # ---- reading ----------------------------------------------------------------------------------

    @overload
    def get(self, kind: type[V], id: str) -> Saved[V]: ...
    @overload
    def get(self, kind: str, id: str) -> Saved[Any]: ...
    def get(self, kind: str | type[Any], id: str) -> Saved[Any]:
        """Return one saved thing.

        Raises:
            StoreError: there is none with that id (any more).
        """
        which = kind_of(kind)
        faults = tuple(id_faults(which, id, f"{which.name}.id"))
        if faults:
            raise StoreError(faults)
        table = TABLES[which.name]
        with self._database.reading() as connection:
            row = connection.execute(select(table).where(table.c.id == id)).mappings().one_or_none()
            if row is None:
                raise StoreError(nothing_there(which, id))
            return saved_of(which, row)

    @overload
    def find(
        self, kind: type[V], *, after: str = ..., limit: int = ..., **filters: Any
    ) -> tuple[Saved[V], ...]: ...
    @overload
    def find(
        self, kind: str, *, after: str = ..., limit: int = ..., **filters: Any
    ) -> tuple[Saved[Any], ...]: ...
    def find(
        self, kind: str | type[Any], *, after: str = "", limit: int = 1000, **filters: Any
    ) -> tuple[Saved[Any], ...]:
        """Return the things of a kind whose fields equal the filters, oldest first; ``after`` the last id
        of a page.

        Raises:
            StoreError: a filter names no field, or has a value of a wrong type.
        """
        which = kind_of(kind)
        limit = _count(limit, "limit")
        if after:
            after = _checked_text(after, "after")
        with self._database.reading() as connection:
            return tuple(find_rows(connection, which, filters, after, limit))

    def count(self, kind: str | type[Any], by: str, **filters: Any) -> dict[str, int]:
        """Return how many things of a kind there are for each value of a text field, of those that fit the filters.

        Raises:
            StoreError: a name that is no field, or a value of a wrong type.
        """
        which = kind_of(kind)
        with self._database.reading() as connection:
            return count_rows(connection, which, by, filters)

    def resting_on(self, provision: str) -> tuple[Saved[Any], ...]:
        """Return everything saved that rests on a provision, or is advice about it."""
        provision = _checked_text(provision, "provision")
        with self._database.reading() as connection:
            return tuple(found for kind in KINDS for found in _resting(connection, kind, provision))

    def history(
        self,
        kind: str | type[Any] | None = None,
        id: str | None = None,
        *,
        group: str | None = None,
        before: int | None = None,
        limit: int = PAGE,
    ) -> tuple[Entry, ...]:
        """Return journal entries, newest first: all, of a kind, of one thing or of a group; ``before`` a
        ``seq``.
        """
        query = select(journal).order_by(journal.c.seq.desc()).limit(_count(limit, "limit"))
        if kind is not None:
            query = query.where(journal.c.kind == kind_of(kind).name)
        if id is not None:
            query = query.where(journal.c.object_id == _checked_text(id, "id"))
        if group is not None:
            query = query.where(journal.c.together == _checked_text(group, "group"))
        if before is not None:
            query = query.where(journal.c.seq < _count(before, "before"))
        with self._database.reading() as connection:
            return tuple(entry_of(row) for row in connection.execute(query).mappings())

    def everything(self) -> State:
        """Return all that is kept, by kind and id."""
        with self._database.reading() as connection:
            return _everything(connection)

    # ---- in and out -------------------------------------------------------------------------------

    def export_all(self) -> Iterator[str]:
        """Yield the whole workbench, its journal too, as lines of JSON, all of one moment."""
        with self._database.reading() as connection:
            entries = connection.execute(select(journal).order_by(journal.c.seq)).mappings()
            yield from export_lines(
                _everything(connection), (entry_of(row) for row in entries), self._clock()
            )

    def import_lines(self, lines: Iterable[str], by: str | None = None) -> Imported:
        """Take over an export with its history: new things, and things that go on from what is here.

        Raises:
            StoreError: every broken line; a journal that does not make what the export says is kept; a
                thing that
                was changed on both sides. Nothing is taken over then.
        """
        export = read_export(lines)
        _refuse_other_state(export.saved, replay(export.entries))
        with self.together(by) as changes:
            connection = changes._connection
            new = new_entries(export.entries, _entry_ids(connection))
            for entry in new:
                before = changes.current(kind_of(entry.kind), entry.object_id)
                changes.write(before, saved_in(entry.after, f"entry {entry.id}.after"), like=entry)
        return Imported(
            entries=len(new),
            already_here=len(export.entries) - len(new),
            things=len({(entry.kind, entry.object_id) for entry in new}),
            unknown_fields=export.unknown_fields(),
        )

    def backup(self, to: str | Path) -> Path:
        """Return the new file that holds a consistent copy: the database, or an export where that is a
        server. Long work is not in it: it would begin again wherever the copy is opened.

        Raises:
            StoreError: the file is there already or cannot be written; no half copy stays.
        """
        target = Path(to)
        if not self._database.is_postgresql:
            self._database.copy_to(target, empty=job.name)
            return target
        part = target.with_name(f".{target.name}.part")
        with directions(str(target)):
            try:
                target.touch(exist_ok=False)
                part.write_text("".join(f"{line}\n" for line in self.export_all()), "utf-8")
                part.replace(target)
            except FileExistsError:
                raise
            except BaseException:
                target.unlink(missing_ok=True)
                raise
            finally:
                part.unlink(missing_ok=True)
        return target

    def check(self) -> tuple[Problem, ...]:
        """Return what does not hold together: the database file, long work, the journal against the tables,
        the layer files.
        """
        with self._database.reading() as connection:
            faults = _file_faults(connection, self._database) + faults_in(connection)
            try:
                entries = connection.execute(select(journal).order_by(journal.c.seq)).mappings()
                faults += _difference(_everything(connection), replay(entry_of(row) for row in entries))
            except StoreError as fault:
                faults += fault.problems
        return (*faults, *(_hand_made(file) for file in self.layer_files() if file.state != "same"))

    # ---- layer files ------------------------------------------------------------------------------

    def layer_files(self) -> tuple[LayerFile, ...]:
        """Return the state of each file in ``layers/``."""
        with self._database.reading() as connection:
            return self._files.states(_layer_texts(connection))

    def take_up_layer_files(self, by: str | None = None) -> tuple[Entry, ...]:
        """Return the journal entries of what was typed into, put into or taken out of ``layers/`` by hand.

        Raises:
            StoreError: every file that is no text or has no proper name; nothing is taken up then.
        """
        with self.together(by) as changes:
            kept = _layer_texts(changes._connection)
            files = [file for file in self._files.states(kept) if file.state in ("edited", "new", "gone")]
            texts, faults = self._read_layers(files)
            if faults:
                raise StoreError(faults)
            for layer, text in texts.items():
                _take_up(changes, layer, text)
            return self._made_by(changes)

    def tidy(self) -> None:
        """Finish what a crash left: layer files not yet written, half-written ones. Called at opening."""
        waiting = [file.id for file in self.layer_files() if file.state == "waiting"]
        if waiting or self._files.leftovers():
            self._settle(tuple(waiting), leftovers=True)

    def _settle(self, layers: tuple[str, ...], leftovers: bool = False) -> None:
        # Under the writers' lock, from what is kept by now: the last text always wins, whoever comes last.
        with self._database.writing() as connection:
            for path in self._files.leftovers() if leftovers else ():
                path.unlink(missing_ok=True)
            kept = _layer_texts(connection)
            self._files.settle({layer: kept.get(layer) for layer in layers})

    def _read_layers(self, files: Iterable[LayerFile]) -> tuple[dict[str, str | None], list[Problem]]:
        texts: dict[str, str | None] = {}
        faults: list[Problem] = []
        for file in files:
            try:
                content = self._files.content(file.id)
                texts[file.id] = None if content is None else content.decode()
            except UnicodeDecodeError:
                faults.append(
                    Problem(file.path, "bytes that are no UTF-8 text", "a TOML file", "save it as UTF-8")
                )
            except StoreError as fault:
                faults += fault.problems
        return texts, faults

    def _made_by(self, changes: Together) -> tuple[Entry, ...]:
        rows = changes._connection.execute(
            select(journal).where(journal.c.together == changes.group).order_by(journal.c.seq)
        ).mappings()
        return tuple(entry_of(row) for row in rows)


def _take_up(changes: Together, layer: str, text: str | None) -> None:
    current = changes.current(kind_of("layer"), layer)
    seen = current.version if current else None
    if text is not None:
        changes.save("layer", {"text": text}, id=layer, seen=seen)
    elif current is not None:
        changes.remove("layer", layer, seen=current.version)


def _everything(connection: Connection) -> State:
    state: State = {}
    for name, kind in KINDS.items():
        table = TABLES[name]
        rows = connection.execute(select(table).order_by(table.c.id)).mappings()
        things = {row["id"]: saved_of(kind, row) for row in rows}
        if things:
            state[name] = things
    return state


def _resting(connection: Connection, name: str, provision: str) -> list[Saved[Any]]:
    table = TABLES[name]
    here = [table.c.provisions.contains(f'"id":"{provision}"', autoescape=True)]
    if name == "advice":
        here.append(table.c.provision == provision)
    rows = connection.execute(select(table).where(or_(*here)).order_by(table.c.id)).mappings()
    return [saved_of(KINDS[name], row) for row in rows]


def _layer_texts(connection: Connection) -> dict[str, str]:
    table = TABLES["layer"]
    return {row.id: row.text for row in connection.execute(select(table.c.id, table.c.text))}


def _entry_ids(connection: Connection) -> dict[tuple[str, str], list[str]]:
    things: dict[tuple[str, str], list[str]] = {}
    rows = connection.execute(
        select(journal.c.kind, journal.c.object_id, journal.c.id).order_by(journal.c.seq)
    )
    for row in rows:
        things.setdefault((row.kind, row.object_id), []).append(row.id)
    return things


def _refuse_other_state(saved: Iterable[Saved[Any]], state: State) -> None:
    told: State = {}
    for thing in saved:
        told.setdefault(thing.kind, {})[thing.id] = thing
    faults = _difference(told, state)
    if faults:
        raise StoreError(faults)


def _difference(kept: State, told: State) -> list[Problem]:
    both = [(kind, things) for state in (kept, told) for kind, things in state.items()]
    names = sorted({(kind, thing) for kind, things in both for thing in things})
    return [
        Problem(
            f"{kind} {thing}",
            "a thing that is not what its journal makes of it",
            "the two alike",
            "restore a backup",
        )
        for kind, thing in names
        if kept.get(kind, {}).get(thing) != told.get(kind, {}).get(thing)
    ]


def _file_faults(connection: Connection, database: Database) -> list[Problem]:
    if database.is_postgresql:
        return []
    lines = [row[0] for row in connection.exec_driver_sql("PRAGMA integrity_check(20)")]
    links = [
        f"{row[0]} row {row[1]} points to nothing"
        for row in connection.exec_driver_sql("PRAGMA foreign_key_check")
    ]
    found = [line for line in lines if line != "ok"] + links
    return [
        Problem(database.where, line, "a whole database", "put a backup copy in its place") for line in found
    ]


def _hand_made(file: LayerFile) -> Problem:
    return Problem(
        file.path,
        f"a layer file that is {file.state}",
        "the text the store keeps",
        "take it into the journal",
    )


def _count(number: object, where: str) -> int:
    if not isinstance(number, int) or isinstance(number, bool) or not 0 <= number < 1 << 62:
        raise StoreError(Problem(where, brief(number), "a whole number from 0", "write one"))
    return number


def _checked_text(given: object, where: str) -> str:
    if not isinstance(given, str) or len(given) > LARGEST_TEXT:
        raise StoreError(Problem(where, brief(given), "text", "write it in quotes"))
    return read_name(given, where)
