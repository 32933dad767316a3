"""What all situations with the same features share: who, how, count, clock, looking, steps and their reasons.

Only where things are and on which side differs inside such a class, and that is left to ``decide``. Worked out
once per class and book, so that a game's worth of answers walks the tables a few hundred times, not thousands.
Holds no rule: each outcome is a row of the book.
"""

from __future__ import annotations

from typing import Any

from msgspec import Struct

from tenbetween.book.index import GAP, Desk, Hit
from tenbetween.situation import Count, NotCovered, Reason, Role, Step, other_role

STARTS = ("referee_is_trail", "tosser_becomes_trail")
_AS_ROLE = {"referee_as_trail": "trail", "referee": "trail"}


class Alike(Struct, frozen=True, kw_only=True):
    """The shared part of an answer; None where nothing decides it."""

    run: bool | None
    old_lead: Role | None
    old_trail: Role | None
    handles: str
    """``lead``, ``trail``, ``nobody``, ``open``, or the Referee at a start."""
    role: str
    """The role of the one who handles the ball."""
    sides: str | None
    starts: bool
    delivery: str | None
    stands: str | None
    count: Count | None
    clock: str | None
    chop: tuple[str, ...] | None
    lines: dict[str, str] | None
    watches: dict[str, str] | None
    places: dict[str, str] | None
    waiting: dict[str, str] | None
    steps: tuple[Step, ...]
    """The acts in order; ``{line}`` still stands for the line of the spot."""
    steps_by_line: dict[str, tuple[Step, ...]]
    """The same with a line filled in, kept once asked for."""
    duties: tuple[str, ...]
    reasons: tuple[Reason, ...]
    not_covered: tuple[NotCovered, ...]
    features: dict[str, str]
    """The features with what the tables decided filled in."""


def alike(tables: Desk, features: dict[str, str]) -> Alike:
    """Return what a class of situations shares; features must be settled up to the spot.

    The first situation of a class pays for it; the tables keep it for the others.
    """
    key = tuple(features.values())
    found = tables.alike.get(key)
    if found is None:
        found = tables.alike[key] = _Asking(tables, dict(features)).all()
    return found


class _Asking:
    """One class of situations on its way through the tables."""

    def __init__(self, tables: Desk, features: dict[str, str]) -> None:
        self.tables, self.f = tables, features
        self.reasons: list[Reason] = []
        self.not_covered: list[NotCovered] = []

    def ask(self, table: str) -> dict[str, Any] | None:
        """Ask one table; note the reason, or what is not covered."""
        hit: Hit = self.tables[table].hit(self.f)
        if hit.reason is not None:
            self.reasons.append(hit.reason)
            return hit.then
        if hit.not_covered is not None:
            self.not_covered.append(self.told(hit.not_covered))
        return None

    def told(self, nothing: NotCovered) -> NotCovered:
        """Say what is missing when nothing applies only because something before it is open."""
        if nothing.why != GAP:
            return nothing
        f = self.f
        if f["restart"] == "throw_in" and f["line"] == "open":
            return NotCovered(nothing.part, "where the ball comes in is open, and this depends on it")
        if f["roles_known"] == "no":
            return NotCovered(nothing.part, "the lead's side was not given, and this depends on it")
        if f["handles"] == "open" and nothing.part != "administers":
            return NotCovered(nothing.part, "who gives the ball is open, and this depends on it")
        return nothing

    def word(self, table: str, field: str) -> Any:
        """Ask a table that decides one field."""
        then = self.ask(table)
        return then[field] if then else None

    def all(self) -> Alike:
        """Ask every table in order."""
        f = self.f
        run = self.run()
        old_lead, old_trail, starts = self.roles()
        handles = self.word("who", "handles") or "open"
        role = f["handles"] = _AS_ROLE.get(handles, handles)
        sides = self.word("sides", "sides")
        delivery = self.word("delivery", "delivery")
        f["delivered"] = delivery or "open"
        return Alike(
            run=run,
            old_lead=old_lead,
            old_trail=old_trail,
            handles=handles,
            role=role,
            sides=sides,
            starts=starts,
            delivery=delivery,
            stands=self.word("stands", "stands"),
            count=self.count(),
            clock=self.word("clock", "clock"),
            chop=self.chop(),
            lines=self.ask("lines"),
            watches=self.watches(),
            places=self.ask("places"),
            waiting=self.ask("waiting"),
            steps=self.steps(old_lead),
            steps_by_line={},
            duties=tuple(dict.fromkeys(p.id for p, _ in self.tables["duties"].collect(f))),
            reasons=tuple(self.reasons),
            not_covered=tuple(self.not_covered),
            features=f,
        )

    def run(self) -> bool | None:
        """Whether the thrower may run the end line; False where no ball is thrown in or thrown free."""
        if self.f["restart"] not in ("throw_in", "free_throws"):
            return False if self.f["restart"] == "jump_ball" else None
        word = self.word("run", "run")
        self.f["run"] = word or "no"
        return None if word is None else word == "yes"

    def roles(self) -> tuple[Role | None, Role | None, bool]:
        """The roles of old lead and old trail at disposal, and whether a start decides them by person."""
        kind = self.word("roles", "roles")
        if kind is None or kind in STARTS:
            return None, None, kind is not None
        stays = self.f["direction"] == "same"
        if kind == "caller_is_trail":
            stays = self.f["caller"] == "trail"
        elif kind == "nobody_changes":
            stays = True
        elif kind == "exchanged":
            stays = not stays
        old_lead: Role = "lead" if stays else "trail"
        self.f["old_lead_is"] = old_lead
        if self.f["sideline_of"] != "open":
            self.f["owner_now"] = old_lead if self.f["sideline_of"] == "lead" else other_role(old_lead)
        return old_lead, other_role(old_lead), False

    def count(self) -> Count | None:
        """The count of the restart and who keeps it."""
        c = self.ask("count")
        if c is None:
            return None
        by = c.get("by", "")
        if by == "administering":
            by = "" if self.f["handles"] == "open" else self.f["handles"]
        return Count(c["seconds"], c["begins"], c["ends"], c.get("visible"), by, c.get("arm", "free"))

    def chop(self) -> tuple[str, ...] | None:
        """The officials who chop, in order, by role; open when it is the one who gives the ball and he is open."""
        who = self.word("chop", "chop")
        if who is None:
            return None
        listed: tuple[str, ...] = who if isinstance(who, tuple) else (who,)
        role = self.f["handles"]
        if role == "open" and "administering" in listed:
            why = "who gives the ball is open, so who chops is open too"
            self.not_covered.append(NotCovered("chop", why))
            self.reasons = [r for r in self.reasons if r.decides != "chop"]
            return None
        named: dict[str, str] = {"administering": role, "partner": "trail" if role == "lead" else "lead"}
        return tuple(dict.fromkeys(named.get(one, one) for one in listed))

    def watches(self) -> dict[str, str] | None:
        """Whom each official watches at disposal."""
        got = self.ask("watch")
        if got is None:
            return None
        if "lead" in got or "trail" in got:
            return {role: got[role] for role in ("lead", "trail") if role in got}
        mine, his = got["administering"], got["partner"]
        gives = self.f["handles"] == "lead"
        return {"lead": mine if gives else his, "trail": his if gives else mine}

    def steps(self, old_lead: Role | None) -> tuple[Step, ...]:
        """The ordered acts of the crew; ``{line}`` still stands for the line of the spot."""
        made = []
        for provision, row in self.tables["steps"].collect(self.f):
            then = dict(row.then)
            moves = then.get("moves", "")
            if moves and old_lead != "trail":
                continue  # nobody changes role, so nobody has a way to go
            made.append(Step(then["by"], then["act"], then.get("signal", "none"), provision.id, moves))
        return tuple(made)
