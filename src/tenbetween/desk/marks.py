"""Marks on film: begun with a key, the event clock set, duties ticked, closed, taken back.

Each key is one change in the journal, so undo is the store's own. What a mark shows of lead and trail is carried from
the marks before it (``carry``) and never written down, so a correction with one key holds for all that follow.

Whose a verdict is. A verdict for a role, or for the official whose duty it is, is given to the person who has it at
that moment (to the crew as long as nothing says who that is), and the role is kept with it: when it is corrected who
is lead, here or at an earlier mark, it moves to the person who then has the role, and the mark says from whom it
moved. So a slip in who is lead is mended with one key.
A verdict for the crew, for an official whose duty it is not, or on the trainer's own words is on just those people, and
no correction takes it from them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from tenbetween.desk.carry import CORRECTIONS, SITUATION_FIELDS, Carried, Then, Told, begun, corrected
from tenbetween.desk.duties import (
    VERDICTS,
    duty_named,
    provision_of,
    said_by_role,
    whose_now,
)
from tenbetween.desk.films import TimeLine
from tenbetween.errors import Problem, StoreError, UsageError, one_of
from tenbetween.formats.answer_json import WORDS as ANSWER_WORDS
from tenbetween.store.film_values import EVENTS, frame_time_faults
from tenbetween.store.forms import Json as KeptJson
from tenbetween.store.together import nothing_there
from tenbetween.store.values import kind_of

if TYPE_CHECKING:
    from tenbetween.book import Book
    from tenbetween.store import Saved, Store

Json = dict[str, Any]
NOT_SEEN = "not seen"
FLIPS = ("lead", "side", "ball", "attacking")
PLAIN = ("tags", "note")
LONGEST_TAG, MOST_TAGS = 60, 30
"""A tag is a word or two to search for, in letters; and how many a moment has."""
WORDS: Mapping[str, tuple[str, ...]] = {
    "lead": ("referee", "umpire"),
    "lead_side": ("table", "opposite"),
    "ball": ("a", "b"),
    "attacking": ("left", "right"),
}
MOST_STROKES = 60


def told(mark: Saved[Any]) -> Told:
    """Return what a mark itself says of the situation and the crew."""
    return _told(mark.id, mark.value.situation, mark.value.crew)


def _told(id: str, situation: Any, crew: Any) -> Told:
    """Return what is said, kept as JSON or about to be."""
    fields, said = (one.data() if isinstance(one, KeptJson) else one for one in (situation, crew))
    return Told(id=id, situation=fields, said={name: said[name] for name in CORRECTIONS if said.get(name)})


# ---- one change each ----


def began(
    store: Store, film: str, line: TimeLine, at: Mapping[str, Any], basis: Json, event: str = "e0"
) -> Saved[Any]:
    """Return a new mark at a frame, which is its first event too; without ``event`` it is a frame alone.

    Raises:
        UsageError: a frame that is not of this film, or an event nobody knows.
    """
    _refuse(_time_faults(line, at, "at"))
    if event and event not in EVENTS:
        raise UsageError(one_of("event", event, EVENTS))
    value = {"film": film, "at": dict(at), "events": {event: dict(at)} if event else {}}
    return store.save("mark", value, basis=basis)


def set_event(store: Store, id: str, line: TimeLine, event: str, at: object) -> Saved[Any]:
    """Return the mark with an event at a frame, "not seen", or taken out.

    An event taken out of a closed mark is "not seen": a closed mark has no empty event.

    Raises:
        UsageError: no such event, or a frame that is not of this film.
    """
    if event not in EVENTS:
        raise UsageError(one_of("event", event, EVENTS))
    if at is not None and at != NOT_SEEN:
        _refuse(_time_faults(line, at, event))

    def change(value: Json) -> None:
        events = value["events"].data()
        if at is None and not value["closed"]:
            events.pop(event, None)
        else:
            events[event] = NOT_SEEN if at is None else at
        value["events"] = events

    return _changed(store, id, change)


def stroke(store: Store, id: str, line: TimeLine, at: Mapping[str, Any]) -> Saved[Any]:
    """Return the mark with one more stroke of the count; a stroke at the same frame is taken away again.

    Raises:
        UsageError: a frame that is not of this film, or more strokes than a count can have.
    """
    _refuse(_time_faults(line, at, "stroke"))

    def change(value: Json) -> None:
        strokes = value["strokes"].data()
        there = [one for one in strokes if one != dict(at)]
        if len(there) == len(strokes):
            there = sorted([*strokes, dict(at)], key=line.second)
        if len(there) > MOST_STROKES:
            do = "take some away: a count of five has five"
            raise UsageError(
                Problem("stroke", f"{len(there)} strokes", f"at most {MOST_STROKES} of one count", do)
            )
        value["strokes"] = there

    return _changed(store, id, change)


RestsOn = Callable[[Told], Json]
"""Gives what a mark rests on, once it says this."""


def closed(store: Store, id: str, rests_on: RestsOn) -> Saved[Any]:
    """Return the mark closed: every event that was not set is "not seen"; it rests on the book as carried by now."""

    def change(value: Json) -> None:
        value["events"] = {**dict.fromkeys(EVENTS, NOT_SEEN), **value["events"].data()}
        value["closed"] = True

    return _changed(store, id, change, rests_on)


def removed(store: Store, id: str) -> Any:
    """Return the journal entry that takes a mark out; undo brings it back."""
    return store.remove("mark", id, seen=store.get("mark", id).version)


def set_fields(
    store: Store, id: str, fields: Mapping[str, Any], now: Then, carried: Carried, rests_on: RestsOn
) -> Saved[Any]:
    """Return the mark with what was said of it: the situation, a correction of the crew, tags, a note.

    ``flip`` turns one thing round: ``lead``, ``side``, ``ball`` (it had changed hands) or ``attacking``. A value of
    None takes back what was said, so that it is carried again; what is carried anyway need not be said and is not
    written down, so that it goes on following the marks before. ``now`` is what the mark finds.

    Raises:
        UsageError: every field nobody knows and every word that is not one of its words.
    """
    situation, said, plain = _sorted_out(fields, carried)

    def change(value: Json) -> None:
        value["situation"] = _over(value["situation"].data(), situation)
        crew = _over({n: v for n, v in value["crew"].data().items() if n != "corrected"}, said)
        found = begun(now, value["situation"].get("stopped_by"))[0]
        crew = _needed(crew, [name for name in said if name in crew], found)
        value["crew"] = {**crew, "corrected": True} if crew else {}
        value.update(plain)

    return _changed(store, id, change, rests_on)


def _needed(said: Json, names: Sequence[str], found: Then) -> Json:
    """Return what was said by hand without those of these names that are carried anyway."""
    kept = dict(said)
    for name in names:
        rest = {n: v for n, v in kept.items() if n != name}
        if getattr(corrected(found, rest), name) == kept[name]:
            kept = rest
    return kept


def set_duty(
    store: Store, id: str, duty: str, who: str, verdict: str, note: str, carried: Carried, book: Book
) -> Saved[Any]:
    """Return the mark with one verdict on one duty; an empty verdict takes it away.

    Raises:
        UsageError: no such person or verdict, or no duty.
    """
    duty = duty_named(duty)
    if verdict not in ("", *VERDICTS):
        raise UsageError(one_of("verdict", verdict, VERDICTS))
    if who not in WHO:
        raise UsageError(one_of("who", who, WHO))
    person = whose_now(who, duty, carried)
    role = said_by_role(who, duty, carried)
    new = {"duty": duty, "who": person, "role": role, "verdict": verdict, "note": note}
    behind = provision_of(duty, carried.ruling, book)

    def change(value: Json) -> None:
        kept = [
            one
            for one in value["duties"].data()
            if one["duty"] != duty or attributed(one, carried)["who"] != person
        ]
        value["duties"] = [*kept, {**new, "provision": behind}] if verdict else kept

    return _changed(store, id, change)


WHO = ("referee", "umpire", "crew", "lead", "trail", "caller", "administering", "partner")


# ---- whose a verdict is ----


def attributed(verdict: Mapping[str, Any], carried: Carried) -> Json:
    """Return a verdict with the person it belongs to now, and from whom it moved if it did."""
    role = verdict.get("role", "")
    who = whose_now(role, verdict["duty"], carried) if role else verdict["who"]
    moved = "" if who == verdict["who"] else verdict["who"]
    return {"provision": "", "note": "", **verdict, "role": role, "who": who, "moved_from": moved}


# ---- what may be said ----


def _sorted_out(fields: Mapping[str, Any], carried: Carried) -> tuple[Json, Json, Json]:
    situation: Json = {}
    said: Json = {}
    plain: Json = {}
    faults: list[Problem] = []
    for name, value in fields.items():
        if name in SITUATION_FIELDS:
            situation[name] = value
        elif name == "crew":
            faults += _crew(value, said)
        elif name in ("attacking", "lead_side", "lead", "ball"):
            said[name] = value
        elif name == "flip":
            faults += _flip(value, carried, said)
        elif name in PLAIN:
            faults += _plain(name, value, plain)
        else:
            faults.append(one_of("mark", name, (*SITUATION_FIELDS, "crew", *CORRECTIONS, "flip", *PLAIN)))
    faults += [one_of(n, v, WORDS[n]) for n, v in said.items() if v is not None and v not in WORDS[n]]
    faults += _situation_faults(situation)
    _refuse(faults)
    return situation, said, plain


def _crew(value: Any, said: Json) -> list[Problem]:
    if not isinstance(value, Mapping):
        return [Problem("crew", repr(value)[:40], '{"lead": "umpire"}', "send an object")]
    wrong = [one_of("crew", name, CORRECTIONS) for name in value if name not in (*CORRECTIONS, "corrected")]
    said.update({name: value[name] for name in CORRECTIONS if name in value})
    return wrong


def _flip(value: Any, carried: Carried, said: Json) -> list[Problem]:
    if value not in FLIPS:
        return [one_of("flip", value, FLIPS)]
    name = "lead_side" if value == "side" else str(value)
    turned = other_value(carried.before, name)
    if turned is None:
        return [
            Problem("flip", f"{value}, which nothing says yet", "what is carried", f"say the {value} first")
        ]
    said[name] = turned
    return []


def other_value(now: Then, name: str) -> str | None:
    """Return the other of the two values of a part of the crew, or None where nothing says the first.

    >>> other_value(Then(lead="umpire"), "lead")
    'referee'
    """
    value = getattr(now, name)
    if value is None:
        return None
    first, second = WORDS[name]
    return second if value == first else first


def _tag_faults(tags: Sequence[str]) -> Iterator[Problem]:
    for one in tags:
        if len(one) > LONGEST_TAG:
            found = f"{one[:30]}… of {len(one):,} letters"
            do = "write a word or two, and the rest as a note"
            yield Problem("tags", found, f"at most {LONGEST_TAG} letters", do)
    if len(tags) > MOST_TAGS:
        yield Problem("tags", f"{len(tags)} tags", f"at most {MOST_TAGS}", "keep those you search for")


def _plain(name: str, value: Any, plain: Json) -> list[Problem]:
    if name == "note" and isinstance(value, str):
        plain[name] = value
    elif name == "tags" and isinstance(value, list | tuple) and all(isinstance(one, str) for one in value):
        plain[name] = list(dict.fromkeys(" ".join(one.split()) for one in value if one.strip()))
        return list(_tag_faults(plain[name]))
    else:
        return [
            Problem(name, repr(value)[:40], "text" if name == "note" else "a list of words", "send it so")
        ]
    return []


def _situation_faults(given: Mapping[str, Any]) -> list[Problem]:
    """Return what is wrong with single fields; whether they go together is asked of the book, with the answer."""
    faults = []
    for name, value in given.items():
        allowed = ANSWER_WORDS.get(name, ())
        if name == "called_by":
            allowed = (*allowed, "referee", "umpire")
        if value is None:
            continue
        if allowed and value not in allowed:
            faults.append(one_of(name, value, allowed))
        elif name in ("bonus", "pressure") and not isinstance(value, bool):
            faults.append(Problem(name, repr(value)[:40], "true or false", "send it without quotes"))
        elif name == "at" and not _is_place(value):
            faults.append(Problem("at", repr(value)[:40], "[x, y] in feet", "send two numbers"))
    return faults


def _is_place(value: Any) -> bool:
    right = isinstance(value, list | tuple) and len(value) == 2
    return right and all(type(one) in (int, float) and -20 <= one <= 120 for one in value)


def _over(there: Json, said: Mapping[str, Any]) -> Json:
    return {name: value for name, value in {**there, **said}.items() if value is not None}


def _time_faults(line: TimeLine, at: object, where: str) -> list[Problem]:
    faults = list(frame_time_faults(at, where))
    return faults or list(line.faults(at, where))  # type: ignore[arg-type]


def _refuse(faults: list[Problem]) -> None:
    if faults:
        raise UsageError(faults)


def _changed(
    store: Store, id: str, change: Callable[[Json], None], rests_on: RestsOn | None = None
) -> Saved[Any]:
    """Return a mark changed in one piece, whatever another window did to it meanwhile."""
    kind = kind_of("mark")
    with store.together() as changes:
        current = changes.current(kind, id)
        if current is None:
            raise StoreError(nothing_there(kind, id))
        value = {name: getattr(current.value, name) for name in current.value.__struct_fields__}
        change(value)
        basis = rests_on(_told(id, value["situation"], value["crew"])) if rests_on else None
        return changes.save("mark", value, basis=basis, id=id, seen=current.version)
