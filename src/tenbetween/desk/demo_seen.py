"""What is seen on the demo film, told from its truth: duties ticked, one court found, one scene, one pointing.

So that the screens beside the picture are not empty on the first evening. Everything goes in through the same doors
as a trainer's clicks; what is there already stays. Only a few duties are ticked: the rest is left to look at.
"""

from __future__ import annotations

from math import dist
from typing import TYPE_CHECKING, Any

import numpy as np

from tenbetween.film.camera import Camera

if TYPE_CHECKING:
    from tenbetween.desk.workbench import Workbench

Json = dict[str, Any]
TICKED = (
    ("stop-clock", "e1"), ("spot-shown", "e3"), ("eye-contact", "e4"), ("who-gives", "e5"), ("step-back", "e7"),
    ("chop", "e10"),
)  # fmt: skip
"""The duties that are ticked, and the event each is seen by."""
PLACES = "places"
"""What the truth says of where somebody stood, not of an event."""
PRAISE = "Good: your eyes met before the ball was given"
NEXT = {
    "e7": "now step back once it is given.",
    "e10": "now let the chop come with the first touch.",
    PLACES: "now look how far up the floor the partner stands.",
    "": "keep that, every time.",
}
EDGE = 0.03
"""Somebody is well in view when his feet are at least this share of the picture away from its edge."""
CLEAR = 0.01
FEWEST_MARKS, MARKS = 6, 8
"""With fewer marks in view no court is looked for; so many are clicked where there are more."""
KEYED_EVERY, BEFORE, AFTER = 6, 15, 60
"""Frames between the keys of a ring, and how many it is shown before the eyes meet and after disposal."""


def otherwise(restart: Json) -> dict[str, str]:
    """Return what is drawn on purpose not as the book says, in words by event (or ``places``).

    >>> otherwise({"otherwise": ["e7: nobody steps back"]})
    {'e7': 'nobody steps back'}
    """
    return dict(one.split(": ", 1) for one in restart["otherwise"])


def verdicts(restart: Json) -> dict[str, tuple[str, str]]:
    """Return what is to be ticked of a restart: by duty the verdict and a note; what has no event is left open.

    >>> verdicts({"events": {"e4": 5, "e6": 9}, "otherwise": ["e7: nobody steps back"]})
    {'eye-contact': ('yes', ''), 'step-back': ('no', 'nobody steps back')}
    """
    events, wrong = restart["events"], otherwise(restart)
    found = {}
    for duty, event in TICKED:
        if event in wrong:
            found[duty] = ("no", wrong[event])
        elif event in events and (duty != "eye-contact" or events["e4"] < events["e6"]):
            found[duty] = ("yes", "")
    return found | ({PLACES: ("no", wrong[PLACES])} if PLACES in wrong else {})


def tick(bench: Workbench, mark: str, restart: Json) -> None:
    """Tick on a mark what is truly seen of its duties; those the restart gives no chance for are left out."""
    beside = bench.films.answer_for(mark)
    whose = {row["duty"]: row["who"] for row in beside["compare"]}
    for duty, (verdict, note) in verdicts(restart).items():
        if duty in whose:
            bench.films.set_duty(mark, duty, whose[duty] or "crew", verdict, note)
        elif duty == PLACES:
            reasons = (beside["ruling"] or {}).get("reasons") or ()
            taught = next((one["provision"] for one in reasons if one["decides"] == PLACES), "")
            if taught:
                bench.films.set_duty(mark, taught, partner_of(restart), verdict, note)


def partner_of(restart: Json) -> str:
    """Return who does not give the ball.

    >>> partner_of({"administers": "umpire"})
    'referee'
    """
    return "referee" if restart["administers"] == "umpire" else "umpire"


# ---- the court, a scene, pointing ----


class Frame:
    """One frame of the film as it truly is: its camera, who stands where, and their dots in the picture."""

    def __init__(self, truth: Json, number: int) -> None:
        self.truth, self.number = truth, number
        wide, high = (int(one) for one in truth["picture"])
        self.picture = (wide, high)
        empty = Camera(0, 0, 1, 0, 0, 0, 1, 0, self.picture)
        self.camera = empty.with_numbers(truth["camera"]["numbers"][number])

    def place(self, who: str) -> tuple[float, float]:
        """Return where somebody stands, in feet."""
        x, y = self.truth["people"][who]["places"][self.number]
        return float(x), float(y)

    def dot(self, place: tuple[float, float]) -> tuple[float, float]:
        """Return the dot of a place on the floor."""
        u, v = np.asarray(self.camera.dots([place]))[0]
        return float(u), float(v)

    def shows(self, dot: tuple[float, float], edge: float = 0.0) -> bool:
        """Return whether a dot is in the picture, and so far from its edge (a share of the picture)."""
        return all(edge * of <= at <= (1 - edge) * of - 1 for at, of in zip(dot, self.picture, strict=True))

    def marks(self, names: dict[str, tuple[float, float]]) -> list[Json]:
        """Return exact clicks on some of the named places that are in the picture, far apart from each other."""
        dots = {name: self.dot(place) for name, place in names.items()}
        left = {name: dot for name, dot in dots.items() if self.shows(dot, CLEAR)}
        taken = dict([left.popitem()]) if left else {}
        while left and len(taken) < MARKS:
            near = {name: min(dist(dot, one) for one in taken.values()) for name, dot in left.items()}
            farthest = max(near, key=lambda name: near[name])
            taken[farthest] = left.pop(farthest)
        return [{"name": name, "px": list(dot)} for name, dot in taken.items()]


def show(bench: Workbench, film: Json, truth: Json, restarts: list[Json]) -> None:
    """Find the court on one restart, keep who stands where, and point at both officials with one sentence."""
    names = _clickable(bench, film)
    found = next((one for one in sorted(restarts, key=_order) if _suits(truth, one, names)), None)
    if found is None:
        return
    part = film["parts"][0]
    here = {"part": part["fingerprint"], "base": part["base"]}
    begins = {**here, "pts": min(found["events"].values())}
    mark = next((one["id"] for one in bench.films.marks(film["id"]) if one["at"] == begins), "")
    frame = _at_disposal(truth, found)
    at = {**here, "pts": found["events"]["e6"]}
    if not bench.courts.page(film["id"], at)["anchor"]:
        bench.courts.save_anchor(film["id"], at, {"landmarks": frame.marks(names), "snap": True})
    if not bench.courts.page(film["id"], at)["standing"]["feet"]:
        feet = _feet(frame, found)
        bench.courts.stand(film["id"], at, {"feet": feet, "pairs": "nearest"}, mark)
    if not any(one["mark"] == mark for one in bench.courts.pointers(film["id"])):
        items = _pointing(truth, found, here)
        bench.courts.save_pointer(
            film["id"], {"title": "Both officials at disposal", "mark": mark, "items": items}
        )


def _clickable(bench: Workbench, film: Json) -> dict[str, tuple[float, float]]:
    from tenbetween.court import landmarks
    from tenbetween.desk.court_words import clickable

    court = bench.courts.floor(film)
    kinds = clickable(court)
    floor = {
        name: place for name, place in landmarks(court).items() if not name.endswith("_basket")
    }  # up high
    return {name: place for name, place in floor.items() if kinds.get(name) == "landmark"}


def _order(restart: Json) -> bool:
    """A restart with something to work on comes first."""
    return not restart["otherwise"]


def _at_disposal(truth: Json, restart: Json) -> Frame:
    return Frame(truth, truth["pts"].index(restart["events"]["e6"]))


def _suits(truth: Json, restart: Json, names: dict[str, tuple[float, float]]) -> bool:
    """Whether eyes meet on a restart, both officials are well in view at disposal, and the court can be found."""
    if verdicts(restart).get("eye-contact", ("", ""))[0] != "yes":
        return False
    frame = _at_disposal(truth, restart)
    both = all(frame.shows(frame.dot(frame.place(who)), EDGE) for who in ("referee", "umpire"))
    return both and len(frame.marks(names)) >= FEWEST_MARKS


def _roles(frame: Frame, restart: Json) -> dict[str, str]:
    """Return who is lead and who trail where they stand: the lead is nearer the end that is attacked."""
    way = -1 if restart["attacking"] == "right" else 1
    lead, trail = sorted(("referee", "umpire"), key=lambda who: way * frame.place(who)[0])
    return {"lead": lead, "trail": trail}


def _feet(frame: Frame, restart: Json) -> list[Json]:
    ids = dict(_roles(frame, restart))
    for who, one in frame.truth["people"].items():
        if one["kind"] in ("white", "dark"):
            ids[("a" if one["kind"] == "white" else "b") + who[1:]] = who
    dots = {id_: frame.dot(frame.place(who)) for id_, who in ids.items()}
    return [{"id": id_, "px": list(dot)} for id_, dot in dots.items() if frame.shows(dot)]


def _pointing(truth: Json, restart: Json, here: Json) -> list[Json]:
    """Return a ring on both officials that goes with their feet, and one sentence: first what is right."""
    pts, events = truth["pts"], restart["events"]
    first = max(0, pts.index(events["e4"]) - BEFORE)
    last = min(len(pts) - 1, pts.index(events["e6"]) + AFTER)

    def at(number: int) -> Json:
        return {**here, "pts": pts[number]}

    span = {"from": at(first), "to": at(last)}
    keyed = sorted({*range(first, last, KEYED_EVERY), last})
    roles = _roles(_at_disposal(truth, restart), restart)
    rings = [
        {"kind": "ring", **span, "text": "", "role": role,
         "at": {"path": [[at(number), _on_picture(truth, number, who)] for number in keyed]}}
        for role, who in roles.items()
    ]  # fmt: skip
    words = f"{PRAISE}; {NEXT[next(iter(otherwise(restart)), '')]}"
    told = {
        "kind": "sentence",
        "from": at(pts.index(events["e6"])),
        "to": at(last),
        "text": words,
        "role": None,
    }
    return [*rings, told]


def _on_picture(truth: Json, number: int, who: str) -> Json:
    frame = Frame(truth, number)
    dot = frame.dot(frame.place(who))
    return {"picture": [round((at + 0.5) / of, 4) for at, of in zip(dot, frame.picture, strict=True)]}
