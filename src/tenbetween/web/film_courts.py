"""What the page that finds the court needs of the desk, and the parts of that page in words.

A frame time is ``{"part", "pts", "base"}``; a click is ``{"name" or "id", "px": [u, v]}`` in dots of the picture.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Protocol

from starlette.requests import Request

from tenbetween.web.film_words import job_row
from tenbetween.web.render import part
from tenbetween.web.workbench import Json

WHO: tuple[tuple[str, str], ...] = (
    ("lead", "Lead"),
    ("trail", "Trail"),
    *((f"a{number}", f"White {number}") for number in range(1, 6)),
    *((f"b{number}", f"Dark {number}") for number in range(1, 6)),
    ("ball", "Ball, where it touches the floor"),
)
"""Whose feet can be clicked."""
KEYS: tuple[tuple[str, str], ...] = (
    ("arrows", "move the cross half a dot; with Shift five dots"),
    ("Enter", "put the chosen mark there; again: go on to the next"),
    ("Delete", "take the chosen one away"),
    ("F", "feet; again: marks of the floor"),
    ("S", "snap to the painted lines"),
    ("R", "find it again from another frame, without a click"),
    ("K", "keep this court"),
    ("W", "what the crew saw"),
    ("?", "this list"),
)
SIGNS = {"green": "known", "amber": "doubtful", "red": "lost", "": "by hand"}
"""One word and one pattern for each state, so that none is told by colour alone."""


class CourtRoom(Protocol):
    """Everything the page may ask; every call raises ``TenbetweenError`` with directions on bad input."""

    def page(self, film: str, at: Json | None = None) -> Json:
        """Return what the page shows for a frame."""
        ...

    def locate(self, film: str, at: Json, given: Mapping[str, Any]) -> Json:
        """Return what clicks give."""
        ...

    def again(self, film: str, at: Json) -> Json:
        """Offer the court of a frame found again from another one."""
        ...

    def save_anchor(self, film: str, at: Json, given: Mapping[str, Any]) -> Json:
        """Keep the court as found on a frame."""
        ...

    def anchors(self, film: str) -> list[Json]:
        """Return the anchors of a film."""
        ...

    def remove_anchor(self, anchor: str) -> None:
        """Take an anchor away."""
        ...

    def follow(self, anchor: str, seconds: float = 10.0) -> Json:
        """Carry the camera of an anchor on and back."""
        ...

    def carrying(self, film: str, job: str) -> Json:
        """Return how far the work is that carries an anchor."""
        ...

    def cameras(self, film: str, part: str, begins: int, ends: int) -> Json:
        """Return every known camera of a part between two time stamps."""
        ...

    def pointers(self, film: str) -> list[Json]:
        """Return what is pointed at on a film: id, version, title, mark, items."""
        ...

    def save_pointer(self, film: str, given: Mapping[str, Any]) -> Json:
        """Keep a pointer new, or its changes under its id and the version that was seen."""
        ...

    def stand(
        self, film: str, at: Json, given: Mapping[str, Any], mark: str = "", *, keep: bool = True
    ) -> Json:
        """Return where clicked feet stand and what the crew saw."""
        ...


def courts_of(request: Request) -> CourtRoom:
    """Return the court room of this workbench."""
    room: CourtRoom = request.app.state.workbench.courts
    return room


def marks_part(located: Json) -> str:
    """Return the list of clicks with the words above it."""
    return part("parts/court-marks.html", located=located, signs=SIGNS)


def feet_part(feet: list[Json]) -> str:
    """Return the list of feet with their error."""
    return part("parts/court-feet.html", feet=[foot_row(one) for one in feet])


def saw_part(stood: Json) -> str:
    """Return what the crew saw, as ranges."""
    names = dict(WHO)
    pairs = [(names.get(a, a), names.get(b, b)) for a, b in stood.get("pairs") or ()]
    return part("parts/court-saw.html", told=stood["told"], pairs=pairs)


def anchors_part(film: str, anchors: list[Json]) -> str:
    """Return the frames on which the court is known, and how far each is carried."""
    return part(
        "parts/court-anchors.html",
        film={"id": film},
        anchors=[anchor_row(one) for one in anchors],
        signs=SIGNS,
    )


def foot_row(one: Json) -> Json:
    """Return one pair of feet in words."""
    at = one["at"]
    place = (
        "" if at is None else f"{at[0]:.1f} ft from the left end line, {at[1]:.1f} ft from the table sideline"
    )
    return {**one, "who": dict(WHO).get(one["id"], one["id"]), "place": place}


def anchor_row(one: Json) -> Json:
    """Return one anchor in words."""
    carried = one.get("carried")
    words = "" if carried is None else carried_words(carried)
    work = one.get("job")
    shown = work_row(work) if work and work["state"] != "done" else None
    return {
        **one,
        "time": clock(one["seconds"]),
        "carried_words": words,
        "bars": _bars(carried),
        "work": shown,
    }


def work_row(job: Json) -> Json:
    """Return the work that carries an anchor as its row shows it.

    >>> job = {"id": "j", "title": "", "state": "running", "state_words": "under way", "done": 1, "of": 4, "may": "cancel"}
    >>> row = work_row(job)
    >>> row["going"], row["words"]
    (True, 'under way, 25 %')
    """
    return {**job_row(job), "going": job["state"] in ("waiting", "running")}


def work_told(job: Json) -> Json:
    """Return the work that carries an anchor as the page asks for it: state, words, and the part that shows them."""
    row = work_row(job)
    carried = job.get("carried")
    words = carried_words(carried) if carried else ". ".join([row["words"], *row["problems"]])
    told = {"job": row["id"], "state": row["state"], "going": row["going"], "share": row["share"]}
    return {**told, "words": words, "part": part("parts/court-carrying.html", work=row)}


def carried_words(carried: Json) -> str:
    """Return in words how far an anchor was carried.

    >>> carried_words({"frames": 300, "green": 270, "amber": 20, "red": 10})
    'Carried over 300 frames: 270 known, 20 doubtful, 10 lost. Click two points where it is lost.'
    """
    said = f"Carried over {carried['frames']} frames: {carried['green']} known, {carried['amber']} doubtful, {carried['red']} lost."
    return said + (" Click two points where it is lost." if carried["red"] else "")


def _bars(carried: Json | None) -> list[Json]:
    """Return the stretches of one state as places along a strip 0 to 1000."""
    if carried is None or not carried["runs"]:
        return []
    first, last = carried["runs"][0]["from"], carried["runs"][-1]["to"]
    wide = max(1, last - first)
    return [
        {"state": one["state"], "x": round(1000 * (one["from"] - first) / wide, 1),
         "wide": max(2.0, round(1000 * (one["to"] - one["from"]) / wide, 1))}
        for one in carried["runs"]
    ]  # fmt: skip


def clock(seconds: float) -> str:
    """Return a time in a film.

    >>> clock(83.456)
    '1:23.46'
    """
    minutes, rest = divmod(round(seconds * 100), 6000)
    return f"{minutes}:{rest // 100:02d}.{rest % 100:02d}"
