"""Pieces of film to hand on, and what is pointed at on film: kept as data, made into files by a job.

Nothing leaves without leave that still holds. Pointers are times and places, never a picture. Makes no file itself.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from tenbetween.desk.films import TimeLine
from tenbetween.errors import Problem, UsageError, one_of
from tenbetween.store.film_values import frame_time_faults

if TYPE_CHECKING:
    from tenbetween.store import Saved, Store

Json = dict[str, Any]
POINTERS = ("ring", "arrow", "sight", "name", "count", "sentence", "pause")
LONGEST_TEXT, MOST_CLIPS = 500, 100_000


def clip_pages(store: Store, titles: Mapping[str, str]) -> list[Json]:
    """Return the clips made, newest first."""
    return [
        clip_page(one, titles.get(one.value.film, ""))
        for one in reversed(store.find("clip", limit=MOST_CLIPS))
    ]


def clip_page(one: Saved[Any], film_title: str) -> Json:
    """Return a clip as a page needs it."""
    return {
        "id": one.id,
        "version": one.version,
        "film": one.value.film,
        "film_title": film_title,
        "title": one.value.title,
        "begins": one.value.begins.data(),
        "ends": one.value.ends.data(),
        "how": one.value.how.data(),
        "files": one.value.files.data(),
        "marks": one.value.marks.data(),
        "status": one.value.status,
        "made": one.created,
        "note": one.value.note,
    }


def new_clip(
    store: Store,
    film: str,
    line: TimeLine,
    title: str,
    begins: Mapping[str, Any],
    ends: Mapping[str, Any],
    how: Mapping[str, Any],
    marks: Sequence[str],
) -> Saved[Any]:
    """Return a clip as it is to be made; the file comes from a job.

    Raises:
        UsageError: no title, frames that are not of the film, or an end before its beginning.
    """
    faults = [*_frame(line, begins, "begins"), *_frame(line, ends, "ends")]
    if not title.strip():
        faults.append(Problem("title", "nothing", "a title without names of players", "say what it shows"))
    if not faults and line.second(ends) <= line.second(begins):
        faults.append(Problem("ends", "before it begins", "a later frame", "set the end after the beginning"))
    if faults:
        raise UsageError(faults)
    value = {"film": film, "title": title.strip(), "begins": dict(begins), "ends": dict(ends)}
    return store.save("clip", {**value, "how": dict(how), "marks": list(marks)})


def files_made(store: Store, clip: str, files: Sequence[Mapping[str, Any]]) -> Saved[Any]:
    """Return a clip with the files a job made of it: name in exports/, digest, time."""
    kept = store.get("clip", clip)
    value = {name: getattr(kept.value, name) for name in kept.value.__struct_fields__}
    there = {one["name"]: one for one in [*kept.value.files.data(), *map(dict, files)]}
    return store.save("clip", {**value, "files": list(there.values())}, id=clip, seen=kept.version)


# ---- pointers ----


def pointer_page(one: Saved[Any]) -> Json:
    """Return what is pointed at, as a page needs it."""
    value = one.value
    head = {"id": one.id, "version": one.version, "film": value.film, "title": value.title}
    return {**head, "items": value.items.data(), "mark": value.mark, "note": value.note}


def save_pointer(
    store: Store,
    film: str,
    line: TimeLine,
    items: Sequence[Mapping[str, Any]],
    *,
    title: str,
    mark: str = "",
    note: str = "",
    id: str | None = None,
    seen: str | None = None,
) -> Saved[Any]:
    """Return what is pointed at as kept: new, or in the place of an older one.

    Raises:
        UsageError: every item that is none, or whose frames are not of the film.
    """
    faults = [fault for n, one in enumerate(items) for fault in _item(line, one, f"items[{n}]")]
    if faults:
        raise UsageError(faults)
    value = {"film": film, "title": title.strip() or "Pointers", "items": [dict(one) for one in items]}
    if id is not None and seen is None:
        seen = store.get("pointer", id).version
    return store.save("pointer", {**value, "mark": mark, "note": note}, id=id, seen=seen)


def _item(line: TimeLine, one: Any, where: str) -> Iterator[Problem]:
    if not isinstance(one, Mapping) or one.get("kind") not in POINTERS:
        kind = one.get("kind") if isinstance(one, Mapping) else one
        yield one_of(f"{where}.kind", kind, POINTERS)
        return
    for name in ("from", "to"):
        yield from _frame(line, one.get(name), f"{where}.{name}")
    text = one.get("text", "")
    if not isinstance(text, str) or len(text) > LONGEST_TEXT:
        yield Problem(f"{where}.text", "no text, or too much", f"up to {LONGEST_TEXT} letters", "say less")
    for name in ("at", "to_at"):
        if one.get(name) is not None:
            yield from _place(line, one[name], f"{where}.{name}")


def _place(line: TimeLine, place: Any, where: str) -> Iterator[Problem]:
    form = '{"court": [x, y]}, {"picture": [u, v]} or {"path": [[frame time, place], ...]}'
    known = [name for name in ("court", "picture", "path") if isinstance(place, Mapping) and name in place]
    if len(known) != 1:
        yield Problem(where, repr(place)[:60], form, "send one of the three")
    elif known == ["path"]:
        for n, step in enumerate(place["path"]):
            if not isinstance(step, list | tuple) or len(step) != 2:
                yield Problem(f"{where}.path[{n}]", repr(step)[:60], "[frame time, place]", "send both")
                continue
            yield from _frame(line, step[0], f"{where}.path[{n}][0]")
            yield from _place(line, step[1], f"{where}.path[{n}][1]")
    elif not _two_numbers(place[known[0]]):
        yield Problem(f"{where}.{known[0]}", repr(place[known[0]])[:40], "two numbers", "send [x, y]")


def _two_numbers(given: Any) -> bool:
    right = isinstance(given, list | tuple) and len(given) == 2
    return right and all(type(one) in (int, float) for one in given)


def _frame(line: TimeLine, at: Any, where: str) -> list[Problem]:
    return list(frame_time_faults(at, where)) or list(line.faults(at, where))
