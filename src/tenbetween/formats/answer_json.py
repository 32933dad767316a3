"""Situations in and answers out as JSON, with the names other programs rely on.

Every fault of every item is named at once, each with its place; nothing half-read goes on. Lengths are feet
in the court frame. What goes with which cause is asked of ``notation``; nothing is decided here.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from functools import lru_cache
from typing import Any, cast, get_args

from tenbetween.book import edition_ids
from tenbetween.errors import FormatError, Problem, SituationError, TenbetweenError, one_of
from tenbetween.formats.json_text import joined, parse_json, write_json
from tenbetween.notation import complaints, edition_named, implied_ball
from tenbetween.notation import format as line_of
from tenbetween.notation.needs import floor_court
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
    Post,
    Reason,
    Role,
    Ruling,
    Situation,
    TableSide,
    Team,
)
from tenbetween.units import feet, um_from_feet

__all__ = ["FIELDS", "parse_json", "read_situation", "read_situations", "ruling_as_dict", "write_json"]

FIELDS = (
    "edition", "date", "settings", "layers", "court", "attacking", "lead_side", "crew", "stopped_by", "at",
    "ball_to", "pending", "called_by", "bonus", "pressure", "clock",
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
"""Fields whose value is one of a few words."""
_LAYER = re.compile(r"[a-z0-9]+(?:[.-][a-z0-9]+)*\Z")
_SETTING = re.compile(r"[a-z][a-z0-9_]*\Z")
_VALUE = re.compile(r"[a-z0-9][a-z0-9_]{0,99}\Z")
_DAY = re.compile(r"\d{4}-\d\d-\d\d\Z", re.ASCII)
_NAMED_OTHERWISE = {"court.length": "court", "court.width": "court"}
EditionOn = Callable[[str], str]


def read_situations(
    text: str | bytes, *, edition_on: EditionOn | None = None, today: str = "", default_edition: str = ""
) -> tuple[tuple[Situation, ...], bool]:
    """Return the situations of a JSON text, and whether it was a list.

    ``edition_on`` gives the edition in force on a day, ``today`` the day where none is said; without them
    every situation that names no edition has ``default_edition``.

    >>> text = '[{"attacking": "left", "stopped_by": "game_start"}]'
    >>> read_situations(text, default_edition="us-hs-2025")[1]
    True

    Raises:
        FormatError: not JSON, or neither an object nor a list.
        SituationError: every fault of every item; ``where`` begins with its place in a list.
    """
    given = parse_json(text)
    how: dict[str, Any] = {"edition_on": edition_on, "today": today, "default_edition": default_edition}
    if isinstance(given, dict):
        return (read_situation(given, **how),), False
    if not isinstance(given, list):
        found = Problem(
            "input", _shown(given), "a situation or a list of situations", "write { ... } or [{ ... }]"
        )
        raise FormatError(found)
    return _read_list(given, how), True


def _read_list(given: list[Any], how: dict[str, Any]) -> tuple[Situation, ...]:
    found: list[Situation] = []
    problems: list[Problem] = []
    for number, one in enumerate(given):
        try:
            found.append(read_situation(one, **how))
        except TenbetweenError as fault:
            problems += [problem.under(f"[{number}]") for problem in fault.problems]
    if problems:
        raise SituationError(problems)
    return tuple(found)


def read_situation(
    given: Any, *, edition_on: EditionOn | None = None, today: str = "", default_edition: str = ""
) -> Situation:
    """Return one situation from its JSON object.

    >>> start = {"attacking": "left", "stopped_by": "game_start"}
    >>> read_situation(start, default_edition="us-hs-2025").edition
    'us-hs-2025'

    Raises:
        SituationError: everything that is wrong with it.
    """
    if not isinstance(given, dict):
        expected = "a situation, which is a JSON object"
        raise SituationError(Problem("", _shown(given), expected, 'write {"attacking": "left", ...}'))
    reader = _Reader(given)
    fields = reader.fields(edition_on, today, default_edition)
    reader.check(fields)
    if reader.problems:
        raise SituationError(reader.problems)
    return Situation(**fields)


@lru_cache(maxsize=1)
def _known_editions() -> tuple[str, ...]:
    return edition_ids()


class _Reader:
    """One object being read; every fault is gathered."""

    def __init__(self, given: dict[str, Any]) -> None:
        self.given = given
        self.problems: list[Problem] = []

    def fault(self, where: str, found: Any, expected: str, do: str) -> None:
        """Note a fault."""
        self.problems.append(Problem(where, _shown(found), expected, do))

    def fields(self, edition_on: EditionOn | None, today: str, default_edition: str) -> dict[str, Any]:
        """Return every field that can be read, by the names of a situation."""
        self.problems += [_unknown(name, "", FIELDS) for name in self.given if name not in FIELDS]
        day = self.day()
        fields: dict[str, Any] = {name: self.word(name) for name in WORDS}
        fields |= {
            "edition": self.edition(day or today, edition_on, default_edition),
            "date": day,
            "floor": self.floor(),
            "layers": self.layers(),
            "settings": self.settings(),
            "lead_person": self.crew(),
            "at": self.point(),
            "bonus": self.flag("bonus"),
            "pressure": self.flag("pressure"),
        }
        return fields

    def check(self, fields: dict[str, Any]) -> None:
        """Fill in what the cause implies, and note what is missing or contradictory; a fault is told once."""
        if fields["ball_to"] is None:
            fields["ball_to"] = implied_ball(fields)
        told = {problem.where.split("[")[0].split(".")[0] for problem in self.problems}
        if "stopped_by" in told:
            fields = {**fields, "stopped_by": None}
        for problem in complaints(fields):
            if _NAMED_OTHERWISE.get(problem.where, problem.where) not in told:
                self.problems.append(problem)

    # -- one field each -------------------------------------------------------------------------------------

    def word(self, name: str) -> str | None:
        """Return a word of a closed list."""
        value = self.given.get(name)
        if value is None:
            return None
        if not isinstance(value, str):
            self.fault(name, value, "one of " + ", ".join(WORDS[name]), "write one of these words in quotes")
        elif value not in WORDS[name]:
            self.problems.append(one_of(name, _cut(value), WORDS[name]))
        else:
            return value
        return None

    def edition(self, day: str, edition_on: EditionOn | None, default: str) -> str | None:
        """Return the edition named, or the one in force."""
        value = self.given.get("edition")
        if value is None:
            return edition_on(day) if edition_on else default
        known = _known_editions()
        if not isinstance(value, str):
            self.fault("edition", value, "one of " + ", ".join(known), "write one of these ids in quotes")
            return None
        chosen = value if value in known else edition_named(value)
        if chosen is None:
            self.problems.append(one_of("edition", _cut(value), known))
        return chosen

    def day(self) -> str | None:
        """Return the date as an ISO day."""
        value = self.given.get("date")
        if value is None:
            return None
        try:
            if isinstance(value, str) and _DAY.match(value):
                return date.fromisoformat(value).isoformat()
        except ValueError:
            pass
        self.fault("date", value, "a day of the calendar", "write it like 2025-11-30")
        return None

    def layers(self) -> tuple[str, ...]:
        """Return the ids of the layers."""
        value = self.given.get("layers")
        if value is None:
            return ()
        if not isinstance(value, list):
            self.fault("layers", value, "a list of layer ids", 'write ["k-24"]')
            return ()
        for number, one in enumerate(value):
            if not isinstance(one, str) or not _LAYER.match(one):
                expected = "a layer id of small letters, digits and hyphens"
                self.fault(f"layers[{number}]", one, expected, 'write it like "k-24"')
            elif one in value[:number]:
                self.fault(f"layers[{number}]", one, "each layer once", "take this one out")
        return tuple(one for one in value if isinstance(one, str))

    def settings(self) -> tuple[tuple[str, str], ...]:
        """Return the settings asked for, by name; a value may be written as it is said."""
        value = self.given.get("settings")
        if value is None:
            return ()
        if not isinstance(value, dict):
            self.fault("settings", value, "an object {name: value}", 'write {"chop": "both_everywhere"}')
            return ()
        found = [(name, self.setting(name, one)) for name, one in value.items()]
        return tuple(sorted((name, one) for name, one in found if one))

    def setting(self, name: str, value: Any) -> str:
        """Return the value of one setting as a word with underscores."""
        where, do = joined("settings", name), "see them with: tenbetween book list --json"
        if not _SETTING.match(name):
            self.fault(where, name, "the name of a setting", do)
            return ""
        if not isinstance(value, str):
            self.fault(where, value, "the value of a setting, in quotes", do)
            return ""
        token = value if _VALUE.match(value) else _token(value)
        if not _VALUE.match(token):
            self.fault(where, value, "the value of a setting", do)
            return ""
        return token

    def crew(self) -> Person | None:
        """Return which person was lead."""
        value = self.given.get("crew")
        if value is None:
            return None
        if not isinstance(value, dict):
            expected = 'an object {"lead": "referee"} or {"lead": "umpire"}'
            self.fault("crew", value, expected, "write it so, or leave crew out")
            return None
        self.problems += [_unknown(name, "crew", ("lead",)) for name in value if name != "lead"]
        lead = value.get("lead")
        if lead not in get_args(Person):
            self.fault("crew.lead", lead, "referee or umpire", "say which person was lead, or leave crew out")
            return None
        return cast(Person, lead)

    def flag(self, name: str) -> bool:
        """Return true or false."""
        value = self.given.get(name)
        if value is not None and not isinstance(value, bool):
            self.fault(name, value, "true or false", "write it without quotes")
        return value is True

    def floor(self) -> Floor | None:
        """Return the floor; a size that is left out is the usual one of the edition."""
        value = self.given.get("court")
        if value is None:
            return None
        if not isinstance(value, dict):
            expected = 'an object {"length": 84, "width": 50}'
            self.fault("court", value, expected, "write it so, or leave court out")
            return None
        names = ("length", "width")
        self.problems += [_unknown(name, "court", names) for name in value if name not in names]
        named = self.given.get("edition")
        usual = floor_court(edition_named(named) if isinstance(named, str) else None, None)
        length = usual.length if value.get("length") is None else self.length("court.length", value["length"])
        width = usual.width if value.get("width") is None else self.length("court.width", value["width"])
        return None if length is None or width is None else Floor(length, width)

    def point(self) -> PointUm | None:
        """Return the place."""
        value = self.given.get("at")
        if value is None:
            return None
        if not isinstance(value, list) or len(value) != 2:
            self.fault("at", value, "two numbers, [x, y] in feet", "write [58, 0]")
            return None
        x, y = self.length("at[0]", value[0]), self.length("at[1]", value[1])
        return None if x is None or y is None else (x, y)

    def length(self, where: str, value: Any) -> int | None:
        """Return feet as micrometres."""
        if isinstance(value, bool) or not isinstance(value, int | float):
            self.fault(where, value, "a number of feet", "write a number such as 26.5, without quotes")
            return None
        try:
            return um_from_feet(value)
        except TenbetweenError as fault:
            self.problems += [Problem(where, p.found, p.expected, p.do) for p in fault.problems]
            return None


def _unknown(name: str, within: str, allowed: tuple[str, ...]) -> Problem:
    near = one_of("", name[:60], allowed)
    expected = f"only the fields {', '.join(allowed)}"
    do = near.do if "did you mean" in near.do else "leave it out"
    return Problem(joined(within, name), "a field nobody knows", expected, do)


def _token(value: str) -> str:
    """Return a value written as it is said ("Lead's side") as a word with underscores."""
    spread = value[:200].lower().replace("-", " ").replace("_", " ")
    return "_".join("".join(sign for sign in spread if sign.isalnum() or sign == " ").split())


def _cut(value: str) -> str:
    return value if len(value) <= 60 else value[:60] + "..."


def _shown(value: Any) -> str:
    """Return a value as it stood in the text, cut to a readable length."""
    if value is None:
        return "nothing"
    text = write_json(value, indent=None) if not isinstance(value, str) else ascii(value)
    return text if len(text) <= 80 else text[:77] + "..."


# -- out ---------------------------------------------------------------------------------------------------


def ruling_as_dict(ruling: Ruling) -> dict[str, Any]:
    """Return an answer by the names other programs rely on; parts without a provision are None.

    >>> s = Situation(edition="us-hs-2025", attacking="left", stopped_by="game_start")
    >>> list(ruling_as_dict(Ruling(situation=s, restart="jump_ball")))[:3]
    ['covered', 'not_covered', 'restart']
    """
    r = ruling
    return {
        "covered": r.covered,
        "not_covered": _not_covered(r),
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
        "roles_after": _roles(r),
        "lead_side_after": r.lead_side_after,
        **_places(r.places),
        "stands": r.stands,
        "count": _count(r.count),
        "clock_starts": r.clock_starts,
        "chop": None if r.chop is None else list(r.chop),
        "lines": r.lines,
        "watches": r.watches,
        "steps": _steps(r),
        "reasons": [*(_reason(one) for one in r.reasons), *_carried(r)],
        "caution": r.caution,
        **_beyond(r),
    }


_FOLLOWS: dict[str, tuple[str, ...]] = {
    "line": ("spot", "may_run_end_line"),
    "court_part": ("spot", "may_run_end_line"),
    "switch": ("roles_after",),
    "zones": ("places",),
}
"""Parts no table is asked for: they are read off another part, so its reason is theirs, and so is its gap."""


def _not_covered(r: Ruling) -> list[dict[str, str]]:
    open_parts = {one.part: one.why for one in r.not_covered}
    for part in ("switch", "zones"):
        source = _FOLLOWS[part][0]
        if source in open_parts and part not in open_parts and _value(r, part) is None:
            open_parts[part] = open_parts[source]
    return [{"part": part, "why": why} for part, why in open_parts.items()]


def _carried(r: Ruling) -> list[dict[str, Any]]:
    """Return the reasons of decided parts that are read off another part."""
    known = {one.decides: one for one in r.reasons}
    found = []
    for part, sources in _FOLLOWS.items():
        source = next((known[name] for name in sources if name in known), None)
        if source is not None and part not in known and _value(r, part) is not None:
            found.append({**_reason(source), "decides": part})
    return found


def _value(r: Ruling, part: str) -> Any:
    return (r.places or None) if part == "zones" else getattr(r, part)


def _beyond(r: Ruling) -> dict[str, Any]:
    """Return what we say beyond what others rely on."""
    names = {role: post.name for role, post in sorted(r.places.items())} if r.places else None
    waiting = {who: _post(post) for who, post in sorted(r.waiting.items())} if r.waiting else None
    return {
        "also_near": _near(r.also_near),
        "moved_ft": r.moved_ft,
        "place_names": names,
        "waiting": waiting,
        "duties": list(r.duties),
        "situation_line": line_of(r.situation),
    }


def _point(at: PointUm | None) -> list[float] | None:
    return None if at is None else [feet(at[0]), feet(at[1])]


def _drawn(point: tuple[float, float]) -> list[float]:
    return [round(point[0], 4) + 0.0, round(point[1], 4) + 0.0]


def _post(post: Post) -> dict[str, Any]:
    return {"name": post.name, "at": _drawn(post.at)}


def _places(places: dict[str, Post] | None) -> dict[str, Any]:
    if not places:
        return {"places": None, "zones": None}
    return {
        "places": {role: _drawn(post.at) for role, post in sorted(places.items())},
        "zones": {role: [_drawn(corner) for corner in post.zone] for role, post in sorted(places.items())},
    }


def _near(near: Near | None) -> dict[str, Any] | None:
    if near is None:
        return None
    other = near.other_side_answer
    return {
        "line": near.line,
        "distance_ft": round(near.distance_ft, 4),
        "other_side_answer": {"spot": _point(other.spot), "line": other.line},
    }


def _administers(who: Administers | None) -> dict[str, Any] | None:
    return None if who is None else {"was": who.was, "now": who.now, "person": who.person}


def _roles(r: Ruling) -> dict[str, str] | None:
    after = r.roles_after
    return None if after is None else {"old_lead": after.old_lead, "old_trail": after.old_trail}


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


def _steps(r: Ruling) -> list[dict[str, Any]]:
    names = ("by", "act", "signal", "provision")
    return [{**{name: getattr(one, name) for name in names}, "moves": one.moves or None} for one in r.steps]


def _reason(reason: Reason) -> dict[str, Any]:
    names = ("decides", "provision", "row", "section", "edition", "layer", "setting", "source", "confidence")
    return {
        **{name: getattr(reason, name) for name in names},
        "beats": list(reason.beats),
        "status": reason.status,
    }
