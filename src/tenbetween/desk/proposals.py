"""What listening and looking proposed: whistles, horns, lulls, cuts; one key to keep one as a mark, or to drop it.

A proposal is a suggestion and nothing more; the doubtful ones can be hidden, and what was judged stays judged.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, Any, TypeAlias

from tenbetween.desk.films import TimeLine
from tenbetween.errors import Problem, StoreError, UsageError, one_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from tenbetween.store import Saved, Store

Json = dict[str, Any]
Frames: TypeAlias = "NDArray[Any] | None"
"""The time stamps of a part's frames; None where the film is away."""
PtsOf: TypeAlias = "Callable[[str], Frames]"
KINDS = ("whistle", "horn", "lull", "cut")
VERDICTS = ("kept", "dropped")
BALL_DEAD = frozenset(("whistle", "horn"))
"""A proposal of these kinds is the dead ball itself; a lull or a cut is only near it."""


def heard(store: Store, film: str, part: str, proposals: Sequence[Mapping[str, Any]]) -> Saved[Any]:
    """Keep what listening to a part proposed; what was proposed for it before, and judged, stays.

    Raises:
        UsageError: a proposal without its time, kind or confidence.
    """
    faults = [fault for n, one in enumerate(proposals) for fault in _faults(one, f"proposals[{n}]")]
    if faults:
        raise UsageError(faults)
    value = {"film": film, "part": part, "proposals": [dict(one) for one in proposals]}
    earlier = [one for one in store.find("listening", film=film) if one.value.part == part]
    for one in earlier:
        if one.value.proposals.data() == value["proposals"]:
            return one
        if not store.find("judged", listening=one.id):
            return store.save("listening", value, id=one.id, seen=one.version)
    return store.save("listening", value)


def _faults(one: Mapping[str, Any], where: str) -> Iterator[Problem]:
    for name in ("t", "t_end", "confidence"):
        if type(one.get(name)) not in (int, float):
            yield Problem(f"{where}.{name}", repr(one.get(name))[:40], "a number", "send seconds and a share")
    if one.get("kind") not in KINDS:
        yield one_of(f"{where}.kind", one.get("kind"), KINDS)


def listed(store: Store, film: str, line: TimeLine, pts_of: PtsOf, least: float = 0.0) -> list[Json]:
    """Return the proposals of a film in the order of the game, those under ``least`` confidence left out.

    What was judged is shown whatever its confidence.
    """
    found = []
    for listening in newest_of_each_part(store, film, line):
        pts = pts_of(listening.value.part)
        judged = {one.value.number: one for one in store.find("judged", listening=listening.id)}
        for n, one in enumerate(listening.value.proposals.data()):
            verdict = judged.get(str(n))
            if verdict is not None or one["confidence"] >= least:
                found.append(_page(listening, n, one, verdict, line, pts))
    return sorted(found, key=lambda one: (one["t"], one["id"]))


def newest_of_each_part(store: Store, film: str, line: TimeLine) -> list[Saved[Any]]:
    """Return the last listening to each part that is still of the film."""
    newest = {one.value.part: one for one in store.find("listening", film=film)}
    return [one for part, one in newest.items() if part in line.parts]


def _page(
    listening: Saved[Any], n: int, one: Json, judged: Saved[Any] | None, line: TimeLine, frames: Frames
) -> Json:
    at = frame_of(one, line.parts[listening.value.part], frames)
    begins = line.second(at)
    return {
        "id": f"{listening.id}.{n}",
        "part": listening.value.part,
        "t": float(begins),
        "t_end": float(begins) + max(0.0, one["t_end"] - one["t"]),
        "pts": at["pts"],
        "at": at,
        "kind": one["kind"],
        "confidence": one["confidence"],
        "verdict": judged.value.verdict if judged else "",
        "mark": judged.value.mark if judged else "",
    }


def frame_of(proposal: Mapping[str, Any], part: Mapping[str, Any], frames: Frames = None) -> Json:
    """Return the frame time of a proposal: its own, or that of the frame on the screen at its second of the part.

    ``t`` counts from the first picture; without ``frames`` (the film is away) it stands as it is.
    """
    pts = proposal.get("pts")
    if type(pts) is not int:
        ticks = round(Fraction(str(proposal["t"])) * part["base"][1] / part["base"][0])
        pts = part["first_pts"] + ticks
    pts = min(max(pts, part["first_pts"]), part["last_pts"])
    if frames is not None and len(frames):
        pts = int(frames[max(0, int(frames.searchsorted(pts, side="right")) - 1)])
    return {"part": part["fingerprint"], "pts": pts, "base": list(part["base"])}


def judge(
    store: Store, film: str, line: TimeLine, pts_of: PtsOf, id: str, verdict: str, basis: Json
) -> Saved[Any] | None:
    """Keep a proposal, with the mark made of it, or drop it; return the mark, or None.

    A proposal that was dropped can be kept after all, and the other way round: a mark nothing was said of since goes.

    Raises:
        UsageError: no such verdict.
        StoreError: no such proposal on this film.
    """
    if verdict not in VERDICTS:
        raise UsageError(one_of("verdict", verdict, VERDICTS))
    listening, number = _find(store, film, id)
    old = next((j for j in store.find("judged", listening=listening.id) if j.value.number == number), None)
    if old is not None and old.value.verdict == verdict:
        return store.get("mark", old.value.mark) if old.value.mark and _there(store, old) else None
    proposal = listening.value.proposals.data()[int(number)]
    part = listening.value.part
    at = frame_of(proposal, line.parts[part], pts_of(part))
    with store.together() as changes:
        made = None
        if verdict == "kept":
            events = {"e0": at} if proposal["kind"] in BALL_DEAD else {}
            made = changes.save("mark", {"film": film, "at": at, "events": events}, basis=basis)
        elif old is not None and _untouched(store, old):
            changes.remove("mark", old.value.mark, seen=store.get("mark", old.value.mark).version)
        value = {
            "listening": listening.id,
            "number": number,
            "verdict": verdict,
            "mark": made.id if made else "",
        }
        seen = (old.id, old.version) if old else (None, None)
        changes.save("judged", value, id=seen[0], seen=seen[1])
    return made


def _find(store: Store, film: str, id: str) -> tuple[Saved[Any], str]:
    head, _, number = id.partition(".")
    for one in store.find("listening", film=film):
        if one.id == head and number.isdecimal() and int(number) < len(one.value.proposals.data()):
            return one, str(int(number))
    raise StoreError(Problem("proposal", id[:60], "a proposal of this film", "read the proposals again"))


def _there(store: Store, judged: Saved[Any]) -> bool:
    """Whether the mark made of a proposal was not taken out since."""
    entries = store.history("mark", judged.value.mark, limit=1)
    return bool(entries) and entries[0].after is not None


def _untouched(store: Store, judged: Saved[Any]) -> bool:
    """Whether nothing was said of the mark since it was made of the proposal."""
    entries = store.history("mark", judged.value.mark, limit=2)
    return len(entries) == 1 and entries[0].after is not None
