"""Situations in and answers out as JSON, with the names other programs rely on.

Every fault of every item is named at once, each with its place; nothing half-read goes on. Lengths are feet.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from datetime import date
from typing import Any, get_args

from msgspec.structs import asdict

from tenbetween.book import edition_ids
from tenbetween.court import court_of
from tenbetween.errors import FormatError, Problem, SituationError, TenbetweenError, one_of
from tenbetween.notation import complaints
from tenbetween.notation import format as line_of
from tenbetween.notation.needs import with_implied
from tenbetween.situation import (
    CAUSES,
    Administers,
    Basket,
    ClockState,
    Count,
    Floor,
    Near,
    Pending,
    Person,
    PointUm,
    Reason,
    Role,
    Ruling,
    Situation,
    TableSide,
    Team,
)
from tenbetween.units import feet, um_from_feet

FIELDS = (
    "edition", "date", "settings", "layers", "court", "attacking", "lead_side", "crew", "stopped_by", "at", "ball_to",
    "pending", "called_by", "bonus", "pressure", "clock",
)  # fmt: skip
WORDS: dict[str, tuple[str, ...]] = {
    "attacking": get_args(Basket),
    "lead_side": get_args(TableSide),
    "stopped_by": CAUSES,
    "ball_to": get_args(Team),
    "pending": get_args(Pending),
    "called_by": get_args(Role),
    "clock": get_args(ClockState),
}
LARGEST = 5_000_000
SAME_EDITION = {"us-hs-2024": "us-hs-2023"}
EditionOn = Callable[[str], str]


def parse_json(text: str, where: str = "input") -> Any:
    """Return the value of a JSON text in which no name stands twice and every number is finite.

    >>> parse_json('{"attacking": "left"}')
    {'attacking': 'left'}

    Raises:
        FormatError: no JSON, too much, a name twice, NaN or infinity.
    """
    if len(text) > LARGEST:
        raise FormatError(Problem(where, f"{len(text):,} signs", f"at most {LARGEST:,}", "split it"))
    try:
        return json.loads(text, object_pairs_hook=_no_twins, parse_constant=_no_constant, parse_int=_whole)
    except json.JSONDecodeError as fault:
        found = f"{fault.msg} at line {fault.lineno}, column {fault.colno}"
        raise FormatError(Problem(where, found, "one JSON value", "mend it there")) from None
    except (RecursionError, ValueError) as fault:
        if isinstance(fault, TenbetweenError):
            raise
        raise FormatError(Problem(where, "JSON nested too deep or a number too long", "a situation or a list of them", "write it plainly")) from None


def _whole(text: str) -> int:
    if len(text) > 20:
        raise FormatError(Problem("input", f"a number of {len(text)} digits", "a number of feet or seconds", "shorten it"))
    return int(text)


def _no_twins(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    names = [name for name, _ in pairs]
    twins = sorted({name for name in names if names.count(name) > 1})
    if twins:
        raise FormatError([Problem(name, "the name twice", "each name once", "take one of them out") for name in twins])
    return dict(pairs)


def _no_constant(name: str) -> Any:
    raise FormatError(Problem("input", name, "a finite number", "leave the field out or write a number"))


def read_situations(text: str, *, edition_on: EditionOn, today: str) -> tuple[tuple[Situation, ...], bool]:
    """Return the situations of a JSON text, and whether it was a list.

    Raises:
        FormatError: not JSON, or neither an object nor a list.
        SituationError: every fault of every item; ``where`` begins with its place in a list.
    """
    given = parse_json(text)
    if isinstance(given, dict):
        return (read_situation(given, edition_on=edition_on, today=today),), False
    if not isinstance(given, list):
        raise FormatError(Problem("input", _sort(given), "a situation object or a list of them", "write { ... }"))
    found: list[Situation] = []
    problems: list[Problem] = []
    for number, one in enumerate(given):
        try:
            found.append(read_situation(one, edition_on=edition_on, today=today))
        except TenbetweenError as fault:
            problems += [p.under(f"[{number}]") for p in fault.problems]
    if problems:
        raise SituationError(problems)
    return tuple(found), True


def read_situation(
    given: Any, *, edition_on: EditionOn | None = None, today: str = "", default_edition: str = ""
) -> Situation:
    """Return one situation from its JSON object.

    >>> read_situation({"attacking": "left", "stopped_by": "game_start"}, default_edition="us-hs-2025").edition
    'us-hs-2025'

    Raises:
        SituationError: everything that is wrong with it.
    """
    if not isinstance(given, dict):
        raise SituationError(Problem("", _sort(given), "a situation object", "write { ... }"))
    reader = _Reader(given)
    situation = reader.situation(edition_on, today, default_edition)
    if situation is None or reader.problems:
        raise SituationError(reader.problems)
    return situation


class _Reader:
    """One object being read; every fault is gathered."""

    def __init__(self, given: dict[str, Any]) -> None:
        self.given = given
        self.problems: list[Problem] = []

    def fault(self, where: str, found: object, expected: str, do: str) -> None:
        """Note a fault."""
        self.problems.append(Problem(where, found if isinstance(found, str) else _shown(found), expected, do))

    def situation(self, edition_on: EditionOn | None, today: str, default_edition: str) -> Situation | None:
        """Return the situation, or None when it cannot be put together."""
        self.problems += [one_of(str(name), name, FIELDS) for name in self.given if name not in FIELDS]
        day = self.day()
        edition = self.edition(day or today, edition_on, default_edition)
        words = {name: self.word(name) for name in WORDS}
        for name in ("attacking", "stopped_by"):
            if words[name] is None and self.given.get(name) is None:
                self.fault(name, "nothing", "one of " + ", ".join(WORDS[name]), f"add {name}")
        floor, at = self.floor(), self.point()
        situation = Situation(
            edition=edition or "",
            attacking=words["attacking"] or "left",  # type: ignore[arg-type]
            stopped_by=words["stopped_by"] or "injury",  # type: ignore[arg-type]
            floor=floor,
            layers=self.layers(),
            settings=self.settings(),
            date=day,
            lead_side=words["lead_side"],  # type: ignore[arg-type]
            lead_person=self.crew(),
            at=at,
            ball_to=words["ball_to"],  # type: ignore[arg-type]
            pending=words["pending"],  # type: ignore[arg-type]
            called_by=words["called_by"],  # type: ignore[arg-type]
            bonus=self.flag("bonus"),
            pressure=self.flag("pressure"),
            clock=words["clock"],  # type: ignore[arg-type]
        )
        if edition is None or "stopped_by" not in self.given or any(p.where in ("stopped_by", "court") for p in self.problems):
            return None
        return self.whole(situation)

    def whole(self, situation: Situation) -> Situation | None:
        """Return the situation with what its cause implies, and note what is missing or contradictory."""
        kind = "fiba" if situation.edition.startswith("fiba") else "us-hs"
        try:
            court_of(kind, situation.floor)
        except TenbetweenError as fault:
            self.problems += [Problem("court", p.found, p.expected, p.do) for p in fault.problems]
            return None
        full = with_implied(situation)
        faulty = {p.where for p in self.problems}
        self.problems += [p for p in complaints(asdict(full)) if p.where not in faulty]
        return full

    def word(self, name: str) -> str | None:
        """Return a word of a closed list."""
        value = self.given.get(name)
        if value is None:
            return None
        if not isinstance(value, str):
            self.fault(name, value, "one of " + ", ".join(WORDS[name]), "write it in quotes")
            return None
        if value not in WORDS[name]:
            self.problems.append(one_of(name, value[:60], WORDS[name]))
            return None
        return value

    def edition(self, day: str, edition_on: EditionOn | None, default: str) -> str | None:
        """Return the edition named, or the one in force."""
        value = self.given.get("edition")
        if value is None:
            return edition_on(day) if edition_on else default
        if not isinstance(value, str):
            self.fault("edition", value, "an edition id in quotes", "write one of " + ", ".join(edition_ids()))
            return None
        chosen = SAME_EDITION.get(value, value)
        if chosen not in edition_ids():
            self.problems.append(one_of("edition", value[:60], edition_ids()))
            return None
        return chosen

    def day(self) -> str | None:
        """Return the date as an ISO day."""
        value = self.given.get("date")
        if value is None:
            return None
        try:
            if isinstance(value, str) and re.match(r"^\d{4}-\d\d-\d\d$", value):
                return date.fromisoformat(value).isoformat()
        except ValueError:
            pass
        self.fault("date", value, "a day such as 2025-11-30", "write year, month and day")
        return None

    def layers(self) -> tuple[str, ...]:
        """Return the ids of the layers."""
        value = self.given.get("layers")
        if value is None:
            return ()
        if not isinstance(value, list) or not all(isinstance(v, str) for v in value):
            self.fault("layers", value, "a list of layer ids", 'write ["k-24"]')
            return ()
        if len(set(value)) < len(value):
            self.fault("layers", value, "each layer once", "take one of the two out")
        return tuple(value)

    def settings(self) -> tuple[tuple[str, str], ...]:
        """Return the settings asked for, by name."""
        value = self.given.get("settings")
        if value is None:
            return ()
        if not isinstance(value, dict):
            self.fault("settings", value, "{name: value}", 'write {"chop": "both_everywhere"}')
            return ()
        for name, one in value.items():
            if not isinstance(one, str):
                self.fault(f"settings.{name}", one, "a value in quotes", "see the list with: tenbetween book list --json")
        return tuple(sorted((n, v) for n, v in value.items() if isinstance(v, str)))

    def crew(self) -> Person | None:
        """Return which person was lead."""
        value = self.given.get("crew")
        if value is None:
            return None
        if not isinstance(value, dict):
            self.fault("crew", value, '{"lead": "referee"} or {"lead": "umpire"}', "write it so, or leave it out")
            return None
        self.problems += [one_of(f"crew.{name}", name, ("lead",)) for name in value if name != "lead"]
        lead = value.get("lead")
        if lead not in get_args(Person):
            self.problems.append(one_of("crew.lead", lead, get_args(Person)))
            return None
        return lead  # type: ignore[no-any-return]

    def flag(self, name: str) -> bool:
        """Return true or false."""
        value = self.given.get(name)
        if value is None:
            return False
        if not isinstance(value, bool):
            self.fault(name, value, "true or false", "write it without quotes")
            return False
        return value

    def floor(self) -> Floor | None:
        """Return the floor in micrometres."""
        value = self.given.get("court")
        if value is None:
            return None
        if not isinstance(value, dict):
            self.fault("court", value, '{"length": 84, "width": 50}', "write it so, or leave it out")
            return None
        self.problems += [one_of(f"court.{n}", n, ("length", "width")) for n in value if n not in ("length", "width")]
        sizes = [self.length(f"court.{name}", value.get(name)) for name in ("length", "width")]
        if sizes[0] is None or sizes[1] is None:
            return None
        return Floor(sizes[0], sizes[1])

    def point(self) -> PointUm | None:
        """Return the place in micrometres."""
        value = self.given.get("at")
        if value is None:
            return None
        if not isinstance(value, list) or len(value) != 2:
            self.fault("at", value, "[x, y] in feet", "write two numbers")
            return None
        x, y = self.length("at[0]", value[0]), self.length("at[1]", value[1])
        return None if x is None or y is None else (x, y)

    def length(self, where: str, value: Any) -> int | None:
        """Return feet as micrometres."""
        if isinstance(value, bool) or not isinstance(value, int | float):
            self.fault(where, "nothing" if value is None else value, "a number of feet", "write a number such as 26.5")
            return None
        try:
            return um_from_feet(value)
        except TenbetweenError as fault:
            self.problems += [Problem(where, p.found, p.expected, p.do) for p in fault.problems]
            return None


def _shown(value: Any) -> str:
    return json.dumps(value, default=str)[:80]


def _sort(value: Any) -> str:
    names = {list: "a list", dict: "an object", str: "a text", bool: "true or false", int: "a number", float: "a number"}
    return names.get(type(value), "null" if value is None else type(value).__name__)


# ---- out ----------------------------------------------------------------------------------------------


def ruling_as_dict(ruling: Ruling) -> dict[str, Any]:
    """Return an answer with the names other programs rely on, parts without a provision null.

    >>> s = Situation(edition="us-hs-2025", attacking="left", stopped_by="game_start")
    >>> list(ruling_as_dict(Ruling(situation=s, restart="jump_ball")))[:3]
    ['covered', 'not_covered', 'restart']
    """
    r = ruling
    return {
        "covered": r.covered,
        "not_covered": [{"part": n.part, "why": n.why} for n in r.not_covered],
        "restart": r.restart,
        "after_free_throws": ruling_as_dict(r.after_free_throws) if r.after_free_throws else None,
        "spot": _point(r.spot),
        "line": r.line,
        "near": _near(r.near),
        "attacking_after": r.attacking_after,
        "court_part": r.court_part,
        "may_run_end_line": r.may_run_end_line,
        "delivery": r.delivery,
        "administers": _administers(r.administers),
        "switch": r.switch,
        "roles_after": {"old_lead": r.roles_after.old_lead, "old_trail": r.roles_after.old_trail} if r.roles_after else None,
        "lead_side_after": r.lead_side_after,
        "places": {role: list(post.at) for role, post in sorted(r.places.items())} if r.places else None,
        "zones": {role: [list(p) for p in post.zone] for role, post in sorted(r.places.items())} if r.places else None,
        "stands": r.stands,
        "count": _count(r.count),
        "clock_starts": r.clock_starts,
        "chop": list(r.chop) if r.chop is not None else None,
        "lines": r.lines,
        "watches": r.watches,
        "steps": [{"by": s.by, "act": s.act, "signal": s.signal, "provision": s.provision, "moves": s.moves or None} for s in r.steps],
        "reasons": [_reason(reason) for reason in r.reasons],
        "caution": r.caution,
        "moved_ft": r.moved_ft,
        "duties": list(r.duties),
        "place_names": {role: post.name for role, post in sorted(r.places.items())} if r.places else None,
        "waiting": {who: {"name": p.name, "at": list(p.at)} for who, p in r.waiting.items()} if r.waiting else None,
        "situation_line": line_of(r.situation),
    }


def _point(at: PointUm | None) -> list[float] | None:
    return None if at is None else [feet(at[0]), feet(at[1])]


def _near(near: Near | None) -> dict[str, Any] | None:
    if near is None:
        return None
    other = near.other_side_answer
    return {
        "line": near.line,
        "distance_ft": near.distance_ft,
        "other_side_answer": {"spot": _point(other.spot), "line": other.line},
    }


def _administers(who: Administers | None) -> dict[str, Any] | None:
    return None if who is None else {"was": who.was, "now": who.now, "person": who.person}


def _count(count: Count | None) -> dict[str, Any] | None:
    if count is None:
        return None
    return {
        "seconds": count.seconds,
        "from": count.begins,
        "to": count.ends,
        "visible": count.visible,
        "by": count.by or None,
        "arm": count.arm,
    }


def _reason(reason: Reason) -> dict[str, Any]:
    names = ("decides", "provision", "row", "section", "edition", "layer", "setting", "source", "confidence", "status")
    return {**{name: getattr(reason, name) for name in names}, "beats": list(reason.beats)}


def write_json(value: Any, *, indent: int | None = 2) -> str:
    """Return JSON text, names in the order given, signs as they are.

    >>> write_json({"a": [1.5, None]}, indent=None)
    '{"a": [1.5, null]}'
    """
    return json.dumps(value, ensure_ascii=False, allow_nan=False, indent=indent)
