"""Who was who at each mark of a film: carried forward from mark to mark by the crew bookkeeping and the book.

The answer to one mark says who is lead, on which side and whose ball it is when the next one begins; what the
trainer says by hand goes before what was carried, and holds for every mark after it. Keeps nothing and reads no film.

What a correction means: ``ball`` says that the ball had changed hands without a mark, so direction turns round and
lead and trail exchange, each on his own sideline; ``lead`` and ``lead_side`` say who and where, and turn nothing;
``attacking`` says the basket, and changes no person.

What is not known here: marks are the moments a trainer marked, not every whistle. A time-out between a foul and its
free throws is answered as a time-out in play, and after free throws the shooters are taken to have the ball until a
mark, or a key, says otherwise.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, Literal, cast

from msgspec import Struct
from msgspec.structs import replace

from tenbetween.crew import Standing, other_person
from tenbetween.crew.rows import JUMPS, STARTS
from tenbetween.crew.walk import crew_after
from tenbetween.desk.answers import Shelf, answer
from tenbetween.notation import complaints
from tenbetween.notation.needs import with_implied
from tenbetween.situation import Basket, Person, Role, Ruling, Situation, TableSide, other_basket, other_side
from tenbetween.units import um_from_feet

Json = dict[str, Any]
Team = Literal["a", "b"]
SITUATION_FIELDS = (
    "stopped_by", "at", "ball_to", "pending", "called_by", "bonus", "pressure", "clock", "settings",
)  # fmt: skip
"""Fields of an answer that a mark keeps; attacking, lead_side and the crew are carried and corrected."""
CORRECTIONS = ("lead", "lead_side", "ball", "attacking")
MOST_ANSWERS = 5000


class Then(Struct, frozen=True, kw_only=True):
    """Who is who at one moment; None where nothing said it yet."""

    lead: Person | None = None
    lead_side: TableSide | None = None
    ball: Team = "a"
    """The team that has, or last had, the ball; ``a`` is the one that had it when the film's play begins."""
    attacking: Basket | None = None
    """The basket that team attacks."""
    period: int = 0
    """0 before the game or where nothing says so."""
    arrow: Team | None = None

    @property
    def trail(self) -> Person | None:
        """The partner of the lead."""
        return None if self.lead is None else other_person(self.lead)

    def person(self, role: Role) -> Person | None:
        """Return who has a role."""
        return self.lead if role == "lead" else self.trail


class Told(Struct, frozen=True, kw_only=True):
    """What a mark itself says, in the order of the game."""

    id: str
    situation: Mapping[str, Any]
    said: Mapping[str, Any] = {}


class Carried(Struct, frozen=True, kw_only=True):
    """One mark with everything before it counted in."""

    id: str
    expected: Then
    """As carried, before what was said by hand."""
    before: Then
    """When play stopped."""
    after: Then
    """When the ball is given."""
    situation: Situation | None
    ruling: Ruling | None
    needs: tuple[str, ...] = ()
    """Fields the answer still waits for."""
    taken: tuple[str, ...] = ()
    """What nobody said and was taken from what is known."""


class Answers:
    """What the book of a film says; situations alike are asked once."""

    def __init__(self, shelf: Shelf, base: Situation) -> None:
        self.shelf, self.base = shelf, base
        self._known: dict[Situation, tuple[tuple[str, ...], Ruling | None]] = {}

    def of(self, situation: Situation, fields: Mapping[str, Any]) -> tuple[tuple[str, ...], Ruling | None]:
        """Return what is still needed and, when nothing is, the ruling."""
        found = self._known.get(situation)
        if found is None:
            needs = tuple(dict.fromkeys(one.where for one in complaints(fields)))
            if len(self._known) >= MOST_ANSWERS:
                self._known.clear()
            found = self._known[situation] = needs, None if needs else answer(self.shelf, situation)
        return found


def opening_of(opening: Mapping[str, Any]) -> Then:
    """Return how play begins on a film.

    >>> opening_of({"attacking": "left", "lead": "umpire", "lead_side": "table"}).trail
    'referee'
    """
    known = {name: opening.get(name) or None for name in ("lead", "lead_side", "attacking", "arrow")}
    return Then(**known, ball=opening.get("ball") or "a", period=int(opening.get("period") or 0))


def carry(opening: Then, marks: Iterable[Told], answers: Answers) -> tuple[Carried, ...]:
    """Return each mark with who was who, in one walk from the first to the last.

    ``marks`` stand in the order of the game.
    """
    now, found = opening, []
    for mark in marks:
        one = step(now, mark, answers)
        found.append(one)
        now = one.after
    return tuple(found)


def step(now: Then, mark: Told, answers: Answers) -> Carried:
    """Return one mark when the moment before it is known."""
    expected, taken = begun(now, mark.situation.get("stopped_by"))
    before = corrected(expected, mark.said)
    fields, more = _fields(answers.base, before, mark.situation)
    taken += more
    situation = _situation(fields)
    needs, ruling = answers.of(situation, fields) if situation else (_unsaid(fields), None)
    after = _after(before, situation, ruling) if situation else before
    return Carried(
        id=mark.id,
        expected=expected,
        before=before,
        after=after,
        situation=situation,
        ruling=ruling,
        needs=needs,
        taken=taken,
    )


def begun(now: Then, why: str | None) -> tuple[Then, tuple[str, ...]]:
    """Return the moment a cause finds: a period begun, baskets changed at half-time, the ball by the arrow."""
    if why not in STARTS:
        return now, ()
    period = 1 if why == "game_start" else max(now.period, 1) + 1
    taken: list[str] = []
    attacking, ball = now.attacking, now.ball
    if period == 3 and attacking:
        attacking = other_basket(attacking)
        taken.append("baskets change for the second half")
    if why == "period_start" and now.arrow:
        attacking = _attacked_by(now.arrow, ball, attacking)
        ball = now.arrow
        taken.append("the ball by the arrow")
    return replace(now, period=period, attacking=attacking, ball=ball), tuple(taken)


def _attacked_by(team: Team, ball: Team, attacking: Basket | None) -> Basket | None:
    return attacking if attacking is None or team == ball else other_basket(attacking)


def corrected(carried: Then, said: Mapping[str, Any]) -> Then:
    """Return what was carried with what was said by hand before it.

    >>> now = Then(lead="umpire", lead_side="table", ball="a", attacking="right")
    >>> stolen = corrected(now, {"ball": "b"})
    >>> stolen.lead, stolen.lead_side, stolen.attacking
    ('referee', 'opposite', 'left')
    >>> corrected(now, {"lead": "referee"}).lead_side
    'table'
    """
    now = carried
    if said.get("ball") and said["ball"] != now.ball:
        now = turned_over(now)
    plain = {name: said[name] for name in ("lead", "lead_side", "attacking") if said.get(name)}
    return replace(now, **plain) if plain else now


def turned_over(now: Then) -> Then:
    """Return the moment after the ball has changed hands: the other basket, lead and trail exchanged."""
    return replace(
        now,
        ball="b" if now.ball == "a" else "a",
        attacking=now.attacking and other_basket(now.attacking),
        lead=now.lead and other_person(now.lead),
        lead_side=now.lead_side and other_side(now.lead_side),
    )


def _fields(base: Situation, now: Then, said: Mapping[str, Any]) -> tuple[Json, tuple[str, ...]]:
    """Return the fields of the situation by its own names, and what was taken for them."""
    why = said.get("stopped_by")
    jump = why in JUMPS
    ball_to = said.get("ball_to")
    taken: tuple[str, ...] = ()
    if ball_to is None and why == "held_ball" and now.arrow:
        ball_to, taken = ("same" if now.arrow == now.ball else "other"), ("the ball by the arrow",)
    at = said.get("at")
    fields: Json = {
        "edition": base.edition,
        "layers": base.layers,
        "settings": _settings(base, said.get("settings")),
        "date": base.date,
        "floor": base.floor,
        "attacking": now.attacking,
        "stopped_by": why,
        "lead_side": None if jump else now.lead_side,
        "lead_person": None if jump else now.lead,
        "at": None if at is None or why in STARTS else (um_from_feet(at[0]), um_from_feet(at[1])),
        "ball_to": None if jump else ball_to,
        "pending": said.get("pending"),
        "called_by": _role(now, said.get("called_by")),
        "bonus": bool(said.get("bonus")),
        "pressure": bool(said.get("pressure")),
        "clock": said.get("clock"),
    }
    return fields, taken


def _settings(base: Situation, said: Mapping[str, str] | None) -> tuple[tuple[str, str], ...]:
    return tuple(sorted({**dict(base.settings), **said}.items())) if said else base.settings


def _role(now: Then, caller: str | None) -> Role | None:
    """Return the role of who called, said as a role or as a person."""
    if caller in ("referee", "umpire"):
        return None if now.lead is None else ("lead" if caller == now.lead else "trail")
    return cast("Role | None", caller or None)


def _situation(fields: Json) -> Situation | None:
    if fields["stopped_by"] is None or fields["attacking"] is None:
        return None
    made = with_implied(Situation(**fields))
    fields["ball_to"] = made.ball_to
    return made


def _unsaid(fields: Json) -> tuple[str, ...]:
    return tuple(name for name in ("stopped_by", "attacking") if fields[name] is None)


def _after(before: Then, situation: Situation, ruling: Ruling | None) -> Then:
    """Return who is who when the ball is given."""
    now = _crew(before, situation, ruling)
    last = (ruling.after_free_throws or ruling) if ruling else None
    if last is not None and last.attacking_after is not None:
        turned = last.attacking_after != situation.attacking
    else:
        turned = situation.ball_to == "other"
    ball: Team = ("b" if before.ball == "a" else "a") if turned else before.ball
    attacking = other_basket(situation.attacking) if turned else situation.attacking
    return replace(now, ball=ball, attacking=attacking, arrow=_arrow(before, situation, ball))


def _crew(before: Then, situation: Situation, ruling: Ruling | None) -> Then:
    if ruling is None:
        # Direction alone: nobody knows yet what the book says.
        return turned_over(before) if situation.ball_to == "other" else before
    lead, side = before.lead or "umpire", before.lead_side
    for one in (ruling, ruling.after_free_throws):
        if one is not None:
            after, side = crew_after(one, Standing(lead=lead, lead_side=side))
            lead = after or lead
    known = before.lead is not None or situation.stopped_by in STARTS
    return replace(before, lead=lead if known else None, lead_side=side)


def _arrow(before: Then, situation: Situation, ball: Team) -> Team | None:
    """The arrow once the ball is given: with the team that did not get it, where the arrow or a tap gave it."""
    if situation.stopped_by in JUMPS | {"held_ball", "period_start"}:
        return "b" if ball == "a" else "a"
    return before.arrow
