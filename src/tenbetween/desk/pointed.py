"""Pointing at people and places on film: what is kept, checked, and what of it stands where in one frame.

An item is tied to the court, to the picture, or to a way of keyed frames. ``shapes_at`` turns items into plain
shapes in dots of the picture; the page does the same while the film runs, and both are held to one list of cases.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import isfinite
from typing import TYPE_CHECKING, Any

import numpy as np

from tenbetween.errors import FormatError, Problem, one_of
from tenbetween.film.camera import Camera

if TYPE_CHECKING:
    from tenbetween.store import Saved, Store

Json = dict[str, Any]
KINDS = ("ring", "arrow", "sight", "name", "count", "sentence", "pause")
PLACED = ("ring", "arrow", "sight", "name", "count")
TWO_ENDED = ("arrow", "sight")
RING_FT, HEAD_FT, AROUND = 2.4, 6.8, 24
"""Radius of a ring on the floor, height at which a name stands, corners of a ring."""
RING_PART, RING_FLAT = 0.035, 0.4
"""A ring tied to the picture: its half width as a share of the picture, and how flat it lies."""
MOST_ITEMS, MOST_TEXT = 200, 200


# ---- what is kept ----


def checked(given: Any) -> list[Json]:
    """Return the items of a pointer.

    Raises:
        FormatError: every fault of every item.
    """
    if not isinstance(given, list) or len(given) > MOST_ITEMS:
        raise FormatError(
            Problem("items", repr(given)[:60], f"a list of at most {MOST_ITEMS}", "send a list")
        )
    problems = [one for number, item in enumerate(given) for one in _faults(item, f"items[{number}]")]
    if problems:
        raise FormatError(problems)
    return given


def _faults(item: Any, where: str) -> Iterator[Problem]:
    if not isinstance(item, dict) or item.get("kind") not in KINDS:
        yield one_of(f"{where}.kind", str(item.get("kind") if isinstance(item, dict) else item)[:40], KINDS)
        return
    for name in ("from", "to"):
        yield from _time_faults(item.get(name), f"{where}.{name}")
    if item["kind"] in PLACED:
        yield from _place_faults(item.get("at"), f"{where}.at")
    if item["kind"] in TWO_ENDED:
        yield from _place_faults(item.get("to_at"), f"{where}.to_at")
    if not isinstance(item.get("text", ""), str) or len(item.get("text", "")) > MOST_TEXT:
        yield Problem(
            f"{where}.text", repr(item.get("text"))[:40], f"at most {MOST_TEXT} letters", "say it shorter"
        )
    if item["kind"] == "sentence" and not str(item.get("text", "")).strip():
        yield Problem(f"{where}.text", "nothing", "one sentence", "write it")
    if item.get("role") not in (None, "lead", "trail"):
        yield one_of(f"{where}.role", str(item.get("role"))[:40], ("lead", "trail"))


def _time_faults(given: Any, where: str) -> Iterator[Problem]:
    from tenbetween.store.film_values import frame_time_faults

    yield from frame_time_faults(given, where)


def _place_faults(given: Any, where: str) -> Iterator[Problem]:
    form = '{"court": [x, y]}, {"picture": [u, v]} or {"path": [[frame time, place], ...]}'
    if not isinstance(given, dict) or len(given) != 1 or not set(given) <= {"court", "picture", "path"}:
        yield Problem(where, repr(given)[:60], form, "click the place again")
        return
    if "path" not in given:
        (pair,) = given.values()
        if not _is_pair(pair):
            yield Problem(where, repr(pair)[:60], "two numbers", "click the place again")
        return
    keyed = given["path"]
    if (
        not isinstance(keyed, list)
        or not keyed
        or not all(isinstance(one, list) and len(one) == 2 for one in keyed)
    ):
        yield Problem(where, repr(keyed)[:60], "keyed frames, each a time and a place", "set a key frame")
        return
    for number, (time, place) in enumerate(keyed):
        yield from _time_faults(time, f"{where}.path[{number}]")
        if isinstance(place, dict) and "path" in place:
            yield Problem(f"{where}.path[{number}]", "a way within a way", form, "click the place again")
        else:
            yield from _place_faults(place, f"{where}.path[{number}]")


def _is_pair(given: Any) -> bool:
    return (
        isinstance(given, list)
        and len(given) == 2
        and all(isinstance(one, int | float) and isfinite(one) for one in given)
    )


def kept(store: Store, film: str, mark: str | None = None) -> list[Json]:
    """Return the pointers of a film, of one of its marks when named."""
    found = [_page(one) for one in store.find("pointer", film=film)]
    return found if mark is None else [one for one in found if one["mark"] == mark]


def keep(store: Store, film: str, given: Mapping[str, Any]) -> Json:
    """Keep a pointer new, or its changes under its id and the version that was seen."""
    items = checked(given.get("items"))
    title = " ".join(str(given.get("title") or "Pointers").split())[:200]
    value = {"film": film, "title": title, "items": items, "mark": str(given.get("mark") or "")}
    saved = store.save("pointer", value, id=given.get("id") or None, seen=given.get("version") or None)
    return _page(saved)


def _page(saved: Saved[Any]) -> Json:
    return {"id": saved.id, "version": saved.version, "title": saved.value.title, "mark": saved.value.mark,
            "items": saved.value.items.data()}  # fmt: skip


# ---- what stands where ----


def seconds_of(at: Mapping[str, Any]) -> float:
    """Return the seconds of a frame time in its part.

    >>> seconds_of({"part": "f", "pts": 45, "base": [1, 30]})
    1.5
    """
    return float(at["pts"]) * float(at["base"][0]) / float(at["base"][1])


def shapes_at(
    items: Sequence[Json], part: str, seconds: float, picture: tuple[int, int], camera: Camera | None
) -> list[Json]:
    """Return the shapes of the items that are on at a time of a part, in dots; those whose place is not known say so.

    >>> now = {"part": "f", "pts": 0, "base": [1, 30]}
    >>> told = [{"kind": "sentence", "from": now, "to": {**now, "pts": 60}, "text": "Look at the lead."}]
    >>> shapes_at(told, "f", 1.0, (640, 360), None)
    [{'kind': 'sentence', 'text': 'Look at the lead.'}]
    """
    found = []
    for item in items:
        begins, ends = seconds_of(item["from"]), seconds_of(item["to"])
        if (
            item["from"]["part"] != part
            or not begins - 1e-6 <= seconds <= ends + 1e-6
            or item["kind"] == "pause"
        ):
            continue
        shape = _shape(item, seconds, picture, camera, seconds - begins)
        found.append(shape if shape is not None else {"kind": "unknown", "of": item["kind"]})
    return found


def _shape(
    item: Json, seconds: float, picture: tuple[int, int], camera: Camera | None, since: float
) -> Json | None:
    kind = item["kind"]
    if kind == "sentence":
        return {"kind": kind, "text": item["text"]}
    place = place_at(item["at"], seconds)
    if kind == "ring":
        points = _ring(place, picture, camera)
        return None if points is None else {"kind": kind, "points": points}
    height = HEAD_FT if kind in ("name", "count") else 0.0
    dot = _dot(place, picture, camera, height)
    if dot is None:
        return None
    if kind in TWO_ENDED:
        other = _dot(place_at(item["to_at"], seconds), picture, camera, 0.0)
        return None if other is None else {"kind": kind, "points": [dot, other]}
    if kind == "count":
        return {"kind": kind, "at": dot, "text": str(int(since + 1e-6))}
    return {"kind": kind, "at": dot, "text": item.get("text", ""), "role": item.get("role") or ""}


def place_at(place: Json, seconds: float) -> Json:
    """Return a place at a time: itself, or on a way of keyed frames evenly between two of them.

    >>> keyed = [[{"part": "f", "pts": t, "base": [1, 1]}, {"court": [x, 5.0]}] for t, x in ((0, 10.0), (2, 20.0))]
    >>> place_at({"path": keyed}, 0.5)
    {'court': [12.5, 5.0]}
    """
    if "path" not in place:
        return place
    keyed = sorted(((seconds_of(time), one) for time, one in place["path"]), key=lambda one: one[0])
    after = next((number for number, (time, _) in enumerate(keyed) if time >= seconds), None)
    if after is None:
        return dict(keyed[-1][1])
    if after == 0:
        return dict(keyed[0][1])
    (first, begins), (last, ends) = keyed[after - 1], keyed[after]
    (kind,) = begins
    if kind not in ends or last <= first:
        return dict(begins)
    share = (seconds - first) / (last - first)
    return {kind: [a + (b - a) * share for a, b in zip(begins[kind], ends[kind], strict=True)]}


def _dot(place: Json, picture: tuple[int, int], camera: Camera | None, height: float) -> list[float] | None:
    if "picture" in place:
        u, v = place["picture"]
        return [u * picture[0] - 0.5, v * picture[1] - 0.5]
    if camera is None:
        return None
    x, y = place["court"]
    found = camera.dots([[x, y, height]])[0]
    return [float(found[0]), float(found[1])] if np.isfinite(found).all() else None


def _ring(place: Json, picture: tuple[int, int], camera: Camera | None) -> list[list[float]] | None:
    turns = np.arange(AROUND) * 2 * np.pi / AROUND
    if "picture" in place:
        dot = _dot(place, picture, camera, 0.0)
        wide = RING_PART * picture[0]
        return (
            None
            if dot is None
            else [
                [dot[0] + wide * float(np.cos(t)), dot[1] + wide * RING_FLAT * float(np.sin(t))]
                for t in turns
            ]
        )
    if camera is None:
        return None
    x, y = place["court"]
    dots = camera.dots(np.column_stack([x + RING_FT * np.cos(turns), y + RING_FT * np.sin(turns)]))
    found: list[list[float]] = dots.tolist()
    return found if np.isfinite(dots).all() else None
