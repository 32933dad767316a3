"""The two officials of a ruling as they are drawn: who, where before, where at disposal, on which step.

The letter is the role, the shape is the person: square for the Referee, circle for the Umpire. When the crew
is not given, the old lead is the circle and the old trail the square, and the words say so. Knows no picture.
"""

from __future__ import annotations

from math import hypot
from typing import Literal

from msgspec import Struct

from tenbetween.court import Court, post
from tenbetween.situation import (
    Person,
    PointFt,
    Post,
    Role,
    Ruling,
    other_side,
    person_of,
)

Shape = Literal["square", "circle"]
_STARTS = ("period_start", "game_start", "extra_period_start")
_EMPTY_LANE = ("technical_foul", "intentional_foul", "flagrant_foul", "shooting_foul")
STEPS_FT = 9.0
_LETTER: dict[str, str] = {"lead": "L", "trail": "T"}


class Before(Struct, frozen=True):
    """Where an official was, with the letter he had and what the label says."""

    post: Post
    letter: str
    label: tuple[str, ...]


class After(Struct, frozen=True):
    """Where an official is at disposal: his letter, the label, and what he does there."""

    at: PointFt
    role: Role
    letter: str
    label: tuple[str, ...]
    counts: str = ""
    chops: str = ""


class Official(Struct, frozen=True):
    """One of the two: his shape, where he was, where he is, and the numbers of the steps that move him."""

    shape: Shape
    old: Role | None
    person: Person | None
    before: tuple[Before, ...]
    after: After | None
    steps: tuple[int, ...] = ()


def officials(ruling: Ruling, court: Court) -> tuple[Official, Official]:
    """Return both officials of a ruling, the old lead first (at a start: the one who is lead then).

    >>> from tenbetween.court import court_of
    >>> from tenbetween.situation import Situation
    >>> goal = Situation(edition="us-hs-2025", attacking="left", stopped_by="made_goal", lead_side="table")
    >>> [one.shape for one in officials(Ruling(situation=goal, restart="throw_in"), court_of("us-hs"))]
    ['circle', 'square']
    """
    if ruling.roles_after is None and ruling.places is not None:
        places = ruling.places
        return _starter(ruling, places["lead"], "lead"), _starter(ruling, places["trail"], "trail")
    return _known(ruling, court, "lead"), _known(ruling, court, "trail")


# ---- starts: nobody has a role yet ----


def _starter(ruling: Ruling, place: Post, role: Role) -> Official:
    given = ruling.administers
    referee: Role | None = given.now if given is not None and given.person == "referee" else None
    shape: Shape = "square" if role == (referee or "trail") else "circle"
    person: Person | None = None if referee is None else ("referee" if role == referee else "umpire")
    jump = ruling.restart == "jump_ball"
    who = person.capitalize() if person else ("Tosser" if role == "trail" else "Partner")
    then = f"then {role}" if jump else role
    after = After(
        at=place.at,
        role=role,
        letter="" if jump else _LETTER[role],
        label=(f"{who},", then),
        counts=_counts(ruling, role),
        chops=_chops(ruling, role, person),
    )
    return Official(shape, None, person, _waited(ruling, role), after)


def _waited(ruling: Ruling, role: Role) -> tuple[Before, ...]:
    if not ruling.waiting or ruling.administers is None:
        return ()
    mine = role == ruling.administers.now
    return tuple(
        Before(place, "", (_wait_words(ruling, who),))
        for who, place in ruling.waiting.items()
        if (who == "administering") == mine
    )


def _wait_words(ruling: Ruling, who: str) -> str:
    if ruling.situation.stopped_by != "time_out":
        return "in the break"
    return {"partner_60": "60-second time-out", "partner_30": "30-second time-out"}.get(
        who, "in the time-out"
    )


# ---- everything else: a lead and a trail when play stopped ----


def _known(ruling: Ruling, court: Court, old: Role) -> Official:
    person = person_of(old, ruling.situation)
    shape = _shape(person, old)
    now = _now(ruling, old)
    place = ruling.places[now] if now is not None and ruling.places is not None else None
    after = _after(ruling, place, old, now, person) if now is not None and place is not None else None
    before = _before(ruling, court, old, now, person)
    return Official(shape, old, person, before, after, _step_numbers(ruling, old, now))


def _shape(person: Person | None, old: Role) -> Shape:
    if person is None:
        return "circle" if old == "lead" else "square"
    return "square" if person == "referee" else "circle"


def _now(ruling: Ruling, old: Role) -> Role | None:
    after = ruling.roles_after
    if after is None:
        return None
    return after.old_lead if old == "lead" else after.old_trail


def _after(ruling: Ruling, place: Post, old: Role, now: Role, person: Person | None) -> After:
    return After(
        at=place.at,
        role=now,
        letter=_LETTER[now],
        label=_after_label(old, now, person),
        counts=_counts(ruling, now),
        chops=_chops(ruling, now, person),
    )


def _after_label(old: Role, now: Role, person: Person | None) -> tuple[str, ...]:
    who = person.capitalize() if person else f"Old {old}"
    if old == now:
        return (f"{who},", f"stays {now}") if person else (f"{now.capitalize()},", f"stays {now}")
    return (f"{who},", f"now {now}")


def _counts(ruling: Ruling, role: Role) -> str:
    count = ruling.count
    if count is None or count.by != role:
        return ""
    return f"counts {count.seconds}{' silently' if count.visible is False else ''}"


def _chops(ruling: Ruling, role: Role, person: Person | None) -> str:
    chop = ruling.chop or ()
    if role in chop or (person is not None and person in chop):
        return "chops"
    tosser_chops = "umpire" in chop and person is None and role == "lead" and ruling.restart == "jump_ball"
    return "chops" if tosser_chops else ""


# ---- where he was ----


def _before(
    ruling: Ruling, court: Court, old: Role, now: Role | None, person: Person | None
) -> tuple[Before, ...]:
    if ruling.waiting and ruling.administers is not None and now is not None:
        return _waited(ruling, now)
    place = _old_post(ruling, court, old, now)
    if place is None or _hardly_moves(ruling, place, old, now):
        return ()
    label = f"{person.capitalize()}, was {old}" if person else f"old {old}"
    if ruling.roles_after is None:
        label = f"{person.capitalize()}, {old}" if person else old
    return (Before(place, _LETTER[old], (label,)),)


def _hardly_moves(ruling: Ruling, place: Post, old: Role, now: Role | None) -> bool:
    """True when an official keeps his role and only takes a few steps: one mark says it better than two."""
    if old != now or ruling.places is None:
        return False
    (ax, ay), (bx, by) = place.at, ruling.places[now].at
    return hypot(ax - bx, ay - by) < STEPS_FT


def _old_post(ruling: Ruling, court: Court, old: Role, now: Role | None) -> Post | None:
    s = ruling.situation
    if s.lead_side is None or s.stopped_by in _STARTS:
        return None
    if s.pending is not None and old == now:
        return None
    side = s.lead_side if old == "lead" else other_side(s.lead_side)
    if ruling.restart == "throw_in" and s.stopped_by in _EMPTY_LANE:
        if court.kind != "us-hs":
            return None
        name = "free_throw_alone" if old == "lead" else "by_the_benches"
    else:
        name = "lead_end_line" if old == "lead" else "trail_28"
    return post(court, name, s.attacking, side, None)


def _step_numbers(ruling: Ruling, old: Role, now: Role | None) -> tuple[int, ...]:
    """Return the numbers of the steps in which this official goes somewhere."""
    mine = f"old_{old}"
    found = [
        number
        for number, step in enumerate(ruling.steps, 1)
        if step.moves == mine
        or (step.provision == "steps.move" and step.by == mine and not step.moves)
        or (step.provision == "steps.move" and step.by == "both")
    ]
    return tuple(found)
