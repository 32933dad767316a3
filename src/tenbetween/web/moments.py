"""How a film and its marks are put on a page: times on the game's one line, events in order, words.

Only words and sums of frame times; what a moment means is the desk's business.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Any

from tenbetween.web.causes import WORDS
from tenbetween.web.places import Floor, place_words

Json = dict[str, Any]
NOT_SEEN = "not seen"
EVENTS: tuple[tuple[str, str], ...] = (
    ("e0", "Whistle or ball dead"),
    ("e1", "Stop-clock signal"),
    ("e2", "Colour and direction"),
    ("e3", "Spot shown"),
    ("e4", "Eye contact, partner ready"),
    ("e5", "Official and thrower at the spot"),
    ("e6", "Disposal"),
    ("e7", "Steps back, box closed"),
    ("e8", "Release"),
    ("e9", "Touch on court"),
    ("e10", "Chop"),
    ("e11", "Next-play coverage"),
)
EVENT_KEYS = (*"0123456789", "-", "=")
VERDICTS: tuple[tuple[str, str], ...] = (
    ("yes", "Yes"),
    ("no", "No"),
    ("not seen", "Not seen"),
    ("no chance", "No chance"),
)
CAUSES = {word.cause: word.tile for word in WORDS}


def seconds_of(at: Mapping[str, Any]) -> float:
    """Return a frame time as seconds of its part.

    >>> seconds_of({"part": "f", "pts": 3003, "base": [1, 1000]})
    3.003
    """
    return float(Fraction(at["pts"] * at["base"][0], at["base"][1]))


def line_time(parts: Sequence[Mapping[str, Any]], at: Mapping[str, Any]) -> float | None:
    """Return a frame time on the game's one line in seconds; None for a part that is not of the film.

    >>> part = {"fingerprint": "f", "offset_us": 60_000_000, "first_pts": 1000, "base": [1, 1000]}
    >>> line_time([part], {"part": "f", "pts": 3000, "base": [1, 1000]})
    62.0
    """
    for part in parts:
        if part["fingerprint"] == at["part"]:
            begins = Fraction(part["first_pts"] * part["base"][0], part["base"][1])
            gone = Fraction(at["pts"] * at["base"][0], at["base"][1]) - begins
            return float(gone + Fraction(part["offset_us"], 1_000_000))
    return None


def clock_words(seconds: float | None) -> str:
    """Return a time of the film to a hundredth.

    >>> clock_words(201.404), clock_words(3723.5), clock_words(None)
    ('3:21.40', '1:02:03.50', '?')
    """
    if seconds is None:
        return "?"
    hundredths = round(max(0.0, seconds) * 100)
    minutes, rest = divmod(hundredths, 6000)
    hours, minutes = divmod(minutes, 60)
    tail = f"{rest // 100:02d}.{rest % 100:02d}"
    return f"{hours}:{minutes:02d}:{tail}" if hours else f"{minutes}:{tail}"


def length_words(seconds: float) -> str:
    """Return the length of a film.

    >>> length_words(5225), length_words(40)
    ('1 h 27 min', '40 s')
    """
    if seconds < 60:
        return f"{seconds:.0f} s"
    hours, minutes = divmod(round(seconds / 60), 60)
    return f"{hours} h {minutes:02d} min" if hours else f"{minutes} min"


def size_words(size: float) -> str:
    """Return a size on disk.

    >>> size_words(5_200_000_000), size_words(730_000)
    ('5.2 GB', '0.7 MB')
    """
    return f"{size / 1e9:.1f} GB" if size >= 1e9 else f"{max(size, 1e5) / 1e6:.1f} MB"


def event_rows(film: Mapping[str, Any], mark: Mapping[str, Any]) -> list[Json]:
    """Return the event clock of a mark: name, label, key, state (set, not seen, open), time and words."""
    events = mark.get("events") or {}
    zero = events.get("e0")
    start = line_time(film["parts"], zero) if isinstance(zero, dict) else None
    return [
        _event_row(film, name, label, key, events.get(name), start)
        for (name, label), key in zip(EVENTS, EVENT_KEYS, strict=True)
    ]


def _event_row(
    film: Mapping[str, Any], name: str, label: str, key: str, at: Any, start: float | None
) -> Json:
    row = {"name": name, "label": label, "key": key, "at": None, "time": "", "after": "", "state": "open"}
    if at == NOT_SEEN:
        return {**row, "state": "not-seen", "time": NOT_SEEN}
    if not isinstance(at, dict):
        return row
    time = line_time(film["parts"], at)
    after = f"{time - start:+.2f} s" if time is not None and start is not None and name != "e0" else ""
    return {**row, "state": "set", "at": at, "time": clock_words(time), "after": after.replace("-", "\u2212")}


def next_event(mark: Mapping[str, Any]) -> str:
    """Return the first event after the last one that was marked or said to be not seen; empty at the end.

    >>> next_event({"events": {"e0": {}, "e2": "not seen"}}), next_event({"events": {"e11": {}}})
    ('e3', '')
    """
    names = [name for name, _ in EVENTS]
    done = [names.index(name) for name in mark.get("events") or {} if name in names]
    return names[max(done, default=-1) + 1] if max(done, default=-1) + 1 < len(names) else ""


def mark_row(film: Mapping[str, Any], mark: Mapping[str, Any], number: int = 0) -> Json:
    """Return one line of the list of marks: time, what, place, who is lead, how much is marked."""
    situation = mark.get("situation") or {}
    events = mark.get("events") or {}
    seen = sum(isinstance(at, dict) for at in events.values())
    time = mark["t"] if "t" in mark else line_time(film["parts"], mark["at"])
    said = {"yes": 0, "no": 0, "not seen": 0, "no chance": 0}
    for one in mark.get("duties") or ():
        said[one["verdict"]] = said.get(one["verdict"], 0) + 1
    return {
        "id": mark["id"],
        "number": number,
        "at": mark["at"],
        "time": clock_words(time),
        "seconds": time,
        "cause": CAUSES.get(situation.get("stopped_by", ""), "What stopped play?"),
        "place": _place(situation),
        "lead": lead_words(mark),
        "events": f"{seen} of {len(EVENTS)} seen"
        if mark.get("closed")
        else f"{len(events)} of {len(EVENTS)}",
        "closed": bool(mark.get("closed")),
        "answer": mark.get("answer") or "",
        "said": ", ".join(f"{count} {word}" for word, count in said.items() if count),
        "tags": mark.get("tags") or [],
        "note": mark.get("note") or "",
        "film": mark.get("film", ""),
        "film_title": film.get("title", ""),
        "missing": film.get("status") != "withdrawn" and mark["at"]["part"] in (film.get("missing") or ()),
        "older": mark.get("edition") == "older",
    }


def _place(situation: Mapping[str, Any]) -> str:
    at = situation.get("at")
    return place_words((float(at[0]), float(at[1])), floor_of(situation)) if at else ""


def floor_of(_: Mapping[str, Any]) -> Floor:
    """Return the floor marks are placed on."""
    return Floor()


def lead_words(mark: Mapping[str, Any]) -> str:
    """Return who is lead and on which side, in words.

    >>> lead_words({"lead": "umpire", "crew": {"lead_side": "table"}})
    'Umpire, table side'
    """
    crew = mark.get("crew") or {}
    who = mark.get("lead") or crew.get("lead") or ""
    side = mark.get("lead_side") or crew.get("lead_side") or ""
    words = [who.capitalize()] if who else []
    return ", ".join([*words, *([f"{side} side" if side == "table" else side] if side else [])])


def proposal_row(film: Mapping[str, Any], one: Mapping[str, Any]) -> Json:
    """Return one proposal of the ranked list: its frame time, time in words, kind, how sure."""
    part = next((p for p in film["parts"] if p["fingerprint"] == one["part"]), None)
    base = part["base"] if part else [1, 1]
    at = {"part": one["part"], "pts": one["pts"], "base": base}
    time = line_time(film["parts"], at)
    return {
        **one,
        "at": at,
        "seconds": time,
        "time": clock_words(time),
        "sure": round(100 * one["confidence"]),
    }
