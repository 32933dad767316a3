"""The card of one moment: event clock, what happened, the answer beside it, what was seen of each duty.

Puts the desk's dictionaries into the parts of the page; says nothing of its own about a play.
"""

from __future__ import annotations

from typing import Any

from tenbetween.errors import TenbetweenError
from tenbetween.web.causes import WORDS
from tenbetween.web.film_room import FilmRoom, Json
from tenbetween.web.film_words import film_view
from tenbetween.web.moments import (
    EVENTS,
    VERDICTS,
    event_rows,
    floor_of,
    lead_words,
    line_time,
    mark_row,
    next_event,
)
from tenbetween.web.places import place_words
from tenbetween.web.render import part

LETTERS = "abcdefghijklmnopqrstuvwxyz"
CAUSES: tuple[tuple[str, str, str, str], ...] = tuple(
    (word.cause, word.tile, word.group, LETTERS[n]) for n, word in enumerate(WORDS)
)
"""Each cause with its tile, its group, and the letter that chooses it after Q."""
FOLLOW: tuple[tuple[str, str, tuple[tuple[str, str], ...]], ...] = (
    ("called_by", "Called by", (("lead", "lead"), ("trail", "trail"))),
    ("bonus", "Bonus", (("yes", "in the bonus"), ("no", "not yet"))),
    ("pending", "Throw-in pending", (("spot", "from a spot"), ("run_end_line", "may run the end line"))),
    ("pressure", "Pressure", (("yes", "in the back court"), ("no", "none"))),
)
PEOPLE = ("referee", "umpire")


def card(films: FilmRoom, film: Json, mark: Json, *, whole: bool) -> Json:
    """Return the parts of a mark's card: the clock always, what happened and the answer when ``whole``."""
    clock = part("parts/film-clock.html", **clock_of(films, film, mark))
    answer: Json = {"parts": {"clock": clock}, "next": next_event(mark)}
    if whole:
        answer["parts"] |= {
            "what": part("parts/film-what.html", **what_of(film, mark)),
            "answer": part("parts/film-answer.html", **answer_of(films, film, mark)),
        }
    return answer


def clock_of(films: FilmRoom, film: Json, mark: Json) -> Json:
    """Return what the event clock shows: rows, the next one, strokes, measures."""
    rows = event_rows(film, mark)
    return {
        "mark": mark,
        "head": mark_row(film, mark),
        "rows": rows,
        "next": next_event(mark),
        "next_label": dict(EVENTS).get(next_event(mark), ""),
        "strokes": [line_time(film["parts"], at) for at in mark.get("strokes") or ()],
        "measures": [measure_row(one) for one in mark.get("measures") or ()],
        "frame_s": frame_length(film, mark["at"]["part"]),
    }


def measure_row(one: Json) -> Json:
    """Return one line of the measures: its words and the sign they stand behind.

    >>> measure_row({"what": "touch to chop", "seconds": None, "note": "not seen"})["sign"]
    'not-seen'
    >>> measure_row({"what": "touch to chop", "seconds": None, "note": "chop stands before the touch"})["sign"]
    'caution'
    """
    note = one.get("note") or ("not seen" if one["seconds"] is None else "")
    sign = "" if one["seconds"] is not None else "not-seen" if note == "not seen" else "caution"
    return {**one, "note": note, "sign": sign}


def frame_length(film: Json, fingerprint: str) -> float:
    """Return about how long one frame of a part stands, in seconds.

    >>> frame_length({"parts": [{"fingerprint": "f", "duration_s": 10.0, "frames": 250}]}, "f")
    0.04
    """
    for one in film["parts"]:
        if one["fingerprint"] == fingerprint and one.get("frames"):
            return float(one["duration_s"]) / int(one["frames"])
    return 1 / 30


def what_of(film: Json, mark: Json) -> Json:
    """Return what the page shows of why play stopped, where, whose ball, who was where."""
    situation = mark.get("situation") or {}
    cause = situation.get("stopped_by", "")
    at = situation.get("at")
    asks = next((word.follow for word in WORDS if word.cause == cause), ())
    crew = mark.get("crew") or {}
    lead = mark.get("lead") or crew.get("lead") or ""
    return {
        "mark": mark,
        "film": film,
        "causes": CAUSES,
        "cause": cause,
        "situation": {
            "ball_to": "",
            **situation,
            "attacking": mark.get("attacking") or situation.get("attacking", ""),
        },
        "at": at,
        "at_words": place_words((float(at[0]), float(at[1])), floor_of(situation)) if at else "",
        "lead": lead,
        "trail": next((one for one in PEOPLE if lead and one != lead), ""),
        "lead_side": mark.get("lead_side") or crew.get("lead_side") or "",
        "lead_words": lead_words(mark),
        "corrected": bool(crew.get("corrected")),
        "follow": [
            (name, label, choices, _said(situation.get(name)))
            for name, label, choices in FOLLOW
            if name in asks
        ],
        "recognise": film_view(film)["recognise"],
    }


def _said(value: Any) -> str:
    return {True: "yes", False: "no"}[value] if isinstance(value, bool) else str(value or "")


def answer_of(films: FilmRoom, film: Json, mark: Json) -> Json:
    """Return the answer beside the picture, expected against seen, duties, note and tags."""
    try:
        found, faults = films.answer_for(mark["id"]), []
    except TenbetweenError as error:
        found, faults = {}, [problem.as_dict() for problem in error.problems]
    compare = list(found.get("compare") or ())
    expected = {(one.get("duty"), one.get("who")) for one in compare}
    own = [one for one in mark.get("duties") or () if (one["duty"], one["who"]) not in expected]
    return {
        "mark": mark,
        "film": film_view(film),
        "sentence": found.get("sentence", ""),
        "ruling": found.get("ruling") or {},
        "court_svg": found.get("court_svg", ""),
        "compare": compare,
        "needs": [str(one).replace("_", " ") for one in found.get("needs") or ()],
        "caution": found.get("caution", ""),
        "own": own,
        "verdicts": VERDICTS,
        "faults": faults,
        "lead": mark.get("lead") or (mark.get("crew") or {}).get("lead") or "",
    }


def row_of(film: Json, mark: Json) -> str:
    """Return one row of the list of marks."""
    return part("parts/film-row.html", row=mark_row(film, mark), current="")


def measured(found: Json) -> Json:
    """Return the medians of a film by kind, ready for the table."""
    medians = list(found.get("medians") or ())
    backwards = any(one.get("backwards") for one in medians)
    return {"medians": medians, "backwards": backwards, "note": found.get("note", "")}
