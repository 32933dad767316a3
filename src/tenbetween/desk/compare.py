"""The answer beside the picture: what the book expects and what was seen, duty by duty, right things first.

A duty nobody looked for is left open, one that could not be seen is "not seen", and one the book has nothing on is
"not covered": all three are as normal as a yes. Judges nobody and adds nothing up.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from tenbetween.book import Book
from tenbetween.desk.carry import Carried
from tenbetween.desk.duties import BY_ID, DUTIES, duties_of, owner, provision_of, title_of, whose_now
from tenbetween.desk.marks import attributed
from tenbetween.desk.measures import Spacing, Span, measured, words
from tenbetween.draw.diagram import diagram_svg
from tenbetween.draw.phrases import court_for, place_words
from tenbetween.formats.answer_json import ruling_as_dict
from tenbetween.situation import Ruling

if TYPE_CHECKING:
    from tenbetween.desk.marked_film import MarkedFilm

Json = dict[str, Any]
ORDER = {"yes": 0, "no": 1, "no chance": 2, "not seen": 3, "": 4}
"""Right things first, then what to work on, then what nobody can say."""
NOTHING = "not covered: nothing entered says how"
DELIVERIES = {
    "hand": "hand the ball",
    "bounce": "bounce the ball",
    "none": "leave the ball alone",
    "toss": "toss the ball",
}
PERSON_WORDS = {"referee": "Referee", "umpire": "Umpire", "crew": "crew"}


def beside_the_picture(there: MarkedFilm, place: int, spacing: Spacing) -> Json:
    """Return the answer to a mark for the screen: ruling, sentence, diagram, and expected against seen.

    Where the situation is not whole yet, the ruling is None and ``needs`` says what is to be said.
    """
    mark, one = there.marks[place], there.carried[place]
    verdicts = [attributed(verdict, one) for verdict in mark.value.duties.data()]
    found = measured(mark.value.events.data(), mark.value.strokes.data(), spacing)
    teams = there.teams[one.before.ball]
    ruling = one.ruling
    return {
        "mark": mark.id,
        "ruling": ruling_as_dict(ruling) if ruling else None,
        "sentence": there.sentence(one),
        "court_svg": diagram_svg(ruling, theme="screen", teams=teams) if ruling and ruling.restart else "",
        "line": there.situation_line(one),
        "needs": list(one.needs),
        "caution": ruling.caution if ruling else "",
        "compare": rows(one, verdicts, there.book, found),
    }


def rows(carried: Carried, verdicts: list[Json], book: Book, measures: Mapping[str, Any]) -> list[Json]:
    """Return one row for each duty of the restart and for each verdict given on it, right things first."""
    ruling = carried.ruling
    wanted = [duty.id for duty in duties_of(ruling)] if ruling else []
    wanted += [one["duty"] for one in verdicts if one["duty"] not in wanted]
    order = {id_: n for n, id_ in enumerate([*(duty.id for duty in DUTIES), *wanted])}
    found: list[Json] = []
    for duty in dict.fromkeys(wanted):
        given: list[Json | None] = [one for one in verdicts if one["duty"] == duty]
        found += [_row(duty, one, carried, book, measures) for one in given or [None]]
    return sorted(found, key=lambda row: (ORDER[row["verdict"]], order[row["duty"]]))


def _row(duty: str, verdict: Json | None, carried: Carried, book: Book, measures: Mapping[str, Any]) -> Json:
    said = verdict or {"verdict": "", "who": whose_now(owner(duty), duty, carried), "note": ""}
    return {
        "duty": duty,
        "title": title_of(duty, book),
        "event": BY_ID[duty].event if duty in BY_ID else "",
        "provision": provision_of(duty, carried.ruling, book),
        "expected": expected(duty, carried, book),
        "seen": seen(duty, said, measures),
        "verdict": said["verdict"],
        "who": said["who"],
        "role": said.get("role", owner(duty)),
        "moved_from": said.get("moved_from", ""),
        "note": said["note"],
    }


# ---- expected ----


def expected(duty: str, carried: Carried, book: Book) -> str:
    """Return what the book expects: for this spot and crew where it says so, else the provision's own sentence."""
    ruling = carried.ruling
    said = _for_this_spot(duty, ruling, carried) if ruling else ""
    if said:
        return said
    provision = book.provisions.get(provision_of(duty, ruling, book))
    return provision.sentence if provision else NOTHING


def _for_this_spot(duty: str, ruling: Ruling, carried: Carried) -> str:
    if duty == "delivery":
        return DELIVERIES.get(ruling.delivery or "", "")
    if duty == "side":
        return (ruling.stands or "").replace("_", " ")
    if duty == "switch" and ruling.switch is not None:
        return "the crew switches" if ruling.switch else "no switch"
    if duty == "who-gives" and ruling.administers is not None:
        return _gives(ruling, carried)
    if duty == "spot-shown" and ruling.spot is not None:
        return place_words(court_for(ruling.situation), ruling.spot, ruling.attacking_after)
    if duty in ("chop", "partner-chop") and ruling.chop:
        return _chops(duty, ruling, carried)
    return ""


def _gives(ruling: Ruling, carried: Carried) -> str:
    given = ruling.administers
    if given is None:
        return ""
    person = given.person or carried.after.person(given.now)
    name = f", the {PERSON_WORDS[person]}" if person else ""
    return (
        f"the {given.now}{name}"
        if given.was in ("either", given.now)
        else f"the old {given.was}, now {given.now}{name}"
    )


def _chops(duty: str, ruling: Ruling, carried: Carried) -> str:
    chops = ruling.chop or ()
    role = chops[0] if duty == "chop" else chops[-1]
    person = carried.after.person(role) if role in ("lead", "trail") else None  # type: ignore[arg-type]
    return f"the {role}{f', the {PERSON_WORDS[person]}' if person else ''}, at the first legal touch"


# ---- seen ----


def seen(duty: str, said: Mapping[str, Any], measures: Mapping[str, Any]) -> str:
    """Return what was seen: the verdict and, where the event clock says so, the time."""
    who = PERSON_WORDS.get(said["who"], "")
    verdict = said["verdict"] or "not looked for yet"
    parts = [f"{who}: {verdict}" if who and said["verdict"] else verdict, *_measured(duty, measures)]
    return "; ".join(part for part in parts if part)


def _measured(duty: str, measures: Mapping[str, Any]) -> list[str]:
    strokes = measures.get("strokes") or {}
    found = []
    if duty == "chop" and isinstance(measures.get("chop"), Span):
        found.append(words("chop", measures["chop"]))
    if duty == "first-stroke" and isinstance(strokes.get("first"), Span):
        found.append(f"first stroke {_seconds(strokes['first'])} after the ball was given")
    if duty == "strokes" and strokes:
        count = f"{strokes['number']} strokes"
        took = f" over {_seconds(strokes['took'])}" if isinstance(strokes.get("took"), Span) else ""
        found.append(count + took)
    return found


def _seconds(span: Span) -> str:
    off = "" if span.within is None else f" ± {float(span.within):.2f}"
    return f"{float(span.seconds):.2f}{off} s"
