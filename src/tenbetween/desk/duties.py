"""Which duties a restart has: what there is to see of the crew, whose each is, and which provision teaches it.

The list is of things seen, in the order of the event clock; the book says which provision stands behind each, and
where it has none the duty stands alone. Knows no film and judges nobody.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from msgspec import Struct

from tenbetween.book import Book
from tenbetween.desk.carry import Carried
from tenbetween.errors import Problem, UsageError
from tenbetween.situation import Person, Ruling
from tenbetween.store.film_values import VERDICTS

Whose = Literal["caller", "administering", "partner", "trail", "crew"]
Restarts = tuple[str, ...]
ROLES = ("lead", "trail")
LONGEST_DUTY = 200
GIVEN: Restarts = ("throw_in", "free_throws", "jump_ball")


class Duty(Struct, frozen=True, kw_only=True):
    """One thing to see: in words, by which event, whose it is, and where the book may teach it."""

    id: str
    title: str
    event: str
    whose: Whose
    taught: tuple[str, ...] = ()
    """Provisions that may stand behind it; the first the answer rests on is taken."""
    restarts: Restarts = GIVEN
    part: str = ""
    """Part of the answer whose provision stands behind it."""
    needs: str = ""
    """What must be so for there to be a chance: ``stopped``, ``given``, ``switch``, ``chop``, ``mirror``, ``visible``."""


DUTIES: tuple[Duty, ...] = (
    Duty(id="stop-clock", title="stop-clock signal before the direction", event="e1", whose="caller",
         taught=("steps.stop", "ready.direction"), needs="stopped"),
    Duty(id="colour", title="colour spoken", event="e2", whose="caller", taught=("ready.direction",),
         restarts=("throw_in",), needs="stopped"),
    Duty(id="direction", title="direction pointed", event="e2", whose="caller", taught=("ready.direction",),
         restarts=("throw_in",), needs="stopped"),
    Duty(id="spot-shown", title="spot shown", event="e3", whose="caller", taught=("ready.spot",),
         restarts=("throw_in",), needs="spot"),
    Duty(id="switch", title="switch as the provision says", event="e5", whose="crew", part="roles_after",
         restarts=("throw_in", "free_throws")),
    Duty(id="eye-contact", title="eye contact before the ball is given", event="e4", whose="crew",
         taught=("ready.partner",), needs="given"),
    Duty(id="switch-in-time", title="switch completed before the ball is given", event="e5", whose="crew",
         taught=("steps.move",), needs="switch"),
    Duty(id="who-gives", title="the right official gives the ball", event="e5", whose="crew", part="administers",
         needs="given"),
    Duty(id="boxed-in", title="all ten between the two", event="e6", whose="crew",
         taught=("sides.boxing-in",), restarts=("throw_in",)),
    Duty(id="delivery", title="handed, bounced or left alone", event="e6", whose="administering", part="delivery",
         restarts=("throw_in", "free_throws")),
    Duty(id="side", title="right side of the thrower", event="e6", whose="administering", part="stands",
         restarts=("throw_in",), needs="given"),
    Duty(id="step-back", title="step back after the ball is given", event="e7", whose="administering",
         taught=("give.away",), restarts=("throw_in",), needs="given"),
    Duty(id="strokes", title="strokes visible", event="e8", whose="administering", part="count", needs="visible"),
    Duty(id="silent", title="count silent", event="e8", whose="administering", part="count", needs="visible"),
    Duty(id="first-stroke", title="first stroke at once", event="e8", whose="administering", part="count",
         needs="visible"),
    Duty(id="chop", title="chop at the first touch", event="e10", whose="administering",
         taught=("clock.chop", "clock.mirror"), needs="chop"),
    Duty(id="partner-chop", title="partner mirrors the chop", event="e10", whose="partner",
         taught=("clock.mirror",), needs="mirror"),
    Duty(id="next-look", title="next-play look", event="e11", whose="crew", part="watches"),
)  # fmt: skip
BY_ID: Mapping[str, Duty] = {duty.id: duty for duty in DUTIES}


def duties_of(ruling: Ruling) -> tuple[Duty, ...]:
    """Return the duties a restart gives a chance for, in the order of the event clock.

    >>> from tenbetween.desk.answers import Shelf, answer
    >>> from tenbetween.situation import Situation
    >>> goal = Situation(edition="us-hs-2025", attacking="right", stopped_by="made_goal", lead_side="table")
    >>> "delivery" in [d.id for d in duties_of(answer(Shelf(), goal))]
    True
    """
    return tuple(duty for duty in DUTIES if ruling.restart in duty.restarts and _chance(duty.needs, ruling))


def _chance(needs: str, ruling: Ruling) -> bool:
    stopped = ruling.clock_starts != "running"
    return {
        "": True,
        "stopped": stopped,
        "spot": stopped and ruling.spot is not None,
        "given": ruling.delivery not in (None, "none"),
        "switch": ruling.switch is True,
        "visible": ruling.count is not None and ruling.count.visible is not False,
        "chop": bool(ruling.chop) and stopped,
        "mirror": stopped and ruling.chop is not None and len(ruling.chop) > 1,
    }[needs]


def provision_of(duty: str, ruling: Ruling | None, book: Book) -> str:
    """Return the provision behind a duty in this answer, or nothing where the book has none."""
    if duty in book.provisions:
        return duty
    one = BY_ID.get(duty)
    if one is None:
        return ""
    by_part = {reason.decides: reason.provision for reason in ruling.reasons} if ruling else {}
    if one.part and one.part in by_part:
        return by_part[one.part]
    used = _used(ruling) if ruling else frozenset(book.provisions)
    return next((id_ for id_ in one.taught if id_ in used and id_ in book.provisions), "")


def _used(ruling: Ruling) -> frozenset[str]:
    steps = {step.provision for step in ruling.steps}
    return frozenset({*ruling.duties, *steps, *(reason.provision for reason in ruling.reasons)})


def title_of(duty: str, book: Book) -> str:
    """Return a duty in words: its own, the title of the provision it is, or the trainer's words as they stand.

    >>> from tenbetween.book import load_book
    >>> title_of("spot-shown", load_book("us-hs-2025")), title_of("kept her whistle in", load_book("us-hs-2025"))
    ('spot shown', 'kept her whistle in')
    """
    if duty in BY_ID:
        return BY_ID[duty].title
    return book.provisions[duty].title if duty in book.provisions else duty


def duty_named(given: object) -> str:
    """Return a duty as it is kept: one of the list, a provision, or the trainer's own words.

    Raises:
        UsageError: nothing, or more than a line of words.
    """
    words = " ".join(given.split()) if isinstance(given, str) else ""
    if not words or len(words) > LONGEST_DUTY or not words.isprintable():
        expected = f"1 to {LONGEST_DUTY} letters: {', '.join(BY_ID)}, a provision, or your own words"
        raise UsageError(Problem("duty", ascii(words)[:60] or "nothing", expected, "say which duty it is"))
    return words


def owner(duty: str) -> str:
    """Return whose a duty is as it is said: a role word, or ``crew``.

    >>> owner("step-back"), owner("eye-contact")
    ('administering', 'crew')
    """
    one = BY_ID.get(duty)
    return one.whose if one is not None else "crew"


def said_by_role(who: str, duty: str, carried: Carried) -> str:
    """Return the role a verdict was given to: the one that was said, or the one whose duty it is if he has it.

    A tick on the row of the official whose duty it is means whoever has that duty; a tick on anybody else, on the
    crew, or on the trainer's own words means just him.
    """
    if who not in ("referee", "umpire", "crew"):
        return who
    whose = owner(duty)
    return whose if whose != "crew" and whose_now(whose, duty, carried) == who else ""


def whose_now(who: str, duty: str, carried: Carried) -> str:
    """Return whose a verdict is: the person a word means, and the crew as long as nothing says who that is."""
    return person_for(who, duty, carried) or "crew"


def person_for(who: str, duty: str, carried: Carried) -> Person | Literal["crew"] | None:
    """Return the person that a word means at this mark, or None where nothing says who that is.

    A role before the ball is dead is the role play had; from the spot on it is the role at disposal.
    """
    if who in ("referee", "umpire", "crew"):
        return who  # type: ignore[return-value]
    early = duty in BY_ID and BY_ID[duty].event in ("e0", "e1", "e2", "e3")
    moment = carried.before if early or carried.ruling is None else carried.after
    if who in ROLES:
        return moment.person(who)  # type: ignore[arg-type]
    if who == "caller":
        called = carried.situation.called_by if carried.situation else None
        return carried.before.person(called) if called else None
    gives = _gives(carried)
    if who == "administering":
        return gives
    return None if gives is None else ("umpire" if gives == "referee" else "referee")


def _gives(carried: Carried) -> Person | None:
    """Who handles the ball; where nobody does, the one who counts."""
    ruling = carried.ruling
    if ruling is None:
        return None
    if ruling.administers is not None:
        return ruling.administers.person or carried.after.person(ruling.administers.now)
    by = ruling.count.by if ruling.count else ""
    return carried.after.person(by) if by in ROLES else None  # type: ignore[arg-type]


__all__ = [
    "BY_ID",
    "DUTIES",
    "VERDICTS",
    "Duty",
    "duties_of",
    "duty_named",
    "owner",
    "person_for",
    "provision_of",
    "said_by_role",
    "title_of",
    "whose_now",
]
