"""The journal: every change of the workbench as one entry, and the state as the fold of its entries.

Pure: reads and compares entries, writes none. The same entries are the history, the undo and the copy
that somebody else can open. An undo is an entry that puts back what was there before the entry it undoes;
a redo is an undo of the undo.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, Generic, Literal

from msgspec import Struct
from msgspec.structs import replace

from tenbetween.errors import Problem, StoreError
from tenbetween.store import ids
from tenbetween.store.forms import Json, brief
from tenbetween.store.values import Basis, Kind, V, kind_of, plain, read, read_basis

SCHEMA = 4
"""Version of the form in which things are kept; written on everything that is saved."""

State = dict[str, dict[str, "Saved[Any]"]]
"""{kind: {id: saved thing}}; kinds of which nothing is kept are absent."""


class Saved(Struct, Generic[V], frozen=True, kw_only=True):
    """A saved thing with everything it rests on; times are universal time as text."""

    kind: str
    id: str
    version: str
    """The journal entry that last changed it; hand it back as ``seen`` to change it again."""
    schema: int
    created: str
    changed: str
    basis: Basis
    value: V
    extra: Json = Json()
    """Fields written by a newer program: kept, not understood."""


class Entry(Struct, frozen=True, kw_only=True):
    """One change: what was there before (None: nothing) and what after (None: removed)."""

    seq: int
    id: str
    at: str
    by: str
    kind: str
    object_id: str
    before: Json | None
    after: Json | None
    group: str
    """Changes made together carry the same group and are undone together."""
    undoes: str | None = None

    @property
    def did(self) -> Literal["added", "changed", "removed"]:
        """Return what the change did to the thing."""
        if self.before is None:
            return "added"
        return "changed" if self.after is not None else "removed"


_HEAD = ("id", "kind", "version", "schema", "created", "changed")
_TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z\Z")


def record(saved: Saved[Any]) -> dict[str, Any]:
    """Return a saved thing as one JSON object, fields of newer programs in their places."""
    extra: dict[str, dict[str, Any]] = saved.extra.data()
    head: dict[str, Any] = {name: getattr(saved, name) for name in _HEAD}
    basis = plain(saved.basis) | {"settings": dict(saved.basis.settings)} | extra.get("basis", {})
    return head | extra.get("", {}) | {"basis": basis, "value": plain(saved.value) | extra.get("value", {})}


def saved_from(given: object, where: str) -> Saved[Any]:
    """Return the saved thing of a JSON object; ``saved_from(record(s), ...) == s`` for every s.

    Raises:
        StoreError: every part that is missing, of a wrong type or impossible, at its place.
    """
    if not isinstance(given, Mapping):
        raise StoreError(
            Problem(where, brief(given), "an object with id, kind, basis and value", "write it so")
        )
    faults = [*_head_faults(given, where)]
    extra: dict[str, dict[str, Any]] = {"": {}, "basis": {}, "value": {}}
    basis, value = Basis(), None
    try:
        kind = kind_of(given.get("kind", ""))
        value = read(kind.value, given.get("value"), f"{where}.value", extra["value"])
        faults += id_faults(kind, given.get("id"), f"{where}.id")
    except StoreError as fault:
        faults += fault.problems
    try:
        basis = read_basis(given.get("basis", {}), f"{where}.basis", extra["basis"])
        extra[""] = {name: part for name, part in given.items() if name not in (*_HEAD, "basis", "value")}
        kept = Json.of({name: part for name, part in extra.items() if part}, where)
    except StoreError as fault:
        faults += fault.problems
    if faults:
        raise StoreError(faults)
    return Saved(**{name: given[name] for name in _HEAD}, basis=basis, value=value, extra=kept)


def _head_faults(given: Mapping[str, Any], where: str) -> Iterator[Problem]:
    if not (isinstance(given.get("version"), str) and ids.is_id(given["version"])):
        yield Problem(
            f"{where}.version", brief(given.get("version")), "the id of a journal entry", "copy it whole"
        )
    schema = given.get("schema")
    if not isinstance(schema, int) or isinstance(schema, bool) or not 1 <= schema < 1_000_000:
        yield Problem(f"{where}.schema", brief(schema), "a whole number from 1", f"write {SCHEMA}")
    for name in ("created", "changed"):
        yield from time_faults(given.get(name), f"{where}.{name}")


def time_faults(given: object, where: str) -> Iterator[Problem]:
    """Yield the problem of a time that is not written as the store writes it."""
    if not (isinstance(given, str) and _TIME.match(given)):
        yield Problem(where, brief(given), "a time as 2025-11-30T22:04:00.000Z", "write universal time")


def id_faults(kind: Kind, given: object, where: str) -> Iterator[Problem]:
    """Yield the problem of an id that a thing of this kind cannot have (a path in a layer id, say)."""
    if not (isinstance(given, str) and re.match(kind.id_pattern, given)):
        wanted = "a plain name of small letters, digits, - _ ." if kind.named else "an id made by the store"
        yield Problem(
            where,
            brief(given),
            wanted,
            "give it a name without path or blanks" if kind.named else "copy it whole",
        )


def json_of(saved: Saved[Any] | None) -> Json | None:
    """Return what an entry writes down of a thing: its record, or None where there is nothing."""
    return None if saved is None else Json.of(record(saved), saved.kind)


def saved_in(side: Json | None, where: str) -> Saved[Any] | None:
    """Return the thing on one side of an entry, or None."""
    return None if side is None else saved_from(side.data(), where)


def unknown_fields(saved: Saved[Any]) -> tuple[str, ...]:
    """Return the names, with their kind, of the fields only a newer program understands."""
    return tuple(
        f"{saved.kind}.{part}.{name}".replace("..", ".")
        for part, names in saved.extra.data().items()
        for name in names
    )


# ---- the fold -------------------------------------------------------------------------------------


def replay(entries: Iterable[Entry], start: State | None = None) -> State:
    """Return the state after the entries, oldest first: what must stand in the tables, and nothing else.

    >>> replay([])
    {}

    Raises:
        StoreError: an entry does not follow from the one before it.
    """
    state: State = {kind: dict(things) for kind, things in (start or {}).items()}
    faults: list[Problem] = []
    for entry in entries:
        try:
            _step(state, entry)
        except StoreError as fault:
            faults += fault.problems
    if faults:
        raise StoreError(faults)
    return {kind: things for kind, things in state.items() if things}


def _step(state: State, entry: Entry) -> None:
    kind_of(entry.kind)
    things = state.setdefault(entry.kind, {})
    where = f"journal entry {entry.id}"
    before = saved_in(entry.before, f"{where}.before")
    after = saved_in(entry.after, f"{where}.after")
    if things.get(entry.object_id) != before:
        raise StoreError(
            Problem(
                f"{where}.before",
                "another state than the entries before it left",
                f"{entry.kind} {entry.object_id} as they left it",
                "restore a backup, or leave this journal out",
            )
        )
    if after is None:
        things.pop(entry.object_id, None)
    elif (after.kind, after.id, after.version) != (entry.kind, entry.object_id, entry.id):
        raise StoreError(
            Problem(f"{where}.after", "another thing", f"{entry.kind} {entry.object_id}", "restore a backup")
        )
    else:
        things[entry.object_id] = after


# ---- undo and redo --------------------------------------------------------------------------------


def undone(pairs: Sequence[tuple[str, str | None]]) -> frozenset[str]:
    """Return the ids of the entries that do not count any more, from (id, undoes) pairs, oldest first.

    >>> sorted(undone([("a", None), ("b", None), ("u", "b")]))
    ['b']
    >>> sorted(undone([("a", None), ("u", "a"), ("r", "u")]))
    ['u']
    """
    out: set[str] = set()
    for entry, undoes in reversed(pairs):
        if undoes is not None and entry not in out:
            out.add(undoes)
    return frozenset(out)


def in_the_way(later: Sequence[Entry], dead: frozenset[str]) -> tuple[Entry, ...]:
    """Return those later changes of the same thing that must be undone first.

    An undo of a later change is not in the way: with the change it undoes it comes to nothing.
    """
    names = {entry.id for entry in later}
    return tuple(entry for entry in later if entry.id not in dead and entry.undoes not in names)


def is_redo(entry: str, undoes: Mapping[str, str | None]) -> bool:
    """Return whether an entry is an undo of an undo (an even number of steps from a first change).

    >>> steps = {"a": None, "u": "a", "r": "u"}
    >>> is_redo("u", steps), is_redo("r", steps)
    (False, True)
    """
    steps, here = 0, undoes.get(entry)
    while here is not None:
        steps, here = steps + 1, undoes.get(here)
    return steps > 0 and steps % 2 == 0


def turned_back(entry: Entry, version: str, at: str) -> Saved[Any] | None:
    """Return the thing as it was before the entry, as the new version that an undo at that time makes of
    it.
    """
    before = saved_in(entry.before, f"journal entry {entry.id}.before")
    return None if before is None else replace(before, version=version, changed=at)
