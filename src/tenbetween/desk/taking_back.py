"""Undo and redo for one film: the last key pressed on it is taken back, whatever was done elsewhere since.

The journal and its undo are the store's; here only the change is found that belongs to the film. Writes nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from tenbetween.errors import Problem, StoreError

if TYPE_CHECKING:
    from tenbetween.store import Entry, Store

PAGE = 200
BY_KEY = frozenset(("mark", "judged"))
"""What a key of the film room does. What a worker noted meanwhile (a copy, the file of a clip) and what was withdrawn
are taken back by no key; the history does that.
"""


def last_change(store: Store, film: str) -> str:
    """Return the group of the last change of a film that still counts.

    Raises:
        StoreError: nothing is left to take back.
    """
    dead: set[str] = set()
    ids = ids_of(store, film)
    for entry in _newest_first(store):
        if entry.undoes is not None and entry.id not in dead:
            dead.add(entry.undoes)
        if entry.undoes is None and entry.id not in dead and is_of(entry, ids):
            return entry.group
    found = "no change of this film that counts"
    raise StoreError(Problem("journal", found, "a change to undo", "nothing is left to undo"))


def last_undo(store: Store, film: str) -> str:
    """Return the group of the undo that a redo takes back.

    Raises:
        StoreError: the last change of this film was no undo.
    """
    dead: set[str] = set()
    ids = ids_of(store, film)
    for entry in _newest_first(store):
        alive = entry.id not in dead
        if entry.undoes is not None and alive:
            dead.add(entry.undoes)
        if not is_of(entry, ids) or not alive:
            continue
        if entry.undoes is None:
            break  # a new change after the undo: what was undone before it stays undone
        if _is_undo(store, entry):
            return entry.group
    found = "no undo after the last change of this film"
    raise StoreError(Problem("journal", found, "an undo to take back", "nothing is left to redo"))


def ids_of(store: Store, film: str) -> tuple[str, ...]:
    """Return the ids by which what belongs to a film names it: its own, and what was heard on it."""
    return (film, *(one.id for one in store.find("listening", film=film)))


def is_of(entry: Entry, ids: tuple[str, ...]) -> bool:
    """Return whether an entry is a key pressed on a film."""
    side = entry.after or entry.before
    return entry.kind in BY_KEY and side is not None and any(f'"{id_}"' in side.text for id_ in ids)


def _is_undo(store: Store, entry: Entry) -> bool:
    """Whether an entry takes back a first change, not an undo."""
    undone = next((e for e in _of(store, entry) if e.id == entry.undoes), None)
    return undone is not None and undone.undoes is None


def _of(store: Store, entry: Entry) -> Iterator[Entry]:
    before: int | None = entry.seq
    while True:
        page = store.history(entry.kind, entry.object_id, before=before, limit=PAGE)
        yield from page
        if len(page) < PAGE:
            return
        before = page[-1].seq


def _newest_first(store: Store) -> Iterator[Entry]:
    before: int | None = None
    while True:
        page = store.history(before=before, limit=PAGE)
        yield from page
        if len(page) < PAGE:
            return
        before = page[-1].seq
