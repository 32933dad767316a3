"""Which marked regions a piece of film shows: a region marked for one clip is blurred in every clip of that stretch.

So a reel, a comparison or a second clip of the same seconds cannot show what was blurred once. Blurs nothing itself.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from tenbetween.store import Saved

Json = dict[str, Any]


def regions_on(clips: Iterable[Saved[Any]], begins: Mapping[str, Any], ends: Mapping[str, Any]) -> list[Json]:
    """Return the regions of all ``clips`` that are seen between two frames of a part, each once.

    >>> regions_on([], {"part": "f", "pts": 0}, {"part": "f", "pts": 9})
    []
    """
    found: dict[str, Json] = {}
    for clip in clips:
        for one in _regions_of(clip):
            first, last = min(mark[0] for mark in one["marks"]), one["until"]
            if one["part"] == begins["part"] and first <= ends["pts"] and last >= begins["pts"]:
                found.setdefault(repr((one["marks"], last)), one)
    return list(found.values())


LAST = 2**62
"""To the end of the part: where a clip goes on into the next."""


def _regions_of(clip: Saved[Any]) -> list[Json]:
    """Return the regions marked for a clip, each with its part and the frame it ends at; one that cannot be read is
    left to its clip. A region that names no part is of the part the clip begins in.
    """
    first, last = clip.value.begins.data()["part"], clip.value.ends.data()
    found = []
    for one in clip.value.how.data().get("blur") or ():
        if isinstance(one, Mapping) and one.get("marks"):
            part = str(one.get("part") or first)
            ends = last["pts"] if part == last["part"] else LAST
            found.append({**one, "part": part, "until": int(one.get("until") or ends)})
    return found
