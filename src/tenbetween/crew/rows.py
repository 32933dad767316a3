"""Reads one row in the light of what is known: fills what was left out, and names every mistake in it.

Knows which team each cause belongs to and what cannot be true of a row; knows no spot, no role after and no
answer. A row that hangs on an earlier mistake is not blamed for it: what is not known is not checked.
"""

from __future__ import annotations

from collections.abc import Callable

from msgspec import Struct, structs

from tenbetween.court import Court, half, move_to_boundary
from tenbetween.crew import counts
from tenbetween.crew.values import (
    Colour,
    Fault,
    Opening,
    Standing,
    Stoppage,
    Why,
    clock_words,
    other_colour,
)
from tenbetween.errors import Problem
from tenbetween.situation import Pending, PointUm, Role
from tenbetween.units import ft_text

Whys = frozenset[Why]
JUMPS: Whys = frozenset(("game_start", "extra_period_start"))
STARTS: Whys = JUMPS | {"period_start"}
KEEPS: Whys = frozenset(
    ("plane_warning", "wrong_team", "double_foul", "time_out", "inadvertent_whistle", "injury")
)
"""After these the team that had the ball has it again."""
BY_ARROW: Whys = frozenset(("held_ball", "period_start"))
BY_THE_TEAM_WITH_THE_BALL: Whys = frozenset(
    (
        "made_goal",
        "made_last_free_throw",
        "missed_last_free_throw",
        "throw_in_violation",
        "player_control_foul",
        "team_control_foul",
        "change_of_control",
    )
)
BY_THE_OTHERS: Whys = frozenset(("shooting_foul", "plane_warning"))
OVER_WITH_A_TOUCH: Whys = STARTS | {
    "out_of_bounds",
    "made_goal",
    "change_of_control",
    "made_last_free_throw",
    "missed_last_free_throw",
}
"""Whatever throw-in came before these is over."""
ONLY_IN_A_THROW_IN: Whys = frozenset(("throw_in_violation", "plane_warning", "wrong_team"))
PLACE_ALWAYS: Whys = frozenset(
    (
        "out_of_bounds",
        "violation",
        "player_control_foul",
        "team_control_foul",
        "intentional_foul",
        "flagrant_foul",
        "held_ball",
    )
)
PLACE_IF_NOTHING_DUE: Whys = frozenset(("time_out", "inadvertent_whistle", "injury", "double_foul"))


class Settled(Struct, frozen=True, kw_only=True):
    """A row with everything filled in that can be known; None where a mistake leaves it open."""

    stoppage: Stoppage
    before: Standing
    had: Colour | None
    ball: Colour | None
    by: Colour | None
    caller: Role | None
    pending: Pending | None
    at: PointUm | None
    length: int | None
    two_shots: str
    resumes: bool
    taken: tuple[str, ...]
    faults: tuple[Fault, ...]


class Table(Struct, frozen=True):
    """What the walk knows beside the row: the court, the rules of counting, the names."""

    court: Court
    opening: Opening
    bonus: counts.BonusRule
    counts_time_outs: bool
    tosses_extra_periods: bool


def settle(table: Table, standing: Standing, stoppage: Stoppage, *, lost: bool = False) -> Settled:
    """Return a row with its blanks filled and its mistakes named.

    ``lost`` says that an earlier mistake leaves open what was due; then nothing is checked against it.
    """
    row = _Row(table, standing, stoppage, lost)
    for step in _STEPS:
        step(row)
    return Settled(
        stoppage=stoppage,
        before=row.standing,
        had=row.had,
        ball=row.ball,
        by=row.by,
        caller=row.caller,
        pending=row.pending,
        at=row.at,
        length=row.length,
        two_shots=row.two_shots,
        resumes=row.resumes,
        taken=tuple(row.taken),
        faults=tuple(row.faults),
    )


def said_why(why: Why) -> str:
    """Return a cause as it is said.

    >>> said_why("period_start"), said_why("held_ball")
    ('quarter start', 'held ball')
    """
    return "quarter start" if why == "period_start" else why.replace("_", " ")


class _Row:
    """One row on its way through the steps; filled step by step, read once."""

    def __init__(self, table: Table, standing: Standing, stoppage: Stoppage, lost: bool) -> None:
        self.table, self.standing, self.s, self.lost = table, standing, stoppage, lost
        self.why: Why = stoppage.why
        self.had: Colour | None = None
        self.ball: Colour | None = stoppage.ball
        self.by: Colour | None = stoppage.by
        self.caller: Role | None = None
        self.pending: Pending | None = None
        self.at = stoppage.at
        self.length = stoppage.length
        self.two_shots = ""
        self.resumes = False
        self.taken: list[str] = []
        self.faults: list[Fault] = []

    def fault(self, column: str, found: str, expected: str, do: str) -> None:
        """Note a mistake in a column of this row."""
        problem = Problem(f"row {self.s.row}, {column}", found, expected, do)
        self.faults.append(Fault(self.s.row, problem))

    def name(self, colour: Colour | None) -> str:
        """A team as it is said."""
        return "nobody" if colour is None else self.table.opening.name_of(colour)

    @property
    def words(self) -> str:
        """The cause as it is said."""
        return said_why(self.why)


# -- when ------------------------------------------------------------------------------------------


def _period(row: _Row) -> None:
    """Begin a period, or check that the row is in the one being played."""
    standing, said = row.standing, row.s.period
    if row.why in STARTS:
        _begin(row)
    elif standing.period == 0 and not row.lost:
        row.fault("why", row.words, "the start of the game first", "put a row 'game start' above it")
    elif said is not None and said < standing.period:
        row.fault(
            "quarter",
            str(said),
            f"{standing.period} or later",
            "periods go forward: correct it or move the row",
        )
    elif said is not None and said > standing.period:
        do = f"put a row 'quarter start' with quarter {standing.period + 1} above it"
        row.fault("quarter", str(said), f"{standing.period}, the period being played", do)
        row.standing = structs.replace(standing, period=said, clock=None)


def _begin(row: _Row) -> None:
    was = row.standing.period
    right: Why = "game_start" if was == 0 else ("period_start" if was < 4 else "extra_period_start")
    if row.why != right:
        expected = f"'{said_why(right)}'"
        row.fault(
            "why", row.words, expected + (f" after period {was}" if was else " first"), f"write {expected}"
        )
        return
    if row.s.period not in (None, was + 1):
        row.fault("quarter", str(row.s.period), str(was + 1), f"this row begins period {was + 1}")
    if row.s.throw_in not in ("due", "spot", "run_end_line"):
        row.standing = counts.throw_in_ended(row.standing)
    row.standing = structs.replace(counts.period_begun(row.standing, row.table.bonus), due=None, throws=None)


def _clock(row: _Row) -> None:
    """Check that the clock runs down."""
    was, now = row.standing.clock, row.s.clock
    if was is not None and now is not None and now > was:
        expected = f"{clock_words(was)} or less, as in the row before"
        row.fault("clock", clock_words(now), expected, "the clock runs down: correct it or move the row")
    elif now is not None:
        row.standing = structs.replace(row.standing, clock=now)


# -- what was due ----------------------------------------------------------------------------------


def _throw_in(row: _Row) -> None:
    """Settle whether the throw-in before this row is over."""
    if row.why in STARTS:
        return
    due, said = row.standing.due, row.s.throw_in
    if said in ("due", "spot", "run_end_line"):
        _said_due(row)
    elif said is None and row.why in ONLY_IN_A_THROW_IN and due is None and not row.lost:
        row.fault("why", row.words, "a throw-in before it", "write what gave the throw-in in the row above")
    elif said is None and due is not None and _not_yet_over(row):
        row.pending = due.kind
        if row.why not in ONLY_IN_A_THROW_IN:
            row.taken.append("the throw-in was still due: the clock had not moved")
    if row.pending is None:
        row.standing = counts.throw_in_ended(row.standing)


def _not_yet_over(row: _Row) -> bool:
    due = row.standing.due
    if row.why in ONLY_IN_A_THROW_IN:
        return True
    same_clock = due is not None and due.clock is not None and due.clock == row.s.clock
    return same_clock and row.why not in OVER_WITH_A_TOUCH


def _said_due(row: _Row) -> None:
    due, said = row.standing.due, row.s.throw_in
    if row.why in OVER_WITH_A_TOUCH:
        do = "write 'over', or 'throw-in violation' if nobody on the court touched it"
        row.fault("throw-in", f"{said} at {row.words}", "a throw-in that is over", do)
    elif due is None:
        if not row.lost:
            row.fault(
                "throw-in", str(said), "no throw-in was due", "leave it out or write the row that gave it"
            )
    elif said in ("spot", "run_end_line") and said != due.kind:
        expected = f"{due.kind.replace('_', ' ')}, as row {due.row} gave it"
        row.fault("throw-in", str(said).replace("_", " "), expected, "write 'due', or correct the row above")
    else:
        row.pending = due.kind


def _throws(row: _Row) -> None:
    """Settle what became of free throws that were due."""
    throws = row.standing.throws
    if row.why in ("made_last_free_throw", "missed_last_free_throw"):
        if throws is None and not row.lost:
            do = "leave the row out; after throws with an empty lane the throw-in follows by itself"
            row.fault("why", row.words, "free throws with a live ball before it", do)
    elif throws is not None and row.why in KEEPS - ONLY_IN_A_THROW_IN:
        row.resumes = True
        row.taken.append(f"the free throws of row {throws.row} are still due and come next")
        return
    elif throws is not None and row.why != "change_of_control":
        row.taken.append("the last free throw was missed and the shooters had the ball again")
    row.standing = structs.replace(row.standing, throws=None)


# -- whose -----------------------------------------------------------------------------------------


def _had(row: _Row) -> None:
    """Settle who had the ball; a change nobody wrote down is made good when the row says who had it."""
    standing, said = row.standing, row.s.had
    row.had = standing.control
    if row.why in STARTS or said is None or standing.control in (None, said):
        row.had = row.had or said
        return
    if row.pending or row.resumes:
        row.fault(
            "had",
            row.name(said),
            f"{row.name(standing.control)}, whose throw it was",
            "correct one of the two",
        )
        return
    row.had = said
    lead, side = standing.trail, standing.trail_side
    row.standing = structs.replace(standing, control=said, lead=lead, lead_side=side)
    row.taken.append(f"the ball had changed hands to {row.name(said)} since the row before")


def _whose(row: _Row) -> None:
    """Settle which team did it and which team has the ball now."""
    if row.why in BY_ARROW or (row.why == "extra_period_start" and not row.table.tosses_extra_periods):
        _by_arrow(row)
    elif row.why in JUMPS:
        if row.ball is None:
            row.fault("ball", "nothing", "the team that had the ball after the tap", "write White or Dark")
    elif row.why == "missed_last_free_throw":
        if row.ball is None:
            row.fault("ball", "nothing", "the team that took the rebound", "write White or Dark")
        row.by = row.had
    elif row.why in KEEPS:
        _kept(row)
    else:
        _given_away(row)


def _by_arrow(row: _Row) -> None:
    arrow = row.standing.arrow
    if arrow is None:
        if not row.lost:
            row.fault(
                "ball",
                row.name(row.ball),
                "an arrow that is known",
                "write the arrow in the opening, or the tap at the start",
            )
    elif row.ball not in (None, arrow):
        row.fault(
            "ball",
            row.name(row.ball),
            f"{row.name(arrow)}, by the arrow",
            "correct it, or the row where the arrow went wrong",
        )
    else:
        row.ball = arrow


def _kept(row: _Row) -> None:
    if row.why == "plane_warning":
        _guilty(row, None if row.had is None else other_colour(row.had))
    if row.had is None:
        return
    if row.ball not in (None, row.had) and row.why != "wrong_team":
        do = f"write had: {row.name(row.ball)} if the ball had changed hands, else correct it"
        row.fault("ball", row.name(row.ball), f"{row.name(row.had)}, who had it", do)
    row.ball = row.ball or row.had


def _given_away(row: _Row) -> None:
    """The team that did it gives the ball to the other one; either of the two names the other."""
    if row.by and row.ball and row.by == row.ball:
        do = f"the ball goes to {row.name(other_colour(row.by))}; correct 'by' or 'ball'"
        row.fault("ball", f"by {row.name(row.by)}, ball to {row.name(row.ball)}", "the other team's ball", do)
        return
    by = row.by or (other_colour(row.ball) if row.ball else None)
    natural = None
    if row.had is not None and row.why in BY_THE_TEAM_WITH_THE_BALL:
        natural = row.had
    elif row.had is not None and row.why in BY_THE_OTHERS:
        natural = other_colour(row.had)
    row.by = by
    _guilty(row, natural)
    if row.by is None:
        if row.had is not None or row.why not in BY_THE_TEAM_WITH_THE_BALL | BY_THE_OTHERS:
            row.fault(
                "by",
                "nothing",
                "the team that did it, or whose ball it is",
                "write White or Dark in 'by' or in 'ball'",
            )
        return
    row.ball = other_colour(row.by)


def _guilty(row: _Row, natural: Colour | None) -> None:
    """Take the only team that can have done it, or say that the one written cannot."""
    if natural is None:
        return
    if row.by not in (None, natural):
        since = (
            ""
            if row.pending or row.why == "plane_warning"
            else "; write a row 'change of control' above it, or had: "
            + row.name(other_colour(row.had) if row.had else None)
        )
        row.fault(
            "by",
            row.name(row.by),
            f"{row.name(natural)}: {row.name(row.had)} had the ball",
            f"correct the team{since}",
        )
        return
    row.by = natural


def _caller(row: _Row) -> None:
    said = row.s.called_by
    row.caller = row.standing.role_of(said) if said in ("referee", "umpire") else said  # type: ignore[assignment]


# -- where -----------------------------------------------------------------------------------------


def _place(row: _Row) -> None:
    """Check the place, and take the one of the throw-in that was due."""
    due = row.standing.due
    if row.at is not None:
        _on_the_floor(row, row.at)
    stays = row.why in KEEPS or (row.why == "throw_in_violation" and row.at is None)
    if row.pending == "spot" and due and stays:
        row.at = due.at  # an interruption does not move the throw-in, wherever it happened
    if row.at is None:
        if _needs_place(row):
            row.fault(
                "at", "nothing", "where it happened, or where the ball was", "write x,y in feet, such as 58,0"
            )
        return
    if row.why == "made_goal" and row.by:
        _right_basket(row, row.at, row.by)


def _needs_place(row: _Row) -> bool:
    if row.why == "throw_in_violation":
        return row.pending is not None or not row.lost
    if row.why == "common_foul":
        return not row.two_shots
    if row.why in PLACE_IF_NOTHING_DUE:
        return row.pending is None and not row.resumes and not row.lost
    return row.why in PLACE_ALWAYS


def _on_the_floor(row: _Row, at: PointUm) -> None:
    court = row.table.court
    x = min(max(at[0], 0), court.length)
    y = min(max(at[1], 0), court.width)
    shown = f"{ft_text(at[0])} from the left end line, {ft_text(at[1])} from the table sideline"
    if row.why == "out_of_bounds":
        if move_to_boundary(court, at) is None:
            row.fault(
                "at", shown, "a point within 1.5 ft of the line it crossed", "write where it crossed the line"
            )
        return
    if abs(at[0] - x) > 457_200 or abs(at[1] - y) > 457_200:
        floor = f"x 0 to {ft_text(court.length)}, y 0 to {ft_text(court.width)}"
        row.fault("at", shown, f"a place on the floor: {floor}", "correct the place")
    row.at = (x, y)


def _right_basket(row: _Row, at: PointUm, by: Colour) -> None:
    attacked = row.standing.attacks(by)
    if half(row.table.court, at, attacked) == "backcourt":
        do = "correct the team or the place; baskets change at half-time"
        row.fault(
            "at",
            f"a goal by {row.name(by)} at the other basket",
            f"the {attacked} basket, which {row.name(by)} attacks",
            do,
        )


# -- counts ----------------------------------------------------------------------------------------


def _bonus(row: _Row) -> None:
    """Settle from the team fouls whether a common foul brings free throws."""
    if row.why != "common_foul" or row.by is None:
        return
    fouls = row.standing.fouls.of(row.by) + 1
    row.two_shots = counts.bonus_for(row.table.bonus, fouls)
    if row.s.bonus is not None and row.s.bonus != bool(row.two_shots) and not row.lost:
        rule = f"{row.table.bonus.source}; this is foul {fouls} of {row.name(row.by)}"
        found = "bonus" if row.s.bonus else "no bonus"
        row.fault("bonus", found, rule, "leave it out, or look for a foul that is missing or too many")


def _time_out(row: _Row) -> None:
    if row.why != "time_out" or not row.table.counts_time_outs:
        return
    if row.by is None:
        row.fault("by", "nothing", "the team that asked for time", "write White or Dark")
        return
    if row.length is None:
        row.length = 60 if counts.time_outs_left(row.standing, row.by, 60) else 30
        row.taken.append(f"a {row.length} s time-out")
    if row.length not in (60, 30):
        row.fault("time-out", str(row.length), "60 or 30", "write which time-out it was")
    elif not counts.time_outs_left(row.standing, row.by, row.length):
        do = (
            "correct the team or the length; a time-out too many brings a technical foul, in a row of its own"
        )
        row.fault("time-out", f"{row.length} s by {row.name(row.by)}", f"none of {row.length} s is left", do)


def _warning(row: _Row) -> None:
    if row.why == "plane_warning" and row.by in row.standing.warned:
        do = "write 'technical foul', or correct the team"
        row.fault("why", f"second warning of {row.name(row.by)}", "a team technical foul after the first", do)


_STEPS: tuple[Callable[[_Row], None], ...] = (
    _period,
    _clock,
    _throw_in,
    _throws,
    _had,
    _whose,
    _caller,
    _bonus,
    _place,
    _time_out,
    _warning,
)
