"""The situation on the screen while it is being set: three blanks open, the rest as last left.

A draft is one address (query) and, when nothing is open, one situation. Knows the contract's words, no rule.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, get_args
from urllib.parse import urlencode

from msgspec import Struct
from msgspec.structs import replace

from tenbetween.errors import Problem, SituationError, one_of
from tenbetween.situation import CAUSES, Basket, Pending, Person, Role, TableSide, Team
from tenbetween.web.causes import BY_CAUSE, CauseWords
from tenbetween.web.places import Floor, Point, line_of

TEAMS = ("White", "Dark")
NO_LAYERS = "none"
CLOSED: dict[str, tuple[str, ...]] = {
    "team": TEAMS,
    "attacks": get_args(Basket),
    "cause": CAUSES,
    "ball": get_args(Team),
    "lead": get_args(TableSide),
    "is": get_args(Person),
    "pending": get_args(Pending),
    "called": get_args(Role),
}
"""Every choice of the address with its closed list."""


class Draft(Struct, frozen=True, kw_only=True):
    """What is set so far; empty text means an open blank."""

    team: str = "White"
    attacks: str = "right"
    cause: str = ""
    at: Point | None = None
    ball: str = ""
    lead: str = "table"
    lead_is: str = "umpire"
    edition: str = ""
    """Empty: the edition in force today."""
    layers: tuple[str, ...] | None = None
    """None: the layers always used here."""
    settings: tuple[tuple[str, str], ...] = ()
    pending: str = ""
    called: str = ""
    bonus: bool = False
    pressure: bool = False
    clock: str = ""
    date: str = ""
    floor: tuple[float, float] | None = None

    @property
    def words(self) -> CauseWords | None:
        """Return the words of the cause, None while it is open."""
        return BY_CAUSE.get(self.cause)

    @property
    def to_team(self) -> str:
        """Return the colour of the team that gets the ball, empty while open.

        >>> Draft(ball="other").to_team
        'Dark'
        """
        if not self.ball:
            return ""
        return self.team if self.ball == "same" else other_team(self.team)

    def open_blanks(self) -> tuple[str, ...]:
        """Return which of where, cause and ball are still open, in the order they are asked.

        >>> Draft().open_blanks(), Draft(cause="game_start").open_blanks()
        (('at', 'cause', 'ball'), ())
        """
        words = self.words
        asks_place = words is None or words.at == "must"
        asks_ball = words is None or words.ball == "must"
        blanks = (
            ("at", self.at is None and asks_place),
            ("cause", words is None),
            ("ball", not self.ball and asks_ball),
        )
        return tuple(name for name, is_open in blanks if is_open)


def other_team(team: str) -> str:
    """Return the other of the two colours.

    >>> other_team("White")
    'Dark'
    """
    return TEAMS[1] if team == TEAMS[0] else TEAMS[0]


# -- from and to the address -------------------------------------------------------------------------


def from_query(query: Mapping[str, str], floor: Floor) -> Draft:
    """Return the draft an address says.

    >>> from_query({"cause": "held_ball", "at": "70,12"}, Floor()).at
    (70.0, 12.0)

    Raises:
        SituationError: every word that is not in its list, a place that is none.
    """
    faults = [one_of(name, query[name], allowed) for name, allowed in CLOSED.items() if _wrong(query, name)]
    at, bad_place = _read_point(query.get("at", ""), floor)
    if faults or bad_place:
        raise SituationError((*faults, *bad_place))
    return settled(_unchecked(query, at), floor)


def _unchecked(query: Mapping[str, str], at: Point | None) -> Draft:
    got = {name: query.get(name, "") for name in CLOSED}
    usual = Draft()
    return Draft(
        team=got["team"] or usual.team,
        attacks=got["attacks"] or usual.attacks,
        cause=got["cause"],
        at=at,
        ball=got["ball"],
        lead=got["lead"] or usual.lead,
        lead_is=got["is"] or usual.lead_is,
        edition=query.get("edition", ""),
        layers=_names(query["layers"]) if query.get("layers") else None,
        settings=_pairs(query.get("set", "")),
        pending=got["pending"],
        called=got["called"],
        bonus=query.get("bonus") == "yes",
        pressure=query.get("pressure") == "yes",
        clock=query.get("clock", ""),
        date=query.get("date", ""),
        floor=_size(query.get("floor", "")),
    )


def _wrong(query: Mapping[str, str], name: str) -> bool:
    return bool(query.get(name)) and query[name] not in CLOSED[name]


def _names(text: str) -> tuple[str, ...]:
    return tuple(name for name in text.replace(",", " ").split() if name != NO_LAYERS)


def _pairs(text: str) -> tuple[tuple[str, str], ...]:
    pairs = (part.partition("=") for part in text.split(",") if "=" in part)
    return tuple(sorted((name.strip(), value.strip()) for name, _, value in pairs))


def _size(text: str) -> tuple[float, float] | None:
    length, _, width = text.partition("x")
    try:
        return (float(length), float(width))
    except ValueError:
        return None


def _read_point(text: str, floor: Floor) -> tuple[Point | None, tuple[Problem, ...]]:
    if not text:
        return None, ()
    try:
        x, y = (float(part) for part in text.split(","))
    except ValueError:
        return None, (Problem("at", repr(text)[:60], "two numbers of feet, like 58,0", "tap the court"),)
    if not (-4 <= x <= floor.length + 4 and -4 <= y <= floor.width + 4):
        size = f"a place on the {floor.length:g} by {floor.width:g} ft floor"
        return None, (Problem("at", repr(text)[:60], size, "tap the court or move the mark onto it"),)
    return (min(max(x, 0.0), floor.length), min(max(y, 0.0), floor.width)), ()


def to_query(draft: Draft, **changes: Any) -> str:
    """Return the address of a draft, leaving out what is as usual; ``changes`` are set first.

    >>> to_query(Draft(cause="out_of_bounds", at=(58.0, 0.0)), ball="same")
    '?cause=out_of_bounds&at=58%2C0&ball=same'
    """
    changed = replace(draft, **changes)
    usual = Draft()
    yes = {True: "yes", False: ""}
    pairs = (
        ("team", changed.team if changed.team != usual.team else ""),
        ("attacks", changed.attacks if changed.attacks != usual.attacks else ""),
        ("cause", changed.cause),
        ("at", f"{changed.at[0]:g},{changed.at[1]:g}" if changed.at else ""),
        ("ball", changed.ball),
        ("lead", changed.lead if changed.lead != usual.lead else ""),
        ("is", changed.lead_is if changed.lead_is != usual.lead_is else ""),
        ("edition", changed.edition),
        ("layers", "" if changed.layers is None else " ".join(changed.layers) or NO_LAYERS),
        ("set", ",".join(f"{name}={value}" for name, value in changed.settings)),
        ("pending", changed.pending),
        ("called", changed.called),
        ("bonus", yes[changed.bonus]),
        ("pressure", yes[changed.pressure]),
        ("clock", changed.clock),
        ("date", changed.date),
        ("floor", f"{changed.floor[0]:g}x{changed.floor[1]:g}" if changed.floor else ""),
    )
    return "?" + urlencode([(name, value) for name, value in pairs if value])


def settled(draft: Draft, floor: Floor) -> Draft:
    """Return the draft with what one answer implies: a place on a line says out, a cause says whose ball.

    >>> settled(Draft(at=(58.0, 0.0)), Floor()).cause
    'out_of_bounds'
    """
    if draft.at is not None and not draft.cause and line_of(draft.at, floor):
        draft = replace(draft, cause="out_of_bounds")
    words = draft.words
    if words is None:
        return draft
    kept = {name for name in ("called_by", "bonus", "pending", "pressure") if name in words.follow}
    return replace(
        draft,
        ball="" if words.ball == "no" else draft.ball or words.usual_ball,
        at=None if words.at == "no" else draft.at,
        called=draft.called if "called_by" in kept else "",
        bonus=draft.bonus and "bonus" in kept,
        pending=draft.pending if "pending" in kept else "",
        pressure=draft.pressure and "pressure" in kept,
    )


# -- from and to the contract's situation ------------------------------------------------------------


def to_situation(draft: Draft) -> dict[str, Any]:
    """Return the situation of a draft with nothing open, by the names other programs use.

    >>> to_situation(Draft(cause="game_start", edition="us-hs-2025"))["stopped_by"]
    'game_start'
    """
    pairs: tuple[tuple[str, Any], ...] = (
        ("edition", draft.edition),
        ("date", draft.date),
        ("settings", dict(draft.settings)),
        ("layers", list(draft.layers or ())),
        ("court", {"length": draft.floor[0], "width": draft.floor[1]} if draft.floor else None),
        ("attacking", draft.attacks),
        ("lead_side", draft.lead),
        ("crew", {"lead": draft.lead_is}),
        ("stopped_by", draft.cause),
        ("at", list(draft.at) if draft.at else None),
        ("ball_to", draft.ball),
        ("pending", draft.pending),
        ("called_by", draft.called),
        ("bonus", draft.bonus),
        ("pressure", draft.pressure),
        ("clock", draft.clock),
    )
    return {name: value for name, value in pairs if value}


def from_situation(situation: Mapping[str, Any], team: str = "White") -> Draft:
    """Return the draft that shows a situation.

    >>> from_situation({"attacking": "left", "stopped_by": "game_start"}).attacks
    'left'
    """
    court = situation.get("court")
    at = situation.get("at")
    return Draft(
        team=team if team in TEAMS else TEAMS[0],
        attacks=situation.get("attacking") or "right",
        cause=situation.get("stopped_by") or "",
        at=(float(at[0]), float(at[1])) if at else None,
        ball=situation.get("ball_to") or "",
        lead=situation.get("lead_side") or "table",
        lead_is=(situation.get("crew") or {}).get("lead") or "umpire",
        edition=situation.get("edition") or "",
        layers=tuple(situation.get("layers") or ()),
        settings=tuple(sorted((situation.get("settings") or {}).items())),
        pending=situation.get("pending") or "",
        called=situation.get("called_by") or "",
        bonus=bool(situation.get("bonus")),
        pressure=bool(situation.get("pressure")),
        clock=situation.get("clock") or "",
        date=situation.get("date") or "",
        floor=(float(court["length"]), float(court["width"])) if court else None,
    )


def emptied(draft: Draft) -> Draft:
    """Return the draft with the blanks open again and the rest as left.

    >>> emptied(Draft(cause="held_ball", attacks="left")).open_blanks()
    ('at', 'cause', 'ball')
    """
    return replace(
        draft, cause="", at=None, ball="", pending="", called="", bonus=False, pressure=False, clock=""
    )
