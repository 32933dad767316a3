"""Situation and Ruling: the two small frozen values that travel through the whole house.

A situation says why play stopped, where, and who is where; a ruling speaks of roles and answers it. Names
are those of the JSON other programs exchange with us. Knows no edition, no rule and no drawing.
None of these values can be part of a circle, so the collector need not look at them (``gc=False``).
Positions inside a situation and exact spots are whole micrometres in the court frame (x from the left end
line, y from the table sideline); places and zones, which are only drawn, are float feet.
"""

from __future__ import annotations

from typing import Any, Literal, get_args

from msgspec import Struct

Basket = Literal["left", "right"]
TableSide = Literal["table", "opposite"]
Role = Literal["lead", "trail"]
Person = Literal["referee", "umpire"]
Team = Literal["same", "other"]
Pending = Literal["spot", "run_end_line"]
ClockState = Literal["stopped", "running"]
Line = Literal["end_line", "sideline", "division_line"]
CourtPart = Literal["frontcourt", "backcourt"]
Restart = Literal["throw_in", "free_throws", "jump_ball", "play_goes_on"]
Cause = Literal[
    "out_of_bounds",
    "violation",
    "throw_in_violation",
    "plane_warning",
    "wrong_team",
    "common_foul",
    "player_control_foul",
    "team_control_foul",
    "shooting_foul",
    "intentional_foul",
    "flagrant_foul",
    "technical_foul",
    "double_foul",
    "held_ball",
    "made_goal",
    "made_last_free_throw",
    "time_out",
    "inadvertent_whistle",
    "injury",
    "period_start",
    "game_start",
    "extra_period_start",
    "change_of_control",
]
CAUSES: tuple[Cause, ...] = get_args(Cause)
"""Why play stopped; ``change_of_control`` is ours: no whistle, the ball changes hands and play goes on."""
PointUm = tuple[int, int]
PointFt = tuple[float, float]


class Floor(Struct, frozen=True, order=True):
    """Length and width of the playing floor in micrometres."""

    length: int
    width: int


class Situation(Struct, frozen=True, kw_only=True, omit_defaults=True, gc=False):
    """What the trainer sets: why play stopped, where, whose ball, who was where, and under which book.

    >>> Situation(edition="us-hs-2025", attacking="right", stopped_by="game_start").ball_to is None
    True
    """

    edition: str
    attacking: Basket
    stopped_by: Cause
    floor: Floor | None = None
    """None: the floor of the edition."""
    layers: tuple[str, ...] = ()
    settings: tuple[tuple[str, str], ...] = ()
    """Settings asked for with this situation, sorted by name; they win over layers and edition."""
    date: str | None = None
    lead_side: TableSide | None = None
    lead_person: Person | None = None
    at: PointUm | None = None
    ball_to: Team | None = None
    pending: Pending | None = None
    called_by: Role | None = None
    bonus: bool = False
    pressure: bool = False
    clock: ClockState | None = None


class Reason(Struct, frozen=True, gc=False):
    """One decided part with the row that decided it and what that row beat."""

    decides: str
    provision: str
    row: str
    section: str
    edition: str
    """The edition whose text the row stands in (an older one when it was taken over unchanged); with a layer,
    the edition it lies on."""
    layer: str
    """The layer whose text the row stands in, else empty."""
    setting: str
    """``name=value (who set it)`` when the row rests on a setting, else empty."""
    source: str
    confidence: str
    status: str
    beats: tuple[str, ...] = ()


class NotCovered(Struct, frozen=True, gc=False):
    """A part of the answer for which nothing is entered, and why."""

    part: str
    why: str


class Administers(Struct, frozen=True, gc=False):
    """Who handles the ball: his role before the stoppage and at disposal, and his person when known."""

    was: Literal["lead", "trail", "either"]
    now: Role
    person: Person | None = None


class RolesAfter(Struct, frozen=True, gc=False):
    """Which role each of the two has at disposal."""

    old_lead: Role
    old_trail: Role


class Count(Struct, frozen=True, gc=False):
    """The count of the restart: seconds, from and to which event, whether shown, and by whom."""

    seconds: int
    begins: str
    ends: str
    visible: bool | None
    """None where nothing says whether the count is shown."""
    by: str
    """Role of the official who counts; empty where nothing says who."""
    arm: str = "free"


class OtherSide(Struct, frozen=True, gc=False):
    """What the answer would be on the other side of a dividing line close by."""

    spot: PointUm | None
    line: Line | None


class Near(Struct, frozen=True, gc=False):
    """The dividing line a place is close to, the margin in feet, and the other candidate."""

    line: str
    distance_ft: float
    other_side_answer: OtherSide


class Step(Struct, frozen=True, gc=False):
    """One ordered act of the crew: who, what, which signal, and from which provision."""

    by: str
    """``lead``, ``trail`` (roles at disposal), ``old_lead``, ``old_trail``, ``caller``, ``partner``, ``both``."""
    act: str
    signal: str
    provision: str
    moves: str = ""
    """``old_lead`` or ``old_trail`` when this step is that person's move on the court, else empty."""


class Post(Struct, frozen=True, gc=False):
    """Where one official stands at disposal: the taught point, the zone he may stand in, and its name."""

    name: str
    at: PointFt
    zone: tuple[PointFt, ...]


class Ruling(Struct, frozen=True, kw_only=True, gc=False):
    """The answer in roles; a part without a provision is None and listed in ``not_covered``."""

    situation: Situation
    restart: Restart | None
    spot: PointUm | None = None
    line: Line | None = None
    near: Near | None = None
    """The line that chooses between end line and sideline, when the place is close to it."""
    also_near: Near | None = None
    """Another line close by that would change spot, side or who gives the ball."""
    moved_ft: float = 0.0
    attacking_after: Basket | None = None
    court_part: CourtPart | None = None
    may_run_end_line: bool | None = None
    delivery: str | None = None
    administers: Administers | None = None
    switch: bool | None = None
    roles_after: RolesAfter | None = None
    lead_side_after: TableSide | None = None
    places: dict[str, Post] | None = None
    """Posts by role at disposal (``lead``, ``trail``); free throws and jump ball likewise."""
    waiting: dict[str, Post] | None = None
    """Where each stands while a time-out or break between periods runs, by ``administering`` and ``partner``."""
    stands: str | None = None
    count: Count | None = None
    clock_starts: str | None = None
    chop: tuple[str, ...] | None = None
    lines: dict[str, str] | None = None
    watches: dict[str, str] | None = None
    steps: tuple[Step, ...] = ()
    duties: tuple[str, ...] = ()
    """Ids of all provisions of duty that apply to this restart."""
    reasons: tuple[Reason, ...] = ()
    not_covered: tuple[NotCovered, ...] = ()
    after_free_throws: Ruling | None = None
    caution: str = ""

    @property
    def covered(self) -> bool:
        """True when no part is without a provision."""
        return not self.not_covered


def person_of(role: Role, situation: Situation) -> Person | None:
    """Return which person carried ``role`` when play stopped, or None when the crew was not given.

    >>> person_of("trail", Situation(edition="e", attacking="left", stopped_by="injury", lead_person="umpire"))
    'referee'
    """
    lead = situation.lead_person
    if lead is None:
        return None
    return lead if role == "lead" else ("umpire" if lead == "referee" else "referee")


def other_basket(basket: Basket) -> Basket:
    """Return the basket at the other end.

    >>> other_basket("left")
    'right'
    """
    return "right" if basket == "left" else "left"


def other_side(side: TableSide) -> TableSide:
    """Return the sideline across the court.

    >>> other_side("table")
    'opposite'
    """
    return "opposite" if side == "table" else "table"


def other_role(role: Role) -> Role:
    """Return the partner's role.

    >>> other_role("lead")
    'trail'
    """
    return "trail" if role == "lead" else "lead"


def as_plain(value: Any) -> Any:
    """Return a value as plain dicts, lists and numbers, for digests and stores.

    >>> as_plain(Floor(1, 2))
    {'length': 1, 'width': 2}
    """
    from msgspec import to_builtins

    return to_builtins(value)
