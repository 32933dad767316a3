"""Which fields go with which cause, in one table, and what is wrong with a situation that lacks some.

The one-line form, JSON and the questions in order all ask here. Knows no rule and no answer: only what has
to be said before anybody could answer, and what cannot be true together.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

from msgspec import Struct, structs

from tenbetween.court import Court, court_of, move_to_boundary
from tenbetween.errors import Problem, TenbetweenError
from tenbetween.notation.seasons import court_kind
from tenbetween.situation import Cause, Floor, Situation, Team
from tenbetween.units import feet

BOTH: tuple[Team, ...] = ("same", "other")
SAME: tuple[Team, ...] = ("same",)
OTHER: tuple[Team, ...] = ("other",)
_FOUL, _DUE = ("called_by", "bonus", "pending"), ("called_by", "pending")
_SHOT = ("called_by", "bonus")
_RUN = ("run_end_line",)


class Need(Struct, frozen=True):
    """What one cause asks for."""

    place: Literal["line", "must", "may"]
    """``line``: on a boundary; ``must``: anywhere on the floor; ``may``: the answer does not turn on it."""
    ball: tuple[Team, ...]
    """Teams the ball can go to; with one only it need not be said, with none nobody is awarded it."""
    may_follow: tuple[str, ...] = ()
    """Which of ``called_by``, ``bonus`` and ``pending`` can be true together with this cause."""
    why_ball: str = ""
    """Why the ball can go one way only."""
    spared_by: tuple[str, ...] = ()
    """``bonus`` or ``run_end_line``: then the place does not matter after all."""
    kept_if: Literal["", "pending", "bonus"] = ""
    """Whose ball need not be said: a throw-in was due (its team keeps it), or the bonus is on."""
    roles: bool = True
    """Whether the answer turns on which side the lead was."""


NEEDS: dict[Cause, Need] = {
    # where it crossed, and off whom
    "out_of_bounds": Need("line", BOTH, _DUE),
    # kick, travel and the like: where it was, and whose ball
    "violation": Need("must", BOTH, _DUE),
    # by the team throwing in, so the others get it; where it was thrown from
    "throw_in_violation": Need("must", OTHER, _DUE, "the team throwing in broke the rule"),
    # the same team throws in again, from the same spot
    "plane_warning": Need("must", SAME, _DUE, "the team throwing in keeps it", _RUN),
    # whose it really is has to be said
    "wrong_team": Need("must", BOTH, _DUE, "", _RUN),
    # in the bonus it is shot at the line: then the place does not matter, nor does a throw-in follow
    "common_foul": Need("must", BOTH, _FOUL, "", ("bonus",), "bonus"),
    # never a throw, so the others get it (that the bonus is on is no contradiction, it changes nothing)
    "player_control_foul": Need("must", OTHER, _FOUL, "the team with the ball fouled"),
    "team_control_foul": Need("must", OTHER, _FOUL, "the team with the ball fouled"),
    # the shooter's team shoots at the basket it attacked
    "shooting_foul": Need("may", SAME, _SHOT, "the shooter's team had the ball"),
    # throws, then the ball by the place of the foul
    "intentional_foul": Need("must", BOTH, _FOUL),
    "flagrant_foul": Need("must", BOTH, _FOUL),
    # throws, then the ball at a fixed place
    "technical_foul": Need("may", BOTH, _FOUL),
    # play goes on as it stood
    "double_foul": Need("must", BOTH, _FOUL, "", _RUN, "pending"),
    # by the arrow, so whose ball has to be said
    "held_ball": Need("must", BOTH, _DUE),
    # the team scored on, along the whole end line
    "made_goal": Need("may", OTHER, (), "the team scored on throws in"),
    "made_last_free_throw": Need("may", OTHER, (), "the team scored on throws in"),
    # play goes on as it stood
    "time_out": Need("must", BOTH, _DUE, "", _RUN, "pending"),
    "inadvertent_whistle": Need("must", BOTH, _DUE, "", _RUN, "pending"),
    "injury": Need("must", BOTH, _DUE, "", _RUN, "pending"),
    # at a fixed place, by the arrow; ``attacking`` is already said of the team throwing in
    "period_start": Need("may", SAME, (), "attacking is said of the team throwing in", roles=False),
    # a jump ball gives it to nobody
    "game_start": Need("may", (), (), "a jump ball gives it to nobody", roles=False),
    # a jump ball, or by the arrow where the edition says so
    "extra_period_start": Need("may", SAME, (), "attacking is said of the team throwing in", roles=False),
    # no whistle: the others have it
    "change_of_control": Need("may", OTHER, (), "the ball has changed hands"),
}
NOTHING = Need("may", BOTH, roles=False)
"""Stands for a cause nobody has said yet."""

Fields = Mapping[str, Any]
"""Fields of a situation by its own names, positions in micrometres; what is unsaid is absent or None."""


def need_of(fields: Fields) -> Need:
    """Return what the cause asks for; nothing while there is no cause.

    >>> need_of({"stopped_by": "out_of_bounds"}).place, need_of({}).place
    ('line', 'may')
    """
    return NEEDS.get(fields.get("stopped_by"), NOTHING)  # type: ignore[arg-type]


def implied_ball(fields: Fields) -> Team | None:
    """Return whose ball it is when that need not be said, else None.

    >>> implied_ball({"stopped_by": "made_goal"}), implied_ball({"stopped_by": "violation"})
    ('other', None)
    """
    need = need_of(fields)
    if fields.get("stopped_by") == "extra_period_start":
        return None
    if need.kept_if and fields.get(need.kept_if):
        return "same"
    return need.ball[0] if len(need.ball) == 1 else None


def with_implied(situation: Situation) -> Situation:
    """Return the situation with whose ball it is filled in where that need not be said.

    >>> with_implied(Situation(edition="us-hs-2025", attacking="left", stopped_by="made_goal")).ball_to
    'other'
    """
    if situation.ball_to is not None:
        return situation
    return structs.replace(situation, ball_to=implied_ball(structs.asdict(situation)))


def needs_place(fields: Fields) -> bool:
    """Return whether the answer turns on where it happened.

    >>> needs_place({"stopped_by": "common_foul"}), needs_place({"stopped_by": "common_foul", "bonus": True})
    (True, False)
    """
    need = need_of(fields)
    spared = {"bonus": bool(fields.get("bonus")), "run_end_line": fields.get("pending") == "run_end_line"}
    return need.place != "may" and not any(spared[name] for name in need.spared_by)


def needs_ball(fields: Fields) -> bool:
    """Return whether it has to be said whose ball it is.

    >>> needs_ball({"stopped_by": "held_ball"}), needs_ball({"stopped_by": "game_start"})
    (True, False)
    """
    return need_of(fields) is not NOTHING and len(need_of(fields).ball) > 1 and implied_ball(fields) is None


def needs_roles(fields: Fields) -> bool:
    """Return whether the lead's side has to be said.

    >>> needs_roles({"stopped_by": "period_start"}), needs_roles({"stopped_by": "made_goal"})
    (False, True)
    """
    return need_of(fields).roles


def complaints(fields: Fields) -> tuple[Problem, ...]:
    """Return everything that is missing from a situation or cannot be true together; empty when it is whole.

    Values must already be of the right kind (words of their lists, points in micrometres).

    >>> [p.where for p in complaints({"edition": "us-hs-2025", "stopped_by": "violation", "at": (0, 0)})]
    ['attacking', 'lead_side', 'ball_to']
    """
    court, faults = _floor_faults(fields)
    place = _place_faults(fields, court) if court else ()
    return (
        *_missing_start(fields),
        *faults,
        *_missing(fields),
        *_ball_faults(fields),
        *_follow_faults(fields),
        *place,
    )


def _missing_start(fields: Fields) -> tuple[Problem, ...]:
    lacking = (
        ("edition", "an edition such as us-hs-2025", "name one, or give the date of the game"),
        ("attacking", "left or right", "say which basket the team attacked that had the ball"),
        ("stopped_by", "why play stopped", "write a cause such as out_of_bounds"),
    )
    return tuple(Problem(name, "nothing", what, do) for name, what, do in lacking if not fields.get(name))


def _missing(fields: Fields) -> tuple[Problem, ...]:
    cause = str(fields.get("stopped_by")).replace("_", " ")
    found = []
    if needs_roles(fields) and not fields.get("lead_side"):
        found.append(Problem("lead_side", "nothing", "table or opposite", "say on which side the lead was"))
    if needs_place(fields) and fields.get("at") is None:
        where = "where the ball crossed the line" if cause == "out of bounds" else "where it happened"
        expected = f"a place, because after {cause} the answer turns on it"
        found.append(Problem("at", "nothing", expected, f"say {where}"))
    if needs_ball(fields) and not fields.get("ball_to"):
        do = "say same for the team that attacked, other for its opponents"
        found.append(Problem("ball_to", "nothing", "same or other: the team awarded the ball", do))
    return tuple(found)


def _ball_faults(fields: Fields) -> tuple[Problem, ...]:
    need, ball = need_of(fields), fields.get("ball_to")
    if not ball or ball in need.ball:
        return ()
    expected = (
        f"{need.ball[0] if need.ball else 'nothing'} after {fields['stopped_by']}, because {need.why_ball}"
    )
    do = f"write {need.ball[0]}, or another cause" if need.ball else "leave ball_to out"
    return (Problem("ball_to", repr(ball), expected, do),)


_CANNOT_FOLLOW = {
    "called_by": "no caller: nobody blows the whistle for it",
    "bonus": "no bonus: it goes with fouls only",
    "pending": "no throw-in due: none can have been due before it",
}


def _follow_faults(fields: Fields) -> tuple[Problem, ...]:
    need, cause = need_of(fields), fields.get("stopped_by")
    if need is NOTHING:
        return ()
    wrong = [name for name in _CANNOT_FOLLOW if fields.get(name) and name not in need.may_follow]
    return tuple(
        Problem(
            name,
            _json_word(fields[name]),
            f"{_CANNOT_FOLLOW[name]}, after {cause}",
            f"leave {name} out, or write another cause",
        )
        for name in wrong
    )


def _json_word(value: object) -> str:
    return str(value).lower() if isinstance(value, bool) else repr(value)


# -- the floor ---------------------------------------------------------------------------------------------


def floor_court(edition: str | None, floor: Floor | None) -> Court:
    """Return the court of an edition on a floor.

    >>> floor_court("us-hs-2025", None).kind
    'us-hs'

    Raises:
        TenbetweenError: the markings do not fit the floor.
    """
    return court_of(court_kind(edition or ""), floor)


def _floor_faults(fields: Fields) -> tuple[Court | None, tuple[Problem, ...]]:
    try:
        return floor_court(fields.get("edition"), fields.get("floor")), ()
    except TenbetweenError as fault:
        return None, fault.problems


def _place_faults(fields: Fields, court: Court) -> tuple[Problem, ...]:
    at = fields.get("at")
    if at is None or move_to_boundary(court, at) is not None:
        return ()
    if not (0 <= at[0] <= court.length and 0 <= at[1] <= court.width):
        size = f"the {feet(court.length):g} by {feet(court.width):g} ft floor"
        do = "x runs from the left end line, y from the table sideline, both in feet"
        return (Problem("at", _point(at), f"a point on {size}, or at most 1.5 ft off it", do),)
    if need_of(fields).place != "line":
        return ()
    expected = "a point within 1.5 ft of a boundary, because the ball went out of bounds"
    return (Problem("at", _point(at), expected, "give the point where the ball crossed the line"),)


def _point(at: tuple[int, int]) -> str:
    return f"[{feet(at[0]):g}, {feet(at[1]):g}]"
