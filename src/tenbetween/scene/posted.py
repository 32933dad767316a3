"""The floor, the frame and the crew of a ruling: which kind of restart, which way, and who stands where.

The book's places are taken as they are; where it gives none the official stands beside the table and that is said.
Roles are carried by two persons; where the crew is not given the old lead is the Umpire, as in the drawings.
Knows no formation and decides nothing.
"""

from __future__ import annotations

from math import atan2, degrees

from msgspec import Struct

from tenbetween.court import Court, CourtKind, court_of, post
from tenbetween.scene.formations import Formation, Kind
from tenbetween.scene.moment import ROLES, Crew, Official, Scene
from tenbetween.scene.standing import Frame
from tenbetween.situation import (
    Basket,
    Person,
    PointFt,
    PointUm,
    Role,
    Ruling,
    TableSide,
    other_side,
)
from tenbetween.units import FOOT


class Staged(Struct, frozen=True, kw_only=True):
    """A scene made from a ruling, and what is to be known about it."""

    scene: Scene
    formation: Formation
    lead: Person
    """Which person is lead in this scene."""
    unplaced: tuple[Role, ...] = ()
    """Roles for which the book gives no place: they stand beside the table, to be put where you teach it."""
    note: str = ""


BESIDE_TABLE = 4.0
"""Feet off the sideline, and to each side of the middle, where an official without a place waits."""
UNCREWED: Person = "umpire"
"""Who was lead when the crew is not given; the drawings say the same."""


def court_under(ruling: Ruling) -> Court:
    """Return the floor a ruling is about.

    >>> from tenbetween.situation import Situation
    >>> start = Situation(edition="us-hs-2025", attacking="left", stopped_by="game_start")
    >>> court_under(Ruling(situation=start, restart="jump_ball")).kind
    'us-hs'
    """
    s = ruling.situation
    kind: CourtKind = "fiba" if s.edition.startswith("fiba") else "us-hs"
    return court_of(kind, s.floor)


def kind_of_restart(ruling: Ruling) -> Kind:
    """Return which kind of restart a ruling is; ``play`` when play goes on or what restarts it is open.

    >>> from tenbetween.situation import Situation
    >>> start = Situation(edition="us-hs-2025", attacking="left", stopped_by="game_start")
    >>> kind_of_restart(Ruling(situation=start, restart="jump_ball"))
    'jump_ball'
    """
    if ruling.restart == "jump_ball":
        return "jump_ball"
    if ruling.restart == "free_throws":
        return "free_throw" if ruling.after_free_throws is None else "free_throw_cleared"
    if ruling.restart != "throw_in" or ruling.line is None:
        return "play"
    if ruling.line == "division_line":
        return "division_line"
    back = ruling.court_part == "backcourt"
    if ruling.line == "end_line":
        return "back_end_line" if back else "end_line"
    return "back_sideline" if back else "sideline"


# ---- the frame of a restart ----


def attacked(ruling: Ruling) -> Basket:
    """Return the basket attacked by the team with the ball; at a jump ball the one the situation names."""
    return ruling.attacking_after or ruling.situation.attacking


def frame_of_restart(ruling: Ruling, kind: Kind) -> Frame:
    """Return the frame of a restart: + is the thrower's side, else that of the ball or of an official."""
    court = court_under(ruling)
    return Frame(court, attacked(ruling), _plus_side(ruling, kind, court))


def _plus_side(ruling: Ruling, kind: Kind, court: Court) -> TableSide:
    s = ruling.situation
    if kind == "jump_ball":
        return "table"
    at = ruling.spot if ruling.spot is not None else (s.at if kind == "play" else None)
    if at is not None and at[1] != court.axis:
        return "table" if at[1] < court.axis else "opposite"
    leads = ruling.lead_side_after or s.lead_side or "table"
    return other_side(leads) if ruling.may_run_end_line else leads


# ---- the crew ----


def crew_at_disposal(ruling: Ruling, frame: Frame) -> tuple[Crew, tuple[Role, ...]]:
    """Return lead and trail where the book puts them, and the roles for which it gives no place."""
    posts = ruling.places or {}
    unplaced = tuple(role for role in ROLES if role not in posts)
    found = {role: posts[role].at if role in posts else beside_table(frame, role) for role in ROLES}
    trail = Official(found["trail"], _to_the_circle(ruling, frame, found["trail"]) if not unplaced else None)
    return Crew(Official(found["lead"]), trail), unplaced


def _to_the_circle(ruling: Ruling, frame: Frame, at: PointFt) -> float | None:
    """Return the way the tosser faces before a jump ball, the jumpers before him; None at any other restart."""
    if ruling.restart != "jump_ball":
        return None
    x, y = frame.court.length / 2 / FOOT - at[0], frame.court.width / 2 / FOOT - at[1]
    return degrees(atan2(y, x)) % 360 if x or y else None


def beside_table(frame: Frame, role: Role) -> PointFt:
    """Return the place beside the table of an official whose place is not known: the lead towards his end."""
    towards = -BESIDE_TABLE if (role == "lead") == (frame.end == "left") else BESIDE_TABLE
    return (round(frame.court.length / 2 / FOOT + towards, 4), -BESIDE_TABLE)


def lead_before(ruling: Ruling) -> Person:
    """Return who was lead when play stopped; the Umpire when the crew is not given."""
    return ruling.situation.lead_person or UNCREWED


def lead_after(ruling: Ruling, before: Person | None = None) -> Person:
    """Return who is lead at disposal, from who was lead before; at a start from who handles the ball.

    >>> from tenbetween.situation import RolesAfter, Situation
    >>> goal = Situation(edition="us-hs-2025", attacking="left", stopped_by="made_goal", lead_side="table")
    >>> lead_after(Ruling(situation=goal, restart="throw_in", roles_after=RolesAfter("trail", "lead")))
    'referee'
    """
    was = before or lead_before(ruling)
    if ruling.roles_after is not None:
        return was if ruling.roles_after.old_lead == "lead" else other_person(was)
    given = ruling.administers
    if given is not None and given.person == "referee":
        return "referee" if given.now == "lead" else "umpire"
    return was


def other_person(person: Person) -> Person:
    """Return the partner.

    >>> other_person("umpire")
    'referee'
    """
    return "umpire" if person == "referee" else "referee"


# ---- where they were ----

STARTS = ("period_start", "game_start", "extra_period_start")


def crew_before(ruling: Ruling, court: Court) -> Crew | None:
    """Return lead and trail where they are taught to be when play stops; None where nobody has a role yet.

    A throw-in that was under way is left out too: where they stood for it is not part of the situation.

    >>> from tenbetween.situation import Situation
    >>> goal = Situation(edition="us-hs-2025", attacking="left", stopped_by="made_goal", lead_side="table")
    >>> crew_before(Ruling(situation=goal, restart="throw_in"), court_of("us-hs")).lead.at
    (-4.5, 10.0)
    """
    s = ruling.situation
    if s.lead_side is None or s.stopped_by in STARTS or (s.pending and ruling.restart == "throw_in"):
        return None
    lead = post(court, "lead_end_line", s.attacking, s.lead_side, None)
    trail = post(court, "trail_28", s.attacking, other_side(s.lead_side), None)
    return Crew(Official(lead.at), Official(trail.at))


def crew_in_play(court: Court, end: Basket, lead_side: TableSide, ball: PointFt) -> Crew:
    """Return lead and trail while play moves: the lead on the end line, the trail behind the ball.

    >>> crew_in_play(court_of("us-hs"), "left", "table", (20.0, 30.0)).lead.at
    (-4.5, 10.0)
    """
    lead = post(court, "lead_end_line", end, lead_side, None)
    trail = post(court, "trail_behind_ball", end, other_side(lead_side), um_at(court, ball))
    return Crew(Official(lead.at), Official(trail.at))


def um_at(court: Court, at: PointFt) -> PointUm:
    """Return a place in feet as micrometres inside the lines.

    >>> um_at(court_of("us-hs"), (1.0, -2.0))
    (304800, 0)
    """
    x, y = round(at[0] * FOOT), round(at[1] * FOOT)
    return (max(0, min(court.length, x)), max(0, min(court.width, y)))
