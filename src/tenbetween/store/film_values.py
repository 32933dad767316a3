"""What is kept of films: the film and its parts, marks, anchors, standing, pointers, clips, proposals, withdrawal.

Frame times are whole numbers: the fingerprint of a part, the time stamp of the frame in it, and the time base.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Any, Literal

from msgspec import Meta, Struct

from tenbetween.errors import Problem, one_of
from tenbetween.store.forms import Day, Json, Name, ObjectId, Words, day_faults


class Film(Struct, frozen=True, kw_only=True):
    """The film of one game: parts by fingerprint, who allowed what, how to tell the officials apart.

    The files stay where they are: this machine's ``media.toml`` says where, the store never does.
    """

    title: Name
    date: Annotated[str, Meta(max_length=10)] = ""
    level: Annotated[str, Meta(max_length=200)] = ""
    crew: Json = Json()
    """``{"referee": official id or "", "umpire": official id or ""}``."""
    recognise: Json = Json()
    """``{"referee": words, "umpire": words}``: how to tell each official on this film."""
    permission: Json = Json()
    """``{"by": who allowed it, "on": day, "until": day, "scope": words, "minors": bool}``."""
    parts: Json = Json("[]")
    opening: Json = Json()
    """How play begins: ``{"attacking": "left"|"right", "lead": "referee"|"umpire", "lead_side": ...}``."""
    status: Literal["in use", "withdrawn"] = "in use"
    note: Words = ""


class Mark(Struct, frozen=True, kw_only=True):
    """A moment of a film: whole frame times, the event clock, who was who, and what was seen of each duty."""

    film: ObjectId
    at: Json
    """``{"part": fingerprint, "pts": whole number, "base": [numerator, denominator]}``."""
    situation: Json = Json()
    """The situation as far as it is known: names of ``answer``."""
    events: Json = Json()
    """``{"e0": frame time or "not seen"}``: an event that is absent was not looked for yet."""
    crew: Json = Json()
    """``{"lead": person, "lead_side": side, "ball": "a"|"b", "attacking": basket, "corrected": true}``: what was
    said by hand of the moment before play stopped; what is absent is carried from the marks before.
    """
    duties: Json = Json("[]")
    """``[{"duty", "provision", "who": person or "crew", "role", "verdict", "note"}]``; ``role`` is empty where the
    verdict is on just that person, else the role he was ticked for.
    """
    strokes: Json = Json("[]")
    """Frame times of the strokes of a visible count."""
    tags: Json = Json("[]")
    closed: bool = False
    """True once each event not marked was said to be not seen."""
    note: Words = ""


class Anchor(Struct, frozen=True, kw_only=True):
    """A frame on which the court was found: the clicks, the camera they give and how sure it is."""

    film: ObjectId
    at: Json
    clicks: Json
    camera: Json
    """``{"numbers": 8, "covariance": 8x8, "picture": [w, h], "share": 0..1 or null, "how": words}``."""
    note: Words = ""


class Standing(Struct, frozen=True, kw_only=True):
    """Where people stood at a frame: feet clicked, places with their error, and the scene made of them."""

    film: ObjectId
    at: Json
    feet: Json
    scene: Json = Json()
    mark: Annotated[str, Meta(max_length=64)] = ""
    note: Words = ""


class Pointer(Struct, frozen=True, kw_only=True):
    """What is pointed at on film: rings, arrows, names and sentences with frame times, tied to the court."""

    film: ObjectId
    title: Name
    items: Json
    mark: Annotated[str, Meta(max_length=64)] = ""
    note: Words = ""


class Clip(Struct, frozen=True, kw_only=True):
    """A piece of film handed on: from where to where, how it was made, and every file that came of it."""

    film: ObjectId
    title: Name
    begins: Json
    ends: Json
    how: Json = Json()
    files: Json = Json("[]")
    """``[{"name": file in exports/, "digest", "made": time}]``."""
    marks: Json = Json("[]")
    status: Literal["made", "withdrawn"] = "made"
    note: Words = ""


class Listening(Struct, frozen=True, kw_only=True):
    """What listening and looking through one part proposed."""

    film: ObjectId
    part: Name
    proposals: Json
    note: Words = ""


class Judged(Struct, frozen=True, kw_only=True):
    """One proposal kept (with the mark made of it) or dropped."""

    listening: ObjectId
    number: Name
    verdict: Literal["kept", "dropped"]
    mark: Annotated[str, Meta(max_length=64)] = ""


class Withdrawal(Struct, frozen=True, kw_only=True):
    """What was found, blanked or removed when a film was withdrawn, line by line."""

    film: ObjectId
    asked_by: Name
    on: Day
    log: Json
    note: Words = ""


def film_faults(value: Film, basis: Any) -> Iterator[Problem]:
    """Yield what is wrong with a film."""
    if value.date:
        yield from day_faults(value.date, "date")
    if not isinstance(value.parts.data(), list):
        yield Problem(
            "parts", value.parts.text[:80], "a list of parts", "hand in the list, even an empty one"
        )


def frame_time_faults(given: object, where: str) -> Iterator[Problem]:
    """Yield what keeps a value from being a frame time in whole numbers.

    >>> list(frame_time_faults({"part": "f1", "pts": 12, "base": [1, 30]}, "at"))
    []
    """
    right = (
        isinstance(given, dict)
        and set(given) == {"part", "pts", "base"}
        and isinstance(given["part"], str)
        and given["part"] != ""
        and type(given["pts"]) is int
        and isinstance(given["base"], list)
        and len(given["base"]) == 2
        and all(type(one) is int and one > 0 for one in given["base"])
    )
    if not right:
        form = '{"part": fingerprint, "pts": whole number, "base": [1, 90000]}'
        yield Problem(where, repr(given)[:80], form, "send the time of the frame in whole numbers")


def timed_faults(value: Anchor | Standing | Mark, basis: Any) -> Iterator[Problem]:
    """Yield a time that is not in whole numbers."""
    yield from frame_time_faults(value.at.data(), "at")


EVENTS = tuple(f"e{number}" for number in range(12))


def mark_faults(value: Mark, basis: Any) -> Iterator[Problem]:
    """Yield what is wrong with a mark."""
    yield from timed_faults(value, basis)
    events = value.events.data()
    if not isinstance(events, dict):
        yield Problem("events", value.events.text[:80], "events by name, e0 to e11", "send an object")
        return
    for name, at in events.items():
        if name not in EVENTS:
            yield one_of(f"events.{name}", name, EVENTS)
        elif at != "not seen":
            yield from frame_time_faults(at, f"events.{name}")
    yield from _stroke_faults(value.strokes.data())
    yield from _seen_faults(value)
    if value.closed and set(events) != set(EVENTS):
        yield Problem(
            "events", "an event left open", 'a time or "not seen" for each', "say what was not seen"
        )


def _stroke_faults(strokes: object) -> Iterator[Problem]:
    if not isinstance(strokes, list):
        yield Problem(
            "strokes", repr(strokes)[:80], "a list of frame times", "send a list, even an empty one"
        )
        return
    for place, at in enumerate(strokes):
        yield from frame_time_faults(at, f"strokes[{place}]")


def clip_faults(value: Clip, basis: Any) -> Iterator[Problem]:
    """Yield an end of a clip that is not in whole numbers."""
    yield from frame_time_faults(value.begins.data(), "begins")
    yield from frame_time_faults(value.ends.data(), "ends")


VERDICTS = ("yes", "no", "not seen", "no chance")
WHO = ("referee", "umpire", "crew")


def _seen_faults(value: Mark) -> Iterator[Problem]:
    """Yield strokes that are no frame times, and verdicts on nothing, on nobody, or of no such word."""
    strokes, duties = value.strokes.data(), value.duties.data()
    for name, listed in (("strokes", strokes), ("duties", duties), ("tags", value.tags.data())):
        if not isinstance(listed, list):
            yield Problem(name, repr(listed)[:80], "a list", "send a list, even an empty one")
    for n, stroke in enumerate(strokes if isinstance(strokes, list) else ()):
        yield from frame_time_faults(stroke, f"strokes[{n}]")
    for n, one in enumerate(duties if isinstance(duties, list) else ()):
        where, given = f"duties[{n}]", one if isinstance(one, dict) else {}
        if not isinstance(given.get("duty"), str) or not given["duty"]:
            yield Problem(f"{where}.duty", repr(given.get("duty"))[:40], "a duty", "say which duty it is")
        for part, allowed in (("who", WHO), ("verdict", VERDICTS)):
            if given.get(part) not in allowed:
                yield one_of(f"{where}.{part}", given.get(part), allowed)


def withdrawal_faults(value: Withdrawal, basis: Any) -> Iterator[Problem]:
    """Yield what is wrong with a withdrawal."""
    yield from day_faults(value.on, "on")
