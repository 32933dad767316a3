"""A whole workbench as lines of JSON: everything kept, and the journal it came from.

Pure: turns values into lines and lines into values, and says which entries are new to another workbench.
Last year's folder can be opened by somebody else: fields of a newer program survive, and a cut-off file
is refused. First line who wrote it, then the things, then the journal, last the count.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from msgspec import Struct

from tenbetween.errors import Problem, StoreError
from tenbetween.store.forms import Json, brief, sort_of
from tenbetween.store.ids import is_id
from tenbetween.store.journal import (
    SCHEMA,
    Entry,
    Saved,
    State,
    id_faults,
    record,
    saved_from,
    time_faults,
    unknown_fields,
)
from tenbetween.store.values import faults_of, kind_of, read_name

MOST_PROBLEMS = 50
"""So many are shown; a broken file has the same fault on every line."""

_ENTRY = ("id", "at", "by", "kind", "object_id", "before", "after", "group", "undoes")


class Imported(Struct, frozen=True, kw_only=True):
    """What an import did."""

    entries: int
    """Journal entries that were new here."""
    already_here: int
    things: int
    """Things added, changed or removed by them."""
    unknown_fields: tuple[str, ...] = ()
    """Fields of a newer program: kept and given on, not understood."""


# ---- out ------------------------------------------------------------------------------------------


def export_lines(state: State, entries: Iterable[Entry], at: str) -> Iterator[str]:
    """Yield a workbench as lines of JSON, without line ends."""
    things, count = 0, 0
    yield _line({"workbench": {"program": "tenbetween", "schema": SCHEMA, "exported": at}})
    for kind in state.values():
        for saved in kind.values():
            things += 1
            yield _line({"saved": record(saved)})
    for entry in entries:
        count += 1
        yield _line({"entry": _entry_record(entry)})
    yield _line({"end": {"saved": things, "entries": count}})


def _line(value: object) -> str:
    return json.dumps(value, sort_keys=True, ensure_ascii=False, separators=(",", ":"), allow_nan=False)


def _entry_record(entry: Entry) -> dict[str, Any]:
    both = {"before": entry.before, "after": entry.after}
    sides = {name: None if side is None else side.data() for name, side in both.items()}
    return {name: getattr(entry, name) for name in _ENTRY} | sides


# ---- in -------------------------------------------------------------------------------------------


class Export(Struct, frozen=True):
    """What stands in an export: the things and the journal, in their order."""

    saved: tuple[Saved[Any], ...]
    entries: tuple[Entry, ...]

    def unknown_fields(self) -> tuple[str, ...]:
        """Return the names of the fields only a newer program understands."""
        return tuple(sorted({name for saved in self.saved for name in unknown_fields(saved)}))


def read_export(lines: Iterable[object]) -> Export:
    """Return what stands in the lines of an export.

    Raises:
        StoreError: every line that is broken, with its number; or the end is missing.
    """
    saved: list[Saved[Any]] = []
    entries: list[Entry] = []
    counts: dict[str, Any] = {}
    faults: list[Problem] = []
    first = True
    for number, line in enumerate(lines, 1):
        if not (isinstance(line, str) and line.strip()):
            faults += _not_text(line, f"line {number}")
            continue
        try:
            tag, part = _tagged(line, f"line {number}", first)
            first = False
            if tag == "saved":
                saved.append(saved_from(part, f"line {number}.saved"))
            elif tag == "entry":
                entries.append(_entry_from(part, f"line {number}.entry", len(entries) + 1))
            elif tag == "end":
                counts = part
        except StoreError as fault:
            faults += fault.problems
        if len(faults) >= MOST_PROBLEMS:
            break
    faults += [] if faults else _end_faults(counts, len(saved), len(entries))
    if faults:
        raise StoreError(faults[:MOST_PROBLEMS])
    return Export(tuple(saved), tuple(entries))


def _not_text(line: object, where: str) -> list[Problem]:
    if isinstance(line, str):
        return []
    return [Problem(where, sort_of(line), "a line of text", "open the file as UTF-8 text")]


def _tagged(line: str, where: str, first: bool) -> tuple[str, Any]:
    try:
        value = json.loads(line, object_pairs_hook=_once, parse_constant=_no_constant)
    except (ValueError, RecursionError) as fault:
        raise StoreError(
            Problem(where, f"no JSON ({str(fault)[:80]})", "one JSON object a line", "export it again")
        ) from fault
    tags = ("workbench",) if first else ("saved", "entry", "end")
    if not isinstance(value, dict) or len(value) != 1 or next(iter(value)) not in tags:
        raise StoreError(
            Problem(where, brief(line), " or ".join(f'{{"{tag}": ...}}' for tag in tags), "export it again")
        )
    return next(iter(value.items()))


def _once(pairs: Sequence[tuple[str, Any]]) -> dict[str, Any]:
    names = dict(pairs)
    if len(names) < len(pairs):
        double = next(name for place, (name, _) in enumerate(pairs) if name in dict(pairs[:place]))
        raise ValueError(f"the name {double!r} twice")
    return names


def _no_constant(word: str) -> Any:
    raise ValueError(f"{word} is no number")


def _end_faults(counts: object, saved: int, entries: int) -> list[Problem]:
    found = f"{saved} things and {entries} entries"
    if not isinstance(counts, Mapping) or not counts:
        return [
            Problem(
                "last line",
                f"no end after {found}",
                "the end line with its counts",
                "copy the whole file again",
            )
        ]
    if (counts.get("saved"), counts.get("entries")) != (saved, entries):
        wanted = f"{counts.get('saved')} things and {counts.get('entries')} entries"
        return [Problem("last line", found, wanted, "copy the whole file again")]
    return []


def _entry_from(given: object, where: str, seq: int) -> Entry:
    if not isinstance(given, Mapping):
        raise StoreError(Problem(where, brief(given), "an object", "export it again"))
    faults = [*_entry_faults(given, where)]
    sides: dict[str, Json | None] = {}
    for side in ("before", "after"):
        try:
            sides[side] = _side(given.get(side), given, f"{where}.{side}")
        except StoreError as fault:
            faults += fault.problems
    if not faults and sides["before"] is sides["after"] is None:
        faults.append(Problem(where, "no before and no after", "at least one", "export it again"))
    if faults:
        raise StoreError(faults)
    words: dict[str, Any] = {name: given.get(name) for name in _ENTRY if name not in sides}
    return Entry(seq=seq, before=sides["before"], after=sides["after"], **words)


def _side(given: object, entry: Mapping[str, Any], where: str) -> Json | None:
    if given is None:
        return None
    saved = saved_from(given, where)
    if (saved.kind, saved.id) != (entry.get("kind"), entry.get("object_id")):
        raise StoreError(
            Problem(where, f"{saved.kind} {saved.id}", "the thing its entry names", "export it again")
        )
    faults = [problem.under(where) for problem in faults_of(kind_of(saved.kind), saved.value, saved.basis)]
    if faults:
        raise StoreError(faults)
    return Json.of(record(saved), where)


def _entry_faults(given: Mapping[str, Any], where: str) -> Iterator[Problem]:
    for name in given:
        if name not in _ENTRY:
            yield Problem(
                where,
                f"the field {name!r}"[:80],
                "only " + ", ".join(_ENTRY),
                "import it with the newer program",
            )
    for name in ("id", "group", "undoes"):
        value = given.get(name)
        if not (isinstance(value, str) and is_id(value)) and not (name == "undoes" and value is None):
            yield Problem(f"{where}.{name}", brief(value), "an id made by a store", "export it again")
    yield from time_faults(given.get("at"), f"{where}.at")
    try:
        read_name(given.get("by"), f"{where}.by")
        yield from id_faults(kind_of(given.get("kind", "")), given.get("object_id"), f"{where}.object_id")
    except StoreError as fault:
        yield from fault.problems


# ---- what is new ----------------------------------------------------------------------------------


def new_entries(theirs: Sequence[Entry], ours: Mapping[tuple[str, str], Sequence[str]]) -> tuple[Entry, ...]:
    """Return those entries that go on from what is here; ``ours`` holds the entry ids of each thing,
    oldest first.

    Raises:
        StoreError: a thing was changed in both workbenches since they parted; nothing is taken over.
    """
    things: dict[tuple[str, str], list[Entry]] = {}
    for entry in theirs:
        things.setdefault((entry.kind, entry.object_id), []).append(entry)
    faults, new = [], set()
    for thing, entries in things.items():
        here = list(ours.get(thing, ()))
        common = [entry.id for entry in entries[: len(here)]]
        if common != here[: len(common)]:
            faults.append(_parted(thing))
        new |= {entry.id for entry in entries[len(here) :]}
    if faults:
        raise StoreError(faults)
    return tuple(entry for entry in theirs if entry.id in new)


def _parted(thing: tuple[str, str]) -> Problem:
    found = "one that was changed both here and in the export since they parted"
    do = "import into a new folder, and copy the one you want by hand"
    return Problem(" ".join(thing), found, "a thing changed on one side only", do)
